// Package graph takes an undirected graph with parallel edges apart into blocks, so that what the loss of any one edge,
// node or set of nodes cuts off from a root can be read off.
//
// A block is a largest part that no single node can part: a bridge with its two ends, a ring, or a mesh. Blocks hang
// together at articulation points and form a tree (Hopcroft and Tarjan, "Algorithm 447: efficient algorithms for graph
// manipulation", Communications of the ACM 16(6), 1973). The general-purpose graph library at hand knows no parallel
// edges in its algorithms, and two cables between the same two switches are a ring of two: hence this package.
package graph

import "slices"

// Edge joins two different nodes, numbered from 0.
type Edge struct{ A, B int }

// Other returns the end of the edge that is not v.
func (e Edge) Other(v int) int {
	if e.A == v {
		return e.B
	}
	return e.A
}

// None stands for no node, no edge and no block.
const None = -1

// Block is a part of the graph that no single node can part.
type Block struct {
	// Nodes of the block. Nodes[0] is its top, the node nearest to the root. In a ring they are in order round the ring.
	Nodes []int
	// Edges of the block. In a ring Edges[i] joins Nodes[i] and Nodes[i+1], the last one the last node and the top.
	Edges []int
	// Ring is true when the block is one ring, of two nodes or more.
	Ring bool
}

// Bridge reports whether the block is one edge, whose loss parts the graph.
func (b *Block) Bridge() bool { return len(b.Edges) == 1 }

// Span is a run of [Structure.Order], from From up to but not including To.
type Span struct{ From, To int }

// Structure is a graph taken apart. It is not changed after [Analyse] returns it.
type Structure struct {
	Edges []Edge
	// Around lists the edges at each node.
	Around [][]int
	Blocks []Block
	// BlockOf is the block of each edge.
	BlockOf []int
	// Above is the block through which each node is reached from the root of its part: the block in which it is not the
	// top. None at a root.
	Above []int
	// Place is the index of each node in the Nodes of the block above it; 0 at a root.
	Place []int
	// Depth is the number of blocks between each node and the root of its part.
	Depth []int
	// Root is the root of each node's part of the graph.
	Root []int
	// Articulation says for each node whether its loss parts the rest.
	Articulation []bool
	// Order lists all nodes, those connected to the root first, so that what hangs behind a node is next to it.
	Order []int
	// Behind is for each node its own place in Order and those of all nodes that its loss cuts off from the root.
	Behind []Span
}

// Analyse takes the graph apart. Parts that do not hang together with root have their own roots, the lowest node of
// each. The time is linear in nodes and edges.
func Analyse(nodes int, edges []Edge, root int) *Structure {
	s := &Structure{
		Edges: edges, Around: make([][]int, nodes), BlockOf: make([]int, len(edges)), Above: make([]int, nodes),
		Place: make([]int, nodes), Depth: make([]int, nodes), Root: make([]int, nodes),
		Articulation: make([]bool, nodes), Behind: make([]Span, nodes),
	}
	for i, e := range edges {
		s.Around[e.A] = append(s.Around[e.A], i)
		s.Around[e.B] = append(s.Around[e.B], i)
	}
	for v := range nodes {
		s.Above[v], s.Root[v] = None, None
	}
	t := tarjan{s: s, found: make([]int, nodes), low: make([]int, nodes)}
	below := make([][]int, nodes) // blocks that each node is the top of
	start := func(v int) {
		if t.found[v] == 0 {
			first := len(s.Blocks)
			t.search(v)
			for b := first; b < len(s.Blocks); b++ {
				top := s.Blocks[b].Nodes[0]
				below[top] = append(below[top], b)
			}
			s.arrange(v, below)
		}
	}
	if nodes > 0 {
		start(root)
	}
	for v := range nodes {
		start(v)
	}
	for v := range nodes {
		s.Articulation[v] = len(below[v]) > 1 || len(below[v]) == 1 && s.Above[v] != None
	}
	return s
}

// tarjan is a depth-first search that closes a block when it leaves one.
type tarjan struct {
	s     *Structure
	found []int // when a node was found, from 1; 0: not yet
	low   []int // earliest node that can be reached from below without the edge above
	clock int
	way   []step
	edges []int // edges found and in no block yet
}

type step struct{ node, via, next int }

func (t *tarjan) enter(v, via int) {
	t.clock++
	t.found[v], t.low[v] = t.clock, t.clock
	t.way = append(t.way, step{v, via, 0})
}

func (t *tarjan) search(root int) {
	t.enter(root, None)
	for len(t.way) > 0 {
		at := &t.way[len(t.way)-1]
		v := at.node
		if at.next == len(t.s.Around[v]) {
			t.leave()
			continue
		}
		e := t.s.Around[v][at.next]
		at.next++
		if e == at.via {
			continue
		}
		w := t.s.Edges[e].Other(v)
		switch {
		case t.found[w] == 0:
			t.edges = append(t.edges, e)
			t.enter(w, e)
		case t.found[w] < t.found[v]:
			t.edges = append(t.edges, e)
			t.low[v] = min(t.low[v], t.found[w])
		}
	}
}

// leave goes back up from a node. When nothing below it leads past the node above, the edges since then are a block.
func (t *tarjan) leave() {
	last := t.way[len(t.way)-1]
	t.way = t.way[:len(t.way)-1]
	if len(t.way) == 0 {
		return
	}
	top := t.way[len(t.way)-1].node
	t.low[top] = min(t.low[top], t.low[last.node])
	if t.low[last.node] < t.found[top] {
		return
	}
	first := len(t.edges) - 1
	for t.edges[first] != last.via {
		first--
	}
	t.s.addBlock(top, slices.Clone(t.edges[first:]))
	t.edges = t.edges[:first]
}

// addBlock notes a block with its nodes in the order of their edges, which for a ring is the order round it.
func (s *Structure) addBlock(top int, edges []int) {
	id := len(s.Blocks)
	b := Block{Nodes: []int{top}, Edges: edges}
	for _, e := range edges {
		s.BlockOf[e] = id
		for _, v := range []int{s.Edges[e].A, s.Edges[e].B} {
			if v != top && s.Above[v] != id {
				s.Above[v] = id
				s.Place[v] = len(b.Nodes)
				b.Nodes = append(b.Nodes, v)
			}
		}
	}
	b.Ring = len(b.Nodes) > 1 && len(b.Edges) == len(b.Nodes)
	s.Blocks = append(s.Blocks, b)
}

// arrange appends the part of a root to Order: each node, then the blocks below it one after the other.
func (s *Structure) arrange(root int, below [][]int) {
	type place struct{ node, block, index int }
	var way []place
	enter := func(v int) {
		s.Root[v] = root
		if a := s.Above[v]; a != None {
			s.Depth[v] = s.Depth[s.Blocks[a].Nodes[0]] + 1
		}
		s.Behind[v].From = len(s.Order)
		s.Order = append(s.Order, v)
		way = append(way, place{v, 0, 1})
	}
	enter(root)
	for len(way) > 0 {
		at := &way[len(way)-1]
		switch {
		case at.block == len(below[at.node]):
			s.Behind[at.node].To = len(s.Order)
			way = way[:len(way)-1]
		case at.index == len(s.Blocks[below[at.node][at.block]].Nodes):
			at.block, at.index = at.block+1, 1
		default:
			at.index++
			enter(s.Blocks[below[at.node][at.block]].Nodes[at.index-1])
		}
	}
}
