package logic

import (
	"errors"
	"fmt"
	"math"
	"slices"
)

// Monitor judges a recorded run, step by step, by the same properties that were proved of the logic. It never guesses: a
// value that was not recorded is unknown, what depends on it is unknown, and an unknown property is neither kept nor broken.
// Its memory doesn't grow with the length of the run.
type Monitor struct {
	s       *System
	m       *interp
	columns []int32 // signals
	place   []int32 // by signal: column + 1, 0 none
	checks  []check
	window  [][]Value // ring of the last rows
	size    int
	steps   int64
	last    []Value // row of the last step
	before  []int64 // memory before it
	still   bool    // the last step changed no memory
	news    int

	words      *words // for blocks; nil where the formulas need the interpreter
	wordsTried bool
	recorded   bool // every input of the formulas is a column
}

// check is one property or assumption under observation.
type check struct {
	property   Property
	assumption bool
	found      Finding
}

// Finding tells what a recorded run says about one property, or about one assumption.
type Finding struct {
	Property string
	// Assumption tells that it is an assumption of the system: where the machine breaks it, the proofs that rest on it say
	// nothing about this machine.
	Assumption bool
	// Goal tells that the property asks for reachability; First and Count then tell where the goal was met.
	Goal bool
	// First is the first step in which the property was broken, or the goal met, for sure; -1 if there is none.
	First int64
	// Count is the number of such steps.
	Count int64
	// Unknown is the number of steps in which it could not be told, and FirstUnknown the first of them, -1 if there is none.
	Unknown      int64
	FirstUnknown int64
	// Steps is the number of steps looked at.
	Steps int64
	// Window is the recorded run up to step First, at most as many steps as the monitor keeps, and WindowStart its first step.
	Window      *Trace
	WindowStart int64
}

// Kept tells that the property was seen to hold in every step, none unknown; of a goal, that it was met.
func (f Finding) Kept() bool {
	if f.Goal {
		return f.Count > 0
	}
	return f.Count == 0 && f.Unknown == 0 && f.Steps > 0
}

// String returns one line.
func (f Finding) String() string {
	what := "broken"
	if f.Goal {
		what = "met"
	}
	out := fmt.Sprintf("%s: not %s in %d steps", f.Property, what, f.Steps)
	if f.Count > 0 {
		out = fmt.Sprintf("%s: %s in %d of %d steps, first in step %d", f.Property, what, f.Count, f.Steps, f.First)
	}
	if f.Unknown > 0 {
		out += fmt.Sprintf(", not known in %d, first in step %d", f.Unknown, f.FirstUnknown)
	}
	return out
}

// maxWindowRows bounds the rows that a monitor keeps.
const maxWindowRows = 1 << 16

// NewMonitor prepares the judging of a recorded run. columns name the recorded signals, inputs, latches or nets, in the order
// in which [Monitor.Step] gets their values; a signal that is not among them is computed from those that are, by the system's
// own expressions, where it can be. window is the number of steps kept before the first violation. The system's assumptions
// are watched too, but those in without.
func NewMonitor(s *System, properties []Property, columns []string, window int, without ...string) (*Monitor, error) {
	as, err := s.active(without)
	errs := []error{s.Err(), err}
	for _, p := range properties {
		errs = append(errs, p.check(s))
	}
	if window < 0 || window > maxWindowRows {
		errs = append(errs, fmt.Errorf("a window of %d steps; want 0 to %d", window, maxWindowRows))
	}
	m := &Monitor{s: s, place: make([]int32, len(s.graph().signals)), size: window}
	for _, name := range columns {
		at, err := s.g.lookup(name)
		if err == nil && m.place[at] != 0 {
			err = fmt.Errorf("column %q is given twice", name)
		}
		if err != nil {
			errs = append(errs, err)
			continue
		}
		m.columns = append(m.columns, at)
		m.place[at] = int32(len(m.columns))
	}
	if err := errors.Join(errs...); err != nil {
		return nil, err
	}
	m.watch(properties, as)
	return m, nil
}

func (m *Monitor) watch(properties []Property, as []assumption) {
	var roots []int32
	for _, p := range properties {
		m.checks = append(m.checks, check{property: p})
		roots = append(roots, p.roots()...)
	}
	for _, a := range as {
		m.checks = append(m.checks, check{property: Always(a.name, m.s.boolOf(a.expr)), assumption: true})
		roots = append(roots, a.expr)
	}
	for i := range m.checks {
		c := &m.checks[i]
		c.found = Finding{Property: c.property.Name, Assumption: c.assumption, Goal: c.property.kind == reachProperty, First: -1, FirstUnknown: -1}
	}
	m.m = newInterp(m.s, roots, func(signal int32) bool { return m.place[signal] != 0 })
	m.recorded = true
	for _, id := range m.m.order {
		if o := m.s.g.nodes[id].op; (o == opInput || o == opIntInput) && !m.m.cut[id] {
			m.recorded = false
		}
	}
}

// Step takes the values of the next step, in the order of the columns. A row of another length, or a value that the signal
// can't have, is an error, and the step does not count.
func (m *Monitor) Step(row []Value) error {
	if len(row) != len(m.columns) {
		return fmt.Errorf("step %d: %d values for %d columns", m.steps, len(row), len(m.columns))
	}
	for i, v := range row {
		sig := &m.s.g.signals[m.columns[i]]
		if d := m.s.g.recordable(sig); v != Unknown && (int64(v) < d.lo || int64(v) > d.hi) {
			return fmt.Errorf("step %d: value %d of %q is outside %d to %d", m.steps, v, sig.name, d.lo, d.hi)
		}
	}
	if m.still && slices.Equal(m.last, row) {
		m.stand(1)
		return nil
	}
	m.last = append(m.last[:0], row...)
	m.step(row)
	return nil
}

// recordable is the range of what may be recorded of a signal. A machine can do what its logic never would: a value that the
// logic computes is not held to the range of its expression.
func (g *graph) recordable(sig *signal) span {
	switch o := g.nodes[sig.node].op; {
	case o == opIntSignal && sig.labels != nil:
		return span{0, int64(len(sig.labels)) - 1}
	case o == opIntSignal:
		return span{-math.MaxInt32, math.MaxInt32}
	}
	return g.domain(sig.node)
}

// step evaluates a row.
func (m *Monitor) step(row []Value) {
	m.keep(row)
	m.before = append(m.before[:0], m.m.mem...)
	m.m.run(func(signal int32) int64 {
		if at := m.place[signal]; at != 0 {
			return int64(row[at-1])
		}
		return unknown
	})
	for i := range m.checks {
		m.judge(&m.checks[i], 1)
	}
	m.steps++
	m.still = m.steps > 1 && slices.Equal(m.before, m.m.mem)
}

// keep enters the row into the ring.
func (m *Monitor) keep(row []Value) {
	if m.size == 0 {
		return
	}
	if len(m.window) < m.size {
		m.window = append(m.window, append([]Value(nil), row...))
		return
	}
	copy(m.window[int(m.steps%int64(m.size))], row)
}

// judge counts the answer of the present step as often as the step is taken.
func (m *Monitor) judge(c *check, times int64) {
	f := &c.found
	f.Steps += times
	switch c.property.answer(m.m.vals) {
	case unknown:
		f.Unknown += times
		if f.FirstUnknown < 0 {
			f.FirstUnknown = m.steps
			m.news++
		}
	case 1:
		f.Count += times
		if f.First < 0 {
			f.First = m.steps
			f.Window, f.WindowStart = m.cutOut()
			m.news++
		}
	}
}

// answer is 1 where the step breaks the property or meets the goal, 0 where it doesn't, unknown where that can't be told.
func (p Property) answer(vals []int64) int64 {
	switch e := vals[p.expr.id]; p.kind {
	case reachProperty:
		return e
	case whenProperty:
		return and3(vals[p.when.id], not3(e))
	default:
		return not3(e)
	}
}

// cutOut copies the ring, oldest row first.
func (m *Monitor) cutOut() (*Trace, int64) {
	if m.size == 0 {
		return nil, 0
	}
	t := m.emptyWindow()
	start := max(0, m.steps+1-int64(len(m.window)))
	for step := start; step <= m.steps; step++ {
		t.Values = append(t.Values, append([]Value(nil), m.window[int(step%int64(m.size))]...))
	}
	return t, start
}

func (m *Monitor) emptyWindow() *Trace {
	t := &Trace{}
	for _, at := range m.columns {
		sig := &m.s.g.signals[at]
		t.Signals = append(t.Signals, TraceSignal{Name: sig.name, Kind: m.s.kindOf(m.m, sig.node),
			Integer: m.s.g.nodes[sig.node].op.integer(), Labels: sig.labels})
	}
	return t
}

// Steps is the number of steps taken so far.
func (m *Monitor) Steps() int64 { return m.steps }

// Findings returns what the run says so far: the properties in their order, then the assumptions.
func (m *Monitor) Findings() []Finding {
	out := make([]Finding, len(m.checks))
	for i := range m.checks {
		out[i] = m.checks[i].found
	}
	return out
}
