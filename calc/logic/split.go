package logic

import (
	"slices"

	"github.com/guardwright/guardwright/calc/logic/internal/aig"
)

// part is one way to break a property: a disjunct with a cone of its own.
type part struct {
	lit     aig.Lit
	homes   []int32  // groups that it is built from, nil where it has none or too many
	latches []uint32 // of its cone, sorted; with other groups cut off where it has homes
	inputs  []uint32
	cuts    int
}

const (
	// maxHomes is the number of parts of the machine up to which an obligation is first tried with all others cut off.
	maxHomes = 3
	// maxParts bounds the number of obligations of one property.
	maxParts = 1 << 16
	// fewLatches is the number of latches up to which a root isn't worth splitting.
	fewLatches = 12
	// maxConjuncts bounds the terms among which a disjunction to multiply out is looked for.
	maxConjuncts = 64
)

// split breaks a root, given as one part, into parts. A disjunction is broken where its sides rest on different latches: each side is then an
// obligation of its own, and the state spaces add up instead of multiplying. A conjunction with such a disjunction in it is
// multiplied out. Sides that rest on the same latches stay together as they were built, because the nets they share keep the
// input alphabet small.
func (p *prover) split(whole part) []part {
	if p.opts.noSplit || len(whole.latches) <= fewLatches {
		return []part{whole}
	}
	parts := p.disjuncts(whole.lit)
	var out []part
	for _, x := range parts {
		out = append(out, p.distribute(x)...)
	}
	if len(out) > maxParts {
		return []part{whole}
	}
	return out
}

// whole is the root as one part.
func (p *prover) whole(slicer *aig.Slicer, root aig.Lit) part {
	x := part{lit: root}
	if !p.opts.noCut && len(p.s.g.groupNames) > 1 {
		x.homes = slicer.Homes(root, maxHomes)
	}
	lv := slicer.Leaves([]aig.Lit{root}, x.homes)
	both := make([]uint32, len(lv.Latches)+len(lv.Inputs))
	x.latches, x.inputs, x.cuts = both[:len(lv.Latches):len(lv.Latches)], both[len(lv.Latches):], lv.Cuts
	copy(x.latches, lv.Latches)
	copy(x.inputs, lv.Inputs)
	slices.Sort(x.latches)
	return x
}

func (p *prover) isOr(l aig.Lit) bool { return l.Neg() && p.c.a.IsAnd(l.Node()) }

// disjuncts returns the parts of the disjunction at l, in order.
func (p *prover) disjuncts(l aig.Lit) []part {
	if !p.isOr(l) {
		return []part{p.wholeOf(l)}
	}
	a, b := p.c.a.Fanins(l.Node())
	left, right := p.disjuncts(a.Not()), p.disjuncts(b.Not())
	if len(left) == 1 && len(right) == 1 && related(left[0].latches, right[0].latches) {
		return []part{p.wholeOf(l)}
	}
	for _, x := range right {
		if last := &left[len(left)-1]; related(last.latches, x.latches) {
			*last = p.wholeOf(p.c.a.Or(last.lit, x.lit))
			continue
		}
		left = append(left, x)
	}
	return left
}

// wholeOf is a root as one part that may have been built just now.
func (p *prover) wholeOf(root aig.Lit) part {
	p.slicer.Grown()
	return p.whole(p.slicer, root)
}

// related tells whether one of the sorted sets contains the other.
func related(a, b []uint32) bool {
	if len(a) > len(b) {
		a, b = b, a
	}
	i := 0
	for _, n := range b {
		if i < len(a) && a[i] == n {
			i++
		}
	}
	return i == len(a)
}

// distribute multiplies out the conjunct of x that falls into the most parts.
func (p *prover) distribute(x part) []part {
	terms := p.conjuncts(x.lit)
	at, best := -1, []part(nil)
	for i, c := range terms {
		if !p.isOr(c) {
			continue
		}
		if d := p.disjuncts(c); len(d) > 1 && len(d) > len(best) {
			at, best = i, d
		}
	}
	if at < 0 {
		return []part{x}
	}
	rest := aig.True
	for i, c := range terms {
		if i != at {
			rest = p.c.a.And(rest, c)
		}
	}
	out := make([]part, len(best))
	for i, d := range best {
		out[i] = p.wholeOf(p.c.a.And(d.lit, rest))
	}
	return out
}

// conjuncts returns the terms of the conjunction at l.
func (p *prover) conjuncts(l aig.Lit) []aig.Lit {
	var out []aig.Lit
	stack := []aig.Lit{l}
	for len(stack) > 0 {
		l := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		if !l.Neg() && p.c.a.IsAnd(l.Node()) && len(out)+len(stack) < maxConjuncts {
			x, y := p.c.a.Fanins(l.Node())
			stack = append(stack, y, x)
			continue
		}
		out = append(out, l)
	}
	return out
}
