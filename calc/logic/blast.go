package logic

import (
	"math/bits"

	"github.com/guardwright/guardwright/calc/logic/internal/aig"
)

// integer encodes a bounded integer in bits: the distance from the lower bound of its range.
func (c *compiled) integer(id int32, n *node) word {
	r := c.g.ranges[n.rng]
	width := bits.Len64(r.size() - 1)
	if _, faulty := c.faults[id]; faulty { // only Free is a fault of an integer
		at, _ := c.g.signalOf(id)
		return c.freeWord(at, r, width)
	}
	switch n.op {
	case opIntConst:
		return word{lo: r.lo}
	case opIntInput:
		return c.freeWord(n.a, r, width)
	case opIntLatch:
		return word{lo: r.lo, bits: c.latches(r.size()-1, uint64(c.g.latches[n.a].init-r.lo))}
	case opIntSignal:
		return c.words[n.a]
	case opIntClamp:
		return c.clamp(c.words[n.a], c.g.span(n.a), r, width)
	case opIntIf:
		x, y := c.words[n.b], c.words[n.c]
		a, b := c.plus(x.bits, x.lo-r.lo, width), c.plus(y.bits, y.lo-r.lo, width)
		out := word{lo: r.lo, bits: make([]aig.Lit, width)}
		for i := range out.bits {
			out.bits[i] = c.a.Mux(c.lits[n.a], a[i], b[i])
		}
		return out
	}
	x, y := c.words[n.a], c.words[n.b]
	if n.op == opIntAdd {
		return word{lo: r.lo, bits: c.sum(x.bits, y.bits, aig.False, width)}
	}
	// x-y = (x - x.lo) + (y.hi - y) + r.lo, and y.hi - y = size - 1 - (y - y.lo), in two's complement ^(y-y.lo) + size.
	inv := c.widen(y.bits, width)
	for i := range inv {
		inv[i] = inv[i].Not()
	}
	rest := c.plus(inv, int64(c.g.span(n.b).size()), width)
	return word{lo: r.lo, bits: c.sum(c.widen(x.bits, width), rest, aig.False, width)}
}

// freeWord is an integer input. Codes beyond the range stand for a value within it once more, so that every code is good and
// every value is met.
func (c *compiled) freeWord(signal int32, r span, width int) word {
	w := word{lo: r.lo, bits: make([]aig.Lit, width)}
	for i := range w.bits {
		w.bits[i] = c.input(signal, uint8(i))
	}
	if r.size()&(r.size()-1) != 0 {
		w.bits[width-1] = c.a.And(w.bits[width-1], c.below(w.bits, r.size()))
	}
	return w
}

// codeValue is the value that an input code stands for.
func codeValue(r span, code uint64) int64 {
	if code >= r.size() {
		code -= 1 << (bits.Len64(r.size()-1) - 1)
	}
	return r.lo + int64(code)
}

func (c *compiled) clamp(x word, from, r span, width int) word {
	out := word{lo: r.lo, bits: c.plus(x.bits, x.lo-r.lo, width)}
	low, high := aig.False, aig.False
	if from.lo < r.lo {
		low = c.below(x.bits, uint64(r.lo-x.lo))
	}
	switch {
	case r.hi < x.lo:
		high = aig.True
	case from.hi > r.hi:
		high = c.below(x.bits, uint64(r.hi-x.lo)+1).Not()
	}
	for i, b := range out.bits {
		top := aig.Lit((r.size() - 1) >> i & 1)
		out.bits[i] = c.a.And(low.Not(), c.a.Mux(high, top, b))
	}
	return out
}

// widen extends a number with zeros, or cuts it off, to the width.
func (c *compiled) widen(x []aig.Lit, width int) []aig.Lit {
	out := make([]aig.Lit, width)
	copy(out, x)
	return out
}

// sum adds two numbers modulo 2^width.
func (c *compiled) sum(x, y []aig.Lit, carry aig.Lit, width int) []aig.Lit {
	x, y = c.widen(x, width), c.widen(y, width)
	out := make([]aig.Lit, width)
	for i := range out {
		half := c.a.Xor(x[i], y[i])
		out[i] = c.a.Xor(half, carry)
		carry = c.a.Or(c.a.And(x[i], y[i]), c.a.And(half, carry))
	}
	return out
}

// plus adds a constant modulo 2^width.
func (c *compiled) plus(x []aig.Lit, k int64, width int) []aig.Lit {
	y := make([]aig.Lit, width)
	for i := range y {
		y[i] = aig.Lit(uint64(k) >> i & 1)
	}
	return c.sum(x, y, aig.False, width)
}

// below tells whether the number is less than k.
func (c *compiled) below(x []aig.Lit, k uint64) aig.Lit {
	if bits.Len64(k) > len(x) {
		return aig.True
	}
	less := aig.False // of the bits so far, lowest first
	for i, b := range x {
		if k>>i&1 == 1 {
			less = c.a.Or(b.Not(), less)
		} else {
			less = c.a.And(b.Not(), less)
		}
	}
	return less
}

// align brings two integers to the same lower bound and width.
func (c *compiled) align(x, y word) (a, b []aig.Lit) {
	lo := min(x.lo, y.lo)
	width := func(w word) int { return bits.Len64(uint64(w.lo-lo) + 1<<len(w.bits)) }
	n := max(width(x), width(y))
	return c.plus(x.bits, x.lo-lo, n), c.plus(y.bits, y.lo-lo, n)
}

func (c *compiled) equal(x, y word) aig.Lit {
	a, b := c.align(x, y)
	same := aig.True
	for i := range a {
		same = c.a.And(same, c.a.Xor(a[i], b[i]).Not())
	}
	return same
}

func (c *compiled) less(x, y word) aig.Lit {
	a, b := c.align(x, y)
	less := aig.False
	for i := range a {
		less = c.a.Or(c.a.And(a[i].Not(), b[i]), c.a.And(c.a.Xor(a[i], b[i]).Not(), less))
	}
	return less
}
