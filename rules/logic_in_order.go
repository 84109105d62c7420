package rules

import (
	"github.com/google/cel-go/common/ast"
	"github.com/google/cel-go/common/types"

	"github.com/guardwright/guardwright/calc/logic"
	"github.com/guardwright/guardwright/model"
)

// inOrderWord is a word of every device that can ask for a stop: true in the cycles in which it does not.
const inOrderWord = "in_order"

// inOrder translates the word, or has() of it; ok is false where it is a signal of the device's own, or where there is none.
func (t *translator) inOrder(e ast.Expr, o *objectValue) (x symbol, ok bool, err error) {
	d, isDevice := o.subject.(*model.Device)
	if !isDevice || e.AsSelect().FieldName() != inOrderWord {
		return nil, false, nil
	}
	states := d.InOrder()
	if len(states) == 0 {
		return nil, false, nil
	}
	if e.AsSelect().IsTestOnly() {
		return known{types.True}, true, nil
	}
	var parts []logic.Bool
	for _, state := range states {
		signal, err := t.signals.of(t, e, o, state.Signal)
		if err != nil {
			return nil, false, err
		}
		b, isTruth := t.truthOf(signal)
		if !isTruth {
			return nil, false, problemAt(e, "%s.%s is not true or false", o.text(), state.Signal)
		}
		if !state.Value {
			b = t.sys.Not(b)
		}
		parts = append(parts, b)
	}
	return truthSymbol{t.sys.And(parts...)}, true, nil
}
