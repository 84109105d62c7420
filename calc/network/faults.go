package network

import (
	"context"
	"slices"

	"github.com/guardwright/guardwright/calc/network/internal/graph"
	"github.com/guardwright/guardwright/model"
)

// reach computes what faults cost each controller that has modules to reach. Double faults that take more steps than work are
// left out.
func (t *topology) reach(ctx context.Context, work int) error {
	parts, tasks := t.parts(), t.share()
	for _, c := range t.owners() {
		r := &Reach{Controller: c, Modules: tasks[c].modules}
		t.Reach = append(t.Reach, r)
		root := t.index[model.NetworkNode{Controller: c}]
		f := &faults{t: t, parts: parts, reach: r, part: parts.of[root]}
		f.graph = graph.Analyse(len(f.part.nodes), f.part.edges, parts.node[root])
		f.listModules()
		f.listFunctions(tasks[c].functions)
		if err := f.all(ctx); err != nil {
			return err
		}
		for _, ring := range f.part.rings {
			if err := f.pairs(ctx, ring, work); err != nil {
				return err
			}
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

// faults finds what faults cost one controller.
type faults struct {
	t     *topology
	parts *parts
	reach *Reach
	part  *part
	graph *graph.Structure // of the part
	// modules are those that the controller has to reach and does, in the order of the graph, so that what a fault cuts off
	// is a run of them; upTo[i] counts those among the first i nodes of that order.
	modules   []*model.Module
	upTo      []int
	functions occurrences
}

// listModules lists the modules that the controller has to reach and does.
func (f *faults) listModules() {
	wanted := map[*model.Module]bool{}
	for _, m := range f.reach.Modules {
		if f.parts.of[f.t.index[model.NetworkNode{Module: m}]] == f.part {
			wanted[m] = true
		} else {
			f.reach.Unreached = append(f.reach.Unreached, m)
		}
	}
	f.upTo = make([]int, len(f.graph.Order)+1)
	for i, v := range f.graph.Order {
		if m := f.node(v).Node.Module; m != nil && wanted[m] {
			f.modules = append(f.modules, m)
		}
		f.upTo[i+1] = len(f.modules)
	}
}

// node is the node at a place of the part.
func (f *faults) node(v int) *Node { return f.t.Nodes[f.part.nodes[v]] }

// listFunctions notes at which modules functions have devices.
func (f *faults) listFunctions(functions []int) {
	place := map[*model.Module]int{}
	for i, m := range f.modules {
		place[m] = i
	}
	at := make([][]int, len(f.modules))
	for _, i := range functions {
		for _, m := range modulesOf(f.t.Machine.Functions[i]) {
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

// all makes the single faults.
func (f *faults) all(ctx context.Context) error {
	for i, l := range f.part.links {
		x := &Fault{Kind: LinkFault, Link: f.t.Links[l]}
		x.Lost, x.Functions = f.cost(f.graph.WithoutEdge(i))
		f.open(x, x.Link.Ring)
		f.reach.Faults = append(f.reach.Faults, x)
	}
	if err := ctx.Err(); err != nil {
		return err
	}
	for v := range f.part.nodes {
		x := &Fault{Kind: NodeFault, Node: f.node(v)}
		x.Lost, x.Functions = f.cost(f.graph.Behind[v])
		f.open(x, x.Node.Rings...)
		f.reach.Faults = append(f.reach.Faults, x)
	}
	for i, c := range f.part.causes {
		if i%64 == 0 && ctx.Err() != nil {
			return ctx.Err()
		}
		x := &Fault{Kind: SharedFault, Cause: c.Cause}
		for _, v := range c.dead {
			for _, r := range f.node(v).Rings {
				if !slices.Contains(x.Rings, r) {
					f.open(x, r)
				}
			}
		}
		x.Lost, x.Functions = f.cost(f.graph.WithoutNodes(c.dead)...)
		f.reach.Faults = append(f.reach.Faults, x)
	}
	return nil
}

// cost lists the modules and functions in runs of the graph's order.
func (f *faults) cost(spans ...graph.Span) (lost ModuleSet, functions []*model.Function) {
	var seen []int
	for _, s := range spans {
		from, to := f.upTo[s.From], f.upTo[s.To]
		if from == to {
			continue
		}
		lost.parts = append(lost.parts, f.modules[from:to:to])
		seen = f.functions.in(from, to, seen)
	}
	slices.Sort(seen)
	for _, i := range slices.Compact(seen) {
		functions = append(functions, f.t.Machine.Functions[i])
	}
	return lost, functions
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
