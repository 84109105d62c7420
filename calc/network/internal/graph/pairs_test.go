package graph

import (
	"context"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

// loss is one pair of things removed and looked for, by a general-purpose graph library.
type loss struct {
	kind            PairKind
	parting, costly bool
	lost            []bool
	weight          int
}

// pairOf removes two things and each alone.
func pairOf(s *Structure, block int, all []bool, x, y thing, weights []int) loss {
	b, root := &s.Blocks[block], s.Root[s.Blocks[block].Nodes[0]]
	without := func(things ...thing) []bool {
		var nodes, edges []int
		for _, t := range things {
			if t.edge {
				edges = append(edges, t.at)
			} else {
				nodes = append(nodes, t.at)
			}
		}
		return reached(len(all), s.Edges, root, nodes, edges...)
	}
	var out loss
	switch {
	case x.edge && y.edge:
		out.kind = TwoEdges
	case x.edge || y.edge:
		out.kind = EdgeAndNode
	default:
		out.kind = TwoNodes
	}
	one, other, both := without(x), without(y), without(x, y)
	for v := range all {
		gone := all[v] && !both[v]
		further := gone && one[v] && other[v]
		out.lost = append(out.lost, gone)
		out.parting = out.parting || further && slices.Contains(b.Nodes, v)
		out.costly = out.costly || further && weights[v] > 0
		if gone {
			out.weight += weights[v]
		}
	}
	return out
}

// TestPairsAgainstRemoval removes every pair of edges, of an edge and a node and of nodes within random rings and meshes, with
// other rings, meshes and trees behind them.
func TestPairsAgainstRemoval(t *testing.T) {
	rings, meshes := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		nodes, edges := randomGraph(t)
		s := Analyse(nodes, edges, rapid.IntRange(0, nodes-1).Draw(t, "root"))
		weights := rapid.SliceOfN(rapid.IntRange(0, 2), nodes, nodes).Draw(t, "weights")
		weight := func(x Span) int {
			sum := 0
			for _, v := range s.Order[x.From:x.To] {
				sum += weights[v]
			}
			return sum
		}
		for i := range s.Blocks {
			b := &s.Blocks[i]
			if b.Bridge() {
				continue
			}
			some, others := b.Edges, b.Nodes[1:]
			if b.Ring {
				rings++
			} else {
				meshes++
				some = some[rapid.IntRange(0, len(some)).Draw(t, "edges from"):]
				others = others[rapid.IntRange(0, len(others)).Draw(t, "nodes from"):]
			}
			checkPairs(t, s, i, some, others, weights, weight)
		}
	})
	assert.Positive(t, rings)
	assert.Positive(t, meshes)
}

func checkPairs(t *rapid.T, s *Structure, block int, edges, nodes, weights []int, weight func(Span) int) {
	got, err := s.Pairs(context.Background(), block, edges, nodes, weight)
	if err != nil {
		t.Fatal(err)
	}
	var things []thing
	for _, e := range edges {
		things = append(things, thing{true, e})
	}
	for _, v := range nodes {
		things = append(things, thing{false, v})
	}
	all := reached(len(s.Around), s.Edges, s.Root[s.Blocks[block].Nodes[0]], nil)
	var want PairLosses
	for i, x := range things {
		for _, y := range things[i+1:] {
			l := pairOf(s, block, all, x, y, weights)
			w := &want[l.kind]
			w.Pairs++
			if l.parting {
				w.Parting++
			}
			if l.costly {
				w.Costly++
			}
			w.Weight = max(w.Weight, l.weight)
		}
	}
	for kind := range want {
		g, w := got[kind], want[kind]
		if g.Pairs != w.Pairs || g.Parting != w.Parting || g.Costly != w.Costly || g.Weight != w.Weight {
			t.Fatalf("block %+v, kind %d: %+v, want %+v", s.Blocks[block], kind, g, w)
		}
		if g.Weight == 0 {
			if len(g.Lost) > 0 {
				t.Fatalf("no weight, and lost %v", g.Lost)
			}
			continue
		}
		x, y := thing{PairKind(kind) != TwoNodes, g.Worst[0]}, thing{PairKind(kind) == TwoEdges, g.Worst[1]}
		l := pairOf(s, block, all, x, y, weights)
		if l.weight != g.Weight || !slices.Equal(l.lost, lostIn(s, g.Lost...)) {
			t.Fatalf("block %+v, kind %d, worst %v: lost %v of weight %d, want %v of weight %d", s.Blocks[block], kind, g.Worst, g.Lost, g.Weight, l.lost, l.weight)
		}
	}
}

// TestPairsStop: a search through a mesh ends with its context.
func TestPairsStop(t *testing.T) {
	edges := []Edge{{0, 1}, {1, 2}, {2, 0}, {0, 1}}
	s := Analyse(3, edges, 0)
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err := s.Pairs(ctx, 0, s.Blocks[0].Edges, nil, func(Span) int { return 0 })
	assert.ErrorIs(t, err, context.Canceled)
}
