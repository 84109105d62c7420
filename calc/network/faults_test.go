package network_test

import (
	"fmt"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"gonum.org/v1/gonum/graph/simple"
	"gonum.org/v1/gonum/graph/traverse"
	"pgregory.net/rapid"

	"github.com/guardwright/guardwright/calc/network"
	"github.com/guardwright/guardwright/model"
)

// removal answers what a controller reaches without some links and nodes, by searching the network anew with a
// general-purpose graph library.
type removal struct {
	m   *model.Machine
	ids map[model.NetworkNode]int64
}

func newRemoval(m *model.Machine) *removal {
	x := &removal{m: m, ids: map[model.NetworkNode]int64{}}
	for _, l := range m.Network.Links {
		for _, n := range []model.NetworkNode{l.From.Node, l.To.Node} {
			if _, ok := x.ids[n]; !ok {
				x.ids[n] = int64(len(x.ids))
			}
		}
	}
	return x
}

// reached lists the modules that are left without some links and nodes.
func (x *removal) reached(from *model.Controller, cut []*model.Link, dead ...model.NetworkNode) map[*model.Module]bool {
	out := map[*model.Module]bool{}
	for n := range x.nodesReached(from, cut, dead...) {
		if n.Module != nil {
			out[n.Module] = true
		}
	}
	return out
}

// nodesReached lists the nodes that are left.
func (x *removal) nodesReached(from *model.Controller, cut []*model.Link, dead ...model.NetworkNode) map[model.NetworkNode]bool {
	g := simple.NewUndirectedGraph()
	for _, id := range x.ids {
		g.AddNode(simple.Node(id))
	}
	for _, l := range x.m.Network.Links {
		if !slices.Contains(cut, l) && !slices.Contains(dead, l.From.Node) && !slices.Contains(dead, l.To.Node) {
			g.SetEdge(simple.Edge{F: simple.Node(x.ids[l.From.Node]), T: simple.Node(x.ids[l.To.Node])})
		}
	}
	root := model.NetworkNode{Controller: from}
	out := map[model.NetworkNode]bool{}
	id, ok := x.ids[root]
	if !ok || slices.Contains(dead, root) {
		return out
	}
	walk := traverse.BreadthFirst{}
	walk.Walk(g, simple.Node(id), nil)
	for n, id := range x.ids {
		if walk.Visited(simple.Node(id)) {
			out[n] = true
		}
	}
	return out
}

// randomPlant is a plant with any links between its nodes, two controllers, a chain of feeds and functions.
func randomPlant(t *rapid.T) *plant {
	switches, modules := rapid.IntRange(0, 3).Draw(t, "switches"), rapid.IntRange(1, 8).Draw(t, "modules")
	p := newPlant(model.CIPSafety, switches, modules)
	p.Controllers["d"] = model.ControllerSpec{Type: "c", SafetyCycle: model.Milliseconds(10)}
	p.Types.Devices = map[string]model.DeviceType{"g": {Kind: "guard-switch"}}
	p.Devices = map[string]model.DeviceSpec{}
	p.Functions = map[string]model.FunctionSpec{}
	io := p.Types.Modules["m"]
	io.Ports = map[string]model.PortType{"1": {}}
	io.PowerOut = "k"
	p.Types.Connectors = map[string]model.ConnectorType{"k": {Contacts: 5, Rating: model.Amps(16)}}
	p.Types.Modules["m"] = io
	nodes := []string{"c", "d"}
	for i := range switches {
		nodes = append(nodes, fmt.Sprintf("s%d", i))
	}
	for i := range modules {
		m, g := fmt.Sprintf("m%d", i), fmt.Sprintf("g%d", i)
		nodes = append(nodes, m)
		p.Devices[g] = model.DeviceSpec{Type: "g"}
		p.Modules[m] = model.ModuleSpec{Type: "m", Ports: map[string]model.PortSpec{"1": {Device: g}}}
		p.Functions["f_"+g] = model.FunctionSpec{Demand: []string{g, fmt.Sprintf("g%d", rapid.IntRange(0, i).Draw(t, "with"))}, Controller: "c"}
		if f := p.Functions["f_"+g]; f.Demand[0] == f.Demand[1] {
			p.Functions["f_"+g] = model.FunctionSpec{Demand: f.Demand[:1], Controller: "c"}
		}
		if k := rapid.IntRange(-1, i-1).Draw(t, "fed by"); k >= 0 {
			p.Power.Feeds["f_"+m] = model.FeedSpec{From: fmt.Sprintf("m%d", k), To: m}
		}
		if rapid.Bool().Draw(t, "connected") {
			p.Network.Connections["con_"+m] = model.ConnectionSpec{
				Module: m, Controller: rapid.SampledFrom([]string{"c", "d"}).Draw(t, "owner"), Interval: model.Milliseconds(10), Input: 4,
			}
		}
	}
	for range rapid.IntRange(0, len(nodes)+3).Draw(t, "links") {
		from, to := rapid.SampledFrom(nodes).Draw(t, "from"), rapid.SampledFrom(nodes).Draw(t, "to")
		if from != to {
			p.link(from, to, 10)
		}
	}
	return p
}

// TestFaultsAgainstRemoval removes each link, each node and each shared cause of random plants and searches what is left.
func TestFaultsAgainstRemoval(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := randomPlant(t)
		r := p.compute(t, network.Options{})
		x := newRemoval(r.Machine)
		for _, reach := range r.Reach {
			whole := x.reached(reach.Controller, nil)
			for _, m := range reach.Modules {
				if whole[m] == slices.Contains(reach.Unreached, m) {
					t.Fatalf("%s without a fault: reached %v", m.Name, whole[m])
				}
			}
			checkUnlisted(t, x, r, reach, whole)
			for _, f := range reach.Faults {
				var left map[*model.Module]bool
				switch f.Kind {
				case network.LinkFault:
					left = x.reached(reach.Controller, []*model.Link{f.Link.Link})
				case network.NodeFault:
					left = x.reached(reach.Controller, nil, f.Node.Node)
				default:
					left = x.reached(reach.Controller, nil, deadOf(f)...)
				}
				checkFault(t, x, reach, f, whole, left)
			}
		}
	})
}

// checkUnlisted: a link or node that is not among the faults of a controller costs it nothing.
func checkUnlisted(t *rapid.T, x *removal, r *network.Result, reach *network.Reach, whole map[*model.Module]bool) {
	listed := map[any]bool{}
	for _, f := range reach.Faults {
		listed[f.Link], listed[f.Node] = true, true
	}
	same := func(what string, left map[*model.Module]bool) {
		for _, m := range reach.Modules {
			if whole[m] != left[m] {
				t.Fatalf("%s costs %s the module %s and is no fault of it", what, reach.Controller.Name, m.Name)
			}
		}
	}
	for _, l := range r.Links {
		if !listed[l] {
			same(l.Link.Path, x.reached(reach.Controller, []*model.Link{l.Link}))
		}
	}
	for _, n := range r.Nodes {
		if !listed[n] {
			same(n.Node.Origin().Path, x.reached(reach.Controller, nil, n.Node))
		}
	}
}

func deadOf(f *network.Fault) []model.NetworkNode {
	var dead []model.NetworkNode
	for _, n := range f.Cause.Dead {
		dead = append(dead, n.Node)
	}
	return dead
}

func checkFault(t *rapid.T, x *removal, reach *network.Reach, f *network.Fault, whole, left map[*model.Module]bool) {
	want := map[*model.Module]bool{}
	functions := map[string]bool{}
	for _, m := range reach.Modules {
		if whole[m] && !left[m] {
			want[m] = true
		}
		if f.Lost.Contains(m) != want[m] {
			t.Fatalf("%s: %s lost %v, want %v", f.Origin().Path, m.Name, f.Lost.Contains(m), want[m])
		}
	}
	if f.Lost.Len() != len(want) {
		t.Fatalf("%s: %d lost, want %d", f.Origin().Path, f.Lost.Len(), len(want))
	}
	for m := range f.Lost.All() {
		for _, fn := range x.m.Functions {
			if reach.Controller == fn.Controller && slices.Contains(fn.Demand, m.Ports[0].Device) {
				functions[fn.Name] = true
			}
		}
	}
	if len(functions) != len(f.Functions) {
		t.Fatalf("%s: functions %d, want %v", f.Origin().Path, len(f.Functions), functions)
	}
	for _, fn := range f.Functions {
		if !functions[fn.Name] {
			t.Fatalf("%s: function %s is not lost", f.Origin().Path, fn.Name)
		}
	}
}

// TestSharedCauses: of a ring of three modules two hang on one feed behind each other; their common loss parts the ring
// although no cable does.
func TestSharedCauses(t *testing.T) {
	p := newPlant(model.CIPSafety, 0, 4)
	p.ring("c", "m0", "m1", "m2")
	p.link("m1", "m3", 10) // a tail behind the middle
	io := p.Types.Modules["m"]
	io.PowerOut = "k"
	p.Types.Modules["m"] = io
	p.Types.Connectors = map[string]model.ConnectorType{"k": {Contacts: 5, Rating: model.Amps(16)}}
	p.Power.Feeds["f_m2"] = model.FeedSpec{From: "m0", To: "m2"}
	r := p.compute(t, network.Options{})
	lost := map[string][]string{}
	for _, f := range r.Reach[0].Faults {
		if f.Kind == network.SharedFault {
			var names []string
			for m := range f.Lost.All() {
				names = append(names, m.Name)
			}
			slices.Sort(names)
			lost[f.Cause.Name] = names
			assert.Equal(t, f.Cause.Name != "f_m3", len(f.Rings) == 1, "all but m3 are in the ring")
		}
	}
	assert.Equal(t, map[string][]string{
		"v":    {"m0", "m1", "m2", "m3"},
		"f_m0": {"m0", "m1", "m2", "m3"}, // m0 and m2 dead, m1 between them and its tail cut off
		"f_m1": {"m1", "m3"},
		"f_m2": {"m2"},
		"f_m3": {"m3"},
	}, lost)
}
