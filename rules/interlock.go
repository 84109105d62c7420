package rules

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"github.com/google/cel-go/common/types"

	"github.com/guardwright/guardwright/calc/logic"
	"github.com/guardwright/guardwright/model"
	"github.com/guardwright/guardwright/model/source"
)

// interlock is the interlock logic of one machine, ready to be proved about.
type interlock struct {
	// kindTexts are the assumptions of the kinds, by their text.
	kindTexts map[string]*expression
	compiler  *logicCompiler
	machine   *model.Machine
	values    map[*model.LogicValue]*expression
	assume    map[*model.Assumption]*expression
	// rules are the temporal rules, compiled against the machine's signals, or what is wrong with them there.
	rules    map[*Rule]*expression
	mistakes map[*Rule]exprError
	// problems are the mistakes in the logic itself; with any, nothing is proved.
	problems source.Problems
	// plain and free are the logic as a transition system without and with failing ports and connections. Without a question
	// in which these fail there is no free one, and where the logic speaks of them no plain one.
	plain, free *system
	// faulty is the logic as a transition system into which faults can be put; nil where nobody asks for faults.
	faulty *system
	// noFaults says why there is none although they were asked for.
	noFaults string
}

// system is the interlock logic as a transition system.
type system struct {
	*interlock
	sys     *logic.System
	signals *signals
	// kindOwners are the signals that an assumption of the kinds restricts, by its name with its object.
	kindOwners map[string][]string
}

// newInterlock compiles the logic of a machine, and the temporal rules against it. It returns nil for a machine without
// logic.
func newInterlock(m *model.Machine, sets []*Ruleset) (*interlock, error) {
	if m.Logic == nil {
		return nil, nil
	}
	c, problems, err := newLogicCompiler(m)
	if err != nil {
		return nil, fmt.Errorf("rules: %w", err)
	}
	x := &interlock{compiler: c, machine: m, problems: problems, values: map[*model.LogicValue]*expression{},
		assume: map[*model.Assumption]*expression{}, rules: map[*Rule]*expression{}, mistakes: map[*Rule]exprError{}}
	for _, v := range m.Logic.Values {
		x.values[v] = x.compileValue(v)
	}
	for _, a := range m.Logic.Assume {
		if a.Holds.IsZero() {
			if !isKindAssumption(a.Name) {
				x.note(a.Path, a.Position, "no assumption of this name comes from the kinds of devices, and this one says nothing: state in holds: what may be assumed, or leave it out")
			}
			continue
		}
		e, errs := c.compile(nil, a.Holds, nil)
		x.noteAll(a.Path+".holds", a.Holds, errs)
		if e != nil && e.resultType().Kind() != types.BoolKind {
			x.note(a.Path+".holds", a.Holds.Position(), "this is a %s, wanted a condition that is true or false", c.typeName(e.resultType().String()))
			e = nil
		}
		x.assume[a] = e
	}
	x.compileAssumptions()
	for _, s := range sets {
		for _, r := range s.rules {
			if r.temporal != nil {
				x.compileRule(r)
			}
		}
	}
	return x, nil
}

func (x *interlock) note(path string, at source.Position, format string, args ...any) {
	if at.IsZero() {
		at = x.machine.Position(path) // a text that a block made
	}
	x.problems = append(x.problems, source.Problem{Position: at, Path: path, Text: fmt.Sprintf(format, args...)})
}

func (x *interlock) noteAll(path string, src source.Expression, errs []exprError) {
	for _, e := range errs {
		x.note(path, src.At(e.line, e.column), "%s", e.text)
	}
}

// compileValue checks the expression of a value and its type.
func (x *interlock) compileValue(v *model.LogicValue) *expression {
	want := celTypeOf(v.LogicType)
	e, errs := x.compiler.compile(nil, v.Expression, nil)
	if e == nil && want == types.BoolType && v.Owner == "" && x.isNumber(v) {
		x.note(v.Path, v.Expression.Position(), "%s is a whole number without bounds: give it min and max under logic.counters.%s", v.Name, v.Name)
		return nil
	}
	x.noteAll(v.Path, v.Expression, errs)
	if e == nil {
		return nil
	}
	got := e.resultType()
	switch {
	case got == want:
		return e
	case want == types.BoolType && got == types.IntType:
		x.note(v.Path, v.Expression.Position(), "%s is a whole number without bounds: give it min and max under logic.counters.%s", v.Name, v.Name)
	case want == types.BoolType && got == types.StringType:
		x.note(v.Path, v.Expression.Position(), "%s is a word, and nothing says of which: list them in one_of under logic.states.%s", v.Name, v.Name)
	default:
		x.note(v.Path, v.Expression.Position(), "this is a %s, and %s is a %s", x.compiler.typeName(got.String()), v.Name, x.compiler.typeName(want.String()))
	}
	return nil
}

// isNumber tells whether a value would make sense as a whole number.
func (x *interlock) isNumber(v *model.LogicValue) bool {
	e, _ := x.compiler.compile(nil, v.Expression, map[string]*types.Type{v.Name: types.IntType})
	return e != nil && e.resultType() == types.IntType
}

func (x *interlock) compileRule(r *Rule) {
	e, errs := x.compiler.compile(x.compiler.language.kinds[r.kind.name], r.temporal.source, nil)
	switch {
	case len(errs) > 0:
		x.mistakes[r] = errs[0]
	case e.resultType().Kind() != types.BoolKind:
		x.mistakes[r] = exprError{line: 1, text: fmt.Sprintf("this is a %s, wanted a condition that is true or false", x.compiler.typeName(e.resultType().String()))}
	default:
		x.rules[r] = e
	}
}

// use adds the fields that the logic and the temporal rules read.
func (x *interlock) use(used usedFields) {
	l := x.compiler.language
	for _, e := range x.values {
		e.useWords(used, l)
	}
	for _, e := range x.assume {
		e.useWords(used, l)
	}
	for _, e := range x.kindTexts {
		e.useWords(used, l)
	}
	for _, e := range x.rules {
		e.useWords(used, l)
	}
}

// systems lists the transition systems that were built.
func (x *interlock) systems() []*system {
	return slices.DeleteFunc([]*system{x.plain, x.free}, func(s *system) bool { return s == nil })
}

// systemOf is the transition system about which a rule asks.
func (x *interlock) systemOf(r *Rule) *system {
	if x.plain == nil || x.free != nil && x.rules[r].speaksOfFailures(x.compiler.language) {
		return x.free
	}
	return x.plain
}

// build makes the transition systems.
func (x *interlock) build(c *checker) {
	l := x.compiler.language
	speaks := func(e *expression) bool { return e.speaksOfFailures(l) }
	inLogic := slices.ContainsFunc(slices.Collect(maps.Values(x.values)), speaks) || slices.ContainsFunc(slices.Collect(maps.Values(x.assume)), speaks)
	if !inLogic {
		x.plain = x.buildIn(c, plainMode)
	}
	if len(x.problems) == 0 && (inLogic || slices.ContainsFunc(slices.Collect(maps.Values(x.rules)), speaks)) {
		x.free = x.buildIn(c, freeMode)
	}
	if len(x.problems) == 0 && c.options.Faults {
		if x.faulty = x.buildIn(c, faultyMode); len(x.problems) > 0 { // the logic is well, but not what can fail in it
			x.faulty, x.noFaults, x.problems = nil, x.explained(), nil
		}
	}
}

// buildIn makes the transition system in one mode.
func (x *interlock) buildIn(c *checker, in mode) *system {
	out := &system{interlock: x, sys: logic.New(), kindOwners: map[string][]string{}}
	s := &signals{compiler: x.compiler, mode: in, sys: out.sys, values: map[string]*signalValue{}, words: map[word]*signalValue{}}
	if k := x.machine.Logic.Controller; k != nil {
		s.cycle = logic.Cycle(nanoseconds(float64(k.SafetyCycle)))
	}
	for _, name := range sortedOwners(x.compiler.owners) {
		o := x.compiler.owners[name]
		s.objects = &binding{name: name, value: c.world.object(o.kind, o.subject), outer: s.objects}
	}
	c.world.fill()
	s.declare(x.machine)
	out.signals = s
	out.computeValues(c)
	if in == faultyMode {
		if err := s.finish(x.machine); err != nil {
			x.note("logic", x.machine.Logic.Position, "%s", err)
		}
	}
	for _, a := range x.machine.Logic.Assume {
		e := x.assume[a]
		if e == nil {
			continue
		}
		holds, err := out.translator(c, e, nil, forAssumption).condition()
		if err != nil {
			x.noteError(a.Path+".holds", e, err)
			continue
		}
		out.sys.Assume(a.Name, holds)
	}
	if err := out.sys.Err(); err != nil && len(x.problems) == 0 {
		x.note("logic", x.machine.Logic.Position, "%s", err)
	}
	return out
}

// nanoseconds rounds a time in seconds.
func nanoseconds(seconds float64) time.Duration {
	return time.Duration(seconds*1e9 + 0.5)
}

// computeValues computes the values, each after those that it needs. In a file those must stand above it, so that the order
// of the file is that of the controller; values of blocks, and of a machine built in Go, have no such order.
func (x *system) computeValues(c *checker) {
	all := map[*model.LogicValue]*signalValue{}
	for _, v := range x.signals.values {
		all[v.model] = v
	}
	for _, v := range x.signals.words {
		all[v.model] = v
	}
	x.signals.busy = map[*signalValue]bool{}
	x.signals.compute = func(v *signalValue) {
		e := x.values[v.model]
		if e == nil {
			v.failed = true
			return
		}
		x.signals.busy[v] = true
		defer delete(x.signals.busy, v)
		defer x.signals.enter(v.group)()
		t := x.translator(c, e, nil, forValue)
		t.self, t.world = v, v.isMotion()
		value, err := t.part(e.ast.Expr())
		if err == nil {
			err = v.set(t, value)
		}
		if err != nil {
			v.failed = true
			x.noteError(v.model.Path, e, err)
		}
	}
	for _, lv := range x.machine.Logic.Values {
		if v := all[lv]; v != nil && v.value == nil && !v.failed {
			x.signals.compute(v)
		}
	}
}

// purpose is what an expression is translated for.
type purpose uint8

const (
	forValue      purpose = iota // a value of the logic
	forAssumption                // an assumption about the world
	forRule                      // a rule
)

func (x *system) translator(c *checker, e *expression, object *objectValue, p purpose) *translator {
	m := &meter{ctx: c.ctx}
	a := &activation{object: object, machine: c.machine, meter: m}
	if object != nil {
		a.name = object.kind.name
	}
	return &translator{sys: x.sys, e: e, signals: x.signals, activation: a, inLogic: p != forRule, world: p != forValue, left: mostParts,
		refill: func() { m.left, m.stopped, m.watch = c.options.Steps, nil, watchEvery }}
}

// noteError notes why an expression of the logic could not be translated.
func (x *interlock) noteError(path string, e *expression, err error) {
	var p *partError
	if !errors.As(err, &p) {
		x.note(path, e.source.at(1, 0), "%s", err)
		return
	}
	if !p.silent {
		x.note(path, e.placeOf(p.id), "%s", p.text)
	}
}

// placeOf is where a part stands in its file.
func (e *expression) placeOf(id int64) source.Position {
	if at := e.ast.SourceInfo().GetStartLocation(id); at.Line() >= 1 {
		return e.source.at(at.Line(), at.Column())
	}
	return e.source.at(1, 0)
}

// explained is the text about the mistakes of the logic in one line.
func (x *interlock) explained() string {
	text := x.problems[0].Text
	if at := x.problems[0].Position.String(); at != "" {
		text = at + ": " + text
	}
	if n := len(x.problems) - 1; n > 0 {
		text += fmt.Sprintf(" (and %d more)", n)
	}
	return strings.TrimSpace(text)
}
