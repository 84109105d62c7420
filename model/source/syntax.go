package source

import (
	"bytes"
	"regexp"
	"sort"
	"strconv"
	"strings"
)

// The YAML library reports a syntax error as "yaml: line 7: found ...". Its
// text names grammar rules, and its line is, by the kind of the error, the one
// in question, the start of what it stands in, or missing. This file makes a
// problem of it that says what to do, at the right line.

// place says which line the library reports with an error.
type place int

const (
	// here: the line in question, or the line where a quote or bracket opens.
	here place = iota
	// outer: the start of the mapping or list around; the line in question
	// is found by parsing shorter and shorter beginnings of the file.
	outer
)

type syntaxText struct {
	found string // part of the library's text
	say   string
	place place
	// scanned: found by the library's scanner, which counts lines from 1; its
	// parser counts from 0.
	scanned bool
	// mark is a text in the line whose column is given, if it is there; "quote"
	// is the quote left open, "character" one that can't start a value.
	mark string
}

// syntaxTexts returns the errors of the library that a person runs into.
func syntaxTexts() []syntaxText {
	return []syntaxText{
		{"unknown anchor", "", outer, true, ""},
		{"did not find expected key", "this line does not fit the mapping that it stands in: check its indentation, its colon, and quotes and brackets before it", outer, false, ""},
		{"did not find expected '-' indicator", "this line does not fit the list that it stands in: every item starts with a dash in the same column", outer, false, ""},
		{"did not find expected <document start>", "nothing may follow here: the value of the file ended before this line", outer, false, ""},
		{"did not find expected ',' or ']'", "the list in brackets that starts here has a comma missing, or its ]", here, false, "["},
		{"did not find expected ',' or '}'", "the mapping in braces that starts here has a comma missing, or its }", here, false, "{"},
		{"did not find expected node content", "a value is missing or starts with a character that has a meaning in YAML: write it in quotes", here, false, ""},
		{"found undefined tag handle", "a tag (!...) is not used in these files: remove it, or write the text in quotes", here, false, "!"},
		{"directive", "a directive (a line that starts with %) is not used in these files: remove it", here, false, "%"},
		{"found incompatible YAML document", "a directive (a line that starts with %) is not used in these files: remove it", here, false, "%"},
		{"found a tab character", "a tab stands where only spaces may indent: replace it by spaces", outer, true, "\t"},
		{"found character that cannot start any token", "a value can't start with this character: write it in quotes", here, true, "character"},
		{"found unexpected end of stream", "the quote that opens here is not closed", here, true, "quote"},
		{"found unexpected document indicator", "the quote that opens here is not closed before the next document", here, true, "quote"},
		{"found unknown escape character", `in the text in double quotes that starts here, a \ is followed by a character with no meaning: write \\ for a \, / for a /, or use single quotes`, here, true, "\""},
		{"found invalid Unicode character escape code", `in the text in double quotes that starts here, a \u or \U gives no character (the two halves of one are not joined): write the character itself`, here, true, "\""},
		{"did not find expected hexdecimal number", `in the text in double quotes that starts here, \x, \u or \U is not followed by 2, 4 or 8 hexadecimal digits`, here, true, "\""},
		{"could not find expected ':'", "a key needs a colon and a blank after it, on the same line", here, true, ""},
		{"mapping values are not allowed in this context", "a colon followed by a blank is not expected here: check the indentation, or write a text with a colon in quotes", here, true, ""},
		{"mapping keys are not allowed in this context", "a key is not expected here: check the indentation", here, true, ""},
		{"block sequence entries are not allowed in this context", "a list item is not expected here: start the list on a line of its own", here, true, ""},
		{"did not find expected comment or line break", "after | or > only its indicators and a comment may stand: start the text on the next line", here, true, ""},
		{"indentation indicator equal to 0", "the indentation after | or > is a number from 1 to 9", here, true, ""},
		{"did not find expected alphabetic or numeric character", "after & or * a name follows: letters, digits, _ and -; write a text that starts with one of them in quotes", here, true, ""},
		{"exceeded max depth", "nested too deeply", here, true, ""},
		{"tag", "a tag (!...) is not used in these files: remove it, or write the text in quotes", here, true, "!"},
	}
}

var libraryLine = regexp.MustCompile(`^yaml: (?:line (\d+): )?`)

// syntaxProblem turns an error of the library into a problem. Delivered is the
// number of bytes that it had asked for by then.
func (t *text) syntaxProblem(file string, err error, delivered int) Problem {
	message := err.Error()
	known := syntaxText{say: "this can't be read as YAML: " + libraryLine.ReplaceAllString(message, ""), scanned: true}
	for _, candidate := range syntaxTexts() {
		if strings.Contains(message, candidate.found) {
			known = candidate
			break
		}
	}
	line := t.reportedLine(message, known.scanned)
	if known.place == outer {
		line = t.failingLine(message, line, delivered)
	}
	if name, ok := unknownAnchor(message); ok {
		known.say = "*" + name + " stands for a value that has no name yet: name one with &" + name + " further up, or write a text that starts with * in quotes"
		known.mark = "*" + name
	}
	column := t.column(line, known.mark)
	if known.mark == "character" {
		known.say, column = t.explainCharacter(line, column, known.say)
	}
	return Problem{Position: Position{file, line, column}, Text: known.say}
}

// reportedLine returns the library's line as one of the file. The empty line
// in front of the file makes up for a parser that counts from 0.
func (t *text) reportedLine(message string, scanned bool) int {
	match := libraryLine.FindStringSubmatch(message)
	if match == nil || match[1] == "" {
		return 1
	}
	line, err := strconv.Atoi(match[1])
	if err != nil {
		return 1
	}
	if scanned {
		line--
	}
	return min(max(line, 1), len(t.lines))
}

const (
	// searchedBytes is what a search for the failing line parses at most, about
	// ten times. In a larger file the library's line has to do.
	searchedBytes = 256 << 10
	// readAhead is how far the library reads before it parses.
	readAhead = 4 << 10
)

// failingLine returns the first line that makes the library report the same
// kind of error, or the line that is known if there is no telling.
func (t *text) failingLine(message string, known, delivered int) int {
	delivered = min(delivered, len(t.data))
	if delivered > searchedBytes {
		return known
	}
	want := libraryLine.ReplaceAllString(message, "")
	fails := func(lines int) bool {
		end := len(t.data)
		if lines < len(t.lines) {
			end = int(t.lines[lines])
		}
		reader := newDocumentReader(t.data[:end])
		for {
			if _, err := reader.next(); err != nil {
				return libraryLine.ReplaceAllString(err.Error(), "") == want
			}
		}
	}
	low := max(t.lineOf(max(delivered-readAhead, 0)), 1)
	high := t.lineOf(max(delivered-1, 0))
	if low > 1 && fails(low-1) {
		return known
	}
	found := low + sort.Search(high-low, func(i int) bool { return fails(low + i) })
	return found
}

func unknownAnchor(message string) (string, bool) {
	_, rest, ok := strings.Cut(message, "unknown anchor '")
	if !ok {
		return "", false
	}
	return strings.CutSuffix(rest, "' referenced")
}

// column returns the column of a mark in a line, or of its first character.
func (t *text) column(line int, mark string) int {
	content := t.line(line)
	at := len(content) - len(bytes.TrimLeft(content, " \t"))
	switch mark {
	case "", "character":
	case "quote":
		at = openQuote(content, at)
	default:
		if i := bytes.Index(content, []byte(mark)); i >= 0 {
			at = i
		}
	}
	return len([]rune(string(content[:at]))) + 1
}

// openQuote returns the place of the quote that a line leaves open.
func openQuote(line []byte, otherwise int) int {
	var open byte
	at := otherwise
	for i := 0; i < len(line); i++ {
		switch c := line[i]; {
		case open == '"' && c == '\\':
			i++
		case open != 0 && c == open:
			open = 0
		case open == 0 && (c == '"' || c == '\'') && (i == 0 || bytes.IndexByte([]byte(" \t[{,:"), line[i-1]) >= 0):
			open, at = c, i
		}
	}
	return at
}

// explainCharacter looks for the character of a line that can't start a value:
// most often a tab, or one that YAML keeps for itself.
func (t *text) explainCharacter(line, column int, otherwise string) (string, int) {
	content := t.line(line)
	if i := bytes.IndexByte(content, '\t'); i >= 0 && len(bytes.TrimLeft(content[:i], " -:?")) == 0 {
		return "a tab stands where only spaces may indent: replace it by spaces", i + 1
	}
	for _, c := range []string{"@", "`", "%", "\t", "|", ">"} {
		if i := bytes.Index(content, []byte(c)); i >= 0 {
			return "a value can't start with " + quote(c) + ": write it in quotes", len([]rune(string(content[:i]))) + 1
		}
	}
	return otherwise, column
}
