package calc

import (
	"github.com/guardwright/guardwright/calc/distance"
	"github.com/guardwright/guardwright/calc/network"
	"github.com/guardwright/guardwright/calc/timing"
	"github.com/guardwright/guardwright/model"
)

// delays hands the network's bounds to the reaction times.
func delays(r *network.Result) map[string]timing.Delays {
	out := map[string]timing.Delays{}
	if r == nil {
		return out
	}
	for _, c := range r.Connections {
		out[c.Connection.Name] = delaysOf(c)
	}
	return out
}

// delaysOf takes the slowest flow of each direction. The data may go one way only, but then the protocol's answers go the
// other. A connection of which one bound is not known has none.
func delaysOf(c *network.Connection) timing.Delays {
	d := timing.Delays{InputInterval: c.Input, OutputInterval: c.Output, Recovery: recovery(c), Why: c.Why}
	if len(c.Flows) == 0 && d.Why == "" {
		d.Why = "its messages are not known"
	}
	for _, f := range c.Flows {
		if !f.Delay.Status.HasValue() {
			d.Why = f.Delay.Status.String()
			if f.Delay.Why != "" {
				d.Why = f.Delay.Why
			}
			return d
		}
		if f.To.Node.Controller != nil {
			d.ToController = max(d.ToController, f.Delay.Value)
		} else {
			d.FromController = max(d.FromController, f.Delay.Value)
		}
	}
	return d
}

// recovery is the longest recovery of the rings on the way; nil when one of them is not known, which leaves the stated
// times.
func recovery(c *network.Connection) *model.Duration {
	var longest model.Duration
	for _, r := range c.Rings {
		if !r.Recovery.Status.HasValue() {
			return nil
		}
		longest = max(longest, r.Recovery.Value)
	}
	return &longest
}

// allowed are the longest times that the built distances allow. Where a way to the hazard has no law, the time is only an
// upper bound and no limit; where a distance is too short for any time, it is zero.
func allowed(r *distance.Result) map[timing.Demand]model.Duration {
	out := map[timing.Demand]model.Duration{}
	for _, f := range r.Functions {
		for _, a := range f.Approaches {
			if a.Longest.Known && a.Complete {
				out[timing.Demand{Function: f.Function.Name, Device: a.Approach.Device.Name}] = a.Longest.Time
			}
		}
	}
	return out
}

// times hands the reaction times to the distances. With one communication fault: a distance has to hold then as well.
func times(r *timing.Result) map[distance.Demand]distance.Times {
	out := map[distance.Demand]distance.Times{}
	for _, f := range r.Functions {
		for _, d := range f.Demands {
			out[distance.Demand{Function: f.Function.Name, Device: d.Device.Name}] =
				distance.Times{Overall: timeOf(d.OneFault), Reaction: timeOf(d.Reaction)}
		}
	}
	return out
}

func runDowns(r *timing.Result) map[string]distance.Time {
	out := map[string]distance.Time{}
	for _, f := range r.Functions {
		out[f.Function.Name] = timeOf(f.RunDown)
	}
	return out
}

func timeOf(t timing.Total) distance.Time {
	return distance.Time{Known: t.Known, Time: t.Time, Why: t.Why}
}
