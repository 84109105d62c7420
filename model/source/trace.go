package source

import (
	"bytes"
	"strconv"
	"unicode/utf8"
)

// The YAML library gives the text of a scalar and where the scalar starts, but
// not where each character of the text comes from. This file reads the scalar
// a second time by the rules of YAML 1.1, chapter 9 (scalar styles), as the
// library applies them, and keeps the places. Every character is compared with
// the library's text: if one differs, the trace is given up, because a wrong
// place is worse than none.

// tracer walks through the file and writes the text again.
type tracer struct {
	data   []byte
	at     int // next byte
	line   int32
	column int32

	want  string // what is left of the library's text
	marks []mark
	ends  []int32
	// next is the place in the file, and in the text, that needs no new mark.
	next   mark
	last   spot // of the last character
	wrong  bool
	breaks []spot // line breaks that may become characters
}

// spot is a place in the file.
type spot struct{ line, column int32 }

// trace returns the places of a scalar's text, and whether they are certain.
func trace(t *text, n *node) (*tracer, bool) {
	tr := &tracer{data: t.data, at: int(n.offset), line: n.line, column: n.column, want: n.text}
	tr.next = mark{line: 1}
	tr.ends = []int32{0}
	tr.skipAnchor()
	switch n.style {
	case plain:
		tr.plain()
	case singleQuoted:
		tr.quoted('\'')
	case doubleQuoted:
		tr.quoted('"')
	case literal, folded:
		tr = tr.block(n.style == folded)
	}
	if tr.wrong || tr.want != "" {
		return nil, false
	}
	tr.endMark(n.style)
	return tr, true
}

// endMark gives the place behind the last character: the closing quote, the
// end of a plain text, or the last line break of a block, because what follows
// that may be many empty lines away.
func (tr *tracer) endMark(s style) {
	end := mark{int32(len(tr.ends)), tr.ends[len(tr.ends)-1], tr.line, tr.column}
	if (s == literal || s == folded) && len(tr.marks) > 0 {
		if tr.next.fileLine != 0 {
			return // without a line break at the end
		}
		end.fileLine, end.fileColumn = tr.last.line, tr.last.column
	}
	if end != tr.next {
		tr.marks = append(tr.marks, end)
	}
}

func (tr *tracer) peek() byte { return tr.peekAt(0) }

// peekAt returns 0 behind the end; a file has no NUL.
func (tr *tracer) peekAt(n int) byte {
	if tr.at+n < len(tr.data) {
		return tr.data[tr.at+n]
	}
	return 0
}

func (tr *tracer) here() spot { return spot{tr.line, tr.column} }

func (tr *tracer) ended() bool { return tr.at >= len(tr.data) }

func (tr *tracer) atBreak() bool { return tr.peek() == '\n' || tr.peek() == '\r' }

func (tr *tracer) atBlank() bool { return tr.peek() == ' ' || tr.peek() == '\t' }

// skip goes on by one character, or by one line break.
func (tr *tracer) skip() {
	switch c := tr.peek(); {
	case c == '\r' && tr.peekAt(1) == '\n':
		tr.at += 2
		tr.line, tr.column = tr.line+1, 1
	case c == '\r' || c == '\n':
		tr.at++
		tr.line, tr.column = tr.line+1, 1
	case !tr.ended():
		_, size := utf8.DecodeRune(tr.data[tr.at:])
		tr.at += size
		tr.column++
	}
}

// emit adds a character of the text that is written at a place.
func (tr *tracer) emit(r rune, from spot) {
	got, size := utf8.DecodeRuneInString(tr.want)
	if tr.wrong || size == 0 || got != r {
		tr.wrong = true
		return
	}
	tr.want, tr.last = tr.want[size:], from
	here := mark{tr.next.line, tr.next.column, from.line, from.column}
	if here != tr.next || len(tr.marks) == 0 {
		tr.marks = append(tr.marks, here)
	}
	if r == '\n' {
		tr.ends = append(tr.ends, 0)
		tr.next = mark{line: here.line + 1} // file line 0: the next one is marked
		return
	}
	tr.ends[len(tr.ends)-1]++
	tr.next = mark{here.line, here.column + 1, from.line, from.column + 1}
}

// copy emits the character that stands here as it is.
func (tr *tracer) copy() {
	r, _ := utf8.DecodeRune(tr.data[tr.at:])
	tr.emit(r, tr.here())
	tr.skip()
}

// skipAnchor passes over &name before the scalar.
func (tr *tracer) skipAnchor() {
	if tr.peek() != '&' {
		return
	}
	for !tr.ended() && !tr.atBlank() && !tr.atBreak() {
		tr.skip()
	}
	for tr.atBlank() || tr.atBreak() || tr.peek() == '#' {
		if tr.peek() == '#' {
			tr.skipLine()
		} else {
			tr.skip()
		}
	}
}

func (tr *tracer) skipLine() {
	for !tr.ended() && !tr.atBreak() {
		tr.skip()
	}
}

// plain reads a scalar without quotes. It ends where the library's text ends.
func (tr *tracer) plain() {
	for tr.want != "" && !tr.wrong && !tr.ended() {
		if tr.atBlank() || tr.atBreak() {
			tr.fold()
		} else {
			tr.copy()
		}
	}
}

// fold reads blanks and line breaks inside a plain or quoted scalar. Blanks
// beside a line break are dropped, one line break is a blank, and of more line
// breaks the first is dropped.
func (tr *tracer) fold() {
	from := tr.at
	start := *tr
	tr.breaks = tr.breaks[:0]
	for tr.atBlank() || tr.atBreak() {
		if tr.atBreak() {
			tr.breaks = append(tr.breaks, tr.here())
		}
		tr.skip()
	}
	if len(tr.breaks) > 0 {
		tr.emitBreaks(tr.breaks)
		return
	}
	// Blanks within a line stay.
	end := tr.at
	tr.at, tr.line, tr.column = from, start.line, start.column
	for tr.at < end {
		tr.copy()
	}
}

// emitBreaks emits what is left of line breaks that are folded.
func (tr *tracer) emitBreaks(breaks []spot) {
	if len(breaks) == 1 {
		tr.emit(' ', breaks[0])
		return
	}
	for _, b := range breaks[1:] {
		tr.emit('\n', b)
	}
}

// quoted reads a scalar in quotes, up to the closing one.
func (tr *tracer) quoted(quote byte) {
	if tr.peek() != quote {
		tr.wrong = true
		return
	}
	tr.skip()
	for !tr.wrong {
		switch c := tr.peek(); {
		case tr.ended():
			tr.wrong = true
		case c == '\'' && quote == '\'' && tr.peekAt(1) == '\'':
			tr.emit('\'', tr.here())
			tr.skip()
			tr.skip()
		case c == quote:
			return
		case c == '\\' && quote == '"':
			tr.escape()
		case tr.atBlank() || tr.atBreak():
			tr.fold()
		default:
			tr.copy()
		}
	}
}

// escape reads \ and what follows it in double quotes.
func (tr *tracer) escape() {
	from := tr.here()
	tr.skip()
	if tr.atBreak() {
		tr.escapedBreak()
		return
	}
	c := tr.peek()
	tr.skip()
	if digits := map[byte]int{'x': 2, 'u': 4, 'U': 8}[c]; digits > 0 {
		if tr.at+digits > len(tr.data) {
			tr.wrong = true
			return
		}
		value, err := strconv.ParseUint(string(tr.data[tr.at:tr.at+digits]), 16, 32)
		if err != nil {
			tr.wrong = true
			return
		}
		for range digits {
			tr.skip()
		}
		tr.emit(rune(value), from)
		return
	}
	r, ok := escapes(c)
	if !ok {
		tr.wrong = true
		return
	}
	tr.emit(r, from)
}

// escapedBreak reads a line break behind a \: it and the blanks after it are
// dropped, further line breaks stay.
func (tr *tracer) escapedBreak() {
	tr.skip()
	for tr.atBlank() || tr.atBreak() {
		if tr.atBreak() {
			tr.emit('\n', tr.here())
		}
		tr.skip()
	}
}

// escapes returns the character of an escape sequence (YAML 1.1, 5.6).
func escapes(c byte) (rune, bool) {
	switch c {
	case '0':
		return 0, true
	case 'a':
		return '\a', true
	case 'b':
		return '\b', true
	case 't', '\t':
		return '\t', true
	case 'n':
		return '\n', true
	case 'v':
		return '\v', true
	case 'f':
		return '\f', true
	case 'r':
		return '\r', true
	case 'e':
		return 0x1B, true
	case ' ', '"', '\'', '\\':
		return rune(c), true
	case 'N':
		return 0x85, true
	case '_':
		return 0xA0, true
	case 'L':
		return 0x2028, true
	case 'P':
		return 0x2029, true
	}
	return 0, false
}

// block reads a scalar behind | or >. Its indentation is that of its first
// line, unless a digit says otherwise; a digit is relative to what stands
// around, which the scalar does not tell, so the indentations that are possible
// are tried: one at most writes the library's text.
func (tr *tracer) block(fold bool) *tracer {
	chomp, explicit := tr.header()
	lowest, highest := tr.indentation()
	if explicit {
		lowest = 1
	}
	for indent := lowest; indent <= highest; indent++ {
		try := *tr
		try.marks, try.ends, try.breaks = nil, []int32{0}, nil
		try.lines(indent, fold, chomp)
		if !try.wrong && try.want == "" {
			return &try
		}
	}
	tr.wrong = true
	return tr
}

// header reads the line of the indicator.
func (tr *tracer) header() (chomp byte, explicit bool) {
	if c := tr.peek(); c != '|' && c != '>' {
		tr.wrong = true
	}
	tr.skip()
	for range 2 {
		switch c := tr.peek(); {
		case c == '+' || c == '-':
			chomp = c
			tr.skip()
		case c >= '1' && c <= '9':
			explicit = true
			tr.skip()
		}
	}
	tr.skipLine()
	tr.skip()
	return chomp, explicit
}

// longestIndent bounds the indentations that are tried.
const longestIndent = 200

// indentation returns the number of blanks before the first line that is not
// blank, or before a longer blank line above it; and the highest indentation
// that is possible with a digit.
func (tr *tracer) indentation() (lowest, highest int) {
	rest := tr.data[min(tr.at, len(tr.data)):]
	for {
		spaces := len(rest) - len(bytes.TrimLeft(rest, " "))
		lowest = max(lowest, spaces)
		rest = rest[spaces:]
		if len(rest) == 0 || rest[0] != '\n' && rest[0] != '\r' {
			break
		}
		rest = rest[1:]
	}
	lowest = min(max(lowest, 1), longestIndent)
	return lowest, lowest
}

// lines reads the lines of a block scalar.
func (tr *tracer) lines(indent int, fold bool, chomp byte) {
	var pending []spot // the break behind the last line, if there is one
	wasBlank := false
	trailing := tr.blankLines(indent)
	for int(tr.column) == indent+1 && !tr.ended() && !tr.wrong {
		isBlank := tr.atBlank()
		if fold && len(pending) > 0 && !wasBlank && !isBlank {
			if len(trailing) == 0 {
				tr.emit(' ', pending[0])
			}
		} else {
			tr.emitAll(pending)
		}
		tr.emitAll(trailing)
		wasBlank = isBlank
		for !tr.ended() && !tr.atBreak() && !tr.wrong {
			tr.copy()
		}
		pending = nil
		if tr.atBreak() {
			pending = []spot{tr.here()}
			tr.skip()
		}
		trailing = tr.blankLines(indent)
	}
	if chomp != '-' {
		tr.emitAll(pending)
	}
	if chomp == '+' {
		tr.emitAll(trailing)
	}
}

func (tr *tracer) emitAll(breaks []spot) {
	for _, b := range breaks {
		tr.emit('\n', b)
	}
}

// blankLines passes over indentation and lines with nothing else, and returns
// their breaks.
func (tr *tracer) blankLines(indent int) (breaks []spot) {
	for {
		for int(tr.column) <= indent && tr.peek() == ' ' {
			tr.skip()
		}
		if !tr.atBreak() {
			return breaks
		}
		breaks = append(breaks, tr.here())
		tr.skip()
	}
}
