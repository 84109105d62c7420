package power

import (
	"math"

	"github.com/guardwright/guardwright/model"
)

// flow turns the solved states into results.
type flow struct {
	*plan
	*states
	r *Result
	// greatest is the largest current into each node in steady operation, with its case; NaN when a case with which it
	// has to be compared has no solution.
	greatest []model.Current
	at       []Case
	contacts contactCache
	ranges   []faultRange // by protective device
}

// newFlow finds the greatest current into each node. A constant-power load draws most at the lowest voltage, a
// resistive one at the highest; the current into a node is a convex function of the voltage there, so its greatest
// value lies at one of the two ends.
func (p *plan) newFlow(r *Result, s *states) *flow {
	f := &flow{plan: p, states: s, r: r, greatest: make([]model.Current, len(p.nodes)), at: make([]Case, len(p.nodes)), contacts: contactCache{known: map[contactKey]*contactLimit{}}, ranges: make([]faultRange, len(p.protectives))}
	for i := range p.nodes {
		f.greatest[i], f.at[i] = f.worst(p.nodes[i].tree, func(c Case) float64 { return s.i[c][i] })
	}
	return f
}

// worst returns the greatest of a current over the cases, NaN without the cases that decide it.
func (f *flow) worst(tree int32, current func(Case) float64) (model.Current, Case) {
	if !f.ok(Lowest, tree) || !f.ok(HighestLoaded, tree) {
		return model.Current(math.NaN()), NoCase
	}
	at, greatest := Lowest, current(Lowest)
	for _, c := range [...]Case{HighestLoaded, Nominal} {
		if !f.ok(c, tree) {
			continue
		}
		if i := current(c); i > greatest || i != i { // NaN: a branch has no operating point
			at, greatest = c, i
		}
	}
	return model.Current(greatest), at
}

// whyUnknown says why a node has no greatest current.
func (f *flow) whyUnknown(tree int32) string {
	for _, c := range [...]Case{Lowest, HighestLoaded} {
		switch {
		case f.solved[c] == nil:
			return "the case " + c.String() + " was not asked for"
		case !f.ok(c, tree):
			return "the network has no operating point in the case " + c.String()
		}
	}
	return "a branch of the supply has no operating point"
}

const notFed = "nothing feeds the circuit here"

// points collects the state of a node in all cases.
func (f *flow) points(at int32) (out ByCase[Point]) {
	for _, c := range f.r.Cases {
		if f.ok(c, f.nodes[at].tree) && !math.IsNaN(f.i[c][at]) {
			out[c] = Point{true, model.Voltage(f.v[c][at]), model.Current(f.i[c][at]), model.Voltage(f.minus[c][at])}
		}
	}
	return out
}

func (f *flow) network(at int32) *Network {
	if tree := f.nodes[at].tree; tree != none {
		return f.trees[tree].network
	}
	return nil
}

// limitCurrent checks the greatest current into a node against a limit; zero means that none is stated.
func (f *flow) limitCurrent(at int32, limit model.Current, limits, missing string) Check[model.Current] {
	return checkCurrent(f.greatest[at], f.at[at], limit, limits, missing, func() string { return f.whyUnknown(f.nodes[at].tree) })
}

func checkCurrent(i model.Current, at Case, limit model.Current, limits, missing string, why func() string) Check[model.Current] {
	switch {
	case i != i:
		return unknown[model.Current](why())
	case limit <= 0:
		return unlimited(i, at, missing)
	}
	return atMost(i, limit, at, limits)
}

// fillLoads fills in the voltage at every load.
func (f *flow) fillLoads() {
	each := func(loads []*Load) {
		for _, l := range loads {
			f.fillLoad(l)
		}
	}
	for _, d := range f.r.Devices {
		each(d.Loads)
	}
	for _, m := range f.r.Modules {
		each(m.Loads)
	}
	for _, c := range f.r.Controllers {
		each(c.Loads)
	}
	for _, s := range f.r.Switches {
		each(s.Loads)
	}
}

func (f *flow) fillLoad(l *Load) {
	if l.at == 0 {
		l.Lowest, l.Highest, l.PullIn = unknown[model.Voltage](notFed), unknown[model.Voltage](notFed), unknown[model.Voltage](notFed)
		l.Drop = unknown[model.Ratio](notFed)
		return
	}
	at := l.at - 1
	l.Network = f.network(at)
	l.Points = f.points(at)
	for c := range l.Points {
		if point := &l.Points[c]; point.Solved {
			point.Current = current(l.Load, Case(c), point.Voltage)
		}
	}
	l.Lowest = f.limitVoltage(l, Lowest, l.Load.Min, atLeast, "lowest voltage at which the load works (min)", "the load states no lowest voltage (min)")
	l.Highest = f.limitVoltage(l, Highest, l.Load.Max, atMost, "highest voltage that the load permits (max)", "the load states no highest voltage (max)")
	l.PullIn = f.limitVoltage(l, Pulling, l.Load.PullIn, atLeast, "voltage at which the magnet pulls (pull_in)", "the load states no pull-in voltage (pull_in)")
	f.fillDrop(l, f.nodes[at].supply)
}

func (f *flow) limitVoltage(l *Load, c Case, limit model.Voltage,
	check func(v, limit model.Voltage, at Case, limits string) Check[model.Voltage], limits, missing string) Check[model.Voltage] {
	switch point := l.Points[c]; {
	case !point.Solved:
		return unknown[model.Voltage](f.whyNotSolved(l, c))
	case limit <= 0:
		return unlimited(point.Voltage, c, missing)
	default:
		return check(point.Voltage, limit, c, limits)
	}
}

func (f *flow) whyNotSolved(l *Load, c Case) string {
	if l.Network == nil || l.Network.Operation[c].Status == NotComputed {
		return "the case " + c.String() + " was not asked for"
	}
	return "there is no operating point: " + l.Network.Operation[c].Why
}

// dropLimit is the drop that IEC 60204-1:2016 12.5 permits from the supply to a load in normal operation (from memory).
// It stands in for a least voltage that nobody knows: where the load states one, that is the limit.
const dropLimit model.Ratio = 0.05

func (f *flow) fillDrop(l *Load, supply int32) {
	if !l.Points[Lowest].Solved {
		l.Drop = unknown[model.Ratio](f.whyNotSolved(l, Lowest))
		return
	}
	s := f.machine.Power.Supplies[supply]
	drop := model.Ratio((s.Type.Min - l.Points[Lowest].Voltage) / nominal(s))
	if l.Lowest.Status.Decided() {
		l.Drop = unlimited(drop, Lowest, "the voltage itself is checked against what the load needs, which is the stricter question")
		return
	}
	l.Drop = atMost(drop, dropLimit, Lowest, "5 % of the nominal voltage (IEC 60204-1:2016 12.5)")
}

// fillNodes fills in protective devices, feeds and ports.
func (f *flow) fillNodes() {
	for _, protection := range f.machine.Power.Protections {
		at := f.protectionNode[protection]
		out := &Protection{Protection: protection, Points: f.points(at), Network: f.network(at)}
		if out.Run = f.nodes[at].run; out.Run != nil {
			f.fillRun(at)
		}
		out.Current = f.holds(at, &f.protectives[f.nodes[at].behind])
		f.r.Protections = append(f.r.Protections, out)
	}
	for _, feed := range f.machine.Power.Feeds {
		out := &Feed{Feed: feed}
		for _, fc := range feed.Circuits {
			at := f.feedNode[fc]
			f.fillRun(at)
			out.Circuits = append(out.Circuits, &FeedCircuit{Circuit: fc, Network: f.network(at), Points: f.points(at), Run: f.nodes[at].run})
		}
		f.r.Feeds = append(f.r.Feeds, out)
	}
	for _, m := range f.r.Modules {
		for _, port := range m.Ports {
			for _, c := range port.Circuits {
				f.fillPort(port, c)
			}
		}
	}
}

// holds checks the greatest current into a node against what a protective device holds for ever.
func (f *flow) holds(at int32, device *Protective) Check[model.Current] {
	curve := device.curve
	if i := f.greatest[at]; curve.noHottest != "" && i == i {
		return uncovered(i, f.at[at], curve.noHottest)
	}
	return f.limitCurrent(at, curve.forever, "current that the protective device holds for ever at its highest temperature", "")
}

func (f *flow) fillPort(port *Port, c *PortCircuit) {
	if c.at == 0 {
		c.Current, c.Hold = unknown[model.Current](notFed), unknown[model.Current](notFed)
		return
	}
	at := c.at - 1
	n := &f.nodes[at]
	c.Network, c.Points = f.network(at), f.points(at)
	limit, missing := port.Port.Type.Limit, "the port states no limit for the sensor circuit (limit)"
	if c.Circuit == model.Actuator {
		limit, missing = port.Port.Type.ActuatorLimit, "the port states no limit for the actuator circuit (actuator_limit)"
	}
	c.Current = f.limitCurrent(at, limit, "limit of the port", missing)
	if n.behind != none && f.protectives[n.behind].Port == port.Port {
		c.Hold = f.holds(at, &f.protectives[n.behind])
	} else {
		c.Hold = f.limitCurrent(at, 0, "", "the port states no fuse for the circuit (fuse, actuator_fuse)")
	}
	f.fillRun(at)
	if connector := port.Port.Connector; connector != nil {
		c.Contacts = f.pair(c.Contacts, at, connector, f.ambientOf(port.Port.Module), 1, 1)
	}
}

// fillModules fills in what modules carry.
func (f *flow) fillModules() {
	onward, most := f.onwardCurrents()
	for _, m := range f.r.Modules {
		for _, c := range m.Circuits {
			at, ok := f.feedNode[c.Feed]
			if !ok {
				continue
			}
			f.fillModule(m, c, at, most[at]-1, &onward)
		}
	}
}

func (f *flow) fillModule(m *Module, c *ModuleCircuit, at, most int32, onward *ByCase[[]float64]) {
	c.Network, c.Points = f.network(at), f.points(at)
	kind := m.Module.Type
	limit, missing := kind.SensorLimit, "the module type states no limit for the sensor circuit (sensor_limit)"
	if c.Circuit == model.Actuator {
		limit, missing = kind.ActuatorLimit, "the module type states no limit for the actuator circuit (actuator_limit)"
	}
	tree := f.nodes[at].tree
	own, ownCase := f.worst(tree, func(k Case) float64 { return f.i[k][at] - onward[k][at] })
	why := func() string { return f.whyUnknown(tree) }
	c.Own = checkCurrent(own, ownCase, limit, "limit of the module for the circuit", missing, why)
	c.Through = f.limitCurrent(at, kind.PassLimit, "pass-through limit of the module (pass_limit)", "the module type states no pass-through limit (pass_limit)")
	ambient := f.ambientOf(m.Module)
	if kind.PowerIn != nil {
		c.In = f.pair(nil, at, kind.PowerIn, ambient, c.Feed.PlusCores, c.Feed.ReturnCores)
	}
	if kind.PowerOut != nil && most >= 0 {
		feed := f.nodes[most].place.Feed
		c.Out = f.pair(nil, most, kind.PowerOut, ambient, feed.PlusCores, feed.ReturnCores)
	}
}

// onwardCurrents sums, by case and node of a module, what goes on to further modules; most is the index of the onward
// node with the greatest current plus 1, or 0.
func (f *flow) onwardCurrents() (sums ByCase[[]float64], most []int32) {
	for _, c := range f.r.Cases {
		sums[c] = make([]float64, len(f.nodes))
	}
	most = make([]int32, len(f.nodes))
	for i := range f.nodes {
		n := &f.nodes[i]
		if n.place.Feed == nil || f.nodes[n.parent].place.Feed == nil {
			continue
		}
		for _, c := range f.r.Cases {
			sums[c][n.parent] += f.i[c][i]
		}
		if best := most[n.parent]; best == 0 || f.greatest[i] > f.greatest[best-1] {
			most[n.parent] = int32(i) + 1
		}
	}
	return sums, most
}

// fillSupplies fills in what the supplies give.
func (f *flow) fillSupplies() {
	for k, supply := range f.machine.Power.Supplies {
		at := f.supplyNode[k]
		out := &Supply{Supply: supply, Points: f.points(at), Rated: supply.Type.Rated, Temperature: supply.Ambient.Max, Derating: 1}
		f.r.Supplies = append(f.r.Supplies, out)
		if rows := supply.Type.DeratingTable; len(rows) > 0 {
			factor, ok := interpolate(len(rows), func(i int) (float64, float64) { return float64(rows[i].At), float64(rows[i].Ratio) }, float64(supply.Ambient.Max))
			if !ok {
				why := "the derating table of the supply type ends below the highest air temperature at the supply"
				if out.Current = f.limitCurrent(at, 0, "", why); out.Current.Status == NoLimit {
					out.Current.Status = NotCovered
				}
				continue
			}
			out.Derating = model.Ratio(factor)
		}
		limit := supply.Type.Rated * model.Current(out.Derating)
		out.Current = f.limitCurrent(at, limit, "rated current at the highest air temperature", "the supply type states no rated current")
		if out.Current.Status.Decided() {
			out.Spare = model.Ratio(out.Current.Margin / limit)
		}
	}
}
