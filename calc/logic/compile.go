package logic

import (
	"math/bits"
	"sort"

	"github.com/guardwright/guardwright/calc/logic/internal/aig"
)

// compiled is the part of a system that some roots need, as an and-inverter graph.
type compiled struct {
	g      *graph
	faults map[int32]Fault
	a      *aig.Graph
	lits   []aig.Lit      // by node: Boolean expressions
	words  []word         // by node where needed: integers
	inputs []inputBit     // ascending by node
	ages   map[ageKey]int // longest window by argument, before the counters exist
	count  map[counterKey]*counter
	pre    map[aig.Lit]aig.Lit // latch that holds a literal's value of the step before, false in step 0
	since  map[[2]aig.Lit]aig.Lit
	first  aig.Lit // latch: there was a step before; False until needed
	memory []int32 // by node: the latch it is the next value of, or noNode
	// early is the number of steps from which windows may end at any time, 0 for none, see early.go; ends are their latches.
	early int
	near  map[node]bool // windows that may not
	ends  map[counterKey]aig.Lit
	order []counterKey
	long  int // longest window met
}

// word is a bounded integer: its value is lo plus the unsigned number in bits, lowest first.
type word struct {
	lo   int64
	bits []aig.Lit
}

// inputBit says which signal an input of the graph belongs to.
type inputBit struct {
	node   uint32
	signal int32
	bit    uint8
}

type ageKey struct {
	op  op
	arg int32
}

type counterKey struct {
	op  op
	arg aig.Lit
	n   int32 // of a pulse
}

type counter struct {
	bits []aig.Lit
	cap  uint64
}

// compile turns the roots' expressions into gates. The system must have no errors. With early above 0,
// windows of so many steps and more may end before their time, so that the gates allow more than the system does.
func compile(s *System, roots []int32, early int, near map[node]bool) *compiled {
	g := s.graph()
	c := &compiled{g: g, faults: s.faultMap(), lits: make([]aig.Lit, len(g.nodes)), a: aig.New(len(g.nodes) + len(g.nodes)/4),
		ages: map[ageKey]int{}, count: map[counterKey]*counter{}, pre: map[aig.Lit]aig.Lit{}, since: map[[2]aig.Lit]aig.Lit{},
		early: early, near: near, ends: map[counterKey]aig.Lit{}}
	if len(g.ranges) > 0 {
		c.words = make([]word, len(g.nodes))
	}
	c.memory = make([]int32, len(g.nodes))
	for i := range c.memory {
		c.memory[i] = noNode
	}
	needed := c.mark(roots)
	for id, need := range needed {
		if need {
			c.a.Group = g.groups[id]
			c.node(int32(id))
		}
	}
	c.a.Group = 0
	for _, l := range g.latches {
		if needed[l.node] {
			c.setNext(l)
		}
	}
	c.setEnds()
	return c
}

// mark finds the nodes that the roots need, and the longest window over each expression.
func (c *compiled) mark(roots []int32) []bool {
	g := c.g
	needed := make([]bool, len(g.nodes))
	stack := append([]int32(nil), roots...)
	for len(stack) > 0 {
		id := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		if needed[id] {
			continue
		}
		needed[id] = true
		if _, faulty := c.faults[id]; faulty {
			continue
		}
		switch n := &g.nodes[id]; n.op {
		case opConst, opInput, opIntConst, opIntInput:
		case opLatch, opIntLatch:
			l := &g.latches[n.a]
			stack = append(stack, l.next)
			if n.op == opLatch && l.init == 0 {
				c.memory[l.next] = n.a
			}
		case opIf, opIntIf:
			stack = append(stack, n.a, n.b, n.c)
		case opWithin, opHeld:
			c.long = max(c.long, int(n.b))
			if key := (ageKey{n.op, c.bare(n.a)}); !c.mayEnd(n) {
				c.ages[key] = max(c.ages[key], int(n.b))
			}
			stack = append(stack, n.a)
		case opPulse:
			c.long = max(c.long, int(n.b))
			stack = append(stack, n.a)
		case opNot, opSignal, opPre, opRose, opFell, opBegan, opOnce, opHist, opIntSignal, opIntClamp:
			stack = append(stack, n.a)
		default:
			stack = append(stack, n.a, n.b)
		}
	}
	return needed
}

// bare looks through names without a fault.
func (c *compiled) bare(id int32) int32 {
	for c.g.nodes[id].op == opSignal {
		if _, faulty := c.faults[id]; faulty {
			break
		}
		id = c.g.nodes[id].a
	}
	return id
}

func (c *compiled) node(id int32) {
	n := &c.g.nodes[id]
	if n.op.integer() {
		c.words[id] = c.integer(id, n)
		return
	}
	l := c.boolean(id, n)
	c.lits[id] = l
	if at := c.memory[id]; at != noNode && !l.Neg() && l != aig.False {
		c.share(l, c.g.latches[at].node)
	}
}

// share lets the design's own memory of l, where there is one already, serve the past-time operators too.
func (c *compiled) share(l aig.Lit, latch int32) {
	_, faulty := c.faults[latch]
	_, known := c.pre[l]
	if m := c.lits[latch]; !faulty && !known && m != aig.False {
		c.pre[l] = m
	}
}

func (c *compiled) boolean(id int32, n *node) aig.Lit {
	if len(c.faults) > 0 {
		if l, faulty := c.fault(id); faulty {
			return l
		}
	}
	l := c.lits
	switch n.op {
	case opConst:
		return aig.Lit(n.a)
	case opInput:
		return c.input(n.a, 0)
	case opLatch:
		return c.a.Latch(c.g.latches[n.a].init == 1)
	case opSignal:
		return l[n.a]
	case opNot:
		return l[n.a].Not()
	case opAnd:
		return c.a.And(l[n.a], l[n.b])
	case opOr:
		return c.a.Or(l[n.a], l[n.b])
	case opXor:
		return c.a.Xor(l[n.a], l[n.b])
	case opImplies:
		return c.a.Or(l[n.a].Not(), l[n.b])
	case opIff:
		return c.a.Xor(l[n.a], l[n.b]).Not()
	case opIf:
		return c.a.Mux(l[n.a], l[n.b], l[n.c])
	case opEqual:
		return c.equal(c.words[n.a], c.words[n.b])
	case opLess:
		return c.less(c.words[n.a], c.words[n.b])
	case opLessEq:
		return c.less(c.words[n.b], c.words[n.a]).Not()
	}
	return c.past(n, l[n.a])
}

// fault is what a faulty Boolean signal is.
func (c *compiled) fault(id int32) (l aig.Lit, faulty bool) {
	f, faulty := c.faults[id]
	switch {
	case !faulty:
		return aig.False, false
	case f.Kind == StuckFalse:
		return aig.False, true
	case f.Kind == StuckTrue:
		return aig.True, true
	}
	at, _ := c.g.signalOf(id)
	return c.input(at, 0), true
}

func (c *compiled) input(signal int32, bit uint8) aig.Lit {
	l := c.a.Input()
	c.inputs = append(c.inputs, inputBit{node: l.Node(), signal: signal, bit: bit})
	return l
}

// sourceOf returns what input node n of the graph stands for.
func (c *compiled) sourceOf(n uint32) inputBit {
	return c.inputs[sort.Search(len(c.inputs), func(i int) bool { return c.inputs[i].node >= n })]
}

func (c *compiled) setNext(l latch) {
	if _, faulty := c.faults[l.node]; faulty {
		return
	}
	if c.g.nodes[l.node].op == opLatch {
		c.a.SetNext(c.lits[l.node], c.lits[l.next])
		return
	}
	own, next := c.words[l.node], c.words[l.next]
	bitsOf := c.plus(next.bits, next.lo-own.lo, len(own.bits))
	for i, b := range own.bits {
		c.a.SetNext(b, bitsOf[i])
	}
}

// started is true from step 1 on.
func (c *compiled) started() aig.Lit {
	if c.first == aig.False {
		group := c.a.Group
		c.a.Group = 0
		c.first = c.a.Latch(false)
		c.a.SetNext(c.first, aig.True)
		c.a.Group = group
	}
	return c.first
}

// before is x in the step before, false in step 0.
func (c *compiled) before(x aig.Lit) aig.Lit {
	switch {
	case x == aig.False:
		return aig.False
	case x.Neg():
		return c.a.And(c.started(), c.before(x.Not()).Not())
	}
	m, ok := c.pre[x]
	if !ok {
		m = c.a.Latch(false)
		c.a.SetNext(m, x)
		c.pre[x] = m
	}
	return m
}

// sinceOf is p since q.
func (c *compiled) sinceOf(p, q aig.Lit) aig.Lit {
	key := [2]aig.Lit{p, q}
	if s, ok := c.since[key]; ok {
		return s
	}
	m := c.a.Latch(false)
	s := c.a.Or(q, c.a.And(p, m))
	c.a.SetNext(m, s)
	c.since[key] = s
	return s
}

func (c *compiled) past(n *node, x aig.Lit) aig.Lit {
	a := c.a
	switch n.op {
	case opPre:
		return c.before(x)
	case opRose:
		return a.And(x, c.before(x.Not()))
	case opFell:
		return a.And(x.Not(), c.before(x))
	case opBegan:
		return a.And(x, c.before(x).Not())
	case opOnce:
		return c.sinceOf(aig.True, x)
	case opHist:
		return c.sinceOf(aig.True, x.Not()).Not()
	case opSince:
		return c.sinceOf(x, c.lits[n.b])
	case opPulse:
		return c.pulse(n.b, x)
	}
	if n.b == 1 {
		return x
	}
	recent := aig.False
	if c.mayEnd(n) {
		recent = c.end(n, x).Not()
	} else {
		recent = c.below(c.age(n, x).bits, uint64(n.b)-1)
	}
	if n.op == opWithin {
		return a.Or(x, recent)
	}
	return a.And(x, recent.Not())
}

// age returns the counter of the steps since x was last true (Within: x never true counts as the cap), or of the steps that x
// has held up to the step before (Held). It saturates at what the longest window over x needs and is shared by all of them.
func (c *compiled) age(n *node, x aig.Lit) *counter {
	key := counterKey{op: n.op, arg: x}
	if at := c.count[key]; at != nil && at.cap >= uint64(n.b)-1 {
		return at
	}
	at := &counter{cap: uint64(max(c.ages[ageKey{n.op, c.bare(n.a)}], int(n.b))) - 1}
	init := uint64(0)
	if n.op == opWithin {
		init = at.cap
	}
	at.bits = c.latches(at.cap, init)
	full := c.below(at.bits, at.cap).Not()
	up := c.plus(at.bits, 1, len(at.bits))
	restart := x
	if n.op == opHeld {
		restart = x.Not()
	}
	for i, b := range at.bits {
		c.a.SetNext(b, c.a.And(restart.Not(), c.a.Mux(full, b, up[i])))
	}
	c.count[key] = at
	return at
}

// pulse counts the steps left of a pulse of n steps.
func (c *compiled) pulse(n int32, x aig.Lit) aig.Lit {
	rise := c.a.And(x, c.before(x.Not()))
	if n == 1 {
		return rise
	}
	if c.early > 0 && int(n) >= c.early {
		return c.a.Or(rise, c.endingPulse(n, x, rise))
	}
	key := counterKey{op: opPulse, arg: x, n: n}
	at := c.count[key]
	if at == nil {
		at = &counter{cap: uint64(n) - 1}
		at.bits = c.latches(at.cap, 0)
		c.count[key] = at
		idle := c.below(at.bits, 1)
		down := c.plus(at.bits, -1, len(at.bits))
		for i, b := range at.bits {
			start := c.a.And(rise, aig.Lit(at.cap>>i&1))
			c.a.SetNext(b, c.a.Mux(idle, start, down[i]))
		}
	}
	return c.a.Or(rise, c.below(at.bits, 1).Not())
}

// latches returns latches for the numbers 0 to top.
func (c *compiled) latches(top, init uint64) []aig.Lit {
	out := make([]aig.Lit, bits.Len64(top))
	for i := range out {
		out[i] = c.a.Latch(init>>i&1 == 1)
	}
	return out
}
