package logic

import (
	"context"
	"slices"

	"github.com/guardwright/guardwright/calc/logic/internal/aig"
	"github.com/guardwright/guardwright/calc/logic/internal/sat"
	"github.com/guardwright/guardwright/calc/logic/internal/search"
)

// cluster is a set of assumptions that share inputs or latches, directly or through each other. An obligation that touches a
// cluster takes all of it into its cone. One that doesn't may leave it out where the cluster can always be kept, whatever
// happened before: its assumptions then take nothing away from the runs of the rest. A cluster for which that isn't shown is
// taken into every cone.
type cluster struct {
	lits   []aig.Lit
	forced bool
	cone   *aig.Cone // of lits
}

// clusterAssumptions finds the clusters and tells for each whether it must be taken into every cone.
func (p *prover) clusterAssumptions() {
	if len(p.as) == 0 {
		return
	}
	p.clusterOf = make([]int32, p.c.a.Len())
	merged := []int{} // cluster by assumption
	for i, a := range p.as {
		merged = append(merged, i)
		lv := p.slicer.Leaves([]aig.Lit{p.c.lits[a.expr]}, nil)
		for _, n := range slices.Concat(lv.Inputs, lv.Latches) {
			if old := p.clusterOf[n]; old != 0 {
				unite(merged, int(old-1), i)
			}
			p.clusterOf[n] = int32(i + 1)
		}
	}
	place := map[int]int32{}
	for i, a := range p.as {
		root := find(merged, i)
		at, ok := place[root]
		if !ok {
			at = int32(len(p.clusters))
			place[root] = at
			p.clusters = append(p.clusters, cluster{})
		}
		p.clusters[at].lits = append(p.clusters[at].lits, p.c.lits[a.expr])
	}
	for n, old := range p.clusterOf {
		if old != 0 {
			p.clusterOf[n] = place[find(merged, int(old-1))] + 1
		}
	}
	for i := range p.clusters {
		if !p.clusters[i].judge(p) {
			p.noFirst = true
		}
	}
}

func find(merged []int, i int) int {
	for merged[i] != i {
		merged[i] = merged[merged[i]]
		i = merged[i]
	}
	return i
}

func unite(merged []int, a, b int) {
	a, b = find(merged, a), find(merged, b)
	merged[max(a, b)] = min(a, b)
}

// Limits of the question whether a cluster can always be kept; beyond them it is simply taken along.
const (
	clusterStates = 1 << 14
	clusterWork   = 1 << 24
)

// judge tells whether the cluster allows a first step, and finds whether it must be taken into every cone.
func (cl *cluster) judge(p *prover) (first bool) {
	roots := append([]aig.Lit{aig.False, aig.True}, cl.lits...)
	cl.cone = p.slicer.Cone(roots, nil)
	limits := p.searchLimits(levelCut)
	limits.States, limits.Work = min(limits.States, clusterStates), min(limits.Work, clusterWork)
	var s search.Searcher
	out := s.Search(p.ctx, cl.cone, cl.constraints(), []search.Goal{{Root: 0}}, limits)
	cl.forced = !out.Complete || out.DeadEnds
	if out.Complete || out.Allowed {
		return out.Allowed
	}
	u := sat.NewUnrolling(p.ctx, sat.Problem{Cone: cl.cone, Constraints: cl.constraints(), Bad: 1},
		&sat.Budget{Queries: p.limits.Queries, Depth: 1})
	trace, err := u.Next()
	return trace != nil || err != nil
}

func (cl *cluster) constraints() []int { return after(2, len(cl.lits)) }

// walk returns inputs of the cluster's cone that keep its assumptions for so many steps. The cluster is not forced, so there
// are some whatever was chosen before.
func (cl *cluster) walk(ctx context.Context, steps int, limits search.Limits) [][]bool {
	var s search.Searcher
	return s.Walk(ctx, cl.cone, cl.constraints(), steps, limits)
}

// after returns the n numbers from first on.
func after(first, n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = first + i
	}
	return out
}
