package model

import (
	"maps"
	"slices"
	"strings"
)

func (r *resolver) resolveNetwork() {
	r.checkAddresses()
	spec := r.d.Network
	if spec == nil {
		return
	}
	n := &Network{Origin: r.origin("", "network"), NetworkSpec: *spec}
	n.Controller = r.controllerOf("network.controller", spec.Controller)
	used := map[string]string{}
	for i, l := range spec.Links {
		path := index("network.links", i)
		link := &Link{Origin: Origin{Name: l.From + " - " + l.To, Path: path, Position: r.at(path)}, LinkSpec: l}
		if link.Medium == "" {
			link.Medium = Copper
		}
		if link.Rate == 0 {
			link.Rate = 100e6
		}
		var okFrom, okTo bool
		link.From, okFrom = r.linkEnd(path+".from", l.From, used)
		link.To, okTo = r.linkEnd(path+".to", l.To, used)
		if okFrom && okTo {
			if link.From.Node == link.To.Node {
				r.problem(path, "the link joins two ports of the same node, %s", link.From.Node.Origin().Name)
			}
			link.Cable, _ = refer(r, path+".cable", "cable type under types.cables", l.Cable, r.cables)
			if l.Cable != "" && link.Medium == Radio {
				r.problem(path+".cable", "a radio link has no cable")
			}
			n.Links = append(n.Links, link)
		}
	}
	if spec.Plant != nil && spec.Plant.At != "" {
		n.PlantAt, _ = r.linkEnd("network.plant.at", spec.Plant.At, maps.Clone(used)) // traffic may come in there
		if spec.Plant.Through == PlantNone {
			r.problem("network.plant.at", "there is a port but nothing is joined; say through: firewall, router or direct, or leave the port out")
		}
	}
	for _, name := range sortedNames(spec.Rings) {
		n.Rings = append(n.Rings, r.ring(name, spec.Rings[name]))
	}
	for _, name := range sortedNames(spec.Connections) {
		c := &Connection{Origin: r.origin("network.connections", name), ConnectionSpec: spec.Connections[name]}
		c.Module, _ = refer(r, c.Path+".module", "module", c.ConnectionSpec.Module, r.modules)
		c.Controller = n.Controller
		if c.ConnectionSpec.Controller != "" {
			c.Controller, _ = refer(r, c.Path+".controller", "controller", c.ConnectionSpec.Controller, r.controllers)
		}
		r.checkConnection(c.Path, c.ConnectionSpec)
		n.Connections = append(n.Connections, c)
	}
	r.resolveTraffic(n, used)
	r.checkClosedPorts(n)
	r.checkCycle(spec)
	r.m.Network = n
}

// controllerOf finds the controller, which may be left out when there is only one.
func (r *resolver) controllerOf(path, name string) *Controller {
	if name != "" {
		c, _ := refer(r, path, "controller", name, r.controllers)
		return c
	}
	switch len(r.m.Controllers) {
	case 0:
		return nil
	case 1:
		return r.m.Controllers[0]
	}
	r.problem(path, "there are several controllers, so say which: %s", strings.Join(sortedNames(r.controllers), ", "))
	return nil
}

// node finds a node of the network.
func (r *resolver) node(path, name string) (NetworkNode, []string, bool) {
	if c, ok := r.controllers[name]; ok {
		return NetworkNode{Controller: c}, c.networkPorts(), true
	}
	if m, ok := r.modules[name]; ok {
		return NetworkNode{Module: m}, m.networkPorts(), true
	}
	if s, ok := r.switches[name]; ok {
		return NetworkNode{Switch: s}, s.networkPorts(), true
	}
	known := slices.Concat(sortedNames(r.controllers), sortedNames(r.modules), sortedNames(r.switches))
	r.problem(path, "%s", unknown("controller, module or switch", name, known))
	return NetworkNode{}, nil, false
}

// The ports are nil when the type could not be resolved.
func (c *Controller) networkPorts() []string {
	if c.Type == nil {
		return nil
	}
	return c.Type.NetworkPorts
}

func (m *Module) networkPorts() []string {
	if m.Type == nil {
		return nil
	}
	return m.Type.NetworkPorts
}

func (s *Switch) networkPorts() []string {
	if s.Type == nil {
		return nil
	}
	return s.Type.NetworkPorts
}

// linkEnd reads node.port and takes the port, which carries one link only.
func (r *resolver) linkEnd(path, text string, used map[string]string) (LinkEnd, bool) {
	if text == "" {
		return LinkEnd{}, false // reported as missing
	}
	name, port, ok := strings.Cut(text, ".")
	if !ok || name == "" || port == "" {
		r.problem(path, "found %q, wanted a node and its port, such as c1.p1", text)
		return LinkEnd{}, false
	}
	node, ports, ok := r.node(path, name)
	if !ok {
		return LinkEnd{}, false
	}
	if !slices.Contains(ports, port) {
		r.problem(path, "%s", unknown("network port of "+name, port, ports))
		return LinkEnd{}, false
	}
	if other, taken := used[text]; taken {
		r.problem(path, "the port %s already has a link, %s; a port carries one link", text, other)
		return LinkEnd{}, false
	}
	used[text] = path
	return LinkEnd{node, port}, true
}

// checkClosedPorts checks that closed ports exist and are not in use.
func (r *resolver) checkClosedPorts(n *Network) {
	used := n.UsedPorts()
	check := func(node NetworkNode, path string, ports []string, closed []string) {
		for i, port := range closed {
			at := index(path+".closed_ports", i)
			switch why := used[LinkEnd{node, port}]; {
			case !slices.Contains(ports, port):
				r.problem(at, "%s", unknown("network port of "+node.Origin().Name, port, ports))
			case why != "":
				r.problem(at, "the port %s is in use by %s, so it is not closed", port, why)
			}
		}
	}
	for _, c := range r.m.Controllers {
		check(NetworkNode{Controller: c}, c.Path, c.networkPorts(), c.ClosedPorts)
	}
	for _, m := range r.m.Modules {
		check(NetworkNode{Module: m}, m.Path, m.networkPorts(), m.ClosedPorts)
	}
	for _, s := range r.m.Switches {
		check(NetworkNode{Switch: s}, s.Path, s.networkPorts(), s.ClosedPorts)
	}
}

// networkConnector finds the connector of the network ports of a type.
func (r *resolver) networkConnector(path string, t NetworkPortsType) *Connector {
	c, _ := refer(r, path+".network_connector", "connector under types.connectors", t.NetworkConnector, r.connectors)
	return c
}

func (r *resolver) ring(name string, spec RingSpec) *Ring {
	ring := &Ring{Origin: r.origin("network.rings", name), RingSpec: spec}
	find := func(path, name string) (NetworkNode, bool) {
		n, _, ok := r.node(path, name)
		if ok && !slices.Contains(spec.Nodes, name) {
			r.problem(path, "%s is not among the nodes of the ring", name)
		}
		return n, ok
	}
	seen := map[string]bool{}
	for i, node := range spec.Nodes {
		path := index(ring.Path+".nodes", i)
		if seen[node] {
			r.problem(path, "%s is listed twice; list each node of the ring once, in order", node)
			continue
		}
		seen[node] = true
		if n, _, ok := r.node(path, node); ok {
			ring.Nodes = append(ring.Nodes, n)
		}
	}
	if spec.Supervisor != "" {
		ring.Supervisor, _ = find(ring.Path+".supervisor", spec.Supervisor)
	}
	for i, b := range spec.Backups {
		path := index(ring.Path+".backups", i)
		if b == spec.Supervisor {
			r.problem(path, "%s is the supervisor itself", b)
		}
		if n, ok := find(path, b); ok {
			ring.Backups = append(ring.Backups, n)
		}
	}
	r.checkRing(ring.Path, spec)
	return ring
}
