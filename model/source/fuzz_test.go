package source_test

import (
	"os"
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/guardwright/guardwright/model/source"
)

// FuzzParse reads any bytes into a struct with all shapes: no panic, no hang,
// every problem in the file or about it, every place of an expression true.
func FuzzParse(f *testing.F) {
	entries, err := os.ReadDir(hostileFolder)
	require.NoError(f, err)
	for _, entry := range entries {
		data, err := os.ReadFile(hostileFolder + "/" + entry.Name())
		require.NoError(f, err)
		f.Add(data, "modules.m1.ports.1")
	}
	f.Add(manyModules(2), "modules.m1.ports.2.cable.length")
	f.Add([]byte("rules:\n- require: >2\n      a\n      b\n- require: 'a ''b''\n\n   c'\n- say: \"a\\\n   \\u00e9\"\n  require: a\n    b\n"), `rules.0."require"`)
	f.Add([]byte("nested: [[1, -2], [0x3]]\ntree: {left: &l {name: x}, right: *l}\nlevels: {<<: {low: 1}, high: 2}\nany: true\nsmall: 1\ncount: 2\n"), "nested.0.1")
	limits := source.Limits{Size: 1 << 16, Expanded: 10_000}
	f.Fuzz(func(t *testing.T, data []byte, path string) {
		content := string(data)
		file, problems := source.Parse("f", data, limits)
		if file == nil && len(problems) == 0 {
			t.Fatal("no file and no problem")
		}
		var got plant
		problems = append(problems, file.Decode(&got)...)
		for _, p := range problems {
			if p.Position.File != "f" || p.Text == "" || p.Position.Line > 0 && p.Position.Column < 1 {
				t.Errorf("bad problem %#v", p)
			}
			if p.Path != "" {
				file.Position(p.Path)
			}
		}
		file.Position(path)
		_ = problems.Error()
		source.Missing(got)
		if file == nil {
			return
		}
		for _, r := range got.Rules {
			checkPlaces(t, content, r.Require, false)
			checkPlaces(t, content, r.Say, false)
		}
	})
}
