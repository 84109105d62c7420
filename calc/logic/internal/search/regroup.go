package search

import (
	"slices"

	"github.com/guardwright/guardwright/calc/logic/internal/aig"
)

// regroup returns the cone with every conjunction that mixes inputs and latches put in another order: what depends on inputs
// alone is joined first. "es and g1 and not d1 and g2 and not d2" then needs one input net, not three, and the input
// alphabet stays small. The meaning of roots and next values doesn't change, nor do the numbers of inputs and latches.
func (r *regrouper) regroup(c *aig.Cone) *aig.Cone {
	r.old = c
	r.out = aig.Cone{Inputs: c.Inputs, Latches: c.Latches, Init: c.Init, Cuts: c.Cuts,
		Ands: slices.Grow(r.out.Ands[:0], len(c.Ands)), Next: r.out.Next[:0], Roots: r.out.Roots[:0]}
	r.first = uint32(1 + len(c.Inputs) + len(c.Latches))
	r.lits = zeroed(r.lits, c.NumNodes())
	size := 64 // there are never more gates than before
	for size < 2*len(c.Ands) {
		size *= 2
	}
	r.slots = zeroed(r.slots, size)
	r.prepare()
	for n := range r.first {
		r.lits[n] = aig.Lit(n) << 1
	}
	for i, a := range c.Ands {
		n := r.first + uint32(i)
		switch {
		case !r.stateful[n]:
			r.lits[n] = r.and(r.lit(a[0]), r.lit(a[1]))
		case r.inner[n]: // part of a larger conjunction
		default:
			r.lits[n] = r.conjunction(n)
		}
	}
	for _, l := range c.Next {
		r.out.Next = append(r.out.Next, r.lit(l))
	}
	for _, l := range c.Roots {
		r.out.Roots = append(r.out.Roots, r.lit(l))
	}
	return &r.out
}

// regrouper keeps its memory, and the cone that it returned last, from one cone to the next.
type regrouper struct {
	old      *aig.Cone
	out      aig.Cone
	first    uint32
	uses     []int32
	stateful []bool
	inner    []bool // gates with one user, which is a conjunction that takes them in
	lits     []aig.Lit
	leaves   []aig.Lit
	slots    []uint32 // open addressing over the new gates: number + 1, 0 empty
}

// prepare finds the gates that depend on latches, and those that only serve one larger conjunction.
func (r *regrouper) prepare() {
	c := r.old
	n := c.NumNodes()
	r.uses, r.stateful, r.inner = zeroed(r.uses, n), zeroed(r.stateful, n), zeroed(r.inner, n)
	uses := r.uses
	for i := range c.Latches {
		r.stateful[c.Latch(i).Node()] = true
	}
	for i, a := range c.Ands {
		r.stateful[r.first+uint32(i)] = r.stateful[a[0].Node()] || r.stateful[a[1].Node()]
		for _, l := range a {
			uses[l.Node()]++
			if l.Neg() {
				uses[l.Node()]++ // complemented: no part of the conjunction
			}
		}
	}
	for _, l := range c.Next {
		uses[l.Node()] += 2
	}
	for _, l := range c.Roots {
		uses[l.Node()] += 2
	}
	for i := range c.Ands {
		at := r.first + uint32(i)
		r.inner[at] = r.stateful[at] && uses[at] == 1
	}
}

func (r *regrouper) lit(l aig.Lit) aig.Lit { return r.lits[l.Node()].XorSign(l.Neg()) }

// conjunction joins the leaves of gate n, those of inputs alone first.
func (r *regrouper) conjunction(n uint32) aig.Lit {
	r.leaves = r.leaves[:0]
	r.collect(n)
	free, bound := aig.True, aig.True
	for _, l := range r.leaves {
		if !r.stateful[l.Node()] {
			free = r.and(free, r.lit(l))
		}
	}
	for _, l := range r.leaves {
		if r.stateful[l.Node()] {
			bound = r.and(bound, r.lit(l))
		}
	}
	return r.and(free, bound)
}

func (r *regrouper) collect(n uint32) {
	for _, l := range r.old.Ands[n-r.first] {
		if !l.Neg() && r.inner[l.Node()] {
			r.collect(l.Node())
		} else {
			r.leaves = append(r.leaves, l)
		}
	}
}

// and adds a gate unless its value is known or there is an equal one.
func (r *regrouper) and(a, b aig.Lit) aig.Lit {
	if a > b {
		a, b = b, a
	}
	switch {
	case a == aig.False || a == b.Not():
		return aig.False
	case a == aig.True || a == b:
		return b
	}
	mask := uint32(len(r.slots) - 1)
	i := uint32((uint64(a)*0x9e3779b97f4a7c15^uint64(b)*0xbf58476d1ce4e5b9)>>32) & mask
	for ; r.slots[i] != 0; i = (i + 1) & mask {
		if at := int(r.slots[i] - 1); r.out.Ands[at] == [2]aig.Lit{a, b} {
			return r.out.And(at)
		}
	}
	r.out.Ands = append(r.out.Ands, [2]aig.Lit{a, b})
	r.slots[i] = uint32(len(r.out.Ands))
	return r.out.And(len(r.out.Ands) - 1)
}
