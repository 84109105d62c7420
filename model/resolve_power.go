package model

import (
	"slices"
	"strings"
)

// faultTime is the longest time until a short circuit in a distribution circuit is switched off:
// IEC 60364-4-41:2017, 411.3.2.3 (from memory).
const faultTime Duration = 5

func (r *resolver) resolvePower() {
	p := r.d.Power
	r.m.Power = PowerSystem{Ampacity: p.Ampacity, HotConductor: p.HotConductor, ColdConductor: r.m.Ambient.Min, FaultTime: p.FaultTime}
	if p.Ampacity == "" {
		r.m.Power.Ampacity = IEC60204
	}
	if p.ColdConductor != nil {
		r.m.Power.ColdConductor = *p.ColdConductor
	}
	if p.FaultTime == 0 {
		r.m.Power.FaultTime = faultTime
	}
	if p.HotConductor != nil && *p.HotConductor < r.m.Power.ColdConductor {
		r.problem("power.hot_conductor", "found %s, which is below the cold conductor's %s", *p.HotConductor, r.m.Power.ColdConductor)
	}
	r.resolveSupplies()
	r.resolveProtections()
	feeds := r.resolveFeeds()
	r.connectFeeds(feeds)
	r.checkFed()
}

func (r *resolver) resolveSupplies() {
	r.supplies = map[string]*Supply{}
	for _, name := range sortedNames(r.d.Power.Supplies) {
		spec := r.d.Power.Supplies[name]
		s := &Supply{Origin: r.origin("power.supplies", name), SupplySpec: spec}
		s.Zone = r.zoneOf(s.Path+".zone", spec.Zone)
		s.Ambient = r.ambientOf(s.Path+".ambient", spec.Ambient, r.ambientIn(s.Zone))
		if t, ok := refer(r, s.Path+".type", "supply type under types.supplies", spec.Type, r.supplyTypes); ok {
			s.Type = t
		}
		r.supplies[name] = s
		r.m.Power.Supplies = append(r.m.Power.Supplies, s)
	}
}

func (r *resolver) resolveProtections() {
	r.protections = map[string]*Protection{}
	r.sources = map[string]bool{}
	for name := range r.supplies {
		r.sources[name] = true
	}
	for name := range r.d.Power.Protections {
		r.sources[name] = true
	}
	for _, name := range sortedNames(r.d.Power.Protections) {
		spec := r.d.Power.Protections[name]
		p := &Protection{Origin: r.origin("power.protections", name), ProtectionSpec: spec}
		if t, ok := refer(r, p.Path+".type", "protective device under types.protections", spec.Type, r.protectives); ok {
			p.Type = t
		}
		refer(r, p.Path+".from", "supply or protective device", spec.From, r.sources)
		r.protections[name] = p
		r.m.Power.Protections = append(r.m.Power.Protections, p)
	}
	for _, p := range r.m.Power.Protections {
		p.Upstream = r.protections[p.From]
		p.Supply = r.supplyAbove(p)
	}
	for _, p := range r.m.Power.Protections {
		around := r.m.Ambient
		if p.Supply != nil {
			around = p.Supply.Ambient
		}
		p.Ambient = r.ambientOf(p.Path+".ambient", p.ProtectionSpec.Ambient, around)
		if p.ProtectionSpec.Cable != nil {
			p.Cable = r.cableRun(p.Path+".cable", *p.ProtectionSpec.Cable, p.Ambient)
		}
		switch {
		case p.Upstream != nil:
			p.Upstream.Protections = append(p.Upstream.Protections, p)
		case p.Supply != nil:
			p.Supply.Protections = append(p.Supply.Protections, p)
		}
	}
}

// supplyAbove walks up to the supply. A loop is reported once, at its first device by name.
func (r *resolver) supplyAbove(p *Protection) *Supply {
	var way []string
	for q := p; q != nil; q = r.protections[q.From] {
		if i := slices.Index(way, q.Name); i >= 0 {
			if p.Name == q.Name && slices.IndexFunc(way, func(n string) bool { return compareNames(n, p.Name) < 0 }) < 0 {
				r.problem(p.Path+".from", "the protective devices feed each other in a loop: %s; one of them must come from a supply", strings.Join(append(way, q.Name), " <- "))
			}
			return nil
		}
		way = append(way, q.Name)
		if s, ok := r.supplies[q.From]; ok {
			return s
		}
	}
	return nil
}

// resolveFeeds makes the feeds without their circuits.
func (r *resolver) resolveFeeds() []*Feed {
	for _, name := range sortedNames(r.d.Power.Feeds) {
		spec := r.d.Power.Feeds[name]
		f := &Feed{Origin: r.origin("power.feeds", name), FeedSpec: spec}
		to, ok := r.consumer(f.Path+".to", spec.To)
		if !ok {
			continue
		}
		f.To = to
		if spec.From != "" {
			from, ok := refer(r, f.Path+".from", "module", spec.From, r.modules)
			if !ok {
				continue
			}
			f.From = from
			if from.Type != nil && from.Type.ModuleType.PowerOut == "" {
				r.problem(f.Path+".from", "module type %s does not pass the supply on: it has no power_out", from.Type.Name)
			}
		}
		if spec.Cable != nil {
			f.Cable = r.cableRun(f.Path+".cable", *spec.Cable, r.ambientAlong(f))
		}
		r.m.Power.Feeds = append(r.m.Power.Feeds, f)
	}
	return r.m.Power.Feeds
}

// ambientAlong spans the places at the ends of a feed.
func (r *resolver) ambientAlong(f *Feed) AmbientRange {
	var at AmbientRange
	switch {
	case f.To.Module != nil:
		at = r.ambientIn(f.To.Module.Zone)
	case f.To.Device != nil:
		at = r.ambientIn(f.To.Device.Zone)
	case f.To.Controller != nil:
		at = r.ambientIn(f.To.Controller.Zone)
	case f.To.Switch != nil:
		at = r.ambientIn(f.To.Switch.Zone)
	}
	if f.From != nil {
		at = at.union(r.ambientIn(f.From.Zone))
	}
	return at
}

// consumer finds what a feed ends at.
func (r *resolver) consumer(path, name string) (Consumer, bool) {
	if name == "" {
		return Consumer{}, false // reported as missing
	}
	if m, ok := r.modules[name]; ok {
		return Consumer{Module: m}, true
	}
	if d, ok := r.devices[name]; ok {
		return Consumer{Device: d}, true
	}
	if c, ok := r.controllers[name]; ok {
		return Consumer{Controller: c}, true
	}
	if s, ok := r.switches[name]; ok {
		return Consumer{Switch: s}, true
	}
	known := slices.Concat(sortedNames(r.modules), sortedNames(r.devices), sortedNames(r.controllers), sortedNames(r.switches))
	r.problem(path, "%s", unknown("module, device, controller or switch", name, known))
	return Consumer{}, false
}

// feedsOf returns where the feeds of a consumer are kept.
func (c Consumer) feedsOf() *FeedsByCircuit {
	switch {
	case c.Module != nil:
		return &c.Module.Feeds
	case c.Device != nil:
		return &c.Device.Feeds
	case c.Controller != nil:
		return &c.Controller.Feeds
	case c.Switch != nil:
		return &c.Switch.Feeds
	}
	return nil
}

func (f *FeedsByCircuit) set(c Circuit, fc *FeedCircuit) {
	if c == Actuator {
		f.Actuator = fc
	} else {
		f.Sensor = fc
	}
}

func (f FeedSpec) circuit(c Circuit) *FeedCircuitSpec {
	if c == Actuator {
		return f.Actuator
	}
	return f.Sensor
}
