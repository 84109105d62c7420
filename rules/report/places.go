package report

import (
	"slices"

	"github.com/guardwright/guardwright/calc/power"
	"github.com/guardwright/guardwright/model"
)

// Place is an object of the supply, at one circuit, with all that was computed about it.
type Place struct {
	// Table to which the place belongs.
	Part Part `json:"part"`
	// Name of the object, such as f1, m2.3 or hatch_1.magnet.
	Name string `json:"name"`
	// Circuit; absent where there is only one.
	Circuit string `json:"circuit,omitempty"`
	// What it is: the device at a port, the label of a device.
	About string `json:"about,omitempty"`
	// Place of the object in the description.
	Path string `json:"path"`
	// Place of the object in a file.
	Position *Position `json:"position,omitempty"`
	// Voltage and current at the place in each case that was solved.
	Points []Point `json:"points,omitempty"`
	// The computed numbers with their limits.
	Checks []Check `json:"checks"`
	// The cable to the place; absent when there is none.
	Cable *Cable `json:"cable,omitempty"`
	// A short circuit at the place; absent where none was computed.
	Fault *Fault `json:"fault,omitempty"`
}

// Point is the state of a place in one operating case.
type Point struct {
	// Operating case.
	Case string `json:"case"`
	// Voltage across plus and return.
	Voltage *Quantity `json:"voltage"`
	// Current into the place.
	Current *Quantity `json:"current"`
}

// Cable is one circuit's part of a laid cable.
type Cable struct {
	// Name of the cable type.
	Type string `json:"type"`
	// Length, one way.
	Length *Quantity `json:"length"`
	// Cross-section of one core.
	Section *Quantity `json:"section"`
	// Cores in parallel of plus.
	PlusCores int `json:"plus_cores"`
	// Cores in parallel of the return.
	ReturnCores int `json:"return_cores"`
	// Resistance of one core per length at 20 °C.
	PerLength *Quantity `json:"resistance_per_length"`
	// Where the resistance comes from.
	From string `json:"resistance_from,omitempty"`
	// Conductor temperature of the hot cases.
	Hot *Quantity `json:"hot"`
	// Resistance of both conductors and their contacts, hot.
	Resistance *Quantity `json:"resistance_hot"`
	// Permitted current of one core with its derivation; absent when the tables do not cover it.
	Ampacity *Ampacity `json:"ampacity,omitempty"`
}

// Ampacity is the permitted current of one core: the base current times the three factors.
type Ampacity struct {
	// Permitted current.
	Value *Quantity `json:"value"`
	// Current of the row of the table, or of the cable's data sheet.
	Base *Quantity `json:"base"`
	// Factor for the air temperature.
	Ambient *Quantity `json:"ambient_factor"`
	// Factor for circuits laid together.
	Grouping *Quantity `json:"grouping_factor"`
	// Factor for current-carrying cores in the cable.
	Loaded *Quantity `json:"loaded_factor"`
	// Standard whose tables were used.
	Standard string `json:"standard"`
	// Remark on how the row was chosen.
	Why string `json:"why,omitempty"`
}

// Fault is a short circuit between plus and return at a place, with its derivation.
type Fault struct {
	// Voltage of the supply.
	Voltage *Quantity `json:"voltage"`
	// Resistance of the whole loop.
	Loop *Quantity `json:"loop"`
	// Smallest fault current without any other load; absent when it is not known.
	Smallest *Quantity `json:"smallest,omitempty"`
	// Smallest fault current while all loads go on drawing; absent when it is not known.
	Assured *Quantity `json:"assured,omitempty"`
	// Largest fault current; absent when nothing bounds it.
	Largest *Quantity `json:"largest,omitempty"`
	// The device that has to open; absent when there is none.
	Device string `json:"device,omitempty"`
	// What is missing.
	Why string `json:"why,omitempty"`
}

// collector makes places of the results of package power.
type collector struct {
	units
	report *Report
	caseOf []power.Case
}

// put adds a place and counts its checks.
func (c *collector) put(p Place) {
	for _, check := range p.Checks {
		c.report.Summary.Checks.add(check)
	}
	if p.Checks == nil {
		p.Checks = []Check{}
	}
	c.report.Places = append(c.report.Places, p)
}

func place(part Part, o model.Origin, name string, circuit model.Circuit) Place {
	return Place{Part: part, Name: name, Circuit: string(circuit), Path: o.Path, Position: position(o.Position)}
}

// check adds a check to a place. Contacts of the same type carry the same current: they are told once.
func (p *Place) check(c Check) {
	same := func(d Check) bool { return d.Check == c.Check && d.share() == c.share() && d.Status == c.Status }
	if !slices.ContainsFunc(p.Checks, same) {
		p.Checks = append(p.Checks, c)
	}
}

func (c *collector) points(p *Place, points power.ByCase[power.Point]) {
	for _, at := range c.caseOf {
		if pt := points[at]; pt.Solved {
			p.Points = append(p.Points, Point{at.String(), of(c.units, pt.Voltage, valueDigits), of(c.units, pt.Current, valueDigits)})
		}
	}
}

func (c *collector) contacts(p *Place, what string, contacts []power.Contact) {
	for _, k := range contacts {
		side := " plus "
		if k.Return {
			side = " return "
		}
		p.check(checked(c.units, p.Part, what+side+k.Connector.Name, k.Current))
	}
}

// run adds the cable that leads to a place, with its fault.
func (c *collector) run(p *Place, r *power.Run) {
	if r == nil {
		return
	}
	c.contacts(p, "contact", r.Contacts)
	c.fault(p, r.Fault)
	if r.Cable == nil {
		return
	}
	p.check(checked(c.units, p.Part, "plus core", r.Current))
	p.check(checked(c.units, p.Part, "return core", r.ReturnCurrent))
	p.check(checked(c.units, FaultsPart, "overload protection", r.Overload))
	p.check(checked(c.units, FaultsPart, "thermal withstand", r.Withstand))
	p.Cable = c.cable(r)
}

func (c *collector) cable(r *power.Run) *Cable {
	out := &Cable{Type: r.Cable.Cable.Name, Length: of(c.units, r.Plus.Length, valueDigits), Section: of(c.units, r.Plus.Section, valueDigits),
		PlusCores: r.Plus.Cores, ReturnCores: r.Return.Cores, PerLength: of(c.units, r.Plus.PerLength, valueDigits), From: r.Plus.From,
		Hot: of(c.units, r.Plus.Hot, valueDigits), Resistance: of(c.units, r.Plus.AtHot+r.Return.AtHot+r.Plus.Contacts+r.Return.Contacts, valueDigits)}
	if a := r.Ampacity; a.Known {
		out.Ampacity = &Ampacity{of(c.units, a.Value, valueDigits), of(c.units, a.Base, valueDigits), of(c.units, a.Ambient, valueDigits),
			of(c.units, a.Grouping, valueDigits), of(c.units, a.Loaded, valueDigits), string(a.Standard), a.Why}
	}
	return out
}

func (c *collector) fault(p *Place, f power.Fault) {
	p.check(checked(c.units, FaultsPart, "fault current", f.Trip))
	p.check(checked(c.units, FaultsPart, "opening time", f.Opens))
	out := &Fault{Voltage: of(c.units, f.Voltage, valueDigits), Loop: of(c.units, f.Loop, valueDigits), Assured: optional(c.units, f.Assured),
		Largest: optional(c.units, f.Largest), Why: f.Why}
	if f.Known {
		out.Smallest = of(c.units, f.Current, valueDigits)
	}
	if f.Protective != nil {
		out.Device = protectiveName(f.Protective)
	}
	p.Fault = out
}

func (c *collector) inrush(p *Place, in power.Inrush) {
	p.check(checked(c.units, InrushPart, "inrush current", in.Hold))
	p.check(checked(c.units, InrushPart, "inrush capacitance", in.Capacity))
}

// protectiveName names a protective device: that of a protection, or the fuse of a port.
func protectiveName(d *power.Protective) string {
	switch {
	case d == nil:
		return ""
	case d.Port != nil:
		return portName(d.Port) + " fuse"
	}
	return d.Protection.Name
}

func portName(p *model.Port) string { return p.Module.Name + "." + p.Name }
