package network

import (
	"fmt"
	"slices"

	"github.com/guardwright/guardwright/calc/network/internal/graph"
	"github.com/guardwright/guardwright/model"
)

// findRings looks for the declared rings among the links, and for loops that no ring protocol keeps open.
func (t *topology) findRings() {
	for _, spec := range t.Network.Rings {
		r := &Ring{Ring: spec}
		t.trace(r)
		t.supervise(r)
		t.Rings = append(t.Rings, r)
		for _, n := range r.Nodes {
			n.Rings = append(n.Rings, r)
		}
		for _, l := range r.Links {
			if l.Ring == nil {
				l.Ring = r
			}
		}
		r.Modules = countModules(r.Nodes)
		r.Members = unlimited(len(r.Nodes), "the ring does not state max_nodes, the most for which its recovery time holds")
		if spec.MaxNodes != 0 {
			r.Members = atMost(len(r.Nodes), spec.MaxNodes, "max_nodes of the ring, the most for which its recovery time holds")
		}
		r.Detection, r.Recovery = detection(spec), recovery(spec)
	}
	t.findLoops()
}

// trace finds the links of a ring in the stated order, or round it in another order, or as far as there are any.
func (t *topology) trace(r *Ring) {
	var nodes []int
	for _, n := range r.Ring.Nodes {
		nodes = append(nodes, t.index[n])
		r.Nodes = append(r.Nodes, t.Nodes[t.index[n]])
	}
	used := map[int]bool{}
	for i, v := range nodes {
		w := nodes[(i+1)%len(nodes)]
		link := graph.None
		for _, e := range t.graph.Around[v] {
			if t.graph.Edges[e].Other(v) == w && !used[e] {
				link = e
				break
			}
		}
		if link == graph.None {
			r.Gaps = append(r.Gaps, Gap{t.Nodes[v], t.Nodes[w]})
			continue
		}
		used[link] = true
		r.Links = append(r.Links, t.Links[link])
	}
	if len(r.Gaps) == 0 {
		r.Closed, r.InOrder = true, true
		return
	}
	if b := t.ringThrough(nodes); b != nil {
		r.Closed = true
		r.Nodes, r.Links = nil, nil
		for i := range b.Nodes {
			r.Nodes = append(r.Nodes, t.Nodes[b.Nodes[i]])
			r.Links = append(r.Links, t.Links[b.Edges[i]])
		}
	}
}

// ringThrough finds the block that is a ring of exactly these nodes.
func (t *topology) ringThrough(nodes []int) *graph.Block {
	want := slices.Sorted(slices.Values(nodes))
	for i := range t.graph.Blocks {
		b := &t.graph.Blocks[i]
		if b.Ring && len(b.Nodes) == len(nodes) && slices.Equal(slices.Sorted(slices.Values(b.Nodes)), want) {
			return b
		}
	}
	return nil
}

// supervise finds who would be supervisor. Without stated precedence it is the one that the description names.
func (t *topology) supervise(r *Ring) {
	s := r.Ring
	if s.Supervisor == (model.NetworkNode{}) && len(s.Backups) == 0 {
		return
	}
	candidates := s.Backups
	if s.Supervisor != (model.NetworkNode{}) {
		candidates = slices.Concat([]model.NetworkNode{s.Supervisor}, s.Backups)
	}
	rank := func(n model.NetworkNode) int { return s.Precedence[n.Origin().Name] }
	if len(s.Precedence) == 0 {
		r.Active = []*Node{t.Nodes[t.index[candidates[0]]]}
		for _, n := range candidates[1:] {
			r.Backups = append(r.Backups, t.Nodes[t.index[n]])
		}
		return
	}
	slices.SortStableFunc(candidates, func(a, b model.NetworkNode) int { return rank(b) - rank(a) })
	for _, n := range candidates {
		if rank(n) == rank(candidates[0]) {
			r.Active = append(r.Active, t.Nodes[t.index[n]])
		} else {
			r.Backups = append(r.Backups, t.Nodes[t.index[n]])
		}
	}
}

// hear notes which nodes of a ring take part in its protocol.
func (r *Ring) hear() {
	for _, n := range r.Nodes {
		spoken := n.Node.Ports().RingProtocols
		unmanaged := n.Node.Switch != nil && n.Node.Switch.Type.Managed != nil && !*n.Node.Switch.Type.Managed
		switch {
		case slices.Contains(spoken, r.Ring.Protocol):
		case len(spoken) > 0 || unmanaged:
			r.Deaf = append(r.Deaf, n)
		default:
			r.Unstated = append(r.Unstated, n)
		}
	}
}

// detection is the longest time until a break is noticed by the absence of frames: the beacon timeout of a device level
// ring, the test interval times one more than the permitted misses of the media redundancy protocol (IEC 62439-2, derived
// from its defaults: 20 ms and 3 give 80 ms).
func detection(r *model.Ring) Check[model.Duration] {
	const why = "the recovery time includes it"
	switch {
	case r.Protocol == model.DLR && r.BeaconTimeout != 0:
		return unlimited(r.BeaconTimeout, why)
	case r.Protocol == model.MRP && r.TestInterval != 0 && r.TestCount != 0:
		return unlimited(r.TestInterval*model.Duration(r.TestCount+1), why)
	case r.Protocol == model.CableRedundancy:
		return unlimited(model.Duration(0), "both halves are served all the time")
	}
	return unknown[model.Duration]("the ring does not state the times of its protocol's frames")
}

// recovery is the stated recovery time. On EtherCAT both halves of a broken ring are served all the time, so only frames
// in flight are lost, which the connection's ordinary time allows for.
func recovery(r *model.Ring) Check[model.Duration] {
	switch {
	case r.Recovery != 0:
		return unlimited(r.Recovery, "what it has to keep to depends on the connection")
	case r.Protocol == model.CableRedundancy:
		return unlimited(model.Duration(0), "both halves are served all the time")
	}
	return unknown[model.Duration]("the ring does not state its recovery time")
}

// findLoops finds the blocks with more than one link that are not exactly one closed ring with a protocol.
func (t *topology) findLoops() {
	t.ringOf = make([]int, len(t.graph.Blocks))
	inside := t.ringsByBlock()
	for i := range t.graph.Blocks {
		b := &t.graph.Blocks[i]
		t.ringOf[i] = graph.None
		if b.Bridge() {
			continue
		}
		var rings []*Ring
		for _, k := range inside[i] {
			r := t.Rings[k]
			rings = append(rings, r)
			if b.Ring && r.Closed && r.Ring.Protocol != "" && len(r.Links) == len(b.Edges) {
				t.ringOf[i] = k
			}
		}
		if t.ringOf[i] != graph.None && len(rings) == 1 {
			continue
		}
		t.ringOf[i] = graph.None
		loop := &Loop{Rings: rings}
		for _, v := range b.Nodes {
			loop.Nodes = append(loop.Nodes, t.Nodes[v])
		}
		for _, e := range b.Edges {
			loop.Links = append(loop.Links, t.Links[e])
		}
		t.Loops = append(t.Loops, loop)
		t.Limits = append(t.Limits, Limit{loop.Links[0].Link.Origin, fmt.Sprintf("%d links from %s on form a loop that is not exactly one closed ring with a ring protocol: which way frames take there can't be told, so flows across it have no load, no delay and no way",
			len(loop.Links), loop.Links[0].Link.Name)})
	}
}

// ringsByBlock lists for each block the rings that have links in it.
func (t *topology) ringsByBlock() [][]int {
	out := make([][]int, len(t.graph.Blocks))
	for k, r := range t.Rings {
		for _, l := range r.Links {
			b := t.graph.BlockOf[t.ends[l.Link.From]]
			if n := len(out[b]); n == 0 || out[b][n-1] != k {
				out[b] = append(out[b], k)
			}
		}
	}
	return out
}
