package network

import (
	"github.com/guardwright/guardwright/calc/network/internal/graph"
	"github.com/guardwright/guardwright/model"
)

// part is a part of the network that hangs together. A plant of many lines is looked at line by line, each with its own
// graph, so that its single faults take time and memory for each line once and not for each pair of lines.
type part struct {
	nodes, links []int        // of the network
	edges        []graph.Edge // the links, between places in nodes
	rings        []*Ring      // those that are closed
	causes       []partCause
}

// partCause is a cause with those of its dead nodes that are in a part, as places in its nodes.
type partCause struct {
	*Cause
	dead []int
}

// parts are all parts of a network, with the part of each node, and the places of nodes and links in the lists of theirs.
type parts struct {
	of         []*part
	node, link []int
}

// parts takes the network apart.
func (t *topology) parts() *parts {
	out := &parts{make([]*part, len(t.Nodes)), make([]int, len(t.Nodes)), make([]int, len(t.Links))}
	for v, root := range t.graph.Root {
		if out.of[root] == nil {
			out.of[root] = &part{}
		}
		p := out.of[root]
		out.of[v], out.node[v] = p, len(p.nodes)
		p.nodes = append(p.nodes, v)
	}
	for i, e := range t.graph.Edges {
		p := out.of[e.A]
		out.link[i] = len(p.links)
		p.links = append(p.links, i)
		p.edges = append(p.edges, graph.Edge{A: out.node[e.A], B: out.node[e.B]})
	}
	for _, r := range t.Rings {
		if r.Closed {
			p := out.of[t.nodeOf(r.Nodes[0])]
			p.rings = append(p.rings, r)
		}
	}
	for _, c := range t.causes() {
		for _, n := range c.Dead {
			v := t.nodeOf(n)
			p := out.of[v]
			if k := len(p.causes); k == 0 || p.causes[k-1].Cause != c {
				p.causes = append(p.causes, partCause{Cause: c})
			}
			last := &p.causes[len(p.causes)-1]
			last.dead = append(last.dead, out.node[v])
		}
	}
	return out
}

// tasks is what a controller has to reach and do.
type tasks struct {
	modules   []*model.Module
	functions []int // of the machine
}

// share lists the tasks of each controller: the modules of its connections, and for the network's own controller also
// those without a connection; its functions, and those that are no controller's.
func (t *topology) share() map[*model.Controller]*tasks {
	out := map[*model.Controller]*tasks{}
	for _, c := range t.Machine.Controllers {
		out[c] = &tasks{}
	}
	owners := map[*model.Module][]*model.Controller{}
	for _, x := range t.Network.Connections {
		owners[x.Module] = append(owners[x.Module], x.Controller)
	}
	give := func(c *model.Controller, m *model.Module) {
		if own := out[c]; own != nil && (len(own.modules) == 0 || own.modules[len(own.modules)-1] != m) {
			own.modules = append(own.modules, m)
		}
	}
	for _, m := range t.Machine.Modules {
		for _, c := range owners[m] {
			give(c, m)
		}
		if len(owners[m]) == 0 {
			give(t.Network.Controller, m)
		}
	}
	for i, fn := range t.Machine.Functions {
		if fn.Controller != nil {
			out[fn.Controller].functions = append(out[fn.Controller].functions, i)
			continue
		}
		for _, c := range t.Machine.Controllers {
			out[c].functions = append(out[c].functions, i)
		}
	}
	return out
}
