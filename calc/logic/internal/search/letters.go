package search

import (
	"errors"
	"slices"

	"github.com/guardwright/guardwright/calc/logic/internal/aig"
)

// letters is the input alphabet of a cone, reduced exactly: of all input vectors only the distinct values of the nets that
// depend on inputs alone and feed the rest matter. The set of possible values is found by walking the inputs in order,
// keeping the set of possible values of the nets that are still needed. No vector is left out and none is added.
type letters struct {
	plan   []stage
	front  []uint32 // cone nodes
	slots  []uint8  // bit of each front net in a tuple
	tuples []uint64
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
	node   uint32
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

// planLetters orders the input-only part of the cone. needed tells which input-only nodes feed the rest.
func planLetters(c *aig.Cone, stateful, needed []bool) (*letters, error) {
	p := &planner{c: c, l: &letters{}, uses: make([]int32, c.NumNodes()), slot: make([]uint8, c.NumNodes())}
	p.countUses(stateful, needed)
	byInput := p.schedule(stateful)
	for i := range c.Inputs {
		if err := p.stage(uint32(1+i), byInput[i]); err != nil {
			return nil, err
		}
	}
	for n, need := range needed {
		if need {
			p.l.front = append(p.l.front, uint32(n))
			p.l.slots = append(p.l.slots, p.slot[n])
		}
	}
	return p.l, nil
}

type planner struct {
	c    *aig.Cone
	l    *letters
	uses []int32 // by node: users to come; front nets are used for ever
	slot []uint8
	busy uint64
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

// schedule puts each input-only gate behind the last of its inputs, so that it is computed as soon as it can be.
func (p *planner) schedule(stateful []bool) [][]uint32 {
	last := make([]int32, p.c.NumNodes())
	for i := range p.c.Inputs {
		last[1+i] = int32(i)
	}
	byInput := make([][]uint32, len(p.c.Inputs))
	first := 1 + len(p.c.Inputs) + len(p.c.Latches)
	for i, a := range p.c.Ands {
		n := first + i
		if stateful[n] || p.uses[n] == 0 {
			continue
		}
		last[n] = max(last[a[0].Node()], last[a[1].Node()])
		byInput[last[n]] = append(byInput[last[n]], uint32(n))
	}
	return byInput
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

func (p *planner) stage(input uint32, gates []uint32) error {
	if p.uses[input] == 0 {
		return nil
	}
	slot, err := p.take()
	if err != nil {
		return err
	}
	p.slot[input] = slot
	st := stage{input: input, slot: slot}
	first := uint32(1 + len(p.c.Inputs) + len(p.c.Latches))
	for _, n := range gates {
		a, b := p.c.Ands[n-first][0], p.c.Ands[n-first][1]
		dst, err := p.take()
		if err != nil {
			return err
		}
		p.slot[n] = dst
		st.gates = append(st.gates, gate{node: n, dst: dst, a: p.slot[a.Node()], b: p.slot[b.Node()],
			na: uint64(a & 1), nb: uint64(b & 1)})
		last := &st.gates[len(st.gates)-1].drop
		p.release(a.Node(), last)
		p.release(b.Node(), last)
		p.busy &^= *last
		st.drops = st.drops || *last != 0
	}
	p.l.plan = append(p.l.plan, st)
	return nil
}

// enumerate finds the set of tuples. With trace it keeps, at every stage, how each tuple came about.
func (l *letters) enumerate(limit int, trace bool, seen []uint64) ([]uint64, error) {
	cur := []uint64{0}
	for i := range l.plan {
		st := &l.plan[i]
		next := make([]uint64, 0, 2*len(cur))
		for _, t := range cur {
			next = append(next, st.eval(t), st.eval(t|1<<st.slot))
		}
		if trace {
			l.keep(st, &next)
		} else if st.drops {
			next = distinct(next, seen)
		}
		if len(next) > limit {
			return seen, errManyLetters
		}
		cur = next
	}
	l.tuples = cur
	return seen, nil
}

func (st *stage) eval(t uint64) uint64 {
	for _, g := range st.gates {
		t = (t | (t>>g.a^g.na)&(t>>g.b^g.nb)&1<<g.dst) &^ g.drop
	}
	return t
}

// distinct removes duplicates; the first of equal tuples stays. seen is a zeroed bitmap of 1<<bitmapSlots bits.
func distinct(ts []uint64, seen []uint64) []uint64 {
	all := uint64(0)
	for _, t := range ts {
		all |= t
	}
	if all >= 1<<bitmapSlots {
		slices.Sort(ts)
		return slices.Compact(ts)
	}
	out := ts[:0]
	for _, t := range ts {
		if seen[t>>6]>>(t&63)&1 == 0 {
			seen[t>>6] |= 1 << (t & 63)
			out = append(out, t)
		}
	}
	for _, t := range out {
		seen[t>>6] = 0
	}
	return out
}

// keep removes duplicates like distinct, and records where each tuple came from.
func (l *letters) keep(st *stage, next *[]uint64) {
	index := make(map[uint64]struct{}, len(*next))
	st.tuples, st.from, st.high = nil, nil, nil
	for i, t := range *next {
		if _, old := index[t]; old {
			continue
		}
		index[t] = struct{}{}
		st.tuples = append(st.tuples, t)
		st.from = append(st.from, int32(i/2))
		st.high = append(st.high, i%2 == 1)
	}
	*next = append([]uint64(nil), st.tuples...)
}

// decode returns one input vector, by cone input, that gives the tuple. enumerate must have run with trace.
func (l *letters) decode(tuple uint64, inputs int) []bool {
	out := make([]bool, inputs)
	for i := len(l.plan) - 1; i >= 0; i-- {
		st := &l.plan[i]
		at := slices.Index(st.tuples, tuple)
		out[st.input-1] = st.high[at]
		tuple = 0
		if i > 0 {
			tuple = l.plan[i-1].tuples[st.from[at]]
		}
	}
	return out
}
