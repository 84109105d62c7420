package model_test

import (
	"testing"
	"testing/fstest"

	"github.com/guardwright/guardwright/model"
	"github.com/guardwright/guardwright/model/source"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// small is the shortest machine with every kind of object on the way from the supply to a device.
const small = `format: 1
machine: Small
ambient: {min: 5 °C, max: 40 °C}
zones: {left: {ambient: {max: 50 °C}}}
types:
  connectors:
    c5: {contacts: 5, coding: A, rating: 4 A, contact_resistance: 5 mohm}
  cables:
    w: {cores: 4, section: 1.5 mm2, ends: [c5, c5]}
  supplies:
    s: {min: 23.5 V, max: 24.5 V, rated: 10 A, limit: 12 A}
  protections:
    b: {kind: breaker, rated: 6 A, characteristic: B, dc_factor: 150 %}
  modules:
    io: {ports: {1-2: {contacts: 5, inputs: 2, limit: 1.5 A}}, loads: {electronics: {current: 100 mA, min: 18 V}}, power_in: c5, power_out: c5}
  devices:
    switch: {kind: guard-switch, outputs: ossd, channels: 2, loads: {electronics: {power: 2 W, min: 20.4 V}}}
devices:
  g1: {type: switch}
modules:
  m1: {type: io, zone: left, ports: {1: {device: g1, cable: {type: w, length: 6 m}}}}
  m2: {type: io}
power:
  supplies: {ps: {type: s}}
  protections: {q1: {type: b, from: ps}}
  feeds:
    f1: {to: m1, cable: {type: w, length: 10 m}, sensor: {from: q1}}
    f2: {from: m1, to: m2, cable: {type: w, length: 5 m}}
`

// smallInGo is the same machine in plain struct literals.
func smallInGo() model.Description {
	return model.Description{
		Format:  1,
		Machine: "Small",
		Ambient: model.TemperatureRange{Min: new(model.Celsius(5)), Max: new(model.Celsius(40))},
		Zones:   map[string]model.ZoneSpec{"left": {Ambient: &model.TemperatureRange{Max: new(model.Celsius(50))}}},
		Types: model.Types{
			Connectors: map[string]model.ConnectorType{
				"c5": {Contacts: 5, Coding: "A", Rating: model.Amps(4), ContactResistance: model.MilliOhms(5)},
			},
			Cables: map[string]model.CableType{
				"w": {Cores: 4, Section: model.SquareMillimetres(1.5), Ends: []string{"c5", "c5"}},
			},
			Supplies: map[string]model.SupplyType{
				"s": {Min: model.Volts(23.5), Max: model.Volts(24.5), Rated: model.Amps(10), Limit: model.Amps(12)},
			},
			Protections: map[string]model.ProtectionType{
				"b": {Kind: model.Breaker, Rated: model.Amps(6), Characteristic: model.BandB, DCFactor: new(model.Percent(150))},
			},
			Modules: map[string]model.ModuleType{
				"io": {
					Ports:   map[string]model.PortType{"1-2": {Contacts: 5, Inputs: 2, Limit: model.Amps(1.5)}},
					Loads:   map[string]model.LoadType{"electronics": {Current: new(model.MilliAmps(100)), Min: model.Volts(18)}},
					PowerIn: "c5", PowerOut: "c5",
				},
			},
			Devices: map[string]model.DeviceType{
				"switch": {
					Kind: "guard-switch", Outputs: model.OSSD, Channels: 2,
					Loads: map[string]model.LoadType{"electronics": {Power: new(model.Watts(2)), Min: model.Volts(20.4)}},
				},
			},
		},
		Devices: map[string]model.DeviceSpec{"g1": {Type: "switch"}},
		Modules: map[string]model.ModuleSpec{
			"m1": {Type: "io", Zone: "left", Ports: map[string]model.PortSpec{
				"1": {Device: "g1", Cable: &model.CableRunSpec{Type: "w", Length: model.Metres(6)}},
			}},
			"m2": {Type: "io"},
		},
		Power: model.PowerSpec{
			Supplies:    map[string]model.SupplySpec{"ps": {Type: "s"}},
			Protections: map[string]model.ProtectionSpec{"q1": {Type: "b", From: "ps"}},
			Feeds: map[string]model.FeedSpec{
				"f1": {To: "m1", Cable: &model.CableRunSpec{Type: "w", Length: model.Metres(10)}, Sensor: &model.FeedCircuitSpec{From: "q1"}},
				"f2": {From: "m1", To: "m2", Cable: &model.CableRunSpec{Type: "w", Length: model.Metres(5)}},
			},
		},
	}
}

func loadText(text string) (*model.Machine, error) {
	return model.Load(fstest.MapFS{"m.yaml": {Data: []byte(text)}}, "m.yaml")
}

func TestYAMLAndGoGiveTheSameMachine(t *testing.T) {
	loaded, err := loadText(small)
	require.NoError(t, err)
	built, err := model.Build(smallInGo())
	require.NoError(t, err)
	assert.Equal(t, built.Description(), loaded.Description())
	// The resolved machines differ in nothing but the positions, which a machine built in Go does not have.
	assert.Equal(t, outline(built), outline(loaded))
	assert.Equal(t, source.Position{}, built.Modules[0].Position)
	assert.Equal(t, source.Position{File: "m.yaml", Line: 21, Column: 3}, loaded.Modules[0].Position)
}

func TestResolvedMachine(t *testing.T) {
	m, err := loadText(small)
	require.NoError(t, err)
	m1, m2 := m.Modules[0], m.Modules[1]
	g1 := m.Devices[0]

	assert.Same(t, m1.Ports[0], g1.Port)
	assert.Same(t, m.Zones[0], g1.Zone, "a device without a zone stands in that of its module")
	assert.Equal(t, model.AmbientRange{Min: 5, Max: 50}, m.Zones[0].Ambient, "a bound that the zone does not state is the machine's")
	assert.Equal(t, model.AmbientRange{Min: 5, Max: 50}, g1.Port.Cable.Ambient)
	assert.Nil(t, m1.Ports[1].Device)
	assert.True(t, g1.Loads[0].Permanent, "a load on the sensor circuit is on whenever the supply is")
	assert.Equal(t, model.Sensor, g1.Loads[0].Circuit)

	f1 := m1.Feeds.Sensor
	require.NotNil(t, f1)
	assert.Nil(t, m1.Feeds.Actuator)
	assert.Equal(t, "q1", f1.Protection.Name)
	assert.Equal(t, "ps", f1.Supply.Name)
	assert.Equal(t, 1, f1.PlusCores)
	f2 := m2.Feeds.Sensor
	require.NotNil(t, f2, "a feed from a module carries all circuits of that module")
	assert.Same(t, f1, f2.Upstream)
	assert.Same(t, f1.Supply, f2.Supply)
	assert.Equal(t, []*model.Feed{f2.Feed}, m1.Onward)
	assert.Len(t, f2.Feed.Cable.Contacts(), 2)

	assert.Equal(t, model.IEC60204, m.Power.Ampacity)
	assert.Equal(t, model.Celsius(5), m.Power.ColdConductor)
	assert.Equal(t, model.LayingSpec{Method: model.LayingB2, Grouped: 1}, f2.Feed.Cable.Laying)
	assert.Equal(t, model.Volts(24), m.Power.Supplies[0].Type.Nominal)
	assert.Equal(t, 22, m.Position("modules.m2.type").Line)
}

func TestChangingTheDescriptionAfterwardsChangesNothing(t *testing.T) {
	d := smallInGo()
	m, err := model.Build(d)
	require.NoError(t, err)
	before := outline(m)
	d.Types.Modules["io"].Loads["electronics"] = model.LoadType{}
	d.Devices["g1"] = model.DeviceSpec{Type: "nothing"}
	*d.Ambient.Max = 90
	m.Description().Modules["m1"].Ports["1"] = model.PortSpec{}
	assert.Equal(t, before, outline(m))
	assert.Equal(t, model.Celsius(40), m.Ambient.Max)
}

// outline prints the resolved machine without positions, references by path.
func outline(m *model.Machine) []string {
	var out []string
	add := func(parts ...any) { out = append(out, sprint(parts...)) }
	for _, z := range m.Zones {
		add("zone", z.Path, z.Ambient)
	}
	for _, d := range m.Devices {
		add("device", d.Path, d.Type.Path, d.Type.Kind.Name, d.Zone.Path, d.Port.Path)
		for _, l := range d.Loads {
			add("load", l.Path, l.Circuit, l.Permanent, *l.Power, l.Min)
		}
	}
	for _, mod := range m.Modules {
		add("module", mod.Path, mod.Type.Path, mod.Feeds.Sensor.Feed.Path)
		for _, p := range mod.Ports {
			add("port", p.Path, p.Type.Contacts, p.Type.Limit, p.Device != nil)
			if p.Cable != nil {
				add("cable", p.Cable.Path, p.Cable.Cable.Path, p.Cable.Length, p.Cable.Ambient, p.Cable.Laying)
			}
		}
	}
	for _, f := range m.Power.Feeds {
		for _, c := range f.Circuits {
			add("feed", f.Path, c.Circuit, c.Supply.Path, f.To.Origin().Path, f.Cable.Length)
		}
	}
	return out
}
