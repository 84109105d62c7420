package search

import (
	"errors"
	"slices"

	"github.com/guardwright/guardwright/calc/logic/internal/aig"
)

// letters is the input alphabet of a cone, reduced exactly: of all input vectors only the distinct values of the nets that
// depend on inputs alone and feed the rest matter. Inputs that no such net has in common are independent, so the alphabet is
// the product of the alphabets of its components; each of these is found by walking the inputs in order, keeping the set of
// possible values of the nets that are still needed. No vector is left out and none is added.
type letters struct {
	parts []component // the first one changes fastest from letter to letter
	count int         // product of the numbers of tuples
}

// component is a set of inputs and input-only gates that share no gate with the others.
type component struct {
	plan   []stage
	front  []frontNet
	tuples []uint64
	feeds  bool // a latch directly
	stride int  // letters from one tuple to the next
}

// frontNet is an input-only net that feeds the rest of the cone: its cone node and its bit in a tuple.
type frontNet struct {
	node uint32
	slot uint8
}

// stage introduces one input, computes the gates that it completes, and drops what is needed no longer.
type stage struct {
	input uint32 // cone node
	slot  uint8
	gates []gate
	drops bool // some bits are cleared, so that tuples may become equal
	// tuples after the stage, and for each the place of one predecessor and the value of the input; kept for traces only.
	tuples []uint64
	from   []int32
	high   []bool
}

type gate struct {
	dst    uint8
	a, b   uint8
	na, nb uint64 // 1 where complemented
	drop   uint64 // bits to clear once the gate is computed
}

var (
	errManyLetters = errors.New("too many different input letters")
	errManyLive    = errors.New("too many input nets alive at once")
)

const (
	maxLive     = 64
	bitmapSlots = 14 // up to this many bits, duplicates are found by bitmap
)

// planner orders the input-only part of a cone. It keeps its memory from one cone to the next.
type planner struct {
	c      *aig.Cone
	uses   []int32 // by node: users to come; front nets are used for ever
	slot   []uint8
	last   []int32 // by node: the last of its inputs, as a number of an input
	root   []int32 // by input: a representative of its component
	place  []int32 // by input that is a representative: its component + 1
	next   []uint32
	head   []uint32 // by input: the first gate that it completes, 0 none; next leads on
	tail   []uint32
	stages []stage
	gates  []gate
	fronts []frontNet
	nets   []uint32
	l      letters
	busy   uint64
}

// plan finds the components, with their stages but without their tuples. needed tells which input-only nodes feed the rest.
func (p *planner) plan(c *aig.Cone, stateful, needed []bool) (*letters, error) {
	p.reset(c)
	p.countUses(stateful, needed)
	p.schedule(stateful)
	p.components()
	for i := range p.l.parts {
		p.busy = 0
		part := &p.l.parts[i]
		from := len(p.stages)
		for k := range c.Inputs {
			if p.uses[1+k] > 0 && p.part(uint32(1+k)) == i {
				if err := p.stage(uint32(1+k), p.head[k]); err != nil {
					return nil, err
				}
			}
		}
		part.plan = p.stages[from:len(p.stages):len(p.stages)]
	}
	p.front(needed)
	p.arrange()
	return &p.l, nil
}

func (p *planner) reset(c *aig.Cone) {
	n, in := c.NumNodes(), len(c.Inputs)
	p.c = c
	p.uses, p.slot, p.last, p.next = zeroed(p.uses, n), zeroed(p.slot, n), zeroed(p.last, n), zeroed(p.next, n)
	p.root, p.place, p.head, p.tail = zeroed(p.root, in), zeroed(p.place, in), zeroed(p.head, in), zeroed(p.tail, in)
	p.stages, p.gates, p.fronts = slices.Grow(p.stages[:0], in), slices.Grow(p.gates[:0], len(c.Ands)), p.fronts[:0]
	p.l.parts, p.l.count = p.l.parts[:0], 0
	for i := range p.root {
		p.root[i] = int32(i)
	}
}

// zeroed is a slice of n zeros, in the memory of s where that suffices.
func zeroed[T any](s []T, n int) []T {
	if cap(s) < n {
		return make([]T, n, n+n/4)
	}
	s = s[:n]
	clear(s)
	return s
}

// countUses marks what the needed nets are made of.
func (p *planner) countUses(stateful, needed []bool) {
	for n, need := range needed {
		if need {
			p.uses[n] = 1 << 30
		}
	}
	first := 1 + len(p.c.Inputs) + len(p.c.Latches)
	for i := len(p.c.Ands) - 1; i >= 0; i-- {
		if n := first + i; !stateful[n] && p.uses[n] > 0 {
			p.uses[p.c.Ands[i][0].Node()]++
			p.uses[p.c.Ands[i][1].Node()]++
		}
	}
}

// schedule puts each input-only gate behind the last of its inputs, so that it is computed as soon as it can be, and joins
// the components of its arguments.
func (p *planner) schedule(stateful []bool) {
	for i := range p.c.Inputs {
		p.last[1+i] = int32(i)
	}
	first := 1 + len(p.c.Inputs) + len(p.c.Latches)
	for i, a := range p.c.Ands {
		n := first + i
		if stateful[n] || p.uses[n] == 0 {
			continue
		}
		x, y := p.last[a[0].Node()], p.last[a[1].Node()]
		at := max(x, y)
		p.last[n] = at
		if p.tail[at] == 0 {
			p.head[at] = uint32(n)
		} else {
			p.next[p.tail[at]] = uint32(n)
		}
		p.tail[at] = uint32(n)
		x, y = p.find(x), p.find(y)
		p.root[max(x, y)] = min(x, y)
	}
}

func (p *planner) find(i int32) int32 {
	for p.root[i] != i {
		p.root[i] = p.root[p.root[i]]
		i = p.root[i]
	}
	return i
}

// components numbers the components in the order of their first inputs.
func (p *planner) components() {
	for i := range p.c.Inputs {
		if r := p.find(int32(i)); p.uses[1+i] > 0 && p.place[r] == 0 {
			p.l.parts = append(p.l.parts, component{})
			p.place[r] = int32(len(p.l.parts))
		}
	}
}

func (p *planner) take() (uint8, error) {
	for s := range uint8(maxLive) {
		if p.busy>>s&1 == 0 {
			p.busy |= 1 << s
			return s, nil
		}
	}
	return 0, errManyLive
}

// release gives up a node whose last user has been computed.
func (p *planner) release(n uint32, drop *uint64) {
	if p.uses[n]--; p.uses[n] == 0 {
		*drop |= 1 << p.slot[n]
	}
}

func (p *planner) stage(input, gates uint32) error {
	slot, err := p.take()
	if err != nil {
		return err
	}
	p.slot[input] = slot
	st := stage{input: input, slot: slot}
	first := uint32(1 + len(p.c.Inputs) + len(p.c.Latches))
	from := len(p.gates)
	for n := gates; n != 0; n = p.next[n] {
		a, b := p.c.Ands[n-first][0], p.c.Ands[n-first][1]
		dst, err := p.take()
		if err != nil {
			return err
		}
		p.slot[n] = dst
		drop := uint64(0)
		p.release(a.Node(), &drop)
		p.release(b.Node(), &drop)
		p.busy &^= drop
		st.drops = st.drops || drop != 0
		p.gates = append(p.gates, gate{dst: dst, a: p.slot[a.Node()], b: p.slot[b.Node()], na: uint64(a & 1), nb: uint64(b & 1), drop: drop})
	}
	st.gates = p.gates[from:len(p.gates):len(p.gates)]
	p.stages = append(p.stages, st)
	return nil
}

// front gives every component its front nets.
func (p *planner) front(needed []bool) {
	p.fronts, p.nets = slices.Grow(p.fronts, len(needed)), p.nets[:0]
	for n, need := range needed {
		if need {
			p.nets = append(p.nets, uint32(n))
		}
	}
	for i := range p.l.parts {
		from := len(p.fronts)
		for _, n := range p.nets {
			if p.part(n) == i {
				p.fronts = append(p.fronts, frontNet{node: n, slot: p.slot[n]})
			}
		}
		p.l.parts[i].front = p.fronts[from:len(p.fronts):len(p.fronts)]
	}
	for _, l := range p.c.Next {
		if n := l.Node(); needed[n] {
			p.l.parts[p.part(n)].feeds = true
		}
	}
}

// part is the number of the component that an input-only node belongs to.
func (p *planner) part(n uint32) int { return int(p.place[p.find(p.last[n])]) - 1 }

// arrange puts components that feed latches directly last, so that neighbouring letters agree on these latches, and small
// components first.
func (p *planner) arrange() {
	slices.SortStableFunc(p.l.parts, func(a, b component) int {
		switch {
		case a.feeds != b.feeds && b.feeds:
			return -1
		case a.feeds != b.feeds:
			return 1
		}
		return len(a.plan) - len(b.plan)
	})
}

// enumerator finds sets of tuples and keeps its memory from one to the next.
type enumerator struct {
	cur, next []uint64
	seen      []uint64 // a zeroed bitmap
	tuples    []uint64 // of all components
}

// enumerate finds the tuples of all components. With trace it keeps, at every stage, how each tuple came about.
func (e *enumerator) enumerate(l *letters, limit int, trace bool) error {
	e.tuples = e.tuples[:0]
	for i := range l.parts {
		p := &l.parts[i]
		from := len(e.tuples)
		if err := e.component(p, limit, trace); err != nil {
			return err
		}
		p.tuples = e.tuples[from:len(e.tuples):len(e.tuples)]
	}
	return nil
}

func (e *enumerator) component(p *component, limit int, trace bool) error {
	e.cur = append(e.cur[:0], 0)
	for i := range p.plan {
		st := &p.plan[i]
		next := e.next[:0]
		for _, t := range e.cur {
			next = append(next, st.eval(t), st.eval(t|1<<st.slot))
		}
		var all []uint64
		if trace {
			all = slices.Clone(next)
		}
		if st.drops {
			next = e.distinct(next)
		}
		if trace {
			st.keep(all, next)
		}
		if len(next) > limit {
			return errManyLetters
		}
		e.cur, e.next = next, e.cur
	}
	e.tuples = append(e.tuples, e.cur...)
	return nil
}

func (st *stage) eval(t uint64) uint64 {
	for i := range st.gates {
		g := &st.gates[i]
		t = (t | (t>>(g.a&63)^g.na)&(t>>(g.b&63)^g.nb)&1<<(g.dst&63)) &^ g.drop
	}
	return t
}

// distinct removes duplicates; the first of equal tuples stays.
func (e *enumerator) distinct(ts []uint64) []uint64 {
	all := uint64(0)
	for _, t := range ts {
		all |= t
	}
	if all >= 1<<bitmapSlots {
		slices.Sort(ts)
		return slices.Compact(ts)
	}
	if n := int(all>>6) + 1; len(e.seen) < n {
		e.seen = make([]uint64, n)
	}
	out := ts[:0]
	for _, t := range ts {
		if e.seen[t>>6]>>(t&63)&1 == 0 {
			e.seen[t>>6] |= 1 << (t & 63)
			out = append(out, t)
		}
	}
	for _, t := range out {
		e.seen[t>>6] = 0
	}
	return out
}

// keep records the tuples, and for each the first of all the ways in which it came about.
func (st *stage) keep(all, tuples []uint64) {
	way := make(map[uint64]int, len(tuples))
	for i := len(all) - 1; i >= 0; i-- {
		way[all[i]] = i
	}
	st.tuples = slices.Clone(tuples)
	st.from, st.high = make([]int32, len(tuples)), make([]bool, len(tuples))
	for i, t := range tuples {
		st.from[i], st.high[i] = int32(way[t]/2), way[t]%2 == 1
	}
}

// restrict keeps the letters for which net n has the value v.
func (l *letters) restrict(n uint32, v bool) {
	for i := range l.parts {
		p := &l.parts[i]
		at := slices.IndexFunc(p.front, func(f frontNet) bool { return f.node == n })
		if at < 0 {
			continue
		}
		kept := p.tuples[:0]
		for _, t := range p.tuples {
			if t>>p.front[at].slot&1 == 1 == v {
				kept = append(kept, t)
			}
		}
		p.tuples = kept
	}
}

// number counts the letters and tells each component how far its tuples are apart.
func (l *letters) number(limit int) error {
	l.count = 1
	for i := range l.parts {
		l.parts[i].stride = l.count
		if l.count *= len(l.parts[i].tuples); l.count > limit {
			return errManyLetters
		}
	}
	return nil
}

// column writes the value of bit slot of p's tuples by letter, 64 to a word.
func (l *letters) column(p *component, slot uint8, out []uint64) {
	clear(out)
	period := p.stride * len(p.tuples)
	for k, t := range p.tuples {
		if t>>slot&1 == 0 {
			continue
		}
		for from := k * p.stride; from < l.count; from += period {
			setRange(out, from, from+p.stride)
		}
	}
}

// setRange sets bits from to to-1.
func setRange(words []uint64, from, to int) {
	first, last := from>>6, (to-1)>>6
	low, high := ^uint64(0)<<(from&63), ^uint64(0)>>(63-(to-1)&63)
	if first == last {
		words[first] |= low & high
		return
	}
	words[first] |= low
	for i := first + 1; i < last; i++ {
		words[i] = ^uint64(0)
	}
	words[last] |= high
}

// decode enters into out, by cone input, one input vector that gives the letter. enumerate must have run with trace.
func (l *letters) decode(letter int, out []bool) {
	for i := range l.parts {
		p := &l.parts[i]
		tuple := p.tuples[letter/p.stride%len(p.tuples)]
		for s := len(p.plan) - 1; s >= 0; s-- {
			st := &p.plan[s]
			at := slices.Index(st.tuples, tuple)
			out[st.input-1] = st.high[at]
			tuple = 0
			if s > 0 {
				tuple = p.plan[s-1].tuples[st.from[at]]
			}
		}
	}
}
