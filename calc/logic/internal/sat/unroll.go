package sat

import (
	"context"

	"github.com/go-air/gini/z"

	"github.com/guardwright/guardwright/calc/logic/internal/aig"
)

// Unrolling looks for a run from the initial state step by step: the first step in which the root can be met is the fewest
// there is. The steps are built as gates first, so that the constants of the initial state are carried along and equal gates
// are shared; the solver is given only the gates that the question needs.
type Unrolling struct {
	p      Problem
	s      *solver
	g      *aig.Graph
	latch  []aig.Lit   // values in the coming step
	inputs [][]aig.Lit // by step
	lits   []z.Lit     // by gate, LitNull where the solver doesn't know it
	stack  []uint32
	asked  int
	held   []aig.Lit // constraints of all steps
	told   int       // how many of them the solver knows
	j      justifier
}

// NewUnrolling prepares the first step.
func NewUnrolling(ctx context.Context, p Problem, budget *Budget) *Unrolling {
	u := &Unrolling{p: p, s: newSolver(ctx, budget), g: aig.New(4 * p.Cone.NumNodes())}
	for _, v := range p.Cone.Init {
		u.latch = append(u.latch, aig.False.XorSign(v))
	}
	u.lits = []z.Lit{u.s.yes.Not()}
	return u
}

// Steps is the number of steps that have been looked at without meeting the root.
func (u *Unrolling) Steps() int { return len(u.inputs) }

// Asked is the number of steps that took a question to the solver; in the others constants told that the root is not met.
func (u *Unrolling) Asked() int { return u.asked }

// Next looks at one more step. A trace, by step and cone input, is the answer; without one, more steps are needed, or err
// tells why there is no answer.
func (u *Unrolling) Next() (trace [][]bool, err error) {
	if len(u.inputs) >= u.s.budget.Depth {
		return nil, errDepth
	}
	if u.s.err != nil {
		return nil, u.s.err
	}
	lit, bad := u.advance()
	found := -1
	if bad != aig.False {
		u.asked++
		if u.j.try(u.g, append(u.held[:len(u.held):len(u.held)], bad)) {
			return u.guessed(), nil
		}
		u.constrain()
		l := u.encode(bad)
		for _, fact := range u.p.Facts {
			u.know(fact, lit)
		}
		if found = u.s.solve(l); found == -1 {
			u.s.clause(l.Not())
		}
	}
	switch found {
	case 0:
		u.inputs = u.inputs[:len(u.inputs)-1]
		return nil, u.s.err
	case 1:
		return u.trace(), nil
	}
	u.pass(lit)
	return nil, nil
}

// Guess looks at one more step without the solver: a trace is good, though perhaps not the shortest; none says nothing.
func (u *Unrolling) Guess() [][]bool {
	lit, bad := u.advance()
	if bad != aig.False && u.j.try(u.g, append(u.held[:len(u.held):len(u.held)], bad)) {
		return cutAtFirst(u.p, u.guessed())
	}
	u.pass(lit)
	return nil
}

// advance builds one more step and returns its literals, and that of the root.
func (u *Unrolling) advance() (lit func(aig.Lit) aig.Lit, bad aig.Lit) {
	c := u.p.Cone
	lit = u.step()
	for _, i := range u.p.Constraints {
		u.held = append(u.held, lit(c.Roots[i]))
	}
	return lit, lit(c.Roots[u.p.Bad])
}

// pass takes the latches over to the coming step.
func (u *Unrolling) pass(lit func(aig.Lit) aig.Lit) {
	for i, n := range u.p.Cone.Next {
		u.latch[i] = lit(n)
	}
}

// constrain makes the constraints of the steps since the last question known to the solver.
func (u *Unrolling) constrain() {
	for _, l := range u.held[u.told:] {
		u.s.clause(u.encode(l))
	}
	u.told = len(u.held)
}

// guessed is the trace that was found without the solver.
func (u *Unrolling) guessed() [][]bool {
	out := make([][]bool, len(u.inputs))
	for step, row := range u.inputs {
		for _, l := range row {
			out[step] = append(out[step], u.j.lit(l))
		}
	}
	return out
}

// step builds the gates of one more step and returns what the cone's literals are in it.
func (u *Unrolling) step() func(aig.Lit) aig.Lit {
	c := u.p.Cone
	x := make([]aig.Lit, c.NumNodes())
	row := make([]aig.Lit, len(c.Inputs))
	for i := range row {
		row[i] = u.g.Input()
		x[1+i] = row[i]
	}
	copy(x[1+len(c.Inputs):], u.latch)
	lit := func(l aig.Lit) aig.Lit { return x[l.Node()].XorSign(l.Neg()) }
	for i, a := range c.Ands {
		x[c.And(i).Node()] = u.g.And(lit(a[0]), lit(a[1]))
	}
	u.inputs = append(u.inputs, row)
	for len(u.lits) < u.g.Len() {
		u.lits = append(u.lits, z.LitNull)
	}
	return lit
}

// encode makes a gate and all below it known to the solver.
func (u *Unrolling) encode(root aig.Lit) z.Lit {
	u.stack = append(u.stack[:0], root.Node())
	for len(u.stack) > 0 {
		n := u.stack[len(u.stack)-1]
		if u.lits[n] != z.LitNull {
			u.stack = u.stack[:len(u.stack)-1]
			continue
		}
		if !u.g.IsAnd(n) {
			u.lits[n] = u.s.Lit()
			continue
		}
		a, b := u.g.Fanins(n)
		if u.lits[a.Node()] == z.LitNull || u.lits[b.Node()] == z.LitNull {
			u.stack = append(u.stack, a.Node(), b.Node())
			continue
		}
		l, x, y := u.s.Lit(), u.known(a), u.known(b)
		u.lits[n] = l
		u.s.clause(l.Not(), x)
		u.s.clause(l.Not(), y)
		u.s.clause(l, x.Not(), y.Not())
	}
	return u.known(root)
}

// known is the solver's literal of an encoded gate.
func (u *Unrolling) known(l aig.Lit) z.Lit {
	if l.Neg() {
		return u.lits[l.Node()].Not()
	}
	return u.lits[l.Node()]
}

// know adds a fact about latches that the solver knows, unless constants satisfy it already.
func (u *Unrolling) know(fact []aig.Lit, lit func(aig.Lit) aig.Lit) {
	lits := make([]z.Lit, 0, len(fact))
	for _, l := range fact {
		x := lit(l)
		if x == aig.True || u.lits[x.Node()] == z.LitNull {
			return
		}
		lits = append(lits, u.known(x))
	}
	u.s.clause(lits...)
}

func (u *Unrolling) trace() [][]bool {
	out := make([][]bool, len(u.inputs))
	for step, row := range u.inputs {
		out[step] = make([]bool, len(row))
		for i, l := range row {
			if known := u.lits[l.Node()]; known != z.LitNull {
				out[step][i] = u.s.Value(known)
			}
		}
	}
	return out
}
