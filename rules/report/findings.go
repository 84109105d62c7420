package report

import (
	"fmt"
	"strings"

	"github.com/guardwright/guardwright/model"
	"github.com/guardwright/guardwright/rules"
)

// Finding is one object that breaks a rule.
type Finding struct {
	// Id of the rule.
	Rule string `json:"rule"`
	// How grave it is: error, warning or advice.
	Severity string `json:"severity"`
	// The rule's message for the object.
	Summary string `json:"summary"`
	// What to change.
	Hint string `json:"hint,omitempty"`
	// Where the rule comes from: standard, edition and clause, or the plant's own document.
	Source string `json:"source,omitempty"`
	// Title of the rule's pack.
	Pack string `json:"pack,omitempty"`
	// Kind of the object.
	Kind string `json:"kind"`
	// Place of the object in the description.
	Path string `json:"path"`
	// Place of the object in a file; absent for a machine that was built by a program.
	Position *Position `json:"position,omitempty"`
	// The values that led to the finding.
	Because []Value `json:"because,omitempty"`
	// The run from power-up that breaks a rule about the interlock logic.
	Story *Story `json:"story,omitempty"`
	// Names of the assumptions on which a finding about the interlock logic rests.
	Assumptions []string `json:"assumptions,omitempty"`
	// Further places.
	Related []Related `json:"related,omitempty"`
	// The acceptance of the finding; absent when the finding counts.
	Accepted *Acceptance `json:"accepted,omitempty"`
}

// Value is a part of a rule's condition with its value.
type Value struct {
	// The part of the condition, as it is written.
	Text string `json:"text"`
	// Its value at the object.
	Value string `json:"value"`
}

// Related is a further place that a finding points at.
type Related struct {
	// The expression of the rule that names the place.
	Text string `json:"text"`
	// The object there.
	Name string `json:"name"`
	// Place of the object in the description.
	Path string `json:"path,omitempty"`
	// Place of the object in a file.
	Position *Position `json:"position,omitempty"`
}

// Acceptance is the judgement of a person that a finding is acceptable.
type Acceptance struct {
	// Why the finding is acceptable.
	Reason string `json:"reason"`
	// Who decided.
	Who string `json:"who"`
	// Last day on which the acceptance holds.
	Until string `json:"until"`
	// Place of the acceptance in a file.
	Position *Position `json:"position,omitempty"`
}

func acceptance(a *model.Acceptance) *Acceptance {
	if a == nil {
		return nil
	}
	return &Acceptance{a.Reason, a.Who, a.Until.String(), position(a.Position)}
}

// Unanswered is a rule that gave no answer at an object.
type Unanswered struct {
	// Id of the rule.
	Rule string `json:"rule"`
	// How grave a finding of the rule would be.
	Severity string `json:"severity"`
	// Why there is no answer: not decidable, rule failed, too costly, not proved or says nothing.
	Cause string `json:"cause"`
	// What is missing or what went wrong.
	Text string `json:"text"`
	// Kind of the object.
	Kind string `json:"kind"`
	// Place of the object in the description.
	Path string `json:"path"`
	// Place of the object in a file.
	Position *Position `json:"position,omitempty"`
	// Place in the rule file at which the rule stopped.
	RulePosition *Position `json:"rule_position,omitempty"`
}

// AcceptanceProblem is something wrong with an acceptance in the machine file.
type AcceptanceProblem struct {
	// What is wrong: unknown rule, unknown place, unused or expired.
	Kind string `json:"kind"`
	// The same in a sentence that says what to do.
	Text string `json:"text"`
	// Place of the acceptance in a file.
	Position *Position `json:"position,omitempty"`
}

// NotComputed is a part of the description that is read but not computed.
type NotComputed struct {
	// Section of the machine file.
	Section string `json:"section"`
	// What is not computed.
	Text string `json:"text"`
}

// RuleTally counts what became of one rule.
type RuleTally struct {
	// Id of the rule.
	Rule string `json:"rule"`
	// Title of the rule's pack.
	Pack string `json:"pack,omitempty"`
	// How grave a finding of the rule is.
	Severity string `json:"severity"`
	// Kind of object that the rule is for.
	For string `json:"for"`
	// Where the rule comes from.
	Source string `json:"source,omitempty"`
	// Objects of the kind. Each is counted in exactly one of the others.
	Objects int `json:"objects"`
	// Objects to which the rule does not apply.
	Outside int `json:"outside"`
	// Objects that keep to the rule.
	Passed int `json:"passed"`
	// Objects that break the rule, accepted ones included.
	Broken int `json:"broken"`
	// Objects at which the rule is not decidable.
	Undecided int `json:"undecided"`
	// Objects at which the rule failed or was stopped.
	Failed int `json:"failed"`
}

// addRules takes over what the rules say.
func (r *Report) addRules(from *rules.Result) {
	r.Findings = make([]Finding, 0, len(from.Findings))
	for _, f := range from.Findings {
		r.Findings = append(r.Findings, finding(f))
	}
	r.Unanswered = make([]Unanswered, 0, len(from.Unanswered))
	for _, u := range from.Unanswered {
		r.Unanswered = append(r.Unanswered, unanswered(u))
	}
	r.Acceptances = make([]AcceptanceProblem, 0, len(from.Acceptances))
	for _, a := range from.Acceptances {
		r.Acceptances = append(r.Acceptances, AcceptanceProblem{a.Kind.String(), a.Text, position(a.Position)})
	}
	r.NotComputed = make([]NotComputed, 0, len(from.NotComputed))
	for _, n := range from.NotComputed {
		r.NotComputed = append(r.NotComputed, NotComputed{n.Section, n.Text})
	}
	r.Rules = make([]RuleTally, 0, len(from.Tallies))
	for _, t := range from.Tallies {
		r.Rules = append(r.Rules, RuleTally{t.Rule.ID, t.Rule.Pack, string(t.Rule.Severity), t.Rule.For, t.Rule.Source,
			t.Objects, t.Outside, t.Passed, t.Broken, t.Undecided, t.Failed + t.Stopped})
	}
	r.addProofs(from)
	s := &r.Summary
	s.Errors, s.Warnings, s.Advice = from.Count(rules.Error), from.Count(rules.Warning), from.Count(rules.Advice)
	s.Accepted = len(from.Findings) - s.Errors - s.Warnings - s.Advice
	s.Undecided, s.RuleErrors = len(from.Undecided()), len(from.Errors())
	s.AcceptanceProblems, s.Rules = len(from.Acceptances), len(from.Tallies)
}

func unanswered(u rules.Unanswered) Unanswered {
	return Unanswered{u.Rule.ID, string(u.Rule.Severity), u.Cause.String(), u.Text, u.Kind, u.Path, position(u.Position), position(u.RulePosition)}
}

func finding(f rules.Finding) Finding {
	out := Finding{Rule: f.Rule.ID, Severity: string(f.Severity), Summary: f.Summary, Hint: f.Hint, Source: f.Rule.Source,
		Pack: f.Rule.Pack, Kind: f.Kind, Path: f.Path, Position: position(f.Position), Accepted: acceptance(f.Accepted),
		Story: story(f.Story), Assumptions: f.Assumptions}
	for _, v := range f.Because {
		out.Because = append(out.Because, Value{v.Text, v.Value})
	}
	for _, x := range f.Related {
		out.Related = append(out.Related, Related{x.Text, x.Name, x.Path, position(x.Position)})
	}
	return out
}

// verdict is the summary in a sentence. It never says that the machine is safe or in order: it counts.
func (s Summary) verdict() string {
	if s.Rules == 0 {
		return "no rule was asked, so nothing was judged"
	}
	parts := []string{
		count(s.Errors, "error", "errors"),
		count(s.Warnings, "warning", "warnings"),
		fmt.Sprintf("%d advice", s.Advice),
		fmt.Sprintf("%d accepted", s.Accepted),
		fmt.Sprintf("%d not decidable", s.Undecided),
		count(s.RuleErrors, "rule error", "rule errors"),
	}
	if s.LogicProblems > 0 {
		parts = append(parts, count(s.LogicProblems, "mistake in the interlock logic", "mistakes in the interlock logic"))
	}
	if s.AcceptanceProblems > 0 {
		parts = append(parts, count(s.AcceptanceProblems, "acceptance that does not fit", "acceptances that do not fit"))
	}
	return strings.Join(parts, ", ") + " (" + count(s.Rules, "rule", "rules") + ")"
}

func count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}
