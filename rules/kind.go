package rules

import (
	"reflect"
	"sync"

	"github.com/google/cel-go/common/types"
	"github.com/google/cel-go/common/types/ref"

	"github.com/guardwright/guardwright/model"
)

// kind describes one kind of object to rules: its fields, and where its objects are found. The tables in the files
// kinds_*.go are the one place where a field is described; the compiler, the evaluation and the documentation read them.
type kind struct {
	name  string
	about string
	// group heads the kind in the documentation.
	group string
	// all lists the machine's objects of the kind; nil when a rule cannot be for the kind.
	all func(w *world) []any
	// origin is the place of an object; nil for a kind that has none of its own.
	origin func(subject any) model.Origin
	// show is the object in a message.
	show   func(subject any) string
	fields []field
	// part: an object of the kind is reached through one field of one object only, so that it is never looked up.
	part bool
	// from is the calculation that has the objects, for a kind that only exists in results.
	from calculation
	// spec is the type of the object's entry in a machine file; nil when it has none of its own.
	spec reflect.Type

	cel   *types.Type
	index map[string]int

	// The rest belongs to one world, which has a language of its own.

	// read are the fields that the rules at hand use, and slots their places in the values of an object; -1: not used.
	read  []int
	slots []int
	// objects are the kind's objects by subject: a pointer into the machine or its results, or a small comparable value.
	objects map[any]*objectValue
	// unread are those whose fields are still to be read, and made the block that new ones are cut from. The lock
	// guards objects, unread and made.
	unread []*objectValue
	made   []objectValue
	lock   sync.Mutex
}

// field is one field of a kind.
type field struct {
	name  string
	about string
	// typ is the field's type: a CEL type, or the name of a kind, or a list of either.
	typ fieldType
	// optional fields can be absent.
	optional bool
	// computed fields come from a calculation, the others from the description.
	computed bool
	// get returns the value. Nil says that it is not stated, an [absence] why it is not there.
	get func(w *world, subject any) ref.Val
	// cel is the field's type, once the kinds are joined.
	cel *types.Type
}

// fieldType is the type of a field before the kinds are joined.
type fieldType struct {
	basic    *types.Type
	quantity reflect.Type // of package model
	kind     string
	list     bool
}

// resultsGroup is the group of the kinds that only exist once the machine was computed.
const resultsGroup = "Results"

// kindOf starts a kind whose objects are of Go type T.
func kindOf[T any](group, name, about string, fields ...field) *kind {
	return &kind{name: name, about: about, group: group, fields: fields}
}

// found says where the kind's objects are listed and what they are called.
func found[T any](k *kind, all func(w *world) []T, origin func(T) model.Origin) *kind {
	k.all = func(w *world) []any {
		list := all(w)
		out := make([]any, len(list))
		for i, o := range list {
			out[i] = o
		}
		return out
	}
	return placed(k, origin)
}

// written says of what type the object's entry in a machine file is.
func written[Spec any](k *kind) *kind {
	k.spec = reflect.TypeFor[Spec]()
	return k
}

// placed says where an object of the kind stands, for a kind that cannot be asked for by itself.
func placed[T any](k *kind, origin func(T) model.Origin) *kind {
	k.origin = func(s any) model.Origin { return origin(s.(T)) }
	if k.show == nil {
		k.show = func(s any) string { return origin(s.(T)).Name }
	}
	return k
}

// partOnly says that each object of the kind belongs to one field of one object.
func partOnly(k *kind) *kind {
	k.part = true
	return k
}

// shown says how an object of the kind reads in a message.
func shown[T any](k *kind, show func(T) string) *kind {
	k.show = func(s any) string { return show(s.(T)) }
	return k
}

// The functions below make fields. "Stated" ones are absent when the description leaves them out.

// text is a text; an empty one is absent.
func text[T any, S ~string](name, about string, get func(T) S) field {
	return field{name: name, about: about, typ: fieldType{basic: types.StringType}, optional: true,
		get: func(_ *world, s any) ref.Val {
			if v := get(s.(T)); v != "" {
				return types.String(v)
			}
			return nil
		}}
}

// named is a text that is always there.
func named[T any, S ~string](name, about string, get func(T) S) field {
	f := text(name, about, get)
	f.optional = false
	f.get = func(_ *world, s any) ref.Val { return types.String(get(s.(T))) }
	return f
}

// texts is a list of texts.
func texts[T any, S ~string](name, about string, get func(T) []S) field {
	return field{name: name, about: about, typ: fieldType{basic: types.StringType, list: true},
		get: func(_ *world, s any) ref.Val {
			list := get(s.(T))
			out := make([]ref.Val, len(list))
			for i, v := range list {
				out[i] = types.String(v)
			}
			return types.NewRefValList(types.DefaultTypeAdapter, out)
		}}
}

// statedTexts is a list of texts; nil is absent.
func statedTexts[T any, S ~string](name, about string, get func(T) []S) field {
	f := texts(name, about, get)
	always := f.get
	f.optional = true
	f.get = func(w *world, s any) ref.Val {
		if get(s.(T)) == nil {
			return nil
		}
		return always(w, s)
	}
	return f
}

// statedObjects is a list of objects; nil is absent.
func statedObjects[T any, U any](name, kind, about string, get func(T) []*U) field {
	f := objects(name, kind, about, get)
	always := f.get
	f.optional = true
	f.get = func(w *world, s any) ref.Val {
		if get(s.(T)) == nil {
			return nil
		}
		return always(w, s)
	}
	return f
}

// truth is a bool that is always there.
func truth[T any](name, about string, get func(T) bool) field {
	return field{name: name, about: about, typ: fieldType{basic: types.BoolType},
		get: func(_ *world, s any) ref.Val { return types.Bool(get(s.(T))) }}
}

// statedTruth is a bool that may be left out.
func statedTruth[T any](name, about string, get func(T) *bool) field {
	return field{name: name, about: about, typ: fieldType{basic: types.BoolType}, optional: true,
		get: func(_ *world, s any) ref.Val {
			if v := get(s.(T)); v != nil {
				return types.Bool(*v)
			}
			return nil
		}}
}

// count is a whole number that is always there.
func count[T any](name, about string, get func(T) int) field {
	return field{name: name, about: about, typ: fieldType{basic: types.IntType},
		get: func(_ *world, s any) ref.Val { return types.Int(get(s.(T))) }}
}

// statedCount is a whole number; zero is absent.
func statedCount[T any](name, about string, get func(T) int) field {
	f := count(name, about, get)
	f.optional = true
	f.get = func(_ *world, s any) ref.Val {
		if v := get(s.(T)); v != 0 {
			return types.Int(v)
		}
		return nil
	}
	return f
}

// amount is a quantity that is always there.
func amount[T any, Q modelQuantity](name, about string, get func(T) Q) field {
	return field{name: name, about: about, typ: fieldType{quantity: reflect.TypeFor[Q]()},
		get: func(w *world, s any) ref.Val { return quantityValue(w, get(s.(T))) }}
}

// statedAmount is a quantity; zero is absent, because zero would be impossible.
func statedAmount[T any, Q modelQuantity](name, about string, get func(T) Q) field {
	f := amount(name, about, get)
	f.optional = true
	f.get = func(w *world, s any) ref.Val {
		if v := get(s.(T)); v != 0 {
			return quantityValue(w, v)
		}
		return nil
	}
	return f
}

// maybeAmount is a quantity that is absent when nil.
func maybeAmount[T any, Q modelQuantity](name, about string, get func(T) *Q) field {
	return field{name: name, about: about, typ: fieldType{quantity: reflect.TypeFor[Q]()}, optional: true,
		get: func(w *world, s any) ref.Val {
			if v := get(s.(T)); v != nil {
				return quantityValue(w, *v)
			}
			return nil
		}}
}

// object is another object; nil is absent.
func object[T any, U any](name, kind, about string, get func(T) *U) field {
	return field{name: name, about: about, typ: fieldType{kind: kind}, optional: true,
		get: func(w *world, s any) ref.Val {
			if v := get(s.(T)); v != nil {
				return w.object(kind, v)
			}
			return nil
		}}
}

// part is another object that is always there.
func part[T any, U any](name, kind, about string, get func(T) *U) field {
	f := object(name, kind, about, get)
	f.optional = false
	return f
}

// objects is a list of objects.
func objects[T any, U any](name, kind, about string, get func(T) []*U) field {
	return field{name: name, about: about, typ: fieldType{kind: kind, list: true},
		get: func(w *world, s any) ref.Val { return objectList(w, kind, get(s.(T))) }}
}

func objectList[U any](w *world, kind string, list []*U) ref.Val {
	out := make([]ref.Val, len(list))
	for i, v := range list {
		out[i] = w.object(kind, v)
	}
	return types.NewRefValList(types.DefaultTypeAdapter, out)
}

// computed marks fields as results of a calculation.
func computed(fields ...field) []field {
	for i := range fields {
		fields[i].computed = true
	}
	return fields
}

// result is a field that needs the results: get returns the value, or nil with the reason why there is none.
func result[T any](name, about string, typ fieldType, get func(w *world, subject T) (value ref.Val, why string)) field {
	return field{name: name, about: about, typ: typ, optional: true, computed: true,
		get: func(w *world, s any) ref.Val {
			v, why := get(w, s.(T))
			if v == nil && why != "" {
				return absence(why)
			}
			return v
		}}
}

func quantityValue[Q modelQuantity](w *world, x Q) ref.Val {
	return w.language.quantities.of(reflect.TypeFor[Q]()).of(float64(x))
}

// amounts is a list of quantities.
func amounts[T any, Q modelQuantity](name, about string, get func(T) []Q) field {
	return field{name: name, about: about, typ: fieldType{quantity: reflect.TypeFor[Q](), list: true},
		get: func(w *world, s any) ref.Val {
			list := get(s.(T))
			out := make([]ref.Val, len(list))
			for i, v := range list {
				out[i] = quantityValue(w, v)
			}
			return types.NewRefValList(types.DefaultTypeAdapter, out)
		}}
}

// counts is a list of whole numbers.
func counts[T any](name, about string, get func(T) []int) field {
	return field{name: name, about: about, typ: fieldType{basic: types.IntType, list: true},
		get: func(_ *world, s any) ref.Val {
			list := get(s.(T))
			out := make([]ref.Val, len(list))
			for i, v := range list {
				out[i] = types.Int(v)
			}
			return types.NewRefValList(types.DefaultTypeAdapter, out)
		}}
}

// maybeCount is a whole number that is absent when nil.
func maybeCount[T any](name, about string, get func(T) *int) field {
	f := count(name, about, func(T) int { return 0 })
	f.optional = true
	f.get = func(_ *world, s any) ref.Val {
		if v := get(s.(T)); v != nil {
			return types.Int(*v)
		}
		return nil
	}
	return f
}

// day is a day of the calendar as a text, such as 2031-12-31; such texts compare in the order of the days.
func day[T any](name, about string, get func(T) model.Date) field {
	return text(name, about, func(o T) string {
		if d := get(o); d != (model.Date{}) {
			return d.String()
		}
		return ""
	})
}
