package rules

import (
	"math"
	"slices"

	"github.com/google/cel-go/cel"
	"github.com/google/cel-go/common/ast"
	"github.com/google/cel-go/common/operators"
	"github.com/google/cel-go/common/types"
)

// narrowed is what a condition says of a number in the branch that it leads to: n < 5 ? n + 1 : 5 stays within 5. It holds for
// the present cycle only, so that it says nothing of what a temporal function looks at, nor of the variables of a loop.
type narrowed struct {
	text   string // the number, as it is written
	lo, hi int64
	// not is a value that it does not have, where isNot says so.
	not   int64
	isNot bool
}

// without translates with nothing narrowed.
func (t *translator) without() (restore func()) {
	before := t.narrowed
	t.narrowed = nil
	return func() { t.narrowed = before }
}

// within translates a branch in which a condition is known to hold, or not to.
func (t *translator) within(cond ast.Expr, holds bool, branch ast.Expr) (symbol, error) {
	before := t.narrowed
	defer func() { t.narrowed = before }()
	t.narrowed = append(slices.Clone(before), t.learn(cond, holds)...)
	return t.part(branch)
}

// learn collects what a condition says of single numbers.
func (t *translator) learn(cond ast.Expr, holds bool) []narrowed {
	if cond.Kind() != ast.CallKind {
		return nil
	}
	name, args := cond.AsCall().FunctionName(), cond.AsCall().Args()
	switch {
	case name == operators.LogicalNot:
		return t.learn(args[0], !holds)
	case name == operators.LogicalAnd && holds, name == operators.LogicalOr && !holds:
		return append(t.learn(args[0], holds), t.learn(args[1], holds)...)
	case len(args) != 2 || !slices.Contains([]string{operators.Less, operators.LessEquals, operators.Greater, operators.GreaterEquals, operators.Equals, operators.NotEquals}, name):
		return nil
	}
	number, constant := args[0], args[1]
	if t.fixed(number) {
		number, constant, name = constant, number, mirrored(name)
	}
	if !t.fixed(constant) || t.fixed(number) {
		return nil
	}
	x, err := t.part(constant)
	k, ok := x.(known)
	if err != nil || !ok {
		return nil
	}
	limit, ok := k.Val.(types.Int)
	text, err := cel.ExprToString(number, t.e.ast.SourceInfo())
	if !ok || err != nil || limit > greatestNumber || limit < -greatestNumber {
		return nil
	}
	n := narrowed{text: text, lo: math.MinInt64, hi: math.MaxInt64}
	switch c := int64(limit); {
	case name == operators.Less && holds, name == operators.GreaterEquals && !holds:
		n.hi = c - 1
	case name == operators.LessEquals && holds, name == operators.Greater && !holds:
		n.hi = c
	case name == operators.Greater && holds, name == operators.LessEquals && !holds:
		n.lo = c + 1
	case name == operators.GreaterEquals && holds, name == operators.Less && !holds:
		n.lo = c
	case (name == operators.Equals) == holds:
		n.lo, n.hi = c, c
	default:
		n.not, n.isNot = c, true
	}
	return []narrowed{n}
}

// mirrored is the comparison with its sides exchanged.
func mirrored(name string) string {
	switch name {
	case operators.Less:
		return operators.Greater
	case operators.LessEquals:
		return operators.GreaterEquals
	case operators.Greater:
		return operators.Less
	case operators.GreaterEquals:
		return operators.LessEquals
	}
	return name
}

// narrow applies what is known of a number: its value stays, where the condition holds, and its range becomes smaller.
func (t *translator) narrow(e ast.Expr, x symbol) symbol {
	n, ok := x.(numberSymbol)
	if !ok {
		return x
	}
	text, err := cel.ExprToString(e, t.e.ast.SourceInfo())
	if err != nil {
		return x
	}
	for _, k := range t.narrowed {
		if k.text != text {
			continue
		}
		lo, hi := n.Range()
		switch {
		case k.isNot && k.not == lo:
			lo++
		case k.isNot && k.not == hi:
			hi--
		}
		if lo, hi = max(lo, k.lo), min(hi, k.hi); lo <= hi { // else the branch is never taken
			n = numberSymbol{t.sys.Clamp(n.Int, lo, hi)}
		}
	}
	return n
}
