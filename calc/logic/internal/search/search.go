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
	// Reached are all reachable states, bit i for latch i, in the order found; only where that many had to be looked at
	// because some goal was not met.
	Reached []uint64
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
	regrouper  regrouper
	planner    planner
	enumerator enumerator
	stateful   []bool
	needed     []bool
	ops        []operation
	next       []operand
	columns    []block
	x          []block // node values
	states     []uint64
	parents    []int32
	byWhich    []int32
	bitmap     []uint64
	slots      []uint64
	front      []frontNet
	column     []uint64
	vary       []varying // scratch of successors
	parts      []part
	noBitmap   bool // for tests: a hash set for few latches too
}

// blockWords is the number of words that a gate is evaluated for at once.
const blockWords = 4

// block holds the values of one node for 64 letters each.
type block [blockWords]uint64

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
	front   []frontNet // of all components
	columns []block    // values of the front nets, block after block of letters
	words   int
	group   int    // states that are evaluated at once: as many as their letters fit in one block
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

func (s *Searcher) run(c *aig.Cone, goals []Goal, limits Limits) *run {
	return &run{s: s, c: s.regrouper.regroup(c), limits: limits, goals: goals, open: len(goals), out: &Outcome{Goals: make([]GoalOutcome, len(goals))}}
}

// Search looks for the goals. constraints are roots that must be true in every step.
func (s *Searcher) Search(ctx context.Context, c *aig.Cone, constraints []int, goals []Goal, limits Limits) *Outcome {
	r := s.run(c, goals, limits)
	if len(c.Latches) > MaxLatches {
		r.out.Stopped = errLatches
		return r.out
	}
	if r.out.Stopped = r.alphabet(constraints, false); r.out.Stopped != nil {
		return r.out
	}
	r.out.Letters = r.l.count
	r.program()
	r.explore(ctx)
	r.out.States = len(r.states)
	if r.out.Complete && r.open > 0 {
		r.out.Reached = slices.Clone(r.states)
	}
	r.traces(c, constraints)
	return r.out
}

// classify tells by node whether it depends on a latch, and which input-only nodes feed such ones, a root or a latch.
func (s *Searcher) classify(c *aig.Cone) (stateful, needed []bool) {
	s.stateful, s.needed = zeroed(s.stateful, c.NumNodes()), zeroed(s.needed, c.NumNodes())
	stateful, needed = s.stateful, s.needed
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
	stateful, needed := r.s.classify(r.c)
	l, err := r.s.planner.plan(r.c, stateful, needed)
	if err == nil {
		err = r.s.enumerator.enumerate(l, r.limits.Letters, trace)
	}
	if err != nil {
		return err
	}
	r.l = l
	never := false
	var state []aig.Lit
	for _, i := range constraints {
		switch root := r.c.Roots[i]; {
		case root == aig.True:
		case root == aig.False:
			never = true
		case stateful[root.Node()]:
			state = append(state, root)
		default:
			l.restrict(root.Node(), !root.Neg())
		}
	}
	if err := l.number(r.limits.Letters); err != nil {
		return err
	}
	if never {
		l.count = 0
	}
	r.gates(stateful, state)
	return nil
}

// gates prepares the straight-line program: the gates that depend on a state, then the state-dependent constraints as one
// more chain of gates.
func (r *run) gates(stateful []bool, constraints []aig.Lit) {
	c := r.c
	first := 1 + len(c.Inputs) + len(c.Latches)
	r.ops = r.s.ops[:0]
	for i, a := range c.Ands {
		if stateful[first+i] {
			r.ops = append(r.ops, newOperation(uint32(first+i), a[0], a[1]))
		}
	}
	dst := uint32(c.NumNodes())
	r.limit = aig.True
	for _, l := range constraints {
		if r.limit == aig.True {
			r.limit = l
			continue
		}
		r.ops = append(r.ops, newOperation(dst, r.limit, l))
		r.limit = aig.Lit(dst) << 1
		dst++
	}
	r.s.ops = r.ops
	r.s.x = zeroed(r.s.x, int(dst))
}

func newOperation(dst uint32, a, b aig.Lit) operation {
	return operation{dst: dst, a: a.Node(), b: b.Node(), na: sign(a), nb: sign(b)}
}

func sign(l aig.Lit) uint64 { return -uint64(l & 1) }

func operandOf(l aig.Lit) operand { return operand{node: l.Node(), neg: sign(l)} }

// program lays the letters out in words, one bit each, and the words in blocks.
func (r *run) program() {
	n := r.l.count
	r.words = (n + 63) / 64
	r.last = ^uint64(0)
	if n%64 != 0 {
		r.last = 1<<(n%64) - 1
	}
	r.group = max(1, blockWords/max(1, r.words))
	blocks := (r.words + blockWords - 1) / blockWords
	r.front = r.s.front[:0]
	for i := range r.l.parts {
		r.front = append(r.front, r.l.parts[i].front...)
	}
	r.s.front = r.front
	r.s.columns = zeroed(r.s.columns, blocks*len(r.front))
	r.columns = r.s.columns
	at := 0
	r.s.column = zeroed(r.s.column, r.words)
	column := r.s.column
	for i := range r.l.parts {
		p := &r.l.parts[i]
		for _, f := range p.front {
			r.l.column(p, f.slot, column)
			for w := range r.group * r.words {
				r.columns[w/blockWords*len(r.front)+at][w%blockWords] = column[w%r.words]
			}
			at++
		}
	}
	r.next = r.s.next[:0]
	for _, l := range r.c.Next {
		r.next = append(r.next, operandOf(l))
	}
	r.s.next = r.next
	r.s.vary, r.s.parts = zeroed(r.s.vary, len(r.next)), zeroed(r.s.parts, len(r.next)+2)
	if blocks > 0 {
		r.load(0)
	}
}

// load sets the front nets to a block of letters.
func (r *run) load(at int) {
	columns := r.columns[at*len(r.front):]
	for i := range r.front {
		r.s.x[r.front[i].node] = columns[i]
	}
}

// explore is the breadth-first search.
func (r *run) explore(ctx context.Context) {
	r.states, r.parents, r.byWhich = r.s.states[:0], r.s.parents[:0], r.s.byWhich[:0]
	r.visited = r.s.visited(len(r.c.Latches))
	defer r.release()
	r.add(r.first(), -1, 0)
	work := int64(0)
	perState := int64(len(r.ops)+len(r.front)+len(r.next)+4) * int64(max(r.words, 1))
	for at, turn := 0, 0; at < len(r.states) && r.open > 0; turn++ {
		n := min(r.group, len(r.states)-at)
		if work += int64(n) * perState; work > r.limits.Work {
			r.out.Stopped = errWork
			return
		}
		if turn&0xff == 0xff && ctx.Err() != nil {
			r.out.Stopped = ctx.Err()
			return
		}
		r.expand(int32(at), n)
		at += n
		if len(r.states) > r.limits.States {
			r.out.Stopped = errStates
			return
		}
	}
	r.out.Complete = true
}

// release keeps the memory for the next search.
func (r *run) release() {
	r.visited.release(r)
	r.s.states, r.s.parents, r.s.byWhich = r.states, r.parents, r.byWhich
}

// first is the initial state.
func (r *run) first() uint64 {
	state := uint64(0)
	for i, v := range r.c.Init {
		if v {
			state |= 1 << i
		}
	}
	return state
}

func (r *run) add(state uint64, parent, letter int32) {
	if !r.visited.insert(state) {
		return
	}
	if len(r.states) == cap(r.states) {
		n := max(64, len(r.states))
		r.states, r.parents, r.byWhich = slices.Grow(r.states, n), slices.Grow(r.parents, n), slices.Grow(r.byWhich, n)
	}
	r.states = append(r.states, state)
	r.parents = append(r.parents, parent)
	r.byWhich = append(r.byWhich, letter)
}

// expand evaluates all letters in the n states from at on.
func (r *run) expand(at int32, n int) {
	r.set(r.states[at:][:n])
	for state := range int32(n) {
		alive := false
		for w := 0; w < r.words && r.open > 0; w++ {
			lane := int(state)*r.words + w
			if lane%blockWords == 0 {
				r.eval(lane)
			}
			valid := r.valid(w, lane%blockWords)
			if valid == 0 {
				continue
			}
			alive = true
			r.check(valid, lane%blockWords, at+state, int32(w))
			if r.open > 0 {
				r.successors(valid, lane%blockWords, at+state, int32(w))
			}
		}
		if alive {
			r.out.Allowed = true
		} else if r.open > 0 {
			r.out.DeadEnds = true
		}
	}
}

// set gives the latches their values in up to as many states as are evaluated at once.
func (r *run) set(states []uint64) {
	latches := r.s.x[1+len(r.c.Inputs):][:len(r.c.Latches)]
	if len(states) == 1 {
		for i := range latches {
			v := -(states[0] >> i & 1)
			latches[i] = block{v, v, v, v}
		}
		return
	}
	for lane := range len(states) * r.words {
		state := states[lane/r.words]
		for i := range latches {
			latches[i][lane] = -(state >> i & 1)
		}
	}
}

// eval evaluates the block of letters that begins with word w in the state that is set.
func (r *run) eval(w int) {
	if r.words > blockWords {
		r.load(w / blockWords)
	}
	x := r.s.x
	for i := range r.ops {
		o := &r.ops[i]
		a, b, d, na, nb := &x[o.a], &x[o.b], &x[o.dst], o.na, o.nb
		d[0] = (a[0] ^ na) & (b[0] ^ nb)
		d[1] = (a[1] ^ na) & (b[1] ^ nb)
		d[2] = (a[2] ^ na) & (b[2] ^ nb)
		d[3] = (a[3] ^ na) & (b[3] ^ nb)
	}
}

// valid returns the lanes of word w that the constraints allow; the word was evaluated last, in the given lane of the block.
func (r *run) valid(w, lane int) uint64 {
	all := ^uint64(0)
	if w == r.words-1 {
		all = r.last
	}
	return all & (r.s.x[r.limit.Node()][lane] ^ sign(r.limit))
}

// check looks for the goals among the valid lanes.
func (r *run) check(valid uint64, lane int, at, word int32) {
	for i := range r.goals {
		g := &r.out.Goals[i]
		if g.Met || g.GivenUp {
			continue
		}
		root := r.c.Roots[r.goals[i].Root]
		hit := (r.s.x[root.Node()][lane] ^ sign(root)) & valid
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

// varying is a latch whose next value differs between the lanes.
type varying struct{ ones, bit uint64 }

// part is a set of lanes that agree on the next values of the varying latches before at.
type part struct {
	mask, state uint64
	at          int
}

// successors splits the valid lanes by the next values of the latches and enters the distinct next states.
func (r *run) successors(valid uint64, lane int, at, word int32) {
	same, n := uint64(0), 0
	for i := range r.next {
		o := &r.next[i]
		switch v := (r.s.x[o.node][lane] ^ o.neg) & valid; v {
		case 0:
		case valid:
			same |= 1 << i
		default:
			r.s.vary[n] = varying{v, 1 << i}
			n++
		}
	}
	vary, stack, seen := r.s.vary[:n], r.s.parts, r.visited.bitmap
	stack[0] = part{mask: valid, state: same}
	for top := 1; top > 0; {
		top--
		p := stack[top]
		for i := p.at; i < len(vary); i++ {
			ones := vary[i].ones & p.mask
			if ones == 0 {
				continue
			}
			if ones != p.mask {
				stack[top] = part{mask: p.mask &^ ones, state: p.state, at: i + 1}
				top++
				p.mask = ones
			}
			p.state |= vary[i].bit
		}
		if seen == nil || seen[p.state>>6]>>(p.state&63)&1 == 0 { // most are old: spare the call
			r.add(p.state, at, word<<6|int32(bits.TrailingZeros64(p.mask)))
		}
	}
}

// traces finds the inputs that lead to each goal met. The letters are found once more, with the ways in which they came about.
func (r *run) traces(c *aig.Cone, constraints []int) {
	if !slices.ContainsFunc(r.out.Goals, func(g GoalOutcome) bool { return g.Met }) {
		return
	}
	again := (&Searcher{}).run(c, nil, r.limits)
	if again.alphabet(constraints, true) != nil {
		return // can't be: it passed before
	}
	for i := range r.out.Goals {
		g := &r.out.Goals[i]
		if !g.Met {
			continue
		}
		for at, letter := g.at, g.letter; at >= 0; at, letter = r.parents[at], r.byWhich[at] {
			g.Trace = append(g.Trace, again.input(int(letter)))
			g.Steps++
		}
		slices.Reverse(g.Trace)
	}
}

// input returns an input vector, by cone input, for a letter.
func (r *run) input(letter int) []bool {
	out := make([]bool, len(r.c.Inputs))
	r.l.decode(letter, out)
	return out
}

// Reachable returns all reachable states, bit i for latch i, in the order found; complete is false where a limit was reached.
func (s *Searcher) Reachable(ctx context.Context, c *aig.Cone, constraints []int, limits Limits) (states []uint64, complete bool) {
	r := s.run(c, nil, limits)
	r.open = 1
	if len(c.Latches) > MaxLatches || r.alphabet(constraints, false) != nil {
		return nil, false
	}
	r.program()
	r.explore(ctx)
	return slices.Clone(r.states), r.out.Complete
}

// Walk returns inputs that keep the constraints for so many steps, taking in every step the first letter that does. Where a
// state allows none, or the limits don't suffice, the walk ends early.
func (s *Searcher) Walk(ctx context.Context, c *aig.Cone, constraints []int, steps int, limits Limits) [][]bool {
	r := s.run(c, nil, limits)
	if len(c.Latches) > MaxLatches || r.alphabet(constraints, true) != nil {
		return nil
	}
	r.program()
	state := r.first()
	var out [][]bool
	for range steps {
		letter := r.step(&state)
		if letter < 0 || ctx.Err() != nil {
			break
		}
		out = append(out, r.input(letter))
	}
	return out
}

// step takes the first allowed letter and returns it, or -1.
func (r *run) step(state *uint64) int {
	r.set([]uint64{*state})
	for w := range r.words {
		if w%blockWords == 0 {
			r.eval(w)
		}
		valid := r.valid(w, w%blockWords)
		if valid == 0 {
			continue
		}
		lane := bits.TrailingZeros64(valid)
		*state = 0
		for i, n := range r.next {
			*state |= (r.s.x[n.node][w%blockWords] ^ n.neg) >> lane & 1 << i
		}
		return w<<6 | lane
	}
	return -1
}
