package report

import (
	"strconv"
	"strings"
)

// story prints a run as a table of signals and cycles. Of stretches in which nothing changes only the ends are shown, and of
// signals that are off all the time only the names.
func (t *textReport) story(s *Story) {
	if s == nil {
		return
	}
	t.detail("run:     ", s.size()+" (1 is true, . is false, ? does not matter)")
	t.cells(s, 0)
}

// cells prints the cycles of a run, the first of which has a number.
func (t *textReport) cells(s *Story, first int64) {
	name, width := 0, 1
	var shown []StorySignal
	var off []string
	for _, x := range s.Signals {
		if x.off() {
			off = append(off, x.Name)
			continue
		}
		shown = append(shown, x)
		name = max(name, columns(x.Name))
		for _, v := range x.Values {
			width = max(width, columns(v))
		}
	}
	number := func(step int) string { return strconv.FormatInt(first+int64(step), 10) }
	width = max(width, columns(number(s.Steps-1)))
	// A run with many changes is cut into blocks that fit the page.
	block := max(1, (t.width-6-name)/(width+1))
	all := s.shownSteps()
	for from := 0; from < len(all); from += block {
		steps := all[from:min(from+block, len(all))]
		row := func(head string, cell func(step int) string, look style) {
			var b strings.Builder
			b.WriteString("      " + pad(head, name, false))
			for _, step := range steps {
				text := ".."
				if step != skipped {
					text = cell(step)
				} else if look == plain {
					text = ""
				}
				b.WriteString(" " + pad(text, width, true))
			}
			t.line(span{strings.TrimRight(b.String(), " "), look})
		}
		row("cycle", number, faint)
		for _, x := range shown {
			row(x.Name, func(step int) string { return x.Values[step] }, plain)
		}
	}
	t.detail("off:     ", strings.Join(off, ", "))
}

// off tells that a signal is known to be off in all cycles.
func (x StorySignal) off() bool {
	for _, v := range x.Values {
		if v != "." {
			return false
		}
	}
	return true
}

// size is how long a run is.
func (s *Story) size() string {
	text := count(s.Steps, "cycle", "cycles")
	if s.Cycle != nil {
		text += " of " + s.Cycle.Text
	}
	text += " from power-up"
	if s.Shortest {
		text += ", the shortest such run"
	}
	return text
}

// skipped stands for a stretch of cycles in which nothing changes.
const skipped = -1

// longestStill is how many cycles without a change are written out.
const longestStill = 4

// shownSteps are the cycles that a table shows; skipped stands for several that are like the one before.
func (s *Story) shownSteps() []int {
	var out []int
	for _, still := range s.stretches() {
		if !still.quiet || still.to-still.from <= longestStill {
			for step := still.from; step < still.to; step++ {
				out = append(out, step)
			}
			continue
		}
		out = append(out, still.from, skipped, still.to-1)
	}
	return out
}

// stretch is a row of cycles, from and up to without to.
type stretch struct {
	from, to int
	// quiet tells that nothing changes in any of them.
	quiet bool
}

// stretches cuts a run into single cycles with changes and stretches without any.
func (s *Story) stretches() []stretch {
	var out []stretch
	for step := range s.Steps {
		quiet := step > 0 && !s.changes(step)
		if last := len(out) - 1; quiet && last >= 0 && out[last].quiet {
			out[last].to++
			continue
		}
		out = append(out, stretch{step, step + 1, quiet})
	}
	return out
}

func (s *Story) changes(step int) bool {
	for _, x := range s.Signals {
		if x.Values[step] != x.Values[step-1] {
			return true
		}
	}
	return false
}

// stories tells the runs in words: what changes in which cycle, and which expression makes it so.
func (t *textReport) stories() {
	if !t.full {
		return
	}
	t.title("Runs, told cycle by cycle: what changes, and the expression that makes it so")
	if t.noLogic() {
		t.line(span{"  none: the machine file states no interlock logic", plain})
		return
	}
	told := 0
	for _, f := range t.Findings {
		if f.Story != nil {
			told++
			t.head(placeText(f.Position, f.Path), f.Severity, lookOf(f.Severity), f.Summary+" ["+f.Rule+"]")
			t.tell(f.Story)
		}
	}
	for _, p := range t.Proofs {
		if p.Verdict == "reached" && p.Story != nil {
			told++
			t.head(placeText(p.Position, p.Path), "reached", green, "how it comes to what must be reachable ["+p.Rule+"]")
			t.tell(p.Story)
		}
	}
	if told == 0 {
		t.line(span{"  none: no rule about the interlock logic was refuted, and none asked what can be reached", plain})
	}
}

// noLogic tells that the machine file states no interlock logic.
func (r *Report) noLogic() bool { return len(r.Logic) == 0 && len(r.Proofs) == 0 }

func (t *textReport) tell(s *Story) {
	t.line(span{"    " + s.size(), faint})
	expressions := map[string]string{}
	for _, v := range t.Logic {
		expressions[v.Name] = v.Expression
	}
	for _, still := range s.stretches() {
		if still.quiet {
			text := "cycle " + strconv.Itoa(still.from)
			if still.to-still.from > 1 {
				text = "cycles " + strconv.Itoa(still.from) + " to " + strconv.Itoa(still.to-1)
			}
			t.line(span{"    " + text + ": nothing changes", plain})
			continue
		}
		t.tellStep(s, still.from, expressions)
	}
}

// tellStep tells one cycle: what comes from outside in one line, then each value of the logic with its expression.
func (t *textReport) tellStep(s *Story, step int, expressions map[string]string) {
	var outside []string
	for _, x := range s.Signals {
		if change := x.change(step); change != "" && x.Input {
			outside = append(outside, x.Name+" "+change)
		}
	}
	text := "from outside: " + strings.Join(outside, ", ")
	switch {
	case len(outside) > 0:
	case step == 0:
		text = "from outside: everything is off"
	default:
		text = "from outside: nothing changes"
	}
	t.text(span{"    cycle " + strconv.Itoa(step) + ": ", plain}, 10, text)
	for _, x := range s.Signals {
		change := x.change(step)
		if change == "" || x.Input {
			continue
		}
		text := x.Name + " " + change
		if e := expressions[x.Name]; e != "" && x.Values[step] != "?" {
			text += ", by " + e
		}
		t.text(span{"      ", plain}, 10, text)
	}
}

// change words what becomes of a signal in a cycle; empty where it stays. Before the first cycle everything counts as off.
func (x StorySignal) change(step int) string {
	before := "."
	if step > 0 {
		before = x.Values[step-1]
	}
	now := x.Values[step]
	switch {
	case now == before || step == 0 && now == "?":
		return ""
	case step == 0 && now == "1":
		return "is on"
	case step == 0:
		return "is " + now
	case now == ".":
		return "goes off"
	case now == "1" && (before == "." || before == "?"):
		return "goes on"
	case now == "?":
		return "no longer matters"
	}
	return "becomes " + now
}
