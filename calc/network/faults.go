package network

import (
	"context"
	"slices"

	"github.com/guardwright/guardwright/calc/network/internal/graph"
	"github.com/guardwright/guardwright/model"
)

// reach computes what single faults cost each controller that has modules to reach.
func (t *topology) reach(ctx context.Context) error {
	causes := t.causes()
	for _, c := range t.owners() {
		r := &Reach{Controller: c}
		t.Reach = append(t.Reach, r)
		f := &faults{t: t, reach: r, root: t.index[model.NetworkNode{Controller: c}], graph: t.graph}
		if f.root != max(0, t.root) {
			f.graph = graph.Analyse(len(t.Nodes), t.graph.Edges, f.root)
		}
		f.listModules()
		f.listFunctions()
		if err := f.all(ctx, causes); err != nil {
			return err
		}
	}
	return nil
}

// owners are the network's controller and those of connections, in the order of the machine.
func (t *topology) owners() []*model.Controller {
	own := map[*model.Controller]bool{t.Network.Controller: true}
	for _, c := range t.Network.Connections {
		own[c.Controller] = true
	}
	var out []*model.Controller
	for _, c := range t.Machine.Controllers {
		if own[c] {
			out = append(out, c)
		}
	}
	return out
}

// faults finds the single faults of one controller.
type faults struct {
	t     *topology
	reach *Reach
	root  int
	graph *graph.Structure
	// modules are those that the controller has to reach and does, in the order of the graph, so that what a fault cuts off
	// is a run of them; upTo[i] counts those among the first i nodes of that order.
	modules   []*model.Module
	upTo      []int
	functions occurrences
}

// listModules finds the modules that the controller has to reach.
func (f *faults) listModules() {
	wanted := map[*model.Module]bool{}
	owned := map[*model.Module]bool{}
	for _, c := range f.t.Network.Connections {
		owned[c.Module] = true
		if c.Controller == f.reach.Controller {
			wanted[c.Module] = true
		}
	}
	for _, m := range f.t.Machine.Modules {
		if f.reach.Controller == f.t.Network.Controller && !owned[m] {
			wanted[m] = true
		}
		if wanted[m] {
			f.reach.Modules = append(f.reach.Modules, m)
			if f.graph.Root[f.t.index[model.NetworkNode{Module: m}]] != f.root {
				f.reach.Unreached = append(f.reach.Unreached, m)
			}
		}
	}
	f.upTo = make([]int, len(f.graph.Order)+1)
	for i, v := range f.graph.Order {
		if m := f.t.Nodes[v].Node.Module; m != nil && wanted[m] && f.graph.Root[v] == f.root {
			f.modules = append(f.modules, m)
		}
		f.upTo[i+1] = len(f.modules)
	}
}

// listFunctions notes at which modules the controller's functions have devices.
func (f *faults) listFunctions() {
	place := map[*model.Module]int{}
	for i, m := range f.modules {
		place[m] = i
	}
	at := make([][]int, len(f.modules))
	for i, fn := range f.t.Machine.Functions {
		if fn.Controller != nil && fn.Controller != f.reach.Controller {
			continue
		}
		for _, m := range modulesOf(fn) {
			if p, ok := place[m]; ok {
				at[p] = append(at[p], i)
			}
		}
	}
	f.functions = newOccurrences(at)
}

// modulesOf lists the modules at which the devices of a function are, each once.
func modulesOf(fn *model.Function) []*model.Module {
	devices := slices.Concat(fn.Demand, fn.Outputs)
	if fn.Reset != nil {
		devices = append(devices, fn.Reset)
	}
	for _, d := range fn.Stops {
		devices = append(devices, d.SwitchedBy...)
	}
	var out []*model.Module
	seen := map[*model.Module]bool{}
	for _, d := range devices {
		if d.Port != nil && !seen[d.Port.Module] {
			seen[d.Port.Module] = true
			out = append(out, d.Port.Module)
		}
	}
	return out
}

// near tells whether a node hangs together with the controller. What is apart from it costs it nothing, so that a plant
// of many lines takes time and memory for each line once, not for each pair.
func (f *faults) near(node int) bool { return f.graph.Root[node] == f.root }

// all makes the faults.
func (f *faults) all(ctx context.Context, causes []*Cause) error {
	for i, l := range f.t.Links {
		if !f.near(f.graph.Edges[i].A) {
			continue
		}
		x := &Fault{Kind: LinkFault, Link: l}
		f.lose(x, f.graph.WithoutEdge(i))
		f.open(x, l.Ring)
		f.reach.Faults = append(f.reach.Faults, x)
	}
	if err := ctx.Err(); err != nil {
		return err
	}
	for i, n := range f.t.Nodes {
		if !f.near(i) {
			continue
		}
		x := &Fault{Kind: NodeFault, Node: n}
		f.lose(x, f.graph.Behind[i])
		f.open(x, n.Rings...)
		f.reach.Faults = append(f.reach.Faults, x)
	}
	for i, c := range causes {
		if i%64 == 0 && ctx.Err() != nil {
			return ctx.Err()
		}
		if !slices.ContainsFunc(c.Dead, func(n *Node) bool { return f.near(f.t.nodeOf(n)) }) {
			continue
		}
		x := &Fault{Kind: SharedFault, Cause: c}
		dead := make([]int, len(c.Dead))
		for k, n := range c.Dead {
			dead[k] = f.t.nodeOf(n)
			for _, r := range n.Rings {
				if !slices.Contains(x.Rings, r) {
					f.open(x, r)
				}
			}
		}
		f.lose(x, f.graph.WithoutNodes(dead)...)
		f.reach.Faults = append(f.reach.Faults, x)
	}
	return nil
}

// lose notes the modules and functions in runs of the graph's order.
func (f *faults) lose(x *Fault, spans ...graph.Span) {
	var seen []int
	for _, s := range spans {
		from, to := f.upTo[s.From], f.upTo[s.To]
		if from == to {
			continue
		}
		x.Lost.parts = append(x.Lost.parts, f.modules[from:to:to])
		seen = f.functions.in(from, to, seen)
	}
	slices.Sort(seen)
	for _, i := range slices.Compact(seen) {
		x.Functions = append(x.Functions, f.t.Machine.Functions[i])
	}
}

// open notes the rings that a fault opens, and what their recovery stops.
func (f *faults) open(x *Fault, rings ...*Ring) {
	for _, r := range rings {
		if r == nil || !r.Closed {
			continue
		}
		if x.Rings = append(x.Rings, r); len(x.Rings) == 1 {
			x.Ring, x.Trips = r, r.Trips
			continue
		}
		x.Trips = slices.Clone(x.Trips)
		for _, c := range r.Trips {
			if !slices.Contains(x.Trips, c) {
				x.Trips = append(x.Trips, c)
			}
		}
	}
}
