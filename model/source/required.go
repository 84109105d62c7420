package source

import (
	"reflect"
	"slices"
	"strings"
)

// Missing returns the required entries that a value lacks: fields with the tag
// `jsonschema:"required"` that are zero, anywhere in v, by their paths. It is
// for values that were built in Go; [File.Decode] checks what it reads itself,
// and more exactly, because it sees whether a zero was written.
func Missing(v any) Problems {
	value := reflect.ValueOf(v)
	if !value.IsValid() {
		return Problems{{Text: "there is no value: wanted a struct, a map or a slice"}}
	}
	plan, err := planner{}.of(value.Type())
	if err != nil {
		return Problems{{Text: err.Error()}}
	}
	var s requiredSearch
	s.value(plan, value)
	return s.found.Sorted()
}

func missingText(f *field) string { return "required, but missing: wanted " + f.plan.wanted() }

type requiredSearch struct {
	path  trail
	found Problems
	above []uintptr // pointers on the way, to leave a circle
}

func (s *requiredSearch) value(p *plan, v reflect.Value) {
	switch p.shape {
	case pointer:
		if v.IsNil() || slices.Contains(s.above, v.Pointer()) {
			return
		}
		s.above = append(s.above, v.Pointer())
		s.value(p.elem, v.Elem())
		s.above = s.above[:len(s.above)-1]
	case slice:
		for i := range v.Len() {
			s.step(step{index: i}, p.elem, v.Index(i))
		}
	case table:
		keys := v.MapKeys()
		slices.SortFunc(keys, func(a, b reflect.Value) int { return strings.Compare(a.String(), b.String()) })
		for _, key := range keys {
			s.step(step{key: key.String(), named: true}, p.elem, v.MapIndex(key))
		}
	case structure:
		for i := range p.fields {
			f := &p.fields[i]
			s.field(f, v.FieldByIndex(f.index))
		}
	}
}

func (s *requiredSearch) field(f *field, v reflect.Value) {
	at := step{key: f.name, named: true}
	if f.required && (v.IsZero() && !f.zeroStands || isEmptyText(f.plan, v)) {
		s.found = append(s.found, Problem{Path: append(s.path, at).String(), Text: missingText(f)})
		return
	}
	s.step(at, f.plan, v)
}

func (s *requiredSearch) step(at step, p *plan, v reflect.Value) {
	s.path = append(s.path, at)
	s.value(p, v)
	s.path = s.path[:len(s.path)-1]
}
