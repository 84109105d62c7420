package power

import (
	"fmt"
	"math"

	"github.com/guardwright/guardwright/model"
)

// faultRange is the range of fault currents behind a protective device, over all that it protects.
type faultRange struct {
	from, to model.Current
	any      bool
	why      string // what is missing
}

func (r *faultRange) add(from, to model.Current) {
	if !r.any {
		r.from, r.to, r.any = from, to, true
		return
	}
	r.from, r.to = min(r.from, from), max(r.to, to)
}

// fillFaults computes the short circuits: behind every protective device between supply and feeds, and at the end of
// every run.
func (f *flow) fillFaults() {
	for _, out := range f.r.Protections {
		at := f.protectionNode[out.Protection]
		out.Fault = f.fault(at, f.nodes[at].behind)
		if out.Run != nil {
			f.faultOnRun(at)
		}
	}
	for _, feed := range f.r.Feeds {
		for _, c := range feed.Circuits {
			f.faultOnRun(f.feedNode[c.Circuit])
		}
	}
	for _, m := range f.r.Modules {
		for _, port := range m.Ports {
			for _, c := range port.Circuits {
				if c.at > 0 {
					f.faultOnRun(c.at - 1)
				}
			}
		}
	}
}

func (f *flow) faultOnRun(at int32) {
	n := &f.nodes[at]
	n.run.Fault = f.fault(at, n.upstream)
	n.run.Withstand = f.withstand(n.run, n.supply)
}

// fault computes the short circuit at a node that a protective device has to open.
//
// The smallest current, Ik = min(Ilim, V/R), has the lowest supply voltage, hot conductors and all contacts on the way
// there and back, and no other load. While the other loads go on drawing, the supply's limit is shared with them and
// their drops lower the voltage: Assured is V(node in the case Lowest)/R, at most the limit less what flows elsewhere.
// The discharge of capacitors at the supply's output, which adds to the fault current for a moment, is left out.
func (f *flow) fault(at, device int32) Fault {
	n, w := &f.nodes[at], &f.ways[at]
	supply := f.machine.Power.Supplies[n.supply]
	out := Fault{
		Voltage: supply.Type.Min, Source: supply.Type.SourceResistance,
		Devices: w.devices, Conductors: w.conductors, Contacts: w.contacts, Loop: w.hot,
		SupplyLimit: supply.Type.Limit,
		Largest:     f.largest(n),
	}
	prospective := ohmic(supply.Type.Min, w.hot)
	if w.hot > 0 {
		out.Ohmic = &prospective
	}
	if boost := supply.Type.Boost; boost != nil {
		out.Boost, out.BoostTime = boost.Current, boost.Duration
	}
	if device != none {
		out.Protective = &f.protectives[device]
	}
	if out.SupplyLimit <= 0 {
		out.Why = fmt.Sprintf("supply type %s states no limit, so no fault current can be claimed", supply.Type.Name)
	} else {
		out.Known = true
		out.Current = min(prospective, out.SupplyLimit)
	}
	boosted := min(prospective, out.Boost)
	if out.Known {
		boosted = f.assure(&out, at, device, boosted)
	}
	f.trip(&out, device, boosted)
	f.noteRange(&out, device)
	return out
}

// largest is the largest fault current at the start of what leads to a node; nil when nothing bounds it.
func (f *flow) largest(n *node) *model.Current {
	supply := f.machine.Power.Supplies[n.supply]
	i := ohmic(supply.Type.Max, f.ways[n.parent].cold())
	if supply.Type.Limit > 0 {
		bound := supply.Type.Limit
		if supply.Type.Boost != nil {
			bound = max(bound, supply.Type.Boost.Current)
		}
		i = min(i, bound)
	}
	if math.IsInf(float64(i), 1) {
		return nil
	}
	return &i
}

// assure fills in the fault current with the other loads on, and returns the boosted one likewise.
func (f *flow) assure(out *Fault, at, device int32, boosted model.Current) model.Current {
	n := &f.nodes[at]
	total := f.supplyCurrent(n.supply, Lowest)
	if !f.ok(Lowest, n.tree) || total != total {
		return boosted
	}
	elsewhere := total
	if device != none {
		elsewhere -= model.Current(f.i[Lowest][f.protectiveNode[device]])
	}
	elsewhere = max(0, elsewhere)
	voltage := min(model.Voltage(f.v[Lowest][at]), out.Voltage)
	loaded := ohmic(voltage, out.Loop)
	assured := max(0, min(out.Current, loaded, out.SupplyLimit-elsewhere))
	out.Assured = &assured
	return max(0, min(boosted, loaded, out.Boost-elsewhere))
}

// supplyCurrent is the current of a supply in a case; NaN when it is not known.
func (f *flow) supplyCurrent(supply int32, c Case) model.Current {
	at := f.supplyNode[supply]
	if !f.ok(c, f.nodes[at].tree) {
		return model.Current(math.NaN())
	}
	return model.Current(f.i[c][at])
}

// faultTime is the longest time until a short circuit is opened; 5 s (IEC 60364-4-41:2017, 411.3.2.3, for distribution
// circuits; from memory) where the machine does not say.
func (f *flow) faultTime() model.Duration {
	if f.machine.Power.FaultTime > 0 {
		return f.machine.Power.FaultTime
	}
	return 5
}

// trip judges whether the protective device opens in time.
func (f *flow) trip(out *Fault, device int32, boosted model.Current) {
	why := out.Why
	if device == none {
		why = "no overcurrent protective device lies between the supply and this place"
	}
	if why != "" {
		out.Trip, out.Opens = unknown[model.Current](why), unknown[model.Duration](why)
		return
	}
	c := out.Protective.curve
	limit := f.faultTime()
	i := out.Current
	if out.Assured != nil {
		i = *out.Assured
	}
	opens := c.latest(i)
	if t := c.latest(boosted); out.Boost > 0 && t <= out.BoostTime && t < opens {
		opens, i = t, boosted
	}
	out.Opens = checkOpens(c, i, opens, limit)
	out.Trip = checkTrip(c, i, opens, limit)
}

const tripLimits = "current at which the protective device is sure to open within the permitted time"

func checkTrip(c *curve, i model.Current, opens, limit model.Duration) Check[model.Current] {
	needed, ok := c.needed(limit)
	switch {
	case opens <= limit:
		return atLeast(i, needed, NoCase, tripLimits)
	case c.noOpens != "":
		return uncovered(i, NoCase, c.noOpens)
	case !ok:
		return uncovered(i, NoCase, "the data of the protective device state no current at which it opens within "+limit.Format(3))
	}
	return atLeast(i, needed, NoCase, tripLimits)
}

func checkOpens(c *curve, i model.Current, opens, limit model.Duration) Check[model.Duration] {
	switch {
	case opens <= limit:
		return atMost(opens, limit, NoCase, "permitted time until a short circuit is opened (fault_time)")
	case c.noOpens != "":
		return unknown[model.Duration](c.noOpens)
	case math.IsInf(float64(opens), 1):
		return unknown[model.Duration]("by its data the protective device need not open at " + i.Format(3))
	}
	return atMost(opens, limit, NoCase, "permitted time until a short circuit is opened (fault_time)")
}

// noteRange adds a fault to the range of its protective device.
func (f *flow) noteRange(out *Fault, device int32) {
	if device == none {
		return
	}
	r := &f.ranges[device]
	switch {
	case !out.Known:
		r.why = out.Why
	case out.Largest == nil:
		r.why = "nothing bounds the largest fault current: the supply states neither a limit nor a source resistance"
	default:
		smallest := out.Current
		if out.Assured != nil {
			smallest = *out.Assured
		}
		r.add(smallest, *out.Largest)
	}
}

// adiabatic is k of a copper conductor with PVC insulation from 70 °C to 160 °C, in A·√s/mm² (IEC 60364-4-43:2008 Table
// 43A; from memory). Other insulations of machine cables have the same k or a higher one.
const adiabatic = 115

// withstand checks the Joule integral of a short circuit on a run against k²S² of one core (IEC 60364-4-43:2008, 434.5.2;
// heat that flows off is neglected, which is safe for times above 5 s). Every current between the smallest and the
// largest fault current is considered, because a smaller current that flows longer can heat more.
func (f *flow) withstand(r *Run, supply int32) Check[model.JouleIntegral] {
	fault := &r.Fault
	switch {
	case r.Cable == nil:
		return inapplicable[model.JouleIntegral](noConductor)
	case !fault.Known:
		return unknown[model.JouleIntegral](fault.Why)
	case fault.Protective == nil:
		return unknown[model.JouleIntegral]("no overcurrent protective device lies between the supply and the cable")
	case fault.Largest == nil:
		return unknown[model.JouleIntegral]("nothing bounds the largest fault current: the supply states neither a limit nor a source resistance")
	}
	limit := adiabaticLimit(r.Cable.Cable.Section)
	c := fault.Protective.curve
	smallest := fault.Current
	if fault.Assured != nil {
		smallest = *fault.Assured
	}
	worst, at := worstHeat(c, fault, smallest)
	if math.IsInf(float64(worst), 1) {
		text := c.noOpens
		if text == "" {
			text = "by its data the protective device need not open at " + at.Format(3)
		}
		return unknown[model.JouleIntegral](text)
	}
	if worst > limit && c.noOpens != "" {
		return uncovered(worst, NoCase, c.noOpens)
	}
	return atMost(worst, limit, NoCase, "k²S² of one core (IEC 60364-4-43:2008, 434.5.2)")
}

// adiabaticLimit is the Joule integral k²S² that brings a copper conductor in PVC to its limiting temperature.
func adiabaticLimit(s model.CrossSection) model.JouleIntegral {
	return model.JouleIntegral(adiabatic * adiabatic * float64(s) * float64(s))
}

// worstHeat is the greatest Joule integral until the device has opened, over all fault currents up to the largest, and
// the prospective current at which it occurs. Just below a corner of the curve a current flows longest.
func worstHeat(c *curve, fault *Fault, smallest model.Current) (worst model.JouleIntegral, at model.Current) {
	var buffer [16]model.Current
	candidates := c.corners(smallest, *fault.Largest, buffer[:0])
	for i, corner := range candidates {
		candidates[i] = model.Current(math.Nextafter(float64(corner), 0))
	}
	candidates = append(candidates, smallest, *fault.Largest)
	for _, i := range candidates {
		if heat := heatUntilOpen(c, fault, i); heat > worst {
			worst, at = heat, i
		}
	}
	return worst, at
}

// heatUntilOpen is the Joule integral of a prospective current that the supply limits.
func heatUntilOpen(c *curve, fault *Fault, prospective model.Current) model.JouleIntegral {
	sustained := min(prospective, fault.SupplyLimit)
	opens := c.latest(sustained)
	boosted := min(prospective, max(fault.Boost, fault.SupplyLimit))
	if t := c.latest(boosted); t <= fault.BoostTime {
		opens = min(opens, t)
	}
	early := min(opens, fault.BoostTime)
	heat := func(i model.Current, t model.Duration) float64 {
		if t <= 0 {
			return 0
		}
		return float64(i) * float64(i) * float64(t)
	}
	return model.JouleIntegral(heat(boosted, early) + heat(sustained, opens-early))
}
