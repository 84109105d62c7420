package logic

import "slices"

// The assumptions of a whole machine tie everything to everything: a property of one zone that took all of them along would
// have the states of all zones. A property is therefore first asked with its own assumptions only, those that speak of
// nothing but the inputs that the property rests on anyway. That allows every run of the system, and more. What is impossible
// then is impossible; what is possible is an answer where the other inputs can be given values that keep the other
// assumptions too, and in no case can fewer steps do.

// answerOwn answers what it can with the properties' own assumptions, and marks it in p.
func (p *prover) answerOwn() {
	if len(p.as) == 0 || p.opts.satOnly {
		return
	}
	type family struct {
		own   []int
		props []int
	}
	var families []family
	for i := range p.props {
		own := p.ownAssumptions(i)
		if len(own) == len(p.as) {
			continue
		}
		at := slices.IndexFunc(families, func(f family) bool { return slices.Equal(f.own, own) })
		if at < 0 {
			at = len(families)
			families = append(families, family{own: own})
		}
		families[at].props = append(families[at].props, i)
	}
	answered := 0
	for _, f := range families {
		q := p.sub(f.props, f.own, 0, nil)
		q.own = true
		q.start()
		q.answerEarly()
		q.answer()
		if q.noFirst {
			p.noFirst = true
		}
		for k, i := range f.props {
			answered += p.takeOwn(i, q, k)
		}
	}
	p.progress(answered)
}

// ownAssumptions returns the assumptions whose inputs the property rests on, all of them.
func (p *prover) ownAssumptions(i int) []int {
	roots := p.props[i].roots()
	if !p.opts.SkipVacuity {
		roots = append(roots, p.props[i].preconditions(p.s.g)...)
	}
	needed := p.s.needed(roots)
	var own []int
	for k, a := range p.as {
		if !slices.ContainsFunc(p.freeInputs(a), func(id int32) bool { return !needed[id] }) {
			own = append(own, k)
		}
	}
	return own
}

// freeInputs returns the inputs that an assumption rests on.
func (p *prover) freeInputs(a assumption) []int32 {
	if p.inputsOf == nil {
		p.inputsOf = map[int32][]int32{}
	}
	if known, ok := p.inputsOf[a.expr]; ok {
		return known
	}
	faults := p.s.faultMap()
	out := []int32{}
	for id, need := range p.s.needed([]int32{a.expr}) {
		f, faulty := faults[int32(id)]
		if o := p.s.g.nodes[id].op; need && (faulty && f.Kind == Free || !faulty && (o == opInput || o == opIntInput)) {
			out = append(out, int32(id))
		}
	}
	p.inputsOf[a.expr] = out
	return out
}

// setting is what a prover asks on behalf of another: some of the properties and of the parts of the assumptions of the call, by
// number, with the windows of early.go that may end early.
type setting struct {
	props, as []int
	early     int
	near      map[node]bool
}

// sub is a prover for some of the properties of p with some of its assumptions.
func (p *prover) sub(props, as []int, early int, near map[node]bool) *prover {
	of := &setting{early: early, near: near}
	for _, i := range props {
		if p.of != nil {
			i = p.of.props[i]
		}
		of.props = append(of.props, i)
	}
	for _, i := range as {
		if p.of != nil {
			i = p.of.as[i]
		}
		of.as = append(of.as, i)
	}
	q := &prover{ctx: p.ctx, s: p.s, opts: p.opts, limits: p.limits, of: of, early: early, near: near}
	q.opts.Progress = nil
	for _, i := range props {
		q.props = append(q.props, p.props[i])
	}
	for _, i := range as {
		q.as = append(q.as, p.as[i])
	}
	return q
}

// takeOwn takes over the answers on property k of q, which is property i here, and returns how many questions they answer.
func (p *prover) takeOwn(i int, q *prover, k int) int {
	var hit *question
	open := false
	covers := map[int]*question{}
	states := 0
	whole := proof{in: q.of}
	for _, at := range q.byProp[k] {
		x := &q.questions[at]
		switch {
		case x.cover >= 0:
			covers[x.cover] = x
			continue
		case x.state == met && (hit == nil || x.steps < hit.steps):
			hit = x
		case x.state == unanswered:
			open = true
		}
		states += x.states
		whole.add(x.proof)
	}
	var run fullRun
	if hit != nil && !open && !hit.longer {
		run = p.complete(p.props[i], q, hit)
	}
	answered := 0
	for _, at := range p.byProp[i] {
		x := &p.questions[at]
		switch {
		case x.cover >= 0:
			answered += p.takeCover(x, covers[x.cover], q, i)
			continue
		case run != nil:
			if x.state = dropped; answered == 0 {
				x.state, x.steps, x.trace = met, hit.steps, &coneTrace{run: run}
			}
		case hit == nil && !open:
			x.state, x.proof = never, whole
			whole = proof{in: whole.in} // once is enough
		default:
			continue
		}
		x.method, x.states, states = p.methodOf(q, k), states, 0
		answered++
	}
	return answered
}

// takeCover takes over whether a precondition can hold.
func (p *prover) takeCover(x, from *question, q *prover, i int) int {
	switch {
	case from == nil:
		return 0
	case from.state == never:
		x.state, x.proof = never, from.proof
	case from.state == met && p.complete(p.cover(i, x.cover), q, from) != nil:
		x.state = met
	default:
		return 0
	}
	return 1
}

func (p *prover) methodOf(q *prover, k int) string {
	var r Result
	q.merge(k, &r)
	return r.Method
}

// cover is the question whether precondition k of a property can hold.
func (p *prover) cover(i, k int) Property {
	return Reachable("", p.s.boolOf(p.props[i].preconditions(p.s.g)[k]))
}

// fullRun is a run of the system: codes of the inputs by step and signal.
type fullRun []map[int32]uint64

// completeWork bounds the node evaluations spent on completing one run.
const completeWork = 1 << 24

// complete gives the inputs that a run found by q leaves open values that keep all assumptions of p; nil where it finds none.
// Each such input rests at its lowest or at its highest value.
func (p *prover) complete(target Property, q *prover, x *question) fullRun {
	roots := target.roots()
	for _, a := range p.as {
		roots = append(roots, a.expr)
	}
	c := &completion{m: newInterp(p.s, roots, nil), target: target, as: p.as, work: completeWork}
	codes, fixed := q.codes(x)
	signals, lowest := p.s.inputsOf(c.m)
	c.run = make([][]int64, len(codes))
	for step := range codes {
		c.run[step] = make([]int64, len(p.s.g.signals))
		for i, at := range signals {
			if c.run[step][at] = lowest[i]; fixed[at] {
				c.run[step][at] = codeValue(p.s.g.domain(p.s.g.signals[at].node), codes[step][at])
			}
		}
	}
	var free []int32
	for _, at := range signals {
		if !fixed[at] {
			free = append(free, at)
		}
	}
	if !c.mend(p.s, free) {
		return nil
	}
	for step := range codes {
		for _, at := range free {
			codes[step][at] = uint64(c.run[step][at] - p.s.g.domain(p.s.g.signals[at].node).lo)
		}
	}
	return codes
}

type completion struct {
	m      *interp
	target Property
	as     []assumption
	run    [][]int64 // values by step and signal
	work   int
}

// mend raises one free input after the other for the whole run where that mends broken assumptions.
func (c *completion) mend(s *System, free []int32) bool {
	broken := c.broken()
	for better := true; better && broken > 0; {
		better = false
		for _, at := range free {
			d := s.g.domain(s.g.signals[at].node)
			old := c.run[0][at]
			now := d.lo + d.hi - old
			c.rest(at, now)
			if b := c.broken(); b < broken {
				broken, better = b, true
				continue
			}
			c.rest(at, old)
		}
	}
	return broken == 0 && c.work > 0
}

func (c *completion) rest(at int32, v int64) {
	for step := range c.run {
		c.run[step][at] = v
	}
}

// broken replays the run and counts the steps of assumptions that are broken; a run that misses its target counts as all of
// them broken.
func (c *completion) broken() int {
	worst := len(c.as)*len(c.run) + 1
	if c.work -= len(c.m.order) * len(c.run); c.work < 0 {
		return worst
	}
	c.m.reset()
	n := 0
	for step := range c.run {
		c.m.run(func(signal int32) int64 { return c.run[step][signal] })
		for _, a := range c.as {
			if c.m.vals[a.expr] != 1 {
				n++
			}
		}
	}
	if !c.target.hit(c.m.vals) {
		return worst
	}
	return n
}

// inputsOf returns the signals that the interpreter takes from outside, with their lowest values.
func (s *System) inputsOf(m *interp) (signals []int32, lowest []int64) {
	for _, id := range m.order {
		f, faulty := m.faults[id]
		o := s.g.nodes[id].op
		if faulty && f.Kind == Free || !faulty && (o == opInput || o == opIntInput) {
			at, _ := s.g.signalOf(id)
			signals = append(signals, at)
			lowest = append(lowest, s.g.domain(id).lo)
		}
	}
	return signals, lowest
}
