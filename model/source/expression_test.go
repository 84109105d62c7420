package source_test

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/require"

	"github.com/guardwright/guardwright/model/source"
)

// An expression in each way to write it. The caret lines are the expectation:
// every character of the text is looked up in the file, and what stands there
// must be that character, or the start of the escape sequence or the line
// break that it was written as.
func TestExpressionPlaces(t *testing.T) {
	tests := []struct {
		name, content, text, reason string
	}{
		{"plain", "rules:\n  - require: a < b && c  # comment\n", "a < b && c", ""},
		{"plain in braces", "rules: [{require: a < b, say: x}]\n", "a < b", ""},
		{"plain on the next line", "rules:\n  - require:\n      a < b\n", "a < b", ""},
		{"plain on several lines", "rules:\n  - require: a <   \n\n      b é\n\n\n       && c\n    say: x\n", "a <\nb é\n\n&& c", "blanks beside the break are dropped, an empty line is a break"},
		{"plain folded to blanks", "rules:\n  - require: a\n      < b\n        && c\n", "a < b && c", ""},
		{"plain, no ASCII before", "rules: [{say: ü€\U0001F512, require: é < b}]\n", "é < b", "columns count code points"},
		{"plain, colon and quotes inside", "rules:\n  - require: a:b == 'x' ? \"y\" : z\n", "", "a colon and a blank end a plain text: an error, not a wrong place"},
		{"single quoted", "rules: [{require: 'a == ''x'' && b'}]\n", "a == 'x' && b", "a doubled quote is one"},
		{"single quoted on several lines", "rules:\n  - require: 'a  \n      == ''x''\n\n      && b '\n", "a == 'x'\n&& b ", ""},
		{"double quoted", "rules: [{require: \"a == \\\"x\\\" && \\u00e9\\x41\\U0001F512 \\t\\\\ end\"}]\n", "a == \"x\" && éA\U0001F512 \t\\ end", "escapes"},
		{"double quoted, all escapes", "rules: [{require: \"\\0\\a\\b\\t\\n\\v\\f\\r\\e\\ \\'\\N\\_\\L\\P\"}]\n", "\x00\a\b\t\n\v\f\r\x1b '\u0085\u00a0\u2028\u2029", ""},
		{"double quoted on several lines", "rules:\n  - require: \"a\n      < b \\\n      && c\n\n\n      && \\\n\n      d\"\n", "a < b && c\n\n&& \nd", "an escaped break is dropped"},
		{"JSON", `{"rules":[{"require":"a <\n b","say":"x"}]}`, "a <\n b", "a line break as an escape"},
		{"literal", "rules:\n  - require: |\n      a <\n        b\n\n      && c\n    say: x\n", "a <\n  b\n\n&& c\n", ""},
		{"literal, stripped", "rules:\n  - require: |-  # comment\n      a <\n      b\n\n\n    say: x\n", "a <\nb", ""},
		{"literal, kept", "rules:\n  - require: |+\n      a\n\n\n    say: x\n", "a\n\n\n", ""},
		{"literal, kept at the end", "rules:\n  - require: |+\n      a\n\n   \n", "a\n\n\n", ""},
		{"literal with indentation", "rules:\n  - require: |2-\n        a\n      b\n    say: x\n", "  a\nb", "the digit is relative to what is around"},
		{"literal with indentation, other order", "rules:\n  - require: |-2\n        a\n      b\n", "  a\nb", ""},
		{"literal without a break at the end", "rules:\n  - require: |\n      a\n      b", "a\nb", ""},
		{"literal starting with empty lines", "rules:\n  - require: |\n\n     \n      a\n", "\n\na\n", ""},
		{"literal with tabs and blanks at ends", "rules:\n  - require: |\n      a\t \n       \t b\n", "a\t \n \t b\n", ""},
		{"literal, CR LF", "rules:\r\n  - require: |\r\n      a\r\n      b\r\n", "a\nb\n", ""},
		{"folded", "rules:\n  - require: >\n      a <\n      b\n\n      && c\n", "a < b\n&& c\n", ""},
		{"folded, stripped", "rules:\n  - require: >-\n      a <\n      b\n    say: x\n", "a < b", ""},
		{"folded with more indented lines", "rules:\n  - require: >\n      a\n      b\n        c\n        d\n      e\n\n\n      f\n", "a b\n  c\n  d\ne\n\nf\n", "more indented lines are not folded"},
		{"folded with indentation", "rules:\n  - require: >1\n      a\n      b\n", "", "checked by the library's text"},
		{"folded, CR LF", "rules:\r\n  - require: >-\r\n      a\r\n      b\r\n", "a b", ""},
		{"anchor", "rules:\n  - require: &same a < b\n", "a < b", ""},
		{"anchor before quotes", "rules:\n  - require: &same   'a < b'\n", "a < b", ""},
		{"anchor before a block", "rules:\n  - require: &same |\n      a < b\n", "a < b\n", ""},
		{"anchor on its own line", "rules:\n  - require: &same # comment\n      a < b\n", "a < b", ""},
		{"alias", "notes: [&same 'a < b']\nrules: [{require: *same}]\n", "a < b", "where it is written"},
		{"byte order mark", "\uFEFFrules: [{require: a < b}]\n", "a < b", "it takes no column"},
		{"a number", "rules: [{require: 010}]\n", "010", "text as it is written"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			file, problems := source.Parse("f", []byte(tt.content), source.Limits{})
			if tt.text == "" && len(problems) > 0 {
				return
			}
			require.Empty(t, problems)
			var got plant
			file.Decode(&got)
			e := got.Rules[0].Require
			if tt.text != "" {
				require.Equal(t, tt.text, e.Text, tt.reason)
			}
			checkPlaces(t, tt.content, e, true)
		})
	}
}

// checkPlaces compares every character of an expression with what stands at
// its place. It reports whether places are known at all; if they must be, it
// fails otherwise.
func checkPlaces(t testing.TB, content string, e source.Expression, must bool) bool {
	lines := strings.Split(strings.ReplaceAll(strings.ReplaceAll(strings.TrimPrefix(content, "\uFEFF"), "\r\n", "\n"), "\r", "\n"), "\n")
	if e.Position().IsZero() {
		return false // not in the file
	}
	known := e.Position() != e.At(1, 1) || utf8.RuneCountInString(e.Text) == 0
	if !known {
		if must && utf8.RuneCountInString(strings.SplitN(e.Text, "\n", 2)[0]) > 0 {
			t.Errorf("no places for %q", e.Text)
		}
		return false
	}
	var last source.Position
	for i, textLine := range strings.Split(e.Text, "\n") {
		column := 0
		for _, r := range textLine + "\n" {
			at := e.At(i+1, column)
			column++
			if at.Compare(last) < 0 {
				t.Errorf("%q in %q: %s comes before %s", r, content, at, last)
			}
			last = at
			line := []rune(lines[at.Line-1] + "\n")
			if at.Column > len(line) {
				t.Errorf("%q in %q: %s is behind the line", r, content, at)
				continue
			}
			found := line[at.Column-1]
			ended := i == strings.Count(e.Text, "\n") && r == '\n'
			// A break of the text may be an empty line of the file; a blank may
			// be a break, behind blanks that are dropped.
			folded := (r == ' ' || r == '\n') && (found == '\n' || strings.TrimSpace(string(line[:at.Column-1])) == "")
			if !ended && found != r && found != '\\' && !folded {
				t.Errorf("%q (%d:%d) in %q: at %s stands %q", r, i+1, column-1, content, at, found)
			}
		}
	}
	return true
}

func TestExpressionExactPlaces(t *testing.T) {
	const content = "rules:\n- require: >-\n    first é\n    second\n\n    third\n  say: \"a\\u00e9b {x}\"\n"
	file, problems := source.Parse("f", []byte(content), source.Limits{})
	require.Empty(t, problems)
	var got plant
	file.Decode(&got)
	require.Equal(t, "first é second\nthird", got.Rules[0].Require.Text)
	tests := []struct {
		e            source.Expression
		line, column int
		want, reason string
	}{
		{got.Rules[0].Require, 1, 0, "f:3:5", "the first character"},
		{got.Rules[0].Require, 1, 6, "f:3:11", "é"},
		{got.Rules[0].Require, 1, 7, "f:3:12", "the blank stands where the break is"},
		{got.Rules[0].Require, 1, 8, "f:4:5", "second"},
		{got.Rules[0].Require, 2, 0, "f:6:5", "third"},
		{got.Rules[0].Require, 2, 5, "f:6:10", "behind the last character: the end of an expression"},
		{got.Rules[0].Require, 2, 99, "f:6:10", "behind the line: its end"},
		{got.Rules[0].Require, 9, 0, "f:6:10", "behind the text: its end"},
		{got.Rules[0].Require, 0, -5, "f:3:5", "before the text: its start"},
		{got.Rules[0].Say, 1, 0, "f:7:9", "behind the quote"},
		{got.Rules[0].Say, 1, 1, "f:7:10", "the start of the escape sequence"},
		{got.Rules[0].Say, 1, 2, "f:7:16", "behind the escape sequence"},
		{got.Rules[0].Say, 1, 5, "f:7:19", "x"},
	}
	for _, tt := range tests {
		require.Equal(t, tt.want, tt.e.At(tt.line, tt.column).String(), tt.reason)
	}
}

func TestExpressionBuiltInGo(t *testing.T) {
	e := source.Expression{Text: "a < b"}
	require.Zero(t, e.At(1, 2))
	require.Zero(t, e.Position())
	require.True(t, e == source.Expression{Text: "a < b"})
	require.True(t, source.Expression{}.IsZero())

	file, _ := source.Parse("f", []byte("rules: [{require: a < b}]"), source.Limits{})
	var got plant
	file.Decode(&got)
	require.True(t, e.Equal(got.Rules[0].Require))
	require.Equal(t, "a < b", fmt.Sprint(got.Rules[0].Require))

	data, err := json.Marshal(got.Rules[0].Require)
	require.NoError(t, err)
	require.JSONEq(t, `"a < b"`, string(data))
	require.NoError(t, json.Unmarshal(data, &e))
	require.Equal(t, "a < b", e.Text)
}

// Many expressions in one long line with characters of several bytes: finding
// the bytes of each must not start at the start of the line.
func TestExpressionsInOneLine(t *testing.T) {
	content := `{"machine":"é","rules":[` + strings.Repeat(`{"require":"é < b"},`, 50_000) + `{"require":"ü"}]}`
	file, problems := source.Parse("f", []byte(content), source.Limits{})
	require.Empty(t, problems)
	var got plant
	require.Empty(t, file.Decode(&got))
	last := got.Rules[50_000].Require
	require.Equal(t, "ü", last.Text)
	require.Equal(t, utf8.RuneCountInString(content)-4, last.Position().Column)
}
