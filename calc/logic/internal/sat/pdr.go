package sat

import (
	"container/heap"
	"context"
	"slices"

	"github.com/go-air/gini/z"

	"github.com/guardwright/guardwright/calc/logic/internal/aig"
)

// cube is a set of states: literals of latch nodes of the cone, ascending.
type cube []aig.Lit

// Outcome of property-directed reachability: proved, or a trace that meets the root (not always in the fewest steps), or
// neither, with the reason.
type Outcome struct {
	Proved    bool
	Invariant [][]aig.Lit // clauses over latches, for a proof
	Trace     [][]bool    // by step and cone input
	Reason    error
}

// Reach runs property-directed reachability.
func Reach(ctx context.Context, p Problem, budget *Budget) Outcome {
	r := newReacher(ctx, p, budget)
	out := r.run()
	if out.Proved && !Inductive(ctx, p, out.Invariant) {
		if ctx.Err() != nil {
			return Outcome{Reason: ctx.Err()}
		}
		return Outcome{Reason: errDisagree}
	}
	if out.Trace != nil {
		if out.Trace = cutAtFirst(p, out.Trace); out.Trace == nil {
			return Outcome{Reason: errDisagree}
		}
	}
	return out
}

// cutAtFirst evaluates the trace from the initial state and ends it with the first step in which the root is met; nil where it
// isn't met, or a constraint is not kept.
func cutAtFirst(p Problem, trace [][]bool) [][]bool {
	c := p.Cone
	x := make([]bool, c.NumNodes())
	lit := func(l aig.Lit) bool { return x[l.Node()] != l.Neg() }
	state := slices.Clone(c.Init)
	for step, row := range trace {
		copy(x[1:], row)
		copy(x[1+len(c.Inputs):], state)
		for i, a := range c.Ands {
			x[c.And(i).Node()] = lit(a[0]) && lit(a[1])
		}
		for _, i := range p.Constraints {
			if !lit(c.Roots[i]) {
				return nil
			}
		}
		if lit(c.Roots[p.Bad]) {
			return trace[:step+1]
		}
		for i, n := range c.Next {
			state[i] = lit(n)
		}
	}
	return nil
}

// reacher holds the frames: frames[i] are the cubes known to be unreachable in i steps and no longer known for i+1; act[i]
// switches their clauses on. Frame 0 is the initial state.
type reacher struct {
	p      Problem
	s      *solver
	f      *frame
	lift   *solver
	lf     *frame
	good   z.Lit // in lift: all constraints hold
	act    []z.Lit
	frames [][]cube
	init   []bool
	serial int
}

func newReacher(ctx context.Context, p Problem, budget *Budget) *reacher {
	r := &reacher{p: p, s: newSolver(ctx, budget), lift: newSolver(ctx, budget), init: p.Cone.Init}
	r.f = newFrame(r.s, p.Cone)
	r.f.constrain(r.s, p.Constraints)
	r.f.know(r.s, p.Facts)
	r.lf = newFrame(r.lift, p.Cone)
	r.good = r.lift.Lit()
	all := []z.Lit{r.good}
	for _, i := range p.Constraints {
		l := r.lf.lit(p.Cone.Roots[i])
		r.lift.clause(r.good.Not(), l)
		all = append(all, l.Not())
	}
	r.lift.clause(all...)
	r.frame()
	for i, v := range p.Cone.Init {
		r.s.clause(r.act[0].Not(), r.f.lit(p.Cone.Latch(i).XorSign(!v)))
	}
	return r
}

// frame adds one frame.
func (r *reacher) frame() {
	r.act = append(r.act, r.s.Lit())
	r.frames = append(r.frames, nil)
}

func (r *reacher) run() Outcome {
	for {
		r.frame()
		top := len(r.frames) - 1
		for {
			ob, found := r.badState(top)
			if r.failed() {
				return Outcome{Reason: r.err()}
			}
			if !found {
				break
			}
			if trace := r.block(ob); trace != nil {
				return Outcome{Trace: trace}
			}
			if r.failed() {
				return Outcome{Reason: r.err()}
			}
		}
		if inv, done := r.propagate(); done {
			return Outcome{Proved: true, Invariant: inv}
		}
		if r.failed() {
			return Outcome{Reason: r.err()}
		}
	}
}

func (r *reacher) failed() bool { return r.s.err != nil || r.lift.err != nil }

func (r *reacher) err() error {
	if r.s.err != nil {
		return r.s.err
	}
	return r.lift.err
}

// from returns the assumptions that switch on what is known of the states reachable in at most i steps.
func (r *reacher) from(i int) []z.Lit {
	if i == 0 {
		return []z.Lit{r.act[0]}
	}
	return slices.Clone(r.act[i:])
}

// obligation is a set of states from which the root can be met, to be shown unreachable in level steps.
type obligation struct {
	states cube
	level  int
	inputs []bool
	next   *obligation // nil: the root is met in this step
	serial int
}

type queue []*obligation

func (q queue) Len() int { return len(q) }
func (q queue) Less(i, j int) bool {
	if q[i].level != q[j].level {
		return q[i].level < q[j].level
	}
	return q[i].serial < q[j].serial
}
func (q queue) Swap(i, j int) { q[i], q[j] = q[j], q[i] }
func (q *queue) Push(x any)   { *q = append(*q, x.(*obligation)) }
func (q *queue) Pop() any {
	old := *q
	x := old[len(old)-1]
	*q = old[:len(old)-1]
	return x
}

// badState returns states of the top frame in which the root can be met.
func (r *reacher) badState(top int) (*obligation, bool) {
	bad := r.p.Cone.Roots[r.p.Bad]
	if top == 1 { // the initial state has to be asked once
		if ob, found := r.ask(0, bad); found || r.failed() {
			return ob, found
		}
	}
	return r.ask(top, bad)
}

func (r *reacher) ask(level int, bad aig.Lit) (*obligation, bool) {
	if r.s.solve(append(r.from(level), r.f.lit(bad))...) != 1 {
		return nil, false
	}
	return r.obligation(level, []aig.Lit{bad}, nil), true
}

// obligation reads the model and drops the latches that the inputs alone don't need to force the targets and the
// constraints.
func (r *reacher) obligation(level int, targets []aig.Lit, next *obligation) *obligation {
	c := r.p.Cone
	ob := &obligation{level: level, next: next, serial: r.serial, inputs: make([]bool, len(c.Inputs))}
	r.serial++
	var assume []z.Lit
	for i := range c.Inputs {
		ob.inputs[i] = r.s.Value(r.f.lit(c.Input(i)))
		assume = append(assume, r.lf.lit(c.Input(i).XorSign(!ob.inputs[i])))
	}
	fixed := map[z.Lit]aig.Lit{}
	for i := range c.Latches {
		l := c.Latch(i).XorSign(!r.s.Value(r.f.lit(c.Latch(i))))
		ob.states = append(ob.states, l)
		assume = append(assume, r.lf.lit(l))
		fixed[r.lf.lit(l)] = l
	}
	act := r.lift.Lit()
	miss := []z.Lit{act.Not(), r.good.Not()}
	for _, t := range targets {
		miss = append(miss, r.lf.lit(t).Not())
	}
	r.lift.clause(miss...)
	if r.lift.solve(append(assume, act)...) == -1 {
		var core cube
		for _, l := range r.lift.why() {
			if x, ok := fixed[l]; ok {
				core = append(core, x)
			}
		}
		slices.Sort(core)
		ob.states = slices.Compact(core)
	}
	r.lift.clause(act.Not())
	return ob
}

// hasInit tells whether the initial state is in the cube.
func (r *reacher) hasInit(q cube) bool {
	for _, l := range q {
		if r.init[r.latchOf(l)] == l.Neg() {
			return false
		}
	}
	return true
}

func (r *reacher) latchOf(l aig.Lit) int { return int(l.Node()) - 1 - len(r.p.Cone.Inputs) }

// block shows the obligation unreachable, or returns a trace.
func (r *reacher) block(first *obligation) [][]bool {
	q := &queue{first}
	for q.Len() > 0 {
		ob := heap.Pop(q).(*obligation)
		if r.hasInit(ob.states) {
			return ob.trace()
		}
		if ob.level == 0 { // not the initial state, so not reachable in no step
			continue
		}
		if r.blocked(ob) {
			if r.failed() {
				return nil
			}
			continue
		}
		core, before := r.induce(ob)
		if r.failed() {
			return nil
		}
		if before != nil {
			heap.Push(q, before)
			heap.Push(q, ob)
			continue
		}
		core, level := r.generalise(core, ob.level)
		if r.failed() {
			return nil
		}
		r.learn(core, level)
		if level < len(r.frames)-1 {
			again := *ob
			again.level = level + 1
			again.serial = r.serial
			r.serial++
			heap.Push(q, &again)
		}
	}
	return nil
}

// trace follows the obligations from the initial state to the root.
func (ob *obligation) trace() [][]bool {
	var out [][]bool
	for ; ob != nil; ob = ob.next {
		out = append(out, ob.inputs)
	}
	return out
}

// blocked tells whether the states are excluded already.
func (r *reacher) blocked(ob *obligation) bool {
	assume := r.from(ob.level)
	for _, l := range ob.states {
		assume = append(assume, r.f.lit(l))
	}
	return r.s.solve(assume...) != 1
}

// consecution asks for a step from outside the cube, in the frame before level, into it. It returns the literals of the cube
// that a proof of none needs; ok is false where there is such a step.
func (r *reacher) consecution(q cube, level int) (core cube, ok bool) {
	act := r.s.Lit()
	outside := []z.Lit{act.Not()}
	assume := append(r.from(level-1), act)
	byLit := map[z.Lit][]aig.Lit{}
	for _, l := range q {
		outside = append(outside, r.f.lit(l).Not())
		n := r.f.lit(r.nextOf(l))
		assume = append(assume, n)
		byLit[n] = append(byLit[n], l)
	}
	r.s.clause(outside...)
	switch r.s.solve(assume...) {
	case 1, 0: // the model may still be read; the clause is without effect as long as act is not assumed
		return nil, false
	}
	for _, l := range r.s.why() {
		core = append(core, byLit[l]...)
	}
	r.s.clause(act.Not())
	slices.Sort(core)
	core = slices.Compact(core)
	return r.keepOutInit(core, q), true
}

// nextOf is the literal that is true when l will be in the next step.
func (r *reacher) nextOf(l aig.Lit) aig.Lit {
	return r.p.Cone.Next[r.latchOf(l)].XorSign(l.Neg())
}

// keepOutInit adds a literal of the full cube back where the core alone would contain the initial state.
func (r *reacher) keepOutInit(core, full cube) cube {
	if !r.hasInit(core) {
		return core
	}
	for _, l := range full {
		if r.init[r.latchOf(l)] == l.Neg() {
			core = append(core, l)
			slices.Sort(core)
			return core
		}
	}
	return full
}

// induce shows that the obligation's states can't be entered, or returns states before them.
func (r *reacher) induce(ob *obligation) (cube, *obligation) {
	core, ok := r.consecution(ob.states, ob.level)
	if ok || r.failed() {
		return core, nil
	}
	targets := make([]aig.Lit, len(ob.states))
	for i, l := range ob.states {
		targets[i] = r.nextOf(l)
	}
	return nil, r.obligation(ob.level-1, targets, ob)
}

// generalise leaves out literals while the cube stays unreachable, and raises its level as far as it goes.
func (r *reacher) generalise(q cube, level int) (cube, int) {
	for i := 0; i < len(q) && len(q) > 1; {
		smaller := slices.Delete(slices.Clone(q), i, i+1)
		if r.hasInit(smaller) {
			i++
			continue
		}
		core, ok := r.consecution(smaller, level)
		if r.failed() {
			return q, level
		}
		if !ok {
			i++
			continue
		}
		q = core
	}
	for level < len(r.frames)-1 {
		core, ok := r.consecution(q, level+1)
		if r.failed() || !ok {
			break
		}
		q = core
		level++
	}
	return q, level
}

// learn excludes the cube from the states reachable in at most level steps.
func (r *reacher) learn(q cube, level int) {
	lits := []z.Lit{r.act[level].Not()}
	for _, l := range q {
		lits = append(lits, r.f.lit(l).Not())
	}
	r.s.clause(lits...)
	for i := 1; i <= level; i++ {
		r.frames[i] = slices.DeleteFunc(r.frames[i], func(o cube) bool { return subset(q, o) })
	}
	r.frames[level] = append(r.frames[level], q)
}

// subset tells whether every literal of a is in b; both ascend.
func subset(a, b cube) bool {
	i := 0
	for _, l := range b {
		if i < len(a) && a[i] == l {
			i++
		}
	}
	return i == len(a)
}

// propagate moves cubes up a frame where they can't be entered either. A frame that loses all its cubes is an invariant
// together with those above it.
func (r *reacher) propagate() ([][]aig.Lit, bool) {
	for i := 1; i < len(r.frames)-1; i++ {
		for _, q := range slices.Clone(r.frames[i]) {
			if !slices.ContainsFunc(r.frames[i], func(o cube) bool { return slices.Equal(o, q) }) {
				continue
			}
			core, ok := r.consecution(q, i+1)
			if r.failed() {
				return nil, false
			}
			if ok {
				r.learn(core, i+1)
			}
		}
		if len(r.frames[i]) == 0 {
			return r.invariant(i + 1), true
		}
	}
	return nil, false
}

// invariant is what frame i and those above it know, with the facts.
func (r *reacher) invariant(i int) [][]aig.Lit {
	inv := slices.Clone(r.p.Facts)
	for _, fr := range r.frames[i:] {
		for _, q := range fr {
			clause := make([]aig.Lit, len(q))
			for k, l := range q {
				clause[k] = l.Not()
			}
			inv = append(inv, clause)
		}
	}
	return inv
}

// Inductive checks a proof anew: the clauses hold in the initial state, a step allowed by the constraints leads from states in
// which they and the facts hold to such states, and none of these states meets the root. It is one question to a fresh solver.
// Facts are known of all reachable states and needn't be inductive themselves; they stand first in inv.
func Inductive(ctx context.Context, p Problem, inv [][]aig.Lit) bool {
	s := newSolver(ctx, &Budget{Queries: 1})
	f := newFrame(s, p.Cone)
	f.constrain(s, p.Constraints)
	f.know(s, inv)
	first := 1 + len(p.Cone.Inputs)
	some := []z.Lit{f.lit(p.Cone.Roots[p.Bad])} // ways to fail
	for _, clause := range inv[len(p.Facts):] {
		left := s.Lit() // the clause is false after the step
		some = append(some, left)
		holds := false
		for _, l := range clause {
			at := int(l.Node()) - first
			holds = holds || p.Cone.Init[at] != l.Neg()
			s.clause(left.Not(), f.lit(p.Cone.Next[at].XorSign(l.Neg())).Not())
		}
		if !holds {
			return false
		}
	}
	s.clause(some...)
	return s.solve() == -1
}
