package schema_test

import (
	"strings"
	"testing"
)

// TestEveryKeyIsUsed: the files that the other tests change use every key that the schemas know, so that those tests
// can reach all of it.
func TestEveryKeyIsUsed(t *testing.T) {
	used := map[string]bool{}
	for kind, files := range map[string][]string{
		"Machine": {"machine.yaml", "ethercat.yaml", "profinet.yaml"},
		"Parts":   {"parts.yaml"},
		"Rules":   {"rules.yaml"},
		"Record":  {"record.yaml", "record_names.yaml"},
	} {
		for _, file := range files {
			v, err := instance(base(t, file))
			if err != nil {
				t.Fatal(err)
			}
			u := usage{document: parsed(t, schemas()[kind]), used: used}
			u.note(u.document, v, kind)
		}
	}
	for kind, text := range schemas() {
		if kind == "Report" {
			continue // written, not read: nobody changes it
		}
		document := parsed(t, text)
		objects := map[string]any{kind: document}
		for definition, s := range document["$defs"].(map[string]any) {
			objects[definition] = s
		}
		for object, s := range objects {
			properties, _ := s.(map[string]any)["properties"].(map[string]any)
			for key := range properties {
				if !used[object+"."+key] {
					t.Errorf("no file uses %s of %s", key, object)
				}
			}
		}
	}
}

// usage notes which keys of which definitions a file uses.
type usage struct {
	document map[string]any
	used     map[string]bool
}

func (u usage) note(s map[string]any, v any, object string) {
	if reference, ok := s["$ref"].(string); ok {
		object = strings.TrimPrefix(reference, "#/$defs/")
		u.note(u.document["$defs"].(map[string]any)[object].(map[string]any), v, object)
	}
	parts, _ := s["allOf"].([]any)
	for _, part := range parts {
		u.note(part.(map[string]any), v, object)
	}
	switch v := v.(type) {
	case []any:
		items, _ := s["items"].(map[string]any)
		for _, item := range v {
			u.note(items, item, object)
		}
	case map[string]any:
		properties, _ := s["properties"].(map[string]any)
		others, _ := s["additionalProperties"].(map[string]any)
		for key, inner := range v {
			if p, ok := properties[key].(map[string]any); ok {
				u.used[object+"."+key] = true
				u.note(p, inner, object)
			} else {
				u.note(others, inner, object)
			}
		}
	}
}
