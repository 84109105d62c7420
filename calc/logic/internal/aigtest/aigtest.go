// Package aigtest makes random transition systems and explores them one input vector at a time, for the tests of the engines.
package aigtest

import (
	"math/rand/v2"

	"github.com/guardwright/guardwright/calc/logic/internal/aig"
)

// RandomSystem builds a system of at most 8 inputs and 8 latches with a root to look for and, half of the time, a constraint.
func RandomSystem(rnd *rand.Rand) (g *aig.Graph, bad, constraint aig.Lit) {
	g = aig.New(64)
	var lits, latches []aig.Lit
	for range 1 + rnd.IntN(8) {
		lits = append(lits, g.Input())
	}
	for range rnd.IntN(9) {
		l := g.Latch(rnd.IntN(2) == 1)
		latches = append(latches, l)
		lits = append(lits, l)
	}
	pick := func() aig.Lit {
		at := rnd.IntN(len(lits))
		if rnd.IntN(2) == 0 { // prefer late nodes: deeper logic
			at = len(lits) - 1 - rnd.IntN(min(8, len(lits)))
		}
		return lits[at].XorSign(rnd.IntN(2) == 1)
	}
	for range 3 + rnd.IntN(60) {
		lits = append(lits, g.And(pick(), pick()))
	}
	for _, l := range latches {
		g.SetNext(l, pick())
	}
	bad = g.And(pick(), g.And(pick(), pick()))
	constraint = aig.True
	if rnd.IntN(2) == 0 {
		constraint = g.Or(pick(), pick())
	}
	return g, bad, constraint
}

// Brute explores a cone one input vector at a time.
type Brute struct {
	c      *aig.Cone
	x      []bool
	states map[uint64]int // depth
	order  []uint64
}

// NewBrute explores the cone.
func NewBrute(c *aig.Cone) *Brute { return &Brute{c: c, x: make([]bool, c.NumNodes())} }

func (b *Brute) lit(l aig.Lit) bool { return b.x[l.Node()] != l.Neg() }

func (b *Brute) eval(state, input uint64) (next uint64) {
	c := b.c
	b.x[0] = false
	for i := range c.Inputs {
		b.x[1+i] = input>>i&1 == 1
	}
	for i := range c.Latches {
		b.x[c.Latch(i).Node()] = state>>i&1 == 1
	}
	for i, a := range c.Ands {
		b.x[c.And(i).Node()] = b.lit(a[0]) && b.lit(a[1])
	}
	for i, n := range c.Next {
		if b.lit(n) {
			next |= 1 << i
		}
	}
	return next
}

// Shortest returns the fewest steps to the bad root (root 0) under the constraint (root 1), 0 if there is none, and the
// number of reachable states if there is none.
func (b *Brute) Shortest() (steps, states int) {
	init := b.first()
	b.states = map[uint64]int{init: 0}
	b.order = []uint64{init}
	for at := 0; at < len(b.order); at++ {
		st := b.order[at]
		for in := range uint64(1) << len(b.c.Inputs) {
			next := b.eval(st, in)
			if !b.lit(b.c.Roots[1]) {
				continue
			}
			if b.lit(b.c.Roots[0]) {
				return b.states[st] + 1, 0
			}
			if _, old := b.states[next]; !old {
				b.states[next] = b.states[st] + 1
				b.order = append(b.order, next)
			}
		}
	}
	return 0, len(b.order)
}

// Replay runs the trace and tells whether the bad root is true exactly at its end and the constraint all along.
func (b *Brute) Replay(trace [][]bool) bool {
	state := b.first()
	for step, row := range trace {
		in := uint64(0)
		for i, v := range row {
			if v {
				in |= 1 << i
			}
		}
		next := b.eval(state, in)
		if !b.lit(b.c.Roots[1]) || b.lit(b.c.Roots[0]) != (step == len(trace)-1) {
			return false
		}
		state = next
	}
	return true
}

// Reachable returns all states reachable under the constraint, whatever becomes of the bad root.
func (b *Brute) Reachable() []uint64 {
	order := []uint64{b.first()}
	seen := map[uint64]bool{order[0]: true}
	for at := 0; at < len(order); at++ {
		for in := range uint64(1) << len(b.c.Inputs) {
			next := b.eval(order[at], in)
			if b.lit(b.c.Roots[1]) && !seen[next] {
				seen[next] = true
				order = append(order, next)
			}
		}
	}
	return order
}

// Inductive tells whether the states contain the first one, no step under the constraint leads out of them, and none meets
// the bad root.
func (b *Brute) Inductive(states []uint64) bool {
	in := map[uint64]bool{}
	for _, st := range states {
		in[st] = true
	}
	if !in[b.first()] {
		return false
	}
	for _, st := range states {
		for v := range uint64(1) << len(b.c.Inputs) {
			if next := b.eval(st, v); b.lit(b.c.Roots[1]) && (!in[next] || b.lit(b.c.Roots[0])) {
				return false
			}
		}
	}
	return true
}

func (b *Brute) first() uint64 {
	state := uint64(0)
	for i, v := range b.c.Init {
		if v {
			state |= 1 << i
		}
	}
	return state
}
