package model

import (
	"fmt"
	"slices"
	"strings"
)

func (r *resolver) resolveNetwork() {
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
			n.Links = append(n.Links, link)
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
		n.Connections = append(n.Connections, c)
	}
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
		return NetworkNode{Controller: c}, portsOf(c.Type), true
	}
	if m, ok := r.modules[name]; ok {
		return NetworkNode{Module: m}, portsOf(m.Type), true
	}
	if s, ok := r.switches[name]; ok {
		return NetworkNode{Switch: s}, portsOf(s.Type), true
	}
	known := slices.Concat(sortedNames(r.controllers), sortedNames(r.modules), sortedNames(r.switches))
	r.problem(path, "%s", unknown("controller, module or switch", name, known))
	return NetworkNode{}, nil, false
}

// portsOf lists the network ports of a type; nil when the type could not be resolved.
func portsOf[T interface{ networkPorts() []string }](t T) []string { return t.networkPorts() }

func (t *ResolvedControllerType) networkPorts() []string {
	if t == nil {
		return nil
	}
	return t.NetworkPorts
}

func (t *ResolvedModuleType) networkPorts() []string {
	if t == nil {
		return nil
	}
	return t.NetworkPorts
}

func (t *ResolvedSwitchType) networkPorts() []string {
	if t == nil {
		return nil
	}
	return t.NetworkPorts
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
	return ring
}

func (r *resolver) resolveDrives() {
	r.drives = map[string]*Drive{}
	for _, name := range sortedNames(r.d.Drives) {
		spec := r.d.Drives[name]
		d := &Drive{Origin: r.origin("drives", name), DriveSpec: spec}
		d.Zone = r.zoneOf(d.Path+".zone", spec.Zone)
		d.SwitchedBy = r.deviceList(d.Path+".switched_by", spec.SwitchedBy)
		r.drives[name] = d
		r.m.Drives = append(r.m.Drives, d)
	}
}

// deviceList resolves a list of devices, each at most once.
func (r *resolver) deviceList(path string, names []string) []*Device {
	var out []*Device
	for i, name := range names {
		if d, ok := refer(r, index(path, i), "device", name, r.devices); ok {
			if slices.Contains(out, d) {
				r.problem(index(path, i), "%s is listed twice", name)
				continue
			}
			out = append(out, d)
		}
	}
	return out
}

func (r *resolver) resolveFunctions() {
	for _, name := range sortedNames(r.d.Functions) {
		spec := r.d.Functions[name]
		f := &Function{Origin: r.origin("functions", name), FunctionSpec: spec}
		f.Demand = r.deviceList(f.Path+".demand", spec.Demand)
		f.Outputs = r.deviceList(f.Path+".outputs", spec.Outputs)
		for i, drive := range spec.Stops {
			if d, ok := refer(r, index(f.Path+".stops", i), "drive", drive, r.drives); ok {
				f.Stops = append(f.Stops, d)
			}
		}
		f.Controller = r.controllerOf(f.Path+".controller", spec.Controller)
		f.Reset, _ = refer(r, f.Path+".reset", "device", spec.Reset, r.devices)
		r.m.Functions = append(r.m.Functions, f)
	}
}

func (r *resolver) resolveLogic() {
	l := r.d.Logic
	if l == nil {
		return
	}
	for _, name := range sortedNames(l.Values) {
		path := "logic.values." + name
		r.checkName(path, name)
		if d, taken := r.devices[name]; taken {
			r.problem(path, "the name %q is already that of %s; give the value its own name", name, d.Path)
		}
		if l.Values[name].Text == "" {
			r.problem(path, "the value has no expression")
		}
	}
	for _, name := range sortedNames(l.Initial) {
		refer(r, "logic.initial."+name, "value under logic.values", name, l.Values)
	}
}

func (r *resolver) resolveAccept() {
	for i, spec := range r.d.Accept {
		path := index("accept", i)
		r.m.Accept = append(r.m.Accept, Acceptance{Origin{Name: fmt.Sprintf("%s at %s", spec.Rule, spec.At), Path: path, Position: r.at(path)}, spec})
	}
}
