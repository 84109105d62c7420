package logic

import (
	"slices"

	"github.com/guardwright/guardwright/calc/logic/internal/aig"
	"github.com/guardwright/guardwright/calc/logic/internal/certify"
	"github.com/guardwright/guardwright/calc/logic/internal/sat"
	"github.com/guardwright/guardwright/calc/logic/internal/search"
)

// satBatch is the number of cones that are kept at a time.
const satBatch = 64

// answerSAT hands the questions to the satisfiability engine, each alone.
func (p *prover) answerSAT(all []int, l level) {
	todo, same := p.distinct(all)
	for from := 0; from < len(todo); from += satBatch {
		some := todo[from:min(from+satBatch, len(todo))]
		cones := make([]*satCone, len(some))
		for i, at := range some { // the slicer serves one goroutine
			cones[i] = p.satCone(&p.questions[at])
			cones[i].enough = p.broken(p.questions[at].prop)
		}
		p.each(len(some), func(_, i int) {
			switch q, c := &p.questions[some[i]], cones[i]; l {
			case levelUnroll:
				p.tryTrace(q, c)
			case levelReach:
				p.tryProof(q, c)
			default:
				p.decide(q, c)
			}
		})
	}
	for at, first := range same {
		p.questions[at].takeOver(&p.questions[first])
	}
	answered := 0
	for _, at := range all {
		if p.questions[at].state != unanswered {
			answered++
		}
	}
	p.progress(answered)
}

// distinct leaves out the preconditions that are asked for already, and tells for each by which question: many rules begin with
// the same words.
func (p *prover) distinct(all []int) (todo []int, same map[int]int) {
	same = map[int]int{}
	first := map[aig.Lit]int{}
	for _, at := range all {
		q := &p.questions[at]
		if known, ok := first[q.lit]; ok && q.cover >= 0 && p.questions[known].cover >= 0 {
			same[at] = known
			continue
		}
		if q.cover >= 0 {
			first[q.lit] = at
		}
		todo = append(todo, at)
	}
	return todo, same
}

// takeOver takes the answer to the same question.
func (q *question) takeOver(o *question) {
	q.state, q.steps, q.trace, q.method, q.states, q.reason, q.proof, q.below = o.state, o.steps, o.trace, o.method, o.states, o.reason, o.proof, o.below
}

// findFacts returns clauses of one or two latches that hold in every reachable state, in literals of the graph: for each part of the
// machine, the exact set of states that its latches can reach when all other parts do as they like. The sets come along.
func (p *prover) findFacts() ([][]aig.Lit, []certify.Region) {
	groups := len(p.s.g.groupNames)
	if p.opts.noCut || groups == 1 {
		return nil, nil
	}
	latches := make([][]aig.Lit, groups)
	for n := range uint32(p.c.a.Len()) {
		if g := p.c.a.GroupOf(n); p.c.a.IsLatch(n) && g != 0 {
			latches[g] = append(latches[g], aig.Lit(n)<<1)
		}
	}
	var out [][]aig.Lit
	var regions []certify.Region
	known := map[uint64][]knownFacts{}
	var s search.Searcher
	for g := 1; g < groups; g++ {
		if len(latches[g]) > 0 && len(latches[g]) <= maxFactLatches {
			facts, region := p.factsOf(&s, latches[g], int32(g), known)
			out, regions = append(out, facts...), append(regions, region...)
		}
	}
	return out, regions
}

// Limits of finding facts about one part of the machine.
const (
	maxFactLatches = 32
	maxFactStates  = 1 << 14
	maxFactWork    = 1 << 24
)

type knownFacts struct {
	key    []uint32
	facts  [][]aig.Lit // in literals of the cone
	states []uint64    // nil where there were too many
}

func (p *prover) factsOf(s *search.Searcher, roots []aig.Lit, group int32, known map[uint64][]knownFacts) ([][]aig.Lit, []certify.Region) {
	var constraints []int
	if len(p.clusters) > 0 {
		lits := p.clusterLits(p.allClusters())
		constraints = after(len(roots), len(lits))
		roots = append(slices.Clone(roots), lits...)
	}
	c := p.slicer.Cone(roots, []int32{group})
	key := c.Key(nil)
	h := hashKey(key)
	for _, k := range known[h] {
		if slices.Equal(k.key, key) {
			return k.in(c)
		}
	}
	limits := p.searchLimits(levelFacts)
	limits.States, limits.Work = min(limits.States, maxFactStates), min(limits.Work, maxFactWork)
	k := knownFacts{key: key}
	if states, complete := s.Reachable(p.ctx, c, constraints, limits); complete {
		k.facts, k.states = pairFacts(c, states), states
	}
	known[h] = append(known[h], k)
	return k.in(c)
}

// in turns what is known of a cone into facts of the graph.
func (k *knownFacts) in(c *aig.Cone) ([][]aig.Lit, []certify.Region) {
	if k.states == nil {
		return nil, nil
	}
	return globalFacts(c, k.facts), regionOf(c, k.states)
}

func (p *prover) allClusters() []int32 {
	out := make([]int32, len(p.clusters))
	for i := range out {
		out[i] = int32(i)
	}
	return out
}

// pairFacts returns the clauses of one or two latches that all the states satisfy.
func pairFacts(c *aig.Cone, states []uint64) [][]aig.Lit {
	n := len(c.Latches)
	var with [2][64]([2]uint64) // by value of latch i: latches seen false, seen true beside it
	for _, st := range states {
		for i := range n {
			w := &with[st>>i&1][i]
			w[0] |= ^st
			w[1] |= st
		}
	}
	var out [][]aig.Lit
	for i := range n {
		for a := range 2 {
			x := c.Latch(i).XorSign(a == 1) // excludes latch i = a
			w := with[a][i]
			if w[0]|w[1] == 0 {
				out = append(out, []aig.Lit{x})
				continue
			}
			for j := i + 1; j < n; j++ {
				for b := range 2 {
					if w[b]>>j&1 == 0 && with[b][j][0]|with[b][j][1] != 0 {
						out = append(out, []aig.Lit{x, c.Latch(j).XorSign(b == 1)})
					}
				}
			}
		}
	}
	return out
}

// globalFacts turns facts of a cone into literals of the graph.
func globalFacts(c *aig.Cone, facts [][]aig.Lit) [][]aig.Lit {
	first := uint32(1 + len(c.Inputs))
	out := make([][]aig.Lit, len(facts))
	for i, f := range facts {
		for _, l := range f {
			out[i] = append(out[i], aig.Lit(c.Latches[l.Node()-first])<<1|l&1)
		}
	}
	return out
}

// localFacts turns facts of the graph into literals of a cone, those that lie within it.
func localFacts(c *aig.Cone, facts [][]aig.Lit) [][]aig.Lit {
	place := make(map[uint32]aig.Lit, len(c.Latches))
	for i, n := range c.Latches {
		place[n] = c.Latch(i)
	}
	var out [][]aig.Lit
next:
	for _, f := range facts {
		var local []aig.Lit
		for _, l := range f {
			x, ok := place[l.Node()]
			if !ok {
				continue next
			}
			local = append(local, x|l&1)
		}
		out = append(out, local)
	}
	return out
}

// exclude answers the questions whose roots the facts exclude in every single step.
func (p *prover) exclude(open []int) {
	var roots []aig.Lit
	for _, at := range open {
		roots = append(roots, p.questions[at].lit)
	}
	lits := p.clusterLits(p.allClusters())
	p.slicer.Grown()
	c := p.slicer.Cone(append(roots, lits...), nil)
	budget := &sat.Budget{Queries: p.limits.Queries}
	out, err := sat.Excluded(p.ctx, c, after(len(roots), len(lits)), after(0, len(roots)), localFacts(c, p.facts), budget)
	regions := regionsWithin(c, p.regions)
	answered := 0
	for i, at := range open {
		q := &p.questions[at]
		if err != nil && q.reason == "" {
			q.reason = err.Error()
		}
		if !out[i] {
			continue
		}
		q.state, q.method = never, "induction on the facts of each part"
		q.proof = proof{in: p.of, regions: regions}
		answered++
	}
	p.progress(answered)
}

// satCone is a question for the satisfiability engine.
type satCone struct {
	problem  sat.Problem
	clusters []int32
	// enough is the number of steps in which another part breaks the property already, 0 for none: only fewer are of interest.
	enough int
}

func (p *prover) satCone(q *question) *satCone {
	b := &jobBuilder{p: p}
	_, clusters := b.leaves(q.lit, nil)
	lits := p.clusterLits(clusters)
	c := p.slicer.Cone(append([]aig.Lit{q.lit}, lits...), nil)
	return &satCone{clusters: clusters,
		problem: sat.Problem{Cone: c, Constraints: after(1, len(lits)), Bad: 0, Facts: localFacts(c, p.facts)}}
}

const (
	// firstSteps are asked for before property-directed reachability is tried.
	firstSteps = 12
	// traceSteps are asked for, where there are timers to wait for, before anything that takes more work than a search;
	// traceQueries is their share of the queries.
	traceSteps, traceQueries = 80, 5
	// coverQueries is the share of the queries that a precondition may use, coverGates the largest cone of one that is tried.
	coverQueries = 10
	traceGates   = 1 << 14
	coverGates   = 1 << 12
)

// decide unrolls a few steps, then runs property-directed reachability, and where that finds a trace unrolls up to its
// length, so that the trace is the shortest. Where it gives up, some more steps are tried without the solver, which may take
// for ever over deep ones.
func (p *prover) decide(q *question, c *satCone) {
	budget := &sat.Budget{Queries: p.limits.Queries, Depth: p.limits.Depth}
	if q.cover >= 0 {
		if budget.Queries /= coverQueries; len(c.problem.Cone.Ands) > coverGates {
			q.reason = "its cone is too large"
			return
		}
	}
	u := sat.NewUnrolling(p.ctx, c.problem, budget)
	if c.enough > 0 {
		if !p.unroll(q, u, c, func() bool { return u.Steps() < c.enough-1 }) && u.Steps() >= c.enough-1 {
			q.state = dropped
		}
		return
	}
	if p.unroll(q, u, c, func() bool { return u.Asked() < firstSteps && u.Steps() < p.limits.Depth }) {
		return
	}
	r := sat.Reach(p.ctx, c.problem, budget)
	switch {
	case r.Proved:
		p.prove(q, c, r)
	case r.Trace != nil:
		if p.unroll(q, u, c, func() bool { return u.Steps() < len(r.Trace) }) {
			return
		}
		q.meet(c, r.Trace, "property-directed reachability")
		q.longer = u.Steps()+1 < len(r.Trace)
	default:
		q.reason = r.Reason.Error()
		for u.Steps() < p.limits.Depth && p.ctx.Err() == nil {
			if trace := u.Guess(); trace != nil {
				q.meet(c, trace, "unrolling")
				q.longer = q.below+1 < len(trace)
				return
			}
		}
	}
}

// tryTrace looks for a short trace: most broken rules are broken soon, and most preconditions can hold soon.
func (p *prover) tryTrace(q *question, c *satCone) {
	if len(c.problem.Cone.Ands) > traceGates {
		return
	}
	most := firstSteps
	if timed := len(p.windows([]int{q.prop}, 2)) > 0; timed {
		if most = traceSteps; q.cover < 0 && p.props[q.prop].kind != reachProperty {
			most /= 2
		}
	}
	u := sat.NewUnrolling(p.ctx, c.problem, &sat.Budget{Queries: max(1, p.limits.Queries/traceQueries), Depth: p.limits.Depth})
	p.unroll(q, u, c, func() bool {
		return u.Asked() < most && u.Steps() < p.limits.Depth && (c.enough == 0 || u.Steps() < c.enough-1)
	})
}

func (p *prover) prove(q *question, c *satCone, r sat.Outcome) {
	q.state, q.method = never, "inductive invariant"
	q.proof = proof{in: p.of, regions: regionsWithin(c.problem.Cone, p.regions),
		clauses: globalFacts(c.problem.Cone, r.Invariant[len(c.problem.Facts):])}
}

// tryProof looks for an inductive invariant, briefly.
func (p *prover) tryProof(q *question, c *satCone) {
	if c.enough > 0 || q.cover >= 0 || p.props[q.prop].kind == reachProperty || len(c.problem.Cone.Ands) > traceGates {
		return
	}
	r := sat.Reach(p.ctx, c.problem, &sat.Budget{Queries: max(1, p.limits.Queries/traceQueries), Depth: p.limits.Depth})
	if r.Proved {
		p.prove(q, c, r)
	}
}

// unroll looks at one step after the other as long as more says so, and tells whether that answered the question.
func (p *prover) unroll(q *question, u *sat.Unrolling, c *satCone, more func() bool) bool {
	for more() {
		trace, err := u.Next()
		if err != nil {
			q.reason = err.Error()
			return false
		}
		q.below = u.Steps()
		if trace != nil {
			q.below--
			q.meet(c, trace, "unrolling")
			return true
		}
	}
	return false
}

func (q *question) meet(c *satCone, trace [][]bool, method string) {
	q.state, q.steps, q.method = met, len(trace), method
	q.trace = &coneTrace{inputs: c.problem.Cone.Inputs, values: trace, clusters: c.clusters}
}
