package rules

import (
	"cmp"
	"fmt"
	"strings"

	"github.com/google/cel-go/common/ast"

	"github.com/guardwright/guardwright/calc/logic"
	"github.com/guardwright/guardwright/model"
)

// signals are the signals of a machine in a transition system: what devices and the world give, and the values that the
// logic computes.
type signals struct {
	compiler *logicCompiler
	mode     mode
	readings readings
	places   places
	sys      *logic.System
	cycle    logic.Cycle
	values   map[string]*signalValue // with names of their own
	words    map[word]*signalValue   // of objects
	// objects bind the names of the owners to their objects.
	objects *binding
	// compute computes a value that is asked for before its turn.
	compute func(v *signalValue)
	busy    map[*signalValue]bool
	// group is the part of the machine to which what is built now belongs.
	group string
	// memories counts the memories that pre() made.
	memories int
	// seen are the signals that were asked for, for the explanation of a finding.
	seen []*signalValue
}

// word is a word of an object.
type word struct {
	subject any
	name    string
}

// signalValue is one signal.
type signalValue struct {
	name string
	// model is the value of the logic; nil for what comes from outside.
	model *model.LogicValue
	// place is its place in the order of computation.
	place int
	// value is nil until the value was computed.
	value symbol
	// failed says that the value could not be computed, which was reported.
	failed bool
	// device gives the signal; nil for others. onDemand says that the signal is true on a demand.
	device   *model.Device
	onDemand bool
	// reading is what the logic reads in the place of value, once it was asked for.
	reading symbol
	// contact is where a fault can be put in, position what a mode selector gives before it.
	contact  *contact
	position logic.Int
	// owner and word are the object of the signal and its word there.
	owner any
	word  string
	// effect is what the world makes of a value of the logic, and effectWas that of the cycle before.
	effect, effectWas symbol
	effectLatch       logic.Bool
	// used tells that somebody asked for the signal.
	used bool
	// why says why there is no such signal; empty when there is.
	why string
	// was is the value of the cycle before, once that was asked for.
	was symbol
	// group is the part of the machine that the value belongs to; empty for none.
	group string
	// latch and number feed the memory.
	latch  logic.Bool
	number logic.Int
}

// declare makes the signals of a machine. The values of the logic come later.
func (s *signals) declare(m *model.Machine) {
	for _, d := range m.Devices {
		for _, signal := range signalsOf(d) {
			v := &signalValue{name: d.Name + "." + signal.name, why: signal.why, onDemand: signal.onDemand, owner: d, word: signal.name}
			switch {
			case signal.why != "":
			case signal.taken:
				v.why = "no value of the logic gives it: add " + v.name + ": under logic.values"
			case signal.words != nil:
				v.position, v.device = s.sys.EnumInput(v.name, signal.words...), d
				v.value = wordsOf(s.sys, v.position, signal.words)
			default:
				v.value, v.device = truthSymbol{s.sys.Input(v.name)}, d
			}
			s.words[word{d, signal.name}] = v
		}
	}
	switch s.mode {
	case freeMode:
		s.declareFailures(m)
	case faultyMode:
		s.declareSound(m)
	}
	for _, in := range m.Logic.Inputs {
		v := &signalValue{name: in.Name}
		switch {
		case in.LogicType.Words != nil:
			v.value = wordsOf(s.sys, s.sys.EnumInput(in.Name, in.LogicType.Words...), in.LogicType.Words)
		case in.Number:
			v.value = numberSymbol{s.sys.IntInput(in.Name, int64(in.LogicType.Min), int64(in.LogicType.Max))}
		default:
			v.value = truthSymbol{s.sys.Input(in.Name)}
		}
		s.values[in.Name] = v
	}
	for i, lv := range m.Logic.Values {
		v := &signalValue{name: lv.Name, model: lv, place: i}
		name, _, _ := strings.Cut(cmp.Or(lv.Block, lv.Name), ".")
		v.group = groupOf(s.compiler.owners[name].subject)
		if lv.Owner == "" {
			s.values[lv.Name] = v
			continue
		}
		name, _, _ = strings.Cut(lv.Name, ".")
		v.owner, v.word = s.compiler.owners[name].subject, lv.Word
		s.words[word{v.owner, v.word}] = v
	}
}

// enter notes to which part of the machine belongs what is built from now on, until the function that it returns is called.
// Package logic can then prove the parts one by one, each with what the others do as free inputs.
func (s *signals) enter(group string) func() {
	before := s.group
	s.group = group
	s.sys.Group(group)
	return func() {
		s.group = before
		s.sys.Group(before)
	}
}

// groupOf is the part of the machine to which the values of an object belong: its zone, or the safety function.
func groupOf(subject any) string {
	zone := func(z *model.Zone) string {
		if z == nil {
			return ""
		}
		return z.Path
	}
	switch x := subject.(type) {
	case *model.Zone:
		return x.Path
	case *model.Device:
		return zone(x.Zone)
	case *model.Drive:
		return zone(x.Zone)
	case *model.Function:
		return x.Path
	}
	return ""
}

// wordsOf is an enumeration as words.
func wordsOf(sys *logic.System, x logic.Int, words []string) choiceSymbol {
	var out choiceSymbol
	for _, w := range words {
		out = append(out, wordCase{w, sys.Is(x, w)})
	}
	return out
}

// isSignal tells whether a name is that of a signal or value, which depends on the step.
func (s *signals) isSignal(name string) bool { return s.values[name] != nil }

// has tells whether an object has a signal or word.
func (s *signals) has(subject any, name string) bool {
	v := s.words[word{subject, name}]
	return v != nil && v.why == ""
}

// named returns the signal or value of a name.
func (s *signals) named(t *translator, e ast.Expr, name string) (symbol, error) {
	return s.read(t, e, s.values[name])
}

// of returns a signal or word of an object.
func (s *signals) of(t *translator, e ast.Expr, o *objectValue, name string) (symbol, error) {
	v := s.words[word{o.subject, name}]
	if v != nil {
		return s.read(t, e, v)
	}
	var names []string
	for w, v := range s.words {
		if w.subject == o.subject && v.why == "" {
			names = append(names, w.name)
		}
	}
	text := fmt.Sprintf("%s has no signal %s", o.text(), name)
	switch subject := o.subject.(type) {
	case *model.Device:
		text = fmt.Sprintf("%s is of kind %s, which has no signal %s", o.text(), subject.Type.Kind.Name, name)
	case *model.Port:
	default:
		text += fmt.Sprintf("; say what it is by a value %s.%s under logic.values", o.text(), name)
	}
	return nil, &partError{id: e.ID(), text: text + nearestOf(name, names), missing: true}
}

func (s *signals) read(t *translator, e ast.Expr, v *signalValue) (symbol, error) {
	switch {
	case v.why != "":
		return nil, &partError{id: e.ID(), text: fmt.Sprintf("%s can't be used: %s", v.name, v.why), missing: true}
	case v.failed:
		return nil, &partError{id: e.ID(), text: v.name + " could not be computed", silent: true}
	case v.below(t.self):
		return nil, problemAt(e, "%s is computed below this place, or here: move it up, or write pre(%s) for its value in the cycle before", v.name, v.name)
	case s.busy[v]:
		return nil, problemAt(e, "%s needs itself in the same cycle: write pre(%s) for its value in the cycle before", v.name, v.name)
	case v.value == nil:
		if s.compute(v); v.failed {
			return nil, &partError{id: e.ID(), text: v.name + " could not be computed", silent: true}
		}
	}
	s.seen = append(s.seen, v)
	v.used = true
	if t.world {
		x, err := s.worldOf(v)
		if err != nil {
			return nil, problemAt(e, "%s", err)
		}
		return x, nil
	}
	return s.readingOf(v), nil
}

// below tells whether a value of the file is computed after another one, or is the same.
func (v *signalValue) below(other *signalValue) bool {
	if v.model == nil || other == nil || v.model.Block != "" || other.model.Block != "" || v.model.Position.IsZero() {
		return false
	}
	return v.place >= other.place
}

// memory is the value of the cycle before.
func (s *signals) memory(v *signalValue) symbol {
	if v.was != nil {
		return v.was
	}
	defer s.enter(v.group)()
	sys := s.sys
	name, m := "pre("+v.name+")", v.model
	switch {
	case m.Words != nil:
		v.number = sys.EnumLatch(name, m.Words[m.Initial], m.Words...)
		v.was = wordsOf(sys, v.number, m.Words)
	case m.Number:
		v.number = sys.IntLatch(name, int64(m.Min), int64(m.Max), int64(m.Initial))
		v.was = numberSymbol{v.number}
	default:
		v.latch = sys.Latch(name, m.Initial == 1)
		v.was = truthSymbol{v.latch}
	}
	v.feed(sys)
	return v.was
}

// feed gives the memory its next value, once both are there.
func (v *signalValue) feed(sys *logic.System) {
	if v.was == nil || v.value == nil {
		return
	}
	switch x := v.value.(type) {
	case truthSymbol:
		sys.SetNext(v.latch, x.Bool)
	case numberSymbol:
		sys.SetNextInt(v.number, x.Int)
	case choiceSymbol:
		sys.SetNextInt(v.number, x.number(sys, v.model.Words))
	}
}

// number is the place of the word in a list of words.
func (c choiceSymbol) number(sys *logic.System, words []string) logic.Int {
	n := sys.IntConst(0)
	for i, w := range words {
		if at := c.index(w); at >= 0 && i > 0 {
			n = sys.IfInt(c[at].guard, sys.IntConst(int64(i)), n)
		}
	}
	return n
}

// set gives a value its expression and its name in runs. It says what does not fit.
func (v *signalValue) set(t *translator, x symbol) error {
	m, sys := v.model, t.sys
	top := t.e.ast.Expr()
	switch {
	case m.Words != nil:
		c, ok := t.choiceOf(x)
		if !ok {
			return problemAt(top, "this is no word")
		}
		for _, w := range c {
			if w.word == noWord {
				return problemAt(top, "while the port or connection of a mode selector fails, its position is none of its words: choose by comparing, as in selector.position == %q ? %q : ...", m.Words[0], m.Words[0])
			}
			if !contains(m.Words, w.word) {
				return problemAt(top, "this can be %q, which is no word of %s%s", w.word, m.Name, nearestOf(w.word, append([]string(nil), m.Words...)))
			}
		}
		v.value = wordsOf(sys, sys.IntSignal(m.Name, c.number(sys, m.Words), m.Words...), m.Words)
	case m.Number:
		n, ok := t.numberOf(x)
		if !ok {
			return problemAt(top, "this is no whole number")
		}
		if lo, hi := n.Range(); lo < int64(m.Min) || hi > int64(m.Max) {
			return problemAt(top, "this can be %d to %d, and %s is bounded to %d to %d: keep it within, as in [x, %d].min() or [x, %d].max()", lo, hi, m.Name, m.Min, m.Max, m.Max, m.Min)
		}
		v.value = numberSymbol{sys.IntSignal(m.Name, n)}
	default:
		b, ok := t.truthOf(x)
		if !ok {
			return problemAt(top, "this is not true or false")
		}
		v.value = truthSymbol{sys.Signal(m.Name, b)}
	}
	v.feed(sys)
	return nil
}

func contains(list []string, x string) bool {
	for _, y := range list {
		if x == y {
			return true
		}
	}
	return false
}
