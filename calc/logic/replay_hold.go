package logic

import "slices"

// Repeat takes the row of the last step again, up to n times, and means the same as so many calls of [Monitor.Step]; once a
// step changes no memory, the rest is counted without being computed. It stops early after a step with news (see
// [Monitor.News]) and returns the number of steps taken. Before the first step there is nothing to repeat, and it takes none.
func (m *Monitor) Repeat(n int64) int64 {
	if m.last == nil {
		return 0
	}
	for taken := int64(0); taken < n; {
		if m.still {
			m.stand(n - taken)
			return n
		}
		news := m.news
		m.step(m.last)
		if taken++; m.news > news {
			return taken
		}
	}
	return max(0, n)
}

// stand counts steps in which nothing changes any more.
func (m *Monitor) stand(n int64) {
	if n <= 0 {
		return
	}
	for i := range m.checks {
		m.judge(&m.checks[i], n)
	}
	for at := max(m.steps, m.steps+n-int64(m.size)); at < m.steps+n; at++ {
		place := int(at % int64(m.size))
		for len(m.window) <= place {
			m.window = append(m.window, make([]Value, len(m.last)))
		}
		copy(m.window[place], m.last)
	}
	m.steps += n
}

// News is the number of times that a property was answered for the first time, or could not be told for the first time. A
// caller who sees it change after a step finds in [Monitor.Findings] what is new.
func (m *Monitor) News() int { return m.news }

// Forget makes all memories unknown that steps without a record could have changed. Before the first step it says that the
// record begins in the middle of a run, not at power-up; later, that steps were lost and nobody knows how many.
func (m *Monitor) Forget() {
	m.still = false
	m.m.forget()
}

func (m *interp) forget() {
	for _, id := range m.order {
		if m.slot[id] == noNode {
			continue
		}
		mem, n := m.mem[m.slot[id]:], &m.g.nodes[id]
		switch n.op {
		case opOnce: // once true, true for ever
			if mem[0] != 1 {
				mem[0] = unknown
			}
		case opHist: // once false, false for ever
			if mem[0] != 0 {
				mem[0] = unknown
			}
		case opWithin:
			mem[0], mem[1] = int64(n.b), 0
		case opHeld:
			mem[0], mem[1] = 0, int64(n.b)
		case opPulse:
			mem[0], mem[1] = 1-int64(n.b), unknown
		default:
			mem[0] = unknown
		}
	}
	m.step = max(m.step, 1)
}

// Rests tells on what the finding of a number (see [Monitor.Findings]) rests: the columns, and the inputs that are no column.
func (m *Monitor) Rests(finding int) (columns, missing []string) {
	g := m.s.g
	seen := make([]bool, len(g.nodes))
	stack := m.checks[finding].property.roots()
	visit := func(id int32) { stack = append(stack, id) }
	for len(stack) > 0 {
		id := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		if seen[id] {
			continue
		}
		seen[id] = true
		if _, faulty := m.m.faults[id]; faulty || m.m.cut[id] {
			continue
		}
		if o := g.nodes[id].op; o == opLatch || o == opIntLatch {
			visit(g.latches[g.nodes[id].a].next)
			continue
		}
		g.args(id, visit)
	}
	for i := range g.signals {
		switch id := g.signals[i].node; {
		case !seen[id]:
		case m.m.cut[id]:
			columns = append(columns, g.signals[i].name)
		case g.nodes[id].op == opInput || g.nodes[id].op == opIntInput:
			missing = append(missing, g.signals[i].name)
		}
	}
	return columns, missing
}

// Int is the value of an expression in the last step; [Unknown] also where no property made it be computed.
func (m *Monitor) Int(x Int) Value {
	if x.g != m.s.g || m.steps == 0 || !slices.Contains(m.m.order, x.id) {
		return Unknown
	}
	return Value(m.m.vals[x.id])
}

// Formula returns the expression that [System.Signal] gave a name to, so that a recorded signal can be compared with what the
// logic computes. An expression that is no named one is its own formula.
func (s *System) Formula(x Bool) Bool {
	id := s.use(x, "Formula")
	if s.g.nodes[id].op == opSignal {
		return s.boolOf(s.g.nodes[id].a)
	}
	return x
}

// FormulaInt is [System.Formula] for an integer and [System.IntSignal].
func (s *System) FormulaInt(x Int) Int {
	id := s.useInt(x, "FormulaInt")
	if s.g.nodes[id].op == opIntSignal {
		return s.intOf(s.g.nodes[id].a)
	}
	return x
}

// Column is a signal that a record can hold: an input, or a named value.
type Column struct {
	Name    string
	Kind    SignalKind
	Integer bool
	Labels  []string // of an enumeration, by value
	// Min and Max bound the values; those of a value that the logic computes are the bounds of its expression.
	Min, Max Value
}

// Columns lists the signals that a record can hold, in the order declared.
func (s *System) Columns() []Column {
	g := s.graph()
	var out []Column
	for i := range g.signals {
		sig := &g.signals[i]
		c := Column{Name: sig.name, Kind: NetSignal, Integer: g.nodes[sig.node].op.integer(), Labels: slices.Clone(sig.labels)}
		switch g.nodes[sig.node].op {
		case opLatch, opIntLatch:
			continue
		case opInput, opIntInput:
			c.Kind = InputSignal
		}
		d := g.domain(sig.node)
		c.Min, c.Max = Value(d.lo), Value(d.hi)
		out = append(out, c)
	}
	return out
}
