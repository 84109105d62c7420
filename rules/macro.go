package rules

import (
	"github.com/google/cel-go/cel"
	"github.com/google/cel-go/common"
	"github.com/google/cel-go/common/ast"
	"github.com/google/cel-go/common/operators"
)

// hasMacro makes has(a.b.c) true when a.b and a.b.c are there. CEL's own has asks for the last part only and is an
// error when one before it is absent.
func hasMacro() cel.Macro {
	return cel.GlobalMacro(operators.Has, 1, func(h cel.MacroExprFactory, _ ast.Expr, args []ast.Expr) (ast.Expr, *common.Error) {
		if args[0].Kind() != ast.SelectKind {
			return nil, h.NewError(args[0].ID(), "has() wants a field, as in has(port.device)")
		}
		return presence(h, args[0].AsSelect()), nil
	})
}

func presence(h cel.MacroExprFactory, s ast.SelectExpr) ast.Expr {
	test := h.NewPresenceTest(s.Operand(), s.FieldName())
	if s.Operand().Kind() != ast.SelectKind || s.Operand().AsSelect().IsTestOnly() {
		return test
	}
	return h.NewCall(operators.LogicalAnd, presence(h, h.Copy(s.Operand()).AsSelect()), test)
}
