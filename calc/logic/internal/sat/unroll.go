package sat

import (
	"context"

	"github.com/go-air/gini/z"

	"github.com/guardwright/guardwright/calc/logic/internal/aig"
)

// Unrolling looks for a run from the initial state step by step: the first step in which the root can be met is the fewest
// there is. Constants of the initial state are carried through the steps, and equal gates of one step are shared.
type Unrolling struct {
	p      Problem
	s      *solver
	yes    z.Lit
	latch  []z.Lit   // values in the coming step
	inputs [][]z.Lit // by step
	gates  map[[2]z.Lit]z.Lit
}

// NewUnrolling prepares the first step.
func NewUnrolling(ctx context.Context, p Problem, budget *Budget) *Unrolling {
	u := &Unrolling{p: p, s: newSolver(ctx, budget), gates: map[[2]z.Lit]z.Lit{}}
	u.yes = u.s.Lit()
	u.s.clause(u.yes)
	for _, v := range p.Cone.Init {
		u.latch = append(u.latch, u.constant(v))
	}
	return u
}

func (u *Unrolling) constant(v bool) z.Lit {
	if v {
		return u.yes
	}
	return u.yes.Not()
}

// Steps is the number of steps that have been looked at without meeting the root.
func (u *Unrolling) Steps() int { return len(u.inputs) }

// Next looks at one more step. A trace, by step and cone input, is the answer; without one, more steps are needed, or err
// tells why there is no answer.
func (u *Unrolling) Next() (trace [][]bool, err error) {
	if len(u.inputs) >= u.s.budget.Depth {
		return nil, errDepth
	}
	c := u.p.Cone
	x := make([]z.Lit, c.NumNodes())
	x[0] = u.yes.Not()
	row := make([]z.Lit, len(c.Inputs))
	for i := range row {
		row[i] = u.s.Lit()
		x[1+i] = row[i]
	}
	copy(x[1+len(c.Inputs):], u.latch)
	lit := func(l aig.Lit) z.Lit {
		if l.Neg() {
			return x[l.Node()].Not()
		}
		return x[l.Node()]
	}
	for i, a := range c.Ands {
		x[c.And(i).Node()] = u.and(lit(a[0]), lit(a[1]))
	}
	for _, i := range u.p.Constraints {
		u.s.clause(lit(c.Roots[i]))
	}
	for _, fact := range u.p.Facts {
		u.know(fact, lit)
	}
	u.inputs = append(u.inputs, row)
	bad := lit(c.Roots[u.p.Bad])
	found := -1
	if bad != u.yes.Not() {
		found = u.s.solve(bad)
	}
	if found == 0 {
		u.inputs = u.inputs[:len(u.inputs)-1]
		return nil, u.s.err
	}
	if found == 1 {
		return u.trace(), nil
	}
	u.s.clause(bad.Not())
	for i, n := range c.Next {
		u.latch[i] = lit(n)
	}
	return nil, nil
}

// know adds a fact unless the constants satisfy it already.
func (u *Unrolling) know(fact []aig.Lit, lit func(aig.Lit) z.Lit) {
	lits := make([]z.Lit, 0, len(fact))
	for _, l := range fact {
		switch x := lit(l); x {
		case u.yes:
			return
		case u.yes.Not():
		default:
			lits = append(lits, x)
		}
	}
	u.s.clause(lits...)
}

func (u *Unrolling) and(a, b z.Lit) z.Lit {
	if a > b {
		a, b = b, a
	}
	no := u.yes.Not()
	switch {
	case a == no || b == no || a == b.Not():
		return no
	case a == u.yes || a == b:
		return b
	case b == u.yes:
		return a
	}
	key := [2]z.Lit{a, b}
	if n, ok := u.gates[key]; ok {
		return n
	}
	n := u.s.Lit()
	u.s.clause(n.Not(), a)
	u.s.clause(n.Not(), b)
	u.s.clause(n, a.Not(), b.Not())
	u.gates[key] = n
	return n
}

func (u *Unrolling) trace() [][]bool {
	out := make([][]bool, len(u.inputs))
	for step, row := range u.inputs {
		out[step] = make([]bool, len(row))
		for i, l := range row {
			out[step][i] = u.s.Value(l)
		}
	}
	return out
}
