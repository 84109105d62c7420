package network

import (
	"context"
	"fmt"

	"github.com/guardwright/guardwright/calc/network/internal/graph"
)

// pairs counts the double faults of a ring.
func (f *faults) pairs(ctx context.Context, r *Ring, work int) error {
	var edges, nodes []int
	for _, l := range r.Links {
		edges = append(edges, f.parts.link[f.t.ends[l.Link.From]])
	}
	block := f.graph.BlockOf[edges[0]] // a ring lies in one block
	for _, n := range r.Nodes {
		if v := f.parts.node[f.t.nodeOf(n)]; v != f.graph.Blocks[block].Nodes[0] {
			nodes = append(nodes, v)
		}
	}
	count := map[PairKind]int{TwoLinks: pairsOf(len(edges)), LinkAndNode: len(edges) * len(nodes), TwoNodes: pairsOf(len(nodes))}
	if steps := f.graph.PairsWork(block, edges, nodes); steps > work {
		why := fmt.Sprintf("the ring shares a loop with other links, and its double faults take %d steps, more than the %d that are done: raise Options.Work", steps, work)
		for _, kind := range pairKinds() {
			f.reach.Pairs = append(f.reach.Pairs, &Pairs{Ring: r, Kind: kind, Count: count[kind], Parting: unknown[int](why), Losing: unknown[int](why)})
		}
		return nil
	}
	weight := func(s graph.Span) int { return f.upTo[s.To] - f.upTo[s.From] }
	losses, err := f.graph.Pairs(ctx, block, edges, nodes, weight)
	if err != nil {
		return err
	}
	for i, kind := range pairKinds() {
		const why = "a ring is made for one fault at a time"
		f.reach.Pairs = append(f.reach.Pairs, &Pairs{Ring: r, Kind: kind, Count: count[kind],
			Parting: unlimited(losses[i].Parting, why), Losing: unlimited(losses[i].Costly, why), Worst: f.worst(graph.PairKind(i), &losses[i])})
	}
	return nil
}

// pairKinds are the kinds in the order of those of package graph.
func pairKinds() []PairKind { return []PairKind{TwoLinks, LinkAndNode, TwoNodes} }

// pairsOf is the number of pairs of n things.
func pairsOf(n int) int { return n * (n - 1) / 2 }

// worst is the pair that costs most.
func (f *faults) worst(kind graph.PairKind, loss *graph.PairLoss) *DoubleFault {
	if loss.Weight == 0 {
		return nil
	}
	out := &DoubleFault{}
	links := map[graph.PairKind]int{graph.TwoEdges: 2, graph.EdgeAndNode: 1}[kind]
	for _, e := range loss.Worst[:links] {
		out.Links = append(out.Links, f.t.Links[f.part.links[e]])
	}
	for _, v := range loss.Worst[links:] {
		out.Nodes = append(out.Nodes, f.node(v))
	}
	out.Lost, out.Functions = f.cost(loss.Lost...)
	return out
}
