package bound

import (
	"cmp"
	"math"
	"slices"
)

// input is a group of flows that come to a port together. What they bring in time t is at most the smaller of the
// bucket and of Frame + Link·t; Link is infinite for flows that no link bounds.
type input struct {
	bucket Bucket
	frame  float64
	link   float64
}

// brokenLine is a concave broken line from time 0 on: the sum of inputs.
type brokenLine struct {
	at, value []float64 // corners, the first at 0
	slope     float64   // behind the last corner
}

// sum makes the broken line of inputs in the memory of line.
func (line *brokenLine) sum(inputs []input) {
	line.at, line.value, line.slope = line.at[:0], line.value[:0], 0
	value, slope := 0.0, 0.0
	slices.SortFunc(inputs, func(a, b input) int { return cmp.Compare(a.corner(), b.corner()) })
	for _, in := range inputs {
		if in.corner() > 0 {
			value, slope = value+in.frame, slope+in.link
		} else {
			value, slope = value+in.bucket.Burst, slope+in.bucket.Rate
		}
	}
	line.add(0, value)
	at := 0.0
	for i, in := range inputs {
		c := in.corner()
		if c <= 0 || math.IsInf(c, 1) {
			continue
		}
		if c > at {
			value += slope * (c - at)
			at = c
			line.add(at, value)
		}
		// The slope is summed anew: taking a link's rate away from it would leave rounding errors that grow.
		slope = 0
		for j, other := range inputs {
			if oc := other.corner(); j > i && oc > 0 {
				slope += other.link
			} else {
				slope += other.bucket.Rate
			}
		}
	}
	line.slope = slope
}

func (line *brokenLine) add(at, value float64) {
	line.at, line.value = append(line.at, at), append(line.value, value)
}

// corner is the time at which the bucket becomes the smaller of the two bounds; 0 when it is from the start, infinite
// when it never is.
func (in input) corner() float64 {
	switch {
	case in.bucket.Burst <= in.frame || math.IsInf(in.link, 1):
		return 0
	case in.link <= in.bucket.Rate:
		return math.Inf(1)
	}
	return (in.bucket.Burst - in.frame) / (in.link - in.bucket.Rate)
}

// of is the value of the line at a time.
func (line *brokenLine) of(t float64) float64 {
	i, found := slices.BinarySearch(line.at, t)
	switch {
	case found:
		return line.value[i]
	case i == len(line.at):
		return line.value[i-1] + line.slope*(t-line.at[i-1])
	}
	share := (t - line.at[i-1]) / (line.at[i] - line.at[i-1])
	return line.value[i-1] + share*(line.value[i]-line.value[i-1])
}

// reaches is the earliest time at which the line has the given value; 0 when it starts above it, infinite when it never
// has.
func (line *brokenLine) reaches(value float64) float64 {
	for i, v := range line.value {
		if v < value {
			continue
		}
		if i == 0 {
			return 0
		}
		share := (value - line.value[i-1]) / (v - line.value[i-1])
		return line.at[i-1] + share*(line.at[i]-line.at[i-1])
	}
	last := len(line.at) - 1
	if line.slope <= 0 {
		return math.Inf(1)
	}
	return line.at[last] + (value-line.value[last])/line.slope
}

// gone is the latest x with rate·x ≤ work + above(x): when a port of that rate has done the work and all that may come
// above it. The left side less above(x) is convex and starts at zero or less, so there is one such x. Infinite when
// above takes the whole rate for ever.
func gone(rate, work float64, above *brokenLine) float64 {
	left := func(i int) float64 { return rate*above.at[i] - above.value[i] }
	last := len(above.at) - 1
	for i := range above.at {
		if left(i) <= work {
			continue
		}
		if i == 0 {
			return 0 // above starts below zero, which no sum of inputs does
		}
		share := (work - left(i-1)) / (left(i) - left(i-1))
		return above.at[i-1] + share*(above.at[i]-above.at[i-1])
	}
	if above.slope >= rate {
		return math.Inf(1)
	}
	return above.at[last] + (work-left(last))/(rate-above.slope)
}

// fifoDelay is the longest time from a frame's arrival until it has been sent, for a queue whose flows bring line, with
// above coming before them and one lower frame being finished first.
func fifoDelay(rate, lower float64, line, above *brokenLine) float64 {
	if line.slope+above.slope > rate {
		return math.Inf(1)
	}
	worst := 0.0
	try := func(t float64) {
		if !math.IsInf(t, 1) {
			worst = max(worst, gone(rate, lower+line.of(t), above)-t)
		}
	}
	for _, t := range line.at {
		try(t)
	}
	for i, x := range above.at {
		try(line.reaches(rate*x - above.value[i] - lower))
	}
	return worst
}

// busy is the longest time without rest of a port to which line comes, behind one lower frame.
func busy(rate, lower float64, line *brokenLine) float64 { return gone(rate, lower, line) }

// backlog is the most that waits at a port to which line comes; infinite when it grows without end.
func backlog(rate float64, line *brokenLine) float64 {
	if line.slope > rate {
		return math.Inf(1)
	}
	worst := 0.0
	for i, t := range line.at {
		worst = max(worst, line.value[i]-rate*t)
	}
	return worst
}
