package network

import (
	"context"
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"github.com/guardwright/guardwright/calc/network/internal/graph"
	"github.com/guardwright/guardwright/model"
)

// thousand is a network of 1000 modules: 25 switches in a tree, each with a ring of 20 modules and 20 more behind those.
func thousand(tb testing.TB) *model.Machine {
	ports := []string{"p0", "p1", "p2", "p3", "p4", "p5"}
	side := model.NetworkPortsType{NetworkPorts: ports}
	d := model.Description{
		Format: 1, Machine: "Large",
		Ambient: model.TemperatureRange{Min: new(model.Celsius(5)), Max: new(model.Celsius(40))},
		Types: model.Types{
			Controllers: map[string]model.ControllerType{"c": {NetworkPortsType: side}},
			Switches:    map[string]model.SwitchType{"s": {NetworkPortsType: side}},
			Modules:     map[string]model.ModuleType{"m": {NetworkPortsType: side, PowerOut: "k"}},
			Connectors:  map[string]model.ConnectorType{"k": {Contacts: 5, Rating: model.Amps(16)}},
			Supplies:    map[string]model.SupplyType{"v": {Min: model.Volts(23), Max: model.Volts(25), Rated: model.Amps(40)}},
		},
		Controllers: map[string]model.ControllerSpec{"c": {Type: "c"}},
		Switches:    map[string]model.SwitchSpec{},
		Modules:     map[string]model.ModuleSpec{},
		Power:       model.PowerSpec{Supplies: map[string]model.SupplySpec{"v": {Type: "v"}}, Feeds: map[string]model.FeedSpec{}},
		Network:     &model.NetworkSpec{Protocol: model.CIPSafety, Rings: map[string]model.RingSpec{}},
	}
	used := map[string]int{}
	link := func(from, to string) {
		end := func(n string) string {
			used[n]++
			return fmt.Sprintf("%s.p%d", n, used[n]-1)
		}
		d.Network.Links = append(d.Network.Links, model.LinkSpec{From: end(from), To: end(to), Length: 10})
	}
	module := func(i int) string { return fmt.Sprintf("m%d", i) }
	for i := range 1000 {
		d.Modules[module(i)] = model.ModuleSpec{Type: "m"}
		feed := model.FeedSpec{To: module(i), Sensor: &model.FeedCircuitSpec{From: "v"}}
		if i%10 != 0 {
			feed = model.FeedSpec{From: module(i - 1), To: module(i)} // chains of ten
		}
		d.Power.Feeds["f_"+module(i)] = feed
	}
	for g := range 25 {
		s, above := fmt.Sprintf("s%d", g), "c"
		if g > 0 {
			above = fmt.Sprintf("s%d", (g-1)/2)
		}
		d.Switches[s] = model.SwitchSpec{Type: "s"}
		link(above, s)
		nodes := []string{s}
		for i := range 20 {
			nodes = append(nodes, module(g*40+i))
		}
		for i, n := range nodes {
			link(n, nodes[(i+1)%len(nodes)])
		}
		d.Network.Rings[fmt.Sprintf("r%d", g)] = model.RingSpec{Nodes: nodes, Protocol: model.RSTP}
		for i := range 20 {
			link(module(g*40+i), module(g*40+20+i))
		}
	}
	m, err := model.Build(d)
	require.NoError(tb, err)
	return m
}

// BenchmarkSingleFaults compares all single faults of 1000 modules, each link, node and shared cause, with removing each in
// turn and searching anew. Both start from the same lists of neighbours and leave what is cut off.
func BenchmarkSingleFaults(b *testing.B) {
	m := thousand(b)
	var ours, search time.Duration
	for b.Loop() {
		t := newTopology(&Result{Machine: m, Network: m.Network})
		t.findRings()
		start := time.Now()
		t.graph = graph.Analyse(len(t.Nodes), t.graph.Edges, t.root)
		require.NoError(b, t.reach(context.Background(), defaultWork))
		ours += time.Since(start)
		start = time.Now()
		lost := removeAll(t)
		search += time.Since(start)
		require.Len(b, t.Reach[0].Faults, len(lost))
		for i, f := range t.Reach[0].Faults {
			if f.Lost.Len() != len(lost[i]) {
				b.Fatalf("%s: %d lost, and the search says %d", f.Origin().Path, f.Lost.Len(), len(lost[i]))
			}
		}
	}
	b.ReportMetric(float64(search)/float64(ours), "search/ours")
	b.ReportMetric(float64(ours.Milliseconds())/float64(b.N), "ms-ours")
}

// removeAll lists for each fault the modules that a search without its link or nodes does not reach.
func removeAll(t *topology) [][]*model.Module {
	var out [][]*model.Module
	gone, seen := make([]bool, len(t.Nodes)), make([]bool, len(t.Nodes))
	search := func(link int, nodes ...int) {
		clear(gone)
		clear(seen)
		for _, v := range nodes {
			gone[v] = true
		}
		var open []int
		if !gone[t.root] {
			open, seen[t.root] = []int{t.root}, true
		}
		for len(open) > 0 {
			v := open[len(open)-1]
			open = open[:len(open)-1]
			for _, e := range t.graph.Around[v] {
				if w := t.graph.Edges[e].Other(v); e != link && !gone[w] && !seen[w] {
					seen[w] = true
					open = append(open, w)
				}
			}
		}
		var lost []*model.Module
		for v, n := range t.Nodes {
			if !seen[v] && n.Node.Module != nil {
				lost = append(lost, n.Node.Module)
			}
		}
		out = append(out, lost)
	}
	for e := range t.Links {
		search(e)
	}
	for v := range t.Nodes {
		search(graph.None, v)
	}
	for _, c := range t.causes() {
		var dead []int
		for _, n := range c.Dead {
			dead = append(dead, t.nodeOf(n))
		}
		search(graph.None, dead...)
	}
	return out
}
