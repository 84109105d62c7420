package source_test

import (
	"fmt"
	"os"
	"runtime"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/require"

	"github.com/guardwright/guardwright/model/source"
)

const hostileFolder = "../../testdata/source/hostile"

func TestHostileFiles(t *testing.T) {
	want := map[string]string{
		"alias_bomb.yaml":         "alias_bomb.yaml:7:8: with what *f stands for, aliases repeat more than 1000000 values: write the file out, or raise the limit",
		"alias_circle.yaml":       "alias_circle.yaml:2:25: tree.left.right: *t stands inside the value that it names: a value can't contain itself",
		"alias_of_itself.yaml":    "alias_of_itself.yaml:1:1: machine: required, but missing: wanted a text\nalias_of_itself.yaml:2:7: modules.m1: *m stands inside the value that it names: a value can't contain itself",
		"comments_only.yaml":      "comments_only.yaml: the file is empty: wanted a mapping (key: value)",
		"control_characters.yaml": "control_characters.yaml:2:11: control character (U+001B): remove it\ncontrol_characters.yaml:2:16: control character (U+009B): remove it",
		"cut_utf8.yaml":           "cut_utf8.yaml:2:9: byte 0xE2 is not UTF-8 here: save the file as UTF-8",
		"directive.yaml":          "directive.yaml:3:10: machine: the tag \"tag:example.com,2000:x\" is not used in these files: remove it",
		"empty.yaml":              "empty.yaml: the file is empty: wanted a mapping (key: value)",
		"empty_document.yaml":     "empty_document.yaml: the file is empty: wanted a mapping (key: value)",
		"foreign_tag.yaml":        "foreign_tag.yaml:1:1: the tag \"!!python/object:os.system\" is not used in these files: remove it\nforeign_tag.yaml:1:1: wanted a mapping with",
		"invalid_utf8.yaml":       "invalid_utf8.yaml:2:10: byte 0xFF is not UTF-8 here: save the file as UTF-8",
		"keys_of_mappings.yaml":   "keys_of_mappings.yaml:1:1: machine: required, but missing: wanted a text\nkeys_of_mappings.yaml:1:3: a key must be a name or a whole number, found a mapping\nkeys_of_mappings.yaml:3:3: a key must be a name or a whole number, found a list",
		"merge_bomb.yaml":         "merge_bomb.yaml:17:13: with what *p stands for, aliases repeat more than 1000000 values: write the file out, or raise the limit",
		"merge_of_itself.yaml":    "merge_of_itself.yaml:1:1: machine: required, but missing: wanted a text\nmerge_of_itself.yaml:3:9: modules.m1.<<: *m stands inside the value that it names: a value can't contain itself",
		"nul.yaml":                "nul.yaml:1:11: control character (U+0000): remove it",
		"open_bracket.yaml":       "open_bracket.yaml:3:1: a comma is missing before or in this line, or the ] of the list that starts in line 2",
		"open_quote.yaml":         "open_quote.yaml:1:10: the quote that opens here is not closed",
		"several_documents.yaml":  "several_documents.yaml:2:1: a second document starts here: put it into a file of its own",
		"tab_indentation.yaml":    "tab_indentation.yaml:3:1: a tab stands where only spaces may indent: replace it by spaces",
		"unknown_alias.yaml":      "unknown_alias.yaml:1:10: *nothing stands for a value that has no name yet: name one with &nothing further up, or write a text that starts with * in quotes",
		"unusual_breaks.yaml":     "unusual_breaks.yaml:1:11: unusual line break (U+2028): remove it\nunusual_breaks.yaml:2:10: byte order mark inside the file (U+FEFF): remove it",
		"utf16.yaml":              "utf16.yaml:1:1: the file is UTF-16: save it as UTF-8",
	}
	fsys := os.DirFS(hostileFolder)
	entries, err := os.ReadDir(hostileFolder)
	require.NoError(t, err)
	require.Len(t, entries, len(want), "every file of the folder is tried")
	for _, entry := range entries {
		t.Run(entry.Name(), func(t *testing.T) {
			var got plant
			_, problems := source.Load(fsys, entry.Name(), &got, source.Limits{})
			require.Error(t, problems.Err())
			require.True(t, strings.HasPrefix(problems.Error(), want[entry.Name()]), "want %s\ngot  %s", want[entry.Name()], problems)
		})
	}
}

// large inputs are made here and not kept. Memory is what is allocated in all,
// in megabytes: it bounds the time as well, and does not depend on how busy the
// machine is.
func TestHostileLargeInputs(t *testing.T) {
	if testing.Short() {
		t.Skip("takes some seconds")
	}
	repeat := strings.Repeat
	indented := func(levels int) string {
		var b strings.Builder
		for i := range levels {
			b.WriteString(repeat(" ", i) + "a:\n")
		}
		return b.String()
	}
	tests := []struct {
		name    string
		content string
		memory  int
		want    string
		reason  string
	}{
		{"50 MB", repeat("a: 1\n", 10<<20), 1, "f: the file has 52428800 bytes or more, and 33554432 are allowed", "not even looked at"},
		{"flow nesting, 10 000", repeat("[", 10_000) + repeat("]", 10_000), 20, "f:1:101: nested in more than 100 levels", "the library's own limit is higher"},
		{"flow nesting, 20 000", repeat("[", 20_000), 20, "f:1:1: nested too deeply", "the library's own limit"},
		{"mapping nesting, 10 000", repeat("{a: ", 10_000) + repeat("}", 10_000), 20, "f:1:398: nested in more than 100 levels", ""},
		{"mapping nesting, 20 000", repeat("{a: ", 20_000), 20, "f:1:1: nested too deeply", ""},
		{"list nesting, 9 990", repeat("- ", 9_990) + "a", 20, "f:1:201: nested in more than 100 levels", ""},
		{"list nesting, 20 000", repeat("- ", 20_000) + "a", 20, "f:1:1: nested too deeply", ""},
		{"block nesting, 5 000", indented(5_000), 60, "f:100:100: nested in more than 100 levels", "12 MB of blanks"},
		{"block nesting, 20 000", indented(20_000)[:30<<20], 150, "f:100:100: nested in more than 100 levels", "more would not fit into the size"},
		{"keys that nest", repeat("? ", 9_990) + "a", 30, "f:1:201: nested in more than 100 levels", ""},
		{"a million keys, all twice", repeat("a: 1\nb: 1\n", 500_000), 20, "f:100001:1: more than 100000 lines stand at this level", "told before it is parsed"},
		{"a million items", "[" + repeat("1,", 1_000_000) + "]", 10, "f:1:1: more than 100000 commas stand in this line at one level of brackets", "told before it is parsed"},
		{"a million items in lines", "[" + repeat(repeat("1,", 100)+"\n", 10_000) + "]", 600, "f:1:1: 1000000 entries, and 100000 are allowed in one place", "only the parser can tell"},
		{"ten million items", "[" + repeat("1,", 10_000_000) + "]", 10, "f:1:1: more than 100000 commas", "told before it is parsed"},
		{"ten million lists", repeat("["+repeat("[],", 1000)+"],\n", 10_000), 10, "f: the file has about 20020000 values, and 5000000 are allowed", "told before it is parsed"},
		{"long scalar", "machine: a\nversion: " + repeat("x", 30<<20), 600, `f:2:10: version: wanted a whole number in decimal digits, found "xxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxx"...`, "shown shortened"},
		{"long key", repeat("x", 1<<20) + ": 1", 20, "f:1:1: a colon followed by a blank is not expected here", "a key has 1024 characters at most"},
		{"many problems", "machine: a\nnotes: [" + repeat("[],", 90_000) + "]", 100, "f:2:9: notes.0: wanted a text, found a list", "most are only counted"},
		{"many aliases", "machine: a\nnotes: &n [x]\nnested: [" + repeat("*n,", 90_000) + "]", 100, `f:2:12: nested.0.0: wanted a whole number in decimal digits, found "x"`, "within the bounds, and one mistake is told once"},
		{"many unclosed", repeat("- [\n", 60_000), 200, "f:2:1: a value is missing", "the search for the line is bounded"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			var got plant
			var before, after runtime.MemStats
			runtime.ReadMemStats(&before)
			file, problems := source.Parse("f", []byte(tt.content), source.Limits{})
			problems = append(problems, file.Decode(&got)...).Sorted()
			runtime.ReadMemStats(&after)
			require.Error(t, problems.Err(), tt.reason)
			text := problems.Error()
			require.True(t, strings.HasPrefix(text, tt.want), "want %s\ngot  %.300s", tt.want, text)
			require.LessOrEqual(t, len(problems), 401)
			allocated := int(after.TotalAlloc-before.TotalAlloc) >> 20
			require.LessOrEqual(t, allocated, tt.memory+len(tt.content)>>20, "megabytes")
		})
	}
}

func TestDuplicatesAmongManyKeys(t *testing.T) {
	var b strings.Builder
	b.WriteString("machine: a\nlevels:\n")
	for i := range 90_000 {
		fmt.Fprintf(&b, "  k%d: 1\n", i%45_000)
	}
	_, problems := source.Parse("f", []byte(b.String()), source.Limits{})
	require.Len(t, problems, 201)
	require.Equal(t, `f:45003:3: levels.k0: "k0" is given twice, first at f:3:3: remove one`, problems[0].Error())
	require.Equal(t, "f: 44800 more problems are not listed: put these right first", problems[200].Error())
}

func TestLimitsCanBeRaised(t *testing.T) {
	deep := strings.Repeat("{left: ", 150) + "{}" + strings.Repeat("}", 150)
	file, problems := source.Parse("f", []byte(deep), source.Limits{Depth: 1000})
	require.Empty(t, problems)
	var got branch
	require.Empty(t, file.Decode(&got))

	long := strings.Repeat("a: 1\n", 10)
	_, problems = source.Parse("f", []byte(long), source.Limits{Entries: 9})
	require.EqualError(t, problems.Err(), "f:10:1: more than 9 lines stand at this level: split the file, or raise the limit")
}

func TestHostileFileSystem(t *testing.T) {
	fsys := fstest.MapFS{"pipe": {Mode: os.ModeNamedPipe}, "folder/f": {Data: []byte("a: 1")}}
	for name, want := range map[string]string{
		"pipe":   "pipe: this is not a regular file but a device, a pipe or the like",
		"folder": "folder: this is a folder: name a file in it",
		"none":   "none: there is no such file",
	} {
		var got plant
		file, problems := source.Load(fsys, name, &got, source.Limits{})
		require.Nil(t, file)
		require.EqualError(t, problems.Err(), want)
	}
}
