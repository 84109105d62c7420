package source

import (
	"bytes"
	"fmt"
	"regexp"
	"slices"
	"sort"
	"strconv"
	"strings"
)

// The YAML library reports a syntax error as "yaml: line 7: found ...". Its
// text names grammar rules, and its line is, by the kind of the error, the one
// in question, the start of what it stands in, or missing. This file makes a
// problem of it that says what to do, at the right line.

type syntaxText struct {
	found string // part of the library's text
	say   string
	// scanned: found by the library's scanner, which counts lines from 1; its
	// parser counts from 0.
	scanned bool
	// mark is a text in the line whose column is given, if it is there; "quote"
	// is the quote left open, "character" one that can't start a value.
	mark string
	// search: the library names the start of the mapping, list or text around,
	// and the line in question is to be found.
	search bool
	// tail and sayLine belong to a list in brackets or a mapping in braces. The
	// error that any beginning of it gives, because it is not closed, becomes
	// another one with the tail behind it; sayLine is for the line in question
	// and takes the line where the bracket opens.
	tail, sayLine string
}

// syntaxTexts returns the errors of the library that a person runs into. The
// first that is part of an error's text counts.
func syntaxTexts() []syntaxText {
	const (
		noTag       = "a tag (!...) is not used in these files: remove it, or write the text in quotes"
		noDirective = "a directive (a line that starts with %) is not used in these files: remove it"
		noTab       = "a tab stands where only spaces may indent: replace it by spaces"
		inQuotes    = "in the text in double quotes that starts here, "
	)
	return []syntaxText{
		{found: "unknown anchor", scanned: true, search: true},
		{found: "did not find expected key", search: true,
			say: "this line does not fit the mapping that it stands in: check its indentation, its colon, and quotes and brackets before it"},
		{found: "did not find expected '-' indicator", search: true,
			say: "this line does not fit the list that it stands in: every item starts with a dash in the same column"},
		{found: "did not find expected <document start>", search: true,
			say: "nothing may follow here: the value of the file ended before this line"},
		{found: "did not find expected ',' or ']'", search: true, mark: "[", tail: "\n,",
			say:     "the list in brackets that starts here has a comma missing, or its ]",
			sayLine: "a comma is missing before or in this line, or the ] of the list that starts in line %d"},
		{found: "did not find expected ',' or '}'", search: true, mark: "{", tail: "\n,",
			say:     "the mapping in braces that starts here has a comma missing, or its }",
			sayLine: "a comma is missing before or in this line, or the } of the mapping that starts in line %d"},
		{found: "did not find expected node content",
			say: "a value is missing or starts with a character that has a meaning in YAML: write it in quotes"},
		{found: "found undefined tag handle", mark: "!", say: noTag},
		{found: "found duplicate %", mark: "%", say: noDirective},
		{found: "found incompatible YAML document", mark: "%", say: noDirective},
		{found: "directive", scanned: true, mark: "%", say: noDirective},
		{found: "version number", scanned: true, mark: "%", say: noDirective},
		{found: "found a tab character", scanned: true, mark: "\t", search: true, say: noTab},
		{found: "found character that cannot start any token", scanned: true, mark: "character",
			say: "a value can't start with this character: write it in quotes"},
		{found: "found unexpected end of stream", scanned: true, mark: "quote",
			say: "the quote that opens here is not closed"},
		{found: "found unexpected document indicator", scanned: true, mark: "quote",
			say: "the quote that opens here is not closed before the next document"},
		{found: "found unknown escape character", scanned: true, mark: "\"",
			say: inQuotes + `a \ is followed by a character with no meaning: write \\ for a \, / for a /, or use single quotes`},
		{found: "found invalid Unicode character escape code", scanned: true, mark: "\"",
			say: inQuotes + `a \u or \U gives no character (the two halves of one are not joined): write the character itself`},
		{found: "did not find expected hexdecimal number", scanned: true, mark: "\"",
			say: inQuotes + `\x, \u or \U is not followed by 2, 4 or 8 hexadecimal digits`},
		{found: "could not find expected ':'", scanned: true,
			say: "a key needs a colon and a blank after it, on the same line"},
		{found: "mapping values are not allowed in this context", scanned: true,
			say: "a colon followed by a blank is not expected here: check the indentation, or write a text with a colon in quotes"},
		{found: "mapping keys are not allowed in this context", scanned: true,
			say: "a key is not expected here: check the indentation"},
		{found: "block sequence entries are not allowed in this context", scanned: true,
			say: "a list item is not expected here: start the list on a line of its own"},
		{found: "did not find expected comment or line break", scanned: true,
			say: "after | or > only its indicators and a comment may stand: start the text on the next line"},
		{found: "indentation indicator equal to 0", scanned: true,
			say: "the indentation after | or > is a number from 1 to 9"},
		{found: "did not find expected alphabetic or numeric character", scanned: true,
			say: "after & or * a name follows: letters, digits, _ and -; write a text that starts with one of them in quotes"},
		{found: "exceeded max depth", scanned: true, say: "nested too deeply"},
		{found: "tag", scanned: true, mark: "!", say: noTag},
		{found: "URI", scanned: true, mark: "!", say: noTag},
		{found: "did not find the expected '>'", scanned: true, mark: "!", say: noTag},
		{found: "did not find expected '!'", scanned: true, mark: "!", say: noTag},
		{found: "did not find expected whitespace or line break", scanned: true, mark: "!", say: noTag},
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
	if known.search {
		opens := line
		line = t.failingLine(message, known.tail, line, delivered)
		if known.sayLine != "" && line != opens {
			known.say, known.mark = fmt.Sprintf(known.sayLine, opens), ""
		}
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
func (t *text) failingLine(message, tail string, known, delivered int) int {
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
		reader := newDocumentReader(slices.Concat(t.data[:end], []byte(tail)))
		for {
			if _, err := reader.next(); err != nil {
				return libraryLine.ReplaceAllString(err.Error(), "") == want
			}
		}
	}
	low := max(t.lineOf(max(delivered-readAhead, 0)), 1)
	high := t.lineOf(max(delivered-1, 0))
	if low > 1 && fails(low-1) || !fails(high) {
		return known
	}
	return low + sort.Search(high-low, func(i int) bool { return fails(low + i) })
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
