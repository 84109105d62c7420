package rules

import (
	"context"
	"errors"
	"fmt"
	"io"
	"runtime"
	"slices"
	"time"

	"github.com/guardwright/guardwright/calc"
	"github.com/guardwright/guardwright/calc/logic"
	"github.com/guardwright/guardwright/model"
	"github.com/guardwright/guardwright/model/source"
	"github.com/guardwright/guardwright/rules/record"
)

// ReplayOptions are the settings of [Replay]. The zero value serves.
type ReplayOptions struct {
	// Name of the record in positions.
	Name string
	// Results are what was computed about the machine, for rules with when:; nil: Replay computes them.
	Results *calc.Results
	// Without names assumptions that are not watched, beside those that are off in the machine file.
	Without []string
	// Window is the number of cycles shown up to a moment; 0: 20.
	Window int
	// Steps bounds the work of one rule at one object, as in [Options].
	Steps int64
}

// usualWindow is the number of cycles shown up to a moment.
const usualWindow = 20

// Replayed is what a recorded trace of the real machine says. It is not changed after [Replay] returns it.
type Replayed struct {
	Machine *model.Machine
	// Name of the record's file, and Mapping by which it was read.
	Name    string
	Mapping *record.Mapping
	// Cycle is the safety cycle in which the rules count.
	Cycle model.Duration
	// LongestGap is the longest time between two rows over which values hold; 0 where it has no limit.
	LongestGap model.Duration
	Count      record.Count
	// From and To are the times of the first and last row.
	From, To string
	// FirstGap is the first time from which nothing is recorded; nil when there is none.
	FirstGap *RecordGap
	// Recorded are the signals that were read, and Unused the columns that were not.
	Recorded []record.Signal
	Unused   []string
	// Rules are the answers to the rules with always: and reach:, in the order of the rules and objects.
	Rules []ReplayedRule
	// Assumptions are those on which proofs about the machine rest.
	Assumptions []*Observed
	// Values compare what was recorded of the values of the logic with what the logic computes from the record.
	Values []ReplayedValue
	// Unanswered are the rules that can't be asked of the machine.
	Unanswered []Unanswered
	// Failing tells that ports and connections are taken to fail as the record or the logic says; otherwise they are taken not
	// to fail.
	Failing bool
}

// RecordGap is a time from which nothing is recorded.
type RecordGap struct{ From, To string }

// Moment is a cycle of a record.
type Moment struct {
	// Cycle counts from 0, Time is the record's own, and Line that of the row from which the values are.
	Cycle int64
	Time  string
	Line  int
}

// Window is the record up to a moment: the signals that matter for it, cycle by cycle.
type Window struct {
	Trace *logic.Trace
	// First is the number of the first cycle, and Times are the times of all.
	First int64
	Times []string
}

// Observed is a condition that was watched in the record: that a rule is kept, or an assumption, or that a value is what the
// logic computes; for reach: that the state was reached.
type Observed struct {
	// Name of the assumption or value, or id of the rule and path of the object.
	Name string
	// Goal tells that the condition is to be met at some time, and not always.
	Goal bool
	// Cycles is the number of cycles looked at, Hits that of those in which the condition was broken, or the goal met, and
	// Unknown that of those in which it can't be told.
	Cycles, Hits, Unknown int64
	// First is the first of the hits, and Window the record up to it; nil where there is none.
	First  *Moment
	Window *Window
	// FirstUnknown is the first cycle in which it can't be told, and Why what was not known in it.
	FirstUnknown *Moment
	Why          string
	// Missing are the signals that the condition rests on and that were not recorded.
	Missing []string
	// Assumed are the values in the condition that were not recorded, but computed by the described logic: as to them, it was
	// not the machine that was watched.
	Assumed []string
}

// ReplayedRule is the answer to a rule at one object.
type ReplayedRule struct {
	Rule *Rule
	// Kind, Path and Position are the object.
	Kind, Path string
	Position   source.Position
	Observed
	// Finding is the rule's message where it was broken; nil elsewhere. It is no part of the findings of a check.
	Finding *Finding
}

// ReplayedValue is the comparison of one value of the logic.
type ReplayedValue struct {
	Observed
	// Recorded and Expected are the values in the first cycle in which they differ; empty where there is none.
	Recorded, Expected string
}

// Outcome is what came of watching a condition, in a word or two.
type Outcome string

// The outcomes.
const (
	Kept     Outcome = "kept"      // in every cycle
	Partly   Outcome = "in part"   // kept wherever it could be told, which was not everywhere
	Broken   Outcome = "broken"    // in some cycle
	NotKnown Outcome = "not known" // in no cycle could it be told
	Met      Outcome = "met"       // the state was reached
	NotMet   Outcome = "not met"   // the state was reached in no cycle where it could be told
)

// Outcome sums an observation up.
func (o *Observed) Outcome() Outcome {
	switch {
	case o.Goal && o.Hits > 0:
		return Met
	case o.Hits > 0:
		return Broken
	case o.Unknown == o.Cycles:
		return NotKnown
	case o.Goal:
		return NotMet
	case o.Unknown > 0:
		return Partly
	}
	return Kept
}

// Replay judges a recorded trace of the real machine by the rules with always: and reach:, unchanged, watches the assumptions of
// its logic, and compares the recorded values of the logic with what the logic computes. Package record says how the file is
// read and how its rows become cycles. A nil mapping is the zero one. The record is read as a stream; memory does not grow with
// its length.
//
// The logic is compared value by value: each is computed from the recorded signals, from recorded values where there are any,
// and from their memories; so a value that is wrong is told where it is wrong, and not where it leads to.
//
// Rules speak of the world and the logic of what it reads. Where the record has fault or passivated of a port, or alive of a
// connection, ports and connections fail as they were recorded, and those that were not are unknown. Where it has none, and the
// logic does not speak of them, they are taken not to fail, and signals recorded in the controller stand for the world.
//
// The error is a [source.Problems] where the logic, the mapping or the record has mistakes; then there is no verdict.
func Replay(ctx context.Context, m *model.Machine, sets []*Ruleset, trace io.Reader, mapping *record.Mapping, o ReplayOptions) (*Replayed, error) {
	if mapping == nil {
		mapping = &record.Mapping{}
	}
	c, x, err := logicChecker(ctx, m, sets, o)
	if err != nil {
		return nil, err
	}
	if x.cycle() <= 0 {
		return nil, errors.New("rules: the rules count in safety cycles, and the machine file states none: add safety_cycle to the controller that runs the logic")
	}
	reader, err := record.Open(trace, o.Name, mapping, x.recordable(), x.cycle())
	if err != nil {
		return nil, err
	}
	if err := x.fitTo(c, reader.Columns); err != nil {
		return nil, err
	}
	r := &replayer{checker: c, interlock: x, reader: reader, ctx: ctx,
		out: &Replayed{Machine: m, Name: o.Name, Mapping: mapping, Recorded: reader.Columns, Unused: reader.Unused}}
	if err := r.prepare(sets, o); err != nil {
		return nil, err
	}
	if err := r.run(); err != nil {
		return nil, err
	}
	return r.result(), nil
}

// logicChecker prepares the interlock logic alone.
func logicChecker(ctx context.Context, m *model.Machine, sets []*Ruleset, o ReplayOptions) (*checker, *interlock, error) {
	if m == nil {
		return nil, nil, errors.New("rules: there is no machine to compare a record with")
	}
	used, err := join(sets)
	if err != nil {
		return nil, nil, err
	}
	x, err := newInterlock(m, sets)
	switch {
	case err != nil:
		return nil, nil, err
	case x == nil:
		return nil, nil, errors.New("rules: the machine file has no interlock logic, so it says nothing about what a record should show: add the section logic")
	}
	if o.Results == nil {
		if o.Results, err = calc.Compute(ctx, m); err != nil {
			return nil, nil, fmt.Errorf("rules: computing the machine: %w", err)
		}
	}
	if !resultsOf(o.Results, m) {
		return nil, nil, errors.New("rules: the results are those of another machine")
	}
	if o.Steps <= 0 {
		o.Steps = defaultSteps
	}
	x.use(used)
	c := &checker{ctx: ctx, options: Options{Results: o.Results, Steps: o.Steps, Without: o.Without, Parallel: runtime.GOMAXPROCS(0)},
		world: newWorld(newLanguage(), m, o.Results, used)}
	c.machine = c.world.all(c.world.language.kinds[machineName])[0]
	x.build(c)
	if err := x.problems.Err(); err != nil {
		return nil, nil, err
	}
	return c, x, nil
}

// cycle is the safety cycle of the controller; 0 where none is stated.
func (x *interlock) cycle() time.Duration { return time.Duration(x.systems()[0].signals.cycle) }

// recordable are the signals that a record can hold: those of the logic, and those of ports and connections.
func (x *interlock) recordable() []record.Signal {
	values := map[string]*model.LogicValue{}
	for _, v := range x.machine.Logic.Values {
		values[v.Name] = v
	}
	failures := &signals{compiler: x.compiler, sys: logic.New(), words: map[word]*signalValue{}}
	failures.declareFailures(x.machine)
	known := map[string]bool{}
	var out []record.Signal
	for _, sys := range []*logic.System{x.systems()[0].sys, failures.sys} {
		for _, c := range sys.Columns() {
			if known[c.Name] {
				continue
			}
			known[c.Name] = true
			s := record.Signal{Name: c.Name, Words: c.Labels, Computed: c.Kind == logic.NetSignal}
			if c.Integer && c.Labels == nil {
				s.Number, s.Min, s.Max = true, int64(c.Min), int64(c.Max)
				if v := values[c.Name]; v != nil && v.Number { // the machine may do what its logic never would
					s.Min, s.Max = int64(v.Min), int64(v.Max)
				}
			}
			out = append(out, s)
		}
	}
	return out
}

// fitTo lets ports and connections fail where the record says whether they did. Where it does not, they are taken not to fail,
// unless the logic itself speaks of it.
func (x *interlock) fitTo(c *checker, columns []record.Signal) error {
	if x.plain == nil {
		return nil
	}
	known := map[string]bool{}
	for _, column := range x.plain.sys.Columns() {
		known[column.Name] = true
	}
	if !slices.ContainsFunc(columns, func(s record.Signal) bool { return !known[s.Name] }) {
		return nil
	}
	if x.plain = nil; x.free == nil {
		x.free = x.buildIn(c, freeMode)
	}
	return x.problems.Err()
}

// replayer judges one record.
type replayer struct {
	*checker
	interlock *interlock
	reader    *record.Reader
	ctx       context.Context
	out       *Replayed
	watches   []*watch
	window    int
	times     []record.Time // ring of the last cycles
	rows      int           // since the context was asked
}

// watch observes the record by one of the transition systems.
type watch struct {
	*system
	monitor *logic.Monitor
	watched []watched
	news    int
}

// watched is a property under observation, and what was seen.
type watched struct {
	*Observed
	property logic.Property
	columns  []int // that it rests on
	question *question
	value    *ReplayedValue
	number   logic.Int // formula of a value that is a number or word
}

// prepare asks the rules and builds the monitors.
func (r *replayer) prepare(sets []*Ruleset, o ReplayOptions) error {
	if r.window = o.Window; r.window <= 0 {
		r.window = usualWindow
	}
	r.times = make([]record.Time, r.window)
	if err := r.interlock.checkWithout(o.Without); err != nil {
		return err
	}
	for _, s := range r.interlock.systems() {
		r.watches = append(r.watches, &watch{system: s})
	}
	r.askRules(sets)
	if err := r.compareValues(); err != nil {
		return err
	}
	for _, w := range r.watches {
		if err := r.watchBy(w); err != nil {
			return err
		}
	}
	return nil
}

// askRules makes the properties of the rules.
func (r *replayer) askRules(sets []*Ruleset) {
	var questions []question
	for _, s := range sets {
		for _, rule := range s.rules {
			if rule.temporal == nil {
				continue
			}
			t := &task{rule: rule}
			for _, object := range r.world.all(r.world.language.kinds[rule.For]) {
				if q, ok := r.ask(t, r.interlock, object); ok {
					questions = append(questions, q)
				}
			}
			r.out.Unanswered = append(r.out.Unanswered, t.unanswered...)
		}
	}
	slices.SortFunc(r.out.Unanswered, Unanswered.compare)
	r.out.Rules = make([]ReplayedRule, len(questions))
	for i := range questions {
		q := &questions[i]
		origin := q.object.origin()
		r.out.Rules[i] = ReplayedRule{Rule: q.rule, Kind: q.rule.For, Path: origin.Path, Position: origin.Position}
		for _, w := range r.watches {
			if w.system == q.system {
				w.watched = append(w.watched, watched{Observed: &r.out.Rules[i].Observed, property: q.property, question: q})
			}
		}
	}
}

// compareValues makes the properties that recorded values are the computed ones.
func (r *replayer) compareValues() error {
	w := r.watches[0]
	for _, c := range r.reader.Columns {
		if c.Computed {
			r.out.Values = append(r.out.Values, ReplayedValue{})
		}
	}
	values := r.out.Values
	for _, c := range r.reader.Columns {
		if !c.Computed {
			continue
		}
		p, number, err := agreement(w.sys, c)
		if err != nil {
			return fmt.Errorf("rules: comparing %s: %w", c.Name, err)
		}
		w.watched = append(w.watched, watched{Observed: &values[0].Observed, property: p, value: &values[0], number: number})
		values = values[1:]
	}
	return nil
}

// agreement is the property that a recorded value is the computed one.
func agreement(sys *logic.System, c record.Signal) (p logic.Property, number logic.Int, err error) {
	if c.Words == nil && !c.Number {
		b, err := sys.Lookup(c.Name)
		if err != nil {
			return p, number, err
		}
		return logic.Always(c.Name, sys.Iff(b, sys.Formula(b))), number, nil
	}
	n, err := sys.LookupInt(c.Name)
	if err != nil {
		return p, number, err
	}
	return logic.Always(c.Name, sys.Equal(n, sys.FormulaInt(n))), sys.FormulaInt(n), nil
}

// watchBy builds the monitor of one transition system. Assumptions that another one watches already are left out.
func (r *replayer) watchBy(w *watch) error {
	if err := w.assumeKinds(r.checker); err != nil {
		return err
	}
	off := w.without(r.options)
	for _, o := range r.out.Assumptions {
		off = append(off, o.Name)
	}
	var columns []string
	for _, c := range r.reader.Columns {
		columns = append(columns, c.Name)
	}
	var properties []logic.Property
	for _, x := range w.watched {
		properties = append(properties, x.property)
	}
	var err error
	if w.monitor, err = logic.NewMonitor(w.sys, properties, columns, r.window, w.inSystem(off)...); err != nil {
		return fmt.Errorf("rules: watching the record: %w", err)
	}
	for range w.monitor.Findings()[len(properties):] {
		o := &Observed{}
		r.out.Assumptions = append(r.out.Assumptions, o)
		w.watched = append(w.watched, watched{Observed: o})
	}
	for i, f := range w.monitor.Findings() {
		x := &w.watched[i]
		x.Name, x.Goal = f.Property, f.Goal
		var on []string
		on, x.Missing = w.monitor.Rests(i)
		for at, name := range columns {
			if slices.Contains(on, name) {
				x.columns = append(x.columns, at)
			}
		}
		if x.question != nil {
			x.Assumed = assumed(x.question.seen, columns)
		}
	}
	if r.out.Mapping.Starts != record.PowerUp {
		w.monitor.Forget()
	}
	return nil
}

// assumed are the values that a rule speaks of and that were computed instead of recorded.
func assumed(seen []*signalValue, columns []string) []string {
	var out []string
	for _, v := range seen {
		if v.model != nil && !slices.Contains(columns, v.name) && !slices.Contains(out, v.name) {
			out = append(out, v.name)
		}
	}
	slices.Sort(out)
	return out
}
