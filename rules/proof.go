package rules

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"

	"github.com/guardwright/guardwright/calc/logic"
	"github.com/guardwright/guardwright/model"
	"github.com/guardwright/guardwright/model/source"
)

// Proof is the answer to a rule with always: or reach: at one object.
type Proof struct {
	Rule *Rule
	// Kind, Path and Position are the object.
	Kind, Path string
	Position   source.Position
	// Result is the answer of package logic. A proof is worth what its assumptions are worth.
	Result logic.Result
	// Story is the run from power-up that breaks the rule, or that reaches what must be reachable; nil without one.
	Story *Story

	asked int // place among all questions
}

// Story is a run of the machine from power-up: the signals that matter, in the words of the machine file, cycle by cycle.
type Story struct {
	// Cycle is the time of one step; zero when it is not stated.
	Cycle model.Duration
	// Trace holds the signals and values; it was replayed and confirmed by the plain interpreter of package logic.
	Trace *logic.Trace
	// Shortest tells that no shorter run does the same.
	Shortest bool
}

// Table is the run as a table of signals and cycles: 1 is true, a point false.
func (s *Story) Table() string { return s.Trace.Table() }

// question is one property at one object.
type question struct {
	rule     *Rule
	object   *objectValue
	system   *system
	property logic.Property
	seen     []*signalValue
	// number is its place among all questions.
	number int
}

// prove answers the rules with always: and reach:.
func (c *checker) prove(ctx context.Context, x *interlock, sets []*Ruleset) error {
	if x != nil {
		if err := x.checkWithout(c.options.Without); err != nil {
			return err
		}
	}
	asked := map[*system][]question{}
	for _, s := range sets {
		for _, r := range s.rules {
			if r.temporal == nil {
				continue
			}
			t := &task{rule: r, objects: c.world.all(c.world.language.kinds[r.For])}
			for _, o := range t.objects {
				if q, ok := c.ask(t, x, o); ok {
					asked[q.system] = append(asked[q.system], q)
					c.asked = append(c.asked, q)
				}
			}
			c.tasks = append(c.tasks, *t)
		}
	}
	if x == nil {
		return nil
	}
	for _, s := range x.systems() {
		if err := c.proveIn(ctx, s, asked[s]); err != nil {
			return err
		}
	}
	slices.SortStableFunc(c.proofs, func(p, q Proof) int { return cmp.Compare(p.asked, q.asked) })
	c.assumptions = x.assumptions(c)
	return nil
}

// proveIn answers the questions about one transition system.
func (c *checker) proveIn(ctx context.Context, s *system, questions []question) error {
	if len(questions) == 0 {
		return nil
	}
	if err := s.assumeKinds(c); err != nil {
		return err
	}
	var properties []logic.Property
	for _, q := range questions {
		properties = append(properties, q.property)
	}
	without := s.inSystem(s.without(c.options))
	// Assumptions that contradict each other would prove everything: some run must be left.
	properties = append(properties, logic.Reachable("some run keeps the assumptions", s.sys.True()))
	results, err := logic.Prove(ctx, s.sys, properties, logic.Options{Limits: c.options.Limits, Without: without, Workers: c.options.Parallel})
	if err != nil {
		if ctx.Err() != nil {
			return ctx.Err()
		}
		return fmt.Errorf("rules: proving the interlock logic: %w", err)
	}
	for i := range results {
		if r := results[i]; i < len(questions) && r.Trace != nil {
			if err := s.sys.Confirm(properties[i], r.Trace, without...); err != nil {
				return fmt.Errorf("rules: the run that answers %s could not be repeated: %w", r.Property, err)
			}
		}
		results[i].Assumptions = plainNames(results[i].Assumptions)
	}
	possible := results[len(questions)]
	for i, q := range questions {
		c.answer(s, q, results[i], possible)
	}
	return nil
}

// inSystem are those of some names that assumptions of the transition system have.
func (s *system) inSystem(names []string) []string {
	known := s.sys.Assumptions()
	return slices.DeleteFunc(names, func(name string) bool { return !slices.Contains(known, name) })
}

// ask makes the property of a rule at an object; ok is false when there is none, which is noted.
func (c *checker) ask(t *task, x *interlock, o *objectValue) (q question, ok bool) {
	r := t.rule
	q = question{rule: r, object: o, number: c.questions}
	c.questions++
	t.tally.Objects++
	if r.when != nil {
		applies, err := c.test(r.when, &activation{name: r.For, object: o, machine: c.machine, meter: &meter{ctx: c.ctx}})
		if err != nil {
			t.fail(o, r.when, err)
			return q, false
		}
		if !applies {
			t.tally.Outside++
			return q, false
		}
	}
	switch {
	case x == nil:
		t.unprovable(o, r.Position, MissingData, "not decidable, because the machine file has no interlock logic")
		return q, false
	case len(x.problems) > 0:
		t.unprovable(o, r.Position, MissingData, "not decidable, because the interlock logic has a mistake: "+x.explained())
		return q, false
	}
	if mistake, wrong := x.mistakes[r]; wrong {
		t.unprovable(o, r.temporal.source.At(mistake.line, mistake.column), MissingData, "not decidable, because the rule does not fit the machine's logic: "+mistake.text)
		return q, false
	}
	q.system = x.systemOf(r)
	q.system.signals.seen = nil
	defer q.system.signals.enter(groupOf(o.subject))()
	tr := q.system.translator(c, x.rules[r], o, forRule)
	holds, err := tr.condition()
	if err != nil {
		cause, text, at := Failed, "the rule failed: "+err.Error(), r.temporal.source.Position()
		var part *partError
		if errors.As(err, &part) {
			at = x.rules[r].placeOf(part.id)
			if part.missing {
				cause, text = MissingData, "not decidable, because "+part.text
			}
		}
		t.unprovable(o, at, cause, text)
		return q, false
	}
	if tr.constant && !r.temporal.reach && holds == q.system.sys.True() { // it is about a word that the object does not have
		t.tally.Outside++
		return q, false
	}
	name := r.ID + " at " + o.origin().Path
	q.seen, q.property = q.system.signals.seen, logic.Always(name, holds)
	if r.temporal.reach {
		q.property = logic.Reachable(name, holds)
	}
	return q, true
}

// unprovable notes that a rule gave no answer.
func (t *task) unprovable(o *objectValue, at source.Position, cause Cause, text string) {
	origin := o.origin()
	switch cause {
	case Failed:
		t.tally.Failed++
	default:
		t.tally.Undecided++
	}
	t.unanswered = append(t.unanswered, Unanswered{Rule: t.rule, Kind: t.rule.For, Path: origin.Path, Position: origin.Position, RulePosition: at, Cause: cause, Text: text})
}

// answer notes the answer to one question.
func (c *checker) answer(x *system, q question, r logic.Result, possible logic.Result) {
	t := c.taskOf(q.rule)
	origin := q.object.origin()
	proof := Proof{Rule: q.rule, Kind: q.rule.For, Path: origin.Path, Position: origin.Position, Result: r, Story: x.systemStory(q.property, r), asked: q.number}
	c.proofs = append(c.proofs, proof)
	at := q.rule.temporal.source.Position()
	switch r.Verdict {
	case logic.Refuted, logic.Unreachable:
		if r.Verdict == logic.Unreachable && possible.Verdict != logic.Reached {
			t.unprovable(q.object, at, Vacuous, noRun(r, possible))
			return
		}
		t.tally.Broken++
		t.findings = append(t.findings, c.refutation(x, q, proof))
	case logic.Proved, logic.Reached:
		if r.Verdict == logic.Proved && possible.Verdict != logic.Reached {
			t.unprovable(q.object, at, Vacuous, noRun(r, possible))
			return
		}
		t.tally.Passed++
	case logic.Vacuous:
		t.unprovable(q.object, at, Vacuous, "says nothing about this machine: "+r.Reason)
	default:
		t.unprovable(q.object, at, NotProved, "not decided within the limits of the proof, so neither proved nor broken: "+r.Reason)
	}
}

// noRun words that the assumptions leave no run.
func noRun(r, possible logic.Result) string {
	if possible.Verdict == logic.Unreachable {
		return fmt.Sprintf("says nothing, because no run keeps all assumptions from the first cycle on: %s contradict each other or the logic", joinNames(r.Assumptions))
	}
	return "says nothing, because it is not known that any run keeps all assumptions: " + possible.Reason
}

func joinNames(names []string) string {
	text := ""
	for i, n := range names {
		if i > 0 {
			text += ", "
		}
		text += n
	}
	return text
}

func (c *checker) taskOf(r *Rule) *task {
	for i := range c.tasks {
		if c.tasks[i].rule == r {
			return &c.tasks[i]
		}
	}
	return nil
}

// refutation is the finding for a rule that was refuted, or whose state can't be reached.
func (c *checker) refutation(x *system, q question, p Proof) Finding {
	a := &activation{name: q.rule.For, object: q.object, machine: c.machine, meter: &meter{ctx: c.ctx}}
	f := c.described(q.rule, a)
	f.Story, f.Assumptions = p.Story, p.Result.Assumptions
	if p.Story == nil {
		return f
	}
	last := p.Story.Trace.Len() - 1
	for _, v := range q.seen {
		for i, s := range p.Story.Trace.Signals {
			text := Value{v.name, plain(s, p.Story.Trace.Text(last, i))}
			if s.Name == v.name && len(f.Because) < mostValues && !slices.Contains(f.Because, text) {
				f.Because = append(f.Because, text)
			}
		}
	}
	return f
}

// plain writes a value of a run out.
func plain(s logic.TraceSignal, text string) string {
	switch {
	case s.Integer:
		return text
	case text == "1":
		return "true"
	case text == ".":
		return "false"
	}
	return text
}

// systemStory is the run of a result about a property: the signals that the property rests on, without those that only an
// assumption speaks of.
func (x *system) systemStory(p logic.Property, r logic.Result) *Story {
	if r.Trace == nil {
		return nil
	}
	cone, err := x.sys.Cone(p, x.sys.Assumptions()...)
	if err != nil {
		return x.story(r, nil) // the whole run is right, too
	}
	within := map[string]bool{}
	for _, name := range cone {
		within[name] = true
	}
	return x.story(r, within)
}

// story is the run of a result with the signals within, nil for all, but without the memories, which are the values of the
// cycle before.
func (x *interlock) story(r logic.Result, within map[string]bool) *Story {
	if r.Trace == nil {
		return nil
	}
	short := &logic.Trace{Values: make([][]logic.Value, r.Trace.Len())}
	for i, s := range r.Trace.Signals {
		if s.Kind == logic.LatchSignal || within != nil && !within[s.Name] {
			continue
		}
		short.Signals = append(short.Signals, s)
		for step := range r.Trace.Values {
			short.Values[step] = append(short.Values[step], r.Trace.Values[step][i])
		}
	}
	story := &Story{Trace: short, Shortest: r.Shortest}
	if k := x.machine.Logic.Controller; k != nil {
		story.Cycle = k.SafetyCycle
	}
	return story
}

func sortedOwners(owners map[string]owner) []string { return slices.Sorted(maps.Keys(owners)) }
