package power

import (
	"fmt"
	"math"
	"testing"

	"github.com/guardwright/guardwright/model"
	"github.com/stretchr/testify/require"
)

// shared is a module with one port; its device draws from both circuits over a cable with one 0 V core.
const shared = `
format: 1
machine: Shared return
ambient: {min: 20 °C, max: 20 °C}
types:
  connectors:
    plug: {contacts: 5, rating: 16 A}
  cables:
    power: {cores: 4, section: 2.5 mm2, resistance: 10 ohm/km}
    sensor: {cores: 5, section: 0.34 mm2, resistance: 50 ohm/km}
  supplies:
    ps: {min: 24 V, max: 24 V, rated: 20 A, limit: 25 A%s}
  modules:
    m: {power_in: plug, power_out: plug, ports: {1: {shared_return: %v}}, common_zero_volt: %v, pass_resistance: 10 mohm}
  devices:
    d: {kind: guard-lock, loads: {electronics: {circuit: sensor, %s}, coil: {circuit: actuator, %s}}}
devices:
  d1: {type: d}
  d2: {type: d}
modules:
  m1: {type: m, ports: {1: {device: d1, cable: {type: sensor, length: 10 m}}}}
  m2: {type: m, ports: {1: {device: d2, cable: {type: sensor, length: 10 m}}}}
power:
  hot_conductor: 20 °C
  cold_conductor: 20 °C
  supplies: {ps1: {type: ps}}
  feeds:
    f1: {to: m1, cable: {type: power, length: 20 m}, sensor: {from: ps1}, actuator: {from: ps1}}
    f2: {from: m1, to: m2, cable: {type: power, length: 30 m}}
`

// reference solves the network of the machine above by plain repetition of Kirchhoff's laws: V at the loads from
// currents, currents from V. It shares nothing with the library. source is the source resistance, own the 0 V joined
// inside the modules.
func reference(source float64, core, joined bool, sensor, coil func(v float64) float64) (electronics, magnet [2]float64) {
	const f1, f2, pass, port = 0.2, 0.3, 0.01, 0.5
	vs, va := [2]float64{24, 24}, [2]float64{24, 24}
	for range 20000 {
		var is, ia [2]float64
		for k := range 2 {
			is[k], ia[k] = sensor(vs[k]), coil(va[k])
		}
		top := 24 - source*(is[0]+is[1]+ia[0]+ia[1])
		// Plus potentials at the modules.
		s1 := top - f1*(is[0]+is[1])
		a1 := top - f1*(ia[0]+ia[1])
		s2, a2 := s1-(f2+pass)*is[1], a1-(f2+pass)*ia[1]
		// Return potentials at the modules.
		zs1, za1 := f1*(is[0]+is[1]), f1*(ia[0]+ia[1])
		zs2, za2 := zs1+(f2+pass)*is[1], za1+(f2+pass)*ia[1]
		if joined {
			zs1 = f1 / 2 * (is[0] + is[1] + ia[0] + ia[1])
			zs2 = zs1 + (f2+pass)/2*(is[1]+ia[1])
			za1, za2 = zs1, zs2
		}
		for k, at := range [2][4]float64{{s1, zs1, a1, za1}, {s2, zs2, a2, za2}} {
			backS, backA := port*is[k], port*ia[k]
			if core {
				backS, backA = port*(is[k]+ia[k]), port*(is[k]+ia[k])
			}
			vs[k] = at[0] - port*is[k] - at[1] - backS
			va[k] = at[2] - port*ia[k] - at[3] - backA
		}
	}
	return vs, va
}

// The shared core and the joined returns are solved exactly: the same as by repetition of Kirchhoff's laws, for all
// kinds of loads, with and without a source resistance.
func TestSharedReturns(t *testing.T) {
	power := func(p float64) func(float64) float64 { return func(v float64) float64 { return p / v } }
	constant := func(i float64) func(float64) float64 { return func(float64) float64 { return i } }
	resistive := func(r float64) func(float64) float64 { return func(v float64) float64 { return v / r } }
	loads := []struct {
		sensor, coil string
		is, ia       func(float64) float64
	}{
		{"current: 1 A", "current: 2 A", constant(1), constant(2)},
		{"power: 12 W", "power: 30 W", power(12), power(30)},
		{"power: 20 W", "resistance: 16 ohm", power(20), resistive(16)},
		{"resistance: 40 ohm", "resistance: 20 ohm", resistive(40), resistive(20)},
	}
	for _, l := range loads {
		for _, source := range []float64{0, 0.05} {
			for _, core := range []bool{false, true} {
				for _, joined := range []bool{false, true} {
					text := ""
					if source > 0 {
						text = fmt.Sprintf(", source_resistance: %v ohm", source)
					}
					r := compute(t, load(t, fmt.Sprintf(shared, text, core, joined, l.sensor, l.coil)))
					electronics, magnet := reference(source, core, joined, l.is, l.ia)
					for k, device := range []string{"d1", "d2"} {
						name := fmt.Sprintf("%s %s, source %v, core %v, joined %v", device, l.sensor, source, core, joined)
						require.InDelta(t, electronics[k], float64(r.load(t, device, "electronics").Points[Lowest].Voltage), 1e-9, name)
						require.InDelta(t, magnet[k], float64(r.load(t, device, "coil").Points[Lowest].Voltage), 1e-9, name)
					}
					require.Equal(t, core && !joined, len(r.Limits) > 0, "one contact for both circuits contradicts separate 0 V: %v", r.Limits)
				}
			}
		}
	}
}

// The common core carries both currents, and so do its contacts; joined returns share both by their resistances.
func TestCurrentsInSharedReturns(t *testing.T) {
	r := compute(t, load(t, fmt.Sprintf(shared, "", true, true, "current: 1 A", "current: 2 A")))
	port := r.port(t, "m1", "1", model.Sensor)
	require.InDelta(t, 3, float64(port.Run.ReturnCurrent.Value), 1e-12)
	require.InDelta(t, 1, float64(port.Run.Current.Value), 1e-12)
	feed := r.feed(t, "f1", model.Sensor)
	require.InDelta(t, 2, float64(feed.Run.Current.Value), 1e-12)
	require.InDelta(t, 3, float64(feed.Run.ReturnCurrent.Value), 1e-12, "half of 2 A and 4 A")
}

// With a shared core the loads that can be fed are fewer; the bounds of the collapse factor hold.
func TestCollapseOfSharedReturns(t *testing.T) {
	factor := func(scale float64) (Operation, *Result) {
		r := compute(t, load(t, fmt.Sprintf(shared, "", true, true, fmt.Sprintf("power: %v W", 10*scale), fmt.Sprintf("power: %v W", 20*scale))))
		return r.Networks[0].Operation[Lowest], r
	}
	operation, r := factor(1)
	require.Equal(t, Solved, operation.Status)
	require.Len(t, r.Networks, 1, "both circuits depend on each other")
	c := operation.Collapse
	require.NotNil(t, c)
	require.LessOrEqual(t, c.Lower, c.Upper)
	require.LessOrEqual(t, float64(c.Upper), 1.1*float64(c.Lower))
	below, _ := factor(float64(c.Lower) * 0.999)
	require.Equal(t, Solved, below.Status)
	above, r := factor(float64(c.Upper) * 1.02)
	require.Equal(t, NoOperatingPoint, above.Status)
	require.NotEmpty(t, above.Why)
	require.Equal(t, Unknown, r.load(t, "d1", "coil").Lowest.Status)
	require.True(t, math.Abs(float64(c.Power)-60) < 1e-9)
}

// Joined 0 V that is reached by ways which are not joined alike is not exact, and the result says so.
func TestUnevenJoinIsALimit(t *testing.T) {
	text := `
format: 1
machine: Uneven
ambient: {min: 20 °C, max: 20 °C}
types:
  connectors: {plug: {contacts: 5, rating: 16 A}}
  cables: {power: {cores: 4, section: 2.5 mm2}}
  supplies: {ps: {min: 24 V, max: 24 V, rated: 20 A, limit: 25 A}}
  modules:
    m: {power_in: plug, common_zero_volt: true, loads: {a: {current: 1 A}, b: {circuit: actuator, current: 3 A}}}
modules: {m1: {type: m}}
power:
  supplies: {ps1: {type: ps}, ps2: {type: ps}}
  feeds:
    f1: {to: m1, cable: {type: power, length: 20 m}, sensor: {from: ps1}, actuator: {from: ps2}}
`
	r := compute(t, load(t, text))
	require.Len(t, r.Limits, 1)
	require.Contains(t, r.Limits[0].Text, "may be too high")
	require.Equal(t, "modules.m1", r.Limits[0].Place.Path)
}

// Both circuits from one protective device with wiring of its own: the returns of the feed meet at both ends.
func TestJoinBehindOneProtection(t *testing.T) {
	text := `
format: 1
machine: One protection
ambient: {min: 20 °C, max: 20 °C}
types:
  connectors: {plug: {contacts: 5, rating: 16 A}}
  cables: {power: {cores: 4, section: 2.5 mm2, resistance: 10 ohm/km}}
  supplies: {ps: {min: 24 V, max: 24 V, rated: 20 A, limit: 25 A}}
  protections: {q: {kind: electronic, rated: 10 A}}
  modules:
    m: {power_in: plug, common_zero_volt: true, loads: {a: {current: 1 A}, b: {circuit: actuator, current: 3 A}}}
modules: {m1: {type: m}}
power:
  hot_conductor: 20 °C
  supplies: {ps1: {type: ps}}
  protections: {q1: {type: q, from: ps1, cable: {type: power, length: 5 m}}}
  feeds:
    f1: {to: m1, cable: {type: power, length: 20 m}, sensor: {from: q1}, actuator: {from: q1}}
`
	r := compute(t, load(t, text))
	require.Empty(t, r.Limits)
	// 4 A through 2·0.05 Ω to the device; 0.2 Ω of plus each; 4 A through the returns, 0.2 Ω each, in parallel.
	require.InDelta(t, 24-4*0.1-1*0.2-4*0.1, float64(r.load(t, "m1", "a").Points[Lowest].Voltage), 1e-9)
	require.InDelta(t, 24-4*0.1-3*0.2-4*0.1, float64(r.load(t, "m1", "b").Points[Lowest].Voltage), 1e-9)
}
