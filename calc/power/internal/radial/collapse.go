package radial

import (
	"fmt"
	"math"
)

// Collapse is the limit of the constant-power loads.
type Collapse struct {
	// Lower and Upper enclose the collapse factor: the largest factor on all
	// constant powers, the other loads unchanged, for which there is an
	// operating point. At Lower a solution was proved to exist, at any factor
	// above Upper it was proved not to, both up to the rounding of sums along
	// the tree (about 2e-16 per level). They agree to a relative 1e-11 or, in
	// trees of very many levels, 1e-9. Both are +Inf if no factor is too
	// large: no constant-power load, or none behind a resistance.
	Lower, Upper float64

	// Node has the lowest voltage at the limit; of equal ones, the one nearest
	// to the source. Edge is the node under the largest loop voltage drop on
	// the way from the source to Node; if it is the root, the drop includes
	// that of the source's series resistance. Both are -1 if Lower is +Inf.
	Node, Edge int
	Voltage    float64 // V, at Node
	Drop       float64 // V, at Edge, plus and return conductor together
}

// NoSolutionError says that the network has no operating point.
type NoSolutionError struct {
	Collapse
	// WithoutPower says that already the constant currents alone leave a node
	// without a positive voltage. Lower and Upper are then 0, and Voltage and
	// Drop are those of the network without the constant-power loads, in which
	// Voltage <= 0.
	WithoutPower bool
}

func (e *NoSolutionError) Error() string {
	if e.WithoutPower {
		return fmt.Sprintf("radial: no operating point: the constant currents alone would leave %.4g V at node %d; the largest drop on the way there, %.4g V, is in the conductors to node %d",
			e.Voltage, e.Node, e.Drop, e.Edge)
	}
	digits := 6
	if e.Lower > 1-1e-5 {
		digits = 12 // else it would be printed as 1
	}
	return fmt.Sprintf("radial: no operating point: the constant-power loads can be fed only up to %.*g times their value, where node %d is down to %.4g V; the largest drop on the way there, %.4g V, is in the conductors to node %d",
		digits, e.Lower, e.Node, e.Voltage, e.Drop, e.Edge)
}

// Collapse computes the limit of the constant-power loads. If there is no
// operating point even without them, the error is a *NoSolutionError.
func (t *Tree) Collapse() (Collapse, error) {
	s := newScratch(len(t.parent))
	if !t.solveWithoutPower(s) {
		return Collapse{}, &NoSolutionError{Collapse: t.locate(0, 0, s.v0), WithoutPower: true}
	}
	return t.collapse(s), nil
}

// collapse encloses the collapse factor; s.v0 must be set and positive.
// Afterwards s.v holds the voltages at the limit. The package documentation
// has the theory.
func (t *Tree) collapse(s *scratch) Collapse {
	if t.maxPower == 0 {
		return unlimited()
	}
	n := len(t.parent)
	block := make([]float64, 6*n)
	l := &limit{Tree: t, scratch: s, upper: math.Inf(1),
		power: block[:n], h: block[n : 2*n], w: block[2*n : 3*n], low: block[3*n : 4*n], y: block[4*n : 5*n],
		drop: block[5*n:]}
	for k := range l.power {
		l.power[k] = t.power[k] / t.maxPower
		l.h[k] = 1
	}
	copy(s.v, s.v0)
	if !l.search() {
		return unlimited()
	}
	copy(s.v, l.low)
	l.upper = max(l.upper, l.lower) // they may have crossed by a rounding
	return t.locate(l.lower/t.maxPower, l.upper/t.maxPower, s.v)
}

func unlimited() Collapse {
	return Collapse{Lower: math.Inf(1), Upper: math.Inf(1), Node: -1, Edge: -1}
}

// locate names the place of collapse at the voltages v.
func (t *Tree) locate(lower, upper float64, v []float64) Collapse {
	c := Collapse{Lower: lower, Upper: upper}
	lowest := 0
	for k := range v {
		if v[k] < v[lowest] {
			lowest = k
		}
	}
	c.Node, c.Voltage = t.order[lowest], v[lowest]
	c.Drop = math.Inf(-1)
	for k := lowest; k >= 0; k = t.parent[k] {
		above := t.voltage
		if p := t.parent[k]; p >= 0 {
			above = v[p]
		}
		if drop := above - v[k]; drop >= c.Drop {
			c.Edge, c.Drop = t.order[k], drop
		}
	}
	return c
}
