package schema_test

import (
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/guardwright/guardwright/model"
	"github.com/guardwright/guardwright/rules"
	"github.com/guardwright/guardwright/rules/record"
	"github.com/guardwright/guardwright/schema"
)

// document is a kind of file: by the key that only it has.
type document struct {
	key  string
	text []byte
	load func(path string) error
}

func documents() []document {
	return []document{
		{"machine", schema.Machine(), func(path string) error {
			_, err := model.LoadFile(path)
			return err
		}},
		{"parts", schema.Parts(), func(path string) error {
			return nil // parts are loaded with the machine that uses them
		}},
		{"pack", schema.Rules(), func(path string) error {
			_, err := rules.Load(os.DirFS(filepath.Dir(path)), filepath.Base(path))
			return err
		}},
		{"record", schema.Record(), func(path string) error {
			_, err := record.LoadMapping(os.DirFS(filepath.Dir(path)), filepath.Base(path))
			return err
		}},
	}
}

// TestFiles: every file of the repository that its loader takes satisfies its schema. The examples and the rule packs
// satisfy both.
func TestFiles(t *testing.T) {
	for _, d := range documents() {
		validator := compile(t, d.text, draft2020)
		found := 0
		eachFile(t, func(path string, v map[string]any) {
			if _, ok := v[d.key]; !ok {
				return
			}
			found++
			refused := d.load(path)
			if err := validator.Validate(any(v)); err != nil && refused == nil {
				t.Errorf("%s: %v", path, err)
			}
			if shown(filepath.ToSlash(path)) && refused != nil {
				t.Errorf("%s: %v", path, refused)
			}
		})
		if found < 2 {
			t.Errorf("found %d files with the key %s, wanted those of the tests and more", found, d.key)
		}
	}
}

// shown tells whether a file is for users to copy from.
func shown(path string) bool {
	return (strings.HasPrefix(path, "../examples/") || strings.HasPrefix(path, "../rules/packs/")) && !strings.Contains(path, "/testdata/")
}

// eachFile calls visit for every YAML file of the repository that is a mapping.
func eachFile(t *testing.T, visit func(path string, v map[string]any)) {
	t.Helper()
	err := filepath.WalkDir("..", func(path string, entry fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if filepath.Ext(path) != ".yaml" || entry.IsDir() {
			return nil
		}
		data, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		if v, err := instance(data); err == nil { // a file that is no YAML is a test of the loader
			if m, ok := v.(map[string]any); ok {
				visit(path, m)
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}
