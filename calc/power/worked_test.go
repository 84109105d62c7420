package power

import (
	"context"
	"fmt"
	"testing"

	"github.com/guardwright/guardwright/model"
	"github.com/stretchr/testify/require"
)

// worked returns the check of one example's quantities against testdata.
func worked(t *testing.T, example string) func(quantity string, got float64) {
	t.Helper()
	rows := table(t, "worked.csv")
	return func(quantity string, got float64) {
		t.Helper()
		found := false
		for _, row := range rows {
			if row["example"] == example && row["quantity"] == quantity {
				agrees(t, row, got)
				found = true
			}
		}
		require.True(t, found, "%s has no quantity %q", example, quantity)
	}
}

// spread is a line with its load spread evenly over it: n parts, each with its load in its middle.
func spread(voltage, loop, current float64, n int) *network {
	out := &network{voltage: voltage}
	parent := ""
	for i := range n {
		r := loop / 2 / float64(n)
		if i == 0 {
			r /= 2
		}
		name := fmt.Sprintf("n%d", i+1)
		out.nodes = append(out.nodes, networkNode{name: name, parent: parent, plus: r, ret: r, current: current / float64(n)})
		parent = name
	}
	return out
}

// lastVoltage is the voltage at the end of a line in the case Lowest.
func lastVoltage(t *testing.T, n *network) float64 {
	t.Helper()
	r := compute(t, n.machine(t))
	return float64(r.feed(t, "f_"+n.nodes[len(n.nodes)-1].name, model.Sensor).Points[Lowest].Voltage)
}

// W2: 1000 m with 0.5 A/m fed from both ends at 220 V, each conductor 0.05 Ω/km. By symmetry no current crosses the
// middle, so either half is a line of its own.
func TestUniformLoadFromBothEnds(t *testing.T) {
	worked(t, "W2")("lowest voltage", lastVoltage(t, spread(220, 0.05, 250, 200)))
}

// W3: 25.09 V, 6.6 Ω loop, 0.8 A in all: spread over the line, and all at its end.
func TestMeasuredLine(t *testing.T) {
	check := worked(t, "W3")
	check("drop of a spread load", 25.09-lastVoltage(t, spread(25.09, 6.6, 0.8, 100)))
	end := &network{voltage: 25.09, nodes: []networkNode{{name: "n1", plus: 3.3, ret: 3.3, current: 0.8}}}
	check("drop of a load at the end", 25.09-lastVoltage(t, end))
}

// line is a supply, a protective device and one feed to a controller.
const line = `
format: 1
machine: Line
ambient: {min: 20 °C, max: 40 °C}
types:
  connectors:
    m12: {contacts: 5, rating: 4 A, contact_resistance: 5 mohm}
  cables:
    wire: {cores: 2, section: 1.5 mm2%s}
  supplies:
    ps: {min: 24 V, max: 24 V, rated: 100 A, limit: 500 A%s}
  protections:
    q: {%s}
  controllers:
    plc: {loads: {all: {%s}}}
controllers:
  c1: {type: plc}
power:
  fault_time: 100 ms
  supplies: {ps1: {type: ps}}
  protections: {q1: {type: q, from: ps1}}
  feeds:
    f1: {to: c1, cable: {type: wire, length: %s}, sensor: {from: q1}}
`

// W9 and W11: 24 V behind 0.02 Ω, 20 m of 1.5 mm² at 70 °C and four contacts of 5 mΩ. A C 2 A breaker opens at once
// (30 A on DC), a C 4 A breaker (60 A) need not.
func TestFaultCurrentOpensBreaker(t *testing.T) {
	check := worked(t, "W11")
	for rated, want := range map[string]Status{"2 A": Within, "4 A": Beyond} {
		breaker := "kind: breaker, characteristic: C, dc_factor: 1.5, rated: " + rated
		r := compute(t, load(t, fmt.Sprintf(line, ", ends: [m12, m12]", ", source_resistance: 20 mohm", breaker, "current: 0 A", "20 m")))
		run := r.feed(t, "f1", model.Sensor).Run
		check("loop", float64(run.Fault.Loop))
		check("fault current", float64(run.Fault.Current))
		require.Equal(t, want, run.Fault.Trip.Status, rated)
		require.InDelta(t, float64(run.Fault.Loop), float64(run.Fault.Source+run.Fault.Devices+run.Fault.Conductors+run.Fault.Contacts), 1e-15)
		require.NotNil(t, run.Fault.Assured)
		require.LessOrEqual(t, *run.Fault.Assured, run.Fault.Current)
		worked(t, "W9")("resistance at 70 °C", float64(run.Plus.AtHot)/20*1000)
		worked(t, "N3")("adiabatic k", adiabatic)
	}
}

// W12: B 6 A on DC needs 45 A; an ideal source of 24 V gives them through 16.76 m of 1.5 mm² at 70 °C at the most.
func TestLongestRunForFastTrip(t *testing.T) {
	m := load(t, fmt.Sprintf(line, "", "", "kind: breaker, characteristic: B, dc_factor: 1.5, rated: 6 A", "current: 0 A", "5 m"))
	answer, err := LongestRun(context.Background(), m, m.Power.Feeds[0])
	require.NoError(t, err)
	require.True(t, answer.Found)
	require.True(t, answer.Bounded)
	worked(t, "W12")("longest cable", float64(answer.Value))
	require.Equal(t, "fault current at the end", answer.Governs.Name)
	require.Equal(t, "power.feeds.f1", answer.Governs.Place.Path)
}

// W14: 1000 µF behind 0.8 Ω at 24 V.
func TestInrushOfOneCapacitor(t *testing.T) {
	// 40 m of a cable with 10 Ω/km: 0.8 Ω loop at 20 °C, the lowest temperature.
	r := compute(t, load(t, fmt.Sprintf(line, ", resistance: 10 ohm/km", "", "kind: electronic, rated: 10 A, hold: [{current: 40 A, time: 5 ms}]",
		"current: 0 A, inrush: {capacitance: 1000 uF}", "40 m")))
	in := r.Protections[0].Inrush
	check := worked(t, "W14")
	require.NotNil(t, in.Peak)
	check("peak", float64(*in.Peak))
	check("Joule integral", float64(in.JouleIntegral))
	require.Equal(t, Within, in.Hold.Status, "%+v", in)
	// 30 A fall to the 10 A that the device holds for ever within τ ln 3, τ = 0.8 ms.
	require.InDelta(t, 0.8e-3*1.0986122886681098, float64(*in.Decay), 1e-9)
}

// W13: 10 mF feeding 24 W from 24 V to 19.2 V: 43.2 ms.
func TestHoldUpTime(t *testing.T) {
	require.InDelta(t, 43.2e-3, float64(HoldUpTime(10e-3, 24, 19.2, 24)), 1e-12)
	require.Zero(t, HoldUpTime(10e-3, 19.2, 24, 24))
	require.Zero(t, HoldUpTime(10e-3, 24, 19.2, 0))
}

// W15: k²S² of 1.5 mm².
func TestAdiabaticLimit(t *testing.T) {
	check := worked(t, "W15")
	check("k²S²", float64(adiabaticLimit(1.5)))
	check("time at 100 A", float64(joule(adiabaticLimit(1.5), 100)))
}

// W17: a polymeric port fuse of 2.5 A in air of 60 °C.
func TestPolymericFuseInWarmAir(t *testing.T) {
	c := mustTables(t).newCurve(polymeric(2.5), model.AmbientRange{Min: 20, Max: 60})
	worked(t, "W17")("hold current at 60 °C", float64(c.forever))
}
