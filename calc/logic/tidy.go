package logic

import (
	"math/bits"

	"github.com/guardwright/guardwright/calc/logic/internal/aig"
)

// tidy makes a trace easier to read without making it longer: an input that doesn't matter rests at its lowest value for the
// whole run, and one that does changes as late as it can. Changes to the run are tried on the gates, 64 at a time, and kept
// only where the property is still answered in the last step and in none before, under all assumptions; what comes out is
// confirmed by the plain interpreter like every trace.
type tidy struct {
	c       *aig.Cone  // root 0 answers the property, the others are the assumptions
	run     [][]bool   // by step and cone input
	signals [][]int    // inputs of the cone by signal: one, or the bits of an integer
	states  [][]uint64 // by step: the latches of the run, all lanes equal
	flip    [][]uint64 // by step and input: the lanes in which the input is another than in the run
	x       []uint64   // by cone node
	work    int        // gate evaluations left
}

// tidyWork bounds the gate evaluations, 64 lanes each, spent on one trace; a longer trace stays as it was found from there on.
const tidyWork = 1 << 24

// change lets a signal keep, from step from up to but not including step to, the value of the step before; in step 0, rest.
type change struct {
	signal, from, to int
}

func newTidy(c *aig.Cone, run [][]bool, signals [][]int) *tidy {
	t := &tidy{c: c, run: run, signals: signals, x: make([]uint64, c.NumNodes()), work: tidyWork}
	t.states, t.flip = make([][]uint64, len(run)+1), make([][]uint64, len(run))
	for step := range t.states {
		t.states[step] = make([]uint64, len(c.Latches))
	}
	for step := range t.flip {
		t.flip[step] = make([]uint64, len(c.Inputs))
	}
	for i, v := range c.Init {
		t.states[0][i] = -uint64(bit(v))
	}
	t.settle(0)
	return t
}

// tidy does all it can.
func (t *tidy) tidy() {
	var rests []change
	for s := range t.signals {
		rests = append(rests, change{s, 0, len(t.run)})
	}
	t.together(t.alone(rests))
	var delays []change
	for s := range t.signals {
		for step := range t.run {
			if t.changes(s, step) {
				delays = append(delays, change{s, step, step + 1})
			}
		}
	}
	for _, d := range t.alone(delays) {
		t.delay(d.signal, d.from)
	}
}

// changes tells whether a signal differs from the step before.
func (t *tidy) changes(signal, step int) bool {
	for _, in := range t.signals[signal] {
		if t.run[step][in] != t.before(step, in) {
			return true
		}
	}
	return false
}

func (t *tidy) before(step, in int) bool { return step > 0 && t.run[step-1][in] }

// alone returns the changes that are good each by itself.
func (t *tidy) alone(all []change) []change {
	var out []change
	for len(all) > 0 {
		some := all[:min(64, len(all))]
		all = all[len(some):]
		for lane, ch := range some {
			t.mark(ch, 1<<lane)
		}
		good := t.good(some)
		for lane, ch := range some {
			if good>>lane&1 == 1 {
				out = append(out, ch)
			}
		}
	}
	return out
}

// together makes the changes one after the other, leaving out those that are not good with the ones before.
func (t *tidy) together(all []change) {
	for len(all) > 0 {
		some := all[:min(64, len(all))]
		for i, ch := range some {
			t.mark(ch, ^uint64(0)<<i)
		}
		n := min(bits.TrailingZeros64(^t.good(some)), len(some))
		t.make(some[:n])
		if n == len(some) {
			all = all[n:]
		} else {
			all = all[n+1:]
		}
	}
}

// delay puts a signal's change at a step off as long as every step of delay is good.
func (t *tidy) delay(signal, from int) {
	for from < len(t.run) {
		n := min(64, len(t.run)-from)
		for i := range n {
			t.markStep(signal, from, from+i, ^uint64(0)<<i)
		}
		good := min(bits.TrailingZeros64(^t.good([]change{{signal, from, from + n}})), n)
		if good > 0 {
			t.make([]change{{signal, from, from + good}})
		}
		if from += good; good < 64 {
			return
		}
	}
}

// mark tries a change in some lanes.
func (t *tidy) mark(ch change, lanes uint64) {
	for step := ch.from; step < ch.to; step++ {
		t.markStep(ch.signal, ch.from, step, lanes)
	}
}

// markStep lets a signal have, in some lanes of a step, the value that it had before step from.
func (t *tidy) markStep(signal, from, step int, lanes uint64) {
	for _, in := range t.signals[signal] {
		if t.run[step][in] != t.before(from, in) {
			t.flip[step][in] |= lanes
		}
	}
}

// make makes changes to the run.
func (t *tidy) make(all []change) {
	from := len(t.run)
	for _, ch := range all {
		from = min(from, ch.from)
		for step := ch.from; step < ch.to; step++ {
			for _, in := range t.signals[ch.signal] {
				t.run[step][in] = t.before(ch.from, in)
			}
		}
	}
	t.settle(from)
}

// settle finds the states of the run behind a step.
func (t *tidy) settle(from int) {
	for step := from; step < len(t.run); step++ {
		t.eval(t.states[step], step)
		t.next(t.states[step+1])
	}
}

// good returns the lanes in which the marked changes, of which all are given, leave a good run, and takes the marks back.
func (t *tidy) good(all []change) uint64 {
	from, to := len(t.run), 0
	for _, ch := range all {
		from, to = min(from, ch.from), max(to, ch.to)
	}
	lanes := ^uint64(0)
	if t.work -= (len(t.run) - from) * len(t.c.Ands); t.work < 0 || len(all) == 0 {
		lanes = 0
	}
	state := make([]uint64, len(t.c.Latches))
	if from < len(t.run) {
		copy(state, t.states[from])
	}
	for step := from; step < len(t.run) && lanes != 0; step++ {
		t.eval(state, step)
		hit := t.lit(t.c.Roots[0])
		if step < len(t.run)-1 {
			hit = ^hit
		}
		lanes &= hit
		for _, l := range t.c.Roots[1:] {
			lanes &= t.lit(l)
		}
		t.next(state)
	}
	for step := from; step < to; step++ {
		clear(t.flip[step])
	}
	return lanes
}

// eval evaluates the gates of one step.
func (t *tidy) eval(state []uint64, step int) {
	x := t.x
	x[0] = 0
	for i, v := range t.run[step] {
		x[1+i] = -uint64(bit(v)) ^ t.flip[step][i]
	}
	copy(x[1+len(t.c.Inputs):], state)
	gates := x[1+len(t.c.Inputs)+len(t.c.Latches):]
	for i, a := range t.c.Ands {
		gates[i] = t.lit(a[0]) & t.lit(a[1])
	}
}

func (t *tidy) lit(l aig.Lit) uint64 { return t.x[l.Node()] ^ -uint64(l&1) }

func (t *tidy) next(state []uint64) {
	for i, l := range t.c.Next {
		state[i] = t.lit(l)
	}
}
