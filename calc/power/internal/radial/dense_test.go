package radial

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
)

// denseSolve is a second way to the operating point that shares nothing with
// the tree elimination: the matrix of shared path resistances, built node by
// node, and Newton's method with a general linear solver. It reports whether
// it found a positive solution.
func denseSolve(source Source, nodes []Node) ([]float64, bool) {
	n := len(nodes)
	shared := sharedResistance(source, nodes)
	v := make([]float64, n)
	for i := range v {
		v[i] = source.Voltage
	}
	jacobian, residual, step := mat.NewDense(n, n, nil), mat.NewVecDense(n, nil), mat.NewVecDense(n, nil)
	for range 300 {
		for i := range n {
			f := v[i] - source.Voltage
			for j, node := range nodes {
				r := shared[i][j]
				f += r * (node.Current + node.Conductance*v[j] + node.Power/v[j])
				d := r * (node.Conductance - node.Power/(v[j]*v[j]))
				if i == j {
					d++
				}
				jacobian.Set(i, j, d)
			}
			residual.SetVec(i, f)
		}
		if step.SolveVec(jacobian, residual) != nil {
			return nil, false
		}
		largest := 0.0
		for i := range v {
			v[i] -= step.AtVec(i)
			largest = max(largest, math.Abs(step.AtVec(i)))
			if !(v[i] > 0) {
				return nil, false
			}
		}
		if largest < 1e-11*source.Voltage { // the error left is far smaller
			return v, true
		}
	}
	return nil, false
}

// sharedResistance returns for each pair of nodes the loop resistance that
// their ways from the source have in common.
func sharedResistance(source Source, nodes []Node) [][]float64 {
	path := func(i int) map[int]bool {
		on := map[int]bool{}
		for ; i >= 0; i = nodes[i].Parent {
			on[i] = true
		}
		return on
	}
	shared := make([][]float64, len(nodes))
	for i := range nodes {
		shared[i] = make([]float64, len(nodes))
		on := path(i)
		for j := range nodes {
			sum := source.Resistance
			for k := j; k >= 0; k = nodes[k].Parent {
				if on[k] {
					sum += nodes[k].RPlus + nodes[k].RMinus
				}
			}
			shared[i][j] = sum
		}
	}
	return shared
}

func TestSolveAgainstDenseSolver(t *testing.T) {
	for seed := range uint64(150) {
		r := newRand(seed)
		source, nodes := randomNodes(r, 1+r.IntN(40))
		if seed%3 > 0 { // nearer to collapse, in part very near
			tree, err := New(source, nodes)
			require.NoError(t, err)
			c, err := tree.Collapse()
			require.NoError(t, err)
			if !math.IsInf(c.Lower, 1) {
				nodes = scalePower(nodes, c.Lower*(1-math.Pow(10, -5*r.Float64())))
			}
		}
		want, ok := denseSolve(source, nodes)
		require.True(t, ok, "seed %d: reference found no solution", seed)
		tree, err := New(source, nodes)
		require.NoError(t, err)
		got, err := tree.Solve()
		require.NoError(t, err, "seed %d", seed)
		require.InDeltaSlice(t, want, got.Voltage, 1e-9, "seed %d", seed)
		require.Less(t, got.Residual, 1e-12*source.Voltage)
		require.Less(t, got.ErrorEstimate, 1e-9)
		checkCircuit(t, source, nodes, got)
	}
}

// checkCircuit checks Ohm's and Kirchhoff's laws edge by edge.
func checkCircuit(t *testing.T, source Source, nodes []Node, sol *Solution) {
	t.Helper()
	sum := make([]float64, len(nodes)) // load and branch currents that leave a node
	for i, node := range nodes {
		load := node.Current + node.Conductance*sol.Voltage[i] + node.Power/sol.Voltage[i]
		require.InDelta(t, load, sol.Load[i], 1e-12)
		sum[i] += load
		plus, minus := source.Voltage-source.Resistance*sol.Branch[i], 0.0
		if node.Parent >= 0 {
			sum[node.Parent] += sol.Branch[i]
			plus, minus = sol.Plus[node.Parent], sol.Minus[node.Parent]
		} else {
			require.Equal(t, sol.Branch[i], sol.SourceCurrent)
		}
		require.InDelta(t, plus-node.RPlus*sol.Branch[i], sol.Plus[i], 1e-12)
		require.InDelta(t, minus+node.RMinus*sol.Branch[i], sol.Minus[i], 1e-12)
		require.InDelta(t, sol.Plus[i]-sol.Minus[i], sol.Voltage[i], sol.Residual+1e-12)
	}
	require.InDeltaSlice(t, sum, sol.Branch, 1e-12)
}

// TestCollapseAgainstDenseSolver brackets the collapse factor by whether the
// dense solver finds a solution.
func TestCollapseAgainstDenseSolver(t *testing.T) {
	for seed := range uint64(60) {
		r := newRand(1000 + seed)
		source, nodes := randomNodes(r, 1+r.IntN(12))
		if seed%4 == 0 { // a node that constant current alone pulls down to zero
			nodes[r.IntN(len(nodes))].Current = 20 * r.Float64()
		}
		tree, err := New(source, nodes)
		require.NoError(t, err)
		c, err := tree.Collapse()
		if err != nil {
			_, ok := denseSolve(source, scalePower(nodes, 0))
			require.False(t, ok, "seed %d", seed)
			continue
		}
		if math.IsInf(c.Lower, 1) {
			_, ok := denseSolve(source, scalePower(nodes, 1e9))
			require.True(t, ok, "seed %d", seed)
			continue
		}
		require.LessOrEqual(t, c.Upper-c.Lower, 1e-11*c.Upper, "seed %d", seed)
		_, ok := denseSolve(source, scalePower(nodes, c.Lower*(1-1e-9)))
		require.True(t, ok, "seed %d: no solution below %g", seed, c.Lower)
		_, ok = denseSolve(source, scalePower(nodes, c.Upper*(1+1e-9)))
		require.False(t, ok, "seed %d: a solution above %g", seed, c.Upper)
	}
}
