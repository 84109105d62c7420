package main

import (
	"os"
	"testing"
)

// TestCurrent: the schemas of the package are those that the types give now.
func TestCurrent(t *testing.T) {
	for _, d := range documents() {
		want, err := d.schema()
		if err != nil {
			t.Fatal(err)
		}
		got, err := os.ReadFile(folder + "/" + d.file)
		if err != nil {
			t.Fatal(err)
		}
		if string(got) != string(want) {
			t.Errorf("%s is not current: run go generate ./schema", d.file)
		}
	}
}
