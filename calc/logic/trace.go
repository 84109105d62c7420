package logic

import (
	"fmt"
	"strconv"
	"strings"
)

// Value is the value of a signal in one step: 0 and 1 of a Boolean, the number of an integer, or [Unknown].
type Value int64

const (
	// False is the Boolean value false.
	False Value = 0
	// True is the Boolean value true.
	True Value = 1
	// Unknown is the value of a signal that was not recorded, or that can't be told from what was.
	Unknown Value = unknown
)

// SignalKind tells what a signal of a trace is.
type SignalKind uint8

const (
	// InputSignal is set from outside in every step.
	InputSignal SignalKind = iota
	// LatchSignal is a memory of one step.
	LatchSignal
	// NetSignal is a named expression.
	NetSignal
)

// TraceSignal is one column of a [Trace].
type TraceSignal struct {
	Name    string
	Kind    SignalKind
	Integer bool
	Labels  []string // of an enumeration, by value
}

// Trace is a run from power-up: the value of every named signal that matters, in every step.
type Trace struct {
	Signals []TraceSignal
	Values  [][]Value // by step, then as Signals
}

// Change is one signal that differs from the step before.
type Change struct {
	Signal   string
	Kind     SignalKind
	From, To string
}

// Len is the number of steps.
func (t *Trace) Len() int { return len(t.Values) }

// Text returns the value of signal i in a step as it is printed: "1", "." for false, a number, a label, "?" for unknown.
func (t *Trace) Text(step, i int) string { return t.Signals[i].text(t.Values[step][i]) }

func (s TraceSignal) text(v Value) string {
	switch {
	case v == Unknown:
		return "?"
	case v >= 0 && int(v) < len(s.Labels):
		return s.Labels[v]
	case !s.Integer && v == False:
		return "."
	}
	return strconv.FormatInt(int64(v), 10)
}

// Value returns the value of the named signal in a step; ok is false where the trace has no such signal or step.
func (t *Trace) Value(step int, name string) (v Value, ok bool) {
	if step < 0 || step >= len(t.Values) {
		return Unknown, false
	}
	for i := range t.Signals {
		if t.Signals[i].Name == name {
			return t.Values[step][i], true
		}
	}
	return Unknown, false
}

// Changes returns the signals that differ from the step before; in step 0, those that are not false or zero.
func (t *Trace) Changes(step int) []Change {
	var out []Change
	for i, s := range t.Signals {
		from := False
		if step > 0 {
			from = t.Values[step-1][i]
		}
		if to := t.Values[step][i]; to != from {
			out = append(out, Change{Signal: s.Name, Kind: s.Kind, From: s.text(from), To: s.text(to)})
		}
	}
	return out
}

// stepsPerBlock is how many steps one block of the table shows side by side.
const stepsPerBlock = 25

// Table returns the run as a text table, one line per signal and one column per step, inputs first; long runs are cut into
// blocks. "1" is true, "." false, "?" unknown.
func (t *Trace) Table() string {
	var b strings.Builder
	name := len("step")
	for _, s := range t.Signals {
		name = max(name, len([]rune(s.Name)))
	}
	for from := 0; from < len(t.Values); from += stepsPerBlock {
		if from > 0 {
			b.WriteByte('\n')
		}
		t.block(&b, from, min(from+stepsPerBlock, len(t.Values)), name)
	}
	return b.String()
}

func (t *Trace) block(b *strings.Builder, from, to, name int) {
	width := make([]int, to-from)
	for step := from; step < to; step++ {
		w := len(strconv.Itoa(step))
		for i := range t.Signals {
			w = max(w, len([]rune(t.Text(step, i))))
		}
		width[step-from] = w
	}
	line := func(head string, cell func(step int) string) {
		b.WriteString(head + strings.Repeat(" ", name-len([]rune(head))))
		for step := from; step < to; step++ {
			c := cell(step)
			b.WriteString("  " + strings.Repeat(" ", width[step-from]-len([]rune(c))) + c)
		}
		b.WriteByte('\n')
	}
	line("step", strconv.Itoa)
	for _, kind := range []SignalKind{InputSignal, NetSignal, LatchSignal} {
		for i, s := range t.Signals {
			if s.Kind == kind {
				line(s.Name, func(step int) string { return t.Text(step, i) })
			}
		}
	}
}

// Story returns the run as text, one line per step with what changed in it.
func (t *Trace) Story() string {
	var b strings.Builder
	for step := range t.Values {
		fmt.Fprintf(&b, "step %d:", step)
		changes := t.Changes(step)
		if len(changes) == 0 {
			b.WriteString(" nothing changes")
		}
		for i, c := range changes {
			if i > 0 {
				b.WriteByte(',')
			}
			fmt.Fprintf(&b, " %s %s", c.Signal, c.words())
		}
		b.WriteByte('\n')
	}
	return b.String()
}

func (c Change) words() string {
	switch c.To {
	case ".":
		return "off"
	case "1":
		if c.From == "." {
			return "on"
		}
	}
	return "= " + c.To
}

// Inputs returns the run's input values by step and name, as [System.Run] takes them.
func (t *Trace) Inputs() []map[string]Value {
	out := make([]map[string]Value, len(t.Values))
	for step, row := range t.Values {
		out[step] = map[string]Value{}
		for i, s := range t.Signals {
			if s.Kind == InputSignal {
				out[step][s.Name] = row[i]
			}
		}
	}
	return out
}
