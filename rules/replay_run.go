package rules

import (
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/guardwright/guardwright/calc/logic"
	"github.com/guardwright/guardwright/model"
	"github.com/guardwright/guardwright/rules/record"
)

// askEvery is the number of steps between two looks at the context.
const askEvery = 4096

// run takes the record in, cycle by cycle.
func (r *replayer) run() error {
	for {
		c, err := r.reader.Next()
		switch {
		case errors.Is(err, io.EOF):
			return r.ended()
		case err != nil:
			return err
		}
		if err := r.take(c); err != nil {
			return err
		}
	}
}

func (r *replayer) ended() error {
	if r.watches[0].monitor.Steps() == 0 {
		return fmt.Errorf("rules: the record %s has no cycle that could be judged: it has %d rows", r.out.Name, r.reader.Count().Rows)
	}
	return nil
}

// take watches the cycles of one row.
func (r *replayer) take(c *record.Cycle) error {
	for _, w := range r.watches {
		if err := w.monitor.Step(c.Values); err != nil {
			return fmt.Errorf("rules: line %d of the record: %w", c.Line, err)
		}
	}
	for _, w := range r.watches {
		r.note(w, c, 0)
		for done := int64(1); done < c.Times; {
			if err := r.cancelled(); err != nil {
				return err
			}
			done += w.monitor.Repeat(min(c.Times-done, askEvery))
			r.note(w, c, done-1)
		}
		if c.Lost {
			w.monitor.Forget()
		}
	}
	first := r.watches[0].monitor.Steps() - c.Times
	for i := max(0, c.Times-int64(r.window)); i < c.Times; i++ {
		r.times[(first+i)%int64(r.window)] = r.time(c, i)
	}
	if r.rows++; r.rows%askEvery == 0 {
		return r.cancelled()
	}
	return nil
}

func (r *replayer) cancelled() error {
	if err := r.ctx.Err(); err != nil {
		return fmt.Errorf("rules: the replay was cancelled: %w", err)
	}
	return nil
}

// time is that of the cycle of a number among those of a row.
func (r *replayer) time(c *record.Cycle, number int64) record.Time {
	return c.Time + record.Time(number)*record.Time(r.interlock.cycle())
}

// note looks at what is new in the cycle of a number among those of a row.
func (r *replayer) note(w *watch, c *record.Cycle, number int64) {
	if w.monitor.News() == w.news {
		return
	}
	w.news = w.monitor.News()
	now := w.monitor.Steps() - 1
	moment := &Moment{Cycle: now, Time: r.reader.Text(r.time(c, number)), Line: c.Line}
	for i, f := range w.monitor.Findings() {
		x := &w.watched[i]
		if f.First == now && x.First == nil {
			x.First, x.Window = moment, r.cut(x, f, c, number)
			if x.value != nil {
				r.differs(w, x, c)
			}
		}
		if f.FirstUnknown == now {
			x.FirstUnknown, x.Why = moment, r.why(x, c)
		}
	}
}

// cut takes what matters for an observation out of the last cycles.
func (r *replayer) cut(x *watched, f logic.Finding, c *record.Cycle, number int64) *Window {
	out := &Window{First: f.WindowStart, Trace: &logic.Trace{}}
	for _, at := range x.columns {
		out.Trace.Signals = append(out.Trace.Signals, f.Window.Signals[at])
	}
	for i, row := range f.Window.Values {
		var values []logic.Value
		for _, at := range x.columns {
			values = append(values, row[at])
		}
		out.Trace.Values = append(out.Trace.Values, values)
		step := f.WindowStart + int64(i)
		at := r.times[step%int64(r.window)]
		if back := f.First - step; back <= number {
			at = r.time(c, number-back)
		}
		out.Times = append(out.Times, r.reader.Text(at))
	}
	return out
}

// differs notes what was recorded of a value, and what the logic computes.
func (r *replayer) differs(w *watch, x *watched, c *record.Cycle) {
	for i, s := range r.reader.Columns {
		if s.Name != x.Name {
			continue
		}
		x.value.Recorded = recordedText(s, c.Values[i])
		if s.Words == nil && !s.Number {
			x.value.Expected = recordedText(s, 1-c.Values[i])
			return
		}
		x.value.Expected = recordedText(s, w.monitor.Int(x.number))
	}
}

func recordedText(s record.Signal, v logic.Value) string {
	switch {
	case v == logic.Unknown:
		return "unknown"
	case s.Words != nil && v >= 0 && int(v) < len(s.Words):
		return s.Words[v]
	case s.Words != nil || s.Number:
		return fmt.Sprint(int64(v))
	}
	return fmt.Sprint(v == logic.True)
}

// mostNamed bounds the signals that are named in a reason.
const mostNamed = 4

// why says what was not known when an observation could not be told.
func (r *replayer) why(x *watched, c *record.Cycle) string {
	var unknown []string
	for _, at := range x.columns {
		if c.Values[at] == logic.Unknown {
			unknown = append(unknown, r.reader.Columns[at].Name)
		}
	}
	switch {
	case c.Lost:
		return "nothing was recorded"
	case len(unknown) > 0:
		return sayThat(unknown) + " unknown in the record"
	case len(x.Missing) > 0:
		return sayThat(x.Missing) + " not recorded"
	case r.reader.Count().Lost > 0:
		return "what happened while nothing was recorded is not known"
	}
	return "what happened before the record began is not known"
}

// sayThat lists names, and whether they are or is.
func sayThat(names []string) string {
	more := ""
	if n := len(names) - mostNamed; n > 0 {
		names, more = names[:mostNamed], fmt.Sprintf(" and %d more", n)
	}
	verb := " is"
	if len(names) > 1 {
		verb = " are"
	}
	return strings.Join(names, ", ") + more + verb
}

// result completes the observations.
func (r *replayer) result() *Replayed {
	out := r.out
	out.Cycle = model.Seconds(r.interlock.cycle().Seconds())
	out.LongestGap = model.Seconds(r.reader.LongestGap().Seconds())
	out.Failing = r.interlock.plain == nil
	out.Count = r.reader.Count()
	out.From, out.To = r.reader.Text(out.Count.First), r.reader.Text(out.Count.Last)
	if out.Count.Gaps > 0 {
		out.FirstGap = &RecordGap{r.reader.Text(out.Count.FirstGap.From), r.reader.Text(out.Count.FirstGap.To)}
	}
	for _, w := range r.watches {
		for i, f := range w.monitor.Findings() {
			x := &w.watched[i]
			x.Cycles, x.Hits, x.Unknown = f.Steps, f.Count, f.Unknown
		}
	}
	for _, w := range r.watches {
		for i := range w.watched {
			r.tell(&w.watched[i])
		}
	}
	return out
}

// tell adds the rule's message where a rule was broken.
func (r *replayer) tell(x *watched) {
	if x.question == nil || x.Outcome() != Broken {
		return
	}
	q := x.question
	f := r.described(q.rule, &activation{name: q.rule.For, object: q.object, machine: r.machine, meter: &meter{ctx: r.ctx}})
	for i := range r.out.Rules {
		if o := &r.out.Rules[i]; &o.Observed == x.Observed {
			o.Finding = &f
		}
	}
}

// Clean tells that nothing in the record contradicts the rules, the assumptions or the logic, and that everything that was
// asked could be told in every cycle. States that were not reached don't count.
func (r *Replayed) Clean() bool {
	ok := len(r.Unanswered) == 0
	for i := range r.Rules {
		o := &r.Rules[i].Observed
		ok = ok && (o.Goal || o.Outcome() == Kept)
	}
	for i := range r.Assumptions {
		ok = ok && r.Assumptions[i].Outcome() == Kept
	}
	for i := range r.Values {
		ok = ok && r.Values[i].Outcome() == Kept
	}
	return ok
}
