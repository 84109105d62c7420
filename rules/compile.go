package rules

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"
	"sync"

	"github.com/google/cel-go/cel"
	"github.com/google/cel-go/common"
	"github.com/google/cel-go/common/ast"
	"github.com/google/cel-go/common/operators"
	"github.com/google/cel-go/common/types"
)

// compiler compiles the expressions of rule files. It is used by one goroutine; what it makes is not changed afterwards.
type compiler struct {
	language *language
	base     *cel.Env
	envs     map[string]*cel.Env // by kind
}

func newCompiler() (*compiler, error) {
	l := newLanguage()
	base, err := l.environment()
	if err != nil {
		return nil, err
	}
	return &compiler{language: l, base: base, envs: map[string]*cel.Env{}}, nil
}

// env is the environment of rules for a kind: the object by the kind's name, and the machine.
func (c *compiler) env(k *kind) (*cel.Env, error) {
	if e, ok := c.envs[k.name]; ok {
		return e, nil
	}
	opts := []cel.EnvOption{cel.Variable(k.name, k.cel)}
	if k.name != machineName {
		opts = append(opts, cel.Variable(machineName, c.language.kinds[machineName].cel))
	}
	e, err := c.base.Extend(opts...)
	if err != nil {
		return nil, fmt.Errorf("making the environment of rules for %s: %w", k.name, err)
	}
	c.envs[k.name] = e
	return e, nil
}

// expression is a compiled expression.
type expression struct {
	kind    *kind
	source  fragment
	env     *cel.Env
	ast     *ast.AST
	program cel.Program
	parts   *parts
}

// parts are programs for parts of an expression. They are made when a finding is explained first, and kept.
type parts struct {
	language *language
	lock     sync.Mutex
	programs map[int64]cel.Program
}

// part returns the program of a part.
func (e *expression) part(x ast.Expr) (cel.Program, error) {
	e.parts.lock.Lock()
	defer e.parts.lock.Unlock()
	if p, ok := e.parts.programs[x.ID()]; ok {
		return p, nil
	}
	a := ast.NewCheckedAST(ast.NewAST(x, e.ast.SourceInfo()), e.ast.TypeMap(), e.ast.ReferenceMap())
	p, err := e.parts.language.plan(e.env, a, cel.EvalOptions(cel.OptOptimize))
	if err == nil {
		e.parts.programs[x.ID()] = p
	}
	return p, err
}

// exprError is something wrong in an expression, at a place of its text.
type exprError struct {
	line, column int
	text         string
}

// compile parses, checks and plans an expression over an object of a kind.
func (c *compiler) compile(k *kind, src fragment) (*expression, []exprError) {
	if strings.TrimSpace(src.text) == "" {
		return nil, []exprError{{line: 1, text: "the expression is empty"}}
	}
	env, err := c.env(k)
	if err != nil {
		return nil, []exprError{{line: 1, text: err.Error()}}
	}
	parsed, issues := env.Parse(src.text)
	if issues.Err() != nil {
		return nil, c.syntaxErrors(issues)
	}
	if errs := refuseStructs(parsed.NativeRep()); len(errs) > 0 {
		return nil, errs
	}
	checked, issues := env.Check(parsed)
	if issues.Err() != nil {
		return nil, c.typeErrors(k, env, parsed, issues)
	}
	e := &expression{kind: k, source: src, env: env, ast: checked.NativeRep(), parts: &parts{language: c.language, programs: map[int64]cel.Program{}}}
	if errs := refuseDyn(e.ast); len(errs) > 0 {
		return nil, errs
	}
	if errs := c.idleHas(e); len(errs) > 0 {
		return nil, errs
	}
	if errs := c.constantErrors(e); len(errs) > 0 {
		return nil, errs
	}
	e.program, err = c.language.plan(env, e.ast, cel.EvalOptions(cel.OptOptimize))
	if err != nil {
		return nil, []exprError{{line: 1, text: err.Error()}}
	}
	return e, nil
}

// refuseStructs refuses object construction before the types are looked at.
func refuseStructs(a *ast.AST) []exprError {
	var errs []exprError
	ast.PostOrderVisit(a.Expr(), ast.NewExprVisitor(func(e ast.Expr) {
		if e.Kind() == ast.StructKind {
			errs = append(errs, errorAt(a, e.ID(), "a rule cannot make a %s: it speaks about what the machine file describes", e.AsStruct().TypeName()))
		}
	}))
	return sorted(errs)
}

// refuseDyn refuses values whose type is not known before the evaluation: with them, amperes could meet volts.
func refuseDyn(a *ast.AST) []exprError {
	var errs []exprError
	ast.PostOrderVisit(a.Expr(), ast.NewExprVisitor(func(e ast.Expr) {
		if len(errs) > 0 || !isDyn(a.GetType(e.ID())) {
			return
		}
		switch {
		case e.Kind() == ast.ListKind && e.AsList().Size() == 0:
			errs = append(errs, errorAt(a, e.ID(), "an empty list says nothing about the type of its elements: use size() == 0 instead"))
		case e.Kind() == ast.ListKind:
			errs = append(errs, errorAt(a, e.ID(), "the elements of the list have different types"))
		case e.Kind() == ast.MapKind:
			errs = append(errs, errorAt(a, e.ID(), "the entries of the map have different types"))
		default:
			errs = append(errs, errorAt(a, e.ID(), "the type of this is not known before the rule is evaluated: its parts have different types"))
		}
	}))
	return errs
}

func isDyn(t *types.Type) bool {
	if t.Kind() == types.DynKind || t.Kind() == types.AnyKind {
		return true
	}
	return slices.ContainsFunc(t.Parameters(), isDyn)
}

// idleHas finds has() of a field that is always there: such a condition says nothing.
func (c *compiler) idleHas(e *expression) []exprError {
	var errs []exprError
	ast.PostOrderVisit(e.ast.Expr(), ast.NewExprVisitor(func(x ast.Expr) {
		call, ok := e.ast.SourceInfo().GetMacroCall(x.ID())
		if !ok || call.AsCall().FunctionName() != operators.Has {
			return
		}
		if x.Kind() == ast.CallKind { // has() of a longer path: the last test is about the field itself
			x = x.AsCall().Args()[1]
		}
		k, ok := c.language.kindOf(e.ast.GetType(x.AsSelect().Operand().ID()).TypeName())
		if !ok {
			return
		}
		if f := k.fields[k.index[x.AsSelect().FieldName()]]; !f.optional {
			errs = append(errs, errorAt(e.ast, call.AsCall().Args()[0].ID(), "the %s of a %s is always there: has() says nothing", f.name, k.name))
		}
	}))
	return sorted(errs)
}

// constantErrors finds calls on constants that are sure to fail, such as AWG(99).
func (c *compiler) constantErrors(e *expression) []exprError {
	var errs []exprError
	ast.PostOrderVisit(e.ast.Expr(), ast.NewExprVisitor(func(x ast.Expr) {
		if x.Kind() != ast.CallKind {
			return
		}
		for _, id := range e.ast.GetOverloadIDs(x.ID()) {
			op, ok := c.language.operations[id]
			if !ok || op.unary == nil || len(x.AsCall().Args()) != 1 || x.AsCall().Args()[0].Kind() != ast.LiteralKind {
				continue
			}
			if err, failed := op.unary(x.AsCall().Args()[0].AsLiteral()).(*types.Err); failed {
				errs = append(errs, errorAt(e.ast, x.ID(), "%s", err.Error()))
			}
		}
	}))
	return sorted(errs)
}

// errorAt makes an error at a node.
func errorAt(a *ast.AST, id int64, format string, args ...any) exprError {
	at := a.SourceInfo().GetStartLocation(id)
	return exprError{line: at.Line(), column: at.Column(), text: fmt.Sprintf(format, args...)}
}

func sorted(errs []exprError) []exprError {
	slices.SortStableFunc(errs, func(a, b exprError) int {
		return cmp.Or(cmp.Compare(a.line, b.line), cmp.Compare(a.column, b.column), cmp.Compare(a.text, b.text))
	})
	return slices.Compact(errs)
}

func located(err *common.Error, text string) exprError {
	if err.Location == nil || err.Location.Line() < 1 || err.Location.Column() < 0 {
		return exprError{line: 1, text: text}
	}
	return exprError{line: err.Location.Line(), column: err.Location.Column(), text: text}
}

// resultType is the type of the whole expression.
func (e *expression) resultType() *types.Type { return e.ast.GetType(e.ast.Expr().ID()) }

// use adds the fields that the expression reads.
func (e *expression) use(used usedFields, l *language) {
	for _, x := range selects(e.ast.Expr()) {
		s := x.AsSelect()
		if k, ok := l.kindOf(e.ast.GetType(s.Operand().ID()).TypeName()); ok {
			if used[k.name] == nil {
				used[k.name] = map[int]bool{}
			}
			used[k.name][k.index[s.FieldName()]] = true
		}
	}
}

func selects(root ast.Expr) []ast.Expr {
	var out []ast.Expr
	ast.PostOrderVisit(root, ast.NewExprVisitor(func(e ast.Expr) {
		if e.Kind() == ast.SelectKind {
			out = append(out, e)
		}
	}))
	return out
}

// names are the free variables of an expression.
func (e *expression) names() map[string]bool {
	names := map[string]bool{}
	free(e.ast.Expr(), nil, names)
	return names
}

// free collects the identifiers that no loop binds.
func free(e ast.Expr, bound map[string]bool, names map[string]bool) {
	switch e.Kind() {
	case ast.IdentKind:
		if name := strings.TrimPrefix(e.AsIdent(), "."); !bound[name] {
			names[name] = true
		}
	case ast.SelectKind:
		free(e.AsSelect().Operand(), bound, names)
	case ast.CallKind:
		if e.AsCall().IsMemberFunction() {
			free(e.AsCall().Target(), bound, names)
		}
		for _, arg := range e.AsCall().Args() {
			free(arg, bound, names)
		}
	case ast.ListKind:
		for _, x := range e.AsList().Elements() {
			free(x, bound, names)
		}
	case ast.MapKind:
		for _, x := range e.AsMap().Entries() {
			free(x.AsMapEntry().Key(), bound, names)
			free(x.AsMapEntry().Value(), bound, names)
		}
	case ast.ComprehensionKind:
		loop := e.AsComprehension()
		free(loop.IterRange(), bound, names)
		free(loop.AccuInit(), bound, names)
		inner := maps.Clone(bound)
		if inner == nil {
			inner = map[string]bool{}
		}
		inner[loop.AccuVar()] = true
		free(loop.Result(), inner, names)
		inner = maps.Clone(inner)
		inner[loop.IterVar()] = true
		if loop.HasIterVar2() {
			inner[loop.IterVar2()] = true
		}
		free(loop.LoopCondition(), inner, names)
		free(loop.LoopStep(), inner, names)
	}
}

// constant evaluates the expression without knowing the object or the machine: ok is true when the result is the same
// whatever they are.
func (c *compiler) constant(e *expression) (value bool, ok bool) {
	p, err := c.language.plan(e.env, e.ast, cel.EvalOptions(cel.OptPartialEval))
	if err != nil {
		return false, false
	}
	vars, err := cel.PartialVars(&activation{meter: &meter{left: constantSteps, watch: watchEvery}},
		cel.AttributePattern(e.kind.name), cel.AttributePattern(machineName))
	if err != nil {
		return false, false
	}
	v, _, err := p.Eval(vars)
	if err != nil {
		return false, false
	}
	b, ok := v.(types.Bool)
	return bool(b), ok
}

// constantSteps bounds the work at which a constant is looked for.
const constantSteps = 100_000
