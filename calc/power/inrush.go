package power

import (
	"math"

	"github.com/guardwright/guardwright/model"
)

// charge sums what is switched on behind a node.
type charge struct {
	// conductance that the empty capacitors present at the node at the first moment: infinite at a capacitor itself.
	conductance  float64
	capacitance  model.Capacitance
	currents     model.Current
	duration     model.Duration
	capacitors   int
	endless      bool // a peak current is stated without its duration
	stated, bare int
}

// fillInrush computes what happens when everything behind a place is switched on at once. All capacitors are empty, so
// the first moment is that of a network of resistances whose capacitors are short circuits; conductors are cold and
// the supply is at its highest voltage. Stated peak currents add to it.
func (f *flow) fillInrush() {
	charges := f.charges()
	for k, out := range f.r.Supplies {
		at := f.supplyNode[k]
		out.Inrush = f.inrush(at, &charges[at])
		f.judgeSupply(&out.Inrush, out.Supply, &charges[at])
	}
	for _, out := range f.r.Protections {
		at := f.protectionNode[out.Protection]
		out.Inrush = f.inrush(at, &charges[at])
		f.judgeDevice(&out.Inrush, f.nodes[at].behind, &charges[at])
	}
	for _, m := range f.r.Modules {
		for _, port := range m.Ports {
			for _, c := range port.Circuits {
				if c.at > 0 {
					c.Inrush = f.inrush(c.at-1, &charges[c.at-1])
					f.judgeDevice(&c.Inrush, f.ownFuse(c.at-1), &charges[c.at-1])
				}
			}
		}
	}
}

// ownFuse is the protective device of a port, or none.
func (f *flow) ownFuse(at int32) int32 {
	device := f.nodes[at].behind
	if device != none && f.protectives[device].Port == f.nodes[at].place.Port {
		return device
	}
	return none
}

// charges sums the loads from the ends of the trees to their roots.
func (f *flow) charges() []charge {
	out := make([]charge, len(f.nodes))
	for i := len(f.nodes) - 1; i >= 0; i-- { // children come after their parents
		n, c := &f.nodes[i], &out[i]
		for _, l := range f.loadsAt(n) {
			c.add(l.Load.Inrush)
		}
		if n.parent == none {
			continue
		}
		above := &out[n.parent]
		if c.conductance > 0 {
			above.conductance += 1 / (n.plus(cold) + n.ret(cold) + 1/c.conductance)
		}
		above.capacitance += c.capacitance
		above.currents += c.currents
		above.duration = max(above.duration, c.duration)
		above.capacitors += c.capacitors
		above.endless = above.endless || c.endless
		above.stated += c.stated
		above.bare += c.bare
	}
	return out
}

func (c *charge) add(inrush *model.Inrush) {
	if inrush == nil {
		c.bare++
		return
	}
	c.stated++
	if inrush.Capacitance > 0 {
		c.capacitors++
		c.capacitance += inrush.Capacitance
		c.conductance = math.Inf(1)
	}
	c.currents += inrush.Current
	c.endless = c.endless || inrush.Current > 0 && inrush.Duration <= 0
	c.duration = max(c.duration, inrush.Duration)
}

// inrush computes the switching on behind a node.
func (f *flow) inrush(at int32, c *charge) Inrush {
	supply := f.machine.Power.Supplies[f.nodes[at].supply]
	out := Inrush{
		Stated: c.stated, Unstated: c.bare, Capacitance: c.capacitance,
		Voltage: supply.Type.Max, Currents: c.currents, Duration: c.duration,
	}
	if steady := f.greatest[at]; steady == steady {
		out.Steady = &steady
	}
	if c.stated == 0 {
		return out
	}
	peak := c.currents
	if c.capacitors > 0 {
		out.Resistance = f.ways[at].cold() + model.Resistance(1/c.conductance)
		peak += ohmic(supply.Type.Max, out.Resistance)
	}
	limited := false
	if limit := supply.Type.Limit; limit > 0 {
		if supply.Type.Boost != nil {
			limit = max(limit, supply.Type.Boost.Current)
		}
		limited = peak > limit
		peak = min(peak, limit)
	}
	if math.IsInf(float64(peak), 1) {
		return out
	}
	out.Peak = &peak
	out.JouleIntegral = pulseHeat(&out, limited)
	return out
}

// pulseHeat bounds the Joule integral of the charging current. A network of resistances and capacitors takes a current
// that is a sum of falling exponentials with positive coefficients, for which ∫i²dt <= i(0)·Q/2 holds, with the charge
// Q = C·V (equal for one capacitor: C·V²/(2R)). Where the supply limits the current, ∫i²dt <= i·Q. A stated peak
// current adds to it for its duration.
func pulseHeat(in *Inrush, limited bool) model.JouleIntegral {
	q := float64(in.Capacitance) * float64(in.Voltage)
	peak, stated := float64(*in.Peak), float64(in.Currents)
	heat := peak * q
	if !limited {
		heat = (peak - stated) * q / 2
	}
	return model.JouleIntegral(heat + 2*stated*q + stated*stated*float64(in.Duration))
}

// decay is the time after which the charging current and the steady one together are below a level, at the latest: the
// charging current only falls and carries the charge C·V in all, so it is above x no longer than Q/x; with one
// capacitor it is known, R·C·ln(peak/x).
func decay(in *Inrush, c *charge, level model.Current) model.Duration {
	if *in.Peak+*in.Steady <= level {
		return 0
	}
	x := float64(level - *in.Steady)
	if !(x > 0) || c.endless {
		return model.Duration(math.Inf(1))
	}
	t := float64(in.Capacitance) * float64(in.Voltage) / x
	first := float64(in.Voltage) / float64(in.Resistance)
	if c.capacitors == 1 && float64(*in.Peak) >= first { // the supply does not limit it
		t = min(t, float64(in.Resistance)*float64(in.Capacitance)*math.Log(max(1, first/x)))
	}
	return max(model.Duration(t), in.Duration)
}

const (
	noLoad      = "there is no load behind this place"
	noInrush    = "no load behind this place states an inrush"
	noPeak      = "nothing bounds the peak: the supply states no limit, and there is no resistance on the way"
	noCapacity  = "only a supply has a largest capacitance"
	deviceHolds = "current that the protective device stands for the duration of the inrush"
)

// judgeDevice checks the inrush against the fastest edge of a protective device.
func (f *flow) judgeDevice(in *Inrush, device int32, c *charge) {
	in.Capacity = inapplicable[model.Capacitance](noCapacity)
	switch {
	case device == none:
		in.Hold = inapplicable[model.Current]("the port states no fuse")
		return
	case !f.inrushKnown(in, f.nodes[f.protectiveNode[device]].tree):
		return
	}
	curve := f.protectives[device].curve
	value := *in.Peak + *in.Steady
	t := model.Duration(math.Inf(1))
	if curve.noHottest == "" {
		t = decay(in, c, curve.forever)
	}
	limit := curve.stands(t)
	if in.Decay = finite(t); in.Decay != nil {
		if curve.meltMin > 0 {
			q := float64(in.Capacitance)*float64(in.Voltage) + float64(in.Currents)*float64(in.Duration)
			steady := float64(*in.Steady)
			heat := float64(in.JouleIntegral) + 2*steady*q + steady*steady*float64(t)
			limit = max(limit, value*model.Current(math.Sqrt(float64(curve.meltMin)/heat)))
		}
	}
	in.Hold = atMost(value, limit, HighestLoaded, deviceHolds)
	if in.Hold.Status == Beyond && curve.noHolds != "" {
		in.Hold = uncovered(value, HighestLoaded, curve.noHolds)
	}
}

// judgeSupply checks the inrush against what the supply gives.
func (f *flow) judgeSupply(in *Inrush, supply *model.Supply, c *charge) {
	switch {
	case in.Stated+in.Unstated == 0:
		in.Capacity = inapplicable[model.Capacitance](noLoad)
	case in.Stated == 0:
		in.Capacity = unknown[model.Capacitance](noInrush)
	case supply.Type.MaxCapacitance > 0:
		in.Capacity = atMost(in.Capacitance, supply.Type.MaxCapacitance, NoCase, "largest capacitance with which the supply starts (max_capacitance)")
	default:
		in.Capacity = unlimited(in.Capacitance, NoCase, "the supply type states no largest capacitance (max_capacitance)")
	}
	if !f.inrushKnown(in, f.nodes[f.terminalsOf(supply)].tree) {
		return
	}
	limit := supply.Type.Limit
	value := *in.Peak + *in.Steady
	if limit <= 0 {
		in.Hold = uncovered(value, HighestLoaded, "the supply type states no limit")
		return
	}
	t := decay(in, c, limit)
	in.Decay = finite(t)
	if boost := supply.Type.Boost; boost != nil && value > limit && value <= boost.Current && t <= boost.Duration {
		in.Hold = atMost(value, boost.Current, HighestLoaded, "current of the supply's boost, which lasts long enough")
		return
	}
	if value > limit {
		in.Hold = uncovered(value, HighestLoaded, "the supply limits its current while everything behind it starts; whether it starts is told by its largest capacitance (max_capacitance)")
		return
	}
	in.Hold = atMost(value, limit, HighestLoaded, "current at which the supply limits")
}

func (f *flow) terminalsOf(supply *model.Supply) int32 {
	at, _ := f.terminals(supply)
	return at
}

// inrushKnown reports whether there is something to judge; where not, it says why.
func (f *flow) inrushKnown(in *Inrush, tree int32) bool {
	switch {
	case in.Stated+in.Unstated == 0:
		in.Hold = inapplicable[model.Current](noLoad)
	case in.Stated == 0:
		in.Hold = unknown[model.Current](noInrush)
	case in.Peak == nil:
		in.Hold = unknown[model.Current](noPeak)
	case in.Steady == nil:
		in.Hold = unknown[model.Current](f.whyUnknown(tree))
	default:
		return true
	}
	return false
}
