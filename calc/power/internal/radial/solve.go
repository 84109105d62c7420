package radial

import (
	"math"
	"slices"
)

// Solution is the operating point. The slices are indexed like the nodes given
// to New.
type Solution struct {
	Voltage []float64 // V, across the load: plus minus return
	Plus    []float64 // V, plus conductor against the source's minus
	Minus   []float64 // V, return conductor against the source's minus
	Branch  []float64 // A, through the node's own conductors, from the parent
	Load    []float64 // A, drawn by the loads at the node

	SourceCurrent float64 // A
	Iterations    int     // Newton steps; 0 without constant-power loads

	// Residual is the largest violation of the circuit equations in V: the
	// load currents at Voltage are added up to branch currents, and the
	// voltages these leave at the nodes are compared with Voltage.
	Residual float64

	// ErrorEstimate is an estimate in V of the error of Voltage that rounding
	// leaves: the residual times an amplification that grows towards collapse.
	ErrorEstimate float64

	// AtCollapse says that rounding does not let the operating point be told
	// from the double root at which the constant-power loads are the largest
	// possible ones. The solution given is then the double root.
	AtCollapse bool
}

const (
	// Constant-power loads above their limit by less than this fraction are
	// taken to be at the limit: the bounds of the limit carry rounding too.
	collapseTolerance = 1e-12
	// If the iteration failed and not even loads smaller by this fraction are
	// proved to have a solution, they are refused. Bounds that agree as they
	// should never let it come to that.
	unproved = 1e-9
	// Loads below their limit by less than this fraction, 16 roundings of the
	// data, have the double root as their solution.
	doubleRoot = 0x1p-48
	rounding   = 0x1p-52
)

// Solve computes the operating point. If there is none, the error is a
// *NoSolutionError.
func (t *Tree) Solve() (*Solution, error) {
	s := newScratch(len(t.parent))
	if !t.solveWithoutPower(s) {
		return nil, &NoSolutionError{Collapse: t.locate(0, 0, s.v0), WithoutPower: true}
	}
	copy(s.v, s.v0)
	if t.maxPower == 0 {
		return t.finish(s, &Solution{}), nil
	}
	r := t.newton(1, t.power, s)
	sol := &Solution{Iterations: r.iterations, ErrorEstimate: r.error}
	if r.ok && r.error <= 1e-11*t.voltage {
		return t.finish(s, sol), nil
	}
	// Either there is no solution or it lies near a double root.
	v := slices.Clone(s.v)
	collapse := t.collapse(s)
	if collapse.Upper < 1-collapseTolerance || !r.ok && collapse.Lower < 1-unproved {
		return nil, &NoSolutionError{Collapse: collapse}
	}
	if r.ok && collapse.Upper > 1+doubleRoot {
		s.v = v
		return t.finish(s, sol), nil
	}
	sol.AtCollapse = true
	// The two solutions lie to both sides of the double root, about this far.
	sol.ErrorEstimate = t.voltage * math.Sqrt(max(doubleRoot, math.Abs(collapse.Upper-1)))
	return t.finish(s, sol), nil
}

type newtonResult struct {
	iterations int
	ok         bool
	error      float64 // V, estimate of what the iteration left
}

// newton iterates s.v, which must not lie below the upper solution, to the
// upper solution of the network with constant powers lambda*power. It returns
// not ok if it proves that there is none, or if rounding keeps it from telling.
func (t *Tree) newton(lambda float64, power []float64, s *scratch) newtonResult {
	const maxIterations = 200 // theory and tests need fewer than 60
	negligible := rounding * t.voltage
	previous := math.Inf(1)
	var r newtonResult
	for r.iterations < maxIterations {
		r.iterations++
		t.linearise(lambda, power, s)
		if !t.sweep(t.voltage, s) {
			return r
		}
		step := 0.0
		for k, v := range s.out {
			if !(v > 0) {
				return r
			}
			step = max(step, math.Abs(v-s.v[k]))
		}
		s.v, s.out = s.out, s.v
		ratio := step / previous
		r.error, r.ok = step*ratio*ratio, true // next step: step³/previous²
		switch {
		case step <= negligible, ratio > 0 && r.error <= negligible:
			return r
		case ratio > 0.75 && step <= 1e-6*t.voltage:
			// Steps that do not shrink are rounding; at a double root they
			// halve until then.
			r.error = step
			return r
		}
		r.ok = false
		previous = step
	}
	return r
}

// linearise sets a and g of every node's loads at the voltages s.v.
func (t *Tree) linearise(lambda float64, power []float64, s *scratch) {
	for k, v := range s.v {
		i := lambda * power[k] / v
		s.a[k] = t.current[k] + 2*i
		s.g[k] = t.conductance[k] - i/v
	}
}

// finish completes sol for the voltages s.v.
func (t *Tree) finish(s *scratch, sol *Solution) *Solution {
	n := len(t.parent)
	block := make([]float64, 5*n)
	sol.Voltage, sol.Plus, sol.Minus = block[:n], block[n:2*n], block[2*n:3*n]
	sol.Branch, sol.Load = block[3*n:4*n], block[4*n:]
	branch := s.a
	t.branchCurrents(1, s.v, branch)
	plus, minus := s.out, s.g
	for k, p := range t.parent {
		above, below := t.voltage, 0.0
		if p >= 0 {
			above, below = plus[p], minus[p]
		}
		plus[k] = above - t.rplus[k]*branch[k]
		minus[k] = below + t.rminus[k]*branch[k]
		if t.drops != nil {
			minus[k] += t.drops[k]
		}
		sol.Residual = max(sol.Residual, math.Abs(plus[k]-minus[k]-s.v[k]))

		i := t.order[k]
		sol.Voltage[i], sol.Plus[i], sol.Minus[i] = s.v[k], plus[k], minus[k]
		sol.Branch[i], sol.Load[i] = branch[k], t.loadCurrent(k, 1, s.v[k])
	}
	sol.SourceCurrent = branch[0]
	if !sol.AtCollapse { // else the amplification is infinite
		residual := sol.Residual + 4*rounding*t.voltage
		sol.ErrorEstimate = max(sol.ErrorEstimate, residual*t.amplification(s))
	}
	return sol
}

// amplification is the largest change of a voltage in s.v per change of the
// source voltage, at least 1. Constant-power loads make it larger than 1: less
// voltage makes them draw more.
func (t *Tree) amplification(s *scratch) float64 {
	t.linearise(1, t.power, s)
	clear(s.a)
	if !t.sweep(1, s) {
		return math.Inf(1)
	}
	return max(1, slices.Max(s.out))
}

// loadCurrent is the current of all loads at position k at voltage v.
func (t *Tree) loadCurrent(k int, lambda, v float64) float64 {
	return t.current[k] + t.conductance[k]*v + lambda*t.power[k]/v
}

// branchCurrents adds the load currents at the voltages v up to the current
// into each node.
func (t *Tree) branchCurrents(lambda float64, v, branch []float64) {
	for k := range branch {
		branch[k] = t.loadCurrent(k, lambda, v[k])
	}
	for k := len(branch) - 1; k > 0; k-- {
		branch[t.parent[k]] += branch[k]
	}
}
