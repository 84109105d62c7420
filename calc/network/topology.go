package network

import (
	"github.com/guardwright/guardwright/calc/network/internal/graph"
	"github.com/guardwright/guardwright/model"
)

// topology is the network as a graph. Nodes and links have the indices that they have in the result.
type topology struct {
	*Result
	graph *graph.Structure
	index map[model.NetworkNode]int
	root  int // the network's controller; graph.None when there is none
	// ringOf is the index of the closed ring that is exactly a block; graph.None for other blocks.
	ringOf []int
	ends   map[model.LinkEnd]int // link at a port
}

// newTopology lists the nodes and links of a machine and takes the network apart.
func newTopology(r *Result) *topology {
	t := &topology{Result: r, index: map[model.NetworkNode]int{}, root: graph.None, ends: map[model.LinkEnd]int{}}
	m, n := r.Machine, r.Network
	add := func(node model.NetworkNode) {
		t.index[node] = len(r.Nodes)
		r.Nodes = append(r.Nodes, &Node{Node: node})
	}
	for _, c := range m.Controllers {
		add(model.NetworkNode{Controller: c})
	}
	for _, s := range m.Switches {
		add(model.NetworkNode{Switch: s})
	}
	for _, x := range m.Modules {
		add(model.NetworkNode{Module: x})
	}
	edges := make([]graph.Edge, len(n.Links))
	for i, l := range n.Links {
		from, to := t.index[l.From.Node], t.index[l.To.Node]
		link := &Link{Link: l, From: r.Nodes[from], To: r.Nodes[to]}
		link.From.Links = append(link.From.Links, link)
		link.To.Links = append(link.To.Links, link)
		edges[i] = graph.Edge{A: from, B: to}
		t.ends[l.From], t.ends[l.To] = i, i
		r.Links = append(r.Links, link)
	}
	if n.Controller != nil {
		t.root = t.index[model.NetworkNode{Controller: n.Controller}]
	}
	t.graph = graph.Analyse(len(r.Nodes), edges, max(0, t.root))
	return t
}

// nodeOf returns the index of a node.
func (t *topology) nodeOf(n *Node) int { return t.index[n.Node] }

// describe fills in what is known of nodes and links from the graph alone. Rings have been found.
func (t *topology) describe() {
	t.listFree()
	for i, n := range t.Nodes {
		n.Articulation = t.graph.Articulation[i]
		n.Reachable = t.root != graph.None && t.graph.Root[i] == t.root
		n.Hops = unknown[int]("the network's controller does not reach the node")
		n.Longest = n.Hops
	}
	for i, l := range t.Links {
		l.Bridge = t.graph.Blocks[t.graph.BlockOf[i]].Bridge()
		l.Length, l.Rate = checkLength(l.Link), t.checkRate(l.Link)
	}
	if t.root != graph.None {
		t.countHops()
	}
	t.Shape = t.shape()
	t.findLines()
}

// listFree notes the ports without a link or a station.
func (t *topology) listFree() {
	stations := map[model.NetworkNode][]string{}
	for _, f := range t.Network.Traffic {
		for _, end := range []model.LinkEnd{f.From, f.To} {
			stations[end.Node] = append(stations[end.Node], end.Port)
		}
	}
	used := map[string]bool{}
	for _, n := range t.Nodes {
		clear(used)
		for _, port := range stations[n.Node] {
			used[port] = true
		}
		for _, l := range n.Links {
			if l.From == n {
				used[l.Link.From.Port] = true
			}
			if l.To == n {
				used[l.Link.To.Port] = true
			}
		}
		ports := n.Node.Ports().NetworkPorts
		if left := len(ports) - len(used); left > 0 {
			n.Free = make([]string, 0, left)
		}
		for _, port := range ports {
			if !used[port] {
				n.Free = append(n.Free, port)
			}
		}
	}
}

// copperLimit is the longest channel of twisted pairs (IEEE 802.3; ISO/IEC 11801, from memory).
const copperLimit model.Length = 100

func checkLength(l *model.Link) Check[model.Length] {
	switch {
	case l.Length == 0:
		return unknown[model.Length]("the link states no length")
	case l.MaxLength != 0:
		return atMost(l.Length, l.MaxLength, "the longest length that the link's data permit")
	case l.Medium == model.Copper:
		return atMost(l.Length, copperLimit, "100 m of twisted pairs (IEEE 802.3, ISO/IEC 11801)")
	}
	return uncovered(l.Length, "how far "+string(l.Medium)+" reaches depends on its data: state max_length")
}

func (t *topology) checkRate(l *model.Link) Check[model.DataRate] {
	limit, stated := model.DataRate(0), false
	for _, end := range []model.LinkEnd{l.From, l.To} {
		if rate, ok := end.Node.Ports().NetworkRates[end.Port]; ok && (!stated || rate < limit) {
			limit, stated = rate, true
		}
	}
	if !stated {
		return unlimited(l.Rate, "neither port states its highest rate")
	}
	return atMost(l.Rate, limit, "the highest rate of the slower of the two ports")
}

// countHops counts the links from the controller: on the shortest way, and on the way that is left when each ring is open
// at its worst.
func (t *topology) countHops() {
	const why = "no standard limits the links in a row; the delay does"
	start := t.Nodes[t.root]
	start.Hops, start.Longest = unlimited(0, "it is the controller"), unlimited(0, "it is the controller")
	for open := []int{t.root}; len(open) > 0; open = open[1:] {
		at := t.Nodes[open[0]]
		for _, e := range t.graph.Around[open[0]] {
			w := t.graph.Edges[e].Other(open[0])
			if n := t.Nodes[w]; n.Hops.Status == Unknown {
				n.Hops, n.Before = unlimited(at.Hops.Value+1, why), at
				open = append(open, w)
			}
		}
	}
	for _, v := range t.graph.Order {
		above := t.graph.Above[v]
		if !t.Nodes[v].Reachable || v == t.root {
			continue
		}
		b := &t.graph.Blocks[above]
		top := t.Nodes[b.Nodes[0]].Longest
		switch {
		case top.Status == Unknown:
			t.Nodes[v].Longest = top
		case b.Bridge():
			t.Nodes[v].Longest = unlimited(top.Value+1, why)
		case t.ringOf[above] == graph.None:
			t.Nodes[v].Longest = unknown[int]("frames can circle on the way, so it can't be told which way they take")
		default:
			place := t.graph.Place[v]
			t.Nodes[v].Longest = unlimited(top.Value+max(place, len(b.Edges)-place), why)
		}
	}
}

// shape names the form of the whole network.
func (t *topology) shape() Shape {
	parts, most, nodes := 0, 0, len(t.Nodes)
	for v, n := range t.Nodes {
		if t.graph.Root[v] == v {
			parts++
		}
		most = max(most, len(n.Links))
	}
	switch {
	case len(t.Links) == 0:
		return NoShape
	case parts > 1:
		return PartsOf
	case len(t.Links) == nodes-1 && most <= 2:
		return LineOf
	case len(t.Links) == nodes-1 && most == nodes-1:
		return StarOf
	case len(t.Links) == nodes-1:
		return TreeOf
	case len(t.graph.Blocks) == 1 && t.ringOf[0] != graph.None:
		return RingOf
	}
	return MixedOf
}

// findLines finds the chains of nodes in no ring. A line hangs from the controller, from a node with three links or more,
// or from a node of a ring; without any of these it starts at its lowest end.
func (t *topology) findLines() {
	inLine := func(v int) bool {
		for _, e := range t.graph.Around[v] {
			if !t.graph.Blocks[t.graph.BlockOf[e]].Bridge() {
				return false
			}
		}
		return v != t.root && len(t.graph.Around[v]) > 0 && len(t.graph.Around[v]) <= 2
	}
	done := make([]bool, len(t.Nodes))
	follow := func(from *Node, v int) {
		line := &Line{From: from}
		for v != graph.None && !done[v] {
			done[v] = true
			line.Nodes = append(line.Nodes, t.Nodes[v])
			t.Nodes[v].Line = line
			next := graph.None
			for _, e := range t.graph.Around[v] {
				if w := t.graph.Edges[e].Other(v); inLine(w) && !done[w] {
					next = w
				}
			}
			v = next
		}
		line.Modules = countModules(line.Nodes)
		t.Lines = append(t.Lines, line)
	}
	for v := range t.Nodes {
		if inLine(v) {
			continue
		}
		for _, e := range t.graph.Around[v] {
			if w := t.graph.Edges[e].Other(v); inLine(w) && !done[w] {
				follow(t.Nodes[v], w)
			}
		}
	}
	for v := range t.Nodes {
		if inLine(v) && !done[v] && len(t.graph.Around[v]) == 1 {
			follow(nil, v)
		}
	}
}

// countModules counts the modules among nodes, against the least of what their data permit in one line or ring.
func countModules(nodes []*Node) Check[int] {
	count, limit := 0, 0
	var strictest *model.Module
	for _, n := range nodes {
		m := n.Node.Module
		if m == nil {
			continue
		}
		count++
		if most := m.Type.MaxInLine; most != 0 && (limit == 0 || most < limit) {
			limit, strictest = most, m
		}
	}
	if strictest == nil {
		return unlimited(count, "no module's data state max_in_line")
	}
	return atMost(count, limit, "max_in_line of module type "+strictest.Type.Name)
}
