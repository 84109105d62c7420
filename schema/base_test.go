package schema_test

import (
	"os"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/guardwright/guardwright/model"
	"github.com/guardwright/guardwright/rules"
	"github.com/guardwright/guardwright/rules/record"
)

// base reads a file of the machine that the tests change.
func base(t testing.TB, name string) []byte {
	t.Helper()
	data, err := os.ReadFile("../testdata/schema/" + name)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// change is an edit of one of the files of that machine.
type change struct {
	file   string // machine.yaml, parts.yaml, rules.yaml or record.yaml
	find   string // stands in the file exactly once
	put    string
	path   string // where both find fault; empty if both accept
	reason string
}

// apply returns the changed file.
func (c change) apply(t *testing.T) []byte {
	t.Helper()
	text := string(base(t, c.file))
	if n := strings.Count(text, c.find); n != 1 {
		t.Fatalf("%q stands %d times in %s", c.find, n, c.file)
	}
	return []byte(strings.Replace(text, c.find, c.put, 1))
}

// load gives the machine, with one of its files in another text, to the loader; a rule file to that of rules, and a mapping
// to that of records.
func load(t testing.TB, file string, text []byte) error {
	t.Helper()
	if file == "rules.yaml" {
		_, err := rules.Parse(file, text)
		return err
	}
	if file == "record.yaml" {
		_, err := record.ParseMapping(file, text)
		return err
	}
	fsys := fstest.MapFS{}
	for _, name := range []string{"machine.yaml", "parts.yaml", "more.yaml"} {
		fsys[name] = &fstest.MapFile{Data: base(t, name)}
	}
	fsys[file] = &fstest.MapFile{Data: text}
	_, err := model.Load(fsys, "machine.yaml")
	return err
}
