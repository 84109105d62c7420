package rules

import (
	"strings"

	"github.com/google/cel-go/cel"
	"github.com/google/cel-go/common/types"
	"github.com/google/cel-go/common/types/ref"
	"github.com/google/cel-go/interpreter"
)

// operation is one meaning of an operator or function for given operand types: what CEL calls an overload.
//
// It is declared to CEL without a binding, because CEL's own operators take none, and put into the planned
// expression by [language.decorate]. That also lets a number stand on the left of a quantity, and calls the Go
// function without looking the types up again.
type operation struct {
	function string
	member   bool // called as x.f(...)
	args     []*types.Type
	result   *types.Type
	// apply gets as many arguments as args has; they have the declared types and are no errors.
	apply func(args []ref.Val) ref.Val
	// unary and binary are used instead of apply where they are set: they spare a slice.
	unary  func(x ref.Val) ref.Val
	binary func(x, y ref.Val) ref.Val
	// replaces is the id of an overload of CEL that gets another meaning; empty for one of ours.
	replaces string
}

// id is unique for the function and its operand types.
func (o operation) id() string {
	if o.replaces != "" {
		return o.replaces
	}
	parts := []string{"gw", o.function}
	if o.member {
		parts[0] = "gwm"
	}
	for _, a := range o.args {
		parts = append(parts, a.String())
	}
	return strings.Join(parts, " ")
}

// declarations tell CEL the operand types and the results, all meanings of a function at once: CEL copies a function
// for every declaration that is added to it.
func declarations(ops []operation) []cel.EnvOption {
	overloads := map[string][]cel.FunctionOpt{}
	var order []string
	for _, o := range ops {
		if o.replaces != "" {
			continue // CEL has it declared
		}
		if overloads[o.function] == nil {
			order = append(order, o.function)
		}
		declare := cel.Overload
		if o.member {
			declare = cel.MemberOverload
		}
		overloads[o.function] = append(overloads[o.function], declare(o.id(), o.args, o.result))
	}
	var opts []cel.EnvOption
	for _, f := range order {
		opts = append(opts, cel.Function(f, overloads[f]...))
	}
	return opts
}

// plan makes the executable node for a call.
func (o operation) plan(call interpreter.InterpretableCall) interpreter.InterpretableV2 {
	node := &operationNode{InterpretableCall: call, args: call.Args(), op: o}
	for _, arg := range node.args {
		if _, constant := arg.(interpreter.InterpretableConst); !constant {
			return node
		}
	}
	if v := node.run(nil); !types.IsError(v) { // A(1.5) is made once and not at every evaluation
		return interpreter.NewConstValue(call.ID(), v)
	}
	return node
}

// operationNode runs an operation.
type operationNode struct {
	interpreter.InterpretableCall
	args []interpreter.InterpretableV2
	op   operation
}

// Exec evaluates the operands from left to right and applies the operation; the first error is the result.
func (n *operationNode) Exec(frame *interpreter.ExecutionFrame) ref.Val {
	return types.LabelErrNode(n.ID(), n.run(frame))
}

// Eval is Exec for callers that have no frame.
func (n *operationNode) Eval(vars interpreter.Activation) ref.Val {
	return n.Exec(interpreter.AsFrame(vars))
}

func (n *operationNode) run(frame *interpreter.ExecutionFrame) ref.Val {
	switch {
	case n.op.binary != nil:
		x := n.args[0].Exec(frame)
		if types.IsUnknownOrError(x) {
			return x
		}
		y := n.args[1].Exec(frame)
		if types.IsUnknownOrError(y) {
			return y
		}
		return n.op.binary(x, y)
	case n.op.unary != nil:
		x := n.args[0].Exec(frame)
		if types.IsUnknownOrError(x) {
			return x
		}
		return n.op.unary(x)
	}
	args := make([]ref.Val, len(n.args))
	for i, arg := range n.args {
		if args[i] = arg.Exec(frame); types.IsUnknownOrError(args[i]) {
			return args[i]
		}
	}
	return n.op.apply(args)
}
