package radial

import (
	"errors"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func single(voltage, loop, current, power, conductance float64) *Tree {
	tree, err := New(Source{Voltage: voltage}, []Node{{Parent: Root, RPlus: loop / 3, RMinus: loop * 2 / 3,
		Current: current, Power: power, Conductance: conductance}})
	if err != nil {
		panic(err)
	}
	return tree
}

// For one node with all three loads, E = Vs - R I open voltage and r = R/(1+GR)
// the resistance seen, e = E/(1+GR): V = (e + sqrt(e² - 4 r P))/2 and the
// collapse factor is e²/(4 r P).
func TestSingleNodeClosedForm(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		vs := rapid.Float64Range(1, 600).Draw(t, "Vs")
		loop := rapid.Float64Range(1e-3, 10).Draw(t, "R")
		current := rapid.Float64Range(0, 0.9*vs/loop).Draw(t, "I")
		current = math.Round(current*1e6) / 1e6 // New refuses 1e-300
		g := rapid.Float64Range(0, 2).Draw(t, "G")
		g = math.Round(g*1e6) / 1e6
		e, r := (vs-loop*current)/(1+g*loop), loop/(1+g*loop)
		limit := e * e / (4 * r)
		share := 1 - math.Pow(10, -rapid.Float64Range(0.01, 8).Draw(t, "digits"))
		p := share * limit

		tree := single(vs, loop, current, p, g)
		sol, err := tree.Solve()
		require.NoError(t, err)
		d := 1 - p/limit
		want := (e + e*math.Sqrt(d)) / 2
		// The closed form itself loses about this much.
		tolerance := vs * (1e-14 + 1e-15/math.Sqrt(d))
		require.InDelta(t, want, sol.Voltage[0], tolerance)
		require.InDelta(t, want, sol.Voltage[0], 10*sol.ErrorEstimate)

		c, err := tree.Collapse()
		require.NoError(t, err)
		require.InEpsilon(t, limit/p, c.Lower, 1e-12)
		require.InEpsilon(t, limit/p, c.Upper, 1e-12)
		require.LessOrEqual(t, c.Lower, c.Upper)
		require.InDelta(t, e/2, c.Voltage, 1e-9*vs)
	})
}

func TestDoubleRoot(t *testing.T) {
	for _, test := range []struct {
		power      float64
		none       bool
		atCollapse bool
		tolerance  float64 // V
		reason     string
	}{
		{72, false, true, 1e-12, "the double root itself"},
		{72 * (1 - 1e-15), false, true, 12 * 1.2e-7, "not told from it"},
		{72 * (1 + 1e-13), false, true, 12 * 1.2e-7, "beyond by less than the tolerance"},
		{72 * (1 - 1e-13), false, false, 1e-8, "two roots 8e-6 V apart"},
		{72 * (1 - 1e-9), false, false, 1e-9, ""},
		{72 * (1 + 1e-11), true, false, 0, "beyond"},
		{73, true, false, 0, ""},
		{1e6, true, false, 0, ""},
	} {
		sol, err := single(24, 2, 0, test.power, 0).Solve()
		if test.none {
			var none *NoSolutionError
			require.True(t, errors.As(err, &none), "%g W: %v", test.power, err)
			require.InEpsilon(t, 72/test.power, none.Lower, 1e-12)
			require.Equal(t, 0, none.Node)
			require.Equal(t, 0, none.Edge)
			require.InDelta(t, 12, none.Voltage, 1e-9)
			require.InDelta(t, 12, none.Drop, 1e-9)
			continue
		}
		require.NoError(t, err, "%g W", test.power)
		require.Equal(t, test.atCollapse, sol.AtCollapse, "%g W", test.power)
		want := 12 * (1 + math.Sqrt(max(0, 1-test.power/72)))
		require.InDelta(t, want, sol.Voltage[0], test.tolerance, "%.17g W %s", test.power, test.reason)
		require.InDelta(t, want, sol.Voltage[0], sol.ErrorEstimate, "%.17g W", test.power)
		require.Less(t, sol.Residual, 1e-11)
	}
}

// The bounds must agree also where parts of the tree collapse at nearly or
// exactly the same factor: equal and nearly equal branches on an ideal source.
func TestCollapseOfEqualBranches(t *testing.T) {
	for _, difference := range []float64{0, 1e-14, 1e-12, 1e-11, 1e-10, 1e-9, 1e-8, 1e-7, 1e-6, 1e-3, 0.1} {
		nodes := []Node{{Parent: Root}}
		for range 5 {
			nodes = append(nodes, Node{Parent: 0, RPlus: 1, Power: 10})
		}
		nodes[3].Power *= 1 + difference
		tree, err := New(Source{Voltage: 24}, nodes)
		require.NoError(t, err)
		c, err := tree.Collapse()
		require.NoError(t, err)
		t.Log(difference, (c.Upper-c.Lower)/c.Upper)
		require.InEpsilon(t, 14.4/(1+difference), c.Lower, 1e-11)
		require.LessOrEqual(t, c.Upper-c.Lower, 1e-9*c.Upper)
		require.InDelta(t, 12, c.Voltage, 1e-4)
	}
}

// A node with constant current only can reach zero volts before the
// constant-power loads come to a fold. Here 24 V feed node 0 (constant power)
// over 1 ohm and from it node 1 (1 A) over r. Node 0 sees 23 V behind 1 ohm: the
// fold is at 11.5 V and 132.25 W. Node 1 is at zero when node 0 is at r volts,
// whose load then draws (23 - r) amperes.
func TestCollapseByZeroVoltage(t *testing.T) {
	network := func(resistance, power float64) *Tree {
		tree, err := New(Source{Voltage: 24}, []Node{
			{Parent: Root, RPlus: 1, Power: power},
			{Parent: 0, RMinus: resistance, Current: 1},
		})
		require.NoError(t, err)
		return tree
	}
	c, err := network(15, 60).Collapse()
	require.NoError(t, err)
	require.InEpsilon(t, 2, c.Lower, 1e-11)
	require.InEpsilon(t, 2, c.Upper, 1e-11)
	require.Equal(t, 1, c.Node)
	require.Equal(t, 1, c.Edge)
	require.InDelta(t, 15, c.Drop, 1e-6)
	_, err = network(15, 119.999999).Solve()
	require.NoError(t, err)
	_, err = network(15, 120.000001).Solve()
	require.Error(t, err)
	// With 11.5 ohm zero and fold coincide, and around it both limits compete.
	for _, r := range []float64{10, 11.4, 11.499, 11.499999, 11.5, 11.500001, 11.501, 11.6, 12} {
		want := 132.25
		if r > 11.5 {
			want = r * (23 - r)
		}
		c, err := network(r, 1).Collapse()
		require.NoError(t, err)
		require.InEpsilon(t, want, c.Lower, 1e-9, "%g ohm", r)
		require.LessOrEqual(t, c.Upper-c.Lower, 1e-9*c.Upper, "%g ohm", r)
	}
}

func TestNoSolutionWithoutPower(t *testing.T) {
	tree, err := New(Source{Voltage: 24, Resistance: 0.1}, []Node{
		{Parent: Root, RPlus: 0.1},
		{Parent: 0, RPlus: 1, Current: 10},
		{Parent: 1, RPlus: 2, Current: 9, Power: 1},
	})
	require.NoError(t, err)
	for name, f := range map[string]func() error{
		"Solve":    func() error { _, err := tree.Solve(); return err },
		"Collapse": func() error { _, err := tree.Collapse(); return err },
	} {
		var none *NoSolutionError
		require.True(t, errors.As(f(), &none), name)
		require.True(t, none.WithoutPower, name)
		require.Equal(t, 2, none.Node)
		require.Equal(t, 1, none.Edge) // 19 V against 18 V
		require.InDelta(t, 19, none.Drop, 1e-12)
		require.InDelta(t, 24-0.2*19-19-18, none.Voltage, 1e-12)
		require.Equal(t, 0.0, none.Upper)
		require.Contains(t, none.Error(), "constant currents alone")
	}
	// Exactly zero volts are no operating point either.
	_, err = single(24, 2, 12, 0, 0).Solve()
	require.Error(t, err)
}

func TestNoSolutionNamesThePlace(t *testing.T) {
	// A long thin cable to node 2, a second one in order.
	tree, err := New(Source{Voltage: 24, Resistance: 0.01}, []Node{
		{Parent: 1, RPlus: 0.05, RMinus: 0.05, Power: 20},
		{Parent: Root, RPlus: 0.05, RMinus: 0.05, Current: 1},
		{Parent: 3, RPlus: 0.1, RMinus: 0.1, Power: 60},
		{Parent: 1, RPlus: 2, RMinus: 2, Conductance: 0.01},
	})
	require.NoError(t, err)
	_, err = tree.Solve()
	var none *NoSolutionError
	require.True(t, errors.As(err, &none))
	require.Equal(t, 2, none.Node)
	require.Equal(t, 3, none.Edge)
	require.Greater(t, none.Lower, 0.4)
	require.Less(t, none.Upper, 0.6)
	require.Contains(t, none.Error(), "node 2")
	require.Contains(t, none.Error(), "node 3")
}

func TestNoLimit(t *testing.T) {
	for name, tree := range map[string]*Tree{
		"no constant power":             single(24, 2, 1, 0, 0.1),
		"power only without resistance": single(24, 0, 1, 100, 0.1),
	} {
		c, err := tree.Collapse()
		require.NoError(t, err, name)
		require.True(t, math.IsInf(c.Lower, 1) && math.IsInf(c.Upper, 1), name)
		require.Equal(t, -1, c.Node)
		require.Equal(t, -1, c.Edge)
	}
	sol, err := single(24, 2, 1, 0, 0.1).Solve()
	require.NoError(t, err)
	require.Zero(t, sol.Iterations)
}
