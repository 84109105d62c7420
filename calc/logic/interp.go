package logic

// interp evaluates expressions step by step, straight from the expression graph, with three-valued logic: a value that was
// not recorded is unknown, and what depends on it is unknown unless the known values decide it (Kleene). With all inputs
// known it is the plain two-valued meaning of the system. It shares nothing with the proof engines: not their gates, not
// their encoding of integers, not their counters.
type interp struct {
	g      *graph
	faults map[int32]Fault
	order  []int32 // nodes to evaluate, ascending
	cut    []bool  // by node: the value comes from outside
	vals   []int64 // by node
	slot   []int32 // by node: first place in mem, or noNode
	mem    []int64
	init   []int64
	latchs []int32 // latches in the cone, as numbers of graph.latches
	step   int
}

// newInterp prepares the evaluation of the roots. Signals for which cut is true take their values from outside and end the
// cone there.
func newInterp(s *System, roots []int32, cut func(signal int32) bool) *interp {
	g := s.graph()
	m := &interp{g: g, faults: s.faultMap(), cut: make([]bool, len(g.nodes)), vals: make([]int64, len(g.nodes)),
		slot: make([]int32, len(g.nodes))}
	needed := make([]bool, len(g.nodes))
	stack := append([]int32(nil), roots...)
	visit := func(id int32) { stack = append(stack, id) }
	for len(stack) > 0 {
		id := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		if needed[id] {
			continue
		}
		needed[id] = true
		if _, faulty := m.faults[id]; faulty {
			continue
		}
		if at, ok := g.signalOf(id); ok && cut != nil && cut(at) {
			m.cut[id] = true
			continue
		}
		if o := g.nodes[id].op; o == opLatch || o == opIntLatch {
			visit(g.latches[g.nodes[id].a].next)
			continue
		}
		g.args(id, visit)
	}
	for id, need := range needed {
		m.slot[id] = noNode
		if need {
			m.order = append(m.order, int32(id))
			if !m.cut[id] {
				m.remember(int32(id))
			}
		}
	}
	m.reset()
	return m
}

// remember reserves the memory that a node needs between steps.
func (m *interp) remember(id int32) {
	if _, faulty := m.faults[id]; faulty {
		return
	}
	m.slot[id] = int32(len(m.init))
	switch n := &m.g.nodes[id]; n.op {
	case opLatch, opIntLatch:
		m.latchs = append(m.latchs, n.a)
		m.init = append(m.init, m.g.latches[n.a].init)
	case opHist:
		m.init = append(m.init, 1)
	case opWithin:
		m.init = append(m.init, int64(n.b), int64(n.b)) // steps since surely true, since possibly true; n.b means never
	case opHeld:
		m.init = append(m.init, 0, 0) // steps surely true, steps possibly true
	case opPulse:
		m.init = append(m.init, 0, 0) // steps left; last value of the argument
	case opPre, opRose, opFell, opBegan, opOnce, opSince:
		m.init = append(m.init, 0)
	default:
		m.slot[id] = noNode
	}
}

// reset goes back to before step 0.
func (m *interp) reset() {
	m.mem = append(m.mem[:0], m.init...)
	m.step = 0
}

// run evaluates one step: value gives the inputs and the cut signals (0 or 1, an integer, or unknown).
func (m *interp) run(value func(signal int32) int64) {
	for _, id := range m.order {
		m.vals[id] = m.eval(id, value)
	}
	for _, l := range m.latchs {
		m.mem[m.slot[m.g.latches[l].node]] = m.vals[m.g.latches[l].next]
	}
	m.step++
}

func (m *interp) eval(id int32, value func(int32) int64) int64 {
	n := &m.g.nodes[id]
	if len(m.faults) > 0 {
		if f, faulty := m.faults[id]; faulty && f.Kind != Free {
			return bit(f.Kind == StuckTrue)
		} else if faulty {
			at, _ := m.g.signalOf(id)
			return value(at)
		}
	}
	if m.cut[id] {
		at, _ := m.g.signalOf(id)
		return value(at)
	}
	v := m.vals
	switch n.op {
	case opConst:
		return int64(n.a)
	case opInput, opIntInput:
		return value(n.a)
	case opLatch, opIntLatch:
		return m.mem[m.slot[id]]
	case opSignal, opIntSignal:
		return v[n.a]
	case opNot:
		return not3(v[n.a])
	case opAnd:
		return and3(v[n.a], v[n.b])
	case opOr:
		return or3(v[n.a], v[n.b])
	case opXor:
		return xor3(v[n.a], v[n.b])
	case opImplies:
		return or3(not3(v[n.a]), v[n.b])
	case opIff:
		return not3(xor3(v[n.a], v[n.b]))
	case opIf, opIntIf:
		return if3(v[n.a], v[n.b], v[n.c])
	}
	if n.op.past() {
		return m.evalPast(id, v[n.a])
	}
	return m.evalInt(n)
}

func (m *interp) evalInt(n *node) int64 {
	if n.op == opIntConst {
		return m.g.ranges[n.rng].lo
	}
	a := m.vals[n.a]
	if n.op == opIntClamp {
		if a == unknown {
			return unknown
		}
		r := m.g.ranges[n.rng]
		return min(max(a, r.lo), r.hi)
	}
	b := m.vals[n.b]
	if a == unknown || b == unknown {
		return unknown
	}
	switch n.op {
	case opEqual:
		return bit(a == b)
	case opLess:
		return bit(a < b)
	case opLessEq:
		return bit(a <= b)
	case opIntAdd:
		return a + b
	default: // opIntSub
		return a - b
	}
}

// evalPast evaluates a past-time operator on the present value x of its first argument and keeps what the next step needs.
func (m *interp) evalPast(id int32, x int64) int64 {
	n := &m.g.nodes[id]
	mem := m.mem[m.slot[id]:]
	first := m.step == 0
	was := mem[0]
	switch n.op {
	case opPre:
		mem[0] = x
		return was
	case opRose:
		mem[0] = x
		if first {
			return 0
		}
		return and3(x, not3(was))
	case opFell:
		mem[0] = x
		if first {
			return 0
		}
		return and3(not3(x), was)
	case opBegan:
		mem[0] = x
		return and3(x, not3(was))
	case opOnce:
		mem[0] = or3(was, x)
		return mem[0]
	case opHist:
		mem[0] = and3(was, x)
		return mem[0]
	case opSince:
		mem[0] = or3(m.vals[n.b], and3(x, was))
		return mem[0]
	case opWithin:
		return m.evalWithin(int64(n.b), mem, x)
	case opHeld:
		return m.evalHeld(int64(n.b), mem, x)
	default: // opPulse
		return m.evalPulse(int64(n.b), mem, x)
	}
}

func (m *interp) evalWithin(k int64, mem []int64, x int64) int64 {
	mem[0], mem[1] = min(k, mem[0]+1), min(k, mem[1]+1)
	if x == 1 {
		mem[0] = 0
	}
	if x != 0 {
		mem[1] = 0
	}
	switch {
	case mem[0] < k:
		return 1
	case mem[1] < k:
		return unknown
	}
	return 0
}

func (m *interp) evalHeld(k int64, mem []int64, x int64) int64 {
	mem[0], mem[1] = min(k, mem[0]+1), min(k, mem[1]+1)
	if x != 1 {
		mem[0] = 0
	}
	if x == 0 {
		mem[1] = 0
	}
	switch {
	case mem[0] >= k:
		return 1
	case mem[1] >= k:
		return unknown
	}
	return 0
}

// evalPulse counts the steps left. Once it can't be told whether a pulse runs, it can't be told until the argument has been
// known for as long as a pulse may still be running and no rise has happened in between.
func (m *interp) evalPulse(k int64, mem []int64, x int64) int64 {
	left, was := mem[0], mem[1]
	rise := and3(x, not3(was))
	if m.step == 0 {
		rise = 0
	}
	mem[1] = x
	if left > 0 { // running for sure
		mem[0] = left - 1
		return 1
	}
	if left == 0 { // not running for sure
		switch rise {
		case 0:
			return 0
		case 1:
			mem[0] = k - 1
			return 1
		}
		mem[0] = -(k - 1) // perhaps running, for at most k-1 more steps
		return unknown
	}
	// Perhaps running, for at most -left more steps, this one included.
	if rise == 0 {
		mem[0] = left + 1
	} else { // a rise now starts a pulse only if none is running
		mem[0] = -max(k-1, -left-1)
	}
	return unknown
}

func not3(x int64) int64 {
	if x == unknown {
		return unknown
	}
	return 1 - x
}

func and3(x, y int64) int64 {
	switch {
	case x == 0 || y == 0:
		return 0
	case x == unknown || y == unknown:
		return unknown
	}
	return 1
}

func or3(x, y int64) int64 { return not3(and3(not3(x), not3(y))) }

func xor3(x, y int64) int64 {
	if x == unknown || y == unknown {
		return unknown
	}
	return x ^ y
}

func if3(c, x, y int64) int64 {
	switch {
	case c == 1 || x == y:
		return x
	case c == 0:
		return y
	}
	return unknown
}
