package power

import (
	"iter"

	"github.com/guardwright/guardwright/model"
)

// Item is one check of a result with the place it belongs to.
type Item struct {
	// Place is the object that the check is about.
	Place model.Origin
	// Circuit is empty where the check is not about one circuit.
	Circuit model.Circuit
	// Name says in words what is checked.
	Name   string
	Status Status
	// Value, Limit and Margin are the figures with their units, rounded to four digits; empty where Status says that
	// they are meaningless.
	Value, Limit, Margin string
	// Limits says what the limit is, Why what is missing.
	Limits, Why string
}

// figures is what every Check has, whatever its quantity.
type figures interface {
	status() Status
	item() Item
}

func (c *Check[Q]) status() Status { return c.Status }

// item formats the figures of the check.
func (c *Check[Q]) item() Item {
	out := Item{Status: c.Status, Limits: c.Limits, Why: c.Why}
	if c.Status.HasValue() {
		out.Value = formatted(c.Value)
	}
	if c.Status.Decided() {
		out.Limit, out.Margin = formatted(c.Limit), formatted(c.Margin)
	}
	return out
}

func formatted[Q ~float64](q Q) string {
	if f, ok := any(q).(interface{ Format(significant int) string }); ok {
		return f.Format(4)
	}
	return ""
}

// Checks yields every check of the result that is about something described, in the order of the machine.
func (r *Result) Checks() iter.Seq[Item] {
	return func(yield func(Item) bool) {
		r.visit(func(place *model.Origin, c model.Circuit, name string, check figures) bool {
			item := check.item()
			item.Place, item.Circuit, item.Name = *place, c, name
			return yield(item)
		})
	}
}

// visitor is called for each check; it returns false to end the visit.
type visitor func(place *model.Origin, c model.Circuit, name string, check figures) bool

// each calls the visitor for some checks of one place.
func (v visitor) each(place *model.Origin, c model.Circuit, named ...namedCheck) bool {
	for _, n := range named {
		if !v(place, c, n.name, n.check) {
			return false
		}
	}
	return true
}

type namedCheck struct {
	name  string
	check figures
}

func (r *Result) visit(v visitor) {
	for _, s := range r.Supplies {
		if !v.each(&s.Supply.Origin, "", namedCheck{"current of the supply", &s.Current},
			namedCheck{"inrush at the supply", &s.Inrush.Hold}, namedCheck{"capacitance at the supply", &s.Inrush.Capacity}) {
			return
		}
	}
	for _, p := range r.Protections {
		if !v.each(&p.Protection.Origin, "", namedCheck{"current through the protective device", &p.Current},
			namedCheck{"fault current right behind the protective device", &p.Fault.Trip},
			namedCheck{"opening time right behind the protective device", &p.Fault.Opens},
			namedCheck{"inrush through the protective device", &p.Inrush.Hold}) || !v.run(&p.Protection.Origin, p.Run) {
			return
		}
	}
	for _, feed := range r.Feeds {
		for _, c := range feed.Circuits {
			if !v.run(&feed.Feed.Origin, c.Run) {
				return
			}
		}
	}
	for _, m := range r.Modules {
		if !v.module(m) {
			return
		}
	}
	for _, s := range r.Selectivity {
		place := s.Downstream.Origin()
		if !v(&place, s.Downstream.Circuit, "selectivity", s) {
			return
		}
	}
	v.devices(r)
}

func (v visitor) devices(r *Result) {
	for _, d := range r.Devices {
		if !v.loads(d.Loads) {
			return
		}
	}
	for _, c := range r.Controllers {
		if !v.loads(c.Loads) {
			return
		}
	}
	for _, s := range r.Switches {
		if !v.loads(s.Loads) {
			return
		}
	}
}

func (v visitor) module(m *Module) bool {
	for _, c := range m.Circuits {
		if !v.each(&m.Module.Origin, c.Circuit, namedCheck{"current of the module and its ports", &c.Own}, namedCheck{"current through the module", &c.Through}) ||
			!v.contacts(&m.Module.Origin, c.Circuit, "current in a contact of the power connector", c.In) ||
			!v.contacts(&m.Module.Origin, c.Circuit, "current in a contact of the onward power connector", c.Out) {
			return false
		}
	}
	for _, p := range m.Ports {
		for _, c := range p.Circuits {
			if !v.each(&p.Port.Origin, c.Circuit, namedCheck{"current at the port", &c.Current}, namedCheck{"current through the port's fuse", &c.Hold},
				namedCheck{"inrush at the port", &c.Inrush.Hold}) ||
				!v.contacts(&p.Port.Origin, c.Circuit, "current in a contact of the port", c.Contacts) || !v.run(&p.Port.Origin, c.Run) {
				return false
			}
		}
	}
	return v.loads(m.Loads)
}

func (v visitor) run(place *model.Origin, r *Run) bool {
	if r == nil {
		return true
	}
	if r.Cable != nil && !v.each(place, r.Circuit, namedCheck{"current in a core of plus", &r.Current}, namedCheck{"current in a core of the return", &r.ReturnCurrent},
		namedCheck{"rating of the protective device over the cable", &r.Overload}) {
		return false
	}
	return v.contacts(place, r.Circuit, "current in a contact", r.Contacts) &&
		v.each(place, r.Circuit, namedCheck{"fault current at the end", &r.Fault.Trip}, namedCheck{"opening time at the end", &r.Fault.Opens},
			namedCheck{"heat of a short circuit", &r.Withstand})
}

func (v visitor) contacts(place *model.Origin, c model.Circuit, name string, contacts []Contact) bool {
	for i := range contacts {
		if !v(place, c, name, &contacts[i].Current) {
			return false
		}
	}
	return true
}

func (v visitor) loads(loads []*Load) bool {
	for _, l := range loads {
		if !v.each(&l.Load.Origin, l.Load.Circuit, namedCheck{"lowest voltage", &l.Lowest}, namedCheck{"highest voltage", &l.Highest},
			namedCheck{"voltage while magnets pull", &l.PullIn}, namedCheck{"voltage drop", &l.Drop}) {
			return false
		}
	}
	return true
}

func (s *Selectivity) status() Status { return s.Status }

func (s *Selectivity) item() Item {
	out := Item{Status: s.Status, Why: s.Why, Limits: "time for which " + s.Upstream.Origin().Path + " stays closed"}
	if s.Status.Decided() {
		out.Value, out.Limit = "does not open", "for ever"
		if s.DownstreamOpens != nil {
			out.Value = s.DownstreamOpens.Format(4)
		}
		if s.UpstreamHolds != nil {
			out.Limit = s.UpstreamHolds.Format(4)
		}
	}
	return out
}
