package rules

import (
	"fmt"
	"maps"
	"slices"

	"github.com/guardwright/guardwright/model"
	"github.com/guardwright/guardwright/model/source"
)

// AcceptanceProblem is something wrong with an acceptance that the machine file states.
type AcceptanceProblem struct {
	Kind       AcceptanceKind
	Acceptance *model.Acceptance
	// Position of the acceptance.
	Position source.Position
	Text     string
}

// AcceptanceKind says what is wrong with an acceptance.
type AcceptanceKind uint8

// What can be wrong with an acceptance.
const (
	// UnknownRule: no rule of the check has the id.
	UnknownRule AcceptanceKind = iota + 1
	// UnknownPlace: the machine has no object with the path.
	UnknownPlace
	// Unused: the rule finds nothing at the object.
	Unused
	// Expired: its last day has passed. The finding counts again.
	Expired
)

// String returns the kind in words.
func (k AcceptanceKind) String() string {
	switch k {
	case UnknownRule:
		return "unknown rule"
	case UnknownPlace:
		return "unknown place"
	case Unused:
		return "unused"
	case Expired:
		return "expired"
	}
	return "unknown"
}

// accept marks the accepted findings and notes the acceptances that do not fit.
func (r *Result) accept(today model.Date, paths map[string]source.Position) {
	rules := map[string]bool{}
	for _, t := range r.Tallies {
		rules[t.Rule.ID] = true
	}
	for i := range r.Machine.Accept {
		a := &r.Machine.Accept[i]
		if problem, text := r.judgeAcceptance(a, today, rules, paths); text != "" {
			r.Acceptances = append(r.Acceptances, AcceptanceProblem{Kind: problem, Acceptance: a, Position: a.Position, Text: text})
		}
	}
}

func (r *Result) judgeAcceptance(a *model.Acceptance, today model.Date, rules map[string]bool, paths map[string]source.Position) (AcceptanceKind, string) {
	if !rules[a.Rule] {
		return UnknownRule, fmt.Sprintf("the acceptance names the rule %s, which is in none of the rule sets%s", a.Rule, nearest(a.Rule, rules))
	}
	if _, ok := paths[a.At]; !ok {
		return UnknownPlace, fmt.Sprintf("the acceptance of %s names %s, which the machine does not have%s", a.Rule, a.At, nearest(a.At, paths))
	}
	if today != (model.Date{}) && a.Until.Before(today) {
		return Expired, fmt.Sprintf("the acceptance of %s at %s expired on %s: judge the finding again, and state a new date or remove it", a.Rule, a.At, a.Until)
	}
	used := false
	for i := range r.Findings {
		if f := &r.Findings[i]; f.Rule.ID == a.Rule && f.Path == a.At {
			f.Accepted, used = a, true
		}
	}
	if used {
		return 0, ""
	}
	for _, u := range r.Unanswered {
		if u.Rule.ID == a.Rule && u.Path == a.At {
			return Unused, fmt.Sprintf("the acceptance of %s at %s is not used: the rule gave no answer there", a.Rule, a.At)
		}
	}
	return Unused, fmt.Sprintf("the acceptance of %s at %s is not used: the rule finds nothing there; remove it", a.Rule, a.At)
}

func nearest[V any](word string, known map[string]V) string {
	if near, ok := source.Nearest(word, slices.Collect(maps.Keys(known))); ok {
		return fmt.Sprintf("; did you mean %s?", near)
	}
	return ""
}
