package report

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/guardwright/guardwright/rules"
)

// record prints what a recorded trace says: how it was read, the answers, and the record around what was broken first.
func (t *textReport) record() {
	r := t.Record
	if r == nil {
		return
	}
	t.title("Record of the machine: " + strings.TrimSuffix(r.File+", "+r.Title, ", "))
	t.text(span{"  ", plain}, 2, r.Verdict)
	t.text(span{"  ", plain}, 2, fmt.Sprintf("%s to %s: %s, %s.", r.From, r.To, count(int(r.Rows), "row", "rows"), count(int(r.Cycles), "cycle", "cycles")))
	for _, text := range r.Read {
		t.text(span{"  ", plain}, 2, text)
	}
	if len(r.Unused) > 0 {
		t.text(span{"  ", plain}, 2, "Columns that were not read: "+strings.Join(r.Unused, ", ")+".")
	}
	t.watchedTable("rule", r.Rules)
	t.watchedTable("value of the logic", r.Values)
	t.watchedTable("assumption", r.Assumptions)
	for _, u := range r.Unanswered {
		t.head(placeText(u.Position, u.Path), "no answer", yellow, u.Text+" ["+u.Rule+"]")
	}
	t.watchedDetails(r)
}

// watchedTable prints one row for each condition, broken ones first.
func (t *textReport) watchedTable(what string, list []Watched) {
	if len(list) == 0 {
		return
	}
	list = slices.Clone(list)
	slices.SortStableFunc(list, func(a, b Watched) int { return gravity(b) - gravity(a) })
	out := table{columns: []column{{what, false}, {"place", false}, {"answer", false}, {"cycles", true}, {"not known", true}, {"first", false}}}
	shown := t.shown(len(list), 2*few)
	for _, w := range list[:shown] {
		r := row{cells: []string{w.Name, w.Path, w.Outcome, "", "", ""}}
		if w.Hits > 0 {
			r.cells[3] = strconv.FormatInt(w.Hits, 10)
		}
		if w.Unknown > 0 {
			r.cells[4] = strconv.FormatInt(w.Unknown, 10)
		}
		switch {
		case w.First != nil:
			r.cells[5] = w.First.Time
		case w.FirstUnknown != nil:
			r.cells[5] = w.FirstUnknown.Time + ": " + w.Why
			if len(w.Missing) > 0 && !strings.Contains(w.Why, w.Missing[0]) {
				r.cells[5] += "; not recorded: " + strings.Join(w.Missing, ", ")
			}
		}
		switch gravity(w) {
		case 3:
			r.mark, r.style = "!", red
		case 1, 2:
			r.mark, r.style = "?", yellow
		}
		out.rows = append(out.rows, r)
	}
	out.write(t.page)
	t.more(len(list)-shown, "answers", RecordPart)
}

// gravity orders answers: 3 what was broken, 0 what was kept.
func gravity(w Watched) int {
	switch rules.Outcome(w.Outcome) {
	case rules.Broken:
		return 3
	case rules.NotKnown:
		return 2
	case rules.Partly:
		return 1
	}
	return 0
}

// watchedDetails shows the record up to the first cycle in which something was broken.
func (t *textReport) watchedDetails(r *Record) {
	left := few
	show := func(list []Watched, kind func(Watched) (word string, look style), text func(Watched) string) {
		for _, w := range list {
			if w.Outcome != string(rules.Broken) {
				continue
			}
			if left--; left < 0 && !t.full {
				continue
			}
			word, look := kind(w)
			t.blank()
			t.head(fmt.Sprintf("%s:%d", r.File, w.First.Line), word, look, "at "+w.First.Time+" (cycle "+strconv.FormatInt(w.First.Cycle, 10)+"): "+text(w))
			if len(w.Assumed) > 0 {
				t.detail("computed, not recorded: ", strings.Join(w.Assumed, ", "))
			}
			t.detail("fix:     ", w.Hint)
			t.window(w.Window)
		}
	}
	show(r.Rules, func(w Watched) (string, style) { return w.Severity, lookOf(w.Severity) }, func(w Watched) string { return w.Summary + " [" + w.Name + "]" })
	show(r.Values, func(Watched) (string, style) { return "differs", red }, func(w Watched) string {
		return fmt.Sprintf("%s is %s, and the described logic gives %s", w.Name, w.Recorded, w.Expected)
	})
	show(r.Assumptions, func(Watched) (string, style) { return "assumption broken", red }, func(w Watched) string {
		return w.Name + ": proofs that rest on it say nothing about this machine"
	})
	t.more(-left, "broken, with the record around them", RecordPart)
}

// window prints a piece of a record.
func (t *textReport) window(w *Window) {
	if w == nil || len(w.Times) == 0 || len(w.Signals) == 0 {
		return
	}
	t.detail("window:  ", w.Times[0]+" to "+w.Times[len(w.Times)-1]+" (1 is true, . is false, ? not known)")
	t.cells(&Story{Steps: len(w.Times), Signals: w.Signals}, w.First)
}
