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
	b := bounds{at: at}
	b.walk("", reflect.ValueOf(v))
	return b.problems
}

type bounds struct {
	at       func(string) source.Position
	problems source.Problems
}

func (b *bounds) walk(path string, v reflect.Value) {
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			b.walk(path, v.Elem())
		}
	case reflect.Slice:
		for i := range v.Len() {
			b.walk(index(path, i), v.Index(i))
		}
	case reflect.Map:
		keys := v.MapKeys()
		slices.SortFunc(keys, func(x, y reflect.Value) int { return cmp.Compare(x.String(), y.String()) })
		for _, k := range keys {
			b.walk(source.Join(path, k.String()), v.MapIndex(k))
		}
	case reflect.Struct:
		for i := range v.NumField() {
			f := v.Type().Field(i)
			if !f.IsExported() {
				continue
			}
			name, _, _ := strings.Cut(f.Tag.Get("yaml"), ",")
			inner := path
			if name != "" {
				inner = source.Join(path, name)
				b.field(inner, f.Tag.Get("jsonschema"), v.Field(i))
			}
			b.walk(inner, v.Field(i))
		}
	}
}

func (b *bounds) field(path, tag string, v reflect.Value) {
	present := !v.IsZero()
	if v.Kind() == reflect.Pointer {
		v = v.Elem()
	}
	if !present || tag == "" {
		return
	}
	for part := range strings.SplitSeq(tag, ",") {
		key, text, _ := strings.Cut(part, "=")
		bound, err := strconv.ParseFloat(text, 64)
		if err != nil {
			continue
		}
		switch {
		case key == "minimum" && number(v) < bound:
			b.report(path, "found %v, wanted at least %s", v, text)
		case key == "maximum" && number(v) > bound:
			b.report(path, "found %v, wanted at most %s", v, text)
		case key == "exclusiveMinimum" && !(number(v) > bound):
			b.report(path, "found %v, wanted more than %s", v, text)
		case key == "maxItems" && float64(v.Len()) > bound:
			b.report(path, "found %d entries, wanted at most %s", v.Len(), text)
		}
	}
}

func (b *bounds) report(path, format string, args ...any) {
	b.problems = append(b.problems, source.Problem{Position: b.at(path), Path: path, Text: fmt.Sprintf(format, args...)})
}

func number(v reflect.Value) float64 {
	if v.CanInt() {
		return float64(v.Int())
	}
	if v.CanFloat() {
		return v.Float()
	}
	return 0
}
