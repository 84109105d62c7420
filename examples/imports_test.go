// Package examples_test keeps the rules that hold for the whole tree.
package examples_test

import (
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const module = "github.com/guardwright/guardwright"

// mayImport lists what each part of the tree may import of ours: only what stands left of it in the direction
// machine file -> model -> calc -> rules -> report. The longest matching folder counts; a part may import itself.
func mayImport() map[string][]string {
	return map[string][]string{
		"model":        nil,
		"calc/logic":   nil,
		"calc":         {"model", "calc"},
		"rules":        {"model", "calc"},
		"rules/packs":  {"rules"},
		"rules/report": {"model", "calc", "rules"},
		"schema":       {"model", "calc", "rules"},
		"examples":     {"model", "calc", "rules", "schema"},
	}
}

// thirdParty lists the only places that import each library outside tests.
func thirdParty() map[string][]string {
	return map[string][]string{
		"github.com/google/cel-go":      {"rules"},
		"gopkg.in/yaml.v3":              {"model"},
		"github.com/invopop/jsonschema": {"schema"},
		"github.com/pb33f/ordered-map":  {"schema"},
		"gonum.org/v1/gonum":            {"calc"},
		"github.com/go-air/gini":        {"calc/logic"},
	}
}

// onlyInTests lists the libraries that serve tests alone.
func onlyInTests() []string {
	return []string{"github.com/stretchr/testify", "pgregory.net/rapid", "github.com/santhosh-tekuri/jsonschema"}
}

func TestImportsGoOneWay(t *testing.T) {
	for _, file := range goFiles(t) {
		for _, imported := range imports(t, file) {
			folder, ours := strings.CutPrefix(imported, module+"/")
			switch {
			case ours && strings.HasSuffix(file, "_test.go"):
				// A test may look at its package from anywhere, as with the demo machine.
			case ours:
				assert.True(t, inDirection(path.Dir(file), folder), "%s imports %s, which is not left of it", file, folder)
			case strings.Contains(imported, ".") && !strings.HasSuffix(file, "_test.go"):
				assert.True(t, allowedLibrary(path.Dir(file), imported), "%s imports %s: libraries have their places, see this test", file, imported)
			case strings.Contains(imported, "."):
				assert.True(t, allowedInTest(imported), "%s imports %s, which is not on the list", file, imported)
			}
		}
	}
}

func TestTopLevel(t *testing.T) {
	want := []string{"DEVELOPERS.md", "README.md", "calc", "examples", "go.mod", "go.sum", "model", "rules", "schema", "testdata"}
	entries, err := os.ReadDir("..")
	require.NoError(t, err)
	var got []string
	for _, e := range entries {
		if !strings.HasPrefix(e.Name(), ".") {
			got = append(got, e.Name())
		}
	}
	assert.Equal(t, want, got)
}

func inDirection(from, to string) bool {
	part := partOf(from)
	if to == part || strings.HasPrefix(to, part+"/") {
		return true
	}
	// A calculation stands beside the others, not above them: only calc itself puts them together.
	if part == "calc" && from != "calc" && strings.HasPrefix(to, "calc") {
		return strings.HasPrefix(to, calculation(from))
	}
	return slices.ContainsFunc(mayImport()[part], func(p string) bool { return to == p || strings.HasPrefix(to, p+"/") })
}

// calculation is the folder of one calculation, such as calc/power.
func calculation(folder string) string {
	parts := strings.SplitN(folder, "/", 3)
	return strings.Join(parts[:min(2, len(parts))], "/")
}

func partOf(folder string) string {
	for f := folder; f != "."; f = path.Dir(f) {
		if _, ok := mayImport()[f]; ok {
			return f
		}
	}
	return folder
}

func allowedLibrary(folder, imported string) bool {
	for library, places := range thirdParty() {
		if imported == library || strings.HasPrefix(imported, library+"/") {
			return slices.ContainsFunc(places, func(p string) bool { return folder == p || strings.HasPrefix(folder, p+"/") })
		}
	}
	return false
}

func allowedInTest(imported string) bool {
	known := onlyInTests()
	for library := range thirdParty() {
		known = append(known, library)
	}
	return slices.ContainsFunc(known, func(l string) bool { return imported == l || strings.HasPrefix(imported, l+"/") })
}

func goFiles(t *testing.T) []string {
	var files []string
	err := filepath.WalkDir("..", func(name string, e fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if e.IsDir() && strings.HasPrefix(e.Name(), ".") && e.Name() != ".." {
			return filepath.SkipDir
		}
		if strings.HasSuffix(name, ".go") {
			files = append(files, strings.TrimPrefix(filepath.ToSlash(name), "../"))
		}
		return nil
	})
	require.NoError(t, err)
	require.NotEmpty(t, files)
	return files
}

func imports(t *testing.T, file string) []string {
	parsed, err := parser.ParseFile(token.NewFileSet(), filepath.Join("..", file), nil, parser.ImportsOnly)
	require.NoError(t, err)
	var out []string
	for _, spec := range parsed.Imports {
		p, err := strconv.Unquote(spec.Path.Value)
		require.NoError(t, err)
		out = append(out, p)
	}
	return out
}
