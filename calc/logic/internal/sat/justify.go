package sat

import (
	"container/heap"

	"github.com/guardwright/guardwright/calc/logic/internal/aig"
)

// justifier looks for inputs that make some gates true, going down from them and taking, where one of two arguments is
// enough, the one that takes fewer inputs to set (the controllability measure of test generation, SCOAP, L. Goldstein 1979,
// from memory). It never turns back: it either finds inputs quickly, which are tried by evaluating all gates, or gives up.
type justifier struct {
	cost    [2][]uint32 // by value and gate: about how many inputs it takes to give the gate the value
	want    []int8      // by gate: -1 nothing, 0 or 1 a value asked for
	asked   []uint32    // gates with a value asked for
	next    int         // the first of them that has not been followed
	choices gates
	value   []bool // by gate, when trying
}

const impossible = uint32(1) << 30

// grow computes the costs of gates added to the graph since.
func (j *justifier) grow(g *aig.Graph) {
	for n := uint32(len(j.want)); n < uint32(g.Len()); n++ {
		no, yes := uint32(1), uint32(1)
		switch {
		case n == 0:
			no, yes = 0, impossible
		case g.IsAnd(n):
			a, b := g.Fanins(n)
			no = min(j.of(a, 0), j.of(b, 0)) + 1
			yes = min(j.of(a, 1)+j.of(b, 1)+1, impossible)
		}
		j.cost[0], j.cost[1] = append(j.cost[0], no), append(j.cost[1], yes)
		j.want = append(j.want, -1)
		j.value = append(j.value, false)
	}
}

// of is the cost of giving literal l the value v.
func (j *justifier) of(l aig.Lit, v int8) uint32 {
	if l.Neg() {
		v = 1 - v
	}
	return j.cost[v][l.Node()]
}

// try returns whether inputs were found that make all targets true; value then holds what every gate is. What leaves no
// choice is followed at once; choices are made from the last gate to the first, so that those of later steps, which say what
// earlier ones must be like, come before those.
func (j *justifier) try(g *aig.Graph, targets []aig.Lit) bool {
	j.grow(g)
	ok := true
	for _, l := range targets {
		ok = ok && j.ask(l, 1) && j.follow(g)
	}
	for ok && len(j.choices) > 0 {
		ok = j.choose(g, heap.Pop(&j.choices).(uint32)) && j.follow(g)
	}
	if ok {
		j.evaluate(g)
		for _, l := range targets {
			ok = ok && j.lit(l)
		}
	}
	for _, n := range j.asked {
		j.want[n] = -1
	}
	j.asked, j.choices, j.next = j.asked[:0], j.choices[:0], 0
	return ok
}

// follow asks for both arguments of every gate that must be true, and puts those that must be false among the choices.
func (j *justifier) follow(g *aig.Graph) bool {
	for ; j.next < len(j.asked); j.next++ {
		n := j.asked[j.next]
		switch {
		case !g.IsAnd(n):
		case j.want[n] == 0:
			heap.Push(&j.choices, n)
		default:
			a, b := g.Fanins(n)
			if !j.ask(a, 1) || !j.ask(b, 1) {
				return false
			}
		}
	}
	return true
}

// choose makes one argument of a gate false, unless one is already.
func (j *justifier) choose(g *aig.Graph, n uint32) bool {
	a, b := g.Fanins(n)
	if j.has(a, 0) || j.has(b, 0) {
		return true
	}
	if j.of(b, 0) < j.of(a, 0) || j.has(a, 1) {
		a = b
	}
	return j.ask(a, 0)
}

// gates is a heap, the last gate on top.
type gates []uint32

func (q gates) Len() int           { return len(q) }
func (q gates) Less(i, k int) bool { return q[i] > q[k] }
func (q gates) Swap(i, k int)      { q[i], q[k] = q[k], q[i] }
func (q *gates) Push(x any)        { *q = append(*q, x.(uint32)) }
func (q *gates) Pop() any {
	old := *q
	x := old[len(old)-1]
	*q = old[:len(old)-1]
	return x
}

// ask notes that literal l should have the value v, unless the other one was asked for.
func (j *justifier) ask(l aig.Lit, v int8) bool {
	if l.Neg() {
		v = 1 - v
	}
	n := l.Node()
	switch {
	case j.cost[v][n] >= impossible:
		return false
	case j.want[n] == v:
		return true
	case j.want[n] >= 0:
		return false
	}
	j.want[n] = v
	j.asked = append(j.asked, n)
	return true
}

// has tells whether the value v was asked of literal l.
func (j *justifier) has(l aig.Lit, v int8) bool {
	if l.Neg() {
		v = 1 - v
	}
	return j.want[l.Node()] == v
}

// evaluate gives every gate its value under the inputs asked for; the others are false.
func (j *justifier) evaluate(g *aig.Graph) {
	for n := range uint32(g.Len()) {
		if g.IsAnd(n) {
			a, b := g.Fanins(n)
			j.value[n] = j.lit(a) && j.lit(b)
		} else {
			j.value[n] = j.want[n] == 1
		}
	}
}

func (j *justifier) lit(l aig.Lit) bool { return j.value[l.Node()] != l.Neg() }
