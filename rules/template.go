package rules

import (
	"fmt"
	"strings"

	"github.com/google/cel-go/common/types"
	"github.com/google/cel-go/common/types/ref"
	"github.com/google/cel-go/common/types/traits"

	"github.com/guardwright/guardwright/model/source"
)

// fragment is a part of a text in a rule file, with the way back to its place.
type fragment struct {
	text string
	// at gives the place of a character: line from 1 and column from 0, in code points, within text.
	at func(line, column int) source.Position
}

func whole(e source.Expression) fragment { return fragment{e.Text, e.At} }

// template is a message with expressions in it.
type template struct{ parts []templatePart }

// templatePart is a text, or an expression.
type templatePart struct {
	text       string
	expression *expression
}

// piece is a part of a message before it is compiled: a text, or the text of an expression with its place.
type piece struct {
	text         string
	isExpression bool
	line, column int
}

// split takes a message apart. {{ and }} are braces.
func split(text string) ([]piece, []exprError) {
	s := &splitter{runes: []rune(text), line: 1}
	for s.i < len(s.runes) {
		switch {
		case s.next("{{"), s.next("}}"):
			s.plain.WriteRune(s.runes[s.i])
			s.step()
			s.step()
		case s.runes[s.i] == '{':
			s.expression()
		case s.runes[s.i] == '}':
			s.fail("a } without {; write }} for a brace")
			s.step()
		default:
			s.plain.WriteRune(s.runes[s.i])
			s.step()
		}
	}
	s.flush()
	return s.pieces, s.errs
}

type splitter struct {
	runes        []rune
	i            int
	line, column int
	plain        strings.Builder
	pieces       []piece
	errs         []exprError
}

func (s *splitter) next(two string) bool {
	return s.i+1 < len(s.runes) && string(s.runes[s.i:s.i+2]) == two
}

func (s *splitter) step() {
	if s.runes[s.i] == '\n' {
		s.line, s.column = s.line+1, 0
	} else {
		s.column++
	}
	s.i++
}

func (s *splitter) fail(text string) {
	s.errs = append(s.errs, exprError{s.line, s.column, text})
}

func (s *splitter) flush() {
	if s.plain.Len() > 0 {
		s.pieces = append(s.pieces, piece{text: s.plain.String()})
		s.plain.Reset()
	}
}

// expression reads from a { to its }, over braces and quoted texts inside.
func (s *splitter) expression() {
	s.flush()
	open := exprError{s.line, s.column, "the { is not closed; write {{ for a brace"}
	s.step()
	p := piece{isExpression: true, line: s.line, column: s.column}
	start, depth := s.i, 0
	for s.i < len(s.runes) {
		switch r := s.runes[s.i]; {
		case r == '"' || r == '\'':
			s.quoted(r)
			continue
		case r == '{':
			depth++
		case r == '}' && depth == 0:
			p.text = string(s.runes[start:s.i])
			s.pieces = append(s.pieces, p)
			s.step()
			return
		case r == '}':
			depth--
		}
		s.step()
	}
	s.errs = append(s.errs, open)
}

// quoted passes over a text in quotes.
func (s *splitter) quoted(quote rune) {
	s.step()
	for s.i < len(s.runes) {
		r := s.runes[s.i]
		if r == '\\' && s.i+1 < len(s.runes) {
			s.step()
		}
		s.step()
		if r == quote {
			return
		}
	}
}

// template compiles a message over an object of a kind.
func (c *compiler) template(k *kind, src source.Expression) (*template, []exprError) {
	pieces, errs := split(src.Text)
	t := &template{}
	for _, p := range pieces {
		if !p.isExpression {
			t.parts = append(t.parts, templatePart{text: p.text})
			continue
		}
		e, bad := c.compile(k, p.fragment(src))
		for _, b := range bad {
			errs = append(errs, p.shift(b))
		}
		if e == nil {
			continue
		}
		if typ := e.resultType(); !c.printable(typ) {
			errs = append(errs, exprError{p.line, p.column, fmt.Sprintf("a %s cannot be printed in a message: choose a field of it", c.typeName(typ.String()))})
		}
		t.parts = append(t.parts, templatePart{expression: e})
	}
	return t, errs
}

// fragment is the expression with the way back into the message.
func (p piece) fragment(src source.Expression) fragment {
	return fragment{p.text, func(line, column int) source.Position {
		e := p.shift(exprError{line: line, column: column})
		return src.At(e.line, e.column)
	}}
}

// shift turns a place in the expression into one in the message.
func (p piece) shift(e exprError) exprError {
	if e.line == 1 {
		e.column += p.column
	}
	e.line += p.line - 1
	return e
}

// printable tells whether values of a type can stand in a message.
func (c *compiler) printable(t *types.Type) bool {
	switch t.Kind() {
	case types.StringKind, types.BoolKind, types.IntKind, types.DoubleKind:
		return true
	case types.ListKind:
		return t.Parameters()[0].Kind() != types.ListKind && c.printable(t.Parameters()[0])
	case types.StructKind:
		if k, ok := c.language.kindOf(t.TypeName()); ok {
			return k.show != nil
		}
		return true
	}
	return false
}

// fill writes the message for an object. A part that cannot be evaluated is told as such: the finding stands.
func (t *template) fill(a *activation) string {
	if t == nil {
		return ""
	}
	var b strings.Builder
	for _, p := range t.parts {
		if p.expression == nil {
			b.WriteString(p.text)
			continue
		}
		v, err := p.expression.eval(a)
		if err != nil {
			fmt.Fprintf(&b, "(%s: %s)", strings.TrimSpace(p.expression.source.text), err)
			continue
		}
		b.WriteString(textOf(v, messageDigits))
	}
	return strings.Join(strings.Fields(b.String()), " ")
}

// textOf is a value in a message.
func textOf(v ref.Val, digits int) string {
	switch v := v.(type) {
	case quantity:
		return v.text(digits)
	case *objectValue:
		return v.text()
	case types.Double:
		return numberText(float64(v), digits)
	case types.String:
		return string(v)
	case traits.Lister:
		var parts []string
		for x := range elements(v) {
			parts = append(parts, textOf(x, digits))
		}
		if len(parts) == 0 {
			return "none"
		}
		const longest = 8
		if more := len(parts) - longest; more > 0 {
			parts = append(parts[:longest], fmt.Sprintf("and %d more", more))
		}
		return strings.Join(parts, ", ")
	}
	if s, ok := v.ConvertToType(types.StringType).(types.String); ok {
		return string(s)
	}
	return v.Type().TypeName()
}
