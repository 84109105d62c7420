package model_test

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"runtime"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/guardwright/guardwright/model"
	"github.com/guardwright/guardwright/model/source"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func sprint(parts ...any) string { return strings.TrimSuffix(fmt.Sprintln(parts...), "\n") }

// want is what a test file expects on a line: the path and a part of the text of each problem there.
//
//	f4: {to: m1}   # want power.feeds.f4 "a second source"
var want = regexp.MustCompile(`([^\s"]+(?:"[^\s"]+"[^\s"]*)?) "([^"]+)"`)

// TestProblems reads every file under testdata/machines/bad: each problem must be wanted on its line, and each wanted
// one must come. The files say everything, so a new mistake needs no code here.
func TestProblems(t *testing.T) {
	folder := "../testdata/machines/bad"
	files, err := filepath.Glob(folder + "/*.yaml")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, file := range files {
		name := filepath.Base(file)
		t.Run(name, func(t *testing.T) {
			text, err := os.ReadFile(file)
			require.NoError(t, err)
			wanted := map[string]bool{} // line, path, text
			for i, line := range strings.Split(string(text), "\n") {
				_, comment, ok := strings.Cut(line, "# want ")
				if !ok {
					continue
				}
				for _, m := range want.FindAllStringSubmatch(comment, -1) {
					wanted[fmt.Sprintf("%d %s %s", i+1, m[1], m[2])] = false
				}
			}
			_, err = model.Load(os.DirFS(folder), name)
			var problems source.Problems
			require.True(t, errors.As(err, &problems), "got %v", err)
			for _, p := range problems {
				assert.NotZero(t, p.Position.Column, "a problem has its column: %v", p)
				if !take(wanted, p) {
					t.Errorf("not wanted: %v", p)
				}
			}
			for w, met := range wanted {
				assert.True(t, met, "wanted and missing: %s", w)
			}
		})
	}
}

// take marks the wanted problem that p is.
func take(wanted map[string]bool, p source.Problem) bool {
	for w := range wanted {
		line, rest, _ := strings.Cut(w, " ")
		path, text, _ := strings.Cut(rest, " ")
		if line == fmt.Sprint(p.Position.Line) && path == p.Path && strings.Contains(p.Text, text) {
			wanted[w] = true
			return true
		}
	}
	return false
}

func TestProblemsOfPartsFiles(t *testing.T) {
	cable := "{cores: 4, section: 1.5 mm2}"
	files := fstest.MapFS{
		"machines/m.yaml": {Data: []byte("format: 1\nmachine: M\nambient: {min: 5 °C, max: 40 °C}\nuse: [../parts/a.yaml, ../parts/none.yaml]\n" +
			"types: {cables: {w: " + cable + "}}\n")},
		"parts/a.yaml": {Data: []byte("format: 1\nparts: A\nuse: [b.yaml]\ntypes: {cables: {w: " + cable + ", x: {cores: 4, section: 1.5}}}\n")},
		"parts/b.yaml": {Data: []byte("format: 2\nparts: B\nuse: [a.yaml]\ntypes: {cables: {y: " + cable + "}}\n")},
	}
	_, err := model.Load(files, "machines/m.yaml")
	require.Error(t, err)
	assert.Equal(t, `machines/m.yaml:4:24: use: parts/none.yaml: there is no such file
parts/a.yaml:4:18: types.cables.w: w is given here and at machines/m.yaml:5:18; give it once, or rename one of them
parts/a.yaml:4:74: types.cables.x.section: cross-section "1.5" has no unit; units are mm², AWG
parts/b.yaml:1:1: format: found format 2, but this version of the library reads up to format 1: update the library, or write the file in format 1`,
		err.Error())
}

func TestNewerFormat(t *testing.T) {
	_, err := loadText(strings.Replace(small, "format: 1", "format: 2", 1) + "shape_of_things_to_come: 1\n")
	require.Error(t, err)
	assert.Contains(t, err.Error(), "m.yaml:1:1: format: found format 2, but this version of the library reads up to format 1")
}

func TestBuildRefusesFileNames(t *testing.T) {
	d := smallInGo()
	d.Use = []string{"parts.yaml"}
	_, err := model.Build(d)
	assert.ErrorContains(t, err, "use: a description built in Go cannot name parts files")
}

func TestBuildReadsWellWithoutPositions(t *testing.T) {
	d := smallInGo()
	d.Power.Supplies["ps"] = model.SupplySpec{Type: "t"}
	delete(d.Power.Feeds, "f2")
	_, err := model.Build(d)
	require.Error(t, err)
	assert.Equal(t, "modules.m2: no feed brings the supply to module m2; add one under power.feeds\n"+
		`power.supplies.ps.type: found "t", which is no supply type under types.supplies; there are s`, err.Error())
}

func TestBuildWithParts(t *testing.T) {
	d := smallInGo()
	p := model.Parts{Format: 1, Parts: "Parts", Types: model.Types{Cables: d.Types.Cables}}
	d.Types.Cables = nil
	m, err := model.Build(d, p)
	require.NoError(t, err)
	assert.Equal(t, smallInGo(), m.Description())
}

// hostile are files that are refused quickly (see BenchmarkHostileFiles) and without eating memory.
func hostile() map[string]struct{ text, want string } {
	bomb := "a0: &a0 [x, x, x, x, x, x, x, x, x, x]\n"
	for i := 1; i < 12; i++ {
		refs := strings.TrimSuffix(strings.Repeat(fmt.Sprintf("*a%d, ", i-1), 10), ", ")
		bomb += fmt.Sprintf("a%d: &a%d [%s]\n", i, i, refs)
	}
	return map[string]struct{ text, want string }{
		"50 MB":         {strings.Repeat("# fifty bytes of comment, again and again, no end\n", 1_000_000) + small, "33554432 are allowed"},
		"10000 levels":  {"format: " + strings.Repeat("[", 10_000) + strings.Repeat("]", 10_000), "levels"},
		"alias bomb":    {bomb, "alias"},
		"invalid UTF-8": {"machine: caf\xe9\n", "UTF-8"},
		"empty":         {"", "empty"},
		"only comments": {"# nothing\n", "empty"},
		"not a mapping": {"- a\n- b\n", "mapping"},
	}
}

func TestHostileFiles(t *testing.T) {
	for name, test := range hostile() {
		t.Run(name, func(t *testing.T) {
			files := fstest.MapFS{"m.yaml": {Data: []byte(test.text)}}
			var before, after runtime.MemStats
			runtime.ReadMemStats(&before)
			_, err := model.Load(files, "m.yaml")
			runtime.ReadMemStats(&after)
			require.Error(t, err)
			assert.Contains(t, err.Error(), test.want)
			assert.Less(t, after.TotalAlloc-before.TotalAlloc, uint64(100<<20))
			assert.Less(t, len(err.Error()), 20_000)
		})
	}
	_, err := model.Load(fstest.MapFS{"folder/m.yaml": {Data: []byte(small)}}, "folder")
	assert.ErrorContains(t, err, "folder")
	_, err = model.Load(fstest.MapFS{"machine.yaml": {Data: []byte(small)}}, "machin.yaml")
	assert.ErrorContains(t, err, "did you mean machine.yaml?")
	_, err = model.LoadFile(filepath.Join(t.TempDir(), "none.yaml"))
	assert.ErrorContains(t, err, "none.yaml: there is no such file")
}

func TestLoadFileFindsPartsBesideItsFolder(t *testing.T) {
	root := t.TempDir()
	require.NoError(t, os.CopyFS(root, fstest.MapFS{
		"line/m.yaml":  {Data: bytes.Replace([]byte(small), []byte("types:\n"), []byte("use: [../parts.yaml]\ntypes:\n"), 1)},
		"parts.yaml":   {Data: []byte("format: 1\nparts: P\n")},
		"other/x.yaml": {Data: []byte("")},
	}))
	m, err := model.LoadFile(filepath.Join(root, "line", "m.yaml"))
	require.NoError(t, err)
	assert.Equal(t, filepath.Join(root, "line", "m.yaml"), m.Modules[0].Position.File)
	_, err = model.LoadFile(filepath.Join(root, "other"))
	assert.Error(t, err)
	assert.NotErrorIs(t, err, fs.ErrExist)
}

func FuzzMachineFile(f *testing.F) {
	f.Add([]byte(small))
	bad, _ := filepath.Glob("../testdata/machines/bad/*.yaml")
	for _, name := range bad {
		text, err := os.ReadFile(name)
		require.NoError(f, err)
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		m, err := model.Load(fstest.MapFS{"m.yaml": {Data: text}}, "m.yaml")
		if (m == nil) == (err == nil) {
			t.Fatalf("machine %v and error %v", m, err)
		}
		if m != nil {
			if _, err := model.Build(m.Description()); err != nil {
				t.Fatalf("loaded, but its description does not build: %v", err)
			}
		}
	})
}

// BenchmarkHostileFiles shows that each hostile file is refused well within a second.
func BenchmarkHostileFiles(b *testing.B) {
	for name, test := range hostile() {
		b.Run(name, func(b *testing.B) {
			files := fstest.MapFS{"m.yaml": {Data: []byte(test.text)}}
			for b.Loop() {
				_, err := model.Load(files, "m.yaml")
				require.Error(b, err)
			}
		})
	}
}
