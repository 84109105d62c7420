package rules

import (
	"context"

	"github.com/google/cel-go/common/ast"
	"github.com/google/cel-go/common/operators"
	"github.com/google/cel-go/common/overloads"
	"github.com/google/cel-go/common/types"
	"github.com/google/cel-go/common/types/ref"
	"github.com/google/cel-go/common/types/traits"
	"github.com/google/cel-go/interpreter"
)

// meter bounds the work of one evaluation and watches for cancellation.
//
// An expression without loops is bounded by its length. So only the loops are metered: each turn costs as many steps
// as its body has nodes, and a call that walks through a list or text costs its size. CEL's own cost limit tracks
// every node, which makes an evaluation about five times as long.
type meter struct {
	ctx     context.Context
	left    int64
	watch   int64
	stopped error
}

// watchEvery is how many steps pass between two looks at the context: some hundred microseconds.
const watchEvery = 4096

// errSteps says that a rule was stopped by its limit.
type errSteps struct{}

func (errSteps) Error() string {
	return "the rule takes too many steps: it was stopped by the limit on the cost of one evaluation"
}

// meterName is the name under which an activation hands out its meter. It is no identifier, so no rule can say it.
const meterName = "#meter"

// spend takes steps off and stops the evaluation when none are left, or when the context ends. It panics with the
// value that cel-go recovers from to stop an evaluation for good: an error value could be absorbed by || and &&.
func (m *meter) spend(steps int64) {
	if m.left -= steps; m.left < 0 {
		m.stopped = errSteps{}
		panic(interpreter.EvalCancelledError{Cause: interpreter.CostLimitExceeded, Message: m.stopped.Error()})
	}
	if m.watch -= steps; m.watch > 0 || m.ctx == nil {
		return
	}
	m.watch = watchEvery
	if err := m.ctx.Err(); err != nil {
		m.stopped = err
		panic(interpreter.EvalCancelledError{Cause: interpreter.ContextCancelled, Message: err.Error()})
	}
}

// meteredNode charges for a node before, or for the size of its value after, the node is evaluated.
type meteredNode struct {
	interpreter.InterpretableV2
	steps int64 // before
	sized int64 // after, for each element of a list and each 16 bytes of a text
}

// Exec evaluates the node and charges for it.
func (n *meteredNode) Exec(frame *interpreter.ExecutionFrame) ref.Val {
	m := meterOf(frame)
	if m != nil && n.steps > 0 {
		m.spend(n.steps)
	}
	v := n.InterpretableV2.Exec(frame)
	if m != nil && n.sized > 0 {
		m.spend(n.sized * sizeOf(v))
	}
	return v
}

// Eval is Exec for callers that have no frame.
func (n *meteredNode) Eval(vars interpreter.Activation) ref.Val {
	return n.Exec(interpreter.AsFrame(vars))
}

func meterOf(frame *interpreter.ExecutionFrame) *meter {
	if frame == nil {
		return nil
	}
	v, ok := frame.ResolveName(meterName)
	if !ok {
		return nil
	}
	m, _ := v.(*meter)
	return m
}

func sizeOf(v ref.Val) int64 {
	switch v := v.(type) {
	case types.String:
		return 1 + int64(len(v))/16
	case traits.Sizer:
		if n, ok := v.Size().(types.Int); ok {
			return int64(n)
		}
	}
	return 0
}

// charges are the steps before a node, and the factor on the size of its value after it, by the node's id.
type charges struct{ steps, sized map[int64]int64 }

// chargesOf finds the loops of an expression, and the calls that walk through lists and texts.
func chargesOf(a *ast.AST) charges {
	c := charges{map[int64]int64{}, map[int64]int64{}}
	ast.PostOrderVisit(a.Expr(), ast.NewExprVisitor(func(e ast.Expr) {
		switch e.Kind() {
		case ast.ComprehensionKind:
			c.steps[e.AsComprehension().LoopStep().ID()] = nodes(e.AsComprehension().LoopStep())
		case ast.CallKind:
			c.call(a, e)
		}
	}))
	return c
}

// nodes counts the nodes of an expression.
func nodes(e ast.Expr) int64 {
	var n int64
	ast.PostOrderVisit(e, ast.NewExprVisitor(func(ast.Expr) { n++ }))
	return n
}

// call notes the arguments that a call walks through, and a text that it makes.
func (c charges) call(a *ast.AST, e ast.Expr) {
	call := e.AsCall()
	switch call.FunctionName() {
	case operators.Index, operators.Conditional, operators.LogicalAnd, operators.LogicalOr, overloads.Size:
		return
	case operators.Add:
		if a.GetType(e.ID()).Kind() == types.StringKind {
			c.sized[e.ID()] = 1
		}
		return
	}
	args := call.Args()
	if call.IsMemberFunction() {
		args = append([]ast.Expr{call.Target()}, args...)
	}
	for _, arg := range args {
		if k := a.GetType(arg.ID()).Kind(); k == types.ListKind || k == types.StringKind {
			c.sized[arg.ID()] = 1
		}
	}
}
