package power

import "github.com/guardwright/guardwright/model"

const noConductor = "the plugs meet directly; there is no conductor"

// fillRun checks the conductors and contacts that lead to a node.
func (f *flow) fillRun(at int32) {
	n := &f.nodes[at]
	r := n.run
	if n.upstream != none {
		r.Protective = &f.protectives[n.upstream]
	}
	if r.Cable == nil {
		none := inapplicable[model.Current](noConductor)
		r.Current, r.ReturnCurrent, r.Overload = none, none, none
		return
	}
	r.Current = f.loadCore(f.greatest[at]/model.Current(r.Plus.Cores), f.at[at], r, n.tree)
	ret, c := f.returnCurrent(at)
	r.ReturnCurrent = f.loadCore(ret/model.Current(r.Return.Cores), c, r, n.tree)
	r.Overload = f.overload(r)
	ends := r.Cable.Cable.Ends
	r.Contacts = make([]Contact, 0, 2*(len(ends)+len(r.Cable.Joints)))
	for _, connector := range ends {
		r.Contacts = f.pair(r.Contacts, at, connector, r.Cable.Ambient, r.Plus.Cores, r.Return.Cores)
	}
	for _, connector := range r.Cable.Joints {
		r.Contacts = f.pair(r.Contacts, at, connector, r.Cable.Ambient, r.Plus.Cores, r.Return.Cores)
	}
}

// loadCore checks the current in one core against its ampacity.
func (f *flow) loadCore(i model.Current, at Case, r *Run, tree int32) Check[model.Current] {
	if i == i && !r.Ampacity.Known {
		return uncovered(i, at, r.Ampacity.Why)
	}
	return checkCurrent(i, at, r.Ampacity.Value, "ampacity of the core", "", func() string { return f.whyUnknown(tree) })
}

// returnCurrent is the greatest current in the return that leads to a node. A core that both circuits share carries
// both currents; returns in parallel share both currents by their resistances.
func (f *flow) returnCurrent(at int32) (model.Current, Case) {
	n := &f.nodes[at]
	if n.partner == none {
		return f.greatest[at], f.at[at]
	}
	other := n.partner
	if !f.ok(Lowest, f.nodes[other].tree) || !f.ok(HighestLoaded, f.nodes[other].tree) {
		return f.worst(f.nodes[other].tree, nil)
	}
	return f.worst(n.tree, func(c Case) float64 {
		both := f.i[c][at] + f.i[c][other]
		if n.place.Port != nil {
			return both // one core
		}
		own, beside := n.ownReturn(c.temperature()), f.nodes[other].ownReturn(c.temperature())
		if own+beside == 0 {
			return f.i[c][at]
		}
		return both * beside / (own + beside)
	})
}

// overload checks the rating of the protective device against the cores behind it.
func (f *flow) overload(r *Run) Check[model.Current] {
	if r.Protective == nil {
		return unknown[model.Current]("no overcurrent protective device lies between the supply and the cable")
	}
	curve := r.Protective.curve
	rating := curve.atColdest
	switch {
	case r.Protective.Type.Kind != model.SelfResetting:
		rating = r.Protective.Type.Rated
	case curve.noColdest != "":
		return uncovered(rating, NoCase, curve.noColdest)
	}
	if !r.Ampacity.Known {
		return uncovered(rating, NoCase, r.Ampacity.Why)
	}
	cores := model.Current(min(r.Plus.Cores, r.Return.Cores))
	return atMost(rating, r.Ampacity.Value*cores, NoCase, "ampacity of the cores in parallel (IEC 60364-4-43:2008, 433.1)")
}

// pair appends the plus and the return contact of a connector that lies on the way to a node.
func (f *flow) pair(dst []Contact, at int32, connector *model.Connector, ambient model.AmbientRange, plus, ret int) []Contact {
	tree := f.nodes[at].tree
	limit := f.contacts.limit(connector, ambient.Max)
	i, c := f.returnCurrent(at)
	return append(dst,
		f.contact(limit, false, f.greatest[at]/model.Current(max(plus, 1)), f.at[at], tree),
		f.contact(limit, true, i/model.Current(max(ret, 1)), c, tree))
}

func (f *flow) contact(limit *contactLimit, ret bool, i model.Current, at Case, tree int32) Contact {
	out := limit.Contact
	out.Return = ret
	switch {
	case i != i:
		out.Current = unknown[model.Current](f.whyUnknown(tree))
	case limit.why != "":
		out.Current = uncovered(i, at, limit.why)
	default:
		out.Current = atMost(i, limit.permitted, at, limit.text)
	}
	return out
}

// contactLimit is what one contact of a connector carries at an air temperature.
type contactLimit struct {
	Contact
	permitted model.Current
	text      string
	why       string // not covered
}

type contactKey struct {
	connector *model.Connector
	air       model.Temperature
}

// contactCache remembers what contacts carry; most look-ups repeat the one before.
type contactCache struct {
	known map[contactKey]*contactLimit
	key   contactKey
	last  *contactLimit
}

func (c *contactCache) limit(connector *model.Connector, air model.Temperature) *contactLimit {
	key := contactKey{connector, air}
	if c.last != nil && c.key == key {
		return c.last
	}
	limit := c.known[key]
	if limit == nil {
		limit = newContactLimit(connector, air)
		c.known[key] = limit
	}
	c.key, c.last = key, limit
	return limit
}

// derating is the share of the base curve that IEC 60512-5-2 permits, where the connector's data state none.
const derating model.Ratio = 0.8

// newContactLimit is the rating of a contact or, where that is less, the permitted share of its base curve
// (IEC 60512-5-2). Between two points of the curve a straight line is taken, which lies below the curve: the current
// goes with the square root of what is left to the limiting temperature. In colder air than the first point the
// first point holds; hotter than the last one is not covered.
func newContactLimit(connector *model.Connector, air model.Temperature) *contactLimit {
	limit := &contactLimit{
		Contact:   Contact{Connector: connector, Rating: connector.Rating, Temperature: air},
		permitted: connector.Rating,
		text:      "rating of the contact",
	}
	points := connector.BaseCurve
	if len(points) == 0 {
		return limit
	}
	base, ok := interpolate(len(points), func(i int) (float64, float64) { return float64(points[i].At), float64(points[i].Current) }, float64(air))
	if !ok {
		limit.why = "the air may be hotter than the base curve of connector type " + connector.Name + " reaches"
		return limit
	}
	share := derating
	if connector.Derating != nil {
		share = *connector.Derating
	}
	curve := model.Current(base) * model.Current(share)
	limit.Curve = &curve
	if curve < limit.permitted {
		limit.permitted, limit.text = curve, "permitted share of the contact's base curve at the highest air temperature (IEC 60512-5-2)"
	}
	return limit
}
