package graph

import (
	"context"
	"slices"
)

// PairKind is what two things are that are lost together.
type PairKind int

// The kinds of pairs.
const (
	TwoEdges PairKind = iota
	EdgeAndNode
	TwoNodes
	pairKinds
)

// PairLoss counts the pairs of one kind.
type PairLoss struct {
	Pairs int
	// Parting pairs cut a node of the block off from its top that is not lost itself, and that neither loss alone cuts off.
	Parting int
	// Costly pairs cut off weight that neither loss alone cuts off.
	Costly int
	// Worst is the pair that cuts off the most weight, what is lost itself included: edges before nodes. Weight is how much,
	// and Lost what it cuts off. Without weight there is no worst pair, and Lost is empty.
	Worst  [2]int
	Weight int
	Lost   []Span
}

// PairLosses are the losses by kind.
type PairLosses [pairKinds]PairLoss

// PairsWork is about the number of steps that [Structure.Pairs] takes.
func (s *Structure) PairsWork(block int, edges, nodes []int) int {
	b := &s.Blocks[block]
	if b.Ring {
		return len(b.Nodes)
	}
	return (len(edges) + len(nodes)) * (len(b.Edges) + len(b.Nodes))
}

// Pairs counts what is cut off when two of the given edges and nodes of a block are lost together. The block is no bridge,
// and its top is not among the nodes. In a ring all edges and all other nodes are taken, whatever is given, and the time is
// linear; in a mesh each thing is removed in turn, so it is quadratic there. weight tells what a span weighs; it is a sum
// over the nodes in the span. The error is that of ctx.
func (s *Structure) Pairs(ctx context.Context, block int, edges, nodes []int, weight func(Span) int) (PairLosses, error) {
	b := &s.Blocks[block]
	if b.Ring {
		return s.ringPairs(b, weight), nil
	}
	m := s.mesh(b, weight)
	for _, e := range edges {
		m.things = append(m.things, thing{edge: true, at: slices.Index(b.Edges, e)})
	}
	for _, v := range nodes {
		m.things = append(m.things, thing{at: s.Place[v]})
	}
	for i := range m.things {
		if err := ctx.Err(); err != nil {
			return PairLosses{}, err
		}
		m.remove(i)
	}
	return m.losses(), nil
}

// ringPairs counts in closed form. Numbered from the top, which is 0, edge i joins the nodes i and i+1, and p[i] is the
// weight of the nodes 1 to i:
//
//	edges i < j           cut off the nodes i+1 to j    p[j] - p[i]
//	nodes i < j           those between                 p[j-1] - p[i]
//	node i, edge k >= i   the nodes i+1 to k            p[k] - p[i]
//	node i, edge k < i    the nodes k+1 to i-1          p[i-1] - p[k]
//
// p never falls, so a pair costs nothing just when its two values are equal. The worst pair of each kind is next to the top
// on both sides and cuts off all the rest.
func (s *Structure) ringPairs(b *Block, weight func(Span) int) PairLosses {
	n := len(b.Nodes)
	first, last := b.Nodes[1], b.Nodes[n-1]
	p := make([]int, n)
	for i := 1; i < n; i++ {
		p[i] = weight(Span{s.Behind[first].From, s.Behind[b.Nodes[i]].To})
	}
	pairs := func(n int) int { return n * (n - 1) / 2 }
	rising := func(p []int) int { return pairs(len(p)) - equalPairs(p) }
	var out PairLosses
	out[TwoEdges] = PairLoss{Pairs: pairs(n), Parting: pairs(n), Costly: rising(p), Worst: [2]int{b.Edges[0], b.Edges[n-1]}}
	out[EdgeAndNode] = PairLoss{Pairs: n * (n - 1), Parting: (n - 1) * (n - 2), Costly: rising(p[1:]) + rising(p[:n-1]), Worst: [2]int{b.Edges[n-1], first}}
	out[TwoNodes] = PairLoss{Pairs: pairs(n - 1), Parting: pairs(n-1) - (n - 2), Costly: rising(p[1 : n-1]), Worst: [2]int{first, last}}
	for i := range out {
		if out[i].Pairs > 0 && p[n-1] > 0 {
			out[i].Weight, out[i].Lost = p[n-1], []Span{{s.Behind[first].From, s.Behind[last].To}}
		}
	}
	return out
}

// equalPairs counts the pairs of equal values in a row that never falls.
func equalPairs(p []int) int {
	out, run := 0, 0
	for i := range p {
		if i > 0 && p[i] == p[i-1] {
			run++
		} else {
			run = 0
		}
		out += run
	}
	return out
}

// thing is an edge or a node, by its place in the block's list.
type thing struct {
	edge bool
	at   int
}

// mesh removes the things of a block one by one and looks for what else parts the rest.
type mesh struct {
	s      *Structure
	block  *Block
	things []thing
	edges  []Edge // of the block, between places in its nodes
	own    []int  // weight of each node with what hangs behind it outside the block; the top has none
	worst  [pairKinds][2]thing
	out    PairLosses
}

func (s *Structure) mesh(b *Block, weight func(Span) int) *mesh {
	m := &mesh{s: s, block: b, own: make([]int, len(b.Nodes))}
	for i, v := range b.Nodes[1:] {
		m.own[i+1] = weight(s.Behind[v])
	}
	for _, e := range b.Edges {
		m.edges = append(m.edges, Edge{m.place(s.Edges[e].A), m.place(s.Edges[e].B)})
	}
	return m
}

// place is that of a node in the block.
func (m *mesh) place(v int) int {
	if v == m.block.Nodes[0] {
		return 0
	}
	return m.s.Place[v]
}

// without is the block without one thing, and where its edges are now.
func (m *mesh) without(x thing) (*Structure, []int) {
	var rest []Edge
	now := make([]int, len(m.edges))
	for i, e := range m.edges {
		now[i] = None
		if x.edge && i == x.at || !x.edge && (e.A == x.at || e.B == x.at) {
			continue
		}
		now[i] = len(rest)
		rest = append(rest, e)
	}
	return Analyse(len(m.block.Nodes), rest, 0), now
}

// behind is what is cut off when one more thing is lost.
func behind(s *Structure, now []int, y thing) Span {
	switch {
	case !y.edge:
		return s.Behind[y.at]
	case now[y.at] == None:
		return Span{}
	}
	return s.WithoutEdge(now[y.at])
}

// remove counts the pairs of a thing with those after it in the list.
func (m *mesh) remove(i int) {
	x := m.things[i]
	s, now := m.without(x)
	upTo := make([]int, len(s.Order)+1)
	for k, v := range s.Order {
		upTo[k+1] = upTo[k] + m.own[v]
	}
	for _, y := range m.things[i+1:] {
		kind := EdgeAndNode
		switch {
		case x.edge && y.edge:
			kind = TwoEdges
		case !x.edge:
			kind = TwoNodes
		}
		cut := behind(s, now, y)
		nodes, further, all := cut.To-cut.From, upTo[cut.To]-upTo[cut.From], upTo[cut.To]-upTo[cut.From]
		if !y.edge {
			nodes, further = nodes-1, further-m.own[y.at]
		}
		if !x.edge {
			all += m.own[x.at]
		}
		out := &m.out[kind]
		out.Pairs++
		if nodes > 0 {
			out.Parting++
		}
		if further > 0 {
			out.Costly++
		}
		if all > out.Weight {
			out.Weight, m.worst[kind] = all, [2]thing{x, y}
		}
	}
}

// losses are the counts, with the worst pairs laid out.
func (m *mesh) losses() PairLosses {
	for kind, pair := range m.worst {
		out := &m.out[kind]
		if out.Weight == 0 {
			continue
		}
		s, now := m.without(pair[0])
		cut := behind(s, now, pair[1])
		for _, v := range s.Order[cut.From:cut.To] {
			out.Lost = append(out.Lost, m.s.Behind[m.block.Nodes[v]])
		}
		for i, x := range pair {
			if x.edge {
				out.Worst[i] = m.block.Edges[x.at]
				continue
			}
			out.Worst[i] = m.block.Nodes[x.at]
			if i == 0 {
				out.Lost = append(out.Lost, m.s.Behind[out.Worst[0]])
			}
		}
		out.Lost = join(out.Lost)
	}
	return m.out
}
