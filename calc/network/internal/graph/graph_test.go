package graph

import (
	"bufio"
	"context"
	"fmt"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/graph/simple"
	"gonum.org/v1/gonum/graph/topo"
	"pgregory.net/rapid"
)

// TestKnownGraphs checks graphs whose weak places are known.
func TestKnownGraphs(t *testing.T) {
	file, err := os.Open("../../../../testdata/network/graphs.csv")
	require.NoError(t, err)
	defer func() { assert.NoError(t, file.Close()) }()
	count := 0
	for lines := bufio.NewScanner(file); lines.Scan(); {
		if strings.HasPrefix(lines.Text(), "#") {
			continue
		}
		count++
		f := strings.Split(lines.Text(), ";")
		require.Len(t, f, 6)
		nodes, err := strconv.Atoi(f[1])
		require.NoError(t, err)
		edges := parseEdges(t, f[2])
		for root := range nodes { // what is weak does not depend on where one looks from
			s := Analyse(nodes, edges, root)
			var bridges, points []string
			for _, b := range s.Blocks {
				if b.Bridge() {
					bridges = append(bridges, name(edges[b.Edges[0]]))
				}
			}
			for v, a := range s.Articulation {
				if a {
					points = append(points, strconv.Itoa(v+1))
				}
			}
			slices.Sort(bridges)
			want := strings.Fields(f[3])
			slices.Sort(want)
			assert.Equal(t, want, nonNil(bridges), "%s: bridges", f[0])
			assert.Equal(t, strings.Fields(f[4]), nonNil(points), "%s: articulation points", f[0])
			pairs := 0
			for i := range s.Blocks {
				if !s.Blocks[i].Bridge() {
					losses, err := s.Pairs(context.Background(), i, s.Blocks[i].Edges, nil, func(Span) int { return 0 })
					require.NoError(t, err)
					pairs += losses[TwoEdges].Parting
				}
			}
			assert.Equal(t, f[5], strconv.Itoa(pairs), "%s: pairs", f[0])
		}
	}
	assert.GreaterOrEqual(t, count, 8)
}

func nonNil(s []string) []string { return append([]string{}, s...) }

func name(e Edge) string { return fmt.Sprintf("%d-%d", e.A+1, e.B+1) }

func parseEdges(t *testing.T, text string) []Edge {
	var edges []Edge
	for _, pair := range strings.Fields(text) {
		var e Edge
		_, err := fmt.Sscanf(pair, "%d-%d", &e.A, &e.B)
		require.NoError(t, err)
		edges = append(edges, Edge{e.A - 1, e.B - 1})
	}
	return edges
}

// randomGraph draws graphs with parallel edges, rings, meshes, trees and parts that hang on nothing.
func randomGraph(t *rapid.T) (int, []Edge) {
	nodes := rapid.IntRange(1, 12).Draw(t, "nodes")
	var edges []Edge
	if nodes == 1 {
		return nodes, nil
	}
	for range rapid.IntRange(0, nodes+4).Draw(t, "edges") {
		a := rapid.IntRange(0, nodes-1).Draw(t, "a")
		b := rapid.IntRange(0, nodes-2).Draw(t, "b")
		if b >= a {
			b++
		}
		edges = append(edges, Edge{a, b})
	}
	return nodes, edges
}

// reached asks a general-purpose graph library which nodes a root reaches without some nodes and one edge.
func reached(nodes int, edges []Edge, root int, lost []int, without ...int) []bool {
	g := simple.NewUndirectedGraph()
	for v := range nodes {
		g.AddNode(simple.Node(v))
	}
	for i, e := range edges {
		if !slices.Contains(without, i) && !slices.Contains(lost, e.A) && !slices.Contains(lost, e.B) {
			g.SetEdge(simple.Edge{F: simple.Node(e.A), T: simple.Node(e.B)})
		}
	}
	out := make([]bool, nodes)
	if slices.Contains(lost, root) {
		return out
	}
	for _, part := range topo.ConnectedComponents(g) {
		ids := make([]int, len(part))
		for i, n := range part {
			ids[i] = int(n.ID())
		}
		if slices.Contains(ids, root) {
			for _, v := range ids {
				out[v] = true
			}
		}
	}
	return out
}

// lostIn lists the nodes in spans.
func lostIn(s *Structure, spans ...Span) []bool {
	out := make([]bool, len(s.Order))
	for _, x := range spans {
		for _, v := range s.Order[x.From:x.To] {
			out[v] = true
		}
	}
	return out
}

// TestAgainstRemoval removes every edge, every node and random sets of nodes.
func TestAgainstRemoval(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		nodes, edges := randomGraph(t)
		root := rapid.IntRange(0, nodes-1).Draw(t, "root")
		s := Analyse(nodes, edges, root)
		all := reached(nodes, edges, root, nil)
		check := func(what string, got, left []bool) {
			for v := range nodes {
				if want := all[v] && !left[v]; all[v] && got[v] != want {
					t.Fatalf("%s: node %d: lost %v, want %v", what, v, got[v], want)
				}
			}
		}
		for e := range edges {
			check(fmt.Sprint("edge ", e), lostIn(s, s.WithoutEdge(e)), reached(nodes, edges, root, nil, e))
		}
		for v := range nodes {
			check(fmt.Sprint("node ", v), lostIn(s, s.Behind[v]), reached(nodes, edges, root, []int{v}))
		}
		lost := rapid.SliceOfDistinct(rapid.IntRange(0, nodes-1), func(v int) int { return v }).Draw(t, "lost")
		check(fmt.Sprint("nodes ", lost), lostIn(s, s.WithoutNodes(lost)...), reached(nodes, edges, root, lost))
	})
}

// TestRingsAreInOrder checks that the edges of a ring follow its nodes, and that a path meets end to end.
func TestRingsAreInOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		nodes, edges := randomGraph(t)
		s := Analyse(nodes, edges, 0)
		for _, b := range s.Blocks {
			for i, e := range b.Edges {
				if !b.Ring {
					continue
				}
				v, w := b.Nodes[i], b.Nodes[(i+1)%len(b.Nodes)]
				if edges[e] != (Edge{v, w}) && edges[e] != (Edge{w, v}) {
					t.Fatalf("ring %v %v: edge %d is %v", b.Nodes, b.Edges, i, edges[e])
				}
			}
		}
		from, to := rapid.IntRange(0, nodes-1).Draw(t, "from"), rapid.IntRange(0, nodes-1).Draw(t, "to")
		legs, ok := s.Path(from, to, nil)
		if ok != reached(nodes, edges, from, nil)[to] {
			t.Fatalf("path %d %d: %v", from, to, ok)
		}
		at := from
		for _, l := range legs {
			if l.From != at || !slices.Contains(s.Blocks[l.Block].Nodes, l.From) || !slices.Contains(s.Blocks[l.Block].Nodes, l.To) {
				t.Fatalf("path %d %d: %v", from, to, legs)
			}
			at = l.To
		}
		if ok && at != to {
			t.Fatalf("path %d %d ends at %d", from, to, at)
		}
	})
}
