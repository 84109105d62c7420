package report

import (
	"fmt"
	"strings"

	"github.com/guardwright/guardwright/rules"
)

// lookOf is the style of a severity.
func lookOf(severity string) style {
	switch severity {
	case "error":
		return red
	case "warning":
		return yellow
	}
	return blue
}

// place is where an entry stands: in a file, or else in the description.
func placeText(at *Position, path string) string {
	if at == nil {
		return path
	}
	return at.String()
}

// perRule is how many findings of one rule are printed unless findings were asked for, and unansweredPerRule how many
// of its entries without an answer.
const (
	perRule           = 10
	unansweredPerRule = 3
)

// ration keeps the entries of one rule from filling a report.
type ration struct {
	most  int // 0: no bound
	seen  map[string]int
	order []string // rules with more entries than are printed
}

// take reports whether one more entry of a rule is printed.
func (r *ration) take(rule string) bool {
	if r.seen == nil {
		r.seen = map[string]int{}
	}
	r.seen[rule]++
	if r.most == 0 || r.seen[rule] <= r.most {
		return true
	}
	if r.seen[rule] == r.most+1 {
		r.order = append(r.order, rule)
	}
	return false
}

// ration bounds the entries of each rule, unless the part was asked for.
func (t *textReport) ration(most int) *ration {
	if t.full {
		most = 0
	}
	return &ration{most: most}
}

// moreOf says of which rules there are more entries.
func (t *textReport) moreOf(r *ration, p Part) {
	for _, rule := range r.order {
		t.more(r.seen[rule]-r.most, "of ["+rule+"]", p)
	}
}

func (t *textReport) findings() {
	t.title("Findings")
	first, ration := true, t.ration(perRule)
	for _, f := range t.Findings {
		if f.Accepted != nil || !ration.take(f.Rule) {
			continue
		}
		if !first {
			t.blank()
		}
		first = false
		t.finding(f)
	}
	if first {
		t.line(span{"  none", plain})
	}
	t.moreOf(ration, FindingsPart)
}

// finding prints one finding. Its first line is one that editors know how to jump from.
func (t *textReport) finding(f Finding) {
	t.head(placeText(f.Position, f.Path), f.Severity, lookOf(f.Severity), fmt.Sprintf("%s [%s]", f.Summary, f.Rule))
	t.sources.snippet(t.page, f.Position)
	lead := "because: "
	for _, v := range f.Because {
		t.detail(lead, v.Text+" = "+v.Value)
		lead = "         "
	}
	t.story(f.Story)
	t.detail("assumed: ", strings.Join(f.Assumptions, ", "))
	t.detail("source:  ", f.Source)
	t.detail("fix:     ", f.Hint)
	for _, x := range f.Related {
		t.detail("see:     ", strings.TrimPrefix(placeText(x.Position, x.Path)+": "+x.Text+" is "+x.Name, ": "))
	}
}

// head prints place, kind and text; the kind in its style.
func (t *textReport) head(place, kind string, look style, text string) {
	lead := span{kind + ": ", look}
	where := span{}
	if place != "" {
		where = span{place + ": ", strong}
	}
	for i, l := range wrap(text, t.width, columns(where.text+lead.text), 4) {
		if i == 0 {
			t.line(where, lead, span{l, plain})
			continue
		}
		t.line(span{"    " + l, plain})
	}
}

// detail prints a line below a finding; nothing when there is nothing to say.
func (t *textReport) detail(lead, text string) {
	if text != "" {
		t.text(span{"    " + lead, faint}, 4+columns(lead), text)
	}
}

func (t *textReport) undecided() {
	t.title("No answer: not decidable, not proved, or the rule failed (these did not pass)")
	if len(t.Unanswered) == 0 {
		t.line(span{"  none", plain})
		return
	}
	ration := t.ration(unansweredPerRule)
	for _, u := range t.Unanswered {
		if !ration.take(u.Rule) {
			continue
		}
		look := yellow
		if u.Cause == rules.Failed.String() || u.Cause == rules.TooCostly.String() {
			look = red
		}
		t.head(placeText(u.Position, u.Path), u.Cause, look, fmt.Sprintf("%s [%s, %s]", withoutCause(u), u.Rule, u.Severity))
		if u.Cause != "not decidable" {
			t.detail("rule:    ", u.RulePosition.String())
		}
	}
	t.moreOf(ration, UndecidedPart)
}

// withoutCause is the text of an entry without the cause at its beginning, which stands before it already.
func withoutCause(u Unanswered) string {
	text := strings.TrimPrefix(u.Text, u.Cause)
	text = strings.TrimPrefix(text, "the "+u.Cause)
	return strings.TrimLeft(text, ",: ")
}

func (t *textReport) accepted() {
	var accepted []Finding
	for _, f := range t.Findings {
		if f.Accepted != nil {
			accepted = append(accepted, f)
		}
	}
	if len(accepted) == 0 && len(t.Acceptances) == 0 {
		if t.full {
			t.title("Accepted findings")
			t.line(span{"  none", plain})
		}
		return
	}
	t.title("Accepted findings")
	n := t.shown(len(accepted), 2*few)
	for _, f := range accepted[:n] {
		t.head(placeText(f.Position, f.Path), "accepted "+f.Severity, faint, fmt.Sprintf("%s [%s]", f.Summary, f.Rule))
		t.detail("reason:  ", fmt.Sprintf("%s (%s, until %s)", f.Accepted.Reason, f.Accepted.Who, f.Accepted.Until))
	}
	t.more(len(accepted)-n, "accepted findings", AcceptedPart)
	for _, a := range t.Acceptances {
		t.head(a.Position.String(), "acceptance "+a.Kind, yellow, a.Text)
	}
}

func (t *textReport) notComputed() {
	if len(t.NotComputed) == 0 {
		return
	}
	t.title("Described but not computed in this version")
	for _, n := range t.NotComputed {
		t.text(span{"  " + n.Section + ": ", plain}, 4, strings.TrimPrefix(n.Text, "described but not computed in this version: "))
	}
}

func (t *textReport) rules() {
	t.title("Rules")
	out := table{columns: []column{{"rule", false}, {"severity", false}, {"objects", true}, {"outside", true}, {"passed", true},
		{"broken", true}, {"no answer", true}}}
	for _, r := range t.Rules {
		cells := []string{r.Rule, r.Severity}
		for _, n := range []int{r.Objects, r.Outside, r.Passed, r.Broken, r.Undecided + r.Failed} {
			cells = append(cells, fmt.Sprint(n))
		}
		mark := ""
		switch {
		case r.Broken > 0:
			mark = "!"
		case r.Undecided+r.Failed > 0:
			mark = "?"
		}
		out.rows = append(out.rows, row{mark: mark, cells: cells})
	}
	if len(out.rows) == 0 {
		t.line(span{"  none was asked", plain})
		return
	}
	out.write(t.page)
}

// limits prints what the method does not cover, the same text once for all its places.
func (t *textReport) limits() {
	if len(t.Limits) == 0 {
		return
	}
	t.title("Limits of the method")
	places := map[string][]string{}
	var texts []string
	for _, l := range t.Limits {
		if places[l.Text] == nil {
			texts = append(texts, l.Text)
		}
		places[l.Text] = append(places[l.Text], strings.TrimSpace(l.Name+" "+l.Circuit))
	}
	n := t.shown(len(texts), few)
	for _, text := range texts[:n] {
		t.text(span{"  ", plain}, 4, t.names(places[text])+": "+text)
	}
	t.more(len(texts)-n, "limits", LimitsPart)
}

// names joins names, of many only the first ones unless the part was asked for.
func (t *textReport) names(names []string) string {
	if n := t.shown(len(names), 2*few); n < len(names) {
		return strings.Join(names[:n], ", ") + fmt.Sprintf(" and %d more", len(names)-n)
	}
	return strings.Join(names, ", ")
}
