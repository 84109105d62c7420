package power

import "github.com/guardwright/guardwright/model"

// attach makes the results of everything that draws current and hangs its loads on the nodes of the plan; the devices
// at ports get nodes of their own.
func (p *plan) attach(r *Result) {
	m := p.machine
	owners := make(map[*model.Device]*Device, len(m.Devices))
	r.Devices = make([]*Device, len(m.Devices))
	for i, d := range m.Devices {
		r.Devices[i] = &Device{Device: d, Loads: newLoads(d.Loads, model.Consumer{Device: d}, d.Port)}
		owners[d] = r.Devices[i]
		p.feedLoads(r.Devices[i].Loads, d.Feeds)
	}
	for _, module := range m.Modules {
		r.Modules = append(r.Modules, p.attachModule(module, owners))
	}
	for _, c := range m.Controllers {
		loads := newLoads(c.Loads, model.Consumer{Controller: c}, nil)
		p.feedLoads(loads, c.Feeds)
		r.Controllers = append(r.Controllers, &Controller{Controller: c, Loads: loads})
	}
	for _, s := range m.Switches {
		loads := newLoads(s.Loads, model.Consumer{Switch: s}, nil)
		p.feedLoads(loads, s.Feeds)
		r.Switches = append(r.Switches, &Switch{Switch: s, Loads: loads})
	}
}

func newLoads(loads []*model.DeviceLoad, owner model.Consumer, port *model.Port) []*Load {
	if len(loads) == 0 {
		return nil
	}
	block := make([]Load, len(loads))
	out := make([]*Load, len(loads))
	for i, l := range loads {
		block[i] = Load{Load: l, Owner: owner, Port: port}
		out[i] = &block[i]
	}
	return out
}

// feedLoads hangs loads on the feeds that end at their owner.
func (p *plan) feedLoads(loads []*Load, feeds model.FeedsByCircuit) {
	for _, c := range model.Circuits() {
		if feed := feeds.Of(c); feed != nil {
			if at, ok := p.feedNode[feed]; ok {
				p.hang(at, c, loads)
			}
		}
	}
}

// hang hangs the loads of one circuit on a node.
func (p *plan) hang(at int32, c model.Circuit, loads []*Load) {
	n := &p.nodes[at]
	if n.loads == 0 {
		n.firstLoad = int32(len(p.loads))
	}
	for _, l := range loads {
		if l.Load.Circuit != c {
			continue
		}
		p.checkLoad(l.Load)
		l.at = at + 1
		p.loads = append(p.loads, l)
		n.loads++
	}
}

// checkLoad checks that exactly one figure says what a load draws, and that it is possible.
func (p *plan) checkLoad(l *model.DeviceLoad) {
	stated := 0
	if l.Current != nil {
		stated++
		p.checkDraw(l, float64(*l.Current) >= 0, "current", *l.Current)
	}
	if l.Power != nil {
		stated++
		p.checkDraw(l, float64(*l.Power) >= 0, "power", *l.Power)
	}
	if l.Resistance != nil {
		stated++
		p.checkDraw(l, float64(*l.Resistance) > 0, "resistance", *l.Resistance)
	}
	if stated != 1 {
		p.problem(l.Origin, "%d of current, power and resistance are stated, and exactly one says what the load draws", stated)
	}
}

func (p *plan) checkDraw(l *model.DeviceLoad, ok bool, what string, value any) {
	if !ok {
		p.problem(l.Origin, "the load has the %s %v, which is impossible", what, value)
	}
}

func (p *plan) attachModule(m *model.Module, owners map[*model.Device]*Device) *Module {
	if m.Type == nil {
		p.problem(m.Origin, "the module has no type")
	}
	out := &Module{Module: m, Loads: newLoads(m.Loads, model.Consumer{Module: m}, nil)}
	p.feedLoads(out.Loads, m.Feeds)
	for _, c := range model.Circuits() {
		if feed := m.Feeds.Of(c); feed != nil {
			out.Circuits = append(out.Circuits, &ModuleCircuit{Circuit: c, Feed: feed})
		}
	}
	block := make([]Port, len(m.Ports))
	out.Ports = make([]*Port, len(m.Ports))
	for i, port := range m.Ports {
		block[i].Port = port
		out.Ports[i] = &block[i]
		if port.Device == nil {
			out.Free++
			continue
		}
		if owner := owners[port.Device]; owner != nil {
			p.attachPort(out.Ports[i], owner)
		}
	}
	return out
}

// attachPort adds the nodes of a used port: one for each circuit from which the device draws.
func (p *plan) attachPort(out *Port, owner *Device) {
	port := out.Port
	circuits := p.drawn(owner)
	loaded := 2 * len(circuits)
	shared := port.Type.SharedReturn && len(circuits) == 2
	if shared {
		loaded--
	}
	for _, c := range circuits {
		pc := &PortCircuit{Circuit: c}
		out.Circuits = append(out.Circuits, pc)
		parent, fed := none, false
		if feed := port.Module.Feeds.Of(c); feed != nil {
			parent, fed = p.feedNode[feed]
		}
		if !fed {
			continue // the loads stay without a supply
		}
		n := p.child(parent, Place{Port: port, Circuit: c}, c)
		p.protectPort(&n, port, c)
		n.run = p.newRun(port.Cable, c, 1, 1, loaded)
		if port.Cable == nil && port.Connector != nil { // plugged on directly: one mated pair
			n.run.Plus.Contacts, n.run.Return.Contacts = port.Connector.ContactResistance, port.Connector.ContactResistance
		}
		pc.Run = n.run
		at := p.add(n)
		pc.at = at + 1
		p.hang(at, c, owner.Loads)
	}
	if shared && out.Circuits[0].at > 0 && out.Circuits[1].at > 0 {
		p.shareCore(out.Circuits[0].at-1, out.Circuits[1].at-1)
	}
}

// drawn lists the circuits from which a device draws at its port.
func (p *plan) drawn(owner *Device) []model.Circuit {
	var out []model.Circuit
	for _, c := range model.Circuits() {
		if owner.Device.Feeds.Of(c) != nil {
			continue
		}
		for _, l := range owner.Loads {
			if l.Load.Circuit == c {
				out = append(out, c)
				break
			}
		}
	}
	return out
}

// protectPort puts the port's own protective device, if it has one, in front of its cable.
func (p *plan) protectPort(n *node, port *model.Port, c model.Circuit) {
	fuse := port.Fuse
	if c == model.Actuator {
		fuse = port.ActuatorFuse
	}
	if fuse == nil {
		return
	}
	n.device = float64(fuse.Resistance)
	n.upstream = p.protective(Protective{Port: port, Circuit: c, Type: fuse, Ambient: p.ambientOf(port.Module)})
	n.behind = n.upstream
}

// ambientOf is the air temperature at a module.
func (p *plan) ambientOf(m *model.Module) model.AmbientRange {
	if m.Zone != nil {
		return m.Zone.Ambient
	}
	return p.machine.Ambient
}
