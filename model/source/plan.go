package source

import (
	"encoding"
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"time"
)

// shape is how a Go type is decoded.
type shape uint8

const (
	anyText    shape = iota + 1 // a string
	truth                       // a bool
	number                      // a signed integer
	unsigned                    // an unsigned integer
	word                        // a named string with Values
	parsed                      // an encoding.TextUnmarshaler
	expression                  // an Expression
	pointer
	slice
	table // a map with string keys
	structure
)

// plan is what decoding needs to know of a Go type, found once.
type plan struct {
	shape  shape
	typ    reflect.Type
	values []string // of a word; of a table with words as keys
	elem   *plan    // of a pointer, a slice, a table
	fields []field  // of a structure
	byName map[string]int
	names  []string // of the fields, sorted
}

type field struct {
	name     string
	index    []int // for reflect.Value.FieldByIndex
	required bool
	// zeroIsAbsent is set where the zero value of the Go field stands for "not stated", so that a stated zero would be
	// lost without a word.
	zeroIsAbsent bool
	zeroStands   bool // the zero of the type is a value like any other
	plan         *plan
}

// enumeration is a named string whose words are closed.
type enumeration interface{ Values() []string }

var (
	unmarshalerType = reflect.TypeFor[encoding.TextUnmarshaler]()
	enumerationType = reflect.TypeFor[enumeration]()
	expressionType  = reflect.TypeFor[Expression]()
)

// planner makes the plans of one run. A type that contains itself is met again
// before its plan is complete, so plans are entered before they are filled.
type planner map[reflect.Type]*plan

// of returns an error for a type that can't be decoded into, which is a
// mistake in the program and not in a file.
func (ps planner) of(t reflect.Type) (*plan, error) {
	if p, ok := ps[t]; ok {
		return p, nil
	}
	p := &plan{typ: t}
	ps[t] = p
	return p, ps.fill(p)
}

func (ps planner) fill(p *plan) (err error) {
	t := p.typ
	switch {
	case t == reflect.TypeFor[time.Duration]():
		return notReadable(t) // an integer, but 5 of what?
	case t == expressionType:
		p.shape = expression
	case t.Kind() != reflect.Pointer && reflect.PointerTo(t).Implements(unmarshalerType):
		p.shape = parsed
	case t.Kind() == reflect.String && t.Implements(enumerationType):
		p.shape, p.values = word, wordsOf(t)
	case t.Kind() == reflect.String:
		p.shape = anyText
	case t.Kind() == reflect.Bool:
		p.shape = truth
	case t.Kind() >= reflect.Int && t.Kind() <= reflect.Int64:
		p.shape = number
	case t.Kind() >= reflect.Uint && t.Kind() <= reflect.Uint64:
		p.shape = unsigned
	case t.Kind() == reflect.Pointer:
		p.shape = pointer
		p.elem, err = ps.of(t.Elem())
	case t.Kind() == reflect.Slice:
		p.shape = slice
		p.elem, err = ps.of(t.Elem())
	case t.Kind() == reflect.Map && t.Key().Kind() == reflect.String:
		p.shape = table
		if t.Key().Implements(enumerationType) {
			p.values = wordsOf(t.Key())
		}
		p.elem, err = ps.of(t.Elem())
	case t.Kind() == reflect.Struct:
		p.shape, p.byName = structure, map[string]int{}
		err = ps.addFields(p, t, nil)
		slices.Sort(p.names)
	default:
		return notReadable(t)
	}
	return err
}

func notReadable(t reflect.Type) error {
	return fmt.Errorf("the Go type %s can't be read from a file: a type with UnmarshalText can", t)
}

func wordsOf(t reflect.Type) []string {
	return reflect.Zero(t).Interface().(enumeration).Values()
}

// addFields enters the fields of a struct, and those of the structs that are
// embedded in it as if they were its own.
func (ps planner) addFields(p *plan, t reflect.Type, index []int) error {
	for i := range t.NumField() {
		f := t.Field(i)
		name, options, _ := strings.Cut(f.Tag.Get("yaml"), ",")
		at := append(slices.Clone(index), i)
		inline := f.Type.Kind() == reflect.Struct &&
			(slices.Contains(strings.Split(options, ","), "inline") || f.Anonymous && name == "")
		switch {
		case name == "-":
			continue
		case inline:
			if err := ps.addFields(p, f.Type, at); err != nil {
				return err
			}
			continue
		case !f.IsExported():
			continue
		case name == "":
			name = strings.ToLower(f.Name)
		}
		if _, twice := p.byName[name]; twice {
			return fmt.Errorf("the Go type %s has two fields with the name %s", p.typ, name)
		}
		fieldPlan, err := ps.of(f.Type)
		if err != nil {
			return fmt.Errorf("field %s of %s: %w", f.Name, t, err)
		}
		p.byName[name] = len(p.fields)
		p.names = append(p.names, name)
		entry := field{name: name, index: at, required: isRequired(f.Tag), plan: fieldPlan}
		entry.zeroStands = zeroStands(f.Type)
		entry.zeroIsAbsent = !entry.zeroStands && zeroIsAbsent(fieldPlan.shape, options, f.Tag)
		p.fields = append(p.fields, entry)
	}
	return nil
}

func isRequired(tag reflect.StructTag) bool {
	return slices.Contains(strings.Split(tag.Get("jsonschema"), ","), "required")
}

// zeroCounts is implemented by types whose zero is a value like any other, such as a temperature of 0 °C.
type zeroCounts interface{ ZeroCounts() bool }

func zeroStands(t reflect.Type) bool {
	z, ok := reflect.Zero(t).Interface().(zeroCounts)
	return ok && t.Kind() != reflect.Pointer && z.ZeroCounts()
}

// zeroIsAbsent holds for texts and quantities that are required or may be left out (omitempty), and for such counts
// that start above 0: there nobody can tell a stated zero from nothing.
func zeroIsAbsent(s shape, options string, tag reflect.StructTag) bool {
	optional := slices.Contains(strings.Split(options, ","), "omitempty")
	switch s {
	case parsed, anyText, expression:
		return optional || isRequired(tag)
	case number, unsigned:
		return isRequired(tag) || optional && startsAboveZero(tag)
	}
	return false
}

func startsAboveZero(tag reflect.StructTag) bool {
	for part := range strings.SplitSeq(tag.Get("jsonschema"), ",") {
		if text, ok := strings.CutPrefix(part, "minimum="); ok {
			least, err := strconv.ParseFloat(text, 64)
			return err == nil && least > 0
		}
	}
	return false
}

// wanted says what serves where something of another shape was found.
func (p *plan) wanted() string {
	switch p.shape {
	case anyText:
		return "a text"
	case truth:
		return "true or false"
	case number, unsigned:
		return "a whole number"
	case word:
		return "one of " + listed(p.values)
	case parsed:
		return "one value (" + spaced(p.typ.Name()) + ")"
	case expression:
		return "an expression or a text"
	case pointer:
		return p.elem.wanted()
	case slice:
		return "a list"
	case table:
		return "a mapping (name: value)"
	}
	if len(p.names) == 0 {
		return "an empty mapping ({})"
	}
	return "a mapping with " + listed(p.names)
}
