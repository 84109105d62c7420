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

func (c *compiled) mayEnd(n *node) bool { return c.early > 0 && int(n.b) >= c.early && !c.near[*n] }

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

// earliest is the number of steps from which windows are given one latch.
func (p *prover) earliest() int {
	if p.opts.earlyFrom > 0 {
		return p.opts.earlyFrom
	}
	return longWindow
}

// answerEarly answers what it can with all long windows ending early, and marks it in p.
func (p *prover) answerEarly() {
	if p.opts.satOnly || p.opts.exactTimers {
		return
	}
	if open := p.openProperties(); len(p.windows(open, p.earliest())) > 0 {
		p.answerEarlyFrom(open, p.earliest(), nil)
	}
}

// endingTries bounds how often a property is asked with some of the windows counted out.
const endingTries = 3

// answerEnding answers what it can with fewer windows ending early: for each property that is left all but those near it,
// because it often needs the exact length of the timers that it speaks of, and of no other; then all but the shorter ones.
func (p *prover) answerEnding() {
	if p.opts.satOnly || p.opts.exactTimers {
		return
	}
	for _, i := range p.openProperties() {
		lengths := p.windows([]int{i}, p.earliest())
		if len(lengths) == 0 || p.props[i].kind == reachProperty {
			continue
		}
		if near := p.nearWindows(i); len(near) > 0 {
			p.answerEarlyFrom([]int{i}, 2, near)
		}
		for try := 1; try < endingTries && try < len(lengths) && p.isOpen(i); try++ {
			p.answerEarlyFrom([]int{i}, lengths[try-1]+1, nil)
		}
	}
}

// nearWindows returns the windows whose present value a property, or an assumption, is computed from in the same step.
func (p *prover) nearWindows(i int) map[node]bool {
	g := p.s.g
	stack := p.props[i].roots()
	for _, a := range p.as {
		stack = append(stack, a.expr)
	}
	near := map[node]bool{}
	seen := map[int32]bool{}
	for len(stack) > 0 {
		id := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		if seen[id] {
			continue
		}
		seen[id] = true
		switch n := g.nodes[id]; n.op {
		case opPre:
			continue
		case opWithin, opHeld, opPulse:
			near[n] = true
		}
		g.args(id, func(arg int32) { stack = append(stack, arg) })
	}
	return near
}

// openProperties returns the properties without an answer.
func (p *prover) openProperties() []int {
	var out []int
	for i := range p.byProp {
		if p.isOpen(i) {
			out = append(out, i)
		}
	}
	return out
}

func (p *prover) isOpen(i int) bool {
	return slices.ContainsFunc(p.byProp[i], func(at int) bool { q := &p.questions[at]; return q.state == unanswered && q.cover < 0 })
}

// windows returns the lengths of the windows of at least so many steps that the properties rest on, in ascending order.
func (p *prover) windows(props []int, from int) []int {
	var roots []int32
	for _, i := range props {
		roots = append(roots, p.props[i].roots()...)
	}
	if len(roots) == 0 {
		return nil
	}
	for _, a := range p.as {
		roots = append(roots, a.expr)
	}
	var out []int
	for id, need := range p.s.needed(roots) {
		if n := &p.s.g.nodes[id]; need && int(n.b) >= from && (n.op == opWithin || n.op == opHeld || n.op == opPulse) {
			out = append(out, int(n.b))
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// answerEarlyFrom gives windows from a length on, but those in near, the right to end early.
func (p *prover) answerEarlyFrom(open []int, from int, near map[node]bool) {
	q := p.sub(open, after(0, len(p.as)), from, near)
	q.deep = len(open) == 1
	q.start()
	q.answer()
	answered := 0
	for k, i := range open {
		impossible := true
		states := 0
		whole := proof{}
		unmet := map[int]proof{}
		for _, at := range q.byProp[k] {
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
				whole = proof{in: q.of} // once is enough
			} else if x.state != unanswered {
				continue
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
