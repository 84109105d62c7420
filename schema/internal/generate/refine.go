package main

import (
	"fmt"
	"regexp"
	"slices"

	"github.com/invopop/jsonschema"

	"github.com/guardwright/guardwright/model"
	"github.com/guardwright/guardwright/rules"
	"github.com/guardwright/guardwright/rules/report"
)

// refine adds to a reflected schema what the Go types do not say, and the definitions of scalars.
func (r *reflection) refine(root *jsonschema.Schema, rootName string) error {
	if len(r.undefined) > 0 {
		return fmt.Errorf("types that are read from one value, and that have no definition here: %v", r.undefined)
	}
	objects := jsonschema.Definitions{rootName: root}
	for name, s := range root.Definitions {
		objects[name] = s
	}
	for _, typeName := range sortedKeys(objects) {
		s := objects[typeName]
		s.Description = ofType(typeName, s.Description)
		for pair := s.Properties.Oldest(); pair != nil; pair = pair.Next() {
			p, err := refineProperty(typeName+"."+pair.Key, pair.Value)
			if err != nil {
				return err
			}
			pair.Value = p
		}
		s.AllOf = append(s.AllOf, conditions()[typeName]...)
	}
	return r.addScalars(root)
}

// refineProperty completes one property of an object.
func refineProperty(field string, p *jsonschema.Schema) (*jsonschema.Schema, error) {
	description := plain(p.Description)
	if description == "" {
		return nil, fmt.Errorf("%s has no doc comment", field)
	}
	p.Description = ""
	if definition, ok := nameFields()[field]; ok {
		target := p
		if p.Items != nil {
			target = p.Items
		}
		if target.Ref != definitions+text {
			return nil, fmt.Errorf("%s is no text that could be a name", field)
		}
		target.Ref = definitions + definition
	}
	if p.AdditionalProperties != nil {
		p.PropertyNames = keysOf(field)
	}
	p.UniqueItems = slices.Contains(uniqueLists(), field)
	if demand := further(field, p); demand != nil {
		p.AllOf = append(p.AllOf, demand)
	}
	if p.Ref != "" {
		// Before draft 2019-09 a description beside $ref does not count, and many editors go by that.
		p.AllOf = append([]*jsonschema.Schema{{Ref: p.Ref}}, p.AllOf...)
		p.Ref = ""
	}
	p.Description = description
	return p, nil
}

// keysOf is the schema of a mapping's keys.
func keysOf(field string) *jsonschema.Schema {
	switch definition, other := otherKeys()[field]; {
	case !other:
		return &jsonschema.Schema{Ref: definitions + name}
	case definition == "":
		return nil
	case definition == kindName:
		// A kind of one's own must not have the name of a built-in one.
		builtin := &jsonschema.Schema{Not: &jsonschema.Schema{Enum: anyList(sortedKeys(model.BuiltinKinds()))}}
		return all(&jsonschema.Schema{Ref: definitions + kindName}, builtin)
	default:
		return &jsonschema.Schema{Ref: definitions + definition}
	}
}

// further is what the loader demands of single fields beyond their type.
func further(field string, p *jsonschema.Schema) *jsonschema.Schema {
	switch {
	case field == "Description.ambient":
		return has("min", "max")
	case field == "Description.format", field == "Parts.format":
		return &jsonschema.Schema{Enum: upTo(model.Format)}
	case field == "File.format":
		return &jsonschema.Schema{Enum: upTo(rules.Format)}
	case field == "Report.format":
		return &jsonschema.Schema{Enum: upTo(report.Format)}
	case field == "RingSpec.nodes", field == "MutingSpec.sensors":
		return &jsonschema.Schema{MinItems: number(2)}
	case field == "RingSpec.precedence":
		return &jsonschema.Schema{AdditionalProperties: &jsonschema.Schema{Minimum: "0", Maximum: "255"}}
	case field == "ForwardingType.queues":
		return &jsonschema.Schema{MinItems: number(8), Items: &jsonschema.Schema{Minimum: "0", Maximum: "7"}}
	case p.Ref == definitions+text:
		return &jsonschema.Schema{MinLength: number(1)}
	}
	return nil
}

// upTo lists the versions of a format.
func upTo(newest int) []any {
	var out []any
	for n := 1; n <= newest; n++ {
		out = append(out, n)
	}
	return out
}

// addScalars adds the definitions that the schema refers to. They refer to no others.
func (r *reflection) addScalars(root *jsonschema.Schema) error {
	written, err := root.MarshalJSON()
	if err != nil {
		return err
	}
	reference := regexp.MustCompile(`"` + regexp.QuoteMeta(definitions) + `([A-Za-z]+)"`)
	for _, match := range reference.FindAllStringSubmatch(string(written), -1) {
		if s, ok := r.scalars[match[1]]; ok {
			root.Definitions[match[1]] = s
		}
	}
	return nil
}
