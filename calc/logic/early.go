package logic

import (
	"slices"

	"github.com/guardwright/guardwright/calc/logic/internal/aig"
)

// A timer of many steps multiplies the states of everything beside it, while most properties don't depend on when exactly it
// ends. Such windows are therefore first given one latch in place of a counter: it may be set in any step from the second on,
// and a longer window over the same expression not before a shorter one. That allows every run of the system, and more. What
// is impossible then is impossible; what is possible is only a candidate, and is asked again with the counters.

// longWindow is the number of steps from which a window is worth it.
const longWindow = 32

func (c *compiled) mayEnd(n *node) bool { return c.early > 0 && int(n.b) >= c.early }

// end is the latch in place of a counter that has reached n-1: for Within, the argument was not true in the n-1 steps before;
// for Held, it was true in all of them.
func (c *compiled) end(n *node, x aig.Lit) aig.Lit {
	key := counterKey{op: n.op, arg: x, n: n.b}
	l, known := c.ends[key]
	if !known {
		l = c.a.Latch(n.op == opWithin) // never true so far; not held so far
		c.ends[key] = l
		c.order = append(c.order, key)
	}
	return l
}

// setEnds gives the latches their next values, those of shorter windows first.
func (c *compiled) setEnds() {
	slices.SortStableFunc(c.order, func(a, b counterKey) int { return int(a.n) - int(b.n) })
	shorter := map[counterKey]aig.Lit{}
	for _, key := range c.order {
		l := c.ends[key]
		restart := key.arg
		if key.op == opHeld {
			restart = key.arg.Not()
		}
		ends := c.a.Input()
		of := counterKey{op: key.op, arg: key.arg}
		if s, ok := shorter[of]; ok {
			ends = c.a.And(ends, s)
		}
		shorter[of] = l
		c.a.SetNext(l, c.a.And(restart.Not(), c.a.Or(l, ends)))
	}
}

// endingPulse is true in the steps after the first one of a pulse, as long as it runs.
func (c *compiled) endingPulse(n int32, x, rise aig.Lit) aig.Lit {
	key := counterKey{op: opPulse, arg: x, n: n}
	l, known := c.ends[key]
	if !known {
		l = c.a.Latch(false)
		c.ends[key] = l
		c.a.SetNext(l, c.a.Mux(l, c.a.Input(), rise))
	}
	return l
}

// answerEarly answers what it can with windows that may end early, and marks it in p.
func (p *prover) answerEarly() {
	from := longWindow
	if p.opts.earlyFrom > 0 {
		from = p.opts.earlyFrom
	}
	if p.c.long < from || p.opts.satOnly || p.opts.exactTimers {
		return
	}
	q := &prover{ctx: p.ctx, s: p.s, props: p.props, opts: p.opts, limits: p.limits, as: p.as, early: from}
	q.opts.Progress = nil
	q.compile()
	q.ask()
	q.clusterAssumptions()
	q.answer()
	answered := 0
	for i := range p.props {
		impossible := true
		states := 0
		whole := proof{early: from}
		unmet := map[int]proof{}
		for _, at := range q.byProp[i] {
			x := &q.questions[at]
			if x.cover >= 0 {
				if x.state == never {
					unmet[x.cover] = x.proof
				}
				continue
			}
			impossible = impossible && x.state == never
			states += x.states
			whole.add(x.proof)
		}
		for _, at := range p.byProp[i] {
			x := &p.questions[at]
			found, ok := unmet[x.cover]
			if x.cover < 0 {
				found, ok = whole, impossible
			}
			if ok {
				x.state, x.method, x.proof = never, "search of all states, long timers ending at any time", found
				x.states, states = states, 0
				answered++
			}
		}
	}
	p.progress(answered)
}
