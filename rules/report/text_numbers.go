package report

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// entry is a row of a table of numbers: a place with those of its checks that the table is about.
type entry struct {
	place  Place
	checks []Check
	// rank orders entries where only a few are printed: the least first.
	rank float64
}

// entries selects places, each with some of its checks. A place without such checks is left out.
func (t *textReport) entries(places func(Place) bool, checks func(Check) bool) []entry {
	var out []entry
	for _, p := range t.Places {
		if !places(p) {
			continue
		}
		e := entry{place: p}
		for _, c := range p.Checks {
			if checks(c) {
				e.checks = append(e.checks, c)
			}
		}
		if len(e.checks) > 0 {
			e.rank = e.governing().share()
			out = append(out, e)
		}
	}
	return out
}

func ofPart(part Part) func(Place) bool { return func(p Place) bool { return p.Part == part } }

func checkOf(part Part) func(Check) bool { return func(c Check) bool { return c.Part == part } }

func named(names ...string) func(Check) bool {
	return func(c Check) bool { return slices.Contains(names, c.Check) }
}

// governing is the check with the least margin, or when none is decided the first of the others.
func (e entry) governing() Check {
	return slices.MinFunc(e.checks, func(a, b Check) int {
		return cmp.Or(cmp.Compare(a.share(), b.share()), cmp.Compare(rankOpen(a), rankOpen(b)))
	})
}

// rankOpen puts what wants a decision before what wants none.
func rankOpen(c Check) int {
	switch {
	case c.open():
		return 0
	case c.Value != nil:
		return 1
	}
	return 2
}

// find returns the check of a name; the zero Check when there is none.
func (e entry) find(name string) Check {
	for _, c := range e.checks {
		if c.Check == name {
			return c
		}
	}
	return Check{}
}

// mark is ! when a check is beyond its limit, and ? when one could not be decided.
func (e entry) mark() (string, style) {
	switch {
	case slices.ContainsFunc(e.checks, Check.beyond):
		return "!", red
	case slices.ContainsFunc(e.checks, Check.open):
		return "?", yellow
	}
	return "", plain
}

// chosen returns the entries to print: all in their order, or a few with the least margin.
func (t *textReport) chosen(entries []entry) []entry {
	if t.full || len(entries) <= few {
		return entries
	}
	out := slices.Clone(entries)
	slices.SortStableFunc(out, func(a, b entry) int { return cmp.Compare(a.rank, b.rank) })
	return out[:few]
}

// numbers prints a table of entries, each as cells makes them, and what stands below it.
func (t *textReport) numbers(title string, part Part, entries []entry, head []column, cells func(entry) []string) {
	if len(entries) == 0 {
		return
	}
	out := table{columns: head}
	chosen := t.chosen(entries)
	for _, e := range chosen {
		mark, look := e.mark()
		out.rows = append(out.rows, row{mark, look, cells(e)})
	}
	if len(chosen) < len(entries) {
		title += " (the tightest first)"
	}
	t.title(title)
	out.write(t.page)
	t.more(len(entries)-len(chosen), leftOut(entries, chosen), part)
	t.limitTexts(chosen)
	t.openTexts(entries)
}

// leftOut says how many of the entries that are not printed are beyond their limit.
func leftOut(entries, chosen []entry) string {
	beyond := 0
	for _, e := range entries {
		if mark, _ := e.mark(); mark == "!" {
			beyond++
		}
	}
	for _, e := range chosen {
		if mark, _ := e.mark(); mark == "!" {
			beyond--
		}
	}
	if beyond > 0 {
		return fmt.Sprintf("(%d beyond a limit)", beyond)
	}
	return "(none beyond a limit)"
}

// limitTexts says where the limits of the printed numbers come from.
func (t *textReport) limitTexts(entries []entry) {
	var texts []string
	for _, e := range entries {
		for _, c := range e.checks {
			if c.Limits != "" && !slices.Contains(texts, c.Limits) {
				texts = append(texts, c.Limits)
			}
		}
	}
	if len(texts) > 0 {
		t.text(span{"  limits: ", faint}, 10, strings.Join(texts, "; "))
	}
}

// openTexts says why numbers are undecided, each reason once with what it concerns.
func (t *textReport) openTexts(entries []entry) {
	type reason struct{ status, why string }
	type concern struct{ checks, places []string }
	concerns := map[reason]*concern{}
	var order []reason
	for _, e := range entries {
		for _, c := range e.checks {
			if !c.open() {
				continue
			}
			r := reason{c.Status, c.Why}
			if concerns[r] == nil {
				order = append(order, r)
				concerns[r] = &concern{}
			}
			of := concerns[r]
			if !slices.Contains(of.checks, c.Check) {
				of.checks = append(of.checks, c.Check)
			}
			if n := len(of.places); n == 0 || of.places[n-1] != e.place.title() {
				of.places = append(of.places, e.place.title()) // the checks of a place stand together
			}
		}
	}
	n := t.shown(len(order), few)
	for _, r := range order[:n] {
		what := strings.Join(concerns[r].checks, ", ") + " at " + t.names(concerns[r].places)
		if r.why != "" {
			r.why = ", because " + r.why
		}
		t.text(span{"  ? ", yellow}, 4, r.status+r.why+": "+what)
	}
	if n < len(order) {
		t.text(span{"  ? ", yellow}, 4, "and "+count(len(order)-n, "more reason", "more reasons"))
	}
}

func (p Place) title() string { return strings.TrimSpace(p.Name + " " + p.Circuit) }

// The cells of a table.

func textOf(q *Quantity) string {
	if q == nil {
		return "-"
	}
	return q.Text
}

func signed(q *Quantity) string {
	if q == nil {
		return "-"
	}
	if strings.HasPrefix(q.Text, "-") || q.Value != nil && *q.Value == 0 {
		return q.Text
	}
	return "+" + q.Text
}

// marginOf is the margin of a check, or its status when there is none.
func marginOf(c Check) string {
	if c.decided() {
		return signed(c.Margin)
	}
	return statusOf(c)
}

func statusOf(c Check) string {
	switch {
	case c.Status == "":
		return "-"
	case c.Status == "no limit stated":
		return "no limit"
	case c.Status == "not applicable":
		return "-"
	}
	return c.Status
}

func (p Place) voltage(at string) string {
	for _, pt := range p.Points {
		if pt.Case == at {
			return textOf(pt.Voltage)
		}
	}
	return "-"
}

// valueOf is the number of a check, with a mark when it is beyond its limit: in a row with several checks it tells which.
func valueOf(c Check) string {
	if c.beyond() {
		return "!" + textOf(c.Value)
	}
	return textOf(c.Value)
}

// governs is the name of a check with its case.
func governs(c Check) string {
	if c.Case == "" {
		return c.Check
	}
	return c.Check + ", " + c.Case
}
