// Package search explores all reachable states of a cone exactly, breadth first, with 64 different inputs evaluated at a
// time. Its input alphabet is reduced exactly first (see letters.go), so that the number of channels of a guard doesn't
// matter. The method is our own combination of well-known parts.
package search

import (
	"context"
	"errors"
	"math/bits"
	"slices"

	"github.com/guardwright/guardwright/calc/logic/internal/aig"
)

// Limits bound a search. All are counts, so that a search ends at the same place on every machine.
type Limits struct {
	States  int   // reachable states
	Letters int   // different input letters, also while they are being found
	Work    int64 // gate evaluations, 64 letters each
}

// Goal is a root of the cone that is looked for.
type Goal struct {
	Root int // into Cone.Roots
	// Group binds goals together: when a deciding goal has been met, the other goals of its group are given up.
	Group  int
	Decide bool
}

// Outcome is what a search found.
type Outcome struct {
	Goals    []GoalOutcome
	Complete bool  // every reachable state was looked at, or every goal was met or given up
	Stopped  error // why it is not complete
	Allowed  bool  // the constraints allow some first step
	DeadEnds bool  // some reachable state has no allowed step
	States   int
	Letters  int
}

// GoalOutcome tells whether a goal was met; Steps is the fewest number of steps then, and Trace the inputs, by step and cone
// input.
type GoalOutcome struct {
	Met     bool
	GivenUp bool
	Steps   int
	Trace   [][]bool
	at      int32
	letter  int32
}

var (
	errStates  = errors.New("more reachable states than the limit")
	errWork    = errors.New("more work than the limit")
	errLatches = errors.New("more than 64 latches in one cone")
)

// Searcher keeps working memory between searches and serves one goroutine. The zero value is ready for use.
type Searcher struct {
	seenTuples []uint64
	x          []uint64 // node values of one word
	bitmap     []uint64
	slots      []uint64
	order      []uint64 // letters being sorted
	noBitmap   bool     // for tests: a hash set for few latches too
}

// MaxLatches is the number of latches of one cone that can be searched: a state is one machine word.
const MaxLatches = 64

// bitmapLatches is the number of latches up to which visited states are kept in a bitmap.
const bitmapLatches = 16

// run is one search.
type run struct {
	s       *Searcher
	c       *aig.Cone
	l       *letters
	limits  Limits
	goals   []Goal
	out     *Outcome
	open    int // goals still looked for
	ops     []operation
	front   [][]uint64 // words of each front net
	words   int
	last    uint64 // valid lanes of the last word
	limit   aig.Lit
	next    []operand
	states  []uint64
	parents []int32
	byWhich []int32 // letter that led to the state
	visited visited
}

type operation struct {
	dst, a, b uint32
	na, nb    uint64
}

type operand struct {
	node uint32
	neg  uint64
}

// Search looks for the goals. constraints are roots that must be true in every step.
func (s *Searcher) Search(ctx context.Context, c *aig.Cone, constraints []int, goals []Goal, limits Limits) *Outcome {
	out := &Outcome{Goals: make([]GoalOutcome, len(goals))}
	r := &run{s: s, c: regroup(c), limits: limits, goals: goals, out: out, open: len(goals)}
	if len(c.Latches) > MaxLatches {
		out.Stopped = errLatches
		return out
	}
	if err := r.alphabet(constraints, false); err != nil {
		out.Stopped = err
		return out
	}
	out.Letters = len(r.l.tuples)
	r.program()
	r.explore(ctx)
	out.States = len(r.states)
	r.traces(constraints)
	return out
}

// classify tells by node whether it depends on a latch, and which input-only nodes feed such ones, a root or a latch.
func classify(c *aig.Cone) (stateful, needed []bool) {
	both := make([]bool, 2*c.NumNodes())
	stateful, needed = both[:c.NumNodes()], both[c.NumNodes():]
	for i := range c.Latches {
		stateful[c.Latch(i).Node()] = true
	}
	first := 1 + len(c.Inputs) + len(c.Latches)
	for i, a := range c.Ands {
		stateful[first+i] = stateful[a[0].Node()] || stateful[a[1].Node()]
	}
	need := func(l aig.Lit) {
		if n := l.Node(); n != 0 && !stateful[n] {
			needed[n] = true
		}
	}
	for i, a := range c.Ands {
		if stateful[first+i] {
			need(a[0])
			need(a[1])
		}
	}
	for _, l := range c.Next {
		need(l)
	}
	for _, l := range c.Roots {
		need(l)
	}
	return stateful, needed
}

// alphabet finds the letters and leaves out those that a constraint on inputs alone forbids.
func (r *run) alphabet(constraints []int, trace bool) error {
	stateful, needed := classify(r.c)
	l, err := planLetters(r.c, stateful, needed)
	if err != nil {
		return err
	}
	if r.s.seenTuples == nil {
		r.s.seenTuples = make([]uint64, 1<<bitmapSlots/64)
	}
	if r.s.seenTuples, err = l.enumerate(r.limits.Letters, trace, r.s.seenTuples); err != nil {
		return err
	}
	r.l = l
	r.limit = aig.True
	slot := make(map[uint32]uint8, len(l.front))
	for i, n := range l.front {
		slot[n] = l.slots[i]
	}
	var state []aig.Lit
	for _, i := range constraints {
		root := r.c.Roots[i]
		if stateful[root.Node()] {
			state = append(state, root)
			continue
		}
		kept := l.tuples[:0]
		for _, t := range l.tuples {
			if v := root == aig.True || root.Node() != 0 && (t>>slot[root.Node()]&1 == 1) != root.Neg(); v {
				kept = append(kept, t)
			}
		}
		l.tuples = kept
	}
	r.program0(stateful, state)
	return nil
}

// program0 prepares the straight-line program: the gates that depend on a state, then the state-dependent constraints as one
// more chain of gates.
func (r *run) program0(stateful []bool, constraints []aig.Lit) {
	c := r.c
	first := 1 + len(c.Inputs) + len(c.Latches)
	r.ops = make([]operation, 0, len(c.Ands)+len(constraints))
	for i, a := range c.Ands {
		if stateful[first+i] {
			r.ops = append(r.ops, newOperation(uint32(first+i), a[0], a[1]))
		}
	}
	dst := uint32(c.NumNodes())
	for _, l := range constraints {
		if r.limit == aig.True {
			r.limit = l
			continue
		}
		r.ops = append(r.ops, newOperation(dst, r.limit, l))
		r.limit = aig.Lit(dst) << 1
		dst++
	}
	if n := int(dst); cap(r.s.x) < n {
		r.s.x = make([]uint64, 2*n)
	}
	r.s.x = r.s.x[:dst]
}

func newOperation(dst uint32, a, b aig.Lit) operation {
	return operation{dst: dst, a: a.Node(), b: b.Node(), na: sign(a), nb: sign(b)}
}

func sign(l aig.Lit) uint64 { return -uint64(l & 1) }

func operandOf(l aig.Lit) operand { return operand{node: l.Node(), neg: sign(l)} }

// program lays the letters out in words, one bit each. Letters that give the same next values to latches fed by inputs alone
// stand together, which keeps the number of splits small.
func (r *run) program() {
	r.order()
	n := len(r.l.tuples)
	r.words = (n + 63) / 64
	r.last = ^uint64(0)
	if n%64 != 0 {
		r.last = 1<<(n%64) - 1
	}
	all := make([]uint64, len(r.l.front)*r.words)
	r.front = make([][]uint64, len(r.l.front))
	for i, slot := range r.l.slots {
		r.front[i] = all[i*r.words : (i+1)*r.words]
		for j, t := range r.l.tuples {
			r.front[i][j>>6] |= t >> slot & 1 << (j & 63)
		}
	}
	r.next = make([]operand, len(r.c.Next))
	for i, l := range r.c.Next {
		r.next[i] = operandOf(l)
	}
}

// order sorts the letters by what they put into latches that inputs alone feed.
func (r *run) order() {
	if len(r.l.tuples) <= 64 {
		return
	}
	buf := r.s.order[:0]
	for _, next := range r.c.Next {
		i := slices.Index(r.l.front, next.Node())
		if i < 0 {
			continue
		}
		buf = buf[:0]
		kept := r.l.tuples[:0]
		for _, t := range r.l.tuples {
			if t>>r.l.slots[i]&1 == 1 {
				buf = append(buf, t)
			} else {
				kept = append(kept, t)
			}
		}
		r.l.tuples = append(kept, buf...)
	}
	r.s.order = buf
}

// explore is the breadth-first search.
func (r *run) explore(ctx context.Context) {
	r.visited = r.s.visited(len(r.c.Latches))
	defer r.visited.release(r)
	init := uint64(0)
	for i, v := range r.c.Init {
		if v {
			init |= 1 << i
		}
	}
	r.add(init, -1, 0)
	work := int64(0)
	perState := int64(len(r.ops)+len(r.front)+len(r.next)+4) * int64(max(r.words, 1))
	for at := 0; at < len(r.states) && r.open > 0; at++ {
		if work += perState; work > r.limits.Work {
			r.out.Stopped = errWork
			return
		}
		if at&0xff == 0xff && ctx.Err() != nil {
			r.out.Stopped = ctx.Err()
			return
		}
		r.expand(int32(at))
		if len(r.states) > r.limits.States {
			r.out.Stopped = errStates
			return
		}
	}
	r.out.Complete = true
}

func (r *run) add(state uint64, parent, letter int32) {
	if r.visited.insert(state) {
		r.states = append(r.states, state)
		r.parents = append(r.parents, parent)
		r.byWhich = append(r.byWhich, letter)
	}
}

// expand evaluates all letters in one state.
func (r *run) expand(at int32) {
	x := r.s.x
	x[0] = 0
	state := r.states[at]
	first := 1 + len(r.c.Inputs)
	for i := range r.c.Latches {
		x[first+i] = -(state >> i & 1)
	}
	alive := false
	for w := 0; w < r.words; w++ {
		valid := r.eval(w)
		if valid == 0 {
			continue
		}
		alive = true
		r.check(valid, at, int32(w))
		if r.open == 0 {
			break
		}
		r.successors(valid, at, int32(w))
	}
	if alive {
		r.out.Allowed = true
	} else {
		r.out.DeadEnds = true
	}
}

// check looks for the goals among the valid lanes.
func (r *run) check(valid uint64, at, word int32) {
	for i := range r.goals {
		g := &r.out.Goals[i]
		if g.Met || g.GivenUp {
			continue
		}
		root := r.c.Roots[r.goals[i].Root]
		hit := (r.s.x[root.Node()] ^ sign(root)) & valid
		if hit == 0 {
			continue
		}
		g.Met, g.at, g.letter = true, at, word<<6|int32(bits.TrailingZeros64(hit))
		r.open--
		if r.goals[i].Decide {
			r.giveUp(r.goals[i].Group)
		}
	}
}

func (r *run) giveUp(group int) {
	for i := range r.goals {
		if g := &r.out.Goals[i]; r.goals[i].Group == group && !g.Met && !g.GivenUp {
			g.GivenUp = true
			r.open--
		}
	}
}

// successors splits the valid lanes by the next values of the latches and enters the distinct next states.
func (r *run) successors(valid uint64, at, word int32) {
	x := r.s.x
	type part struct {
		mask, state uint64
		latch       int
	}
	var stack [66]part
	stack[0] = part{mask: valid}
	for top := 1; top > 0; {
		top--
		p := stack[top]
		for i := p.latch; i < len(r.next); i++ {
			ones := (x[r.next[i].node] ^ r.next[i].neg) & p.mask
			switch ones {
			case 0:
			case p.mask:
				p.state |= 1 << i
			default:
				stack[top] = part{mask: p.mask &^ ones, state: p.state, latch: i + 1}
				top++
				p.mask = ones
				p.state |= 1 << i
			}
		}
		r.add(p.state, at, word<<6|int32(bits.TrailingZeros64(p.mask)))
	}
}

// traces finds the inputs that lead to each goal met.
func (r *run) traces(constraints []int) {
	met := false
	for i := range r.out.Goals {
		met = met || r.out.Goals[i].Met
	}
	if !met {
		return
	}
	tuples := r.l.tuples
	again := &run{s: r.s, c: r.c, limits: r.limits}
	if again.alphabet(constraints, true) != nil {
		return // can't be: it passed before
	}
	for i := range r.out.Goals {
		g := &r.out.Goals[i]
		if !g.Met {
			continue
		}
		for at, letter := g.at, g.letter; at >= 0; at, letter = r.parents[at], r.byWhich[at] {
			g.Trace = append(g.Trace, again.l.decode(tuples[letter], len(r.c.Inputs)))
			g.Steps++
		}
		for a, b := 0, len(g.Trace)-1; a < b; a, b = a+1, b-1 {
			g.Trace[a], g.Trace[b] = g.Trace[b], g.Trace[a]
		}
	}
}

// Reachable returns all reachable states, bit i for latch i, in the order found; complete is false where a limit was reached.
func (s *Searcher) Reachable(ctx context.Context, c *aig.Cone, constraints []int, limits Limits) (states []uint64, complete bool) {
	r := &run{s: s, c: regroup(c), limits: limits, out: &Outcome{}, open: 1}
	if len(c.Latches) > MaxLatches || r.alphabet(constraints, false) != nil {
		return nil, false
	}
	r.program()
	r.explore(ctx)
	return r.states, r.out.Complete
}

// Walk returns inputs that keep the constraints for so many steps, taking in every step the first letter that does. Where a
// state allows none, or the limits don't suffice, the walk ends early.
func (s *Searcher) Walk(ctx context.Context, c *aig.Cone, constraints []int, steps int, limits Limits) [][]bool {
	r := &run{s: s, c: regroup(c), limits: limits, out: &Outcome{}}
	if len(c.Latches) > MaxLatches || r.alphabet(constraints, true) != nil {
		return nil
	}
	r.program()
	state := uint64(0)
	for i, v := range c.Init {
		if v {
			state |= 1 << i
		}
	}
	var out [][]bool
	for range steps {
		letter := r.step(&state)
		if letter < 0 || ctx.Err() != nil {
			break
		}
		out = append(out, r.l.decode(r.l.tuples[letter], len(c.Inputs)))
	}
	return out
}

// step takes the first allowed letter and returns it, or -1.
func (r *run) step(state *uint64) int {
	x := r.s.x
	x[0] = 0
	first := 1 + len(r.c.Inputs)
	for i := range r.c.Latches {
		x[first+i] = -(*state >> i & 1)
	}
	for w := range r.words {
		valid := r.eval(w)
		if valid == 0 {
			continue
		}
		lane := bits.TrailingZeros64(valid)
		*state = 0
		for i, n := range r.next {
			*state |= (x[n.node] ^ n.neg) >> lane & 1 << i
		}
		return w<<6 | lane
	}
	return -1
}

// eval evaluates word w of the letters in the state whose latches are set, and returns the lanes that the constraints allow.
func (r *run) eval(w int) uint64 {
	x := r.s.x
	for i, n := range r.l.front {
		x[n] = r.front[i][w]
	}
	for i := range r.ops {
		o := &r.ops[i]
		x[o.dst] = (x[o.a] ^ o.na) & (x[o.b] ^ o.nb)
	}
	valid := ^uint64(0)
	if w == r.words-1 {
		valid = r.last
	}
	return valid & (x[r.limit.Node()] ^ sign(r.limit))
}
