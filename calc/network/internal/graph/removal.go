package graph

import (
	"cmp"
	"slices"
)

// WithoutEdge returns what the loss of an edge cuts off from the root; empty when it cuts off nothing.
func (s *Structure) WithoutEdge(e int) Span {
	if b := s.Blocks[s.BlockOf[e]]; b.Bridge() {
		return s.Behind[b.Nodes[1]]
	}
	return Span{}
}

// WithoutNodes returns what the loss of several nodes cuts off from the roots, the nodes themselves included: spans in
// rising order that do not touch.
//
// A lost node cuts off all behind it. Two lost nodes of one block can cut off more: in a ring all between them, in a
// mesh what a search within the block does not reach any more. Apart from meshes the time is that of sorting the nodes.
func (s *Structure) WithoutNodes(lost []int) []Span {
	var spans []Span
	byBlock := slices.Clone(lost)
	slices.SortFunc(byBlock, func(v, w int) int {
		return cmp.Or(cmp.Compare(s.Above[v], s.Above[w]), cmp.Compare(s.Place[v], s.Place[w]))
	})
	for len(byBlock) > 0 {
		block, n := s.Above[byBlock[0]], 1
		for n < len(byBlock) && s.Above[byBlock[n]] == block {
			n++
		}
		in := byBlock[:n]
		byBlock = byBlock[n:]
		switch {
		case block == None || n == 1:
			for _, v := range in {
				spans = append(spans, s.Behind[v])
			}
		case s.Blocks[block].Ring:
			spans = append(spans, Span{s.Behind[in[0]].From, s.Behind[in[n-1]].To})
		default:
			spans = append(spans, s.searchBlock(&s.Blocks[block], in)...)
		}
	}
	return join(spans)
}

// searchBlock finds the nodes of a mesh that its top does not reach without the lost ones.
func (s *Structure) searchBlock(b *Block, lost []int) []Span {
	inside := map[int]bool{} // nodes of the block that are neither lost nor reached
	for _, v := range b.Nodes {
		inside[v] = true
	}
	for _, v := range lost {
		delete(inside, v)
	}
	delete(inside, b.Nodes[0])
	for open := []int{b.Nodes[0]}; len(open) > 0; {
		v := open[len(open)-1]
		open = open[:len(open)-1]
		for _, e := range s.Around[v] {
			if w := s.Edges[e].Other(v); inside[w] {
				delete(inside, w)
				open = append(open, w)
			}
		}
	}
	var spans []Span
	for _, v := range b.Nodes[1:] {
		if inside[v] || slices.Contains(lost, v) {
			spans = append(spans, s.Behind[v])
		}
	}
	return spans
}

// join sorts spans and makes one of those that overlap or touch.
func join(spans []Span) []Span {
	slices.SortFunc(spans, func(a, b Span) int { return cmp.Compare(a.From, b.From) })
	out := spans[:0]
	for _, x := range spans {
		if n := len(out); n > 0 && x.From <= out[n-1].To {
			out[n-1].To = max(out[n-1].To, x.To)
			continue
		}
		out = append(out, x)
	}
	return out
}

// Leg is the way of a path through one block.
type Leg struct{ Block, From, To int }

// Path appends to out the blocks that lie between two nodes, in order; false when nothing joins them.
func (s *Structure) Path(from, to int, out []Leg) ([]Leg, bool) {
	if s.Root[from] != s.Root[to] {
		return out, false
	}
	back := make([]Leg, 0, s.Depth[to])
	for from != to {
		switch {
		case s.Above[from] == s.Above[to] && s.Above[from] != None:
			out = append(out, Leg{s.Above[from], from, to})
			from = to
		case s.Depth[from] >= s.Depth[to]:
			top := s.Blocks[s.Above[from]].Nodes[0]
			out = append(out, Leg{s.Above[from], from, top})
			from = top
		default:
			top := s.Blocks[s.Above[to]].Nodes[0]
			back = append(back, Leg{s.Above[to], top, to})
			to = top
		}
	}
	slices.Reverse(back)
	return append(out, back...), true
}
