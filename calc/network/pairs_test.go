package network_test

import (
	"fmt"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"github.com/guardwright/guardwright/calc/network"
	"github.com/guardwright/guardwright/model"
)

// randomRings draws a network that grows from a controller: rings with branches, rings at one node, a star with rings, and
// rings that share a link. A second controller hangs somewhere in it, and some modules are its own.
func randomRings(t *rapid.T) *plant {
	p := newPlant(model.CIPSafety, 6, 14)
	p.Controllers["d"] = model.ControllerSpec{Type: "c", SafetyCycle: model.Milliseconds(10)}
	fresh := []string{"d"}
	for i := range 14 {
		fresh = append(fresh, fmt.Sprintf("m%d", i))
	}
	for i := range 6 {
		fresh = append(fresh, fmt.Sprintf("s%d", i))
	}
	fresh = rapid.Permutation(fresh).Draw(t, "order")
	there := []string{"c"}
	var rings [][]string
	for range rapid.IntRange(1, 6).Draw(t, "steps") {
		size := rapid.IntRange(1, 5).Draw(t, "new nodes")
		if size > len(fresh) {
			break
		}
		added := fresh[:size]
		fresh = fresh[size:]
		at := rapid.SampledFrom(there).Draw(t, "at")
		there = append(there, added...)
		kind := rapid.SampledFrom([]string{"branch", "ring", "shared"}).Draw(t, "kind")
		if kind == "branch" {
			for i, n := range added {
				p.link(append([]string{at}, added...)[i], n, 10)
			}
			continue
		}
		ring := append([]string{at}, added...)
		if kind == "shared" && len(rings) > 0 { // along a link of a ring that is there
			old := rapid.SampledFrom(rings).Draw(t, "beside")
			k := rapid.IntRange(0, len(old)-1).Draw(t, "beside link")
			ring = slices.Concat([]string{old[k]}, added, []string{old[(k+1)%len(old)]})
			for i, n := range ring[1:] {
				p.link(ring[i], n, 10)
			}
		} else {
			for i, n := range ring {
				p.link(n, ring[(i+1)%len(ring)], 10)
			}
		}
		p.Network.Rings[fmt.Sprintf("r%d", len(rings))] = model.RingSpec{Nodes: ring, Protocol: model.RSTP}
		rings = append(rings, ring)
	}
	for i := range 14 {
		m := fmt.Sprintf("m%d", i)
		if owner := rapid.SampledFrom([]string{"", "c", "d"}).Draw(t, "owner"); owner != "" {
			p.Network.Connections["con_"+m] = model.ConnectionSpec{Module: m, Controller: owner, Interval: model.Milliseconds(10), Input: 4}
		}
	}
	return p
}

// double are two things that fail together.
type double struct {
	links []*model.Link
	nodes []model.NetworkNode
}

// TestPairsAgainstRemoval removes every pair of links, of a link and a node, and of nodes of each ring, and searches what is
// left.
func TestPairsAgainstRemoval(t *testing.T) {
	shared := 0
	rapid.Check(t, func(t *rapid.T) {
		r := randomRings(t).compute(t, network.Options{})
		x := newRemoval(r.Machine)
		shared += len(r.Loops)
		for _, reach := range r.Reach {
			for _, p := range reach.Pairs {
				checkPairs(t, x, reach, p)
			}
			for _, ring := range r.Rings {
				if !ring.Closed {
					t.Fatalf("%s is not closed", ring.Ring.Name)
				}
				kinds := 0
				for _, p := range reach.Pairs {
					if p.Ring == ring {
						kinds++
					}
				}
				if near := inReach(r, reach, ring); near && kinds != 3 || !near && kinds != 0 {
					t.Fatalf("%s: %d kinds of pairs for %s", ring.Ring.Name, kinds, reach.Controller.Name)
				}
			}
		}
	})
	assert.Positive(t, shared, "no ring shared a link")
}

// inReach tells whether a controller's faults hold the first link of a ring.
func inReach(r *network.Result, reach *network.Reach, ring *network.Ring) bool {
	return slices.ContainsFunc(reach.Faults, func(f *network.Fault) bool { return f.Link == ring.Links[0] })
}

// entry is the node by which a controller comes into a ring: the one without which it reaches none of the others. A ring that
// shares links with others can have none.
func entry(x *removal, reach *network.Reach, ring *network.Ring) *network.Node {
	for _, n := range ring.Nodes {
		if n.Node.Controller == reach.Controller {
			return n
		}
	}
	for _, n := range ring.Nodes {
		reached := x.nodesReached(reach.Controller, nil, n.Node)
		if !slices.ContainsFunc(ring.Nodes, func(o *network.Node) bool { return o != n && reached[o.Node] }) {
			return n
		}
	}
	return nil
}

// pairsOf lists the pairs of one kind.
func pairsOf(kind network.PairKind, ring *network.Ring, without *network.Node) []double {
	var out []double
	for i, l := range ring.Links {
		for _, other := range ring.Links[:i] {
			if kind == network.TwoLinks {
				out = append(out, double{links: []*model.Link{l.Link, other.Link}})
			}
		}
		for _, n := range ring.Nodes {
			if kind == network.LinkAndNode && n != without {
				out = append(out, double{[]*model.Link{l.Link}, []model.NetworkNode{n.Node}})
			}
		}
	}
	for i, n := range ring.Nodes {
		for _, other := range ring.Nodes[:i] {
			if kind == network.TwoNodes && n != without && other != without {
				out = append(out, double{nodes: []model.NetworkNode{n.Node, other.Node}})
			}
		}
	}
	return out
}

// alone are both faults one by one.
func (d double) alone() (double, double) {
	switch len(d.links) {
	case 2:
		return double{links: d.links[:1]}, double{links: d.links[1:]}
	case 1:
		return double{links: d.links}, double{nodes: d.nodes}
	}
	return double{nodes: d.nodes[:1]}, double{nodes: d.nodes[1:]}
}

func checkPairs(t *rapid.T, x *removal, reach *network.Reach, p *network.Pairs) {
	all := pairsOf(p.Kind, p.Ring, entry(x, reach, p.Ring))
	whole := x.reached(reach.Controller, nil)
	lost := func(d double) map[*model.Module]bool {
		left := x.reached(reach.Controller, d.links, d.nodes...)
		out := map[*model.Module]bool{}
		for _, m := range reach.Modules {
			if whole[m] && !left[m] {
				out[m] = true
			}
		}
		return out
	}
	losing, most := 0, 0
	for _, d := range all {
		a, b := d.alone()
		both, one, other := lost(d), lost(a), lost(b)
		for m := range both {
			if !one[m] && !other[m] {
				losing++
				break
			}
		}
		most = max(most, len(both))
	}
	where := fmt.Sprintf("%s of %s for %s", p.Kind, p.Ring.Ring.Name, reach.Controller.Name)
	if p.Count != len(all) || p.Losing.Value != losing || p.Losing.Status != network.NoLimit {
		t.Fatalf("%s: %d pairs, %+v losing; want %d, %d", where, p.Count, p.Losing, len(all), losing)
	}
	if p.Parting.Value < losing && len(reach.Modules) == len(x.m.Modules) || p.Parting.Value > p.Count {
		t.Fatalf("%s: %d part and %d lose", where, p.Parting.Value, losing)
	}
	if (p.Worst == nil) != (most == 0) {
		t.Fatalf("%s: worst %+v, want %d lost", where, p.Worst, most)
	}
	if p.Worst == nil {
		return
	}
	var worst double
	for _, l := range p.Worst.Links {
		worst.links = append(worst.links, l.Link)
	}
	for _, n := range p.Worst.Nodes {
		worst.nodes = append(worst.nodes, n.Node)
	}
	want := lost(worst)
	if len(worst.links)+len(worst.nodes) != 2 || len(want) != most || p.Worst.Lost.Len() != most {
		t.Fatalf("%s: worst pair %+v loses %d of %d", where, worst, len(want), most)
	}
	for m := range p.Worst.Lost.All() {
		if !want[m] {
			t.Fatalf("%s: %s is not lost", where, m.Name)
		}
	}
}

// TestPairsOfRings reads the double faults of the rings of a description. Of four links each of six pairs parts the ring. Of
// three modules in a row m1, m2, m3 two that are no neighbours cut the third off, and so does a module with a link that is not
// at it: m1 with the two links beyond m2, m2 with those at the ends, m3 as m1.
func TestPairsOfRings(t *testing.T) {
	r := load(t, "rings.yaml")
	require.Len(t, r.Reach, 1)
	pairs := r.Reach[0].Pairs
	require.Len(t, pairs, 6, "two closed rings")
	for _, ring := range []string{"good", "turned"} {
		for _, want := range []struct {
			kind                   network.PairKind
			count, parting, losing int
		}{{network.TwoLinks, 6, 6, 6}, {network.LinkAndNode, 12, 6, 6}, {network.TwoNodes, 3, 1, 1}} {
			i := slices.IndexFunc(pairs, func(p *network.Pairs) bool { return p.Ring.Ring.Name == ring && p.Kind == want.kind })
			require.GreaterOrEqual(t, i, 0)
			assert.Equal(t, want.count, pairs[i].Count, ring, want.kind)
			assert.Equal(t, want.parting, pairs[i].Parting.Value, ring, want.kind)
			assert.Equal(t, want.losing, pairs[i].Losing.Value, ring, want.kind)
			require.NotNil(t, pairs[i].Worst)
			assert.Equal(t, 3, pairs[i].Worst.Lost.Len())
			assert.Len(t, pairs[i].Worst.Origins(), 2)
		}
	}
}

// TestPairsWithoutModules: switches alone in a ring cost nobody a module.
func TestPairsWithoutModules(t *testing.T) {
	p := newPlant(model.CIPSafety, 3, 1)
	p.ring("s0", "s1", "s2")
	p.link("c", "s0", 10)
	p.link("s0", "m0", 10)
	for _, pairs := range p.compute(t, network.Options{}).Reach[0].Pairs {
		assert.Zero(t, pairs.Losing.Value)
		assert.Nil(t, pairs.Worst)
	}
}

// TestPairsBeyondWork: double faults of a loop that take too much are unknown, never absent.
func TestPairsBeyondWork(t *testing.T) {
	p := newPlant(model.CIPSafety, 0, 3)
	p.ring("c", "m0", "m1", "m2")
	p.link("m0", "m2", 10)
	pairs := p.compute(t, network.Options{Work: 1}).Reach[0].Pairs
	require.Len(t, pairs, 3)
	for _, x := range pairs {
		assert.Positive(t, x.Count)
		assert.Equal(t, network.Unknown, x.Losing.Status)
		assert.Contains(t, x.Losing.Why, "raise Options.Work")
		assert.Nil(t, x.Worst)
	}
	pairs = p.compute(t, network.Options{}).Reach[0].Pairs
	assert.Equal(t, 6, pairs[0].Count)
	assert.Equal(t, 2, pairs[0].Losing.Value, "the chord leaves the pairs at m1 and at c")
}
