package rules

import (
	"context"
	"errors"
	"fmt"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

	"github.com/google/cel-go/common/types/ref"

	"github.com/guardwright/guardwright/calc"
	"github.com/guardwright/guardwright/calc/logic"
	"github.com/guardwright/guardwright/model"
	"github.com/guardwright/guardwright/model/source"
)

// Options are the settings of [CheckWith]. The zero value serves.
type Options struct {
	// Results are what was computed about the machine; nil: CheckWith computes them.
	Results *calc.Results
	// Today is the day by which acceptances expire; zero: their expiry is not judged.
	Today model.Date
	// Steps bounds the work of one rule at one object: each turn of a loop costs as many steps as its body has parts.
	// 0: 5 million, about a second.
	Steps int64
	// Limits bound the proofs about the interlock logic. The zero value serves.
	Limits logic.Limits
	// Without names assumptions that are switched off in proofs, beside those that are off in the machine file: stated ones and
	// those that come from the kinds of devices (see [Assumption]).
	Without []string
	// Faults asks the rules about the interlock logic again with one fault at a time; see [FaultTable] for what that costs.
	Faults bool
	// Parallel is the number of goroutines; 0: one for each processor.
	Parallel int
}

const defaultSteps = 5_000_000

// Check computes all about a machine and evaluates rule sets over it. The error says that the context ended, or that
// the rule sets do not fit together; what the rules find is in the result.
func Check(ctx context.Context, m *model.Machine, sets ...*Ruleset) (*Result, error) {
	return CheckWith(ctx, m, Options{}, sets...)
}

// CheckWith is [Check] with settings.
func CheckWith(ctx context.Context, m *model.Machine, o Options, sets ...*Ruleset) (*Result, error) {
	if m == nil {
		return nil, errors.New("rules: there is no machine to check")
	}
	used, err := join(sets)
	if err != nil {
		return nil, err
	}
	if o.Results == nil {
		if o.Results, err = calc.Compute(ctx, m); err != nil {
			return nil, fmt.Errorf("rules: computing the machine: %w", err)
		}
	}
	if o.Steps <= 0 {
		o.Steps = defaultSteps
	}
	if o.Parallel <= 0 {
		o.Parallel = runtime.GOMAXPROCS(0)
	}
	if !resultsOf(o.Results, m) {
		return nil, errors.New("rules: the results are those of another machine")
	}
	interlock, err := newInterlock(m, sets)
	if err != nil {
		return nil, err
	}
	if interlock != nil {
		interlock.use(used)
	}
	c := &checker{ctx: ctx, options: o, world: newWorld(newLanguage(), m, o.Results, used)}
	c.prepare(sets)
	if interlock != nil {
		interlock.build(c)
		c.logic = interlock.problems
	}
	c.run()
	if err := c.prove(ctx, interlock, sets); err != nil && ctx.Err() == nil {
		return nil, err
	}
	if o.Faults && ctx.Err() == nil {
		if err := c.tryFaults(ctx, interlock); err != nil && ctx.Err() == nil {
			return nil, err
		}
	}
	if err := ctx.Err(); err != nil {
		return nil, fmt.Errorf("rules: the check was cancelled: %w", err)
	}
	return c.result(sets), nil
}

// join adds up the fields that the rule sets use, and refuses a rule id that occurs twice.
func join(sets []*Ruleset) (usedFields, error) {
	used := usedFields{}
	seen := map[string]*Rule{}
	for _, s := range sets {
		for kind, fields := range s.used {
			if used[kind] == nil {
				used[kind] = map[int]bool{}
			}
			for i := range fields {
				used[kind][i] = true
			}
		}
		for _, r := range s.rules {
			if other, twice := seen[r.ID]; twice {
				return nil, fmt.Errorf("rules: two rules have the id %s: %s in %q and %s in %q; rename one of them", r.ID, other.Position, other.Pack, r.Position, r.Pack)
			}
			seen[r.ID] = r
		}
	}
	return used, nil
}

// checker evaluates rules over the objects of one machine.
type checker struct {
	ctx     context.Context
	options Options
	world   *world
	machine *objectValue
	tasks   []task
	next    atomic.Int64
	// missing are rules for which there are no objects because nothing was computed.
	missing []*Rule
	// aboutLogic tells that a rule was about the interlock logic.
	aboutLogic bool
	// proofs are the answers about the interlock logic, and logic the mistakes in it.
	proofs []Proof
	logic  source.Problems
	// questions counts those about the logic, and assumptions are what their answers rest on.
	questions   int
	asked       []question
	assumptions []Assumption
	faults      *FaultTable
}

// task is one rule over some objects, with what became of it. Each is worked on by one goroutine.
type task struct {
	rule       *Rule
	objects    []*objectValue
	tally      Tally
	findings   []Finding
	unanswered []Unanswered
}

// taskSize is the number of objects of a task: small enough to share the work out, large enough to be worth it.
const taskSize = 256

// prepare makes the objects and the tasks.
func (c *checker) prepare(sets []*Ruleset) {
	c.machine = c.world.all(c.world.language.kinds[machineName])[0]
	objects := map[string][]*objectValue{}
	for _, s := range sets {
		for _, r := range s.rules {
			if r.temporal != nil {
				c.aboutLogic = true
				continue // see prove
			}
			if _, missing := c.world.missing(r.kind.from); missing && r.kind.group == resultsGroup {
				c.missing = append(c.missing, r)
				continue
			}
			list, ok := objects[r.For]
			if !ok {
				list = c.world.all(c.world.language.kinds[r.For])
				objects[r.For] = list
			}
			for chunk := range slices.Chunk(list, taskSize) {
				c.tasks = append(c.tasks, task{rule: r, objects: chunk})
			}
		}
	}
}

// run works the tasks off.
func (c *checker) run() {
	var workers sync.WaitGroup
	for range min(c.options.Parallel, len(c.tasks)) {
		workers.Go(func() {
			for {
				i := int(c.next.Add(1)) - 1
				if i >= len(c.tasks) || c.ctx.Err() != nil {
					return
				}
				c.work(&c.tasks[i])
			}
		})
	}
	workers.Wait()
}

func (c *checker) work(t *task) {
	m := &meter{ctx: c.ctx}
	a := &activation{name: t.rule.For, machine: c.machine, meter: m}
	for _, o := range t.objects {
		a.object = o
		t.tally.Objects++
		if t.tally.Stopped < mostStopped {
			c.judge(t, a)
		} else {
			t.fail(o, t.rule.require, errSteps{})
		}
	}
}

// mostStopped is how often a rule may run into its limit within a task before it is not tried on the task's other
// objects. Otherwise it would cost the limit at each of thousands of objects.
const mostStopped = 3

// judge asks one rule about one object.
func (c *checker) judge(t *task, a *activation) {
	if t.rule.when != nil {
		applies, err := c.test(t.rule.when, a)
		if err != nil {
			t.fail(a.object, t.rule.when, err)
			return
		}
		if !applies {
			t.tally.Outside++
			return
		}
	}
	holds, err := c.test(t.rule.require, a)
	switch {
	case err != nil:
		t.fail(a.object, t.rule.require, err)
	case holds:
		t.tally.Passed++
	default:
		t.tally.Broken++
		t.findings = append(t.findings, c.finding(t.rule, a))
	}
}

// test evaluates a condition with a full meter.
func (c *checker) test(e *expression, a *activation) (bool, error) {
	a.meter.left, a.meter.stopped = c.options.Steps, nil
	if a.meter.watch <= 0 {
		a.meter.watch = watchEvery
	}
	return e.test(a)
}

// fail notes that a rule gave no answer.
func (t *task) fail(o *objectValue, e *expression, err error) {
	origin := o.origin()
	u := Unanswered{Rule: t.rule, Kind: t.rule.For, Path: origin.Path, Position: origin.Position, RulePosition: e.place(err)}
	var absent *absentError
	switch {
	case errors.As(err, &absent):
		u.Cause, u.Text = MissingData, "not decidable, because "+e.absence(err, absent)
		t.tally.Undecided++
	case errors.Is(err, errSteps{}):
		u.Cause, u.Text = TooCostly, err.Error()
		t.tally.Stopped++
	default:
		u.Cause, u.Text = Failed, "the rule failed: "+err.Error()
		t.tally.Failed++
	}
	t.unanswered = append(t.unanswered, u)
}

// finding describes an object that breaks a rule. It is made in a second pass, so that objects that keep to the rule
// cost nothing for it.
func (c *checker) finding(r *Rule, a *activation) Finding {
	refill := func() { a.meter.left, a.meter.stopped = c.options.Steps, nil }
	refill()
	because := explain(r, a, refill)
	f := c.described(r, a)
	f.Because = because
	return f
}

// described is a finding with its place and messages.
func (c *checker) described(r *Rule, a *activation) Finding {
	origin := a.object.origin()
	f := Finding{Rule: r, Severity: r.Severity, Kind: r.For, Path: origin.Path, Position: origin.Position}
	if r.at != "" {
		f.Position = c.world.machine.Position(origin.Path + "." + r.at)
	}
	refill := func() { a.meter.left, a.meter.stopped = c.options.Steps, nil }
	refill()
	f.Summary = r.say.fill(a)
	f.Hint = r.hint.fill(a)
	for _, e := range r.related {
		refill()
		f.Related = append(f.Related, relatedAt(e, a)...)
	}
	return f
}

// relatedAt evaluates an expression that names further objects. Objects that are absent are left out.
func relatedAt(e *expression, a *activation) []Related {
	v, err := e.eval(a)
	if err != nil {
		return nil
	}
	var out []Related
	add := func(v ref.Val) {
		if o, ok := v.(*objectValue); ok {
			origin := o.origin()
			out = append(out, Related{Text: e.source.text, Name: o.text(), Path: origin.Path, Position: origin.Position})
		}
	}
	if _, single := v.(*objectValue); single {
		add(v)
		return out
	}
	for x := range elements(v) {
		add(x)
	}
	return out
}

// result joins and sorts what the tasks gave.
func (c *checker) result(sets []*Ruleset) *Result {
	r := &Result{Machine: c.world.machine, Results: c.options.Results, Today: c.options.Today, NotComputed: notComputed(c.world, c.aboutLogic),
		Proofs: c.proofs, Assumptions: c.assumptions, LogicProblems: c.logic, Faults: c.faults}
	tallies := map[*Rule]Tally{}
	for i := range c.tasks {
		t := &c.tasks[i]
		r.Findings = append(r.Findings, t.findings...)
		r.Unanswered = append(r.Unanswered, t.unanswered...)
		tallies[t.rule] = tallies[t.rule].plus(t.tally)
	}
	for _, rule := range c.missing {
		why, _ := c.world.missing(rule.kind.from)
		r.Unanswered = append(r.Unanswered, Unanswered{Rule: rule, Cause: MissingData, Kind: machineName, Path: machineName,
			Position: c.world.machine.Position(machineName), RulePosition: rule.Position,
			Text: "not decidable, because " + why})
		tallies[rule] = Tally{Objects: 1, Undecided: 1}
	}
	for _, s := range sets {
		for _, rule := range s.rules {
			t := tallies[rule]
			t.Rule = rule
			r.Tallies = append(r.Tallies, t)
		}
	}
	slices.SortFunc(r.Findings, Finding.compare)
	slices.SortFunc(r.Unanswered, Unanswered.compare)
	if len(r.Machine.Accept) > 0 {
		r.accept(c.options.Today, knownPaths(c.world))
	}
	return r
}

func (t Tally) plus(u Tally) Tally {
	t.Objects += u.Objects
	t.Outside += u.Outside
	t.Passed += u.Passed
	t.Broken += u.Broken
	t.Undecided += u.Undecided
	t.Failed += u.Failed
	t.Stopped += u.Stopped
	return t
}

// resultsOf reports whether all results there are belong to a machine.
func resultsOf(r *calc.Results, m *model.Machine) bool {
	return (r.Power == nil || r.Power.Machine == m) && (r.Network == nil || r.Network.Machine == m) &&
		(r.Timing == nil || r.Timing.Machine == m) && (r.Distance == nil || r.Distance.Machine == m)
}

// notComputed lists the sections of the description that no calculation covers, and the calculations that gave nothing.
func notComputed(w *world, asked bool) []NotComputed {
	var out []NotComputed
	m := w.machine
	failed := func(section, why string, missing bool) {
		if missing {
			out = append(out, NotComputed{section, "not computed" + because(why)})
		}
	}
	add := func(there bool, section, text string) {
		if there {
			out = append(out, NotComputed{section, "described but not computed in this version: " + text})
		}
	}
	failed("power", w.results.PowerMissing, w.results.Power == nil)
	failed("network", w.results.NetworkMissing, m.Network != nil && w.results.Network == nil)
	failed("functions", w.results.TimingMissing, len(m.Functions) > 0 && w.results.Timing == nil)
	failed("functions", w.results.DistanceMissing, len(m.Functions) > 0 && w.results.Distance == nil)
	add(len(m.Functions) > 0, "functions", "achieved performance level or safety integrity level of the safety functions")
	if m.Logic != nil && !asked {
		out = append(out, NotComputed{"logic", "no rule with always: or reach: asks about it, so nothing is proved"})
	}
	return out
}

// knownPaths are the paths at which findings can be.
func knownPaths(w *world) map[string]source.Position {
	paths := map[string]source.Position{}
	for _, k := range w.language.order {
		if k.all == nil || k.origin == nil {
			continue
		}
		for _, s := range k.all(w) {
			o := k.origin(s)
			paths[o.Path] = o.Position
		}
	}
	return paths
}
