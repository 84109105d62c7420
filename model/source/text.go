package source

import (
	"bytes"
	"fmt"
	"sort"
	"unicode/utf8"
)

// text is the content of a file after the first look at its bytes: valid
// UTF-8 without control characters, with the starts of its lines.
type text struct {
	data  []byte  // without a byte order mark
	lines []int32 // offset of the start of every line
	ascii bool    // a column is a byte
}

const byteOrderMark = "\uFEFF"

// newText looks at every byte once, before the YAML library sees them. It
// finds what that library would report without a place (or not at all), and
// what would cost too much to parse.
func newText(data []byte, limits Limits, out *collector) (*text, bool) {
	if encoding := otherEncoding(data); encoding != "" {
		out.add(Problem{Position: Position{out.file, 1, 1}, Text: "the file is " + encoding + ": save it as UTF-8"})
		return nil, false
	}
	t := &text{data: bytes.TrimPrefix(data, []byte(byteOrderMark)), ascii: true}
	t.findLines()
	ok := t.checkCharacters(out)
	return t, ok && t.checkCost(limits, out)
}

func otherEncoding(data []byte) string {
	switch {
	case bytes.HasPrefix(data, []byte{0xFF, 0xFE}), bytes.HasPrefix(data, []byte{0xFE, 0xFF}):
		return "UTF-16"
	case bytes.HasPrefix(data, []byte{0, 0, 0xFE, 0xFF}):
		return "UTF-32"
	}
	return ""
}

// findLines takes LF, CR LF and CR as line breaks, as YAML does.
func (t *text) findLines() {
	t.lines = make([]int32, 1, bytes.Count(t.data, []byte{'\n'})+2)
	for i, c := range t.data {
		if c == '\n' || c == '\r' && (i+1 == len(t.data) || t.data[i+1] != '\n') {
			t.lines = append(t.lines, int32(i+1))
		}
		if c >= utf8.RuneSelf {
			t.ascii = false
		}
	}
}

// line returns the text of a line, counted from 1, without its break.
func (t *text) line(n int) []byte {
	if n < 1 || n > len(t.lines) {
		return nil
	}
	end := len(t.data)
	if n < len(t.lines) {
		end = int(t.lines[n])
	}
	return bytes.TrimRight(t.data[t.lines[n-1]:end], "\r\n")
}

// lineOf returns the line, counted from 1, that a byte stands in.
func (t *text) lineOf(offset int) int {
	return sort.Search(len(t.lines), func(i int) bool { return int(t.lines[i]) > offset })
}

// position returns the place of a byte.
func (t *text) position(file string, offset int) Position {
	line := t.lineOf(offset)
	return Position{file, line, utf8.RuneCount(t.data[t.lines[line-1]:offset]) + 1}
}

// checkCharacters reports bytes that are no UTF-8 (the first only: behind it
// the file may be anything) and characters that can't be seen in an editor or
// that YAML parsers of different age read differently.
func (t *text) checkCharacters(out *collector) bool {
	ok := true
	for i := 0; i < len(t.data); {
		if c := t.data[i]; c >= ' ' && c < 0x7F || c == '\n' || c == '\t' || c == '\r' {
			i++
			continue
		}
		r, size := utf8.DecodeRune(t.data[i:])
		if r == utf8.RuneError && size == 1 {
			out.add(Problem{Position: t.position(out.file, i), Text: fmt.Sprintf("byte 0x%02X is not UTF-8 here: save the file as UTF-8", t.data[i])})
			return false
		}
		if what := unwanted(r); what != "" {
			ok = false
			if !out.full() {
				out.add(Problem{Position: t.position(out.file, i), Text: fmt.Sprintf("%s (U+%04X): remove it", what, r)})
			}
		}
		i += size
	}
	return ok
}

func unwanted(r rune) string {
	switch {
	case r == 0x85, r == 0x2028, r == 0x2029:
		// YAML 1.1 takes them for line breaks, YAML 1.2 and JSON don't.
		return "unusual line break"
	case r == 0xFEFF:
		return "byte order mark inside the file"
	case r < 0xA0:
		return "control character"
	case r == 0xFFFE, r == 0xFFFF:
		return "no character"
	}
	return ""
}

// checkCost refuses what would take too much time or memory to parse. It
// counts punctuation, without knowing which of it is inside quotes or texts;
// the limits leave room for that.
func (t *text) checkCost(limits Limits, out *collector) bool {
	values := 0
	for _, c := range t.data {
		switch c {
		case ':':
			values += 2
		case ',', '[', '{', '?', '&', '*':
			values++
		}
	}
	var levels levels
	for i, start := range t.lines {
		indent, dashes := indentation(t.data[start:])
		values += dashes
		if indent < 0 {
			continue
		}
		what := ""
		if levels.add(indent) > limits.Entries {
			what = "lines stand at this level"
		} else if crowded(t.line(i+1), limits.Entries) {
			what = "commas stand in this line at one level of brackets"
		}
		if what != "" {
			out.add(Problem{Position: Position{out.file, i + 1, indent + 1},
				Text: fmt.Sprintf("more than %d %s: split the file, or raise the limit", limits.Entries, what)})
			return false
		}
	}
	if values > limits.Values {
		out.add(fileProblem(out.file, fmt.Sprintf("the file has about %d values, and %d are allowed: split it, or raise the limit", values, limits.Values)))
		return false
	}
	return true
}

// indentation returns the number of spaces before a line, or -1 for a line
// that is blank or a comment, and the number of list dashes after them.
func indentation(line []byte) (indent, dashes int) {
	i := 0
	for i < len(line) && line[i] == ' ' {
		i++
	}
	if i == len(line) || line[i] == '\n' || line[i] == '\r' || line[i] == '#' {
		return -1, 0
	}
	indent = i
	for ; i < len(line) && (line[i] == '-' || line[i] == ' '); i++ {
		if line[i] == '-' {
			dashes++
		}
	}
	return indent, dashes
}

// levels counts the lines at each level of indentation that is open.
type levels []struct{ indent, lines int }

// add enters a line and returns how many stand at its level.
func (l *levels) add(indent int) int {
	for len(*l) > 0 && (*l)[len(*l)-1].indent > indent {
		*l = (*l)[:len(*l)-1]
	}
	if n := len(*l); n == 0 || (*l)[n-1].indent < indent {
		*l = append(*l, struct{ indent, lines int }{indent, 0})
	}
	top := &(*l)[len(*l)-1]
	top.lines++
	return top.lines
}

// crowded reports whether a line has more commas than the limit at one level of
// brackets, text in double quotes left out: a file in JSON is one line often.
func crowded(line []byte, limit int) bool {
	if len(line) <= limit || bytes.Count(line, []byte{','}) <= limit {
		return false
	}
	commas := []int{0}
	for i := 0; i < len(line); i++ {
		switch top := len(commas) - 1; line[i] {
		case '"':
			i += quotedLength(line[i+1:])
		case '[', '{':
			commas = append(commas, 0)
		case ']', '}':
			commas = commas[:max(top, 1)]
		case ',':
			commas[top]++
			if commas[top] > limit {
				return true
			}
		}
	}
	return false
}

// quotedLength returns the length up to and with the closing quote, or 0 if
// there is none.
func quotedLength(line []byte) int {
	for i := 0; i < len(line); i++ {
		switch line[i] {
		case '\\':
			i++
		case '"':
			return i + 1
		}
	}
	return 0
}
