package rules

import (
	"fmt"
	"reflect"
	"strings"

	"github.com/google/cel-go/cel"
	"github.com/google/cel-go/common/env"
	"github.com/google/cel-go/common/operators"
	"github.com/google/cel-go/common/overloads"
	"github.com/google/cel-go/common/types"
	"github.com/google/cel-go/common/types/ref"
)

// language is what rules may say: quantities, operators, functions and kinds of objects.
type language struct {
	quantities *quantityTypes
	functions  []function
	operations map[string]operation // by id
	kinds      map[string]*kind
	order      []*kind
}

func newLanguage() *language {
	q := newQuantityTypes()
	l := &language{quantities: q, functions: functionTable(q), operations: map[string]operation{}, kinds: map[string]*kind{}}
	for _, o := range operatorTable(q) {
		l.operations[o.id()] = o
	}
	for _, f := range l.functions {
		for _, o := range f.operations {
			l.operations[o.id()] = o
		}
	}
	l.order = allKinds()
	for _, k := range l.order {
		k.cel = types.NewObjectType(typeMark + k.name)
		k.index = map[string]int{}
		l.kinds[k.name] = k
	}
	for _, k := range l.order {
		for i := range k.fields {
			k.fields[i].cel = l.resolve(k.fields[i].typ)
			k.index[k.fields[i].name] = i
		}
	}
	return l
}

// typeMark stands before the names of our types in CEL, so that no name in a rule can mean a type: device is then
// unknown in a rule for ports, and not a value of its own.
const typeMark = "@"

// kindOf finds the kind for the name of a CEL type.
func (l *language) kindOf(typeName string) (*kind, bool) {
	name, marked := strings.CutPrefix(typeName, typeMark)
	k, ok := l.kinds[name]
	return k, ok && marked
}

// resolve finds the CEL type of a field.
func (l *language) resolve(t fieldType) *types.Type {
	one := t.basic
	switch {
	case t.quantity != nil:
		one = l.quantities.of(t.quantity).cel
	case t.kind != "":
		one = l.kinds[t.kind].cel
	}
	if t.list {
		return types.NewListType(one)
	}
	return one
}

// environment makes the CEL environment of the language, without variables.
func (l *language) environment() (*cel.Env, error) {
	opts := []cel.EnvOption{
		cel.StdLib(cel.StdLibSubset(standardSubset())),
		cel.Macros(hasMacro()),
		cel.EnableMacroCallTracking(),
		cel.CrossTypeNumericComparisons(true),
		cel.ParserRecursionLimit(60),
		cel.ParserExpressionSizeLimit(maxExpression),
		cel.ASTValidators(cel.ValidateRegexLiterals(), cel.ValidateComprehensionNestingLimit(4)),
		func(e *cel.Env) (*cel.Env, error) { return cel.CustomTypeAdapter(adapter{e.CELTypeAdapter()})(e) },
		func(e *cel.Env) (*cel.Env, error) {
			return cel.CustomTypeProvider(provider{Provider: e.CELTypeProvider(), language: l})(e)
		},
	}
	opts = append(opts, declarations(operatorTable(l.quantities))...)
	for _, f := range l.functions {
		opts = append(opts, declarations(f.operations)...)
	}
	e, err := cel.NewCustomEnv(opts...)
	if err != nil {
		return nil, fmt.Errorf("making the rule language: %w", err)
	}
	return e, nil
}

// maxExpression bounds one expression, in code points.
const maxExpression = 20_000

// standardSubset leaves out of CEL what has no use in a rule or weakens its types: dyn and type, CEL's own times
// and bytes, unsigned numbers, and the division of whole numbers, which drops the remainder.
func standardSubset() *env.LibrarySubset {
	names := []string{
		overloads.TypeConvertType, overloads.TypeConvertBytes, overloads.TypeConvertDyn, overloads.TypeConvertDuration,
		overloads.TypeConvertTimestamp, overloads.TypeConvertUint, overloads.TypeConvertBool,
		overloads.TimeGetFullYear, overloads.TimeGetMonth, overloads.TimeGetDayOfYear, overloads.TimeGetDayOfMonth,
		overloads.TimeGetDate, overloads.TimeGetDayOfWeek, overloads.TimeGetHours, overloads.TimeGetMinutes,
		overloads.TimeGetSeconds, overloads.TimeGetMilliseconds,
	}
	subset := &env.LibrarySubset{ExcludeMacros: []string{operators.Has}}
	for _, n := range names {
		subset.ExcludeFunctions = append(subset.ExcludeFunctions, &env.Function{Name: n})
	}
	subset.ExcludeFunctions = append(subset.ExcludeFunctions, &env.Function{
		Name: operators.Divide, Overloads: []*env.Overload{{ID: overloads.DivideInt64}, {ID: overloads.DivideUint64}},
	})
	return subset
}

// adapter hands our values through without asking for their Go type.
type adapter struct{ types.Adapter }

// NativeToValue makes a CEL value of a Go value.
func (a adapter) NativeToValue(v any) ref.Val {
	if rv, ok := v.(ref.Val); ok {
		return rv
	}
	return a.Adapter.NativeToValue(v)
}

// provider tells CEL about the kinds and quantities.
type provider struct {
	types.Provider
	language *language
	// missed notes fields that were asked for in vain; nil when nobody wants to know.
	missed func(kind, field string)
}

// FindIdent knows no names of ours: the kinds are no values.
func (p provider) FindIdent(string) (ref.Val, bool) { return nil, false }

// FindStructType finds a kind or quantity.
func (p provider) FindStructType(name string) (*types.Type, bool) {
	if k, ok := p.language.kindOf(name); ok {
		return types.NewTypeTypeWithParam(k.cel), true
	}
	for _, q := range p.language.quantities.all() {
		if q.cel.TypeName() == name {
			return types.NewTypeTypeWithParam(q.cel), true
		}
	}
	return nil, false
}

// FindStructFieldNames lists the fields of a kind.
func (p provider) FindStructFieldNames(name string) ([]string, bool) {
	k, ok := p.language.kindOf(name)
	if !ok {
		return nil, false
	}
	return k.fieldNames(), true
}

func (k *kind) fieldNames() []string {
	names := make([]string, len(k.fields))
	for i, f := range k.fields {
		names[i] = f.name
	}
	return names
}

// FindStructFieldType finds a field of a kind.
func (p provider) FindStructFieldType(name, fieldName string) (*types.FieldType, bool) {
	k, ok := p.language.kindOf(name)
	if !ok {
		return nil, false
	}
	i, ok := k.index[fieldName]
	if !ok {
		if p.missed != nil {
			p.missed(k.name, fieldName)
		}
		return nil, false
	}
	return &types.FieldType{
		Type:  k.fields[i].cel,
		IsSet: func(o any) bool { v, ok := o.(*objectValue); return ok && v.has(i) },
		GetFrom: func(o any) (any, error) {
			v, ok := o.(*objectValue)
			if !ok {
				return nil, fmt.Errorf("a %s has no field %s", reflect.TypeOf(o), fieldName)
			}
			return v.field(i)
		},
	}, true
}

// NewValue refuses to make objects: the machine is described in its file.
func (p provider) NewValue(name string, _ map[string]ref.Val) ref.Val {
	return types.NewErr("a rule cannot make a %s", name)
}
