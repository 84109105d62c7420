package main

import "testing"

// TestTypeComments: what a definition says starts with the thing, not with the name of a Go type.
func TestTypeComments(t *testing.T) {
	for comment, want := range map[string]string{
		"LoadType is one consumer\non the supply.": "One consumer on the supply.",
		"LoadType says how.":                       "Says how.",
		"A kind, see [model.BuiltinKinds].":        "A kind, see model.BuiltinKinds.",
		"":                                         "",
	} {
		if got := ofType("LoadType", comment); got != want {
			t.Errorf("%q gives %q", comment, got)
		}
	}
}
