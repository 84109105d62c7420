package report

import (
	"fmt"
	"strings"

	"github.com/guardwright/guardwright/calc/logic"
	"github.com/guardwright/guardwright/rules"
	"github.com/guardwright/guardwright/rules/record"
)

// Record is what a recorded trace of the real machine says.
type Record struct {
	// File of the record.
	File string `json:"file"`
	// What was recorded, as its mapping says.
	Title string `json:"title,omitempty"`
	// How the rows were read, in sentences.
	Read []string `json:"read"`
	// The record in a sentence.
	Verdict string `json:"verdict"`
	// Time of the first row.
	From string `json:"from"`
	// Time of the last row.
	To string `json:"to"`
	// Time of one cycle.
	Cycle *Quantity `json:"cycle"`
	// Rows that were read.
	Rows int64 `json:"rows"`
	// Safety cycles that they cover.
	Cycles int64 `json:"cycles"`
	// Cycles among those of which nothing was recorded.
	Lost int64 `json:"lost"`
	// Signals that were read.
	Signals []string `json:"signals"`
	// Columns that were not read.
	Unused []string `json:"unused,omitempty"`
	// Answers to the rules about the interlock logic, in the order of the rules and objects.
	Rules []Watched `json:"rules"`
	// The recorded values of the logic, compared with what the described logic computes from the record.
	Values []Watched `json:"values"`
	// Assumptions on which proofs about this machine rest.
	Assumptions []Watched `json:"assumptions"`
	// Rules that could not be asked of the machine.
	Unanswered []Unanswered `json:"unanswered"`
}

// Watched is a condition that was watched in a record.
type Watched struct {
	// Id of the rule, or name of the value or assumption.
	Name string `json:"name"`
	// How grave a broken rule is: error, warning or advice.
	Severity string `json:"severity,omitempty"`
	// Kind of the rule's object.
	Kind string `json:"kind,omitempty"`
	// Place of the object in the description.
	Path string `json:"path,omitempty"`
	// Place of the object in a file.
	Position *Position `json:"position,omitempty"`
	// What came of it: kept, in part (kept in every cycle in which it can be told), broken or not known; of a rule with reach: met, not met or not known.
	Outcome string `json:"outcome"`
	// The rule's message where it was broken.
	Summary string `json:"summary,omitempty"`
	// What to change.
	Hint string `json:"hint,omitempty"`
	// Value that was recorded in the first cycle in which the machine did something else than the described logic.
	Recorded string `json:"recorded,omitempty"`
	// Value that the described logic computes in that cycle.
	Expected string `json:"expected,omitempty"`
	// Cycles that were looked at.
	Cycles int64 `json:"cycles"`
	// Cycles in which it was broken, or met.
	Hits int64 `json:"hits"`
	// Cycles in which it can't be told.
	Unknown int64 `json:"unknown"`
	// First cycle in which it was broken, or met.
	First *Moment `json:"first,omitempty"`
	// First cycle in which it can't be told.
	FirstUnknown *Moment `json:"first_unknown,omitempty"`
	// What was not known in that cycle.
	Why string `json:"why,omitempty"`
	// Signals that it rests on and that were not recorded.
	Missing []string `json:"missing,omitempty"`
	// Values in a rule that were not recorded but computed by the described logic.
	Assumed []string `json:"assumed,omitempty"`
	// The record up to the first cycle in which it was broken, or met.
	Window *Window `json:"window,omitempty"`
}

// Moment is a cycle of a record.
type Moment struct {
	// Number of the cycle, from 0.
	Cycle int64 `json:"cycle"`
	// Time of the cycle, as the record counts it.
	Time string `json:"time"`
	// Line of the row from which the values are.
	Line int `json:"line"`
}

// Window is a piece of a record, cycle by cycle.
type Window struct {
	// Number of the first cycle.
	First int64 `json:"first"`
	// Times of the cycles.
	Times []string `json:"times"`
	// The signals that matter, those from outside first.
	Signals []StorySignal `json:"signals"`
}

// addRecord takes over what a recorded trace of the machine says.
func (r *Report) addRecord(from *rules.Replayed) {
	if from == nil {
		return
	}
	out := &Record{File: from.Name, Title: from.Mapping.Record, Read: howRead(from), From: from.From, To: from.To,
		Cycle: of(newUnits(), from.Cycle, valueDigits), Rows: from.Count.Rows, Cycles: from.Count.Cycles, Lost: from.Count.Lost,
		Signals: []string{}, Unused: from.Unused, Rules: []Watched{}, Values: []Watched{}, Assumptions: []Watched{}, Unanswered: []Unanswered{}}
	for _, s := range from.Recorded {
		out.Signals = append(out.Signals, s.Name)
	}
	for i := range from.Rules {
		x := &from.Rules[i]
		w := watched(&x.Observed)
		w.Name, w.Severity, w.Kind, w.Path, w.Position = x.Rule.ID, string(x.Rule.Severity), x.Kind, x.Path, position(x.Position)
		if x.Finding != nil {
			w.Summary, w.Hint = x.Finding.Summary, x.Finding.Hint
		}
		out.Rules = append(out.Rules, w)
	}
	for i := range from.Values {
		x := &from.Values[i]
		w := watched(&x.Observed)
		w.Recorded, w.Expected = x.Recorded, x.Expected
		out.Values = append(out.Values, w)
	}
	for _, x := range from.Assumptions {
		out.Assumptions = append(out.Assumptions, watched(x))
	}
	for _, u := range from.Unanswered {
		out.Unanswered = append(out.Unanswered, unanswered(u))
	}
	out.Verdict = out.verdict()
	r.Record = out
}

func watched(from *rules.Observed) Watched {
	w := Watched{Name: from.Name, Outcome: string(from.Outcome()), Cycles: from.Cycles, Hits: from.Hits, Unknown: from.Unknown,
		First: moment(from.First), FirstUnknown: moment(from.FirstUnknown), Why: from.Why, Missing: from.Missing, Assumed: from.Assumed}
	if from.Window != nil {
		t := from.Window.Trace
		w.Window = &Window{First: from.Window.First, Times: from.Window.Times, Signals: storySignals(t)}
	}
	return w
}

func moment(from *rules.Moment) *Moment {
	if from == nil {
		return nil
	}
	return &Moment{from.Cycle, from.Time, from.Line}
}

// storySignals are the signals of a run, those from outside first.
func storySignals(t *logic.Trace) []StorySignal {
	out := []StorySignal{}
	for _, inputs := range []bool{true, false} {
		for i, x := range t.Signals {
			if (x.Kind == logic.InputSignal) != inputs {
				continue
			}
			signal := StorySignal{Name: x.Name, Input: inputs, Values: make([]string, t.Len())}
			for step := range signal.Values {
				signal.Values[step] = t.Text(step, i)
			}
			out = append(out, signal)
		}
	}
	return out
}

// howRead says how the rows of a record became cycles.
func howRead(from *rules.Replayed) []string {
	m, c := from.Mapping, from.Count
	cycle := from.Cycle.Format(valueDigits)
	limit := ""
	if from.LongestGap > 0 {
		limit = "; nothing is known between rows farther apart than " + from.LongestGap.Format(valueDigits)
	}
	var out []string
	switch m.Rows {
	case record.Cycles:
		out = append(out, "Each row is a safety cycle of "+cycle+limit+".")
	case record.Changes:
		out = append(out, "The values of a row hold until the next, in cycles of "+cycle+limit+".")
	default:
		out = append(out, "The rows are samples; a signal in which two rows differ is unknown in the cycles between them. Cycles of "+cycle+limit+".")
	}
	switch {
	case m.Unsure > 0:
		out = append(out, fmt.Sprintf("A signal is unknown in the %s before a change: the controller may have seen it earlier.", count(m.Unsure, "cycle", "cycles")))
	case m.Rows != record.Cycles:
		out = append(out, "The cycles are taken to be those of the controller; if they are not, answers about single cycles can be wrong by one (unsure: 1 makes such cycles unknown).")
	}
	if m.Lag > 0 {
		out = append(out, fmt.Sprintf("Values of the logic are taken to be recorded %s later than the signals they were computed from.", count(m.Lag, "cycle", "cycles")))
	}
	if m.Starts == record.PowerUp {
		out = append(out, "The record begins at power-up.")
	} else {
		out = append(out, "The record begins in the middle of a run: what happened before is unknown.")
	}
	if !from.Failing {
		out = append(out, "Nothing is recorded of failing ports and connections: they are taken not to fail.")
	}
	if c.Gaps > 0 {
		out = append(out, fmt.Sprintf("%s in %s were not recorded, first between %s and %s; what rules remember is unknown after each.",
			count(int(c.Lost), "cycle", "cycles"), count(int(c.Gaps), "gap", "gaps"), from.FirstGap.From, from.FirstGap.To))
	}
	if c.Between > 0 {
		out = append(out, fmt.Sprintf("%s unknown because a signal changed between two rows around the cycle.", count(int(c.Between), "value is", "values are")))
	}
	if c.Fast > 0 {
		out = append(out, fmt.Sprintf("%s unknown because a signal changed more than once within a cycle.", count(int(c.Fast), "value is", "values are")))
	}
	return out
}

// verdict is the record in a sentence. It counts, and never says that the machine is safe.
func (r *Record) verdict() string {
	broken := func(list []Watched) int {
		n := 0
		for _, w := range list {
			if w.Outcome == string(rules.Broken) {
				n++
			}
		}
		return n
	}
	open := len(r.Unanswered)
	for _, list := range [][]Watched{r.Rules, r.Values, r.Assumptions} {
		for _, w := range list {
			if w.Outcome == string(rules.Partly) || w.Outcome == string(rules.NotKnown) {
				open++
			}
		}
	}
	parts := []string{count(broken(r.Rules), "rule", "rules") + " broken"}
	switch n := broken(r.Values); {
	case len(r.Values) == 0:
		parts = append(parts, "no value of the logic recorded, so it was compared with nothing")
	default:
		parts = append(parts, fmt.Sprintf("%d of %s not as the described logic has it", n, count(len(r.Values), "value", "values")))
	}
	parts = append(parts, count(broken(r.Assumptions), "assumption", "assumptions")+" broken", fmt.Sprintf("%d not known, or not throughout", open))
	return strings.Join(parts, ", ")
}
