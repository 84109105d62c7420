package radial

import (
	"errors"
	"math"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestNewRefuses(t *testing.T) {
	good := []Node{{Parent: Root}, {Parent: 0}, {Parent: 1}}
	with := func(i int, node Node) []Node {
		nodes := append([]Node(nil), good...)
		nodes[i] = node
		return nodes
	}
	for _, test := range []struct {
		name   string
		source Source
		nodes  []Node
		node   int
		text   string
	}{
		{"no nodes", Source{Voltage: 24}, nil, -1, "none of the 0 nodes"},
		{"zero source", Source{}, good, -1, "source voltage is 0 V"},
		{"negative source", Source{Voltage: -24}, good, -1, "source voltage is -24 V"},
		{"not a number", Source{Voltage: math.NaN()}, good, -1, "source voltage is NaN V"},
		{"infinite", Source{Voltage: math.Inf(1)}, good, -1, "source voltage is +Inf V"},
		{"source resistance", Source{24, -1}, good, -1, "source resistance is -1 ohm"},
		{"zero node", Source{Voltage: 24}, []Node{{}}, -1, "parent -1"},
		{"own parent", Source{Voltage: 24}, with(1, Node{Parent: 1}), 1, "leads back"},
		{"cycle", Source{Voltage: 24}, with(1, Node{Parent: 2}), 1, "leads back"},
		{"two roots", Source{Voltage: 24}, with(2, Node{Parent: Root}), 2, "neither has node 0"},
		{"parent too large", Source{Voltage: 24}, with(2, Node{Parent: 3}), 2, "parent 3 does not exist"},
		{"parent too small", Source{Voltage: 24}, with(2, Node{Parent: -2}), 2, "parent -2 does not exist"},
		{"plus", Source{Voltage: 24}, with(1, Node{RPlus: -1}), 1, "plus conductor resistance is -1 ohm"},
		{"return", Source{Voltage: 24}, with(1, Node{RMinus: math.Inf(1)}), 1, "return conductor resistance is +Inf ohm"},
		{"current", Source{Voltage: 24}, with(1, Node{Current: -0.1}), 1, "constant current is -0.1 A"},
		{"power", Source{Voltage: 24}, with(1, Node{Power: math.NaN()}), 1, "constant power is not a number"},
		{"too small", Source{Voltage: 24}, with(1, Node{Power: 1e-300}), 1, "constant power is 1e-300 W"},
		{"conductance", Source{Voltage: 24}, with(1, Node{Conductance: 1e13}), 1, "conductance is 1e+13 S"},
	} {
		t.Run(test.name, func(t *testing.T) {
			tree, err := New(test.source, test.nodes)
			require.Nil(t, tree)
			var input *InputError
			require.True(t, errors.As(err, &input), "%v", err)
			require.Equal(t, test.node, input.Node)
			require.ErrorContains(t, err, test.text)
		})
	}
}

// Extreme values inside the limits end in a number or a refusal, never in NaN.
func TestExtremeValues(t *testing.T) {
	values := []float64{0, 4e-30, 1e-6, 1, 1e6, 1e12}
	for _, vs := range []float64{1e-6, 24, 1e12} {
		for _, r := range values {
			for _, p := range values {
				for _, i := range values {
					for _, g := range values {
						tree, err := New(Source{vs, r}, []Node{
							{Parent: Root, RPlus: r, Current: i, Conductance: g},
							{Parent: 0, RMinus: r, Power: p},
							{Parent: 0, RPlus: 1, Power: p / 3, Conductance: g},
						})
						require.NoError(t, err)
						sol, err := tree.Solve()
						if err != nil {
							require.ErrorAs(t, err, new(*NoSolutionError))
							continue
						}
						for k := range sol.Voltage {
							require.Positive(t, sol.Voltage[k])
							require.False(t, math.IsNaN(sol.Branch[k]+sol.Plus[k]+sol.Minus[k]+sol.ErrorEstimate))
						}
						c, err := tree.Collapse()
						require.NoError(t, err)
						require.GreaterOrEqual(t, c.Lower, 1-1e-11, "Vs %g R %g P %g I %g G %g", vs, r, p, i, g)
						require.LessOrEqual(t, c.Lower, c.Upper)
					}
				}
			}
		}
	}
}

// The continuous limit of a chain of constant currents is parabolic; W10 gives
// its discrete form: drop at the end = I R (N+1)/(2N).
func TestLongChain(t *testing.T) {
	const n = 100000
	nodes := make([]Node, n)
	for i := range nodes { // listed from the far end
		nodes[i] = Node{Parent: i + 1, RPlus: 0.5 / n, RMinus: 0.5 / n, Current: 4.0 / n}
	}
	nodes[n-1].Parent = Root
	sol := mustSolve(t, Source{Voltage: 24}, nodes)
	require.InDelta(t, 24-4*(n+1.0)/(2*n), sol.Voltage[0], 1e-9)
	require.InDelta(t, 4, sol.SourceCurrent, 1e-9)

	for i := range nodes {
		nodes[i].Power = 48.0 / n
	}
	tree, err := New(Source{Voltage: 24}, nodes)
	require.NoError(t, err)
	withPower, err := tree.Solve()
	require.NoError(t, err)
	require.Less(t, withPower.Residual, 1e-10)
	require.Less(t, withPower.ErrorEstimate, 1e-9)
	c, err := tree.Collapse()
	require.NoError(t, err)
	require.LessOrEqual(t, c.Upper-c.Lower, 1e-9*c.Upper)
}

func TestLargeTree(t *testing.T) {
	const n = 1000000
	source, nodes := randomNodes(newRand(3), n)
	sol := mustSolve(t, source, nodes)
	require.Less(t, sol.Residual, 1e-9)
	require.Less(t, sol.ErrorEstimate, 1e-9)
}

func TestTreeIsSafeForConcurrentUse(t *testing.T) {
	tree, err := New(benchNodes(200))
	require.NoError(t, err)
	want, err := tree.Solve()
	require.NoError(t, err)
	var wait sync.WaitGroup
	for range 4 {
		wait.Go(func() {
			for range 20 {
				got, err := tree.Solve()
				if err != nil || got.Voltage[17] != want.Voltage[17] {
					t.Error("a second solution differs", err)
				}
				if _, err := tree.Collapse(); err != nil {
					t.Error(err)
				}
			}
		})
	}
	wait.Wait()
}
