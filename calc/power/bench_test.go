package power

import (
	"context"
	"fmt"
	"testing"

	"github.com/guardwright/guardwright/model"
	"github.com/stretchr/testify/require"
)

// plant describes a plant: chains of ten modules with eight devices each, two chains on a supply, both circuits
// protected apart.
func plant(modules int, shared bool) model.Description {
	amperes := func(x float64) *model.Current { return new(model.Current(x)) }
	fuse := model.ProtectionType{Kind: model.SelfResetting, Rated: 1.5,
		Trip:             []model.TripPoint{{Current: 3, Time: 10}, {Current: 8, Time: 1}},
		Hold:             []model.TripPoint{{Current: 1.5, Time: 3600}},
		TemperatureTable: []model.RatioAt{{At: 0, Ratio: 1.1}, {At: 25, Ratio: 1}, {At: 60, Ratio: 0.71}}}
	d := model.Description{
		Format: 1, Machine: "Plant",
		Ambient: model.TemperatureRange{Min: new(model.Celsius(5)), Max: new(model.Celsius(40))},
		Types: model.Types{
			Connectors: map[string]model.ConnectorType{
				"m12":  {Contacts: 5, Rating: 4, ContactResistance: 0.005, BaseCurve: []model.CurrentAt{{At: 20, Current: 8.6}, {At: 80, Current: 2.1}}},
				"plug": {Contacts: 5, Rating: 16, ContactResistance: 0.003},
			},
			Cables: map[string]model.CableType{
				"sensor": {Cores: 5, Section: 0.34, Resistance: model.OhmsPerKilometre(57), Ends: []string{"m12", "m12"}},
				"power":  {Cores: 4, Section: 2.5, Ends: []string{"plug", "plug"}},
			},
			Supplies: map[string]model.SupplyType{"ps": {Min: 23.8, Max: 24.5, Rated: 20, Limit: 25, SourceResistance: 0.002}},
			Protections: map[string]model.ProtectionType{
				"fuse":       fuse,
				"electronic": {Kind: model.Electronic, Rated: 8, Trip: []model.TripPoint{{Current: 10, Time: 0.1}}, Hold: []model.TripPoint{{Current: 9, Time: 3600}}},
			},
			Modules: map[string]model.ModuleType{"io8": {
				Ports:   map[string]model.PortType{"1-8": {Contacts: 5, Connector: "m12", Inputs: 2, Fuse: "fuse", ActuatorFuse: "fuse", Limit: 1.5, ActuatorLimit: 1.5, SharedReturn: shared}},
				Loads:   map[string]model.LoadType{"electronics": {Power: new(model.Power(2)), Min: 18}},
				PowerIn: "plug", PowerOut: "plug", PassResistance: 0.003, PassLimit: 16, SensorLimit: 8, ActuatorLimit: 8, CommonZeroVolt: &shared,
			}},
			Devices: map[string]model.DeviceType{
				"switch": {Kind: "guard-switch", Loads: map[string]model.LoadType{"electronics": {Current: amperes(0.03), Min: 20.4, Max: 26.4}}},
				"lock": {Kind: "guard-lock", Loads: map[string]model.LoadType{
					"electronics": {Power: new(model.Power(1)), Min: 19.2, Max: 30, Inrush: &model.Inrush{Capacitance: 47e-6}},
					"coil":        {Circuit: model.Actuator, Resistance: new(model.Resistance(150)), Min: 12, PullIn: 18, Max: 28.8},
				}},
			},
		},
		Devices: map[string]model.DeviceSpec{}, Modules: map[string]model.ModuleSpec{},
		Power: model.PowerSpec{Supplies: map[string]model.SupplySpec{}, Protections: map[string]model.ProtectionSpec{}, Feeds: map[string]model.FeedSpec{}},
	}
	for i := range modules {
		addModule(&d, i)
	}
	return d
}

// addModule adds the i-th module with its devices and its feed.
func addModule(d *model.Description, i int) {
	name := fmt.Sprintf("m%d", i)
	ports := map[string]model.PortSpec{}
	for p := 1; p <= 8; p++ {
		device, kind := fmt.Sprintf("d%d_%d", i, p), "switch"
		if p%4 == 0 {
			kind = "lock"
		}
		d.Devices[device] = model.DeviceSpec{Type: kind}
		ports[fmt.Sprint(p)] = model.PortSpec{Device: device, Cable: &model.CableRunSpec{Type: "sensor", Length: model.Length(3 + p)}}
	}
	d.Modules[name] = model.ModuleSpec{Type: "io8", Ports: ports}
	feed := model.FeedSpec{To: name, Cable: &model.CableRunSpec{Type: "power", Length: 4}}
	if i%10 != 0 {
		feed.From = fmt.Sprintf("m%d", i-1)
	} else {
		supply := fmt.Sprintf("ps%d", i/20)
		d.Power.Supplies[supply] = model.SupplySpec{Type: "ps"}
		for _, c := range model.Circuits() {
			q := fmt.Sprintf("q%d_%s", i/10, c)
			d.Power.Protections[q] = model.ProtectionSpec{Type: "electronic", From: supply}
			if c == model.Sensor {
				feed.Sensor = &model.FeedCircuitSpec{From: q}
			} else {
				feed.Actuator = &model.FeedCircuitSpec{From: q}
			}
		}
	}
	d.Power.Feeds["f"+name] = feed
}

func benchmarkPlant(b *testing.B, modules int, shared bool) {
	m, err := model.Build(plant(modules, shared))
	require.NoError(b, err)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Compute(context.Background(), m, Options{}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkCompute(b *testing.B) {
	for _, n := range []int{100, 1000, 10000} {
		b.Run(fmt.Sprintf("modules=%d", n), func(b *testing.B) { benchmarkPlant(b, n, false) })
	}
	b.Run("modules=1000,shared returns", func(b *testing.B) { benchmarkPlant(b, 1000, true) })
}

func BenchmarkLongestRun(b *testing.B) {
	m, err := model.Build(plant(20, false))
	require.NoError(b, err)
	for b.Loop() {
		if _, err := LongestRun(context.Background(), m, m.Power.Feeds[0]); err != nil {
			b.Fatal(err)
		}
	}
}
