package report

import (
	"fmt"
	"strings"
)

// sources reads the lines of files, each file once.
type sources struct {
	read  func(name string) ([]byte, error)
	files map[string][]string
}

// line returns a line of a file, and false when there is none.
func (s *sources) line(p *Position) (string, bool) {
	if p == nil || p.Line <= 0 || s.read == nil {
		return "", false
	}
	lines, known := s.files[p.File]
	if !known {
		if data, err := s.read(p.File); err == nil {
			lines = strings.Split(string(data), "\n")
		}
		if s.files == nil {
			s.files = map[string][]string{}
		}
		s.files[p.File] = lines
	}
	if p.Line > len(lines) {
		return "", false
	}
	return strings.TrimRight(lines[p.Line-1], "\r"), true
}

// snippet prints the line of a position with a caret under the place.
func (s *sources) snippet(p *page, at *Position) {
	line, ok := s.line(at)
	if !ok {
		return
	}
	number := fmt.Sprintf("%6d", at.Line)
	text, caret := window([]rune(clean(line)), at.Column-1, p.width-len(number)-len(bar))
	p.line(span{number + bar, faint}, span{text, plain})
	if caret >= 0 {
		p.line(span{strings.Repeat(" ", len(number)) + bar, faint}, span{strings.Repeat(" ", caret) + "^", green})
	}
}

const bar = " | "

// window cuts a line to so many columns around a place, and returns the place in what is left. Dots stand for what was
// cut off.
func window(line []rune, at, width int) (string, int) {
	if at < 0 || at > len(line) {
		at = -1
	}
	if len(line) <= width {
		return string(line), at
	}
	start := max(0, min(at-width/2, len(line)-width))
	part := append([]rune(nil), line[start:start+width]...)
	if start > 0 {
		part[0] = '…'
	}
	if start+width < len(line) {
		part[width-1] = '…'
	}
	if at >= 0 {
		at -= start
	}
	return string(part), at
}
