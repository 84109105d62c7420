package report

import (
	"cmp"
	"fmt"
	"strings"
)

// text is the time, or what is known of it.
func (x Time) text() string {
	switch {
	case x.Value != nil:
		return x.Value.Text
	case x.AtLeast != nil:
		return "> " + x.AtLeast.Text
	}
	return "-"
}

// connections prints the time limits of the safety connections.
func (t *textReport) connections() {
	if len(t.Connections) == 0 {
		return
	}
	t.title("Safety connections: the time limit in force, and between what it may lie")
	out := table{columns: []column{{"connection", false}, {"module", false}, {"limit", true}, {"", false}, {"smallest", true}, {"largest", true},
		{"in operation", true}, {"to controller", true}, {"from it", true}}}
	chosen := fewRows(t, t.Connections, func(a, b Connection) int {
		return cmp.Compare(min(a.Trips.share(), a.Fits.share()), min(b.Trips.share(), b.Fits.share()))
	})
	for _, c := range chosen {
		how := "computed"
		if c.Stated {
			how = "stated"
		}
		r := row{cells: []string{c.Name, c.Module, c.Limit.text(), how, c.Smallest.text(), c.Largest.text(), c.Ordinary.text(), c.ToController.text(), c.FromController.text()}}
		r.mark, r.style = markOf(c.Trips, c.Fits)
		if c.Limit.Value == nil {
			r.mark, r.style = "?", yellow
		}
		out.rows = append(out.rows, r)
	}
	out.write(t.page)
	t.more(len(t.Connections)-len(chosen), "connections", ConnectionsPart)
	var whys []missingTime
	for _, c := range t.Connections {
		whys = append(whys, missingTime{c.Name, c.Limit.Why}, missingTime{c.Name, c.Smallest.Why})
	}
	t.missing(whys)
	for _, c := range chosen {
		if len(c.Openings) > 0 {
			t.text(span{"  ! ", red}, 4, "no time limit of "+c.Name+" serves; one of these changes opens it: "+strings.Join(c.Openings, "; "))
		}
	}
}

// reactions prints the reaction times, and of those that are printed in full the contributions.
func (t *textReport) reactions() {
	if len(t.Reactions) == 0 {
		return
	}
	t.title("Reaction times: from the demand until everything stands still (reaction: until the drive begins to stop)")
	out := table{columns: []column{{"function", false}, {"demand", false}, {"last", false}, {"no fault", true}, {"one fault", true},
		{"reaction", true}, {"allowed", true}, {"margin", true}}}
	chosen := fewRows(t, t.Reactions, func(a, b Reaction) int {
		return cmp.Or(cmp.Compare(a.Allowed.share(), b.Allowed.share()), cmp.Compare(rankOf(a.OneFault.Value == nil), rankOf(b.OneFault.Value == nil)))
	})
	for _, x := range chosen {
		r := row{cells: []string{x.Function, x.Device, cmp.Or(x.Last, "-"), x.Undisturbed.text(), x.OneFault.text(), x.Reaction.text(),
			textOf(x.Allowed.Limit), signed(x.Allowed.Margin)}}
		if r.mark, r.style = markOf(x.Allowed); r.mark == "" && x.OneFault.Value == nil {
			r.mark, r.style = "?", yellow
		}
		out.rows = append(out.rows, r)
	}
	out.write(t.page)
	t.more(len(t.Reactions)-len(chosen), "reaction times", ReactionsPart)
	var whys []missingTime
	for _, x := range t.Reactions {
		whys = append(whys, missingTime{x.Function + " by " + x.Device, x.OneFault.Why})
	}
	t.missing(whys)
	if !t.full {
		chosen = chosen[:min(len(chosen), 1)]
	}
	for _, x := range chosen {
		t.contributions(x)
	}
	if t.full {
		t.stops()
	}
}

// stops prints the stopping times of the drives.
func (t *textReport) stops() {
	if len(t.Stops) == 0 {
		return
	}
	t.blank()
	t.text(span{"  ", plain}, 4, "Stopping of the drives, from the moment at which the switching element has passed on the command")
	out := table{columns: []column{{"drive", false}, {"stops in", true}, {"runs down in", true}, {"from", false}}}
	for _, s := range t.Stops {
		r := row{cells: []string{s.Name, s.Stopping.text(), s.RunDown.text(), cmp.Or(s.From, s.Stopping.Why, "-")}}
		if s.Stopping.Value == nil {
			r.mark, r.style = "?", yellow
		}
		out.rows = append(out.rows, r)
	}
	out.write(t.page)
}

// contributions prints how one reaction time is made.
func (t *textReport) contributions(x Reaction) {
	if len(x.Steps) == 0 {
		return
	}
	t.blank()
	t.text(span{"  ", plain}, 4, fmt.Sprintf("%s on demand of %s, by its slowest way (%s)", x.Function, x.Device, x.Rule))
	out := table{columns: []column{{"stage", false}, {"at", false}, {"no fault", true}, {"one fault", true}, {"from", false}}}
	for _, s := range x.Steps {
		r := row{cells: []string{s.Stage, s.Name, s.Undisturbed.text(), s.OneFault.text(), s.From}}
		if s.OneFault.Value == nil {
			r.mark, r.style = "?", yellow
		}
		out.rows = append(out.rows, r)
	}
	out.rows = append(out.rows, row{cells: []string{"sum", "", x.SumUndisturbed.text(), x.SumOneFault.text(), ""}})
	out.write(t.page)
}

// distances prints the separation distances.
func (t *textReport) distances() {
	if len(t.Distances) == 0 {
		return
	}
	t.title("Separation distances: the built distance against the one that the overall stopping time T asks for")
	out := table{columns: []column{{"function", false}, {"device", false}, {"T", true}, {"built", true}, {"needed", true}, {"margin", true},
		{"T may be", true}, {"way", false}}}
	chosen := fewRows(t, t.Distances, func(a, b Distance) int {
		return cmp.Or(cmp.Compare(a.Separation.share(), b.Separation.share()), cmp.Compare(rankOpen(a.Separation), rankOpen(b.Separation)))
	})
	for _, d := range chosen {
		r := row{cells: []string{d.Function, d.Device, d.Overall.text(), textOf(d.Separation.Value), textOf(d.Separation.Limit), marginOf(d.Separation),
			d.Longest.text(), cmp.Or(d.Way, "-")}}
		r.mark, r.style = markOf(d.Separation, d.Locking)
		out.rows = append(out.rows, r)
	}
	out.write(t.page)
	t.more(len(t.Distances)-len(chosen), "distances", DistancesPart)
	for _, d := range chosen {
		if d.Derivation != "" {
			t.text(span{"  ", plain}, 4, d.Function+" past "+d.Device+": "+d.Derivation)
		}
	}
	var whys []missingTime
	for _, d := range t.Distances {
		name := d.Function + " past " + d.Device
		whys = append(whys, missingTime{name, openWhy(d.Separation)})
		if d.Locking.beyond() {
			t.text(span{"  ! ", red}, 4, name+": "+textOf(d.Locking.Value)+" to stop, "+textOf(d.Locking.Limit)+" to the hazard: "+d.Locking.Limits)
		}
	}
	t.missing(whys)
}
