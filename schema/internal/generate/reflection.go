package main

import (
	"cmp"
	"encoding"
	"fmt"
	"maps"
	"reflect"
	"slices"

	"github.com/invopop/jsonschema"

	"github.com/guardwright/guardwright/model"
	"github.com/guardwright/guardwright/model/source"
)

const (
	module = "github.com/guardwright/guardwright"
	// here is the import path of this folder, from which paths of commented sources count.
	here        = module + "/schema/internal/generate"
	definitions = "#/$defs/"
)

// reflection makes schemas from Go types. Scalars become definitions of their own, so that a pattern stands once in a
// schema however many fields use it.
type reflection struct {
	reflector *jsonschema.Reflector
	scalars   jsonschema.Definitions
	undefined []reflect.Type
}

// newReflection reads the doc comments of the packages whose types are reflected.
func newReflection(tag string) (*reflection, error) {
	r := &reflection{scalars: jsonschema.Definitions{}}
	r.reflector = &jsonschema.Reflector{
		FieldNameTag:   tag,
		ExpandedStruct: true,
		Anonymous:      true,
		Mapper:         r.scalar,
	}
	for _, folder := range []string{"model", "rules"} {
		if err := r.reflector.AddGoComments(here, "../../../"+folder, jsonschema.WithFullComment()); err != nil {
			return nil, err
		}
	}
	if r.typeComment(reflect.TypeFor[model.Description]()) == "" {
		return nil, fmt.Errorf("found no doc comments of package model: run this in its own folder")
	}
	maps.Copy(r.scalars, words())
	return r, nil
}

func (r *reflection) typeComment(t reflect.Type) string {
	return ofType(t.Name(), r.reflector.CommentMap[t.PkgPath()+"."+t.Name()])
}

// scalar refers to the definition of a type that is one value in a file, and returns nil for any other type.
func (r *reflection) scalar(t reflect.Type) *jsonschema.Schema {
	switch definition := r.define(t); {
	case definition != nil:
		r.scalars[t.Name()] = definition
		return &jsonschema.Schema{Ref: definitions + t.Name()}
	case t.Kind() == reflect.String && r.reflector.FieldNameTag == "yaml":
		return &jsonschema.Schema{Ref: definitions + text}
	case reflect.PointerTo(t).Implements(reflect.TypeFor[encoding.TextUnmarshaler]()):
		r.undefined = append(r.undefined, t) // by its fields it would look like a mapping
	}
	return nil
}

func (r *reflection) define(t reflect.Type) *jsonschema.Schema {
	switch t {
	case reflect.TypeFor[source.Expression]():
		return expression()
	case reflect.TypeFor[model.IngressCode]():
		return pattern(r.typeComment(t), `^IP[0-6][0-9](?:/IP[0-6][0-9])*$`, "IP54", "IP67", "IP65/IP67", "IP67/IP69")
	case reflect.TypeFor[model.Date]():
		return pattern(r.typeComment(t), `^(?:19|[2-9][0-9])[0-9]{2}-(?:0[1-9]|1[0-2])-(?:0[1-9]|[12][0-9]|3[01])$`, "2031-12-31")
	case reflect.TypeFor[model.IPAddress]():
		return pattern(r.typeComment(t), "^"+ipv4+"$", "10.8.3.21")
	case reflect.TypeFor[model.IPPrefix]():
		return pattern(r.typeComment(t), "^"+ipv4+"/(?:3[0-2]|[12]?[0-9])$", "10.8.3.0/24")
	}
	if t.PkgPath() == reflect.TypeFor[model.Length]().PkgPath() {
		for _, info := range model.QuantityInfos() {
			if info.Name == t.Name() {
				return quantity(info)
			}
		}
	}
	if words, ok := reflect.Zero(t).Interface().(interface{ Values() []string }); ok && t.Kind() == reflect.String {
		return enumeration(r.typeComment(t), words.Values())
	}
	return nil
}

// sortedKeys lists the keys of a map in order.
func sortedKeys[K cmp.Ordered, V any](m map[K]V) []K { return slices.Sorted(maps.Keys(m)) }
