package model

import (
	"cmp"
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"github.com/guardwright/guardwright/model/source"
)

// checkBounds checks the bounds that the struct tags state for the JSON Schema, so that the loader and the schema judge
// alike: minimum, maximum and exclusiveMinimum of numbers, maxItems of lists. A zero that stands for absent passes.
func checkBounds(v any, at func(string) source.Position) source.Problems {
	b := bounds{at: at, plans: map[reflect.Type]plan{}}
	b.walk(nil, reflect.ValueOf(v))
	return b.problems
}

type bounds struct {
	at       func(string) source.Position
	plans    map[reflect.Type]plan
	problems source.Problems
}

// plan is what there is to check in values of a type.
type plan struct {
	fields []boundField
	any    bool // there is a bound somewhere below
}

type boundField struct {
	index  int
	name   string // "" for an inline struct
	bounds []bound
}

type bound struct {
	word  string
	limit float64
	text  string
}

// planOf reads the tags of a type, once in a run.
func (b *bounds) planOf(t reflect.Type) plan {
	if p, ok := b.plans[t]; ok {
		return p
	}
	var p plan
	switch t.Kind() {
	case reflect.Pointer, reflect.Slice, reflect.Map:
		p.any = b.planOf(t.Elem()).any
	case reflect.Struct:
		for i := range t.NumField() {
			f := t.Field(i)
			if !f.IsExported() {
				continue
			}
			name, _, _ := strings.Cut(f.Tag.Get("yaml"), ",")
			field := boundField{index: i, name: name, bounds: boundsOf(f.Tag.Get("jsonschema"))}
			if len(field.bounds) > 0 || b.planOf(f.Type).any {
				p.fields = append(p.fields, field)
				p.any = true
			}
		}
	}
	b.plans[t] = p
	return p
}

func boundsOf(tag string) []bound {
	var out []bound
	for part := range strings.SplitSeq(tag, ",") {
		word, text, _ := strings.Cut(part, "=")
		if limit, err := strconv.ParseFloat(text, 64); err == nil {
			out = append(out, bound{word, limit, text})
		}
	}
	return out
}

// place is a path that is only written out when there is a problem.
type place struct {
	above *place
	name  string
}

func (p *place) String() string {
	if p == nil {
		return ""
	}
	return source.Join(p.above.String(), p.name)
}

func (b *bounds) walk(at *place, v reflect.Value) {
	p := b.planOf(v.Type())
	if !p.any {
		return
	}
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			b.walk(at, v.Elem())
		}
	case reflect.Slice:
		for i := range v.Len() {
			b.walk(&place{at, strconv.Itoa(i)}, v.Index(i))
		}
	case reflect.Map:
		keys := v.MapKeys()
		slices.SortFunc(keys, func(x, y reflect.Value) int { return cmp.Compare(x.String(), y.String()) })
		for _, k := range keys {
			b.walk(&place{at, k.String()}, v.MapIndex(k))
		}
	case reflect.Struct:
		for _, f := range p.fields {
			inner := at
			if f.name != "" {
				inner = &place{at, f.name}
			}
			b.check(inner, f.bounds, v.Field(f.index))
			b.walk(inner, v.Field(f.index))
		}
	}
}

func (b *bounds) check(at *place, bounds []bound, v reflect.Value) {
	if v.IsZero() {
		return
	}
	if v.Kind() == reflect.Pointer {
		v = v.Elem()
	}
	for _, bound := range bounds {
		switch {
		case bound.word == "minimum" && number(v) < bound.limit:
			b.report(at, "found %v, wanted at least %s", v, bound.text)
		case bound.word == "maximum" && number(v) > bound.limit:
			b.report(at, "found %v, wanted at most %s", v, bound.text)
		case bound.word == "exclusiveMinimum" && !(number(v) > bound.limit):
			b.report(at, "found %v, wanted more than %s", v, bound.text)
		case bound.word == "maxItems" && float64(v.Len()) > bound.limit:
			b.report(at, "found %d entries, wanted at most %s", v.Len(), bound.text)
		}
	}
}

func (b *bounds) report(at *place, format string, args ...any) {
	path := at.String()
	b.problems = append(b.problems, source.Problem{Position: b.at(path), Path: path, Text: fmt.Sprintf(format, args...)})
}

func number(v reflect.Value) float64 {
	if v.CanInt() {
		return float64(v.Int())
	}
	return v.Float()
}
