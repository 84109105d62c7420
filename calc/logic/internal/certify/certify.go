// Package certify checks proofs. It takes a transition system and a claim about the values that its latches can have, and asks
// a satisfiability solver one question: is there a step that breaks the claim or meets the root? It shares nothing with the
// engines that find proofs but the form of the system: no splitting, no slicing, no alphabet, no incremental questions.
package certify

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"github.com/go-air/gini"
	"github.com/go-air/gini/z"

	"github.com/guardwright/guardwright/calc/logic/internal/aig"
)

// Region claims that some latches together never have other values than those listed: bit i of a state for latch i.
type Region struct {
	Latches []uint32 // nodes of the graph
	States  []uint64
}

// Claim holds in every reachable state: all regions, and all clauses over latches.
type Claim struct {
	Regions []Region
	Clauses [][]aig.Lit
}

// ErrNoAnswer tells that the context ended before the solver had an answer.
var ErrNoAnswer = errors.New("the check was cancelled before it had an answer")

// Check returns nil where the claim holds in the first state, no step that keeps the constraints leads from states in which
// it holds to others, and no such step meets one of the roots. The roots then can't be met in any run.
func Check(ctx context.Context, g *aig.Graph, constraints, roots []aig.Lit, claim Claim) error {
	c := &checker{g: g, sat: gini.New(), lits: map[uint32]z.Lit{}}
	c.yes = c.sat.Lit()
	c.clause(c.yes)
	for _, l := range constraints {
		c.clause(c.lit(l))
	}
	var fails []z.Lit // ways in which the claim or a root can fail
	for _, l := range roots {
		fails = append(fails, c.lit(l))
	}
	for i, r := range claim.Regions {
		fail, err := c.region(r)
		if err != nil {
			return fmt.Errorf("region %d: %w", i+1, err)
		}
		fails = append(fails, fail)
	}
	for i, clause := range claim.Clauses {
		fail, err := c.clauseClaim(clause)
		if err != nil {
			return fmt.Errorf("clause %d: %w", i+1, err)
		}
		fails = append(fails, fail)
	}
	c.clause(fails...)
	switch c.solve(ctx) {
	case -1:
		return nil
	case 1:
		return errors.New("some step leads out of what the proof claims, or meets what it excludes")
	}
	return ErrNoAnswer
}

// Impossible returns nil where no inputs keep the constraints in the first state.
func Impossible(ctx context.Context, g *aig.Graph, constraints []aig.Lit) error {
	c := &checker{g: g, sat: gini.New(), lits: map[uint32]z.Lit{}, fromInit: true}
	c.yes = c.sat.Lit()
	c.clause(c.yes)
	for _, l := range constraints {
		c.clause(c.lit(l))
	}
	switch c.solve(ctx) {
	case -1:
		return nil
	case 1:
		return errors.New("the constraints allow a first step")
	}
	return ErrNoAnswer
}

type checker struct {
	g        *aig.Graph
	sat      *gini.Gini
	lits     map[uint32]z.Lit
	yes      z.Lit
	fromInit bool // latches have their first values
}

// clause adds a clause without repeated literals; one with a literal and its complement says nothing.
func (c *checker) clause(lits ...z.Lit) {
	lits = slices.Clone(lits)
	slices.Sort(lits)
	lits = slices.Compact(lits)
	for i := 1; i < len(lits); i++ {
		if lits[i] == lits[i-1].Not() {
			return
		}
	}
	for _, l := range lits {
		c.sat.Add(l)
	}
	c.sat.Add(z.LitNull)
}

// lit makes a literal of the graph, and all below it in the same step, known to the solver.
func (c *checker) lit(root aig.Lit) z.Lit {
	stack := []uint32{root.Node()}
	for len(stack) > 0 {
		n := stack[len(stack)-1]
		if _, known := c.lits[n]; known {
			stack = stack[:len(stack)-1]
			continue
		}
		if !c.g.IsAnd(n) {
			c.lits[n] = c.leaf(n)
			continue
		}
		a, b := c.g.Fanins(n)
		x, knownX := c.lits[a.Node()]
		y, knownY := c.lits[b.Node()]
		if !knownX || !knownY {
			stack = append(stack, a.Node(), b.Node())
			continue
		}
		x, y = signed(x, a.Neg()), signed(y, b.Neg())
		l := c.sat.Lit()
		c.clause(l.Not(), x)
		c.clause(l.Not(), y)
		c.clause(l, x.Not(), y.Not())
		c.lits[n] = l
	}
	return signed(c.lits[root.Node()], root.Neg())
}

func (c *checker) leaf(n uint32) z.Lit {
	switch {
	case n == 0:
		return c.yes.Not()
	case c.fromInit && c.g.IsLatch(n):
		return signed(c.yes, !c.g.LatchOf(n).Init)
	}
	return c.sat.Lit()
}

func signed(l z.Lit, neg bool) z.Lit {
	if neg {
		return l.Not()
	}
	return l
}

// region makes the region hold now and returns a literal that must be true where it doesn't hold in the next step.
func (c *checker) region(r Region) (z.Lit, error) {
	now, next := make([]z.Lit, len(r.Latches)), make([]z.Lit, len(r.Latches))
	first := uint64(0)
	if len(r.Latches) > 64 {
		return 0, fmt.Errorf("%d latches in one region; 64 at most", len(r.Latches))
	}
	for i, n := range r.Latches {
		if int(n) >= c.g.Len() || !c.g.IsLatch(n) {
			return 0, fmt.Errorf("node %d is no latch", n)
		}
		l := c.g.LatchOf(n)
		if l.Init {
			first |= 1 << i
		}
		now[i], next[i] = c.lit(aig.Lit(n)<<1), c.lit(l.Next)
	}
	if !slices.Contains(r.States, first) {
		return 0, errors.New("the first state is not in it")
	}
	d := newDiagram(r.States, len(r.Latches))
	c.clause(c.member(d, now))
	return c.member(d, next).Not(), nil
}

// member returns a literal that is true exactly where the values are in the diagram's set.
func (c *checker) member(d *diagram, values []z.Lit) z.Lit {
	lits := make([]z.Lit, len(d.nodes))
	lits[0], lits[1] = c.yes.Not(), c.yes
	for i := 2; i < len(lits); i++ {
		n := &d.nodes[i]
		x, high, low, l := values[n.bit], lits[n.high], lits[n.low], c.sat.Lit()
		c.clause(x.Not(), high.Not(), l)
		c.clause(x.Not(), high, l.Not())
		c.clause(x, low.Not(), l)
		c.clause(x, low, l.Not())
		lits[i] = l
	}
	return lits[d.root]
}

// clauseClaim makes the clause hold now and returns a literal that must be true where it doesn't hold in the next step.
func (c *checker) clauseClaim(clause []aig.Lit) (z.Lit, error) {
	now := make([]z.Lit, len(clause))
	holds := false
	fail := c.sat.Lit()
	all := []z.Lit{fail}
	for i, x := range clause {
		if int(x.Node()) >= c.g.Len() || !c.g.IsLatch(x.Node()) {
			return 0, fmt.Errorf("node %d is no latch", x.Node())
		}
		l := c.g.LatchOf(x.Node())
		holds = holds || l.Init != x.Neg()
		now[i] = c.lit(x)
		next := c.lit(l.Next.XorSign(x.Neg()))
		c.clause(fail.Not(), next.Not())
		all = append(all, next)
	}
	if !holds {
		return 0, errors.New("it doesn't hold in the first state")
	}
	c.clause(all...)
	c.clause(now...)
	return fail, nil
}

// solve asks the one question.
func (c *checker) solve(ctx context.Context) int {
	if ctx.Done() == nil {
		return c.sat.Solve()
	}
	running := c.sat.GoSolve()
	for {
		if r, done := running.Test(); done {
			return r
		}
		if ctx.Err() != nil {
			running.Stop()
			return 0
		}
		time.Sleep(50 * time.Microsecond)
	}
}
