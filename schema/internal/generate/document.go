package main

import (
	"bytes"
	"encoding/json"
	"reflect"

	"github.com/invopop/jsonschema"

	"github.com/guardwright/guardwright/model"
	"github.com/guardwright/guardwright/rules"
	"github.com/guardwright/guardwright/rules/record"
	"github.com/guardwright/guardwright/rules/report"
)

// document is one schema file.
type document struct {
	file  string
	id    string
	title string
	tag   string // the struct tag with the names of keys: yaml for what is read, json for what is written
	root  reflect.Type
}

func documents() []document {
	return []document{
		{"machine.schema.json", "urn:guardwright:schema:machine:1", "guardwright machine file", "yaml", reflect.TypeFor[model.Description]()},
		{"parts.schema.json", "urn:guardwright:schema:parts:1", "guardwright parts file", "yaml", reflect.TypeFor[model.Parts]()},
		{"rules.schema.json", "urn:guardwright:schema:rules:1", "guardwright rule file", "yaml", reflect.TypeFor[rules.File]()},
		{"record.schema.json", "urn:guardwright:schema:record:1", "guardwright mapping file of a record", "yaml", reflect.TypeFor[record.Mapping]()},
		{"report.schema.json", "urn:guardwright:schema:report:1", "guardwright report", "json", reflect.TypeFor[report.Report]()},
	}
}

// schema makes the text of the file.
func (d document) schema() ([]byte, error) {
	r, err := newReflection(d.tag)
	if err != nil {
		return nil, err
	}
	s := r.reflector.ReflectFromType(d.root)
	s.ID, s.Title = jsonschema.ID(d.id), d.title
	if err := r.refine(s, d.root.Name()); err != nil {
		return nil, err
	}
	return inLines(s)
}

// inLines writes the schema with one keyword a line, so that a change of it is easy to review.
func inLines(s *jsonschema.Schema) ([]byte, error) {
	text, err := json.Marshal(s)
	if err != nil {
		return nil, err
	}
	var out bytes.Buffer
	if err := json.Indent(&out, text, "", "  "); err != nil {
		return nil, err
	}
	out.WriteByte('\n')
	return out.Bytes(), nil
}
