package source

import (
	"cmp"
	"slices"
)

// Expression is an expression or a message text that stands in a scalar of a
// file. It remembers where every character of the text is written, so that an
// error in the expression points into the file. An Expression that was built
// in Go has only its Text and no positions.
//
// Two expressions with the same text from different places are different for
// ==; [Expression.Equal] compares the texts.
type Expression struct {
	Text   string
	places *places // nil if built in Go
}

// At returns where a character of the text stands in the file. Line counts
// from 1 and column from 0, in code points, within Text, as cel-go reports. A
// column behind the end of its line gives the end of the line, a line behind
// the end the end of the text. A character that was written as an escape
// sequence stands where that starts, a blank or a line break that was made
// from a line break where that is. It gives the start of the scalar if the
// exact place can't be told, and the zero Position for an Expression that was
// built in Go.
func (e Expression) At(line, column int) Position {
	if e.places == nil {
		return Position{}
	}
	return e.places.at(line, column)
}

// Position returns where the text starts in the file, behind a quote or the
// line of a | or >. It is zero for an Expression that was built in Go.
func (e Expression) Position() Position { return e.At(1, 0) }

// IsZero reports whether there is no text.
func (e Expression) IsZero() bool { return e.Text == "" }

// Equal compares the texts, not where they stand.
func (e Expression) Equal(other Expression) bool { return e.Text == other.Text }

// String returns the text.
func (e Expression) String() string { return e.Text }

// MarshalText returns the text, so that an Expression is a plain text in JSON
// and in a schema.
func (e Expression) MarshalText() ([]byte, error) { return []byte(e.Text), nil }

// UnmarshalText sets the text; the Expression then has no positions. It is for
// other formats than these files.
func (e *Expression) UnmarshalText(text []byte) error {
	*e = Expression{Text: string(text)}
	return nil
}

// places maps the characters of a text to the file.
type places struct {
	file  string
	start Position // of the scalar, for when marks is empty
	marks []mark
	ends  []int32 // number of characters in every line of the text
}

// mark says that from here, to the next mark, characters that follow each
// other in a line of the text do so in the file too.
type mark struct {
	line, column int32 // in the text, from 1 and from 0
	fileLine     int32
	fileColumn   int32
}

func (p *places) at(line, column int) Position {
	if len(p.marks) == 0 {
		return p.start
	}
	switch {
	case line < 1:
		line, column = 1, 0
	case line > len(p.ends):
		line, column = len(p.ends), int(p.ends[len(p.ends)-1])
	default:
		column = min(max(column, 0), int(p.ends[line-1]))
	}
	want := mark{line: int32(line), column: int32(column)}
	i, found := slices.BinarySearchFunc(p.marks, want, func(a, b mark) int {
		return cmp.Or(cmp.Compare(a.line, b.line), cmp.Compare(a.column, b.column))
	})
	if !found {
		i--
	}
	m := p.marks[i]
	return Position{p.file, int(m.fileLine), int(m.fileColumn) + column - int(m.column)}
}

// placesOf finds where the text of a scalar is written. A scalar that aliases
// repeat is scanned once.
func (d *decoder) placesOf(id int32) *places {
	if p, ok := d.places[id]; ok {
		return p
	}
	n := &d.file.nodes[id]
	p := &places{file: d.file.name, start: d.file.position(id)}
	if t, ok := trace(d.file.text, n); ok {
		p.marks, p.ends = t.marks, t.ends
	}
	d.places[id] = p
	return p
}
