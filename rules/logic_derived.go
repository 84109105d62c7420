package rules

import (
	"slices"

	"github.com/google/cel-go/common/ast"
	"github.com/google/cel-go/common/types"

	"github.com/guardwright/guardwright/calc/logic"
	"github.com/guardwright/guardwright/model"
)

// Words that are made of the signals of the machine, so that rules and logic need not know the kinds of devices one by one.
// A device that gives a signal of the name by its kind keeps that.
const (
	inOrderWord   = "in_order"
	startWord     = "start"
	resetWord     = "reset"
	suspendedWord = "suspended"
	demandedWord  = "demanded"
)

// derivedWord is a word that is made of signals.
type derivedWord struct {
	name, kind string
	// about says what it is, as the vocabulary prints it.
	about string
	// make makes it for an object; ok is false where the object has none.
	make func(w wordMaker, subject any) (x logic.Bool, ok bool, err error)
}

func derivedWords() []derivedWord {
	return []derivedWord{
		{inOrderWord, "device", "true where none of the signals is as on a demand, for kinds that have such signals: an emergency stop is not pressed, a guard is closed, a curtain clear", wordMaker.inOrder},
		{startWord, "device", "true where a hold-to-run device is held, a two-hand control is pressed with both hands, a button that is no reset is pressed; a panel has a start button", wordMaker.start},
		{resetWord, "device", "true where a button that a safety function names as its reset is pressed; a panel has a reset button", wordMaker.reset},
		{suspendedWord, "device", "true where the logic mutes or overrides the device, or suspends a safety function that it demands", wordMaker.suspended},
		{demandedWord, "safety_function", "true where one of its devices is not in order, without being muted or overridden, and the logic does not suspend the function by a value of the name and suspended", wordMaker.demanded},
	}
}

// wordMaker makes words for one place in an expression.
type wordMaker struct {
	t *translator
	e ast.Expr
}

// derived translates a select of a derived word, or has() of one; ok is false where it is no derived word of the object.
func (t *translator) derived(e ast.Expr, o *objectValue) (x symbol, ok bool, err error) {
	name := e.AsSelect().FieldName()
	if t.signals.has(o.subject, name) {
		return nil, false, nil // a signal of its own
	}
	for _, w := range derivedWords() {
		if w.name != name || w.kind != o.kind.name {
			continue
		}
		b, ok, err := w.make(wordMaker{t, e}, o.subject)
		switch {
		case err != nil || !ok:
			return nil, false, err
		case e.AsSelect().IsTestOnly():
			return known{types.True}, true, nil
		}
		return truthSymbol{b}, true, nil
	}
	return nil, false, nil
}

// signal is a signal of a device or function that is true or false.
func (w wordMaker) signal(kind string, subject any, name string) (logic.Bool, error) {
	o := &objectValue{kind: w.t.signals.compiler.language.kinds[kind], subject: subject}
	x, err := w.t.signals.of(w.t, w.e, o, name)
	if err != nil {
		return logic.Bool{}, err
	}
	b, ok := w.t.truthOf(x)
	if !ok {
		return logic.Bool{}, problemAt(w.e, "%s.%s is not true or false", o.text(), name)
	}
	return b, nil
}

// anyOf is true where one of those of the signals that are there is.
func (w wordMaker) anyOf(kind string, subject any, names ...string) (logic.Bool, error) {
	out := w.t.sys.False()
	for _, name := range names {
		if !w.t.signals.has(subject, name) {
			continue
		}
		b, err := w.signal(kind, subject, name)
		if err != nil {
			return out, err
		}
		out = w.t.sys.Or(out, b)
	}
	return out, nil
}

func (w wordMaker) inOrder(subject any) (logic.Bool, bool, error) {
	states := subject.(*model.Device).InOrder()
	if len(states) == 0 {
		return logic.Bool{}, false, nil
	}
	out := w.t.sys.True()
	for _, state := range states {
		b, err := w.signal("device", subject, state.Signal)
		if err != nil {
			return out, false, err
		}
		if !state.Value {
			b = w.t.sys.Not(b)
		}
		out = w.t.sys.And(out, b)
	}
	return out, true, nil
}

func (w wordMaker) start(subject any) (logic.Bool, bool, error) {
	d := subject.(*model.Device)
	switch {
	case d.Type.Kind.Name == "hold-to-run":
		b, err := w.signal("device", d, "held")
		return b, true, err
	case d.Type.Kind.Name == "two-hand-control":
		left, err := w.signal("device", d, "left")
		if err != nil {
			return left, false, err
		}
		right, err := w.signal("device", d, "right")
		return w.t.sys.And(left, right), true, err
	case d.Type.Kind.Name == "button" && !w.isReset(d):
		b, err := w.signal("device", d, "pressed")
		return b, true, err
	}
	return logic.Bool{}, false, nil
}

func (w wordMaker) reset(subject any) (logic.Bool, bool, error) {
	d := subject.(*model.Device)
	if d.Type.Kind.Name != "button" || !w.isReset(d) {
		return logic.Bool{}, false, nil
	}
	b, err := w.signal("device", d, "pressed")
	return b, true, err
}

func (w wordMaker) functions() []*model.Function {
	return w.t.activation.machine.subject.(*model.Machine).Functions
}

// isReset tells whether a safety function names the device as its reset.
func (w wordMaker) isReset(d *model.Device) bool {
	return slices.ContainsFunc(w.functions(), func(f *model.Function) bool { return f.Reset == d })
}

func (w wordMaker) suspended(subject any) (logic.Bool, bool, error) {
	d := subject.(*model.Device)
	out, err := w.anyOf("device", d, "muted", "overridden")
	if err != nil {
		return out, false, err
	}
	for _, f := range w.functions() {
		if !slices.Contains(f.Demand, d) {
			continue
		}
		b, err := w.anyOf("safety_function", f, suspendedWord)
		if err != nil {
			return out, false, err
		}
		out = w.t.sys.Or(out, b)
	}
	return out, true, nil
}

func (w wordMaker) demanded(subject any) (logic.Bool, bool, error) {
	f, s := subject.(*model.Function), w.t.sys
	out := s.False()
	for _, d := range f.Demand {
		ok, derived, err := w.inOrder(d)
		if err == nil && !derived {
			ok, err = w.signal("device", d, inOrderWord)
		}
		if err != nil {
			return out, false, err
		}
		excused, err := w.anyOf("device", d, "muted", "overridden")
		if err != nil {
			return out, false, err
		}
		out = s.Or(out, s.And(s.Not(ok), s.Not(excused)))
	}
	suspended, err := w.anyOf("safety_function", f, suspendedWord)
	return s.And(out, s.Not(suspended)), true, err
}
