package logic

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"github.com/guardwright/guardwright/calc/logic/internal/aig"
	"github.com/guardwright/guardwright/calc/logic/internal/certify"
	"github.com/guardwright/guardwright/calc/logic/internal/search"
)

// Prove answers the properties, each for all runs of the system that the assumptions allow. The results stand in the order
// of the properties and depend on nothing but the arguments.
//
// Every property is split into obligations, each with its own cone of influence; cones of equal structure are solved once.
// The main engine searches all reachable states breadth first, so that its traces are the shortest and its proofs have no
// bound on the number of steps. Obligations too large for it go to a satisfiability engine, whose proofs are inductive
// invariants that are checked again before they count. What is left is asked with the property's own assumptions only, and with
// timers that may end early but those near the property: both allow more runs than there are, so that only what is impossible
// there, or can be completed to a run of the whole system, is an answer. What nothing decides within the limits is Undecided.
//
// An error means that the question could not be asked: mistakes in building the system, a property of another system, an
// unknown assumption. Every trace is confirmed by the plain interpreter before it is returned; were one not, that would be
// an error too. Every proof comes with a certificate that [CheckProofs] checks.
func Prove(ctx context.Context, s *System, properties []Property, options Options) ([]Result, error) {
	p, err := newProver(ctx, s, properties, options)
	if err != nil {
		return nil, err
	}
	p.start()
	p.answerEarly()
	p.answer()
	return p.results()
}

// newProver checks that the question can be asked.
func newProver(ctx context.Context, s *System, properties []Property, options Options) (*prover, error) {
	as, err := s.active(options.Without)
	errs := []error{s.Err(), err}
	for _, p := range properties {
		errs = append(errs, p.check(s))
	}
	if err := errors.Join(errs...); err != nil {
		return nil, err
	}
	return &prover{ctx: ctx, s: s, props: properties, opts: options, limits: options.Limits.orDefault(), as: s.conjuncts(as)}, nil
}

// prover is one call of Prove.
type prover struct {
	ctx       context.Context
	s         *System
	props     []Property
	opts      Options
	limits    Limits
	as        []assumption
	of        *setting          // what it asks of whom, nil for the questions of the call
	own       bool              // asks with some of the assumptions only
	deep      bool              // allows a search all the work although it asks of more runs than there are
	near      map[node]bool     // windows that may not end early
	inputsOf  map[int32][]int32 // free inputs of assumptions, by node
	early     int               // steps from which windows may end early, 0 for none; then only what is impossible is an answer
	c         *compiled
	workers   []worker
	slicer    *aig.Slicer // of the first worker
	questions []question
	byProp    [][]int // questions by property: obligations first, then preconditions
	clusters  []cluster
	clusterOf []int32 // by graph node: cluster + 1, 0 none
	answered  int
	noFirst   bool             // the assumptions allow not even a first step
	facts     [][]aig.Lit      // clauses that hold in every reachable state, in literals of the graph
	regions   []certify.Region // the sets of states that the facts were read from
}

// question is one root of the graph that is looked for: a way to break a property, to reach a goal, or to meet a
// precondition.
type question struct {
	prop   int
	cover  int // number of the precondition, or noCover
	lit    aig.Lit
	homes  []int32
	part   part // of obligations
	state  answerState
	steps  int
	trace  *coneTrace
	method string
	states int
	reason string
	// below: it is known that the root is not met in so many steps.
	below  int
	large  bool // more latches in its cone than a search handles
	longer bool // met, but perhaps not in the fewest steps
	proof  proof
}

const noCover = -1

type answerState uint8

const (
	unanswered answerState = iota
	met
	never
	dropped // the answer is not needed any more
)

// coneTrace is a trace in terms of a cone.
type coneTrace struct {
	inputs   []uint32 // graph nodes
	values   [][]bool // by step, then as inputs
	clusters []int32  // whose assumptions the cone contains
	run      fullRun  // the run in terms of the system, in place of all of these
}

// start prepares the questions.
func (p *prover) start() {
	p.compile()
	p.ask()
	p.clusterAssumptions()
}

func (p *prover) compile() {
	var roots []int32
	for _, q := range p.props {
		roots = append(roots, q.roots()...)
		roots = append(roots, q.preconditions(p.s.g)...)
	}
	for _, a := range p.as {
		roots = append(roots, a.expr)
	}
	p.c = compile(p.s, roots, p.early, p.near)
}

// worker is what one goroutine works with.
type worker struct {
	slicer   *aig.Slicer
	searcher search.Searcher
}

// ask turns the properties into questions.
func (p *prover) ask() {
	targets := make([]aig.Lit, len(p.props))
	for i, prop := range p.props {
		targets[i] = p.target(prop)
	}
	p.workers = make([]worker, max(1, p.opts.Workers))
	for i := range p.workers {
		p.workers[i].slicer = aig.NewSlicer(p.c.a)
	}
	p.slicer = p.workers[0].slicer
	wholes := make([]part, len(p.props))
	p.each(len(p.props), func(worker, i int) { wholes[i] = p.whole(p.workers[worker].slicer, targets[i]) })
	p.byProp = make([][]int, len(p.props))
	p.questions = make([]question, 0, len(p.props))
	for i, prop := range p.props {
		for _, part := range p.split(wholes[i]) {
			p.addQuestion(question{prop: i, cover: noCover, lit: part.lit, homes: part.homes, part: part})
		}
		if p.opts.SkipVacuity {
			continue
		}
		for k, id := range prop.preconditions(p.s.g) {
			p.addQuestion(question{prop: i, cover: k, lit: p.c.lits[id]})
		}
	}
}

func (p *prover) addQuestion(q question) {
	p.byProp[q.prop] = append(p.byProp[q.prop], len(p.questions))
	p.questions = append(roomy(p.questions), q)
}

// target is the literal that answers the property when it is met.
func (p *prover) target(prop Property) aig.Lit {
	e := p.c.lits[prop.expr.id]
	switch prop.kind {
	case whenProperty:
		return p.c.a.And(p.c.lits[prop.when.id], e.Not())
	case reachProperty:
		return e
	}
	return e.Not()
}

// results puts the answers together by property.
func (p *prover) results() ([]Result, error) {
	var errs []error
	out := make([]Result, len(p.props))
	names, faults := assumptionNames(p.as), faultNames(p.s.faults)
	for i := range p.props {
		r := &out[i]
		*r = Result{Property: p.props[i].Name, Assumptions: names, Faults: faults}
		p.merge(i, r)
		r.Certificate = p.certificate(i, r.Verdict)
		if r.Verdict != Refuted && r.Verdict != Reached {
			continue
		}
		if err := p.s.Confirm(p.props[i], r.Trace, p.opts.Without...); err != nil {
			if p.ctx.Err() != nil { // the inputs of other assumptions may be missing
				*r = Result{Property: r.Property, Assumptions: names, Faults: faults, Reason: p.ctx.Err().Error()}
				continue
			}
			errs = append(errs, fmt.Errorf("a trace was found but not confirmed, the fault is in the prover: %w", err))
		}
	}
	if err := errors.Join(errs...); err != nil {
		return nil, err
	}
	return out, nil
}

// merge finds the verdict on one property from its questions.
func (p *prover) merge(i int, r *Result) {
	var hit, undecided *question
	var seen []bool // by precondition
	if !p.opts.SkipVacuity {
		seen = make([]bool, len(p.props[i].preconditions(p.s.g)))
	}
	sure := true
	below := 0 // no part without an answer is met in so few steps
	for _, at := range p.byProp[i] {
		q := &p.questions[at]
		r.States += q.states
		switch {
		case q.cover >= 0:
			seen[q.cover] = q.state != never
			sure = sure && q.state != unanswered
		case q.state == met && (hit == nil || q.steps < hit.steps):
			hit = q
		case q.state == unanswered:
			if undecided == nil || q.below < below {
				below = q.below
			}
			undecided = q
		}
		if q.cover < 0 && (r.Method == "" || q.state == met) {
			r.Method = q.method
		}
	}
	switch {
	case hit != nil:
		r.Verdict = Refuted
		if p.props[i].kind == reachProperty {
			r.Verdict = Reached
		}
		r.Steps, r.Method = hit.steps, hit.method
		r.Shortest = !hit.longer && (undecided == nil || below+1 >= hit.steps)
		r.Trace = p.trace(i, hit)
	case undecided != nil:
		r.Reason = undecided.reason
	default:
		r.Verdict, r.Reason = p.s.unbroken(p.props[i], !p.noFirst, seen)
		if r.Verdict == Proved && !sure {
			r.Reason = "whether its precondition can hold was not decided within the limits"
		}
	}
}

// trace turns a trace of a cone into one of the system.
func (p *prover) trace(i int, q *question) *Trace {
	values := q.trace.run
	if values == nil {
		values, _ = p.codes(q)
	}
	p.tidy(i, values)
	roots := p.props[i].roots()
	for _, a := range p.as {
		roots = append(roots, a.expr)
	}
	m := newInterp(p.s, roots, nil)
	return p.s.record(m, roots, q.steps, func(step int, at int32) int64 {
		return codeValue(p.s.g.domain(p.s.g.signals[at].node), values[step][at])
	})
}

// tidy makes a run on property i, given as codes by step and signal, easier to read.
func (p *prover) tidy(i int, values fullRun) {
	target := p.target(p.props[i])
	p.slicer.Grown()
	c := p.slicer.Cone(append([]aig.Lit{target}, p.constraints()...), nil)
	var signals [][]int
	place := map[int32]int{}
	run := make([][]bool, len(values))
	for step := range run {
		run[step] = make([]bool, len(c.Inputs))
	}
	order := after(0, len(c.Inputs))
	slices.SortFunc(order, func(a, b int) int { return int(c.Inputs[a]) - int(c.Inputs[b]) }) // as declared
	for _, in := range order {
		b := p.c.sourceOf(c.Inputs[in])
		at, known := place[b.signal]
		if !known {
			at = len(signals)
			place[b.signal] = at
			signals = append(signals, nil)
		}
		signals[at] = append(signals[at], in)
		for step := range run {
			run[step][in] = values[step][b.signal]>>b.bit&1 == 1
		}
	}
	newTidy(c, run, signals).tidy()
	for step := range values {
		clear(values[step])
	}
	p.fill(values, c.Inputs, run)
}

// codes returns the input values of a trace by step and signal, and which signals it sets.
func (p *prover) codes(q *question) (values fullRun, set map[int32]bool) {
	values, set = make(fullRun, q.steps), map[int32]bool{}
	for step := range values {
		values[step] = map[int32]uint64{}
	}
	enter := func(inputs []uint32, rows [][]bool) {
		p.fill(values, inputs, rows)
		for _, n := range inputs {
			set[p.c.sourceOf(n).signal] = true
		}
	}
	enter(q.trace.inputs, q.trace.values)
	for at := range p.clusters {
		if cl := &p.clusters[at]; !holds(q.trace.clusters, int32(at)) && len(cl.cone.Inputs) > 0 {
			enter(cl.cone.Inputs, cl.walk(p.ctx, q.steps, p.searchLimits(levelCut)))
		}
	}
	return values, set
}

func (p *prover) fill(values []map[int32]uint64, inputs []uint32, rows [][]bool) {
	for step, row := range rows {
		for k, on := range row {
			if on {
				b := p.c.sourceOf(inputs[k])
				values[step][b.signal] |= 1 << b.bit
			}
		}
	}
}

func holds(list []int32, x int32) bool {
	for _, y := range list {
		if y == x {
			return true
		}
	}
	return false
}
