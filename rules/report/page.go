package report

import (
	"strings"
	"unicode"
)

// style is how a piece of text looks on a terminal: the parameters of the control sequence "select graphic rendition"
// (ECMA-48, 8.3.117); empty for plain text.
type style string

// The styles.
const (
	plain  style = ""
	strong style = "1"
	faint  style = "2"
	red    style = "1;31"
	yellow style = "1;33"
	blue   style = "1;34"
	green  style = "32"
)

// span is a piece of a line in one style.
type span struct {
	text  string
	style style
}

// page collects the lines of a text report.
type page struct {
	b      strings.Builder
	width  int
	colour bool
}

// line writes one line. It never ends in a blank.
func (p *page) line(spans ...span) {
	for len(spans) > 0 {
		last := &spans[len(spans)-1]
		if last.text = strings.TrimRightFunc(last.text, unicode.IsSpace); last.text != "" {
			break
		}
		spans = spans[:len(spans)-1]
	}
	for _, s := range spans {
		text := clean(s.text)
		if p.colour && s.style != plain && text != "" {
			text = "\x1b[" + string(s.style) + "m" + text + "\x1b[0m"
		}
		p.b.WriteString(text)
	}
	p.b.WriteByte('\n')
}

// blank writes an empty line, unless the page is empty or ends in one.
func (p *page) blank() {
	if s := p.b.String(); s != "" && !strings.HasSuffix(s, "\n\n") {
		p.b.WriteByte('\n')
	}
}

// title writes the heading of a section.
func (p *page) title(text string) {
	p.blank()
	for _, l := range wrap(text, p.width, 0, 0) {
		p.line(span{l, strong})
	}
}

// text writes a text over as many lines as it needs: the first after lead, the others indented by as much as hang.
func (p *page) text(lead span, hang int, text string) {
	first := true
	for _, l := range wrap(text, p.width, columns(lead.text), hang) {
		if first {
			p.line(lead, span{l, plain})
			first = false
			continue
		}
		p.line(span{strings.Repeat(" ", hang) + l, plain})
	}
}

// wrap breaks a text at blanks into lines that fit beside an indentation: lead columns for the first line, hang for the
// others. A word that is longer than a line keeps its line for itself: a file name must stay whole.
func wrap(text string, width, lead, hang int) []string {
	var lines []string
	line, room := "", width-lead
	for word := range strings.FieldsSeq(text) {
		switch {
		case line == "":
			line = word
		case columns(line)+1+columns(word) <= room:
			line += " " + word
		default:
			lines = append(lines, line)
			line, room = word, width-hang
		}
	}
	if line != "" || len(lines) == 0 {
		lines = append(lines, line)
	}
	return lines
}

// columns is the width of a text on a terminal: one column for a character, none for a combining one.
func columns(text string) int {
	n := 0
	for _, r := range text {
		if !unicode.Is(unicode.Mn, r) {
			n++
		}
	}
	return n
}

// clean takes out what could move the cursor or change the colours of a terminal: the texts come from files that are
// not trusted.
func clean(text string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\t' || r == '\n' || r == '\r':
			return ' '
		case !unicode.IsPrint(r) && r != '\u00a0':
			return '\ufffd'
		}
		return r
	}, text)
}
