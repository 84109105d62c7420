package radial

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// drawNetwork draws a network with an operating point.
func drawNetwork(t *rapid.T) (Source, []Node) {
	return randomNodes(newRand(rapid.Uint64().Draw(t, "seed")), rapid.IntRange(1, 60).Draw(t, "n"))
}

func mustSolve(t require.TestingT, source Source, nodes []Node) *Solution {
	tree, err := New(source, nodes)
	require.NoError(t, err)
	sol, err := tree.Solve()
	require.NoError(t, err)
	return sol
}

// More of any load raises no voltage, if there still is an operating point; and
// then the collapse factor does not rise. (More resistance may raise voltages
// elsewhere: a resistive load behind it draws less.)
func TestMoreLoadRaisesNoVoltage(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		source, nodes := drawNetwork(t)
		before := mustSolve(t, source, nodes)
		more := scalePower(nodes, 1)
		node := &more[rapid.IntRange(0, len(nodes)-1).Draw(t, "node")]
		amount := rapid.Float64Range(0, 0.5).Draw(t, "amount")
		amount = math.Round(amount*1e6) / 1e6 // New refuses 1e-300
		switch rapid.IntRange(0, 2).Draw(t, "what") {
		case 0:
			node.Current += amount
		case 1:
			node.Power += 24 * amount
		case 2:
			node.Conductance += amount / 24
		}
		tree, err := New(source, more)
		require.NoError(t, err)
		after, err := tree.Solve()
		if err != nil {
			require.ErrorAs(t, err, new(*NoSolutionError))
			return
		}
		tolerance := before.ErrorEstimate + after.ErrorEstimate
		for i := range nodes {
			require.LessOrEqual(t, after.Voltage[i], before.Voltage[i]+tolerance)
		}
		original, err := New(source, nodes)
		require.NoError(t, err)
		wide, err := original.Collapse()
		require.NoError(t, err)
		narrow, err := tree.Collapse()
		require.NoError(t, err)
		require.LessOrEqual(t, narrow.Lower, wide.Upper*(1+1e-12))
	})
}

// With voltages times k, currents times k and powers times k² everything is
// the same but for the scale; so it is with resistances times k, currents and
// powers divided by k, conductances divided by k.
func TestScaling(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		source, nodes := drawNetwork(t)
		k := rapid.Float64Range(0.01, 100).Draw(t, "k")
		before := mustSolve(t, source, nodes)

		volts := scalePower(nodes, k*k)
		ohms := scalePower(nodes, 1/k)
		for i := range nodes {
			volts[i].Current *= k
			ohms[i].Current /= k
			ohms[i].Conductance /= k
			ohms[i].RPlus *= k
			ohms[i].RMinus *= k
		}
		louder := mustSolve(t, Source{k * source.Voltage, source.Resistance}, volts)
		thinner := mustSolve(t, Source{source.Voltage, k * source.Resistance}, ohms)
		for i, v := range before.Voltage {
			require.InDelta(t, v, louder.Voltage[i]/k, 1e-10)
			require.InDelta(t, v, thinner.Voltage[i], 1e-10)
			require.InDelta(t, before.Branch[i], thinner.Branch[i]*k, 1e-10)
		}
	})
}

// The order in which the nodes are listed does not matter.
func TestNodeOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		source, nodes := drawNetwork(t)
		place := newRand(rapid.Uint64().Draw(t, "order")).Perm(len(nodes))
		moved := make([]Node, len(nodes))
		for i, node := range nodes {
			if node.Parent >= 0 {
				node.Parent = place[node.Parent]
			}
			moved[place[i]] = node
		}
		one, other := mustSolve(t, source, nodes), mustSolve(t, source, moved)
		for i := range nodes {
			require.InDelta(t, one.Voltage[i], other.Voltage[place[i]], 1e-11)
			require.InDelta(t, one.Plus[i], other.Plus[place[i]], 1e-11)
			require.InDelta(t, one.Minus[i], other.Minus[place[i]], 1e-11)
			require.InDelta(t, one.Branch[i], other.Branch[place[i]], 1e-11)
			require.InDelta(t, one.Load[i], other.Load[place[i]], 1e-11)
		}
	})
}

// At the collapse factor the bounds agree, the network can be solved below it
// and is refused above it.
func TestCollapseFactorDecides(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		source, nodes := drawNetwork(t)
		if i := rapid.IntRange(0, 3*len(nodes)).Draw(t, "heavy"); i < len(nodes) {
			nodes[i].Current += 15 // may reach zero volts first
		}
		tree, err := New(source, nodes)
		require.NoError(t, err)
		c, err := tree.Collapse()
		if err != nil || math.IsInf(c.Lower, 1) {
			return
		}
		require.LessOrEqual(t, c.Lower, c.Upper)
		require.LessOrEqual(t, c.Upper-c.Lower, 1e-10*c.Upper)
		sol := mustSolve(t, source, scalePower(nodes, c.Lower*(1-1e-8)))
		for _, v := range sol.Voltage {
			require.Positive(t, v)
		}
		beyond, err := New(source, scalePower(nodes, c.Upper*(1+1e-8)))
		require.NoError(t, err)
		_, err = beyond.Solve()
		var none *NoSolutionError
		require.ErrorAs(t, err, &none)
		require.InEpsilon(t, 1, none.Lower, 2e-8)
		require.InEpsilon(t, 1, none.Upper, 2e-8)
		require.Equal(t, c.Node, none.Node)
	})
}
