package main

import (
	"encoding/json"
	"maps"
	"slices"
	"strings"
	"testing"
)

// TestTables: every entry of the tables is of a key or a type that there is.
func TestTables(t *testing.T) {
	keys := map[string]bool{} // Type.key
	for _, d := range documents() {
		text, err := d.schema()
		if err != nil {
			t.Fatal(err)
		}
		var root map[string]any
		if err := json.Unmarshal(text, &root); err != nil {
			t.Fatal(err)
		}
		objects := map[string]any{d.root.Name(): root}
		maps.Copy(objects, root["$defs"].(map[string]any))
		for name, s := range objects {
			properties, _ := s.(map[string]any)["properties"].(map[string]any)
			for key := range properties {
				keys[name+"."+key] = true
			}
		}
	}
	for _, field := range slices.Concat(sortedKeys(nameFields()), sortedKeys(otherKeys()), uniqueLists()) {
		if !keys[field] {
			t.Errorf("there is no %s", field)
		}
	}
	within := map[string]string{"FeedSpec": "FeedCircuitSpec", "NetworkSpec": "ConnectionSpec"} // conditions on parts
	for name, demands := range conditions() {
		for _, demand := range demands {
			text, err := json.Marshal(demand)
			if err != nil {
				t.Fatal(err)
			}
			var s any
			if err := json.Unmarshal(text, &s); err != nil {
				t.Fatal(err)
			}
			for _, key := range keysIn(s) {
				if !keys[name+"."+key] && !keys[within[name]+"."+key] {
					t.Errorf("the condition of %s is on %s, which there is not", name, key)
				}
			}
		}
	}
}

// keysIn lists the keys of a file that a condition is on.
func keysIn(s any) []string {
	var out []string
	switch s := s.(type) {
	case []any:
		for _, item := range s {
			out = append(out, keysIn(item)...)
		}
	case map[string]any:
		for word, inner := range s {
			if word == "required" {
				for _, key := range inner.([]any) {
					out = append(out, key.(string))
				}
			}
			if word == "properties" {
				out = append(out, sortedKeys(inner.(map[string]any))...)
			}
			out = append(out, keysIn(inner)...)
		}
	}
	return out
}

// TestKeysIn: the test of the tables sees what it looks at.
func TestKeysIn(t *testing.T) {
	var s any
	if err := json.Unmarshal([]byte(`{"if": {"required": ["a"]}, "else": {"allOf": [{"properties": {"b": {"properties": {"c": false}}}}]}}`), &s); err != nil {
		t.Fatal(err)
	}
	got := keysIn(s)
	slices.Sort(got)
	if strings.Join(got, " ") != "a b c" {
		t.Errorf("found %q", got)
	}
}
