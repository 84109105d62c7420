package power

import (
	"context"
	"fmt"
	"testing"

	"github.com/guardwright/guardwright/model"
	"github.com/stretchr/testify/require"
)

// box is a supply with a protective device, a feed to one module and a device at its port. Replaceable: the supply's
// data, the feed's protective device, the port's fuse, the device's load, the length of the feed.
const box = `
format: 1
machine: Box
ambient: {min: 20 °C, max: 40 °C}
types:
  connectors: {m12: {contacts: 5, rating: 4 A}, plug: {contacts: 5, rating: 16 A}}
  cables:
    power: {cores: 4, section: 2.5 mm2, ends: [plug, plug]}
    sensor: {cores: 5, section: 0.34 mm2, resistance: 57 ohm/km, ends: [m12, m12]}
  supplies: {ps: {min: 23.5 V, max: 24.5 V, rated: 10 A, %s}}
  protections:
    feed: {%s}
    fuse: {%s}
  modules: {m: {power_in: plug, power_out: plug, pass_limit: 16 A, sensor_limit: 8 A, ports: {"1": {connector: m12, limit: 1.5 A, fuse: fuse}, "2": {connector: m12}}}}
  devices: {d: {kind: light-curtain, loads: {e: {min: 20.4 V, max: 28.8 V, %s}}}}
devices: {d1: {type: d}}
modules: {m1: {type: m, ports: {"1": {device: d1, cable: {type: sensor, length: 5 m}}}}}
power:
  fault_time: 200 ms
  supplies: {ps1: {type: ps}}
  protections: {q1: {type: feed, from: ps1}}
  feeds: {f1: {to: m1, cable: {type: power, length: %s}, sensor: {from: q1}}}
`

const (
	goodSupply = "limit: 30 A, boost: {current: 80 A, duration: 30 ms}, source_resistance: 10 mohm, max_capacitance: 2 mF"
	goodFeed   = "kind: electronic, rated: 6 A, trip: [{current: 9 A, time: 100 ms}], hold: [{current: 7 A, time: 1 h}, {current: 90 A, time: 20 ms}]"
	goodFuse   = "kind: electronic, rated: 2 A, trip: [{current: 4 A, time: 10 ms}], hold: [{current: 2.5 A, time: 1 h}, {current: 40 A, time: 2 ms}]"
	goodLoad   = "power: 10 W, inrush: {capacitance: 100 uF}"
)

func boxed(t *testing.T, supply, feed, fuse, load1, length string) *Result {
	t.Helper()
	return compute(t, load(t, fmt.Sprintf(box, supply, feed, fuse, load1, length)))
}

func TestGoodBox(t *testing.T) {
	r := boxed(t, goodSupply, goodFeed, goodFuse, goodLoad, "10 m")
	for item := range r.Checks() {
		require.NotEqual(t, Beyond, item.Status, "%+v", item)
		require.NotEqual(t, Unknown, item.Status, "%+v", item)
		require.NotEqual(t, NotCovered, item.Status, "%+v", item)
	}
	require.Len(t, r.Selectivity, 1)
	require.Equal(t, Within, r.Selectivity[0].Status)
	require.Equal(t, 1, r.Modules[0].Free)
	port := r.port(t, "m1", "1", model.Sensor)
	require.Equal(t, Lowest, port.Current.Case, "constant power draws most at the lowest voltage")
	require.InDelta(t, 1-float64(r.Supplies[0].Current.Value)/10, float64(r.Supplies[0].Spare), 1e-12)
	require.Equal(t, "modules.m1.ports.1", port.Run.Protective.Origin().Path)
	require.Equal(t, "power.protections.q1", r.feed(t, "f1", model.Sensor).Run.Protective.Origin().Path)
}

// A resistive load draws most at the highest voltage.
func TestGreatestCurrentOfResistiveLoad(t *testing.T) {
	r := boxed(t, goodSupply, goodFeed, goodFuse, "resistance: 40 ohm", "10 m")
	require.Equal(t, HighestLoaded, r.port(t, "m1", "1", model.Sensor).Current.Case)
	require.Equal(t, HighestLoaded, r.Supplies[0].Current.Case)
}

// A supply that limits cannot open a breaker whose band starts above its limit; its boost can, while it lasts.
func TestSupplyAndBreaker(t *testing.T) {
	const c6 = "kind: breaker, rated: 6 A, characteristic: C, dc_factor: 1.5" // needs 90 A
	limited := boxed(t, "limit: 12 A", c6, goodFuse, goodLoad, "1 m").Protections[0]
	require.Equal(t, Beyond, limited.Fault.Trip.Status)
	require.InDelta(t, 90, float64(limited.Fault.Trip.Limit), 1e-9)
	require.Equal(t, Beyond, limited.Fault.Opens.Status, "a minute by the thermal curve at best: %+v", limited.Fault.Opens)

	boosted := boxed(t, "limit: 12 A, boost: {current: 100 A, duration: 150 ms}", c6, goodFuse, goodLoad, "1 m").Protections[0]
	require.Equal(t, Within, boosted.Fault.Trip.Status)
	require.Equal(t, model.Duration(0.1), boosted.Fault.Opens.Value)

	short := boxed(t, "limit: 12 A, boost: {current: 100 A, duration: 50 ms}", c6, goodFuse, goodLoad, "1 m").Protections[0]
	require.Equal(t, Beyond, short.Fault.Trip.Status, "the boost ends before the breaker is sure to have opened")
}

func TestUndecidable(t *testing.T) {
	noFactor := boxed(t, goodSupply, "kind: breaker, rated: 6 A, characteristic: C", goodFuse, goodLoad, "10 m")
	trip := noFactor.Protections[0].Fault.Trip
	require.Equal(t, NotCovered, trip.Status)
	require.Contains(t, trip.Why, "dc_factor")
	require.Equal(t, NotCovered, noFactor.Selectivity[0].Status)
	require.Contains(t, noFactor.Selectivity[0].Why, "dc_factor")

	noLimit := boxed(t, "source_resistance: 10 mohm", goodFeed, goodFuse, goodLoad, "10 m").Protections[0]
	require.False(t, noLimit.Fault.Known)
	require.Equal(t, Unknown, noLimit.Fault.Trip.Status)
	require.Contains(t, noLimit.Fault.Trip.Why, "limit")

	noPoints := boxed(t, goodSupply, "kind: electronic, rated: 6 A", goodFuse, goodLoad, "10 m").Protections[0]
	require.Equal(t, NotCovered, noPoints.Fault.Trip.Status)
	require.Contains(t, noPoints.Fault.Trip.Why, "trip points")
}

// A breaker in front of a port fuse that needs 100 ms is not selective when the fault current reaches its band.
func TestSelectivity(t *testing.T) {
	slow := "kind: electronic, rated: 2 A, trip: [{current: 4 A, time: 150 ms}]"
	r := boxed(t, "limit: 60 A, source_resistance: 10 mohm", "kind: breaker, rated: 2 A, characteristic: B, dc_factor: 1.0", slow, goodLoad, "1 m")
	s := r.Selectivity[0]
	require.Equal(t, Beyond, s.Status)
	require.NotNil(t, s.UpstreamHolds)
	require.Less(t, *s.UpstreamHolds, *s.DownstreamOpens)
	quick := "kind: electronic, rated: 2 A, trip: [{current: 4 A, time: 5 ms}]"
	s = boxed(t, "limit: 60 A, source_resistance: 10 mohm", "kind: electronic, rated: 6 A, hold: [{current: 70 A, time: 10 ms}], trip: [{current: 8 A, time: 50 ms}]",
		quick, goodLoad, "1 m").Selectivity[0]
	require.Equal(t, Within, s.Status, "%+v", s)
	require.LessOrEqual(t, s.From, s.To)
	require.Positive(t, s.Beside)
}

// While other loads draw, less of the supply's limit is left for the fault, and the drop lowers it.
func TestAssuredFaultCurrent(t *testing.T) {
	r := boxed(t, "limit: 100 A", goodFeed, goodFuse, "current: 1.2 A", "10 m")
	port := r.port(t, "m1", "1", model.Sensor).Run.Fault
	require.NotNil(t, port.Assured)
	require.Less(t, *port.Assured, port.Current)
	point := r.port(t, "m1", "1", model.Sensor).Points[Lowest]
	require.InDelta(t, float64(point.Voltage)/float64(port.Loop), float64(*port.Assured), 1e-9)
}

func TestInrushAgainstProtection(t *testing.T) {
	heavy := "power: 10 W, inrush: {capacitance: 4700 uF}"
	r := boxed(t, goodSupply, goodFeed, goodFuse, heavy, "10 m")
	require.Equal(t, Beyond, r.Supplies[0].Inrush.Capacity.Status)
	port := r.port(t, "m1", "1", model.Sensor).Inrush
	require.Equal(t, Beyond, port.Hold.Status)
	require.Equal(t, 1, port.Stated)
	light := boxed(t, goodSupply, goodFeed, "kind: melting-fuse, rated: 2 A, melt_min: 5 A²s, melt_max: 20 A²s", goodLoad, "10 m")
	require.Equal(t, Within, light.port(t, "m1", "1", model.Sensor).Inrush.Hold.Status, "30 mA²s do not melt a fuse of 5 A²s")
	none := boxed(t, goodSupply, goodFeed, goodFuse, "power: 10 W", "10 m")
	require.Equal(t, Unknown, none.Protections[0].Inrush.Hold.Status)
	require.Equal(t, 1, none.Protections[0].Inrush.Unstated)
}

// Empty capacitors draw whatever the supply gives: that it limits for a moment is not against a limit of the supply,
// the largest capacitance tells whether it starts.
func TestInrushAboveTheBoost(t *testing.T) {
	r := boxed(t, "limit: 11 A, boost: {current: 15 A, duration: 5 s}, max_capacitance: 10 mF", goodFeed, goodFuse,
		"power: 10 W, inrush: {capacitance: 4700 uF}", "1 m")
	in := r.Supplies[0].Inrush
	require.Equal(t, NotCovered, in.Hold.Status, "%+v", in)
	require.Equal(t, Within, in.Capacity.Status)
}

// A load that is stated to have no inrush counts as stated, and only its operating current flows.
func TestStatedToHaveNoInrush(t *testing.T) {
	r := boxed(t, goodSupply, goodFeed, goodFuse, "resistance: 60 ohm, inrush: {none: true}", "10 m")
	in := r.port(t, "m1", "1", model.Sensor).Inrush
	require.Equal(t, 1, in.Stated)
	require.Zero(t, in.Unstated)
	require.Equal(t, Within, in.Hold.Status, "%+v", in)
	require.InDelta(t, float64(*in.Steady), float64(in.Hold.Value), 1e-12)
}

// A conductor too thin for what the device in front of it lets through.
func TestOverloadAndWithstand(t *testing.T) {
	r := boxed(t, "limit: 400 A, source_resistance: 1 mohm", goodFeed,
		"kind: electronic, rated: 10 A, trip: [{current: 20 A, time: 1 s}]", goodLoad, "1 m")
	run := r.port(t, "m1", "1", model.Sensor).Run
	require.Equal(t, Beyond, run.Overload.Status, "10 A before 0.34 mm²")
	require.Equal(t, Beyond, run.Withstand.Status, "%+v", run.Withstand)
	feed := r.feed(t, "f1", model.Sensor).Run
	require.Equal(t, Within, feed.Overload.Status)
	// 400 A for 100 ms against (115·2.5)².
	require.InDelta(t, 16000, float64(feed.Withstand.Value), 1e-6)
	require.InDelta(t, 82656.25, float64(feed.Withstand.Limit), 1e-9)
}

// A network without an operating point says where it fails and by how much, and the other networks are still given.
func TestNoOperatingPoint(t *testing.T) {
	text := `
format: 1
machine: Two branches
ambient: {min: 20 °C, max: 20 °C}
types:
  cables: {wire: {cores: 2, section: 1.5 mm2, resistance: 10 ohm/km}}
  supplies: {ps: {min: 24 V, max: 24 V, rated: 20 A, limit: 30 A}}
  controllers: {big: {loads: {p: {power: 73 W}}}, small: {loads: {p: {power: 10 W}}}}
controllers: {c1: {type: big}, c2: {type: small}}
power:
  hot_conductor: 20 °C
  supplies: {ps1: {type: ps}}
  feeds:
    f1: {to: c1, cable: {type: wire, length: 100 m}, sensor: {from: ps1}}
    f2: {to: c2, cable: {type: wire, length: 1 m}, sensor: {from: ps1}}
`
	r := compute(t, load(t, text))
	require.Len(t, r.Networks, 2)
	failed, fine := r.Networks[0].Operation[Lowest], r.Networks[1].Operation[Lowest]
	require.Equal(t, NoOperatingPoint, failed.Status)
	// 72 W is the most that 24 V gives behind 2 Ω (example W7).
	require.InDelta(t, 72.0/73, float64(failed.Collapse.Lower), 1e-9)
	require.InDelta(t, 1, float64(failed.Collapse.Excess), 1e-6)
	require.Equal(t, "power.feeds.f1", failed.Collapse.Edge.Origin().Path)
	require.Contains(t, failed.Why, "power.feeds.f1")
	require.Equal(t, Solved, fine.Status)
	require.Equal(t, Unknown, r.load(t, "c1", "p").Lowest.Status)
	require.Equal(t, NoLimit, r.load(t, "c2", "p").Lowest.Status)
	require.Equal(t, Unknown, r.Supplies[0].Current.Status, "the current of a supply with a collapsed branch is not known")
	require.False(t, r.Supplies[0].Points[Lowest].Solved)
}

// A hot supply is derated, and air hotter than its table is not covered.
func TestSupplyDerating(t *testing.T) {
	table := "limit: 30 A, derating_table: [{at: 30 °C, ratio: 100 %}, {at: 50 °C, ratio: 50 %}]"
	s := boxed(t, table, goodFeed, goodFuse, goodLoad, "1 m").Supplies[0]
	require.InDelta(t, 0.75, float64(s.Derating), 1e-12)
	require.InDelta(t, 7.5, float64(s.Current.Limit), 1e-12)
	short := "limit: 30 A, derating_table: [{at: 30 °C, ratio: 100 %}]"
	require.Equal(t, NotCovered, boxed(t, short, goodFeed, goodFuse, goodLoad, "1 m").Supplies[0].Current.Status)
}

// Magnets that pull draw their inrush current, all at once.
func TestPullInVoltage(t *testing.T) {
	r := boxed(t, goodSupply, goodFeed, goodFuse, "resistance: 50 ohm, pull_in: 21 V, inrush: {current: 2.5 A, duration: 20 ms}", "10 m")
	l := r.load(t, "d1", "e")
	require.Less(t, l.PullIn.Value, l.Lowest.Value)
	require.Equal(t, model.Current(2.5), l.Points[Pulling].Current)
	require.Equal(t, Pulling, l.PullIn.Case)
	require.Equal(t, Within, l.PullIn.Status)
}

func TestSelectedCases(t *testing.T) {
	m := load(t, fmt.Sprintf(box, goodSupply, goodFeed, goodFuse, goodLoad, "10 m"))
	r, err := Compute(context.Background(), m, Options{Cases: []Case{Nominal}})
	require.NoError(t, err)
	require.Equal(t, []Case{Nominal}, r.Cases)
	l := r.load(t, "d1", "e")
	require.True(t, l.Points[Nominal].Solved)
	require.False(t, l.Points[Lowest].Solved)
	require.Equal(t, Unknown, l.Lowest.Status)
	require.Contains(t, l.Lowest.Why, "not asked for")
	require.Equal(t, Unknown, r.Supplies[0].Current.Status)
}

func TestMissingData(t *testing.T) {
	m := load(t, fmt.Sprintf(box, goodSupply, goodFeed, goodFuse, goodLoad, "10 m"))
	cable := *m.Modules[0].Ports[0].Cable.Cable
	cable.Resistance = 0
	run := *m.Modules[0].Ports[0].Cable
	run.Cable = &cable
	m.Modules[0].Ports[0].Cable = &run
	_, err := Compute(context.Background(), m, Options{})
	require.ErrorContains(t, err, "state resistance")
	require.ErrorContains(t, err, "0.34 mm²")
	_, err = Compute(context.Background(), nil, Options{})
	require.Error(t, err)
	r, err := Compute(context.Background(), &model.Machine{}, Options{})
	require.NoError(t, err, "a machine without a supply has nothing to compute")
	require.Empty(t, r.Networks)
}

// Machines put together by hand with parts missing are refused, all problems at once.
func TestIncompleteMachines(t *testing.T) {
	supply := &model.Supply{Origin: model.Origin{Path: "ps"}, Type: &model.ResolvedSupplyType{SupplyType: model.SupplyType{Min: 24, Max: 24}}}
	module := &model.Module{Origin: model.Origin{Path: "m"}}
	feed := &model.Feed{Origin: model.Origin{Path: "f"}, To: model.Consumer{Module: module}, Cable: &model.CableRun{Origin: model.Origin{Path: "f.cable"}}}
	circuit := &model.FeedCircuit{Feed: feed, Circuit: model.Sensor, Supply: supply}
	feed.Circuits = []*model.FeedCircuit{circuit}
	loop := &model.Protection{Origin: model.Origin{Path: "q"}}
	loop.Upstream = loop
	around := &model.FeedCircuit{Feed: feed, Circuit: model.Actuator}
	around.Upstream = around
	for what, power := range map[string]model.PowerSystem{
		"no type":         {Supplies: []*model.Supply{{Origin: model.Origin{Path: "ps"}}}},
		"min and max":     {Supplies: []*model.Supply{{Type: &model.ResolvedSupplyType{}}}},
		"loop":            {Supplies: []*model.Supply{supply}, Protections: []*model.Protection{loop}},
		"form a loop":     {Supplies: []*model.Supply{supply}, Feeds: []*model.Feed{{Circuits: []*model.FeedCircuit{around}}}},
		"cable has no":    {Supplies: []*model.Supply{supply}, Feeds: []*model.Feed{feed}},
		"comes from noth": {Feeds: []*model.Feed{feed}},
	} {
		_, err := Compute(context.Background(), &model.Machine{Power: power}, Options{})
		require.ErrorContains(t, err, what)
	}
	_, err := Compute(context.Background(), &model.Machine{Modules: []*model.Module{module}}, Options{})
	require.ErrorContains(t, err, "module has no type")
	for _, l := range []model.LoadType{{}, {Current: new(model.Current(1)), Power: new(model.Power(1))}, {Current: new(model.Current(-1))}, {Resistance: new(model.Resistance(0))}} {
		c := &model.Controller{Feeds: model.FeedsByCircuit{Sensor: circuit}, Loads: []*model.DeviceLoad{{LoadType: l, Circuit: model.Sensor}}}
		direct := &model.Feed{To: model.Consumer{Controller: c}, Circuits: []*model.FeedCircuit{{Feed: feed, Circuit: model.Sensor, Supply: supply}}}
		direct.Circuits[0].Feed = direct
		c.Feeds.Sensor = direct.Circuits[0]
		m := &model.Machine{Controllers: []*model.Controller{c}, Power: model.PowerSystem{Supplies: []*model.Supply{supply}, Feeds: []*model.Feed{direct}}}
		_, err := Compute(context.Background(), m, Options{})
		require.Error(t, err, "%+v", l)
	}
}

// A peak current without its duration never ends.
func TestInrushWithoutDuration(t *testing.T) {
	d := decay(&Inrush{Peak: new(model.Current(5)), Steady: new(model.Current(1))}, &charge{endless: true}, 2)
	require.Nil(t, finite(d))
	require.Zero(t, decay(&Inrush{Peak: new(model.Current(5)), Steady: new(model.Current(1))}, &charge{endless: true}, 6))
}
