package rules

import (
	"slices"
	"strings"

	"github.com/google/cel-go/cel"
	"github.com/google/cel-go/common/ast"
	"github.com/google/cel-go/common/operators"
	"github.com/google/cel-go/common/types"
	"github.com/google/cel-go/common/types/ref"
)

// explainer finds the values that made a condition false. It goes down the condition and evaluates each part that
// mattered by itself: of a && b the parts that are false, of a loop the elements at which it failed.
type explainer struct {
	e      *expression
	a      *activation
	refill func()
	values []Value
	seen   map[string]bool
}

// Bounds of an explanation: people read the first lines.
const (
	mostValues   = 16
	mostElements = 3
)

// explain returns the values that made a rule apply to, and be broken by, the object of the activation.
func explain(r *Rule, a *activation, refill func()) []Value {
	x := &explainer{e: r.require, a: a, refill: refill, seen: map[string]bool{}}
	x.condition(r.require.ast.Expr())
	return withoutSelfEvident(x.values)
}

// withoutSelfEvident leaves out has(x) = true where the value of x is shown as well.
func withoutSelfEvident(values []Value) []Value {
	shown := func(path string) bool {
		return slices.ContainsFunc(values, func(v Value) bool {
			return !strings.HasPrefix(v.Text, "has(") && strings.Contains(v.Text, path)
		})
	}
	return slices.DeleteFunc(slices.Clone(values), func(v Value) bool {
		path, has := strings.CutPrefix(v.Text, "has(")
		path, _, _ = strings.Cut(path, ")")
		return has && v.Value == "true" && shown(path)
	})
}

// condition explains a condition and returns its value; ok is false when it has none.
func (x *explainer) condition(e ast.Expr) (value, ok bool) {
	if macro, is := x.macro(e); is {
		switch {
		case macro == operators.Has:
			return x.leaf(e)
		case e.Kind() == ast.ComprehensionKind && (macro == operators.All || macro == operators.Exists):
			return x.loop(e, macro == operators.All)
		}
		return x.leaf(e)
	}
	if e.Kind() != ast.CallKind {
		return x.leaf(e)
	}
	args := e.AsCall().Args()
	switch e.AsCall().FunctionName() {
	case operators.LogicalAnd:
		return x.joint(e, args, false)
	case operators.LogicalOr:
		return x.joint(e, args, true)
	case operators.LogicalNot:
		v, ok := x.condition(args[0])
		return !v, ok
	case operators.Conditional:
		which, ok := x.condition(args[0])
		switch {
		case !ok:
			return false, false
		case which:
			return x.condition(args[1])
		}
		return x.condition(args[2])
	}
	return x.leaf(e)
}

// joint explains && and ||. Decisive is the value of a part that decides the whole alone: false of &&, true of ||.
// Where there is such a part, only those parts mattered; otherwise all did.
func (x *explainer) joint(e ast.Expr, args []ast.Expr, decisive bool) (value, ok bool) {
	value, ok = x.value(e)
	if !ok {
		return value, ok
	}
	for _, arg := range args {
		if v, known := x.value(arg); known && (v == decisive || value != decisive) {
			x.condition(arg)
		}
	}
	return value, true
}

// loop explains all() and exists(): the elements that decided it, or all when none did alone.
func (x *explainer) loop(e ast.Expr, all bool) (value, ok bool) {
	loop := e.AsComprehension()
	value, ok = x.value(e)
	if !ok {
		return value, ok
	}
	list, err := x.eval(loop.IterRange())
	step := loop.LoopStep()
	if err != nil || list.Type() != types.ListType || step.Kind() != ast.CallKind || len(step.AsCall().Args()) != 2 {
		x.show(e, types.Bool(value))
		return value, true
	}
	body, outer, shown := step.AsCall().Args()[1], x.a.bound, 0
	decides := value != all // all() is decided by a false element, exists() by a true one
	for v := range elements(list) {
		x.a.bound = &binding{name: loop.IterVar(), value: v, outer: outer}
		holds, known := x.value(body)
		if !known || decides && holds == all {
			continue
		}
		if shown++; shown > mostElements {
			break
		}
		x.add(loop.IterVar(), textOf(v, becauseDigits))
		from := len(x.values)
		x.condition(body)
		x.qualify(from, loop.IterVar(), v)
	}
	x.a.bound = outer
	if shown == 0 {
		x.show(e, types.Bool(value))
		x.operand(loop.IterRange())
	}
	return value, true
}

// qualify names the element in the lines about it, where the variable of the loop would be ambiguous.
func (x *explainer) qualify(from int, name string, element ref.Val) {
	if _, isObject := element.(*objectValue); !isObject {
		return
	}
	for i := from; i < len(x.values); i++ {
		if strings.HasPrefix(x.values[i].Text, name+".") && !strings.Contains(x.values[i].Text, " (") {
			delete(x.seen, x.values[i].Text)
			x.values[i].Text += " (" + textOf(element, becauseDigits) + ")"
			x.seen[x.values[i].Text] = true
		}
	}
}

// leaf explains a condition that has no conditions inside: it shows the values that it looks at.
func (x *explainer) leaf(e ast.Expr) (value, ok bool) {
	value, ok = x.value(e)
	if !ok {
		return value, ok
	}
	if _, macro := x.macro(e); macro {
		x.show(e, types.Bool(value))
		return value, true
	}
	switch e.Kind() {
	case ast.SelectKind:
		x.show(e, types.Bool(value))
		x.owner(e.AsSelect())
	case ast.CallKind:
		call := e.AsCall()
		if call.IsMemberFunction() {
			x.operand(call.Target())
		}
		for _, arg := range call.Args() {
			x.operand(arg)
		}
	default:
		x.show(e, types.Bool(value))
	}
	return value, true
}

// operand shows the value of a part, and of the parts of a calculation.
func (x *explainer) operand(e ast.Expr) {
	if e.Kind() == ast.LiteralKind || len(freeIn(e)) == 0 {
		return
	}
	v, err := x.eval(e)
	if err != nil {
		return
	}
	if b, isBool := v.(types.Bool); isBool {
		if _, ok := x.condition(e); !ok {
			x.show(e, b)
		}
		return
	}
	x.show(e, v)
	if e.Kind() == ast.SelectKind {
		x.owner(e.AsSelect())
	}
	if _, macro := x.macro(e); macro || e.Kind() != ast.CallKind {
		return
	}
	call := e.AsCall()
	if call.IsMemberFunction() && call.Target().Kind() != ast.SelectKind {
		x.operand(call.Target())
	}
	for _, arg := range call.Args() {
		x.operand(arg)
	}
}

// owner shows the result that a field belongs to: a margin says little without its value and limit.
func (x *explainer) owner(s ast.SelectExpr) {
	owner, err := x.eval(s.Operand())
	if o, isObject := owner.(*objectValue); err == nil && isObject && o.kind.group == resultsGroup && o.kind.show != nil && o.kind.origin == nil {
		x.show(s.Operand(), o)
	}
}

// show adds a part with its value.
func (x *explainer) show(e ast.Expr, v ref.Val) {
	text, err := cel.ExprToString(e, x.e.ast.SourceInfo())
	if err == nil {
		x.add(text, textOf(v, becauseDigits))
	}
}

func (x *explainer) add(text, value string) {
	key := text
	if x.a.bound != nil { // the same words mean other things for other elements
		key += " = " + value
	}
	if x.seen[key] || len(x.values) >= mostValues {
		return
	}
	x.seen[key] = true
	x.values = append(x.values, Value{Text: text, Value: value})
}

// macro is the name of the macro that a part was written with.
func (x *explainer) macro(e ast.Expr) (string, bool) {
	call, ok := x.e.ast.SourceInfo().GetMacroCall(e.ID())
	if !ok || call.Kind() != ast.CallKind {
		return "", false
	}
	return call.AsCall().FunctionName(), true
}

// value evaluates a part that is a condition.
func (x *explainer) value(e ast.Expr) (value, ok bool) {
	v, err := x.eval(e)
	if err != nil {
		return false, false
	}
	b, ok := v.(types.Bool)
	return bool(b), ok
}

func (x *explainer) eval(e ast.Expr) (ref.Val, error) {
	p, err := x.e.part(e)
	if err != nil {
		return nil, err
	}
	x.refill()
	return run(p, x.a)
}

func freeIn(e ast.Expr) map[string]bool {
	names := map[string]bool{}
	free(e, nil, names)
	return names
}
