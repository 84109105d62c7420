package logic

import (
	"errors"
	"fmt"
	"strconv"
)

// Property is a question about all runs of a system: something that must hold in every step ([Always], [When]) or that must
// be possible in some step ([Reachable]). The zero value is refused by every proof.
type Property struct {
	// Name is printed with the verdict.
	Name string

	kind propertyKind
	expr Bool
	when Bool
}

type propertyKind uint8

const (
	noProperty propertyKind = iota
	alwaysProperty
	whenProperty
	reachProperty
)

// Always asks whether e is true in every step of every run that the assumptions allow. Where e is an implication
// ([System.Implies]), or a conjunction of implications, each left side is a precondition, and a precondition that never
// holds makes the verdict [Vacuous].
func Always(name string, e Bool) Property { return Property{Name: name, kind: alwaysProperty, expr: e} }

// When asks as [Always] whether e holds in every step in which pre does, with pre as the precondition.
func When(name string, pre, e Bool) Property {
	return Property{Name: name, kind: whenProperty, expr: e, when: pre}
}

// Reachable asks whether e is true in some step of some run, and in how few steps that can be.
func Reachable(name string, e Bool) Property {
	return Property{Name: name, kind: reachProperty, expr: e}
}

// check returns what is wrong with the property as a question about s.
func (p Property) check(s *System) error {
	if p.kind == noProperty {
		return fmt.Errorf("property %q asks nothing; build it with Always, When or Reachable", p.Name)
	}
	for _, e := range []Bool{p.expr, p.when} {
		if e.g == nil && p.kind != whenProperty && e == p.when {
			continue
		}
		if e.g != s.graph() {
			return fmt.Errorf("property %q: an expression that is not of this system", p.Name)
		}
	}
	return nil
}

// roots returns the nodes that decide the property.
func (p Property) roots() []int32 {
	if p.kind == whenProperty {
		return []int32{p.when.id, p.expr.id}
	}
	return []int32{p.expr.id}
}

// hit tells from the node values of a step whether the step answers the question: breaks what must always hold, or reaches
// what is to be reached. The values must be known.
func (p Property) hit(vals []int64) bool {
	switch p.kind {
	case whenProperty:
		return vals[p.when.id] == 1 && vals[p.expr.id] == 0
	case reachProperty:
		return vals[p.expr.id] == 1
	}
	return vals[p.expr.id] == 0
}

// preconditions returns the nodes of the property's preconditions, none where it has none.
func (p Property) preconditions(g *graph) []int32 {
	switch p.kind {
	case whenProperty:
		return []int32{p.when.id}
	case alwaysProperty:
		var pre []int32
		g.collectPreconditions(p.expr.id, &pre)
		return pre
	}
	return nil
}

// collectPreconditions walks through names and conjunctions down to implications.
func (g *graph) collectPreconditions(id int32, pre *[]int32) {
	switch n := &g.nodes[id]; n.op {
	case opSignal:
		g.collectPreconditions(n.a, pre)
	case opAnd:
		g.collectPreconditions(n.a, pre)
		g.collectPreconditions(n.b, pre)
	case opImplies:
		*pre = append(*pre, n.a)
	}
}

// Verdict is the answer to a [Property].
type Verdict uint8

const (
	// Undecided: the limits were reached first. It says nothing about the property.
	Undecided Verdict = iota
	// Proved: true in every step of every run that the assumptions allow, with no bound on the number of steps.
	Proved
	// Vacuous: true like Proved, but only because a precondition never holds, so that it says nothing about the machine.
	Vacuous
	// Refuted: broken in the last step of the trace.
	Refuted
	// Reached: the goal holds in the last step of the trace.
	Reached
	// Unreachable: the goal holds in no step of any run.
	Unreachable
)

var verdictWords = [...]string{"undecided", "proved", "vacuous", "refuted", "reached", "unreachable"}

// String returns the verdict as one word.
func (v Verdict) String() string {
	if int(v) < len(verdictWords) {
		return verdictWords[v]
	}
	return "verdict " + strconv.Itoa(int(v))
}

// Result is the answer to one property.
type Result struct {
	Property string
	Verdict  Verdict
	// Reason says in words why the verdict is Undecided or Vacuous, and is empty otherwise.
	Reason string
	// Trace is a run from power-up, for Refuted and Reached: the property is broken, or the goal met, in its last step and in
	// no earlier one. It has been confirmed by the plain interpreter.
	Trace *Trace
	// Shortest tells that no run with fewer steps would do. It is false only where the limits did not allow to show it.
	Shortest bool
	// Steps is the length of Trace, 0 without one.
	Steps int
	// Assumptions names the assumptions in force; a proof is worth what they are worth.
	Assumptions []string
	// Faults lists the faults that the system carried.
	Faults []string
	// Method says how the answer was found.
	Method string
	// States is the number of states looked at, where the method counts them.
	States int
	// Certificate is what the proof rests on, for Proved, Vacuous and Unreachable; [CheckProofs] checks it.
	Certificate *Certificate
}

// Holds tells whether the verdict is what the property asks for: Proved, or Reached.
func (r Result) Holds() bool { return r.Verdict == Proved || r.Verdict == Reached }

// String returns one line: name, verdict, steps and reason.
func (r Result) String() string {
	out := r.Property + ": " + r.Verdict.String()
	if r.Trace != nil {
		out += fmt.Sprintf(" in %d steps", r.Steps)
		if !r.Shortest {
			out += " (not shown to be the fewest)"
		}
	}
	if r.Reason != "" {
		out += " (" + r.Reason + ")"
	}
	return out
}

// active returns the assumptions that are not switched off; an unknown name in without is an error.
func (s *System) active(without []string) ([]assumption, error) {
	g := s.graph()
	off := map[string]bool{}
	var errs []error
	for _, name := range without {
		off[name] = true
		if known := s.Assumptions(); !contains(known, name) {
			errs = append(errs, fmt.Errorf("no assumption %q to leave out%s", name, didYouMean(name, known)))
		}
	}
	var on []assumption
	for _, a := range g.assumptions {
		if !off[a.name] {
			on = append(on, a)
		}
	}
	return on, errors.Join(errs...)
}

// conjuncts takes assumptions apart that are conjunctions, so that each part can be left out where it does not matter.
func (s *System) conjuncts(as []assumption) []assumption {
	faults := s.faultMap()
	var out []assumption
	var add func(name string, id int32)
	add = func(name string, id int32) {
		n := s.g.nodes[id]
		if _, faulty := faults[id]; n.op == opAnd && !faulty {
			add(name, n.a)
			add(name, n.b)
			return
		}
		out = append(out, assumption{name, id})
	}
	for _, a := range as {
		add(a.name, a.expr)
	}
	return out
}

func contains(list []string, s string) bool {
	for _, x := range list {
		if x == s {
			return true
		}
	}
	return false
}

func assumptionNames(as []assumption) []string {
	var names []string
	for _, a := range as {
		if !contains(names, a.name) {
			names = append(names, a.name)
		}
	}
	return names
}
