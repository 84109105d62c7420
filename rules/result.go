package rules

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"github.com/guardwright/guardwright/calc"
	"github.com/guardwright/guardwright/model"
	"github.com/guardwright/guardwright/model/source"
)

// Result is what the rules say about one machine. It is not changed after [Check] returns it. Its lists are sorted,
// so that the same machine and rules give the same result.
type Result struct {
	Machine *model.Machine
	// Results are what was computed about the machine.
	Results *calc.Results
	// Findings are the objects that break a rule, by place, severity and rule; the accepted ones are among them.
	Findings []Finding
	// Unanswered are the rules that gave no answer at an object: neither passed nor broken.
	Unanswered []Unanswered
	// Proofs are the answers to the rules with always: and reach:, in the order of the rules and objects.
	Proofs []Proof
	// Assumptions are what the proofs rest on, in the order of their names: those that the machine file states, and those of the
	// kinds of devices. They say which are switched off.
	Assumptions []Assumption
	// Faults is what single faults do to the rules about the interlock logic; nil where [Options] do not ask for it.
	Faults *FaultTable
	// LogicProblems are the mistakes in the interlock logic of the machine; with any, nothing about it was proved.
	LogicProblems source.Problems
	// Record is what a recorded trace of the machine says; nil where there is none. Check leaves it nil, and whoever has a trace
	// sets it to what [Replay] returns.
	Record *Replayed
	// Acceptances are what is wrong with the acceptances that the machine file states.
	Acceptances []AcceptanceProblem
	// NotComputed are the parts of the description that this version describes but does not compute.
	NotComputed []NotComputed
	// Tallies count, for each rule in the order of the rule sets, what became of it.
	Tallies []Tally
	// Today is the day by which acceptances were judged; zero when their expiry was not judged.
	Today model.Date
}

// Finding is one object that breaks a rule.
type Finding struct {
	Rule     *Rule
	Severity Severity
	// Summary is the rule's message for the object.
	Summary string
	// Hint says what to change; empty when the rule has none.
	Hint string
	// Kind and Path name the object; Position is its place, or that of the entry at which the rule points. Position is
	// zero for a machine built in Go.
	Kind, Path string
	Position   source.Position
	// Because are the values that led to the finding.
	Because []Value
	// Related are further places.
	Related []Related
	// Story is the run from power-up that breaks a rule with always:; nil for other rules.
	Story *Story
	// Assumptions are the names of the assumptions on which an answer about the interlock logic rests.
	Assumptions []string
	// Accepted is the acceptance of the finding; nil when it counts.
	Accepted *model.Acceptance
}

// Value is a part of a rule's condition with its value at the object.
type Value struct{ Text, Value string }

// String is the part and the value.
func (v Value) String() string { return v.Text + " = " + v.Value }

// Related is a further place that a finding points at.
type Related struct {
	// Text is the expression of the rule that names the place, and Name the object there.
	Text, Name string
	Path       string
	Position   source.Position
}

// Cause says why a rule gave no answer at an object.
type Cause uint8

// The causes.
const (
	// MissingData: the description, or a calculation for want of data, does not hold what the rule asks for. The rule
	// is not decidable there; nobody may take it for passed.
	MissingData Cause = iota + 1
	// Failed: the rule itself failed, as by a division by zero. The rule has to be mended.
	Failed
	// TooCostly: the rule was stopped by the limit on its steps.
	TooCostly
	// NotProved: a proof reached its limits first. The rule is neither proved nor broken.
	NotProved
	// Vacuous: the rule holds, but only because what it speaks of can never be.
	Vacuous
)

// String returns the cause in words.
func (c Cause) String() string {
	switch c {
	case MissingData:
		return "not decidable"
	case Failed:
		return "rule failed"
	case TooCostly:
		return "too costly"
	case NotProved:
		return "not proved"
	case Vacuous:
		return "says nothing"
	}
	return "unknown cause"
}

// Unanswered is a rule that gave no answer at an object.
type Unanswered struct {
	Rule  *Rule
	Cause Cause
	// Kind, Path and Position are the object.
	Kind, Path string
	Position   source.Position
	// RulePosition is the place in the rule file at which the evaluation stopped.
	RulePosition source.Position
	// Text says what is missing or what went wrong.
	Text string
}

// String is the entry in one line.
func (u Unanswered) String() string {
	parts := []string{u.Position.String(), u.Path, u.Text + " [" + u.Rule.ID + "]"}
	return strings.Join(slices.DeleteFunc(parts, func(s string) bool { return s == "" }), ": ")
}

// String is the finding's first line: file:line:column: severity: summary [rule].
func (f Finding) String() string {
	where := f.Position.String()
	if where == "" {
		where = f.Path
	}
	severity := string(f.Severity)
	if f.Accepted != nil {
		severity = "accepted " + severity
	}
	if where == "" {
		return fmt.Sprintf("%s: %s [%s]", severity, f.Summary, f.Rule.ID)
	}
	return fmt.Sprintf("%s: %s: %s [%s]", where, severity, f.Summary, f.Rule.ID)
}

// Tally counts what became of one rule.
type Tally struct {
	Rule *Rule
	// Objects of the rule's kind. Each is counted in exactly one of the others.
	Objects int
	// Outside are those to which the rule does not apply by its when:, or because it is about words that they do not have.
	Outside int
	Passed  int
	// Broken are the findings, accepted ones included.
	Broken int
	// Undecided, Failed and Stopped are the unanswered ones, by cause.
	Undecided, Failed, Stopped int
}

// NotComputed is a part of the description that is read and can be named in rules, but not computed yet.
type NotComputed struct {
	// Section of the machine file.
	Section string
	// Text says what is not computed.
	Text string
}

// Count returns how many findings of a severity count: accepted ones do not.
func (r *Result) Count(s Severity) int {
	n := 0
	for _, f := range r.Findings {
		if f.Severity == s && f.Accepted == nil {
			n++
		}
	}
	return n
}

// Undecided lists the entries of Unanswered for which data are missing, or that a proof left open.
func (r *Result) Undecided() []Unanswered {
	return slices.DeleteFunc(slices.Clone(r.Unanswered), func(u Unanswered) bool { return u.Cause.isMistake() })
}

// isMistake tells whether the rule itself has to be mended.
func (c Cause) isMistake() bool { return c == Failed || c == TooCostly }

// Errors lists the entries of Unanswered at which the rule itself failed or was stopped.
func (r *Result) Errors() []Unanswered {
	return slices.DeleteFunc(slices.Clone(r.Unanswered), func(u Unanswered) bool { return !u.Cause.isMistake() })
}

// Clean reports whether nothing is left to judge: no finding that counts, of whatever severity, no unanswered rule and
// nothing wrong with an acceptance.
func (r *Result) Clean() bool {
	counted := slices.ContainsFunc(r.Findings, func(f Finding) bool { return f.Accepted == nil })
	return !counted && len(r.Unanswered) == 0 && len(r.Acceptances) == 0 && len(r.LogicProblems) == 0
}

func (f Finding) compare(g Finding) int {
	return cmp.Or(f.Position.Compare(g.Position), cmp.Compare(f.Path, g.Path),
		cmp.Compare(f.Severity.rank(), g.Severity.rank()), cmp.Compare(f.Rule.ID, g.Rule.ID), cmp.Compare(f.Summary, g.Summary))
}

func (u Unanswered) compare(v Unanswered) int {
	return cmp.Or(u.Position.Compare(v.Position), cmp.Compare(u.Path, v.Path), cmp.Compare(u.Rule.ID, v.Rule.ID), cmp.Compare(u.Text, v.Text))
}
