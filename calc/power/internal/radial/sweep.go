package radial

// scratch holds the vectors of one computation, by position.
type scratch struct {
	a, g []float64 // what sweep consumes
	out  []float64 // what sweep produces
	v    []float64 // current iterate
	v0   []float64 // voltages without the constant-power loads
}

// newScratch allocates all vectors of a computation in one block.
func newScratch(n int) *scratch {
	block := make([]float64, 5*n)
	return &scratch{
		a: block[:n], g: block[n : 2*n], out: block[2*n : 3*n],
		v: block[3*n : 4*n], v0: block[4*n:],
	}
}

// sweep solves the tree in which node k draws the current a[k] + g[k] V[k]
// from a source of the given voltage, and stores V in out. It overwrites a and
// g: afterwards a[k] + g[k] V[k] is the current into the whole subtree of k,
// and g[k] is no longer meaningful by itself. It returns false, with out
// unusable, if a pivot 1 + g R is not positive.
//
// With all g >= 0 every pivot is at least 1, and with source = 0 and a <= 0
// nothing is ever subtracted: the result is then accurate, entry by entry, to
// a few roundings per level of the tree. The bounds of the collapse factor
// rest on this case.
func (t *Tree) sweep(source float64, s *scratch) bool {
	if t.drops != nil && source > 0 {
		return t.sweepDrops(source, s)
	}
	parent, loop := t.parent, t.loop
	a, g, out := s.a[:len(parent)], s.g[:len(parent)], s.out[:len(parent)]
	loop = loop[:len(parent)]
	for k := len(parent) - 1; k >= 0; k-- {
		pivot := 1 + g[k]*loop[k]
		if !(pivot > 0) {
			return false
		}
		inverse := 1 / pivot
		out[k] = inverse
		if p := parent[k]; p >= 0 {
			a[p] += a[k] * inverse
			g[p] += g[k] * inverse
		}
	}
	out[0] *= source - loop[0]*a[0]
	for k := 1; k < len(parent); k++ {
		out[k] *= out[parent[k]] - loop[k]*a[k]
	}
	return true
}

// sweepDrops is sweep with the drops of WithDrops. They belong to the state of
// the network, not to its response to a change, for which source is 0.
func (t *Tree) sweepDrops(source float64, s *scratch) bool {
	parent, loop, drops := t.parent, t.loop, t.drops
	a, g, out := s.a, s.g, s.out
	for k := len(parent) - 1; k >= 0; k-- {
		pivot := 1 + g[k]*loop[k]
		if !(pivot > 0) {
			return false
		}
		inverse := 1 / pivot
		out[k] = inverse
		if p := parent[k]; p >= 0 {
			a[p] += (a[k] - g[k]*drops[k]) * inverse
			g[p] += g[k] * inverse
		}
	}
	out[0] *= source - drops[0] - loop[0]*a[0]
	for k := 1; k < len(parent); k++ {
		out[k] *= out[parent[k]] - drops[k] - loop[k]*a[k]
	}
	return true
}

// solveWithoutPower computes the voltages without the constant-power loads
// into v0. It reports whether all of them are positive.
func (t *Tree) solveWithoutPower(s *scratch) bool {
	copy(s.a, t.current)
	copy(s.g, t.conductance)
	t.sweep(t.voltage, s) // all pivots are at least 1
	copy(s.v0, s.out)
	for _, v := range s.v0 {
		if !(v > 0) {
			return false
		}
	}
	return true
}

// drawResponse computes into out how much the voltages rise if the currents
// -a[k] are fed into the network without its constant-power loads; a must be
// set, all entries <= 0.
func (t *Tree) drawResponse(s *scratch) {
	copy(s.g, t.conductance)
	t.sweep(0, s)
}
