package radial

import (
	"math"
	"slices"
)

// limit is the state of the search for the collapse factor.
type limit struct {
	*Tree
	*scratch
	power        []float64 // constant powers relative to the largest one
	lambda       float64   // factor on power at which v is the upper solution
	h            []float64 // shape of the direction, see direction
	w            []float64 // direction in which v is lowered
	drop         []float64 // v0 - low, computed without taking differences
	low          []float64 // lowered voltages
	y            []float64 // dual weights, negative
	lower, upper float64
}

// search narrows the bounds until they agree or stop improving. It returns
// false if no constant-power load is behind a resistance.
func (l *limit) search() bool {
	const (
		enough    = 5e-12
		maxRounds = 100
	)
	margin := 1e-12
	idle := 0
	for round := 0; round < maxRounds && idle < 3; round++ {
		if !l.direction() { // singular to working accuracy
			margin *= 10
			l.advance(margin)
			idle++
			continue
		}
		touched, limited := l.stride()
		if !limited {
			return false
		}
		gap := l.upper - l.lower
		l.improveLower()
		l.improveUpper(touched)
		if l.upper-l.lower <= enough*l.upper {
			break
		}
		if l.upper-l.lower < 0.9*gap {
			idle = 0
		} else {
			idle++
		}
		l.advance(margin)
	}
	return true
}

// advance moves lambda to the lower bound, less a relative margin that keeps
// the Jacobian regular, and v to the upper solution there.
// Near a fold the distance of the two solutions goes with the square root of
// the distance in lambda, which gives the starting point; if it lies too low,
// Newton's method starts again from v0.
func (l *limit) advance(margin float64) {
	next := l.lower * (1 - margin)
	r := math.Sqrt(max(0, min(1, (l.upper-next)/(l.upper-l.lambda))))
	for k, low := range l.low {
		l.v[k] = low + r*(l.v[k]-low)
	}
	l.lambda = next
	if !l.newton(l.lambda, l.power, l.scratch).ok {
		copy(l.v, l.v0)
		l.newton(l.lambda, l.power, l.scratch)
	}
}

// direction computes w = J⁻¹ y with J the Jacobian at v and y = h power/v. With
// h = 1 it is the tangent -dV/dlambda; other shapes are for fold points.
func (l *limit) direction() bool {
	l.jacobian()
	for k, v := range l.v {
		l.a[k] = -l.power[k] / v * l.h[k]
	}
	if !l.sweep(0, l.scratch) {
		return false
	}
	copy(l.w, l.out)
	return true
}

// stride sets low to v lowered along w so far that it proves a large factor,
// and h to the shape of the next direction. It returns the position of the
// node without constant power whose voltage would reach zero first and so
// limits the stride, -1 if none does, and false if nothing limits it.
//
// With q = w/v, low proves at every node the factor
//
//	(1 - tau q)(lambda + tau (h + lambda q)) = lambda + tau h - tau² q (h + lambda q)
//
// Two lengths are tried: the one at which the first of these parabolas has its
// top, which always gains, and the one at which their mean, weighted with the
// dual weights of a fold, has it, which is best once they are alike.
func (l *limit) stride() (touched int, limited bool) {
	largest := 0.0
	for k, v := range l.v {
		if l.power[k] > 0 {
			largest = max(largest, l.w[k]/v)
		}
	}
	if largest == 0 {
		return -1, false
	}
	safe := math.Inf(1)
	var sumH, sumBend, sumQ, sumQ3 float64
	for k, v := range l.v {
		q := l.w[k] / v
		if !(l.power[k] > 0 && q > 0) {
			continue
		}
		bend := q * (l.h[k] + l.lambda*q)
		q /= largest
		weight := l.power[k] * q
		sumH += weight * l.h[k]
		sumBend += weight * bend
		sumQ += weight
		sumQ3 += weight * q * q
		safe = min(safe, l.h[k]/(2*bend))
	}
	tau := l.better(safe, min(sumH/(2*sumBend), 0.75/largest))
	touched = -1
	const keep = 1e-3 // fraction of a voltage that stays
	for k, v := range l.v {
		if l.power[k] == 0 && tau*l.w[k] > (1-keep)*v {
			tau, touched = (1-keep)*v/l.w[k], k
		}
	}
	square := sumQ3 / sumQ
	for k, v := range l.v {
		l.a[k] = -l.power[k] / v
	}
	l.drawResponse(l.scratch)
	for k, v := range l.v {
		l.drop[k] = l.lambda*l.out[k] + tau*l.w[k]
		l.low[k] = l.v0[k] - l.drop[k]
		l.h[k] = 1
		if touched < 0 {
			q := l.w[k] / v / largest
			l.h[k] += q * q / square
		}
	}
	return touched, true
}

// better returns the one of two stride lengths that proves the larger factor.
func (l *limit) better(one, other float64) float64 {
	gainOne, gainOther := math.Inf(1), math.Inf(1)
	for k, v := range l.v {
		if l.power[k] > 0 {
			q, h := l.w[k]/v, l.h[k]
			bend := q * (h + l.lambda*q)
			gainOne = min(gainOne, one*(h-one*bend))
			gainOther = min(gainOther, other*(h-other*bend))
		}
	}
	if gainOther > gainOne {
		return other
	}
	return one
}

// improveLower raises the lower bound to the largest factor for which low
// satisfies V <= V0 - lambda Z(p/V).
func (l *limit) improveLower() {
	for k, v := range l.low {
		if l.power[k] > 0 && !(v > 0) {
			return
		}
		l.a[k] = -l.power[k] / v
	}
	l.drawResponse(l.scratch)
	factor := math.Inf(1)
	for k, x := range l.out {
		room := l.v0[k]
		if l.power[k] > 0 {
			room = l.drop[k]
		}
		if x > 0 {
			factor = min(factor, room/x)
		}
	}
	l.lower = max(l.lower, factor)
}

// improveUpper lowers the upper bound with the dual weights of a fold near low
// and, if a node without constant power was touched, with those of its voltage
// reaching zero.
func (l *limit) improveUpper(touched int) {
	// One step of inverse iteration, so that parts of the tree that are only
	// nearly at their own fold get next to no weight.
	l.jacobian()
	scale := slices.Max(l.w) // weights count by their ratios only
	for k, v := range l.low {
		l.a[k] = -l.power[k] * (l.w[k] / scale) / (v * v)
	}
	if l.sweep(0, l.scratch) {
		scale = slices.Max(l.out)
		for k, v := range l.low {
			l.a[k] = -l.power[k] * (l.out[k] / scale) / (v * v)
		}
		l.dualBound()
	}
	if touched < 0 {
		return
	}
	l.jacobian()
	clear(l.a)
	l.a[touched] = -1
	if l.sweep(0, l.scratch) {
		for k, v := range l.v {
			l.a[k] = -l.lambda * l.power[k] * l.out[k] / (v * v)
		}
		l.a[touched]--
		l.dualBound()
	}
}

// jacobian sets g to that of the loads linearised at v.
func (l *limit) jacobian() {
	for k, v := range l.v {
		l.g[k] = l.conductance[k] - l.lambda*l.power[k]/(v*v)
	}
}

// dualBound lowers the upper bound to that of the weights y = -a >= 0:
// (y'V0 / (2 sum sqrt(p y Zy)))².
func (l *limit) dualBound() {
	copy(l.y, l.a) // sweep overwrites a
	l.drawResponse(l.scratch)
	gain, cost := 0.0, 0.0
	for k, y := range l.y {
		gain -= y * l.v0[k]
		cost += math.Sqrt(-y * l.power[k] * l.out[k])
	}
	if cost > 0 {
		bound := gain / (2 * cost)
		l.upper = min(l.upper, bound*bound)
	}
}
