package report

import (
	"fmt"
	"strings"
)

// currents prints places with their voltages and the current that has the least margin.
func (t *textReport) currents(title string, part Part, about string) {
	head := []column{{"", false}, {"circuit", false}, {"lowest", true}, {"nominal", true}, {"highest", true},
		{"current", true}, {"limit", true}, {"margin", true}, {"share", true}, {"governed by", false}}
	head[0].name = about
	entries := t.entries(ofPart(part), checkOf(part))
	if !hasCircuits(entries) {
		head = append(head[:1], head[2:]...)
	}
	t.numbers(title, part, entries, head, func(e entry) []string {
		g := e.governing()
		cells := []string{e.place.Name}
		if hasCircuits(entries) {
			cells = append(cells, e.place.Circuit)
		}
		return append(cells, e.place.voltage("lowest"), e.place.voltage("nominal"), e.place.voltage("highest"),
			textOf(g.Value), textOf(g.Limit), marginOf(g), signed(g.Share), g.Check)
	})
}

func hasCircuits(entries []entry) bool {
	for _, e := range entries {
		if e.place.Circuit != "" {
			return true
		}
	}
	return false
}

func (t *textReport) supplies() {
	t.currents("Supplies: current against what they may give", SuppliesPart, "supply")
}

func (t *textReport) protections() {
	t.currents("Protective devices: current against what they hold, and their wiring", ProtectionsPart, "device")
}

func (t *textReport) feeds() {
	t.currents("Feeds: voltage at the end, and current in cores and contacts", FeedsPart, "feed")
}

func (t *textReport) modules() {
	t.currents("Modules: voltage at the module, and its currents", ModulesPart, "module")
}

func (t *textReport) ports() {
	t.currents("Ports: voltage at the device, and current in port and cable", PortsPart, "port")
}

func (t *textReport) loads() {
	head := []column{{"load", false}, {"lowest", true}, {"needs", true}, {"margin", true}, {"share", true},
		{"highest", true}, {"permits", true}, {"share", true}, {"drop", true}}
	entries := t.entries(ofPart(LoadsPart), checkOf(LoadsPart))
	for i, e := range entries {
		// A load without its least voltage does not work: that comes before the 5 % of the drop.
		entries[i].rank = min(e.find("least voltage").share(), e.find("highest voltage").share(), e.find("pull-in voltage").share())
	}
	t.numbers("Loads: voltage against the range in which they work", LoadsPart, entries, head, func(e entry) []string {
		low, high, drop := e.find("least voltage"), e.find("highest voltage"), e.find("voltage drop")
		if pull := e.find("pull-in voltage"); pull.decided() && pull.share() < low.share() {
			low = pull
		}
		return []string{e.place.Name, valueOf(low), textOf(low.Limit), marginOf(low), signed(low.Share),
			valueOf(high), textOf(high.Limit), signed(high.Share), valueOf(drop)}
	})
}

// faults prints the short circuits, and in a second table what the cables stand.
func (t *textReport) faults() {
	anywhere := func(Place) bool { return true }
	head := []column{{"short circuit at", false}, {"circuit", false}, {"current", true}, {"needed", true}, {"margin", true}, {"share", true},
		{"opens in", true}, {"permitted", true}, {"device", false}}
	t.numbers("Short circuits: the smallest fault current, and whether the protective device opens in time", FaultsPart,
		t.entries(anywhere, named("fault current", "opening time")), head, func(e entry) []string {
			trip, opens, device := e.find("fault current"), e.find("opening time"), ""
			if e.place.Fault != nil {
				device = e.place.Fault.Device
			}
			return []string{e.place.Name, e.place.Circuit, valueOf(trip), textOf(trip.Limit), marginOf(trip), signed(trip.Share),
				valueOf(opens), textOf(opens.Limit), device}
		})
	head = []column{{"cable to", false}, {"circuit", false}, {"device", true}, {"ampacity", true}, {"share", true},
		{"let through", true}, {"withstands", true}, {"share", true}}
	t.numbers("Protection of the cables: overload, and heating by the worst short circuit", FaultsPart,
		t.entries(anywhere, named("overload protection", "thermal withstand")), head, func(e entry) []string {
			over, heat := e.find("overload protection"), e.find("thermal withstand")
			return []string{e.place.Name, e.place.Circuit, valueOf(over), textOf(over.Limit), signed(over.Share),
				valueOf(heat), textOf(heat.Limit), signed(heat.Share)}
		})
}

func (t *textReport) inrush() {
	head := []column{{"switching on at", false}, {"circuit", false}, {"value", true}, {"limit", true}, {"margin", true}, {"share", true}, {"governed by", false}}
	t.numbers("Inrush: everything behind the place switched on at once", InrushPart,
		t.entries(func(Place) bool { return true }, func(c Check) bool { return c.Part == InrushPart && c.Status != "not applicable" }),
		head, func(e entry) []string {
			g := e.governing()
			return []string{e.place.Name, e.place.Circuit, textOf(g.Value), textOf(g.Limit), marginOf(g), signed(g.Share), governs(g)}
		})
}

func (t *textReport) networks() {
	if len(t.Networks) == 0 {
		return
	}
	t.title("Networks: operating point, and how far the constant-power loads may grow until there is none")
	out := table{columns: []column{{"fed by", false}, {"operating point", false}, {"loads may be", true}, {"voltage then", true}, {"at", false}}}
	var why []string
	for _, n := range t.Networks {
		r := row{cells: []string{strings.Join(n.Supplies, ", "), "solved in all cases", "unlimited", "-", "-"}}
		for _, o := range n.Operation {
			if o.Status != "solved" && r.mark == "" {
				r.mark, r.style = "!", red
				r.cells[1] = o.Status + ", case " + o.Case
				why = append(why, strings.Join(n.Supplies, ", ")+", case "+o.Case+": "+o.Why)
			}
			if c := o.Collapse; c != nil && r.cells[4] == "-" {
				r.cells[2], r.cells[3], r.cells[4] = c.factor(), textOf(c.Voltage), c.At
			}
		}
		out.rows = append(out.rows, r)
	}
	out.write(t.page)
	for _, w := range why {
		t.text(span{"  ! ", red}, 4, w)
	}
}

// factor is the collapse factor: its lower bound, and the upper one where it differs.
func (c Collapse) factor() string {
	if c.Lower.Text == c.Upper.Text {
		return c.Lower.Text
	}
	return c.Lower.Text + " to " + c.Upper.Text
}

func (t *textReport) selectivity() {
	if len(t.Selectivity) == 0 {
		return
	}
	title := "Selectivity: does the device nearer to the load open first, at every fault current behind it?"
	chosen := t.Selectivity
	if !t.full {
		chosen = nil
		for _, s := range t.Selectivity {
			if s.Status != "within" {
				chosen = append(chosen, s)
			}
		}
		chosen = chosen[:min(len(chosen), few)]
	}
	t.title(title)
	if len(chosen) > 0 {
		out := table{columns: []column{{"device", false}, {"before", false}, {"from", true}, {"to", true}, {"at", true}, {"opens in", true},
			{"other holds", true}, {"", false}}}
		for _, s := range chosen {
			out.rows = append(out.rows, selectivityRow(s))
		}
		out.write(t.page)
	}
	t.more(len(t.Selectivity)-len(chosen), leftPairs(t.Selectivity, chosen), SelectivityPart)
}

func selectivityRow(s Selectivity) row {
	r := row{cells: []string{s.Downstream, s.Upstream, textOf(s.From), textOf(s.To), textOf(s.At), textOf(s.Opens), textOf(s.Holds), "selective"}}
	switch s.Status {
	case "within":
		if s.Holds == nil {
			r.cells[6] = "for ever"
		}
	case "beyond":
		r.mark, r.style, r.cells[7] = "!", red, "not selective"
		if s.Opens == nil {
			r.cells[5] = "never"
		}
	default:
		r.mark, r.style, r.cells[7] = "?", yellow, s.Status+": "+s.Why
	}
	return r
}

func leftPairs(all, chosen []Selectivity) string {
	count := func(list []Selectivity) (within int) {
		for _, s := range list {
			if s.Status == "within" {
				within++
			}
		}
		return within
	}
	within := count(all) - count(chosen)
	return fmt.Sprintf("(%d selective)", within)
}

// checks prints every check by itself.
func (t *textReport) checks() {
	head := []column{{"place", false}, {"value", true}, {"limit", true}, {"margin", true}, {"share", true}, {"check", false}}
	var all []entry
	for _, p := range t.Places {
		for _, c := range p.Checks {
			all = append(all, entry{p, []Check{c}, c.share()})
		}
	}
	t.numbers("All computed numbers of the 24 V supply", ChecksPart, all, head, func(e entry) []string {
		c := e.checks[0]
		return []string{e.place.title(), textOf(c.Value), textOf(c.Limit), marginOf(c), signed(c.Share), governs(c)}
	})
}
