package schema_test

import (
	"bytes"
	"encoding/json"
	"slices"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"github.com/guardwright/guardwright/schema"
)

// schemas are all of this package, by the name of their accessor.
func schemas() map[string][]byte {
	return map[string][]byte{"Machine": schema.Machine(), "Parts": schema.Parts(), "Rules": schema.Rules(), "Record": schema.Record(), "Report": schema.Report()}
}

func parsed(t *testing.T, text []byte) map[string]any {
	t.Helper()
	var document map[string]any
	if err := json.Unmarshal(text, &document); err != nil {
		t.Fatal(err)
	}
	return document
}

// TestMetaschema: each schema is a valid one of draft 2020-12 and, its name of the draft apart, of draft-07.
func TestMetaschema(t *testing.T) {
	for name, text := range schemas() {
		for _, draft := range []string{draft2020, draft07} {
			meta, err := jsonschema.NewCompiler().Compile(draft)
			if err != nil {
				t.Fatal(err)
			}
			text := bytes.Replace(text, []byte(draft2020), []byte(draft), 1)
			if err := meta.Validate(any(parsed(t, text))); err != nil {
				t.Errorf("%s is no schema of %s: %v", name, draft, err)
			}
			compile(t, text, draft)
		}
	}
}

func TestIdentifiers(t *testing.T) {
	for name, text := range schemas() {
		document := parsed(t, text)
		if id, want := document["$id"], "urn:guardwright:schema:"+strings.ToLower(name)+":1"; id != want {
			t.Errorf("%s has the id %v, want %s", name, id, want)
		}
		if document["$schema"] != draft2020 {
			t.Errorf("%s says %v of its draft", name, document["$schema"])
		}
	}
}

// TestOwnCopy: what a caller does to the bytes stays with the caller.
func TestOwnCopy(t *testing.T) {
	schema.Machine()[0] = 'x'
	if schema.Machine()[0] != '{' {
		t.Error("a caller changed the schema")
	}
}

// walk calls visit for every schema within a schema. Properties within a condition restrict what is described
// elsewhere; visit is told so.
func walk(s any, path string, condition bool, visit func(s map[string]any, path string, condition bool)) {
	m, ok := s.(map[string]any)
	if !ok {
		return // true and false
	}
	visit(m, path, condition)
	for key, v := range m {
		at := path + "/" + key
		switch key {
		case "properties", "$defs":
			for name, inner := range v.(map[string]any) {
				walk(inner, at+"/"+name, condition, visit)
			}
		case "items", "additionalProperties", "propertyNames":
			walk(v, at, condition, visit)
		case "not", "if", "then", "else":
			walk(v, at, true, visit)
		case "allOf", "anyOf", "oneOf":
			for _, inner := range v.([]any) {
				walk(inner, at, true, visit)
			}
		}
	}
}

// TestKeywords: nothing is used that draft-07 does not know or reads in another way. Draft-07 ignores what stands
// beside $ref, so nothing does.
func TestKeywords(t *testing.T) {
	known := strings.Fields(`$schema $id $defs $ref title description examples type enum const pattern minLength minimum maximum
		exclusiveMinimum items minItems maxItems uniqueItems properties required additionalProperties propertyNames
		not if then else allOf anyOf oneOf`)
	for name, text := range schemas() {
		walk(parsed(t, text), name, false, func(s map[string]any, path string, _ bool) {
			for key := range s {
				if !slices.Contains(known, key) {
					t.Errorf("%s uses %s", path, key)
				}
			}
			if _, ok := s["$ref"]; ok && len(s) > 1 {
				t.Errorf("%s has more than a $ref", path)
			}
		})
	}
}

// TestDescriptions: every key of a file, and every definition, is explained.
func TestDescriptions(t *testing.T) {
	for name, text := range schemas() {
		count := 0
		walk(parsed(t, text), name, false, func(s map[string]any, path string, condition bool) {
			parent := path[:strings.LastIndex(path, "/")+1]
			if condition || !strings.HasSuffix(parent, "/properties/") && !strings.HasSuffix(parent, "/$defs/") && path != name {
				return
			}
			count++
			if text, _ := s["description"].(string); len(text) < 4 || strings.Contains(text, "\n") {
				t.Errorf("%s has the description %q", path, text)
			}
		})
		if count < 20 {
			t.Errorf("%s: only %d descriptions were looked at", name, count)
		}
	}
}

// TestClosed: every mapping of the files says what it may hold.
func TestClosed(t *testing.T) {
	for name, text := range schemas() {
		walk(parsed(t, text), name, false, func(s map[string]any, path string, condition bool) {
			if _, ok := s["additionalProperties"]; s["type"] == "object" && !ok {
				t.Errorf("%s takes any key", path)
			}
		})
	}
}
