package logic

import (
	"errors"
	"fmt"
	"slices"
)

// Run evaluates the system on given inputs, one map per step, with the plain interpreter, and returns the values of the
// named signals (all of them where none is named). An input missing in a step is unknown there, and what depends on it is
// unknown too. A free fault (see [Free]) takes its values from the map under the signal's name.
func (s *System) Run(inputs []map[string]Value, signals ...string) (*Trace, error) {
	if err := s.Err(); err != nil {
		return nil, err
	}
	g := s.graph()
	var errs []error
	if len(signals) == 0 {
		signals = s.Signals()
	}
	var roots []int32
	for _, name := range signals {
		at, err := g.lookup(name)
		if err != nil {
			errs = append(errs, err)
			continue
		}
		roots = append(roots, g.signals[at].node)
	}
	for step, row := range inputs {
		errs = append(errs, s.checkRow(step, row))
	}
	if err := errors.Join(errs...); err != nil {
		return nil, err
	}
	m := newInterp(s, roots, nil)
	return s.record(m, roots, len(inputs), func(step int, at int32) int64 {
		if v, ok := inputs[step][g.signals[at].name]; ok {
			return int64(v)
		}
		return unknown
	}), nil
}

// checkRow refuses unknown names, signals that are no inputs, and values out of range.
func (s *System) checkRow(step int, row map[string]Value) error {
	names := make([]string, 0, len(row))
	for name := range row {
		names = append(names, name)
	}
	slices.Sort(names)
	for _, name := range names {
		at, err := s.g.lookup(name)
		if err != nil {
			return fmt.Errorf("step %d: %w", step, err)
		}
		id := s.g.signals[at].node
		if f, faulty := s.faultMap()[id]; !faulty || f.Kind != Free {
			if o := s.g.nodes[id].op; o != opInput && o != opIntInput {
				return fmt.Errorf("step %d: signal %q is no input; its value follows from the inputs", step, name)
			}
		}
		if d := s.g.domain(id); row[name] != Unknown && (int64(row[name]) < d.lo || int64(row[name]) > d.hi) {
			return fmt.Errorf("step %d: value %d of %q is outside %d to %d", step, row[name], name, d.lo, d.hi)
		}
	}
	return nil
}

// domain is the range of a node's values; a Boolean has 0 to 1.
func (g *graph) domain(id int32) span {
	if g.nodes[id].op.integer() {
		return g.span(id)
	}
	return span{0, 1}
}

// record runs the interpreter and keeps the values of the named signals among its nodes.
func (s *System) record(m *interp, roots []int32, steps int, value func(step int, signal int32) int64) *Trace {
	g := s.g
	t := &Trace{}
	var nodes []int32
	for _, id := range m.order {
		at, ok := g.signalOf(id)
		if !ok {
			continue
		}
		nodes = append(nodes, id)
		t.Signals = append(t.Signals, TraceSignal{Name: g.signals[at].name, Kind: s.kindOf(m, id),
			Integer: g.nodes[id].op.integer(), Labels: g.signals[at].labels})
	}
	m.reset()
	for step := range steps {
		m.run(func(at int32) int64 { return value(step, at) })
		row := make([]Value, len(nodes))
		for i, id := range nodes {
			row[i] = Value(m.vals[id])
		}
		t.Values = append(t.Values, row)
	}
	return t
}

func (s *System) kindOf(m *interp, id int32) SignalKind {
	if f, faulty := m.faults[id]; faulty && f.Kind == Free {
		return InputSignal
	}
	switch s.g.nodes[id].op {
	case opInput, opIntInput:
		return InputSignal
	case opLatch, opIntLatch:
		return LatchSignal
	}
	return NetSignal
}

// Confirm replays the trace's inputs from power-up with the plain interpreter and returns nil where every recorded value
// comes out again, every assumption (but those in without) is kept in every step, and the property is broken, or the goal
// met, in the last step and in no earlier one. Otherwise the error says what differs.
func (s *System) Confirm(p Property, t *Trace, without ...string) error {
	if err := errors.Join(s.Err(), p.check(s)); err != nil {
		return err
	}
	as, err := s.active(without)
	if err != nil {
		return err
	}
	if t == nil || t.Len() == 0 {
		return fmt.Errorf("property %q: an empty trace confirms nothing", p.Name)
	}
	roots := p.roots()
	for _, a := range as {
		roots = append(roots, a.expr)
	}
	m := newInterp(s, roots, nil)
	column := map[string]int{}
	for i, sig := range t.Signals {
		column[sig.Name] = i
	}
	for step, row := range t.Values {
		m.run(func(at int32) int64 {
			if i, ok := column[s.g.signals[at].name]; ok {
				return int64(row[i])
			}
			return unknown
		})
		if err := s.confirmStep(m, p, as, column, row, step, t.Len()); err != nil {
			return fmt.Errorf("property %q, step %d: %w", p.Name, step, err)
		}
	}
	return nil
}

func (s *System) confirmStep(m *interp, p Property, as []assumption, column map[string]int, row []Value, step, steps int) error {
	for _, id := range m.order {
		at, ok := s.g.signalOf(id)
		if !ok {
			continue
		}
		name := s.g.signals[at].name
		if i, ok := column[name]; ok && int64(row[i]) != m.vals[id] {
			return fmt.Errorf("signal %q is %d in the trace, but the interpreter finds %d", name, row[i], m.vals[id])
		}
	}
	for _, a := range as {
		if m.vals[a.expr] != 1 {
			return fmt.Errorf("assumption %q is not kept", a.name)
		}
	}
	for _, id := range p.roots() {
		if m.vals[id] == unknown {
			return errors.New("the property can't be told: the trace lacks an input")
		}
	}
	if hit, last := p.hit(m.vals), step == steps-1; hit != last {
		return fmt.Errorf("answered here: %t, expected only in step %d", hit, steps-1)
	}
	return nil
}
