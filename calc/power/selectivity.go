package power

import (
	"math"
	"slices"

	"github.com/guardwright/guardwright/model"
)

// fillSelectivity judges every pair of protective devices that follow each other.
func (f *flow) fillSelectivity() {
	for i := range f.protectives {
		upstream := f.nodes[f.nodes[f.protectiveNode[i]].parent].behind
		if upstream != none {
			f.r.Selectivity = append(f.r.Selectivity, f.selectivity(int32(i), upstream))
		}
	}
}

// selectivity judges one pair: over the whole range of fault currents behind the downstream device, the latest time at
// which it has opened must not be longer than the time for which the upstream device stays closed at least, while
// that one carries its load current as well.
func (f *flow) selectivity(down, up int32) *Selectivity {
	out := &Selectivity{Downstream: &f.protectives[down], Upstream: &f.protectives[up], Status: NotCovered}
	r := &f.ranges[down]
	out.From, out.To = r.from, r.to
	beside := f.greatest[f.protectiveNode[up]]
	switch {
	case r.why != "":
		out.Why = r.why
		return out
	case !r.any:
		out.Why = "nothing hangs behind the downstream device"
		return out
	case beside != beside:
		out.Why = "the load current of the upstream device is not known: " + f.whyUnknown(f.nodes[f.protectiveNode[up]].tree)
		return out
	}
	out.Beside = beside
	d := out.Downstream.curve
	u := out.Upstream.curve
	ok := selective(d, u, out)
	switch {
	case ok:
		out.Status = Within
	case d.noOpens != "":
		out.Why = d.noOpens
	case u.noHolds != "":
		out.Why = u.noHolds
	default:
		out.Status = Beyond
	}
	return out
}

// selective looks for the current at which the upstream device holds the shortest in relation to the opening of the
// downstream one. Between two corners of the curves the relation is monotone, so their ends decide.
func selective(d, u *curve, out *Selectivity) bool {
	var buffer [24]model.Current
	points := d.corners(out.From, out.To, buffer[:0])
	for _, s := range u.holds {
		points = append(points, s.current-out.Beside)
	}
	if u.noHottest == "" {
		points = append(points, u.forever-out.Beside)
	}
	points = append(points, out.From, out.To)
	slices.Sort(points)
	const nearby = 1e-12
	weakest := math.Inf(1)
	var weakestOpens, weakestHolds model.Duration
	for _, point := range points {
		for _, x := range [...]model.Current{point * (1 - nearby), point, point * (1 + nearby)} {
			if x < out.From || x > out.To {
				continue
			}
			opens, holds := d.latest(x), u.earliest(x+out.Beside)
			if relation := relate(holds, opens); relation < weakest || out.At == 0 {
				weakest, out.At, weakestOpens, weakestHolds = relation, x, opens, holds
			}
		}
	}
	out.DownstreamOpens, out.UpstreamHolds = finite(weakestOpens), finite(weakestHolds)
	return weakest >= 1
}

// finite is nil for a time without end.
func finite(t model.Duration) *model.Duration {
	if math.IsInf(float64(t), 1) {
		return nil
	}
	return &t
}

// relate is holds/opens; a device that never opens is no trouble before one that always holds.
func relate(holds, opens model.Duration) float64 {
	if math.IsInf(float64(holds), 1) {
		return math.Inf(1)
	}
	return float64(holds / opens)
}
