package source_test

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/require"

	"github.com/guardwright/guardwright/model/source"
)

func TestPositionOfPath(t *testing.T) {
	const content = `# a comment
machine: a
modules:
  m1: &m
    type: x
    ports: {1: {device: g1, cable: {length: 6 m}}}
  m2:
    <<: *m
    about: y
  m3: *m
  "a.b": {type: z}
  m4:
    <<: [*m, {about: q}]
notes:
  - one
  - - nested
    - two
`
	file, problems := source.Parse("f", []byte(content), source.Limits{})
	require.Empty(t, problems)
	tests := []struct{ path, want, reason string }{
		{"", "f:2:1", "the top is where its first key is"},
		{"machine", "f:2:1", "the key, not the value"},
		{"modules.m1", "f:4:3", ""},
		{"modules.m1.ports.1.cable.length", "f:6:37", ""},
		{"modules.m2.about", "f:9:5", ""},
		{"modules.m2.type", "f:5:5", "a merged key stands where it is written"},
		{"modules.m2.ports.1.device", "f:6:17", "below a merged key"},
		{"modules.m3", "f:10:3", "the key whose value is an alias"},
		{"modules.m3.type", "f:5:5", "through an alias"},
		{"modules.m4.about", "f:13:15", "the second of two merged mappings"},
		{`modules."a.b".type`, "f:11:11", "a quoted key"},
		{source.Join("modules", "a.b", "type"), "f:11:11", "Join writes the quotes"},
		{"modules.m9.type", "f:3:1", "nothing there: the nearest above"},
		{"modules.m1.type.x", "f:5:5", "nothing below a text"},
		{"modules.m1.<<", "f:4:3", "a merge key is no entry"},
		{"notes.1.0", "f:16:7", "an item of a list in a list"},
		{"notes.0", "f:15:5", ""},
		{"notes.7", "f:14:1", "no such item"},
		{"notes.-1", "f:14:1", "no such item"},
		{"notes.x", "f:14:1", "no such item"},
		{"no.such", "f:2:1", "nothing at all: the top"},
		{`"`, "f:2:1", "a broken path is no crash"},
		{"...", "f:2:1", "a broken path is no crash"},
	}
	for _, tt := range tests {
		require.Equal(t, tt.want, file.Position(tt.path).String(), "%s: %s", tt.path, tt.reason)
	}
	var none *source.File
	require.Zero(t, none.Position("a"))
}

func TestPositionInLargeMapping(t *testing.T) {
	file, problems := source.Parse("f", manyModules(1000), source.Limits{})
	require.Empty(t, problems)
	for i := range 1000 {
		require.Equal(t, 3+3*i, file.Position(fmt.Sprintf("modules.m%d", i)).Line)
		require.Equal(t, 4+3*i, file.Position(fmt.Sprintf("modules.m%d.type", i)).Line)
	}
}

// manyModules returns a file in the manner of a machine file, three lines a
// module.
func manyModules(n int) []byte {
	var b strings.Builder
	b.WriteString("machine: a\nmodules:\n")
	for i := range n {
		fmt.Fprintf(&b, "  m%d:\n    type: io8\n    ports: {1: {device: g%d_1, cable: {length: 6 m}, set: ossd_2ch}, 2: {device: g%d_2, cable: {length: 10 m}}}\n", i, i, i)
	}
	return []byte(b.String())
}

func TestPositionText(t *testing.T) {
	require.Equal(t, "", source.Position{}.String())
	require.Equal(t, "f", source.Position{File: "f"}.String())
	require.Equal(t, "f:2:3", source.Position{File: "f", Line: 2, Column: 3}.String())
	require.True(t, source.Position{}.IsZero())

	want := []source.Position{{}, {"a", 1, 1}, {"a", 1, 2}, {"a", 2, 1}, {File: "a"}, {"b", 1, 1}}
	got := slices.Clone(want)
	slices.Reverse(got)
	slices.SortFunc(got, source.Position.Compare)
	require.Equal(t, want, got, "the file as a whole comes last")
}

func TestProblemText(t *testing.T) {
	at := source.Position{File: "f", Line: 2, Column: 3}
	require.Equal(t, "f:2:3: a.b: text", source.Problem{at, "a.b", "text"}.Error())
	require.Equal(t, "a.b: text", source.Problem{Path: "a.b", Text: "text"}.Error(), "built in Go")
	require.Equal(t, "text", source.Problem{Text: "text"}.Error())

	var none source.Problems
	require.NoError(t, none.Err())
	some := source.Problems{{at, "b", "z"}, {Text: "first"}, {at, "b", "a"}, {at, "a", "z"}, {at, "b", "z"}}
	require.Equal(t, "first\nf:2:3: a: z\nf:2:3: b: a\nf:2:3: b: z", some.Error(), "sorted, each once")
	require.EqualError(t, some.Err(), some.Error())
	var one source.Problem
	require.ErrorAs(t, some.Err(), &one)
	require.Equal(t, "first", one.Text)
}

func TestNearest(t *testing.T) {
	names := []string{"guard_switch", "light_curtain", "estop", "g1", "length"}
	tests := []struct{ word, want, reason string }{
		{"guard-switch", "guard_switch", "a hyphen for an underscore"},
		{"Guard Switch", "guard_switch", "case and blank"},
		{"gaurd_switch", "guard_switch", "two letters swapped"},
		{"lenght", "length", "two letters swapped"},
		{"lightcurtain", "light_curtain", "one left out"},
		{"e_stop", "estop", "one too many"},
		{"g2", "", "another device, not a misspelling"},
		{"robot", "", "nothing near"},
		{"", "", "nothing to compare"},
		{strings.Repeat("x", 100_000), "", "not compared"},
	}
	for _, tt := range tests {
		got, ok := source.Nearest(tt.word, names)
		require.Equal(t, tt.want, got, "%.20s: %s", tt.word, tt.reason)
		require.Equal(t, tt.want != "", ok)
	}
	got, _ := source.Nearest("loadx", []string{"loadb", "loada"})
	require.Equal(t, "loada", got, "of equals the first by alphabet")
}

func TestJoin(t *testing.T) {
	require.Equal(t, "modules.m1.ports.1", source.Join("modules.m1", "ports", "1"))
	require.Equal(t, "m1", source.Join("", "m1"))
	require.Equal(t, `a."".b`, source.Join("a", "", "b"))
	require.Equal(t, `"10.8.3.21"."say \"x\""`, source.Join("", "10.8.3.21", `say "x"`))
}

func TestReadFile(t *testing.T) {
	folder := t.TempDir()
	write := func(name, content string) {
		require.NoError(t, os.WriteFile(folder+"/"+name, []byte(content), 0o600))
	}
	write("machine.yaml", "a: 1")
	write("empty.yaml", "")
	write("large.yaml", strings.Repeat("x", 101))
	require.NoError(t, os.Mkdir(folder+"/parts", 0o700))
	fsys := os.DirFS(folder)

	data, err := source.ReadFile(fsys, "machine.yaml", source.Limits{Size: 100})
	require.NoError(t, err)
	require.Equal(t, "a: 1", string(data))

	tests := []struct{ name, want string }{
		{"machin.yaml", "machin.yaml: there is no such file: did you mean machine.yaml?"},
		{"robot.txt", "robot.txt: there is no such file"},
		{"pats/a.yaml", "pats/a.yaml: there is no such file, and the folder pats can't be read either"},
		{"parts", "parts: this is a folder: name a file in it"},
		{"empty.yaml", "empty.yaml: the file is empty: wanted a mapping (key: value)"},
		{"large.yaml", "large.yaml: the file has 101 bytes or more, and 100 are allowed: split it, or raise the limit"},
		{"../machine.yaml", "../machine.yaml: this is no name of a file inside the folder: write it with slashes, without .. and without a slash in front"},
	}
	for _, tt := range tests {
		_, err := source.ReadFile(fsys, tt.name, source.Limits{Size: 100})
		require.EqualError(t, err, tt.want)
		var problem source.Problem
		require.ErrorAs(t, err, &problem)
		require.Equal(t, tt.name, problem.Position.File)
	}
	_, err = source.ReadFile(fsys, "machin.yaml", source.Limits{})
	require.ErrorIs(t, err, fs.ErrNotExist)
}

// growing is a file that is longer than it says.
type growing struct{ fs.FS }

func (growing) Stat(string) (fs.FileInfo, error) {
	return fs.Stat(fstest.MapFS{"f": {Data: []byte("a")}}, "f")
}

func TestReadFileThatGrows(t *testing.T) {
	fsys := growing{fstest.MapFS{"f": {Data: []byte(strings.Repeat("x", 1000))}}}
	_, err := source.ReadFile(fsys, "f", source.Limits{Size: 100})
	require.EqualError(t, err, "f: the file has 101 bytes or more, and 100 are allowed: split it, or raise the limit")
}

// failing is a file system whose files can't be read.
type failing struct{ fs.FS }

func (failing) Open(name string) (fs.File, error) {
	return nil, &fs.PathError{Op: "open", Path: name, Err: errors.New("the disk is gone")}
}

func TestReadFileThatFails(t *testing.T) {
	_, err := source.ReadFile(failing{}, "f", source.Limits{})
	require.EqualError(t, err, "f: the file can't be read: the disk is gone")
}

func TestLoad(t *testing.T) {
	fsys := fstest.MapFS{"f": {Data: []byte("machine: a\nmachine: b\nversion: x\n")}}
	var got plant
	file, problems := source.Load(fsys, "f", &got, source.Limits{})
	require.Equal(t, "f", file.Name())
	require.Equal(t, "a", got.Machine)
	require.EqualError(t, problems.Err(), "f:2:1: machine: \"machine\" is given twice, first at f:1:1: remove one\n"+
		"f:3:10: version: wanted a whole number in decimal digits, found \"x\"")

	file, problems = source.Load(fsys, "g", &got, source.Limits{})
	require.Nil(t, file)
	require.EqualError(t, problems.Err(), "g: there is no such file")
}
