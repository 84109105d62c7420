package logic

import (
	"errors"
	"fmt"
	"sort"
)

// System is a transition system over one clock: inputs, latches with initial values, and the expressions between them.
//
// The zero value is an empty system ready for use, as is that of [New]. Building never fails on the spot: mistakes (a name
// given twice, an expression of another system, a latch without a next value) are collected, [System.Err] reports all of
// them, and every proof refuses a system that has any. A System may be read by several goroutines once it is built; building
// is for one goroutine.
type System struct {
	g      *graph
	faults []Fault
}

// New returns an empty system.
func New() *System { return &System{g: newGraph()} }

func (s *System) graph() *graph {
	if s.g == nil {
		s.g = newGraph()
	}
	return s.g
}

// Bool is a Boolean expression of one system. The zero value is no expression; using it is reported by [System.Err].
type Bool struct {
	g  *graph
	id int32
}

// Int is a bounded integer expression of one system; its range is known and every operation keeps it exact. The zero value
// is no expression; using it is reported by [System.Err].
type Int struct {
	g  *graph
	id int32
}

// Err returns all mistakes made while building, joined, or nil. A latch that has no next value is one.
func (s *System) Err() error {
	g := s.graph()
	errs := append([]error(nil), g.errs...)
	if g.dropped > 0 {
		errs = append(errs, fmt.Errorf("and %d more mistakes", g.dropped))
	}
	for _, l := range g.latches {
		if l.next == noNode {
			errs = append(errs, fmt.Errorf("latch %q has no next value; give it one with SetNext or SetNextInt", g.signals[l.signal].name))
		}
	}
	return errors.Join(errs...)
}

// use returns the node of x, or a constant with a recorded mistake.
func (s *System) use(x Bool, where string) int32 {
	g := s.graph()
	if x.g == nil {
		g.fail("%s: an expression that was never built (zero Bool)", where)
		return 0
	}
	if x.g != g {
		g.fail("%s: an expression of another system; build it from this system's inputs", where)
		return 0
	}
	return x.id
}

func (s *System) boolOf(id int32) Bool { return Bool{g: s.g, id: id} }

// Input declares a Boolean input: free in every step, bound only by assumptions.
func (s *System) Input(name string) Bool {
	g := s.graph()
	at, ok := g.declare(name, nil)
	if !ok {
		return s.boolOf(0)
	}
	id := g.push(node{op: opInput, a: at})
	g.signals[at].node = id
	g.inputs = append(g.inputs, at)
	return s.boolOf(id)
}

// Latch declares a Boolean memory: init in step 0, and in every later step what the expression given to [System.SetNext] was
// in the step before.
func (s *System) Latch(name string, init bool) Bool {
	g := s.graph()
	at, ok := g.declare(name, nil)
	if !ok {
		return s.boolOf(0)
	}
	id := g.push(node{op: opLatch, a: int32(len(g.latches))})
	g.signals[at].node = id
	g.latches = append(g.latches, latch{node: id, signal: at, init: bit(init), next: noNode})
	return s.boolOf(id)
}

// SetNext gives a latch its next value: latch in step t+1 is next in step t. Each latch needs exactly one.
func (s *System) SetNext(latch, next Bool) {
	g := s.graph()
	id, n := s.use(latch, "SetNext"), s.use(next, "SetNext")
	if g.nodes[id].op != opLatch {
		g.fail("SetNext: the first argument is no latch; only what Latch returned has a next value")
		return
	}
	g.setNext(g.nodes[id].a, n)
}

func (g *graph) setNext(at, next int32) {
	l := &g.latches[at]
	if l.next != noNode {
		g.fail("latch %q gets its next value twice", g.signals[l.signal].name)
		return
	}
	l.next = next
}

// Signal names an expression. The name appears in sequences, can be a column of a recorded trace, and is a place where a
// fault can be put ([System.WithFault]): whoever uses the returned expression sees the fault, whoever uses e does not.
func (s *System) Signal(name string, e Bool) Bool {
	g := s.graph()
	arg := s.use(e, fmt.Sprintf("Signal %q", name))
	at, ok := g.declare(name, nil)
	if !ok {
		return s.boolOf(arg)
	}
	id := g.push(node{op: opSignal, a: arg, b: at})
	g.signals[at].node = id
	return s.boolOf(id)
}

// Group says to which part of the machine (a zone, a port) the expressions built from now on belong, until the next call;
// "" is the common part. Groups are a hint for slicing large systems: they never change a verdict, only whether one is
// reached within the limits.
func (s *System) Group(name string) {
	g := s.graph()
	at, known := g.groupAt[name]
	if !known {
		at = int32(len(g.groupNames))
		g.groupNames = append(g.groupNames, name)
		g.groupAt[name] = at
	}
	g.group = at
}

// Assume restricts the runs looked at: e must hold in every step. The name is printed with every verdict that rests on the
// assumption, and switches it off in [Options.Without]. A run counts up to the step looked at; an assumption that can't be
// kept for ever in a run doesn't remove the run's earlier steps.
func (s *System) Assume(name string, e Bool) {
	g := s.graph()
	id := s.use(e, fmt.Sprintf("assumption %q", name))
	if name == "" {
		g.fail("an assumption without a name: it could not be printed with the verdict")
		return
	}
	for _, a := range g.assumptions {
		if a.name == name {
			g.fail("assumption %q is given twice; names are given once", name)
			return
		}
	}
	g.assumptions = append(g.assumptions, assumption{name: name, expr: id})
}

// Assumptions returns the names of all assumptions in the order given.
func (s *System) Assumptions() []string {
	var names []string
	for _, a := range s.graph().assumptions {
		names = append(names, a.name)
	}
	return names
}

// Inputs returns the names of all inputs in the order declared.
func (s *System) Inputs() []string {
	g := s.graph()
	names := make([]string, len(g.inputs))
	for i, at := range g.inputs {
		names[i] = g.signals[at].name
	}
	return names
}

// Signals returns the names of all inputs, latches and named nets in the order declared.
func (s *System) Signals() []string {
	g := s.graph()
	names := make([]string, len(g.signals))
	for i := range g.signals {
		names[i] = g.signals[i].name
	}
	return names
}

// Lookup returns the Boolean signal of that name. An unknown name, or the name of an integer, is an error that gives the
// nearest right spelling.
func (s *System) Lookup(name string) (Bool, error) {
	at, err := s.graph().lookup(name)
	if err != nil {
		return Bool{}, err
	}
	id := s.g.signals[at].node
	if s.g.nodes[id].op.integer() {
		return Bool{}, fmt.Errorf("signal %q is an integer, not a Boolean", name)
	}
	return s.boolOf(id), nil
}

// LookupInt returns the integer signal of that name; see [System.Lookup].
func (s *System) LookupInt(name string) (Int, error) {
	at, err := s.graph().lookup(name)
	if err != nil {
		return Int{}, err
	}
	id := s.g.signals[at].node
	if !s.g.nodes[id].op.integer() {
		return Int{}, fmt.Errorf("signal %q is a Boolean, not an integer", name)
	}
	return s.intOf(id), nil
}

func (g *graph) lookup(name string) (int32, error) {
	if at, ok := g.byName[name]; ok {
		return at, nil
	}
	names := make([]string, len(g.signals))
	for i := range g.signals {
		names[i] = g.signals[i].name
	}
	return 0, fmt.Errorf("no signal %q%s", name, didYouMean(name, names))
}

func bit(b bool) int64 {
	if b {
		return 1
	}
	return 0
}

// didYouMean returns "; did you mean ...?" for the nearest of the names, or "" where none is near.
func didYouMean(name string, names []string) string {
	sorted := append([]string(nil), names...)
	sort.Strings(sorted)
	best, bestAt := max(2, len(name)/3)+1, ""
	for _, n := range sorted {
		if d := editDistance(name, n); d < best {
			best, bestAt = d, n
		}
	}
	if bestAt == "" {
		return ""
	}
	return fmt.Sprintf("; did you mean %q?", bestAt)
}

// editDistance counts the insertions, deletions and replacements between two names (Levenshtein).
func editDistance(a, b string) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := 1; i <= len(a); i++ {
		diag := row[0]
		row[0] = i
		for j := 1; j <= len(b); j++ {
			cost := diag
			if a[i-1] != b[j-1] {
				cost++
			}
			diag = row[j]
			row[j] = min(cost, row[j]+1, row[j-1]+1)
		}
	}
	return row[len(b)]
}
