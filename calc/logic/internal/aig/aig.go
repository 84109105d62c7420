// Package aig holds Boolean transition systems as and-inverter graphs: two-input AND gates, complemented edges, latches.
// Equal gates are shared and constants propagated while building. Algorithms are from memory (structural hashing, cone of
// influence); nothing was taken over.
package aig

// Lit is a node with a sign: node<<1, plus 1 where complemented.
type Lit uint32

// False and True are the constant literals, of node 0.
const (
	False Lit = 0
	True  Lit = 1
)

// Not is the complement of l.
func (l Lit) Not() Lit { return l ^ 1 }

// Node is the node of l.
func (l Lit) Node() uint32 { return uint32(l >> 1) }

// Neg tells whether l is complemented.
func (l Lit) Neg() bool { return l&1 != 0 }

// XorSign is l, complemented where neg is.
func (l Lit) XorSign(neg bool) Lit {
	if neg {
		return l ^ 1
	}
	return l
}

// Kinds of nodes that are no gates, kept in place of the first fan-in.
const (
	kindInput = ^Lit(0)
	kindLatch = ^Lit(0) - 1
	kindConst = ^Lit(0) - 2
)

// Graph is a transition system under construction. Fan-ins of a gate always have lower numbers than the gate.
type Graph struct {
	f0, f1  []Lit   // fan-ins; of an input or latch, its kind and number
	group   []int32 // by node, the part of the machine it was built for
	Group   int32   // of nodes built from now on
	latches []Latch
	inputs  int
	slots   []uint64 // open addressing over gates: hash above the node, 0 where empty
	used    int
}

// Latch is a memory of one step.
type Latch struct {
	Node uint32
	Init bool
	Next Lit
}

// New returns an empty graph with room for size nodes.
func New(size int) *Graph {
	g := &Graph{f0: make([]Lit, 0, size), f1: make([]Lit, 0, size), group: make([]int32, 0, size)}
	slots := 64
	for slots < size {
		slots *= 2
	}
	g.slots = make([]uint64, slots)
	g.push(kindConst, 0)
	return g
}

func (g *Graph) push(a, b Lit) Lit {
	n := Lit(len(g.f0)) << 1
	g.f0 = append(g.f0, a)
	g.f1 = append(g.f1, b)
	g.group = append(g.group, g.Group)
	return n
}

// Len is the number of nodes.
func (g *Graph) Len() int { return len(g.f0) }

// Input adds an input.
func (g *Graph) Input() Lit {
	g.inputs++
	return g.push(kindInput, Lit(g.inputs-1))
}

// Latch adds a latch; it keeps its value until SetNext.
func (g *Graph) Latch(init bool) Lit {
	l := g.push(kindLatch, Lit(len(g.latches)))
	g.latches = append(g.latches, Latch{Node: l.Node(), Init: init, Next: l})
	return l
}

// SetNext gives the latch l its next value.
func (g *Graph) SetNext(l, next Lit) { g.latches[g.f1[l.Node()]].Next = next }

// IsInput tells whether node n is an input.
func (g *Graph) IsInput(n uint32) bool { return g.f0[n] == kindInput }

// IsLatch tells whether node n is a latch.
func (g *Graph) IsLatch(n uint32) bool { return g.f0[n] == kindLatch }

// IsAnd tells whether node n is a gate.
func (g *Graph) IsAnd(n uint32) bool { return g.f0[n] < kindConst }

// Fanins returns the two arguments of gate n.
func (g *Graph) Fanins(n uint32) (Lit, Lit) { return g.f0[n], g.f1[n] }

// LatchOf returns the latch of node n.
func (g *Graph) LatchOf(n uint32) *Latch { return &g.latches[g.f1[n]] }

// GroupOf returns the part of the machine that node n was built for.
func (g *Graph) GroupOf(n uint32) int32 { return g.group[n] }

// And is the conjunction.
func (g *Graph) And(a, b Lit) Lit {
	if a > b {
		a, b = b, a
	}
	switch {
	case a == False || a == b.Not():
		return False
	case a == True || a == b:
		return b
	}
	h, mask := hash(a, b), uint32(len(g.slots)-1)
	i := h & mask
	for ; g.slots[i] != 0; i = (i + 1) & mask {
		if s := g.slots[i]; uint32(s>>32) == h {
			if n := uint32(s); g.f0[n] == a && g.f1[n] == b {
				return Lit(n) << 1
			}
		}
	}
	l := g.push(a, b)
	g.slots[i] = uint64(h)<<32 | uint64(l.Node())
	if g.used++; 2*g.used > len(g.slots) {
		g.grow()
	}
	return l
}

func hash(a, b Lit) uint32 {
	h := uint64(a)*0x9e3779b97f4a7c15 ^ uint64(b)*0xbf58476d1ce4e5b9
	return uint32(h >> 32)
}

func (g *Graph) grow() {
	old := g.slots
	g.slots = make([]uint64, 2*len(old))
	mask := uint32(len(g.slots) - 1)
	for _, s := range old {
		if s != 0 {
			i := uint32(s>>32) & mask
			for g.slots[i] != 0 {
				i = (i + 1) & mask
			}
			g.slots[i] = s
		}
	}
}

// Or is the disjunction.
func (g *Graph) Or(a, b Lit) Lit { return g.And(a.Not(), b.Not()).Not() }

// Xor is the exclusive or.
func (g *Graph) Xor(a, b Lit) Lit { return g.Or(g.And(a, b.Not()), g.And(a.Not(), b)) }

// Mux is a where c, else b.
func (g *Graph) Mux(c, a, b Lit) Lit {
	if a == b {
		return a
	}
	return g.Or(g.And(c, a), g.And(c.Not(), b))
}
