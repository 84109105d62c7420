package source_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/guardwright/guardwright/model/source"
)

func TestSyntaxErrors(t *testing.T) {
	const (
		noMapping = "this line does not fit the mapping"
		noList    = "this line does not fit the list"
		noColon   = "a colon followed by a blank is not expected here"
		noValue   = "a value is missing or starts with a character that has a meaning in YAML"
		noTab     = "a tab stands where only spaces may indent"
		noTag     = "a tag (!...) is not used in these files"
		noPercent = "a directive (a line that starts with %) is not used"
		noName    = "after & or * a name follows"
	)
	tests := []struct{ content, want, reason string }{
		{"a: 'open\nb: 1\n", "1:4: the quote that opens here is not closed", ""},
		{"a: 1\nb: [1, \"x\", \"open\n", "2:13: the quote that opens here is not closed", "the one left open, not the first"},
		{"a: \"it's\", 'x\n", "1:12: the quote that opens here is not closed", "not the one in the text before"},
		{"a: \"x\n--- \ny\"", "1:4: the quote that opens here is not closed before the next document", ""},
		{"a: 1\n\tb: 2\n", "2:1: " + noTab, ""},
		{"a:\n  b: 1\n \tc: 2\n", "3:2: " + noTab, ""},
		{"a: >\n \tx\n", "2:2: " + noTab, ""},
		{"-\t- a\n", "1:2: " + noTab, "behind a dash as well"},
		{"a: x\n  y\n\tz\n", "3:1: " + noTab, "the library names the start of the text only"},
		{"a: [1, 2\nb: 3\n", "2:1: a comma is missing before or in this line, or the ] of the list that starts in line 1", ""},
		{"x: 1\na: {b: 1\nc: 2\n", "3:1: a comma is missing before or in this line, or the } of the mapping that starts in line 2", ""},
		{"{\n  \"a\": 1,\n  \"b\": 1\n  \"c\": 2\n}\n", "4:3: a comma is missing before or in this line, or the } of the mapping that starts in line 1", "JSON"},
		{"a: {b: 1, c: 2\n", "1:4: the mapping in braces that starts here has a comma missing, or its }", "to the end of the file"},
		{"é: [b, c", "1:4: the list in brackets that starts here has a comma missing, or its ]", ""},
		{"a: 1\n b: 2\n", "2:2: " + noColon, ""},
		{"a: b: c\n", "1:1: " + noColon, ""},
		{"x: 1\na:\n  b: 1\n c: 2\n", "4:2: " + noMapping, "not line 2, where the mapping starts"},
		{"a: 1\n]\n", "2:1: " + noMapping, ""},
		{"a: 'it's'\n", "1:1: " + noMapping, ""},
		{"- a\n- b\nb: 1\n", "3:1: " + noList, ""},
		{"a: 1\nfoo\nb: 2\n", "2:1: a key needs a colon and a blank after it", ""},
		{"a: 1\n...\nb: 2\n", "3:1: nothing may follow here", ""},
		{"{a: 1} b\n", "1:1: nothing may follow here", ""},
		{"x: 1\ny: 2\na: @b\n", `3:4: a value can't start with "@"`, ""},
		{"a: `b`\n", "1:4: a value can't start with \"`\"", ""},
		{"a: ]\n", "1:1: " + noValue, ""},
		{"a: [b, , c]\n", "1:1: " + noValue, ""},
		{"a: - b\n", "1:1: a list item is not expected here", ""},
		{"a: ? b\n", "1:1: a key is not expected here", ""},
		{"a: &  b\n", "1:1: " + noName, ""},
		{"** a: b\n", "1:1: " + noName, ""},
		{"x: '*no'\ny: 1\na: [*no]\nb: *no\n", "3:5: *no stands for a value that has no name yet", "the first that is one"},
		{"a: \"\\/\"\n", "1:4: in the text in double quotes that starts here, a \\ is followed by a character with no meaning", ""},
		{"a: \"\\ud83d\\udd12\"", "1:4: in the text in double quotes that starts here, a \\u or \\U gives no character", "JSON's way to write it, which this YAML has not"},
		{"a: \"\\u12\"", "1:4: in the text in double quotes that starts here, \\x, \\u or \\U is not followed by", ""},
		{"a: |x\n  b\n", "1:1: after | or > only its indicators and a comment may stand", ""},
		{"a: |0\n  b\n", "1:1: the indentation after | or > is a number from 1 to 9", ""},
		{"a: !x!y z\n", "1:4: " + noTag, ""},
		{"a: !<x y\n", "1:4: " + noTag, ""},
		{"%YAML 1.2\n---\na: 1\n", "1:1: " + noPercent, ""},
		{"%FOO\na: 1\n", "1:1: " + noPercent, ""},
		{"%TAG ! a\n%TAG ! b\n---\na: 1\n", "2:1: " + noPercent, ""},
	}
	for _, tt := range tests {
		_, problems := source.Parse("f", []byte(tt.content), source.Limits{})
		require.Len(t, problems, 1, "%q", tt.content)
		got := problems.Error()
		require.True(t, strings.HasPrefix(got, "f:"+tt.want), "%q\nwant %s\ngot  %s", tt.content, tt.want, got)
		// The same behind a hundred lines: all places move by a hundred.
		long := strings.Repeat("# comment\n", 100) + tt.content
		_, problems = source.Parse("f", []byte(long), source.Limits{})
		require.Len(t, problems, 1, "%q", tt.content)
		moved := strings.SplitN(tt.want, ":", 2)
		require.Equal(t, problems[0].Position.Line, 100+lineOf(t, moved[0]), "%q: %s", tt.content, problems)
	}
}

func lineOf(t *testing.T, text string) int {
	t.Helper()
	require.Len(t, text, 1)
	return int(text[0] - '0')
}

// In a large file the line in question is not searched for: the library's line
// has to do.
func TestSyntaxErrorInLargeFile(t *testing.T) {
	content := "modules:\n" + strings.Repeat("  m: {type: x}\n", 50_000) + " n: {type: x}\n"
	_, problems := source.Parse("f", []byte(content), source.Limits{})
	require.Len(t, problems, 1)
	require.Equal(t, 1, problems[0].Position.Line)
}
