package rules

import (
	"fmt"

	"github.com/google/cel-go/cel"
	"github.com/google/cel-go/common/ast"
	"github.com/google/cel-go/interpreter"
)

// plan makes a checked expression executable: CEL's own plan, with our operations in the place of calls and with
// meters at the loops.
func (l *language) plan(e *cel.Env, a *ast.AST, opts ...cel.ProgramOption) (cel.Program, error) {
	c := chargesOf(a)
	decorate := func(i interpreter.InterpretableV2) (interpreter.InterpretableV2, error) {
		if call, ok := i.(interpreter.InterpretableCall); ok {
			if op, ok := l.operations[call.OverloadID()]; ok {
				i = op.plan(call)
			}
		}
		if _, constant := i.(interpreter.InterpretableConst); constant {
			return i, nil
		}
		if steps, sized := c.steps[i.ID()], c.sized[i.ID()]; steps+sized > 0 {
			return &meteredNode{i, steps, sized}, nil
		}
		return i, nil
	}
	p, err := e.PlanProgram(a, append(opts, cel.CustomDecoratorV2(decorate))...)
	if err != nil {
		return nil, fmt.Errorf("planning an expression: %w", err)
	}
	return p, nil
}

// activation hands the object of a rule, the machine and the meter to an expression.
type activation struct {
	name    string
	object  *objectValue
	machine *objectValue
	meter   *meter
	// bound are the variables of loops that are being explained; innermost first.
	bound *binding
}

type binding struct {
	name  string
	value any
	outer *binding
}

// ResolveName finds a variable.
func (a *activation) ResolveName(name string) (any, bool) {
	for b := a.bound; b != nil; b = b.outer {
		if b.name == name {
			return b.value, true
		}
	}
	switch name {
	case a.name:
		return a.object, a.object != nil
	case machineName:
		return a.machine, a.machine != nil
	case meterName:
		return a.meter, a.meter != nil
	}
	return nil, false
}

// Parent is nil: there is no activation behind this one.
func (a *activation) Parent() interpreter.Activation { return nil }

// machineName is the variable that every rule has beside its object.
const machineName = "machine"
