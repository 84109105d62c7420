package report

import (
	"fmt"
	"strings"
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

// perRule is how many findings of one rule are printed unless findings were asked for.
const perRule = 10

func (t *textReport) findings() {
	t.title("Findings")
	counted := 0
	seen, left := map[string]int{}, map[string]int{}
	var order []string
	for _, f := range t.Findings {
		if f.Accepted != nil {
			continue
		}
		counted++
		seen[f.Rule]++
		if !t.full && seen[f.Rule] > perRule {
			if left[f.Rule]++; left[f.Rule] == 1 {
				order = append(order, f.Rule)
			}
			continue
		}
		if counted > 1 {
			t.blank()
		}
		t.finding(f)
	}
	if counted == 0 {
		t.line(span{"  none", plain})
	}
	for _, rule := range order {
		t.more(left[rule], "of ["+rule+"]", FindingsPart)
	}
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
	t.title("No answer: not decidable, or the rule failed (these did not pass)")
	if len(t.Unanswered) == 0 {
		t.line(span{"  none", plain})
		return
	}
	n := t.shown(len(t.Unanswered), 2*few)
	for _, u := range t.Unanswered[:n] {
		look := yellow
		if u.Cause != "not decidable" {
			look = red
		}
		t.head(placeText(u.Position, u.Path), u.Cause, look, fmt.Sprintf("%s [%s, %s]", withoutCause(u), u.Rule, u.Severity))
		if u.Cause != "not decidable" {
			t.detail("rule:    ", u.RulePosition.String())
		}
	}
	t.more(len(t.Unanswered)-n, "without an answer", UndecidedPart)
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
		{"broken", true}, {"undecided", true}, {"failed", true}}}
	for _, r := range t.Rules {
		cells := []string{r.Rule, r.Severity}
		for _, n := range []int{r.Objects, r.Outside, r.Passed, r.Broken, r.Undecided, r.Failed} {
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
