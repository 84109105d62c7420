package rules

import (
	"fmt"
	"reflect"

	"github.com/google/cel-go/common/types"
	"github.com/google/cel-go/common/types/ref"

	"github.com/guardwright/guardwright/model"
)

// objectValue is one object of the machine in the rule language. It holds the values of those fields that the rule sets
// at hand use, made once before the evaluation.
type objectValue struct {
	kind    *kind
	subject any
	values  []ref.Val // by kind.slots
}

var _ ref.Val = (*objectValue)(nil)

// ConvertToNative is refused: nothing outside of the language looks into an object.
func (o *objectValue) ConvertToNative(t reflect.Type) (any, error) {
	return nil, fmt.Errorf("a %s cannot become a %s", o.kind.name, t)
}

// ConvertToType knows no conversion but to itself and to text.
func (o *objectValue) ConvertToType(t ref.Type) ref.Val {
	switch t {
	case o.kind.cel:
		return o
	case types.StringType:
		return types.String(o.text())
	case types.TypeType:
		return o.kind.cel
	}
	return types.NewErr("a %s cannot become a %s", o.kind.name, t.TypeName())
}

// Equal is true for the same object.
func (o *objectValue) Equal(other ref.Val) ref.Val { return types.Bool(ref.Val(o) == other) }

// Type returns the kind.
func (o *objectValue) Type() ref.Type { return o.kind.cel }

// Value returns the object itself.
func (o *objectValue) Value() any { return o }

// text is the object in a message.
func (o *objectValue) text() string {
	if o.kind.show == nil {
		return "a " + o.kind.name
	}
	return o.kind.show(o.subject)
}

// origin is the place of the object, as far as it has one.
func (o *objectValue) origin() model.Origin {
	if o.kind.origin == nil {
		return model.Origin{}
	}
	return o.kind.origin(o.subject)
}

// field reads a field; an absent one is an *absentError.
func (o *objectValue) field(i int) (ref.Val, error) {
	switch v := o.value(i).(type) {
	case nil:
		return nil, &absentError{object: o, field: o.kind.fields[i].name, why: "is not stated"}
	case absence:
		return nil, &absentError{object: o, field: o.kind.fields[i].name, why: string(v)}
	default:
		return v, nil
	}
}

// has tells whether a field is there.
func (o *objectValue) has(i int) bool {
	switch o.value(i).(type) {
	case nil, absence:
		return false
	}
	return true
}

func (o *objectValue) value(i int) ref.Val { return o.values[o.kind.slots[i]] }

// absence stands in a field that is not there and says why. It never reaches an expression.
type absence string

func (a absence) ConvertToNative(reflect.Type) (any, error) { return nil, fmt.Errorf("%s", string(a)) }
func (a absence) ConvertToType(ref.Type) ref.Val            { return types.NewErr("%s", string(a)) }
func (a absence) Equal(ref.Val) ref.Val                     { return types.False }
func (a absence) Type() ref.Type                            { return types.ErrType }
func (a absence) Value() any                                { return a }

// absentError says that an expression asked for a field that is not there.
type absentError struct {
	object *objectValue
	field  string
	why    string
}

// Error names the field and the object.
func (e *absentError) Error() string {
	if e.object == nil {
		return e.why
	}
	return e.in(e.object.kind.name + "." + e.field)
}

// in is Error with the words of the rule for the field.
func (e *absentError) in(where string) string {
	if e.object == nil {
		return e.why
	}
	if at := e.object.origin().Path; at != "" {
		return fmt.Sprintf("%s of %s %s", where, at, e.why)
	}
	return where + " " + e.why
}
