package rules

import (
	"errors"

	"github.com/google/cel-go/cel"
	"github.com/google/cel-go/common/types"
	"github.com/google/cel-go/common/types/ref"
	"github.com/google/cel-go/interpreter"

	"github.com/guardwright/guardwright/model/source"
)

// evalError is an evaluation that gave no value.
type evalError struct {
	cause error
	// id is the node at which it happened; 0 when not known.
	id int64
}

func (e *evalError) Error() string { return e.cause.Error() }
func (e *evalError) Unwrap() error { return e.cause }

// eval evaluates the expression.
func (e *expression) eval(a *activation) (ref.Val, error) { return run(e.program, a) }

// run evaluates a program. It turns whatever stops it into an error; a panic in a function of ours is one as well,
// because cel-go recovers it.
func run(p cel.Program, a *activation) (ref.Val, error) {
	v, _, err := p.Eval(a)
	if err == nil {
		return v, nil
	}
	if a.meter != nil && a.meter.stopped != nil {
		return nil, &evalError{cause: a.meter.stopped}
	}
	var cancelled interpreter.EvalCancelledError
	if errors.As(err, &cancelled) {
		return nil, &evalError{cause: errSteps{}}
	}
	var celErr *types.Err
	if errors.As(err, &celErr) {
		cause := celErr.Unwrap()
		for {
			inner, ok := cause.(*types.Err)
			if !ok {
				break
			}
			celErr, cause = inner, inner.Unwrap()
		}
		return nil, &evalError{cause: cause, id: celErr.NodeID()}
	}
	return nil, &evalError{cause: err}
}

// test evaluates a condition.
func (e *expression) test(a *activation) (bool, error) {
	v, err := e.eval(a)
	if err != nil {
		return false, err
	}
	b, ok := v.(types.Bool)
	if !ok {
		return false, &evalError{cause: errors.New("the condition is not true or false")}
	}
	return bool(b), nil
}

// absence words what is absent: a field of an object with a place, or, for a part of a result, the rule's own words.
func (e *expression) absence(err error, absent *absentError) string {
	var failed *evalError
	if absent.object == nil || absent.object.origin().Path != "" || !errors.As(err, &failed) {
		return absent.Error()
	}
	for _, x := range selects(e.ast.Expr()) {
		if x.ID() == failed.id && x.AsSelect().FieldName() == absent.field {
			if text, err := cel.ExprToString(x, e.ast.SourceInfo()); err == nil {
				return absent.in(text)
			}
		}
	}
	return absent.Error()
}

// place is where in the rule file an evaluation failed.
func (e *expression) place(err error) source.Position {
	var failed *evalError
	if errors.As(err, &failed) && failed.id != 0 {
		at := e.ast.SourceInfo().GetStartLocation(failed.id)
		if at.Line() >= 1 {
			return e.source.at(at.Line(), at.Column())
		}
	}
	return e.source.at(1, 0)
}
