package rules

import (
	"errors"
	"fmt"
	"math"
	"time"

	"github.com/google/cel-go/cel"
	"github.com/google/cel-go/common/ast"
	"github.com/google/cel-go/common/operators"
	"github.com/google/cel-go/common/overloads"
	"github.com/google/cel-go/common/types"

	"github.com/guardwright/guardwright/calc/logic"
)

// translator turns a checked expression into expressions of a transition system. What does not depend on the step is
// evaluated as in any rule; loops over the machine's lists are unrolled.
type translator struct {
	sys     *logic.System
	e       *expression
	signals *signals
	// activation evaluates what does not depend on the step.
	activation *activation
	refill     func()
	// inLogic is true for the logic itself and its assumptions: pre() of a named value then starts with its initial value.
	inLogic bool
	// world is true for rules and assumptions, which speak of the world; the logic speaks of what it reads.
	world bool
	// self is the value that is being computed; nil in assumptions and rules.
	self  *signalValue
	scope *scope
	// constant tells, after condition, that no signal decides it.
	constant bool
	// left bounds the number of parts that loops may make.
	left int
	// narrowed is what the conditions around say of numbers.
	narrowed []narrowed
}

// scope holds the variables of loops, innermost first.
type scope struct {
	name  string
	value symbol
	outer *scope
}

func (s *scope) find(name string) (symbol, bool) {
	for ; s != nil; s = s.outer {
		if s.name == name {
			return s.value, true
		}
	}
	return nil, false
}

// mostParts bounds what one temporal expression may become when its loops are unrolled.
const mostParts = 1_000_000

// partError is something in an expression that can't be translated, at one of its parts.
type partError struct {
	id   int64
	text string
	// missing says that the machine does not state what is asked for, as against a mistake in the expression.
	missing bool
	// silent says that the mistake was reported elsewhere.
	silent bool
}

func (e *partError) Error() string { return e.text }

func problemAt(e ast.Expr, format string, args ...any) error {
	return &partError{id: e.ID(), text: fmt.Sprintf(format, args...)}
}

// condition translates a whole expression that is true or false.
func (t *translator) condition() (logic.Bool, error) {
	x, err := t.part(t.e.ast.Expr())
	if err != nil {
		return logic.Bool{}, err
	}
	b, ok := t.truthOf(x)
	if !ok {
		return logic.Bool{}, problemAt(t.e.ast.Expr(), "this is not true or false")
	}
	_, t.constant = x.(known)
	return b, nil
}

// text is a part as it is written.
func (t *translator) text(e ast.Expr) string {
	text, err := cel.ExprToString(e, t.e.ast.SourceInfo())
	if err != nil {
		return "this"
	}
	return shortText(text)
}

// part translates a part.
func (t *translator) part(e ast.Expr) (symbol, error) {
	x, err := t.whole(e)
	if err == nil && len(t.narrowed) > 0 {
		x = t.narrow(e, x)
	}
	return x, err
}

// whole translates a part with all the values that it can have anywhere.
func (t *translator) whole(e ast.Expr) (symbol, error) {
	if t.left--; t.left < 0 {
		return nil, problemAt(t.e.ast.Expr(), "the loops of this make more than %d parts: loop over fewer objects, or write a rule for each", mostParts)
	}
	if t.fixed(e) {
		return t.evaluate(e)
	}
	switch e.Kind() {
	case ast.IdentKind:
		if x, ok := t.scope.find(e.AsIdent()); ok {
			return x, nil
		}
		return t.signals.named(t, e, e.AsIdent())
	case ast.SelectKind:
		return t.selected(e)
	case ast.CallKind:
		return t.call(e)
	case ast.ListKind:
		return t.list(e)
	case ast.ComprehensionKind:
		return t.loop(e)
	}
	return nil, problemAt(e, "%s has no meaning in a proof", t.text(e))
}

// fixed tells whether a part does not depend on the step.
func (t *translator) fixed(e ast.Expr) bool {
	return t.fixedUnder(e, map[string]bool{})
}

func (t *translator) fixedUnder(e ast.Expr, bound map[string]bool) bool {
	all := func(parts ...ast.Expr) bool {
		for _, p := range parts {
			if !t.fixedUnder(p, bound) {
				return false
			}
		}
		return true
	}
	switch e.Kind() {
	case ast.LiteralKind:
		return true
	case ast.IdentKind:
		if bound[e.AsIdent()] {
			return true
		}
		if x, ok := t.scope.find(e.AsIdent()); ok {
			_, known := x.(known)
			return known
		}
		return !t.signals.isSignal(e.AsIdent())
	case ast.SelectKind:
		return !t.isWord(e) && all(e.AsSelect().Operand())
	case ast.CallKind:
		call := e.AsCall()
		if isTemporal(call.FunctionName()) || call.IsMemberFunction() && !all(call.Target()) {
			return false
		}
		return all(call.Args()...)
	case ast.ListKind:
		return all(e.AsList().Elements()...)
	case ast.ComprehensionKind:
		loop := e.AsComprehension()
		if !all(loop.IterRange(), loop.AccuInit()) {
			return false
		}
		inner := map[string]bool{loop.AccuVar(): true, loop.IterVar(): true}
		for name := range bound {
			inner[name] = true
		}
		return t.fixedUnder(loop.LoopCondition(), inner) && t.fixedUnder(loop.LoopStep(), inner) && t.fixedUnder(loop.Result(), inner)
	}
	return false
}

// isWord tells whether a part is a signal or word of an object, and no field.
func (t *translator) isWord(e ast.Expr) bool {
	s := e.AsSelect()
	k, ok := t.signals.compiler.language.kindOf(t.e.ast.GetType(s.Operand().ID()).TypeName())
	if !ok {
		return false
	}
	_, field := k.index[s.FieldName()]
	return !field
}

// evaluate evaluates a part that does not depend on the step.
func (t *translator) evaluate(e ast.Expr) (symbol, error) {
	p, err := t.e.part(e)
	if err != nil {
		return nil, problemAt(e, "%s", err)
	}
	t.activation.bound = t.signals.objects
	var bind func(s *scope)
	bind = func(s *scope) {
		if s == nil {
			return
		}
		bind(s.outer)
		if v, ok := s.value.(known); ok {
			t.activation.bound = &binding{name: s.name, value: v.Val, outer: t.activation.bound}
		}
	}
	bind(t.scope)
	t.refill()
	v, err := run(p, t.activation)
	var absent *absentError
	switch {
	case errors.As(err, &absent):
		return nil, &partError{id: e.ID(), text: t.e.absence(err, absent), missing: true}
	case err != nil:
		return nil, problemAt(e, "%s", err)
	}
	return known{v}, nil
}

// object evaluates a part that is an object.
func (t *translator) object(e ast.Expr) (*objectValue, error) {
	x, err := t.part(e)
	if err != nil {
		return nil, err
	}
	if k, ok := x.(known); ok {
		if o, ok := k.Val.(*objectValue); ok {
			return o, nil
		}
	}
	return nil, problemAt(e, "which object %s is depends on the step, and a proof wants to know it before: choose the objects by their fields", t.text(e))
}

// selected translates a signal or word of an object, or has() of one.
func (t *translator) selected(e ast.Expr) (symbol, error) {
	s := e.AsSelect()
	if !t.isWord(e) {
		return nil, problemAt(e, "a field of what depends on the step can't be proved about")
	}
	o, err := t.object(s.Operand())
	if err != nil {
		return nil, err
	}
	if x, ok, err := t.derived(e, o); ok || err != nil {
		return x, err
	}
	if s.IsTestOnly() {
		return known{types.Bool(t.signals.has(o.subject, s.FieldName()))}, nil
	}
	return t.signals.of(t, e, o, s.FieldName())
}

func (t *translator) list(e ast.Expr) (symbol, error) {
	var out listSymbol
	for _, x := range e.AsList().Elements() {
		v, err := t.part(x)
		if err != nil {
			return nil, err
		}
		out = append(out, &listItem{value: v})
	}
	return out, nil
}

// loop unrolls a loop.
func (t *translator) loop(e ast.Expr) (symbol, error) {
	loop := e.AsComprehension()
	defer t.without()()
	over, err := t.part(loop.IterRange())
	if err != nil {
		return nil, err
	}
	list, ok := listOf(over)
	if !ok {
		return nil, problemAt(e, "a proof can loop over lists only")
	}
	result, err := t.part(loop.AccuInit())
	if err != nil {
		return nil, err
	}
	outer := t.scope
	defer func() { t.scope = outer }()
	for _, item := range list {
		t.scope = &scope{loop.AccuVar(), result, &scope{loop.IterVar(), item.value, outer}}
		next, err := t.part(loop.LoopStep())
		if err != nil {
			return nil, err
		}
		if item.guard != nil {
			if next, ok = t.merge(*item.guard, next, result); !ok {
				return nil, problemAt(e, "this can't be looked at for a filtered list: write the condition into the loop")
			}
		}
		result = next
	}
	t.scope = &scope{loop.AccuVar(), result, outer}
	return t.part(loop.Result())
}

// call translates a function or operator.
func (t *translator) call(e ast.Expr) (symbol, error) {
	call := e.AsCall()
	if isTemporal(call.FunctionName()) {
		defer t.without()()
	}
	switch name := call.FunctionName(); name {
	case operators.LogicalAnd:
		return t.joint(call.Args(), false)
	case operators.LogicalOr:
		return t.joint(call.Args(), true)
	case operators.Conditional:
		return t.conditional(e, call.Args())
	case operators.LogicalNot:
		x, err := t.part(call.Args()[0])
		if err != nil {
			return nil, err
		}
		if k, ok := x.(known); ok { // has() stays known, so that it can stand before a signal
			return known{types.Bool(isFalse(k))}, nil
		}
		b, ok := t.truthOf(x)
		if !ok {
			return nil, problemAt(e, "%s is not true or false", t.text(call.Args()[0]))
		}
		return truthSymbol{t.sys.Not(b)}, nil
	case "implies":
		// What is known not to hold implies anything, and leaves it unlooked at.
		if x, err := t.part(call.Args()[0]); err != nil || isFalse(x) {
			return known{types.True}, err
		}
	case operators.NotStrictlyFalse:
		return t.part(call.Args()[0])
	case "within", "held", "on_delay", "off_delay", "pulse":
		return t.timed(e, call.Args())
	case "pre":
		return t.pre(e, call.Args()[0])
	}
	args := call.Args()
	if call.IsMemberFunction() {
		args = append([]ast.Expr{call.Target()}, args...)
	}
	values := make([]symbol, len(args))
	for i, a := range args {
		var err error
		if values[i], err = t.part(a); err != nil {
			return nil, err
		}
	}
	if x, ok := t.apply(call.FunctionName(), values); ok {
		return x, nil
	}
	return nil, problemAt(e, "%s can't be proved about: a proof knows !, &&, ||, ==, !=, <, <=, >, >=, +, -, ? :, in, loops, size(), [a, b].min(), [a, b].max() and %s",
		t.text(e), "pre, rose, fell, began, once, hist, since, implies, within, held, on_delay, off_delay, pulse")
}

// joint translates && and ||. What a known part decides alone leaves the others unlooked at, as in any rule, so that
// has() can stand before a signal.
func (t *translator) joint(args []ast.Expr, decisive bool) (symbol, error) {
	var parts []logic.Bool
	for _, a := range args {
		x, err := t.part(a)
		if err != nil {
			return nil, err
		}
		if k, ok := x.(known); ok {
			if bool(k.Val == types.Bool(decisive)) {
				return known{types.Bool(decisive)}, nil
			}
			continue
		}
		b, ok := t.truthOf(x)
		if !ok {
			return nil, problemAt(a, "%s is not true or false", t.text(a))
		}
		parts = append(parts, b)
	}
	if len(parts) == 0 {
		return known{types.Bool(!decisive)}, nil
	}
	if decisive {
		return truthSymbol{t.sys.Or(parts...)}, nil
	}
	return truthSymbol{t.sys.And(parts...)}, nil
}

func (t *translator) conditional(e ast.Expr, args []ast.Expr) (symbol, error) {
	cond, err := t.part(args[0])
	if err != nil {
		return nil, err
	}
	if k, ok := cond.(known); ok {
		if k.Val == types.True {
			return t.part(args[1])
		}
		return t.part(args[2])
	}
	x, err := t.within(args[0], true, args[1])
	if err != nil {
		return nil, err
	}
	y, err := t.within(args[0], false, args[2])
	if err != nil {
		return nil, err
	}
	c, _ := t.truthOf(cond)
	merged, ok := t.merge(c, x, y)
	if !ok {
		return nil, problemAt(e, "a proof can choose between conditions, whole numbers, words and lists, and not between these")
	}
	return merged, nil
}

// apply applies a function to values that are known or depend on the step.
func (t *translator) apply(name string, x []symbol) (symbol, bool) {
	if y, ok := t.applyTruths(name, x); ok {
		return y, true
	}
	if y, ok := t.applyNumbers(name, x); ok {
		return y, true
	}
	switch name {
	case operators.Equals, operators.NotEquals:
		same, ok := t.equal(x[0], x[1])
		if name == operators.NotEquals && ok {
			same = t.sys.Not(same)
		}
		return truthSymbol{same}, ok
	case operators.In:
		list, ok := listOf(x[1])
		found := t.sys.False()
		for _, item := range list {
			same, comparable := t.equal(x[0], item.value)
			if !comparable {
				return nil, false
			}
			found = t.sys.Or(found, t.sys.And(same, t.guardOf(item)))
		}
		return truthSymbol{found}, ok
	case overloads.Size:
		list, ok := listOf(x[0])
		n := t.sys.IntConst(0)
		for _, item := range list {
			n = t.sys.Add(n, t.sys.IfInt(t.guardOf(item), t.sys.IntConst(1), t.sys.IntConst(0)))
		}
		return numberSymbol{n}, ok
	case operators.Add:
		a, ok := listOf(x[0])
		b, both := listOf(x[1])
		return append(append(listSymbol(nil), a...), b...), ok && both
	case "min", "max":
		return t.extreme(name, x[0])
	}
	return nil, false
}

func (t *translator) applyTruths(name string, x []symbol) (symbol, bool) {
	b := make([]logic.Bool, len(x))
	for i := range x {
		var ok bool
		if b[i], ok = t.truthOf(x[i]); !ok {
			return nil, false
		}
	}
	s := t.sys
	one := map[string]func(logic.Bool) logic.Bool{operators.LogicalNot: s.Not, "rose": s.Rose, "fell": s.Fell, "began": s.Began, "once": s.Once, "hist": s.Hist}
	two := map[string]func(a, b logic.Bool) logic.Bool{"since": s.Since, "implies": s.Implies}
	if f, ok := one[name]; ok && len(b) == 1 {
		return truthSymbol{f(b[0])}, true
	}
	if f, ok := two[name]; ok && len(b) == 2 {
		return truthSymbol{f(b[0], b[1])}, true
	}
	return nil, false
}

func (t *translator) applyNumbers(name string, x []symbol) (symbol, bool) {
	n := make([]logic.Int, len(x))
	for i := range x {
		var ok bool
		if n[i], ok = t.numberOf(x[i]); !ok {
			return nil, false
		}
	}
	s := t.sys
	switch name {
	case operators.Less:
		return truthSymbol{s.Less(n[0], n[1])}, true
	case operators.LessEquals:
		return truthSymbol{s.LessEq(n[0], n[1])}, true
	case operators.Greater:
		return truthSymbol{s.Less(n[1], n[0])}, true
	case operators.GreaterEquals:
		return truthSymbol{s.LessEq(n[1], n[0])}, true
	case operators.Add:
		return numberSymbol{s.Add(n[0], n[1])}, true
	case operators.Subtract:
		return numberSymbol{s.Sub(n[0], n[1])}, true
	case operators.Negate:
		return numberSymbol{s.Sub(s.IntConst(0), n[0])}, true
	}
	return nil, false
}

// extreme is the smallest or greatest element of a list of whole numbers.
func (t *translator) extreme(name string, x symbol) (symbol, bool) {
	list, ok := listOf(x)
	if !ok || len(list) == 0 {
		return nil, false
	}
	var best logic.Int
	for i, item := range list {
		n, ok := t.numberOf(item.value)
		if !ok || item.guard != nil {
			return nil, false
		}
		if i == 0 {
			best = n
			continue
		}
		lo, hi := best.Range()
		nLo, nHi := n.Range()
		if name == "min" {
			best = t.sys.Clamp(t.sys.IfInt(t.sys.Less(n, best), n, best), min(lo, nLo), min(hi, nHi))
		} else {
			best = t.sys.Clamp(t.sys.IfInt(t.sys.Less(best, n), n, best), max(lo, nLo), max(hi, nHi))
		}
	}
	return numberSymbol{best}, true
}

// timed translates a function with a time.
func (t *translator) timed(e ast.Expr, args []ast.Expr) (symbol, error) {
	name := e.AsCall().FunctionName()
	d, err := t.part(args[0])
	if err != nil {
		return nil, err
	}
	q, ok := d.(known)
	if !ok {
		return nil, problemAt(args[0], "the time must not depend on the step")
	}
	x, err := t.part(args[1])
	if err != nil {
		return nil, err
	}
	b, ok := t.truthOf(x)
	if !ok {
		return nil, problemAt(args[1], "%s is not true or false", t.text(args[1]))
	}
	n, err := t.signals.steps(name, q.Val.(quantity).x)
	if err != nil {
		return nil, problemAt(args[0], "%s", err)
	}
	s := t.sys
	f := map[string]func(int, logic.Bool) logic.Bool{"within": s.Within, "held": s.Held, "on_delay": s.OnDelay, "off_delay": s.OffDelay, "pulse": s.Pulse}[name]
	return truthSymbol{f(n, b)}, nil
}

// steps turns a time in seconds into cycles: an upper limit is rounded down, a lower limit up.
func (s *signals) steps(name string, seconds float64) (int, error) {
	if s.cycle <= 0 {
		return 0, fmt.Errorf("%s() wants to know the time of one cycle: state safety_cycle: of the controller that runs the logic", name)
	}
	// The nearest nanosecond: binary rounding of 0.1 s must not make a cycle more.
	d := time.Duration(math.Round(seconds * 1e9))
	if math.Abs(seconds) > 1e9 {
		return 0, fmt.Errorf("the time is too long")
	}
	var n logic.Steps
	var err error
	switch name {
	case "held", "on_delay":
		n, err = s.cycle.AtLeast(d)
	case "within", "pulse":
		n, err = s.cycle.AtMost(d)
	case "off_delay":
		if n, err = s.cycle.AtLeast(d); err == nil && n.Real != d {
			return 0, fmt.Errorf("an off-delay must be exact, because it can be a shortest or a longest time: %v is not a whole number of cycles of %v; write %v or %v",
				d, time.Duration(s.cycle), n.Real-time.Duration(s.cycle), n.Real)
		}
	}
	if err != nil {
		return 0, err
	}
	if n.N == 0 && name == "held" {
		return 0, fmt.Errorf("the time of held() must be longer than nothing")
	}
	return n.N, nil
}

// pre translates the value of the cycle before.
func (t *translator) pre(e, arg ast.Expr) (symbol, error) {
	if x, ok, err := t.preOfValue(arg); ok || err != nil {
		return x, err
	}
	x, err := t.part(arg)
	if err != nil {
		return nil, err
	}
	if b, ok := t.truthOf(x); ok {
		return truthSymbol{t.sys.Pre(b)}, nil
	}
	t.signals.memories++
	name := fmt.Sprintf("%s #%d", t.text(e), t.signals.memories)
	if n, ok := t.numberOf(x); ok {
		lo, hi := n.Range()
		memory := t.sys.IntLatch(name, lo, hi, min(max(0, lo), hi))
		t.sys.SetNextInt(memory, n)
		return numberSymbol{memory}, nil
	}
	words, ok := t.choiceOf(x)
	if !ok {
		return nil, problemAt(e, "pre() wants a condition, a whole number or a word")
	}
	var out choiceSymbol
	for i, c := range words {
		memory := t.sys.Latch(fmt.Sprintf("%s is %s", name, c.word), i == 0)
		t.sys.SetNext(memory, c.guard)
		out = append(out, wordCase{c.word, memory})
	}
	return out, nil
}

// preOfValue finds the memory of a named value, which may stand below. In rules, pre() of a condition is false in the
// first cycle, whatever the value is taken to be before it.
func (t *translator) preOfValue(arg ast.Expr) (symbol, bool, error) {
	var v *signalValue
	switch arg.Kind() {
	case ast.IdentKind:
		if _, bound := t.scope.find(arg.AsIdent()); !bound {
			v = t.signals.values[arg.AsIdent()]
		}
	case ast.SelectKind:
		s := arg.AsSelect()
		if s.IsTestOnly() || !t.isWord(arg) {
			return nil, false, nil
		}
		o, err := t.object(s.Operand())
		if err != nil {
			return nil, false, err
		}
		v = t.signals.words[word{o.subject, s.FieldName()}]
	}
	if v == nil || v.model == nil || !t.inLogic && v.model.Words == nil && !v.model.Number {
		return nil, false, nil
	}
	if t.world && t.signals.hasEffect(v) {
		return t.signals.effectMemory(v), true, nil
	}
	return t.signals.memory(v), true, nil
}
