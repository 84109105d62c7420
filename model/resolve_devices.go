package model

import "github.com/guardwright/guardwright/model/source"

func (r *resolver) resolveDevices() {
	r.devices = map[string]*Device{}
	for _, name := range sortedNames(r.d.Devices) {
		spec := r.d.Devices[name]
		d := &Device{Origin: r.origin("devices", name), DeviceSpec: spec}
		d.Zone = r.zoneOf(d.Path+".zone", spec.Zone)
		if spec.ViewOf != nil {
			d.ViewOf = append([]*Zone{}, listOf(r, d.Path+".view_of", "zone", spec.ViewOf, r.zones)...)
		}
		if t, ok := refer(r, d.Path+".type", "device type under types.devices", spec.Type, r.deviceTypes); ok {
			d.Type = t
			d.Loads = r.deviceLoads(d.Origin, t.Loads)
		}
		r.devices[name] = d
		r.m.Devices = append(r.m.Devices, d)
	}
	for _, d := range r.m.Devices {
		r.checkSettings(d)
		r.resolveMuting(d)
	}
}

// checkSettings finds what is stated of a device that its kind does not have.
func (r *resolver) checkSettings(d *Device) {
	kind := kindOf(d)
	if kind == "" {
		return // reported with the type
	}
	if d.Synchronous != 0 && kind != "two-hand-control" {
		r.problem(d.Path+".synchronous", "only a two-hand control has two hands to compare; this is a %s", kind)
	}
	if d.FeedbackTime != 0 && (len(d.Type.Kind.Takes) == 0 || len(d.Type.Kind.Gives) == 0) {
		r.problem(d.Path+".feedback_time", "a %s takes no command that it could report back; feedback_time belongs to contactors and valves", kind)
	}
	if d.Meaning != "" && kind != "lamp" {
		r.problem(d.Path+".meaning", "only a lamp has a meaning; this is a %s", kind)
	}
	if d.ActionForce != 0 && kind != "guard-lock" {
		r.problem(d.Path+".action_force", "only a guard lock has to hold against a force; this is a %s", kind)
	}
	if d.SpanMarked != nil && kind != "emergency-stop" && kind != "rope-pull" {
		r.problem(d.Path+".span_marked", "only an emergency stop is marked with what it stops; this is a %s", kind)
	}
}

func (r *resolver) resolveModules() {
	r.modules = map[string]*Module{}
	for _, name := range sortedNames(r.d.Modules) {
		spec := r.d.Modules[name]
		m := &Module{Origin: r.origin("modules", name), ModuleSpec: spec}
		m.Zone = r.zoneOf(m.Path+".zone", spec.Zone)
		if t, ok := refer(r, m.Path+".type", "module type under types.modules", spec.Type, r.moduleTypes); ok {
			m.Type = t
			m.Loads = r.deviceLoads(m.Origin, t.Loads)
			if m.AddressSwitch != nil && t.AddressSwitches == NoAddressSwitches {
				r.problem(m.Path+".address_switch", "module type %s has no address switches", t.Name)
			}
			r.resolvePorts(m)
		}
		r.modules[name] = m
		r.m.Modules = append(r.m.Modules, m)
	}
	r.listByZone()
}

// resolvePorts makes every port that the module has, used or free, and finds ports that it does not have.
func (r *resolver) resolvePorts(m *Module) {
	for _, name := range sortedNames(m.ModuleSpec.Ports) {
		if _, ok := m.Type.Ports[name]; !ok {
			r.problem(source.Join(m.Path, "ports", name), "%s", unknown("port of module type "+m.Type.Name, name, sortedNames(m.Type.Ports)))
		}
	}
	for _, name := range sortedNames(m.Type.Ports) {
		spec := m.ModuleSpec.Ports[name]
		path := source.Join(m.Path, "ports", name)
		p := &Port{Origin: Origin{Name: name, Path: path, Position: r.at(path)}, PortSpec: spec, Module: m, Type: m.Type.Ports[name]}
		// What the type refers to was checked with the type: here a miss stays nil.
		p.Connector = r.connectors[p.Type.Connector]
		p.Fuse, p.ActuatorFuse = r.protectives[p.Type.Fuse], r.protectives[p.Type.ActuatorFuse]
		if _, ok := refer(r, path+".set", "parameter set of module type "+m.Type.Name, spec.Set, m.Type.Sets); ok {
			p.Set = &NamedSet{spec.Set, m.Type.Sets[spec.Set]}
		}
		r.plugIn(p)
		m.Ports = append(m.Ports, p)
	}
}

// plugIn connects the device and the cable at a port.
func (r *resolver) plugIn(p *Port) {
	spec := p.PortSpec
	if d, ok := refer(r, p.Path+".device", "device", spec.Device, r.devices); ok {
		if d.Port != nil {
			r.problem(p.Path+".device", "the device %s is already at %s; a device has one place", d.Name, d.Port.Path)
		} else {
			p.Device, d.Port = d, p
			if d.Zone == nil {
				d.Zone = p.Module.Zone
			}
		}
	}
	if spec.Device == "" {
		if spec.Cable != nil {
			r.problem(p.Path+".cable", "there is a cable at this port but no device; say device: at the port")
		}
		if spec.Set != "" {
			r.problem(p.Path+".set", "there is a parameter set at this port but no device; say device: at the port")
		}
		return
	}
	if spec.Capped {
		r.problem(p.Path+".capped", "a port with a device cannot be capped")
	}
	if spec.Cable != nil && p.Device != nil {
		ambient := r.ambientIn(p.Module.Zone).union(r.ambientIn(p.Device.Zone))
		p.Cable = r.cableRun(p.Path+".cable", *spec.Cable, ambient)
	}
}

// cableRun resolves a laid cable; ambient is the air temperature at its ends.
func (r *resolver) cableRun(path string, spec CableRunSpec, ambient AmbientRange) *CableRun {
	run := &CableRun{Origin: Origin{Name: spec.Type, Path: path, Position: r.at(path)}, CableRunSpec: spec}
	run.Ambient = r.ambientOf(path+".ambient", spec.Ambient, ambient)
	run.Laying = LayingSpec{Method: LayingB2, Grouped: 1}
	for _, stated := range []*LayingSpec{r.d.Power.Laying, spec.Laying} {
		if stated == nil {
			continue
		}
		if stated.Method != "" {
			run.Laying.Method = stated.Method
		}
		if stated.Grouped != 0 {
			run.Laying.Grouped = stated.Grouped
		}
	}
	for i, name := range spec.Joints {
		if k, ok := refer(r, index(path+".joints", i), "connector under types.connectors", name, r.connectors); ok {
			run.Joints = append(run.Joints, k)
		}
	}
	var ok bool
	if run.Cable, ok = refer(r, path+".type", "cable type under types.cables", spec.Type, r.cables); !ok {
		return nil
	}
	return run
}

// listByZone lists what stands in each zone, once the devices' zones are known.
func (r *resolver) listByZone() {
	for _, d := range r.m.Devices {
		if d.Zone != nil {
			d.Zone.Devices = append(d.Zone.Devices, d)
		}
	}
	for _, m := range r.m.Modules {
		if m.Zone != nil {
			m.Zone.Modules = append(m.Zone.Modules, m)
		}
	}
}

func (r *resolver) resolveControllers() {
	r.controllers, r.switches = map[string]*Controller{}, map[string]*Switch{}
	for _, name := range sortedNames(r.d.Controllers) {
		spec := r.d.Controllers[name]
		c := &Controller{Origin: r.origin("controllers", name), ControllerSpec: spec}
		c.Zone = r.zoneOf(c.Path+".zone", spec.Zone)
		if t, ok := refer(r, c.Path+".type", "controller type under types.controllers", spec.Type, r.controls); ok {
			c.Type = t
			c.Loads = r.deviceLoads(c.Origin, t.Loads)
		}
		r.controllers[name] = c
		r.m.Controllers = append(r.m.Controllers, c)
	}
	for _, name := range sortedNames(r.d.Switches) {
		spec := r.d.Switches[name]
		s := &Switch{Origin: r.origin("switches", name), SwitchSpec: spec}
		s.Zone = r.zoneOf(s.Path+".zone", spec.Zone)
		if t, ok := refer(r, s.Path+".type", "switch type under types.switches", spec.Type, r.switchTypes); ok {
			s.Type = t
			s.Loads = r.deviceLoads(s.Origin, t.Loads)
		}
		r.switches[name] = s
		r.m.Switches = append(r.m.Switches, s)
	}
}
