package report

import (
	"strings"

	"github.com/guardwright/guardwright/calc/power"
	"github.com/guardwright/guardwright/model"
)

// Network is a part of the 24 V supply whose voltages depend on each other.
type Network struct {
	// Supplies that feed it.
	Supplies []string `json:"supplies"`
	// Circuits of feeds in it.
	Feeds []string `json:"feeds"`
	// The operating point in each case.
	Operation []Operation `json:"operation"`
}

// Operation is the operating point of a network in one case.
type Operation struct {
	// Operating case.
	Case string `json:"case"`
	// Whether there is an operating point: solved, no operating point or not converged.
	Status string `json:"status"`
	// Limit of the constant-power loads; absent when it was not computed or no factor is too large.
	Collapse *Collapse `json:"collapse,omitempty"`
	// Explanation of a status other than solved.
	Why string `json:"why,omitempty"`
}

// Collapse is the limit of the constant-power loads: with all of them multiplied by more than the factor there is no
// operating point.
type Collapse struct {
	// The factor lies between lower and upper.
	Lower *Quantity `json:"lower"`
	// The factor lies between lower and upper.
	Upper *Quantity `json:"upper"`
	// Place whose voltage is lowest at the limit.
	At string `json:"at,omitempty"`
	// Voltage there at the limit.
	Voltage *Quantity `json:"voltage"`
	// Sum of the constant-power loads as described.
	Power *Quantity `json:"power"`
	// The part of the sum that can't be fed; absent when all can.
	Excess *Quantity `json:"excess,omitempty"`
}

// Selectivity says whether a short circuit behind the downstream device opens it before the upstream one.
type Selectivity struct {
	// The device nearer to the load.
	Downstream string `json:"downstream"`
	// The device nearer to the supply.
	Upstream string `json:"upstream"`
	// Place of the downstream device in the description.
	Path string `json:"path"`
	// Place of the downstream device in a file.
	Position *Position `json:"position,omitempty"`
	// Whether it is selective: within over the whole range, beyond when not at every current, not covered.
	Status string `json:"status"`
	// Smallest fault current behind the downstream device.
	From *Quantity `json:"from,omitempty"`
	// Largest fault current behind the downstream device.
	To *Quantity `json:"to,omitempty"`
	// Current at which selectivity is lost or weakest.
	At *Quantity `json:"at,omitempty"`
	// Latest time at which the downstream device has opened there; absent when it need not open at all.
	Opens *Quantity `json:"opens,omitempty"`
	// Time for which the upstream device stays closed at least; absent when it stays closed for ever.
	Holds *Quantity `json:"holds,omitempty"`
	// What is missing.
	Why string `json:"why,omitempty"`
}

// Limit is a place at which a result is not exact, or at which there is none.
type Limit struct {
	// Object concerned.
	Name string `json:"name"`
	// Circuit concerned; absent when both are.
	Circuit string `json:"circuit,omitempty"`
	// Place of the object in the description.
	Path string `json:"path"`
	// Place of the object in a file.
	Position *Position `json:"position,omitempty"`
	// What is not covered, what was assumed instead, and on which side the numbers lie then.
	Text string `json:"text"`
}

// addPower takes over what was computed about the 24 V supply.
func (r *Report) addPower(from *power.Result) {
	c := &collector{units: newUnits(), report: r, caseOf: from.Cases}
	c.networks(from)
	c.supplies(from)
	c.feeds(from)
	c.modules(from)
	c.loads(from)
	c.selectivity(from)
	for _, l := range from.Limits {
		r.Limits = append(r.Limits, Limit{l.Place.Name, string(l.Circuit), l.Place.Path, position(l.Place.Position), l.Text})
	}
}

func (c *collector) networks(from *power.Result) {
	for _, n := range from.Networks {
		out := Network{Supplies: []string{}, Feeds: []string{}, Operation: []Operation{}}
		for _, s := range n.Supplies {
			out.Supplies = append(out.Supplies, s.Name)
		}
		for _, f := range n.Feeds {
			out.Feeds = append(out.Feeds, f.Feed.Name+" "+string(f.Circuit))
		}
		solved := true
		for _, at := range from.Cases {
			o := n.Operation[at]
			solved = solved && o.Status == power.Solved
			out.Operation = append(out.Operation, Operation{at.String(), o.Status.String(), c.collapse(o.Collapse), o.Why})
		}
		if !solved {
			c.report.Summary.Unsolved++
		}
		c.report.Networks = append(c.report.Networks, out)
	}
}

func (c *collector) collapse(x *power.Collapse) *Collapse {
	if x == nil {
		return nil
	}
	return &Collapse{of(c.units, x.Lower, marginDigits), of(c.units, x.Upper, marginDigits), placeName(x.At),
		of(c.units, x.Voltage, valueDigits), of(c.units, x.Power, valueDigits), stated(c.units, x.Excess)}
}

// placeName names a place in the supply.
func placeName(p power.Place) string {
	name := p.Origin().Name
	if p.Port != nil {
		name = portName(p.Port)
	}
	return strings.TrimSpace(name + " " + string(p.Circuit))
}

func (c *collector) supplies(from *power.Result) {
	for _, s := range from.Supplies {
		p := place(SuppliesPart, s.Supply.Origin, s.Supply.Name, "")
		p.About = s.Supply.About
		c.points(&p, s.Points)
		p.check(checked(c.units, SuppliesPart, "rated current", s.Current))
		c.inrush(&p, s.Inrush)
		c.put(p)
	}
	for _, s := range from.Protections {
		p := place(ProtectionsPart, s.Protection.Origin, s.Protection.Name, "")
		p.About = s.Protection.About
		c.points(&p, s.Points)
		p.check(checked(c.units, ProtectionsPart, "holding current", s.Current))
		c.fault(&p, s.Fault)
		c.inrush(&p, s.Inrush)
		c.put(p)
		if s.Run != nil {
			w := place(ProtectionsPart, s.Protection.Origin, s.Protection.Name+" wiring", "")
			c.run(&w, s.Run)
			c.put(w)
		}
	}
}

func (c *collector) feeds(from *power.Result) {
	for _, f := range from.Feeds {
		for _, fc := range f.Circuits {
			p := place(FeedsPart, f.Feed.Origin, f.Feed.Name, fc.Circuit.Circuit)
			p.About = "to " + f.Feed.To.Origin().Name
			c.points(&p, fc.Points)
			c.run(&p, fc.Run)
			c.put(p)
		}
	}
}

func (c *collector) modules(from *power.Result) {
	for _, m := range from.Modules {
		for _, mc := range m.Circuits {
			p := place(ModulesPart, m.Module.Origin, m.Module.Name, mc.Circuit)
			p.About = count(m.Free, "free port", "free ports")
			c.points(&p, mc.Points)
			p.check(checked(c.units, ModulesPart, "module and ports", mc.Own))
			p.check(checked(c.units, ModulesPart, "passed through", mc.Through))
			c.contacts(&p, "inlet", mc.In)
			c.contacts(&p, "outlet", mc.Out)
			c.put(p)
		}
	}
	for _, m := range from.Modules {
		for _, port := range m.Ports {
			for _, pc := range port.Circuits {
				c.port(port, pc)
			}
		}
	}
}

func (c *collector) port(port *power.Port, pc *power.PortCircuit) {
	p := place(PortsPart, port.Port.Origin, portName(port.Port), pc.Circuit)
	if port.Port.Device != nil {
		p.About = port.Port.Device.Name
	}
	c.points(&p, pc.Points)
	p.check(checked(c.units, PortsPart, "port limit", pc.Current))
	p.check(checked(c.units, PortsPart, "port fuse", pc.Hold))
	c.contacts(&p, "port contact", pc.Contacts)
	c.run(&p, pc.Run)
	c.inrush(&p, pc.Inrush)
	c.put(p)
}

func (c *collector) loads(from *power.Result) {
	for _, m := range from.Modules {
		c.loadsOf(m.Module.Origin, m.Loads)
	}
	for _, d := range from.Devices {
		c.loadsOf(d.Device.Origin, d.Loads)
	}
	for _, d := range from.Controllers {
		c.loadsOf(d.Controller.Origin, d.Loads)
	}
	for _, d := range from.Switches {
		c.loadsOf(d.Switch.Origin, d.Loads)
	}
}

func (c *collector) loadsOf(owner model.Origin, loads []*power.Load) {
	for _, l := range loads {
		// The place of a load is its owner's: the load itself stands at the type, which other devices share.
		p := place(LoadsPart, owner, owner.Name+"."+l.Load.Name, l.Load.Circuit)
		p.Path = l.Load.Path
		if l.Port != nil {
			p.About = "at " + portName(l.Port)
		}
		c.points(&p, l.Points)
		p.check(checked(c.units, LoadsPart, "least voltage", l.Lowest))
		p.check(checked(c.units, LoadsPart, "highest voltage", l.Highest))
		p.check(checked(c.units, LoadsPart, "pull-in voltage", l.PullIn))
		p.check(checked(c.units, LoadsPart, "voltage drop", l.Drop))
		c.put(p)
	}
}

func (c *collector) selectivity(from *power.Result) {
	for _, s := range from.Selectivity {
		o := s.Downstream.Origin()
		out := Selectivity{Downstream: protectiveName(s.Downstream), Upstream: protectiveName(s.Upstream), Path: o.Path,
			Position: position(o.Position), Status: s.Status.String(), Why: s.Why}
		if s.Status.Decided() {
			out.From, out.To, out.At = of(c.units, s.From, valueDigits), of(c.units, s.To, valueDigits), of(c.units, s.At, valueDigits)
			out.Opens, out.Holds = optional(c.units, s.DownstreamOpens), optional(c.units, s.UpstreamHolds)
		}
		c.report.Summary.Checks.add(Check{Status: out.Status})
		c.report.Selectivity = append(c.report.Selectivity, out)
	}
}
