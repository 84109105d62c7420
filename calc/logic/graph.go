package logic

import (
	"fmt"
	"math"
	"slices"
)

// op is the operation of one node of the expression graph.
type op uint8

const (
	opConst   op = iota // a: value 0 or 1
	opInput             // a: signal
	opLatch             // a: latch
	opSignal            // a: argument, b: signal
	opNot               // a
	opAnd               // a, b
	opOr                // a, b
	opXor               // a, b
	opImplies           // a, b
	opIff               // a, b
	opIf                // a ? b : c
	opPre               // a
	opRose              // a
	opFell              // a
	opBegan             // a
	opOnce              // a
	opHist              // a
	opSince             // a since b
	opWithin            // a in one of the last b steps
	opHeld              // a in all of the last b steps
	opPulse             // b steps long from each rise of a
	opEqual             // integers a, b
	opLess              // integers a, b
	opLessEq            // integers a, b

	opIntConst  // lo of the range
	opIntInput  // a: signal
	opIntLatch  // a: latch
	opIntSignal // a: argument, b: signal
	opIntAdd    // a, b
	opIntSub    // a, b
	opIntClamp  // a, to the range
	opIntIf     // a ? b : c
)

// past tells whether the operation needs a memory of earlier steps.
func (o op) past() bool { return o >= opPre && o <= opPulse }

// integer tells whether the node's value is a bounded integer.
func (o op) integer() bool { return o >= opIntConst }

// node is one shared expression. Arguments always stand before their users, so that the ascending order of node numbers is
// an order of evaluation; only a latch looks back, through its next value.
type node struct {
	op      op
	a, b, c int32
	rng     int32 // integers: place in graph.ranges
}

// span is the inclusive range of a bounded integer.
type span struct{ lo, hi int64 }

func (r span) size() uint64 { return uint64(r.hi-r.lo) + 1 }

func (r span) contains(o span) bool { return r.lo <= o.lo && o.hi <= r.hi }

// Bounds of the integers: wide enough for counters of a day in milliseconds, narrow enough that sums can't overflow.
const (
	maxMagnitude = int64(1) << 40
	maxSpan      = uint64(1) << 32
	maxWindow    = 1 << 30 // steps of Within, Held, and the timers
)

// signal is a named thing: an input, a latch, or a net.
type signal struct {
	name   string
	node   int32
	labels []string // of an enumeration, by value
}

// latch is a memory of one step.
type latch struct {
	node   int32
	signal int32
	init   int64
	next   int32 // noNode until SetNext
}

type assumption struct {
	name string
	expr int32
}

const noNode = int32(-1)

// maxErrors bounds the list of recorded mistakes; a loop with a mistake in it must not fill the memory.
const maxErrors = 100

// graph holds the expressions of one system.
type graph struct {
	nodes       []node
	groups      []int32 // by node, in step with nodes
	group       int32
	groupNames  []string
	groupAt     map[string]int32
	table       nodeTable
	ranges      []span
	rangeAt     map[span]int32
	signals     []signal
	byName      map[string]int32
	inputs      []int32 // signals
	latches     []latch
	assumptions []assumption
	errs        []error
	dropped     int // mistakes beyond maxErrors
}

func newGraph() *graph {
	g := &graph{byName: map[string]int32{}, rangeAt: map[span]int32{}, groupNames: []string{""}, groupAt: map[string]int32{"": 0}}
	g.hashed(node{op: opConst, a: 0})
	g.hashed(node{op: opConst, a: 1})
	return g
}

func (g *graph) fail(format string, args ...any) {
	if len(g.errs) == maxErrors {
		g.dropped++
		return
	}
	g.errs = append(g.errs, fmt.Errorf(format, args...))
}

func (g *graph) push(n node) int32 {
	id := int32(len(g.nodes))
	g.nodes = append(roomy(g.nodes), n)
	g.groups = append(roomy(g.groups), g.group)
	return id
}

// roomy is s with room for one more; where it has none, its memory doubles.
func roomy[T any](s []T) []T {
	if len(s) < cap(s) {
		return s
	}
	return slices.Grow(s, max(64, len(s)))
}

// hashed returns the node equal to n, adding it where there is none.
func (g *graph) hashed(n node) int32 {
	at, id := g.table.find(g.nodes, n)
	if id == noNode {
		id = g.push(n)
		g.table.put(at, id)
	}
	return id
}

// rangeOf interns a range; ok is false, with a recorded mistake, where it can't be a bounded integer.
func (g *graph) rangeOf(r span, what string) (int32, bool) {
	if r.hi < r.lo {
		g.fail("%s: range %d to %d is empty; the lower bound must not exceed the upper one", what, r.lo, r.hi)
		return 0, false
	}
	if r.lo < -maxMagnitude || r.hi > maxMagnitude || r.size() > maxSpan {
		g.fail("%s: range %d to %d is too wide; bounds within ±2^40 and at most 2^32 values can be handled", what, r.lo, r.hi)
		return 0, false
	}
	if at, ok := g.rangeAt[r]; ok {
		return at, true
	}
	at := int32(len(g.ranges))
	g.ranges = append(g.ranges, r)
	g.rangeAt[r] = at
	return at, true
}

func (g *graph) span(id int32) span { return g.ranges[g.nodes[id].rng] }

// declare enters a name; ok is false, with a recorded mistake, where the name can't be taken.
func (g *graph) declare(name string, labels []string) (int32, bool) {
	if name == "" {
		g.fail("a signal without a name: every input, latch and named net needs one, so that a sequence can be read")
		return 0, false
	}
	if _, taken := g.byName[name]; taken {
		g.fail("signal %q is declared twice; names are given once", name)
		return 0, false
	}
	at := int32(len(g.signals))
	g.signals = append(roomy(g.signals), signal{name: name, node: noNode, labels: labels})
	g.byName[name] = at
	return at, true
}

// args calls f for each argument node of id, without the next value of a latch.
func (g *graph) args(id int32, f func(int32)) {
	n := &g.nodes[id]
	switch n.op {
	case opConst, opInput, opLatch, opIntConst, opIntInput, opIntLatch:
	case opIf, opIntIf:
		f(n.a)
		f(n.b)
		f(n.c)
	case opAnd, opOr, opXor, opImplies, opIff, opSince, opEqual, opLess, opLessEq, opIntAdd, opIntSub:
		f(n.a)
		f(n.b)
	default:
		f(n.a)
	}
}

// nodeTable finds equal nodes by open addressing. A slot holds 32 bits of a node's hash above its number + 1, and 0 where it
// is empty; the hash alone says where the slot is, so that growing needs no look at the nodes.
type nodeTable struct {
	slots []uint64
	used  int
}

func hashNode(n node) uint32 {
	h := uint64(n.op)*0x9e3779b97f4a7c15 ^ uint64(uint32(n.a))*0xbf58476d1ce4e5b9
	h ^= uint64(uint32(n.b)) * 0x94d049bb133111eb
	h ^= uint64(uint32(n.c))<<32 | uint64(uint32(n.rng))
	h ^= h >> 29
	h *= 0xff51afd7ed558ccd
	return uint32(h >> 32)
}

// place is a free slot for a node that was not found.
type place struct {
	slot uint32
	hash uint32
}

// find returns the number of the node equal to n, or noNode and the place for it.
func (t *nodeTable) find(nodes []node, n node) (place, int32) {
	if 2*(t.used+1) > len(t.slots) {
		t.grow()
	}
	h, mask := hashNode(n), uint32(len(t.slots)-1)
	i := h & mask
	for ; t.slots[i] != 0; i = (i + 1) & mask {
		if s := t.slots[i]; uint32(s>>32) == h && nodes[uint32(s)-1] == n {
			return place{}, int32(uint32(s) - 1)
		}
	}
	return place{i, h}, noNode
}

func (t *nodeTable) put(at place, id int32) {
	t.slots[at.slot] = uint64(at.hash)<<32 | uint64(id+1)
	t.used++
}

func (t *nodeTable) grow() {
	old := t.slots
	t.slots = make([]uint64, max(64, 2*len(old)))
	mask := uint32(len(t.slots) - 1)
	for _, s := range old {
		if s != 0 {
			i := uint32(s>>32) & mask
			for t.slots[i] != 0 {
				i = (i + 1) & mask
			}
			t.slots[i] = s
		}
	}
}

// unknown is the value of a signal that was not recorded, and of what can't be told without it.
const unknown = math.MinInt64
