// Package sat answers questions about cones with a satisfiability solver: one-step induction under known facts, unrolling to
// the first step that meets a root, and property-directed reachability (A. Bradley, SAT-Based Model Checking without
// Unrolling, VMCAI 2011, and N. Een, A. Mishchenko, R. Brayton, Efficient implementation of property directed reachability,
// FMCAD 2011, both from memory). What it calls proved rests on an inductive invariant that is checked again, by a fresh
// solver, before it is returned.
package sat

import (
	"context"
	"errors"
	"runtime"
	"slices"
	"time"

	"github.com/go-air/gini"
	"github.com/go-air/gini/z"

	"github.com/guardwright/guardwright/calc/logic/internal/aig"
)

// Problem asks whether a root of a cone can be true in some step of a run in which the constraint roots are true in every step.
type Problem struct {
	Cone        *aig.Cone
	Constraints []int
	Bad         int
	// Facts are clauses over the latches that are known to hold in every reachable state: literals of cone nodes.
	Facts [][]aig.Lit
}

// Budget bounds the work of one problem; it is used up by the calls it is given to.
type Budget struct {
	Queries int
	Depth   int
}

var (
	errQueries  = errors.New("more satisfiability queries than the limit")
	errDepth    = errors.New("no answer within the limit of unrolled steps")
	errDisagree = errors.New("an invariant was found but not confirmed")
)

// solver is gini with clauses kept free of repeated literals, a count of queries, and cancellation.
type solver struct {
	*gini.Gini
	ctx    context.Context
	budget *Budget
	err    error
	buf    []z.Lit
	yes    z.Lit   // a literal that is true
	core   []z.Lit // assumptions that the last answer "no" rests on
	never  bool    // the clauses alone can't be satisfied
}

func newSolver(ctx context.Context, budget *Budget) *solver {
	s := &solver{Gini: gini.New(), ctx: ctx, budget: budget}
	s.yes = s.Lit()
	s.clause(s.yes)
	return s
}

// clause adds a clause; repeated literals are dropped, and a clause with a literal and its complement says nothing.
func (s *solver) clause(lits ...z.Lit) {
	s.buf = append(s.buf[:0], lits...)
	slices.Sort(s.buf)
	s.buf = slices.Compact(s.buf)
	for i := 1; i < len(s.buf); i++ {
		if s.buf[i] == s.buf[i-1].Not() {
			return
		}
	}
	for _, l := range s.buf {
		s.Add(l)
	}
	s.Add(z.LitNull)
}

// solve tells whether the clauses and assumptions can be satisfied: 1 yes, -1 no, 0 stopped, with the reason in err.
func (s *solver) solve(assume ...z.Lit) int {
	if s.err != nil {
		return 0
	}
	if s.never {
		return -1
	}
	if s.budget.Queries--; s.budget.Queries < 0 {
		s.err = errQueries
		return 0
	}
	slices.Sort(assume)
	s.Assume(slices.Compact(assume)...)
	r := s.run()
	if r == -1 {
		s.forget()
	}
	return r
}

// forget reads the assumptions that the answer "no" rests on and takes the solver back to where it has no conflict in mind.
// gini v1.0.4 would otherwise learn from the conflict when it is asked next, and goes wrong where that shows that the clauses
// alone can't be satisfied; it also forgets such a conflict when a clause is added. So a solver is never asked again then,
// and is otherwise given a clause that says nothing, which clears its mind.
func (s *solver) forget() {
	s.core = append(s.core[:0], s.Why(nil)...)
	if len(s.core) == 0 {
		s.never = true
		return
	}
	s.clause(s.yes)
}

// why returns the assumptions that the last answer -1 rests on, none where the clauses alone can't be satisfied. It is good
// until the next question.
func (s *solver) why() []z.Lit {
	if s.never {
		return nil
	}
	return s.core
}

// run lets the solver work, watching the context where it can be cancelled.
func (s *solver) run() int {
	if s.ctx.Done() == nil {
		return s.Solve()
	}
	if s.err = s.ctx.Err(); s.err != nil {
		return 0 // and every later question too
	}
	sv := s.GoSolve()
	for spin := 0; ; spin++ {
		if r, done := sv.Test(); done {
			return r
		}
		if spin < 200 {
			runtime.Gosched()
			continue
		}
		if s.err = s.ctx.Err(); s.err != nil {
			sv.Stop()
			return 0
		}
		time.Sleep(100 * time.Microsecond)
	}
}

// frame is the cone's logic as clauses over one set of latch and input variables.
type frame struct {
	c    *aig.Cone
	lits []z.Lit // by cone node
}

// newFrame encodes the whole cone (Tseitin, both directions).
func newFrame(s *solver, c *aig.Cone) *frame {
	f := &frame{c: c, lits: make([]z.Lit, c.NumNodes())}
	for i := range f.lits {
		f.lits[i] = s.Lit()
	}
	s.clause(f.lits[0].Not())
	for i, a := range c.Ands {
		n, x, y := f.lit(c.And(i)), f.lit(a[0]), f.lit(a[1])
		s.clause(n.Not(), x)
		s.clause(n.Not(), y)
		s.clause(n, x.Not(), y.Not())
	}
	return f
}

func (f *frame) lit(l aig.Lit) z.Lit {
	if l.Neg() {
		return f.lits[l.Node()].Not()
	}
	return f.lits[l.Node()]
}

// constrain makes the constraints hold in the frame.
func (f *frame) constrain(s *solver, constraints []int) {
	for _, i := range constraints {
		s.clause(f.lit(f.c.Roots[i]))
	}
}

// know adds facts about the latches.
func (f *frame) know(s *solver, facts [][]aig.Lit) {
	for _, fact := range facts {
		lits := make([]z.Lit, len(fact))
		for i, l := range fact {
			lits[i] = f.lit(l)
		}
		s.clause(lits...)
	}
}

// Excluded tells for each of the roots whether the facts and constraints exclude it in every single step, and so in every
// run. All is asked at once first; what is found in smaller questions is asked again at once, by a fresh solver.
func Excluded(ctx context.Context, c *aig.Cone, constraints, roots []int, facts [][]aig.Lit, budget *Budget) ([]bool, error) {
	out := make([]bool, len(roots))
	if none, err := noneOf(ctx, c, constraints, roots, facts, budget); err != nil || none {
		for i := range out {
			out[i] = none
		}
		return out, err
	}
	s := newSolver(ctx, budget)
	f := newFrame(s, c)
	f.constrain(s, constraints)
	f.know(s, facts)
	var found []int
	for i, root := range roots {
		if out[i] = s.solve(f.lit(c.Roots[root])) == -1; out[i] {
			found = append(found, root)
		}
	}
	if s.err != nil || len(found) == 0 {
		return make([]bool, len(roots)), s.err
	}
	none, err := noneOf(ctx, c, constraints, found, facts, budget)
	if err == nil && !none {
		err = errDisagree
	}
	if err != nil {
		return make([]bool, len(roots)), err
	}
	return out, nil
}

// noneOf asks in one question without assumptions whether any of the roots can be true.
func noneOf(ctx context.Context, c *aig.Cone, constraints, roots []int, facts [][]aig.Lit, budget *Budget) (bool, error) {
	s := newSolver(ctx, budget)
	f := newFrame(s, c)
	f.constrain(s, constraints)
	f.know(s, facts)
	var some []z.Lit
	for _, i := range roots {
		some = append(some, f.lit(c.Roots[i]))
	}
	s.clause(some...)
	return s.solve() == -1, s.err
}
