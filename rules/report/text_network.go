package report

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// fewRows returns what is printed of a list: all, or the first that rank puts first.
func fewRows[T any](t *textReport, list []T, rank func(a, b T) int) []T {
	if t.full || len(list) <= few {
		return list
	}
	out := slices.Clone(list)
	slices.SortStableFunc(out, rank)
	return out[:few]
}

// addresses prints the address plan.
func (t *textReport) addresses() {
	if len(t.Nodes) == 0 {
		return
	}
	t.title("Address plan: a network of the shape " + cmp.Or(t.Shape, "of nothing linked"))
	out := table{columns: []column{{"node", false}, {"", false}, {"address", false}, {"safety", false}, {"hops", true}, {"at worst", true}, {"rings", false}}}
	wrong := func(n Node) bool { return len(n.Problems) > 0 }
	chosen := fewRows(t, t.Nodes, func(a, b Node) int { return cmp.Compare(rankOf(wrong(a)), rankOf(wrong(b))) })
	for _, n := range chosen {
		r := row{cells: []string{n.Name, n.Kind, cmp.Or(n.Address, "-"), safetyText(n), wholeNumber(n.Hops), wholeNumber(n.Longest), strings.Join(n.Rings, ", ")}}
		if wrong(n) {
			r.mark, r.style = "!", red
		}
		out.rows = append(out.rows, r)
	}
	out.write(t.page)
	t.more(len(t.Nodes)-len(chosen), "nodes", AddressesPart)
	for _, n := range chosen {
		for _, p := range n.Problems {
			t.text(span{"  ! ", red}, 4, n.Name+": "+p)
		}
	}
	for _, p := range t.AddressProblems {
		t.text(span{"  ! ", red}, 4, p)
	}
}

// rankOf puts what is wrong first.
func rankOf(first bool) int {
	if first {
		return 0
	}
	return 1
}

func safetyText(n Node) string {
	var parts []string
	if n.SafetyNetwork != "" {
		parts = append(parts, n.SafetyNetwork)
	}
	if n.SafetyAddress != 0 {
		parts = append(parts, strconv.Itoa(n.SafetyAddress))
	}
	return cmp.Or(strings.Join(parts, " "), "-")
}

// linkLoads prints what the links carry.
func (t *textReport) linkLoads() {
	if len(t.Links) == 0 {
		return
	}
	t.title("Links: load at the worst open position of the rings, and what waits at the port")
	out := table{columns: []column{{"from", false}, {"to", false}, {"streams", true}, {"rate", true}, {"normal", true}, {"load", true}, {"delay", true}, {"waiting", true}, {"memory", true}}}
	chosen := fewRows(t, t.Links, func(a, b LinkLoad) int {
		return cmp.Compare(min(a.Load.share(), a.Backlog.share()), min(b.Load.share(), b.Backlog.share()))
	})
	for _, l := range chosen {
		r := row{cells: []string{l.Port, cmp.Or(l.To, "a station"), strconv.Itoa(l.Flows), textOf(l.Rate), textOf(l.Normal.Value), valueOf(l.Load),
			textOf(l.Delay.Value), valueOf(l.Backlog), textOf(l.Backlog.Limit)}}
		r.mark, r.style = markOf(l.Load, l.Backlog, l.Delay)
		out.rows = append(out.rows, r)
	}
	out.write(t.page)
	t.more(len(t.Links)-len(chosen), "directions of links", LinksPart)
	var whys []missingTime
	for _, l := range t.Links {
		for _, c := range []Check{l.Load, l.Delay} {
			whys = append(whys, missingTime{l.Port, openWhy(c)})
		}
	}
	t.missing(whys)
}

// markOf is ! when a check is beyond its limit or without bound, and ? when one could not be decided.
func markOf(checks ...Check) (string, style) {
	switch {
	case slices.ContainsFunc(checks, func(c Check) bool { return c.beyond() || c.Status == "unbounded" }):
		return "!", red
	case slices.ContainsFunc(checks, Check.open):
		return "?", yellow
	}
	return "", plain
}

// missing says why numbers are missing, each reason once with what it concerns.
func (t *textReport) missing(whys []missingTime) {
	concerned := map[string][]string{}
	var order []string
	for _, w := range whys {
		if w.why == "" || slices.Contains(concerned[w.why], w.name) {
			continue
		}
		if concerned[w.why] == nil {
			order = append(order, w.why)
		}
		concerned[w.why] = append(concerned[w.why], w.name)
	}
	n := t.shown(len(order), few)
	for _, why := range order[:n] {
		t.text(span{"  ? ", yellow}, 4, t.names(concerned[why])+": "+why)
	}
	if n < len(order) {
		t.text(span{"  ? ", yellow}, 4, "and "+count(len(order)-n, "more reason", "more reasons"))
	}
}

// missingTime is a number that is not known, and why.
type missingTime struct{ name, why string }

// openWhy is why a check is not decided; empty for one that is, or that nothing asks for.
func openWhy(c Check) string {
	if c.open() || c.Status == "unbounded" {
		return c.Why
	}
	return ""
}

// singleFaults prints the single faults that cost something beside themselves, and the double faults of rings.
func (t *textReport) singleFaults() {
	if len(t.SingleFaults) == 0 {
		return
	}
	var costly []SingleFault
	for _, f := range t.SingleFaults {
		if f.Lost > 0 || len(f.Trips) > 0 {
			costly = append(costly, f)
		}
	}
	t.title(fmt.Sprintf("Single faults: %d looked at, %d of them cost a controller modules or connections", len(t.SingleFaults), len(costly)))
	if len(costly) > 0 {
		t.costly(costly)
	}
	if len(t.DoubleFaults) > 0 {
		t.doubleFaults()
	}
}

func (t *textReport) costly(costly []SingleFault) {
	out := table{columns: []column{{"without", false}, {"", false}, {"controller", false}, {"modules", true}, {"functions", true}, {"trips", true}, {"loses", false}}}
	chosen := fewRows(t, costly, func(a, b SingleFault) int {
		return cmp.Or(cmp.Compare(b.Lost, a.Lost), cmp.Compare(len(b.Trips), len(a.Trips)))
	})
	for _, f := range chosen {
		out.rows = append(out.rows, row{cells: []string{f.Name, f.Kind, f.Controller, strconv.Itoa(f.Lost), strconv.Itoa(f.Functions), strconv.Itoa(len(f.Trips)), lostNames(f.Names, f.Lost)}})
	}
	out.write(t.page)
	t.more(len(costly)-len(chosen), "single faults", SingleFaultsPart)
}

// lostNames names what is lost.
func lostNames(names []string, lost int) string {
	out := strings.Join(names, ", ")
	if lost > len(names) {
		out += fmt.Sprintf(" and %d more", lost-len(names))
	}
	return out
}

// doubleFaults prints what two faults at once in a ring cost beyond what each of them costs.
func (t *textReport) doubleFaults() {
	t.title("Two faults at once in a ring: pairs that lose further modules, and what the worst pair loses")
	out := table{columns: []column{{"ring", false}, {"two", false}, {"controller", false}, {"pairs", true}, {"lose", true}, {"modules", true}, {"functions", true}, {"worst pair", false}}}
	chosen := fewRows(t, t.DoubleFaults, func(a, b DoubleFaults) int { return cmp.Compare(b.Lost, a.Lost) })
	var whys []missingTime
	for _, d := range chosen {
		r := row{cells: []string{d.Ring, strings.ReplaceAll(d.Kind, "-and-", ", "), d.Controller, strconv.Itoa(d.Pairs), wholeNumber(d.Losing),
			strconv.Itoa(d.Lost), strconv.Itoa(d.Functions), cmp.Or(strings.Join(d.Worst, ", "), "-")}}
		if d.Losing == nil {
			r.mark, r.style = "?", yellow
		}
		out.rows = append(out.rows, r)
		whys = append(whys, missingTime{d.Ring, d.Why})
	}
	out.write(t.page)
	t.missing(whys)
	t.more(len(t.DoubleFaults)-len(chosen), "kinds of double faults", SingleFaultsPart)
}
