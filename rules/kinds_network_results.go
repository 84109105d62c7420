package rules

import (
	"fmt"
	"slices"
	"strings"

	"github.com/google/cel-go/common/types/ref"

	"github.com/guardwright/guardwright/calc/network"
	"github.com/guardwright/guardwright/model"
)

// networkIndex finds the results for the objects of the network.
type networkIndex struct {
	nodes       map[model.NetworkNode]*network.Node
	links       map[*model.Link]*network.Link
	rings       map[*model.Ring]*network.Ring
	connections map[*model.Connection]*network.Connection
	controllers map[*model.Controller]*network.Controller
	// problems are those of addresses, by the path of what is concerned.
	problems map[string][]*network.AddressProblem
	// owned are the safety connections of a module.
	owned map[*model.Module][]*model.Connection
	// pairs are the double faults of a ring, for each controller.
	pairs map[*network.Ring][]any
}

func indexNetwork(m *model.Machine, r *network.Result) networkIndex {
	x := networkIndex{map[model.NetworkNode]*network.Node{}, map[*model.Link]*network.Link{}, map[*model.Ring]*network.Ring{},
		map[*model.Connection]*network.Connection{}, map[*model.Controller]*network.Controller{},
		map[string][]*network.AddressProblem{}, map[*model.Module][]*model.Connection{}, map[*network.Ring][]any{}}
	if m.Network != nil {
		for _, c := range m.Network.Connections {
			x.owned[c.Module] = append(x.owned[c.Module], c)
		}
	}
	if r == nil {
		return x
	}
	for _, n := range r.Nodes {
		x.nodes[n.Node] = n
	}
	for _, l := range r.Links {
		x.links[l.Link] = l
	}
	for _, g := range r.Rings {
		x.rings[g.Ring] = g
	}
	for _, c := range r.Connections {
		x.connections[c.Connection] = c
	}
	for _, c := range r.Controllers {
		x.controllers[c.Controller] = c
	}
	for _, p := range doubleFaults(r) {
		x.pairs[p.Ring] = append(x.pairs[p.Ring], p)
	}
	for _, p := range pointers(r.Addresses.Problems) {
		x.problems[p.At.Path] = append(x.problems[p.At.Path], p)
	}
	return x
}

func linkOf(l *network.Link) *model.Link                   { return l.Link }
func connectionOf(c *network.Connection) *model.Connection { return c.Connection }

// networkResults are the fields that the results add to the kinds of the description.
func networkResults() map[string][]field {
	node := func(of func(any) model.NetworkNode) func(*world, any) *network.Node {
		return func(w *world, o any) *network.Node { return w.network.nodes[of(o)] }
	}
	itself := func(n *network.Node) (any, string) { return n, "" }
	inNetwork := func(of func(any) model.NetworkNode) []field {
		x := resultOf[any, network.Node]{networkCalculation, node(of)}
		return []field{x.one("in_network", "network_node", "Its place in the network; absent when the machine describes no network.", itself)}
	}
	return map[string][]field{
		"network":    wholeNetwork(),
		"link":       linkResults(),
		"ring":       ringResults(),
		"connection": connectionResults(),
		"node":       inNetwork(func(o any) model.NetworkNode { return *o.(*model.NetworkNode) }),
		"module": append(inNetwork(func(o any) model.NetworkNode { return model.NetworkNode{Module: o.(*model.Module)} }),
			field{name: "connections", about: "Safety connections of the module.", typ: fieldType{kind: "connection", list: true},
				get: func(w *world, s any) ref.Val { return objectList(w, "connection", w.network.owned[s.(*model.Module)]) }}),
		"switch": inNetwork(func(o any) model.NetworkNode { return model.NetworkNode{Switch: o.(*model.Switch)} }),
		"controller": append(inNetwork(func(o any) model.NetworkNode { return model.NetworkNode{Controller: o.(*model.Controller)} }),
			resultOf[*model.Controller, network.Controller]{networkCalculation, func(w *world, c *model.Controller) *network.Controller { return w.network.controllers[c] }}.
				check("connection_count", "count", "Number of its safety connections against the highest in its data.", func(r *network.Controller) any { return &r.Connections })),
	}
}

func wholeNetwork() []field {
	x := resultOf[*model.Network, network.Result]{networkCalculation, func(w *world, _ *model.Network) *network.Result { return w.results.Network }}
	return []field{
		x.text("shape", "Form of the network: line, star, ring, tree, mixed or parts; absent without links.", func(r *network.Result) string { return string(r.Shape) }),
		x.many("nodes", "network_node", "Controllers, switches and modules in the network.", func(r *network.Result) []any { return anys(r.Nodes, same) }),
		x.many("lines", "network_line", "Chains of nodes that are in no ring.", func(r *network.Result) []any { return anys(r.Lines, same) }),
		x.many("loops", "network_loop", "Parts in which frames could circle, because no ring protocol keeps them open.", func(r *network.Result) []any { return anys(r.Loops, same) }),
		x.many("reach", "controller_reach", "What single faults cost each controller.", func(r *network.Result) []any { return anys(r.Reach, same) }),
		x.many("flows", "network_flow", "Streams of frames.", func(r *network.Result) []any { return anys(r.Flows, same) }),
		x.many("ports", "network_port", "Output ports that carry a stream of frames.", func(r *network.Result) []any { return anys(r.Ports, same) }),
		x.check("hosts", "count", "Number of IPv4 addresses used or needed against what the subnet holds.", func(r *network.Result) any { return &r.Addresses.Hosts }),
		x.many("address_problems", "address_problem", "What is wrong with the addresses of the network and its nodes and connections.", func(r *network.Result) []any { return anys(pointers(r.Addresses.Problems), same) }),
		x.check("cycle_used", "duration", "Time that the frames of one cycle take against the cycle (EtherCAT) or the send clock (PROFINET).", func(r *network.Result) any { return &r.Cycle.Used }),
		x.check("cycle_devices", "count", "Devices in the EtherCAT segment against the most that the protocol permits.", func(r *network.Result) any { return &r.Cycle.Devices }),
		x.many("limits", "network_limit", "Places that the calculation of the network does not cover, or covers with an assumption.", func(r *network.Result) []any { return anys(pointers(r.Limits), same) }),
	}
}

func linkResults() []field {
	x := resultOf[*model.Link, network.Link]{networkCalculation, func(w *world, l *model.Link) *network.Link { return w.network.links[l] }}
	return []field{
		x.one("from_node", "network_node", "Node at one end, with its results.", func(r *network.Link) (any, string) { return r.From, "" }),
		x.one("to_node", "network_node", "Node at the other end, with its results.", func(r *network.Link) (any, string) { return r.To, "" }),
		x.one("ring", "ring", "Ring that the link is in; absent when it is in none.", func(r *network.Link) (any, string) {
			if r.Ring == nil {
				return nil, "is not there: the link is in no ring"
			}
			return r.Ring.Ring, ""
		}),
		x.truth("bridge", "True when the loss of the link parts the network.", func(r *network.Link) bool { return r.Bridge }),
		x.check("reach", "length", "Length against what the medium permits.", func(r *network.Link) any { return &r.Length }),
		x.check("speed", "data_rate", "Data rate against the highest of the slower of the two ports.", func(r *network.Link) any { return &r.Rate }),
		x.check("propagation", "duration", "Longest time from one end to the other.", func(r *network.Link) any { return &r.Propagation }),
	}
}

func ringResults() []field {
	x := resultOf[*model.Ring, network.Ring]{networkCalculation, func(w *world, r *model.Ring) *network.Ring { return w.network.rings[r] }}
	nodes := func(name, about string, pick func(*network.Ring) []*network.Node) field {
		return x.many(name, "network_node", about, func(r *network.Ring) []any { return anys(pick(r), same) })
	}
	connections := func(name, about string, pick func(*network.Ring) []*network.Connection) field {
		return x.many(name, "connection", about, func(r *network.Ring) []any { return anys(pick(r), connectionOf) })
	}
	return []field{
		x.truth("closed", "True when the links make one round through all nodes of the ring.", func(r *network.Ring) bool { return r.Closed }),
		x.truth("in_order", "True when they do so in the stated order.", func(r *network.Ring) bool { return r.InOrder }),
		x.texts("gaps", "Neighbours in the stated order that no link joins.", func(r *network.Ring) []string {
			out := make([]string, len(r.Gaps))
			for i, g := range r.Gaps {
				out[i] = g.From.Origin().Name + " and " + g.To.Origin().Name
			}
			return out
		}),
		x.many("links", "link", "Links of the ring.", func(r *network.Ring) []any { return anys(r.Links, linkOf) }),
		nodes("active", "Nodes that would be supervisor at the same time: one when all is well.", func(r *network.Ring) []*network.Node { return r.Active }),
		nodes("ranked_backups", "Nodes that take the active supervisor's place, the first in rank first.", func(r *network.Ring) []*network.Node { return r.Backups }),
		nodes("deaf", "Nodes whose data say that they do not take part in the ring protocol.", func(r *network.Ring) []*network.Node { return r.Deaf }),
		nodes("unstated", "Nodes whose data do not say whether they take part in the ring protocol.", func(r *network.Ring) []*network.Node { return r.Unstated }),
		x.check("members", "count", "Number of nodes against the most for which the recovery time holds.", func(r *network.Ring) any { return &r.Members }),
		x.check("modules", "count", "Number of modules against the least of what the modules' data permit in one ring.", func(r *network.Ring) any { return &r.Modules }),
		x.check("detection", "duration", "Longest time until the supervisor has noticed a break.", func(r *network.Ring) any { return &r.Detection }),
		x.check("recovers", "duration", "Longest time until the ring carries data again after a break; its limit is that of each connection.", func(r *network.Ring) any { return &r.Recovery }),
		x.field("double_faults", "What two faults at once in the ring cost each controller that hangs together with it; empty for a ring that is not closed.",
			fieldType{kind: "double_faults", list: true}, func(w *world, r *network.Ring) (ref.Val, string) {
				return subjectList(w, "double_faults", w.network.pairs[r]), ""
			}),
		connections("crossing", "Safety connections that cross the ring.", func(r *network.Ring) []*network.Connection { return r.Connections }),
		connections("trips", "Those of them that a single break of the ring stops, or may stop.", func(r *network.Ring) []*network.Connection { return r.Trips }),
	}
}

func connectionResults() []field {
	x := resultOf[*model.Connection, network.Connection]{networkCalculation, func(w *world, c *model.Connection) *network.Connection { return w.network.connections[c] }}
	return []field{
		x.check("to_controller", "duration", "Bound of the delay of the safety data from the module, at any open position of the rings.", func(r *network.Connection) any { return &r.ToController }),
		x.check("from_controller", "duration", "Bound of the delay of the safety data to the module, at any open position of the rings.", func(r *network.Connection) any { return &r.FromController }),
		x.check("delay", "duration", "Longer of both against the stated time limit less one interval.", func(r *network.Connection) any { return &r.Delay }),
		x.check("ring_recovery", "duration", "Longest recovery of the rings on the way against what the stated time limit leaves when one message is lost.", func(r *network.Connection) any { return &r.Recovery }),
		x.many("rings", "ring", "Rings that the connection crosses.", func(r *network.Connection) []any {
			return anys(r.Rings, func(g *network.Ring) *model.Ring { return g.Ring })
		}),
		x.texts("media", "What the links on its way are made of, each once.", func(r *network.Connection) []string { return mediaOf(r) }),
		problemsOf(func(o any) string { return o.(*model.Connection).Path }),
		x.many("flows", "network_flow", "Streams of frames of the connection; empty when their sizes or ways can't be told.", func(r *network.Connection) []any { return anys(r.Flows, same) }),
	}
}

// problemsOf are the problems with the addresses of one object.
func problemsOf(path func(any) string) field {
	return field{name: "address_problems", about: "What is wrong with its addresses.", typ: fieldType{kind: "address_problem", list: true}, computed: true,
		get: func(w *world, s any) ref.Val { return objectList(w, "address_problem", w.network.problems[path(s)]) }}
}

// mediaOf lists the media of the links on the way of a connection.
func mediaOf(c *network.Connection) []string {
	var out []string
	for _, f := range c.Flows {
		for _, h := range f.Hops {
			if l := h.Port.Link; l != nil && !slices.Contains(out, string(l.Link.Medium)) {
				out = append(out, string(l.Link.Medium))
			}
		}
	}
	slices.Sort(out)
	return out
}

// networkResultKinds are the kinds of objects that only the results of the network have.
func networkResultKinds() []*kind {
	return []*kind{networkNodeKind(), networkLineKind(), networkLoopKind(), reachKind(), singleFaultKind(), doubleFaultsKind(), networkFlowKind(), networkPortKind(),
		addressProblemKind(), networkLimitKind()}
}

// inResult lists objects of the network's results.
func inResult[T any](get func(*network.Result) []T) func(*world) []T {
	return func(w *world) []T {
		if w.results.Network == nil {
			return nil
		}
		return get(w.results.Network)
	}
}

func nodeOrigin(n *network.Node) model.Origin { return n.Origin() }

func networkNodeKind() *kind {
	type n = *network.Node
	k := resultKind[n](networkCalculation, "network_node", "One controller, switch or module in the network.",
		named("name", "Name of the node.", func(o n) string { return o.Origin().Name }),
		named("path", "Place in the description.", func(o n) string { return o.Origin().Path }),
		object("controller", "controller", "The controller; absent for others.", func(o n) *model.Controller { return o.Node.Controller }),
		object("module", "module", "The module; absent for others.", func(o n) *model.Module { return o.Node.Module }),
		object("switch", "switch", "The switch; absent for others.", func(o n) *model.Switch { return o.Node.Switch }),
		object("zone", "zone", "Zone in which it stands.", zoneOfNode),
		subjects("links", "link", "Links at the node.", func(o n) []any { return anys(o.Links, linkOf) }),
		subjects("rings", "ring", "Rings that the node is in.", func(o n) []any {
			return anys(o.Rings, func(r *network.Ring) *model.Ring { return r.Ring })
		}),
		object("line", "network_line", "Line that the node is in; absent when it is in none.", func(o n) *network.Line { return o.Line }),
		truth("reachable", "True when the network's controller reaches the node.", func(o n) bool { return o.Reachable }),
		verdictField("hops", "count", "Number of links to the network's controller on the shortest way.", func(o n) any { return &o.Hops }),
		verdictField("longest", "count", "Number of links to the network's controller at the worst open position of the rings.", func(o n) any { return &o.Longest }),
		object("before", "network_node", "Node before it on the shortest way from the controller; absent at the controller and out of reach.", func(o n) *network.Node { return o.Before }),
		texts("free_ports", "Network ports without a link or a station.", func(o n) []string { return o.Free }),
		problemsOf(func(o any) string { return o.(n).Origin().Path }),
		truth("articulation", "True when the loss of the node parts the rest of the network.", func(o n) bool { return o.Articulation }),
	)
	return found(k, inResult(func(r *network.Result) []n { return r.Nodes }), nodeOrigin)
}

func zoneOfNode(n *network.Node) *model.Zone {
	switch {
	case n.Node.Controller != nil:
		return n.Node.Controller.Zone
	case n.Node.Module != nil:
		return n.Node.Module.Zone
	case n.Node.Switch != nil:
		return n.Node.Switch.Zone
	}
	return nil
}

func networkLineKind() *kind {
	type l = *network.Line
	k := resultKind[l](networkCalculation, "network_line", "A chain of nodes, one behind the other, in no ring.",
		object("from", "network_node", "Node that the line hangs from; absent when nothing branched is at it.", func(o l) *network.Node { return o.From }),
		subjects("nodes", "network_node", "Nodes in order, the nearest to from first.", func(o l) []any { return anys(o.Nodes, same) }),
		verdictField("modules", "count", "Number of modules against the least of what the modules' data permit in one line.", func(o l) any { return &o.Modules }),
	)
	return shown(found(k, inResult(func(r *network.Result) []l { return r.Lines }), func(o l) model.Origin { return o.Nodes[0].Origin() }),
		func(o l) string { return spanOf(o.Nodes) })
}

// spanOf names the first and the last of a row of nodes.
func spanOf(nodes []*network.Node) string {
	first, last := nodes[0].Origin().Name, nodes[len(nodes)-1].Origin().Name
	if first == last {
		return first
	}
	return first + " to " + last
}

func networkLoopKind() *kind {
	type l = *network.Loop
	k := resultKind[l](networkCalculation, "network_loop", "A part of the network in which frames could circle, because it is not exactly one declared ring.",
		subjects("nodes", "network_node", "Nodes in it.", func(o l) []any { return anys(o.Nodes, same) }),
		subjects("links", "link", "Links in it.", func(o l) []any { return anys(o.Links, linkOf) }),
		subjects("rings", "ring", "Declared rings that have links in it.", func(o l) []any {
			return anys(o.Rings, func(r *network.Ring) *model.Ring { return r.Ring })
		}),
	)
	return shown(found(k, inResult(func(r *network.Result) []l { return r.Loops }), func(o l) model.Origin { return o.Links[0].Link.Origin }),
		func(o l) string { return fmt.Sprintf("loop of %d links", len(o.Links)) })
}

func reachKind() *kind {
	type r = *network.Reach
	k := resultKind[r](networkCalculation, "controller_reach", "What a controller reaches, and what it loses by single faults and by double faults of rings.",
		part("controller", "controller", "The controller.", func(o r) *model.Controller { return o.Controller }),
		subjects("modules", "module", "Modules that it has to reach.", func(o r) []any { return anys(o.Modules, same) }),
		subjects("unreached", "module", "Those that it does not reach even without a fault.", func(o r) []any { return anys(o.Unreached, same) }),
		subjects("faults", "single_fault", "All single faults.", func(o r) []any {
			return anys(o.Faults, func(f *network.Fault) faultAt { return faultAt{f, o} })
		}),
		subjects("double_faults", "double_faults", "Double faults of the closed rings that hang together with the controller.", func(o r) []any {
			return anys(o.Pairs, func(p *network.Pairs) pairsAt { return pairsAt{p, o} })
		}),
	)
	return found(k, inResult(func(x *network.Result) []r { return x.Reach }), func(o r) model.Origin { return o.Controller.Origin })
}

// faultAt is a single fault as one controller sees it.
type faultAt struct {
	*network.Fault
	reach *network.Reach
}

func singleFaultKind() *kind {
	k := resultKind[faultAt](networkCalculation, "single_fault", "One single fault of the network, and what it costs a controller.",
		named("kind", "What fails: link, node, or shared for the supply of several nodes.", func(o faultAt) network.FaultKind { return o.Kind }),
		named("at", "Place in the description of what fails.", func(o faultAt) string { return o.Origin().Path }),
		named("name", "What fails, in words.", faultName),
		part("controller", "controller", "The controller.", func(o faultAt) *model.Controller { return o.reach.Controller }),
		object("link", "link", "The link; absent for others.", func(o faultAt) *model.Link {
			if o.Link == nil {
				return nil
			}
			return o.Link.Link
		}),
		object("node", "network_node", "The node; absent for others.", func(o faultAt) *network.Node { return o.Node }),
		count("dead_count", "Number of modules that have no supply; zero for faults of links and nodes.", func(o faultAt) int { return deadModules(o.Fault) }),
		truth("controller_dead", "True when the controller itself fails or has no supply.", controllerDead),
		count("lost_count", "Number of modules that the controller does not reach any more.", func(o faultAt) int { return o.Lost.Len() }),
		named("lost_names", "Their names, at most five of them.", func(o faultAt) string { return someModules(o.Lost, 5) }),
		subjects("functions", "safety_function", "Safety functions that are lost; they go to the safe state.", func(o faultAt) []any { return anys(o.Functions, same) }),
		subjects("rings", "ring", "Rings that the fault opens.", func(o faultAt) []any {
			return anys(o.Rings, func(r *network.Ring) *model.Ring { return r.Ring })
		}),
		subjects("trips", "connection", "Connections across these rings that may not survive their recovery, those to lost modules among them.", func(o faultAt) []any { return anys(o.Trips, connectionOf) }),
	)
	return shown(found(k, inResult(func(x *network.Result) []faultAt {
		var out []faultAt
		for _, r := range x.Reach {
			for _, f := range r.Faults {
				out = append(out, faultAt{f, r})
			}
		}
		return out
	}), func(o faultAt) model.Origin { return o.Origin() }), faultName)
}

// faultName says what fails.
func faultName(f faultAt) string {
	switch f.Kind {
	case network.LinkFault:
		return "link " + f.Link.Link.LinkSpec.From + " to " + f.Link.Link.LinkSpec.To
	case network.SharedFault:
		return "supply by " + f.Origin().Name
	}
	return f.Origin().Name
}

// deadModules counts the modules without supply.
func deadModules(f *network.Fault) int {
	if f.Cause == nil {
		return 0
	}
	n := 0
	for _, d := range f.Cause.Dead {
		if d.Node.Module != nil {
			n++
		}
	}
	return n
}

func controllerDead(f faultAt) bool {
	is := func(n *network.Node) bool { return n.Node.Controller == f.reach.Controller }
	return f.Node != nil && is(f.Node) || f.Cause != nil && slices.ContainsFunc(f.Cause.Dead, is)
}

// someModules names the first modules of a set.
func someModules(s network.ModuleSet, most int) string {
	var names []string
	for m := range s.All() {
		if len(names) == most {
			return strings.Join(names, ", ") + fmt.Sprintf(" and %d more", s.Len()-most)
		}
		names = append(names, m.Name)
	}
	return strings.Join(names, ", ")
}

// pairsAt are double faults as one controller sees them.
type pairsAt struct {
	*network.Pairs
	reach *network.Reach
}

func doubleFaults(r *network.Result) []pairsAt {
	var out []pairsAt
	for _, reach := range r.Reach {
		for _, p := range reach.Pairs {
			out = append(out, pairsAt{p, reach})
		}
	}
	return out
}

func doubleFaultsKind() *kind {
	worst := func(o pairsAt) network.DoubleFault {
		if o.Worst == nil {
			return network.DoubleFault{}
		}
		return *o.Worst
	}
	k := resultKind[pairsAt](networkCalculation, "double_faults", "What two faults at once in one ring cost a controller, for the pairs of one kind.",
		part("controller", "controller", "The controller.", func(o pairsAt) *model.Controller { return o.reach.Controller }),
		part("ring", "ring", "The ring.", func(o pairsAt) *model.Ring { return o.Ring.Ring }),
		named("kind", "Which two fail: links, link-and-node or nodes.", func(o pairsAt) network.PairKind { return o.Kind }),
		count("pairs", "Number of pairs, without the node by which the controller comes into the ring.", func(o pairsAt) int { return o.Count }),
		verdictField("parting", "count", "Number of pairs that take away a further node of the ring, which has not failed and which neither fault alone takes away.", func(o pairsAt) any { return &o.Parting }),
		verdictField("losing", "count", "Number of pairs that take away a further module that the controller has to reach.", func(o pairsAt) any { return &o.Losing }),
		texts("worst", "Places in the description of the pair that takes most modules away; empty when none takes any.", func(o pairsAt) []string {
			d := worst(o)
			out := []string{}
			for _, x := range d.Origins() {
				out = append(out, x.Path)
			}
			return out
		}),
		count("lost_count", "Number of modules that the worst pair takes away, those that have failed included.", func(o pairsAt) int { return worst(o).Lost.Len() }),
		named("lost_names", "Their names, at most five of them.", func(o pairsAt) string { return someModules(worst(o).Lost, 5) }),
		subjects("functions", "safety_function", "Safety functions that the worst pair takes away; they go to the safe state.", func(o pairsAt) []any { return anys(worst(o).Functions, same) }),
	)
	return shown(found(k, inResult(doubleFaults), func(o pairsAt) model.Origin { return o.Ring.Ring.Origin }), func(o pairsAt) string {
		return string(o.Kind) + " of " + o.Ring.Ring.Name
	})
}

func networkFlowKind() *kind {
	type f = *network.Flow
	k := resultKind[f](networkCalculation, "network_flow", "One stream of frames from one node to another.",
		named("kind", "What it carries: input, output, coordination, other or ring.", func(o f) network.FlowKind { return o.Kind }),
		object("connection", "connection", "Safety connection that it belongs to; absent for other traffic.", func(o f) *model.Connection {
			if o.Connection == nil {
				return nil
			}
			return o.Connection.Connection
		}),
		part("from", "network_node", "Where the frames come from.", func(o f) *network.Node { return o.From }),
		part("to", "network_node", "Where the frames go to.", func(o f) *network.Node { return o.To }),
		statedAmount("message", "Safety message with its data; absent for other traffic.", func(o f) model.DataSize { return o.Message }),
		statedAmount("frame", "Largest frame; absent where the message travels in the frames of a cycle.", func(o f) model.DataSize { return o.Frame }),
		statedAmount("interval", "Interval between frames; absent when only burst and rate are known.", func(o f) model.Duration { return o.Interval }),
		statedAmount("rate", "Highest rate in the long run, preambles and gaps included.", func(o f) model.DataRate { return o.Rate }),
		count("priority", "Priority of the frames, 0 to 7 (IEEE 802.1Q).", func(o f) int { return o.Priority }),
		count("hops", "Number of links on the way with the rings open at their supervisors.", func(o f) int { return len(o.Hops) }),
		verdictField("delay", "duration", "Bound of the delay of a frame, at any open position of the rings.", func(o f) any { return &o.Delay }),
		verdictField("normal", "duration", "The same with the rings open at their supervisors.", func(o f) any { return &o.Normal }),
	)
	return shown(found(k, inResult(func(r *network.Result) []f { return r.Flows }), flowOrigin), func(o f) string {
		return string(o.Kind) + " of " + flowOrigin(o).Name
	})
}

func flowOrigin(f *network.Flow) model.Origin {
	switch {
	case f.Connection != nil:
		return f.Connection.Connection.Origin
	case f.Traffic != nil:
		return f.Traffic.Origin
	}
	return f.Ring.Ring.Origin
}

func networkPortKind() *kind {
	type p = *network.Port
	k := resultKind[p](networkCalculation, "network_port", "An output port that carries streams of frames: one direction of a link, or a port to a station outside of the description.",
		part("node", "network_node", "Node of the port.", func(o p) *network.Node { return o.Node }),
		named("port", "Name of the port.", func(o p) string { return o.Port }),
		object("link", "link", "Link at the port; absent for a port to a station outside of the description.", func(o p) *model.Link {
			if o.Link == nil {
				return nil
			}
			return o.Link.Link
		}),
		amount("rate", "Data rate of the link.", func(o p) model.DataRate { return o.Rate }),
		count("flows", "Number of streams with the rings open at their supervisors.", func(o p) int { return len(o.Flows) }),
		verdictField("normal", "ratio", "Share of the rate that is used with the rings open at their supervisors.", func(o p) any { return &o.Normal }),
		verdictField("load", "ratio", "Share of the rate that is used at the worst open position, against all of it.", func(o p) any { return &o.Load }),
		verdictField("delay", "duration", "Bound of waiting and sending for the slowest frame.", func(o p) any { return &o.Delay }),
		verdictField("backlog", "data_size", "Bound of what waits at the port against its buffer.", func(o p) any { return &o.Backlog }),
	)
	return shown(found(k, inResult(func(r *network.Result) []p { return r.Ports }), func(o p) model.Origin { return o.Node.Origin() }),
		func(o p) string { return o.Node.Origin().Name + "." + o.Port })
}

func addressProblemKind() *kind {
	type a = *network.AddressProblem
	k := resultKind[a](networkCalculation, "address_problem", "One thing that is wrong with an address.",
		named("fault", "What is wrong, such as address-twice.", func(o a) network.AddressFault { return o.Fault }),
		named("at", "Place in the description of the node, connection or network concerned.", func(o a) string { return o.At.Path }),
		named("name", "Name of the node, connection or network concerned.", func(o a) string { return o.At.Name }),
		texts("others", "Names of what it collides with.", func(o a) []string {
			out := make([]string, len(o.Others))
			for i, x := range o.Others {
				out[i] = x.Name
			}
			return out
		}),
		truth("advice", "True for what is no fault of the network.", func(o a) bool { return o.Advice }),
		named("text", "What was found and what to do.", func(o a) string { return o.Text }),
	)
	return shown(found(k, inResult(func(r *network.Result) []a { return pointers(r.Addresses.Problems) }), func(o a) model.Origin { return o.At }),
		func(o a) string { return string(o.Fault) + " at " + o.At.Name })
}

func networkLimitKind() *kind {
	type l = *network.Limit
	k := resultKind[l](networkCalculation, "network_limit", "A place that the calculation of the network does not cover, or covers with an assumption.",
		named("at", "Path of the object concerned.", func(o l) string { return o.Place.Path }),
		named("text", "What is not covered or was assumed, and on which side the numbers lie then.", func(o l) string { return o.Text }),
	)
	return found(k, inResult(func(r *network.Result) []l { return pointers(r.Limits) }), func(o l) model.Origin { return o.Place })
}
