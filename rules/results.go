package rules

import (
	"reflect"

	"github.com/google/cel-go/common/types"
	"github.com/google/cel-go/common/types/ref"

	"github.com/guardwright/guardwright/model"
)

// calculation is one of the calculations whose results rules see. The zero value is that of the 24 V supply.
type calculation uint8

const (
	powerCalculation calculation = iota
	networkCalculation
	timingCalculation
	distanceCalculation
)

// missing says what was not computed, and why; false when there are results.
func (w *world) missing(c calculation) (string, bool) {
	switch c {
	case networkCalculation:
		return "the network is not computed" + because(w.results.NetworkMissing), w.results.Network == nil
	case timingCalculation:
		return "the reaction times are not computed" + because(w.results.TimingMissing), w.results.Timing == nil
	case distanceCalculation:
		return "the separation distances are not computed" + because(w.results.DistanceMissing), w.results.Distance == nil
	}
	return "the 24 V supply is not computed" + because(w.results.PowerMissing), w.results.Power == nil
}

// resultOf makes fields of a kind of the description whose objects have a result: T is the object, R its result.
type resultOf[T comparable, R any] struct {
	from calculation
	find func(w *world, object T) *R
}

func (x resultOf[T, R]) field(name, about string, typ fieldType, get func(w *world, r *R) (ref.Val, string)) field {
	return result(name, about, typ, func(w *world, o T) (ref.Val, string) {
		if why, missing := w.missing(x.from); missing {
			return nil, "is not there: " + why
		}
		if r := x.find(w, o); r != nil {
			return get(w, r)
		}
		return nil, "is not computed for it"
	})
}

// check is a check against a limit. Pick returns a pointer into the result.
func (x resultOf[T, R]) check(name, quantity, about string, pick func(*R) any) field {
	return x.field(name, about, fieldType{kind: quantity + "_check"}, func(w *world, r *R) (ref.Val, string) {
		return w.object(quantity+"_check", pick(r)), ""
	})
}

func (x resultOf[T, R]) truth(name, about string, pick func(*R) bool) field {
	return x.field(name, about, fieldType{basic: types.BoolType}, func(_ *world, r *R) (ref.Val, string) { return types.Bool(pick(r)), "" })
}

// text is absent when it is empty.
func (x resultOf[T, R]) text(name, about string, pick func(*R) string) field {
	return x.field(name, about, fieldType{basic: types.StringType}, func(_ *world, r *R) (ref.Val, string) {
		if s := pick(r); s != "" {
			return types.String(s), ""
		}
		return nil, "is not there"
	})
}

func (x resultOf[T, R]) texts(name, about string, pick func(*R) []string) field {
	return x.field(name, about, fieldType{basic: types.StringType, list: true}, func(_ *world, r *R) (ref.Val, string) {
		return textList(pick(r)), ""
	})
}

// one is an object; a nil pointer is absent, with the reason that the pick gives.
func (x resultOf[T, R]) one(name, kind, about string, pick func(*R) (object any, why string)) field {
	return x.field(name, about, fieldType{kind: kind}, func(w *world, r *R) (ref.Val, string) {
		o, why := pick(r)
		if o == nil || reflect.ValueOf(o).IsNil() {
			return nil, why
		}
		return w.object(kind, o), ""
	})
}

func (x resultOf[T, R]) many(name, kind, about string, pick func(*R) []any) field {
	return x.field(name, about, fieldType{kind: kind, list: true}, func(w *world, r *R) (ref.Val, string) {
		return subjectList(w, kind, pick(r)), ""
	})
}

// time is a duration that may not be known.
func (x resultOf[T, R]) time(name, about string, pick func(*R) knownTime) field {
	return x.field(name, about, fieldType{quantity: reflect.TypeFor[model.Duration]()}, func(w *world, r *R) (ref.Val, string) {
		return pick(r).value(w)
	})
}

// knownTime is a time of any calculation.
type knownTime struct {
	known bool
	time  model.Duration
	why   string
}

func (t knownTime) value(w *world) (ref.Val, string) {
	if t.known {
		return quantityValue(w, t.time), ""
	}
	return nil, "is not known" + because(t.why)
}

// timeOf is a field of a kind of results: a duration that may not be known.
func timeOf[T any](name, about string, get func(T) knownTime) field {
	return result(name, about, fieldType{quantity: reflect.TypeFor[model.Duration]()}, func(w *world, o T) (ref.Val, string) {
		return get(o).value(w)
	})
}

// verdictField is a check in a kind of results. Get returns a pointer to it.
func verdictField[T any](name, quantity, about string, get func(T) any) field {
	kind := quantity + "_check"
	return field{name: name, about: about, typ: fieldType{kind: kind}, computed: true,
		get: func(w *world, s any) ref.Val { return w.object(kind, get(s.(T))) }}
}

// subjects is a list of objects in a kind of results.
func subjects[T any](name, kind, about string, get func(T) []any) field {
	return field{name: name, about: about, typ: fieldType{kind: kind, list: true}, computed: true,
		get: func(w *world, s any) ref.Val { return subjectList(w, kind, get(s.(T))) }}
}

func subjectList(w *world, kind string, list []any) ref.Val {
	out := make([]ref.Val, len(list))
	for i, v := range list {
		out[i] = w.object(kind, v)
	}
	return types.NewRefValList(types.DefaultTypeAdapter, out)
}

func textList(list []string) ref.Val {
	out := make([]ref.Val, len(list))
	for i, v := range list {
		out[i] = types.String(v)
	}
	return types.NewRefValList(types.DefaultTypeAdapter, out)
}

// anys are the elements of a list, each made by pick.
func anys[U, V any](list []U, pick func(U) V) []any {
	out := make([]any, len(list))
	for i, v := range list {
		out[i] = pick(v)
	}
	return out
}

func same[U any](u U) U { return u }

// resultKind starts a kind of objects that only the results of a calculation have.
func resultKind[T any](from calculation, name, about string, fields ...field) *kind {
	k := kindOf[T](resultsGroup, name, about, computed(fields...)...)
	k.from = from
	return k
}

// addResults adds the results of the network, the reaction times and the distances to the kinds of the description.
func addResults(kinds []*kind) []*kind {
	more := map[string][]field{}
	for _, add := range []map[string][]field{networkResults(), timingResults(), distanceResults()} {
		for name, fields := range add {
			more[name] = append(more[name], fields...)
		}
	}
	for _, k := range kinds {
		k.fields = append(k.fields, more[k.name]...)
	}
	return kinds
}
