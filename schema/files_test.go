package schema_test

import (
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"github.com/guardwright/guardwright/model"
	"github.com/guardwright/guardwright/schema"
)

// TestFiles: every machine and parts file of the repository satisfies its schema, unless the loader refuses it too.
func TestFiles(t *testing.T) {
	found := map[string]int{}
	validators := map[string]*jsonschema.Schema{
		"machine": compile(t, schema.Machine(), draft2020), "parts": compile(t, schema.Parts(), draft2020),
	}
	eachFile(t, func(path string, v map[string]any) {
		for kind, validator := range validators {
			if _, ok := v[kind]; !ok {
				continue
			}
			found[kind]++
			if err := validator.Validate(any(v)); err != nil && !(kind == "machine" && refused(path)) {
				t.Errorf("%s: %v", path, err)
			}
		}
	})
	for kind, wanted := range map[string]int{"machine": 2, "parts": 3} {
		if found[kind] < wanted {
			t.Errorf("found %d files of the kind %s, wanted at least %d", found[kind], kind, wanted)
		}
	}
}

// TestExamples: the examples satisfy schema and loader.
func TestExamples(t *testing.T) {
	machine := compile(t, schema.Machine(), draft2020)
	count := 0
	eachFile(t, func(path string, v map[string]any) {
		if _, ok := v["machine"]; !ok || !strings.HasPrefix(filepath.ToSlash(path), "../examples/") {
			return
		}
		count++
		if err := machine.Validate(any(v)); err != nil {
			t.Errorf("%s: %v", path, err)
		}
		if _, err := model.LoadFile(path); err != nil {
			t.Errorf("%s: %v", path, err)
		}
	})
	if count == 0 {
		t.Error("found no example")
	}
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

func refused(path string) bool {
	_, err := model.LoadFile(path)
	return err != nil
}
