package record

import (
	"bufio"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/guardwright/guardwright/calc/logic"
	"github.com/guardwright/guardwright/model/source"
)

const (
	mostRow      = 1 << 18 // bytes of one row
	mostProblems = 20      // that are listed
	mostRowsMore = 10_000  // that are read behind the first problem
	readAhead    = 64 << 10
)

// row is one row of a record. Its values stay only until the next one is read.
type row struct {
	line   int
	time   Time
	values []logic.Value
}

// rows reads the rows of a record.
type rows struct {
	name    string
	csv     *csv.Reader
	limit   *limitedReader
	mapping *Mapping
	header  *header
	clock   clock
	words   words
	row     row
	before  []logic.Value // of the row before, for cells that say unchanged
	count   int64
	// problems stop the record; more is the number of good rows behind the first.
	problems source.Problems
	more     int
}

// words are the words of cells that are true or false.
type words struct {
	short [256]cell // of one character
	long  map[string]cell
	wants string
}

// cell is what a word means.
type cell uint8

const (
	noWord cell = iota
	isTrue
	isFalse
	isUnknown
	isUnchanged
)

var errTooLong = errors.New("the row is longer than 256 kB: a quote that is never closed?")

// limitedReader stops a row from filling the memory.
type limitedReader struct {
	in   io.Reader
	read int64
	most int64
}

func (l *limitedReader) Read(p []byte) (int, error) {
	if l.read >= l.most {
		return 0, errTooLong
	}
	n, err := l.in.Read(p[:min(int64(len(p)), l.most-l.read)])
	l.read += int64(n)
	return n, err
}

// openRows reads the first line.
func openRows(in io.Reader, name string, m *Mapping, signals []Signal) (*rows, error) {
	r := &rows{name: name, mapping: m, limit: &limitedReader{in: in, most: mostRow}}
	buffered := bufio.NewReaderSize(r.limit, readAhead)
	start, err := buffered.Peek(readAhead)
	if err != nil && err != io.EOF {
		return nil, fmt.Errorf("reading the record %s: %w", name, err)
	}
	fail := func(line, column int, format string, args ...any) error {
		return source.Problems{{Position: source.Position{File: name, Line: line, Column: column}, Text: fmt.Sprintf(format, args...)}}
	}
	text := string(start)
	switch {
	case strings.HasPrefix(text, "\xff\xfe"), strings.HasPrefix(text, "\xfe\xff"):
		return nil, fail(1, 1, "the file is UTF-16: save it as UTF-8")
	case strings.HasPrefix(text, "\ufeff"):
		if _, err := buffered.Discard(len("\ufeff")); err != nil {
			return nil, fmt.Errorf("reading the record %s: %w", name, err)
		}
		text = strings.TrimPrefix(text, "\ufeff")
	}
	if strings.TrimSpace(text) == "" {
		return nil, fail(1, 1, "the record is empty: wanted a first line with the names of the columns")
	}
	comma, why := r.separator(text)
	if why != "" {
		return nil, fail(1, 1, "%s", why)
	}
	r.csv = csv.NewReader(buffered)
	r.csv.Comma, r.csv.FieldsPerRecord, r.csv.ReuseRecord = comma, -1, true
	r.clock.comma = comma != ','
	if err := r.readHeader(signals); err != nil {
		return nil, err
	}
	return r, nil
}

// separator is that of the mapping, or the only one in the first line.
func (r *rows) separator(text string) (rune, string) {
	switch r.mapping.Separator {
	case Comma:
		return ',', ""
	case Semicolon:
		return ';', ""
	case Tab:
		return '\t', ""
	}
	var found []rune
	quote := false
	for _, c := range text {
		if c == '"' {
			quote = !quote
		}
		if c == '\n' && !quote {
			break
		}
		if !quote && strings.ContainsRune(",;\t", c) && !slices.Contains(found, c) {
			found = append(found, c)
		}
	}
	switch len(found) {
	case 1:
		return found[0], ""
	case 0:
		return 0, "the first line has neither comma nor semicolon nor tab between the names of the columns; with another separator, export the record anew"
	}
	return 0, "the first line has more than one of comma, semicolon and tab: state separator: in a mapping"
}

func (r *rows) readHeader(signals []Signal) error {
	record, err := r.csv.Read()
	if err != nil {
		return r.readError(err)
	}
	h := &header{name: r.name, mapping: r.mapping}
	for i, n := range record {
		h.names = append(h.names, strings.Clone(strings.TrimSpace(n)))
		h.places = append(h.places, r.place(record, i))
	}
	r.advance()
	h.read(signals)
	if err := h.problems.Err(); err != nil {
		return err
	}
	r.header, r.clock.unit = h, h.unit
	r.row.values, r.before = make([]logic.Value, len(h.columns)), make([]logic.Value, len(h.columns))
	for i := range r.before {
		r.before[i] = logic.Unknown
	}
	r.words = newWords(r.mapping)
	return nil
}

func newWords(m *Mapping) words {
	w := words{long: map[string]cell{}}
	add := func(list, usual []string, c cell) {
		if list == nil {
			list = usual
		}
		for _, text := range list {
			if text = fold(text); w.long[text] == noWord {
				w.long[text] = c
			}
		}
	}
	// What the mapping states goes before what is usual.
	add(m.True, nil, isTrue)
	add(m.False, nil, isFalse)
	add(m.Unknown, nil, isUnknown)
	add(m.Unchanged, nil, isUnchanged)
	add(m.True, []string{"1", "true"}, isTrue)
	add(m.False, []string{"0", "false"}, isFalse)
	add(m.Unknown, []string{"", "?"}, isUnknown)
	var all []string
	for _, text := range sortedKeys(w.long) {
		all = append(all, quoted(text))
		if len(text) == 1 {
			w.short[text[0]] = w.long[text]
			w.short[strings.ToUpper(text)[0]] = w.long[text]
		}
	}
	w.wants = strings.Join(all, ", ")
	return w
}

// find is what the text of a cell means.
func (w *words) find(text string) cell {
	if len(text) == 1 && w.short[text[0]] != noWord {
		return w.short[text[0]]
	}
	return w.long[fold(text)]
}

// place is where a cell stands. The csv package counts bytes, and people count characters.
func (r *rows) place(record []string, i int) source.Position {
	line, column := r.csv.FieldPos(i)
	for j := range i {
		if l, _ := r.csv.FieldPos(j); l == line {
			column -= len(record[j]) - utf8.RuneCountInString(record[j])
		}
	}
	return source.Position{File: r.name, Line: line, Column: max(1, column)}
}

// advance lets the next row begin.
func (r *rows) advance() { r.limit.most = r.csv.InputOffset() + mostRow + readAhead }

// next reads a row; io.EOF ends the record. Any other error is a [source.Problems], or what the reader returned.
func (r *rows) next() (*row, error) {
	for {
		record, err := r.csv.Read()
		r.advance()
		switch {
		case err == io.EOF && len(r.problems) == 0:
			return nil, io.EOF
		case err != nil:
			if !r.bad(err) {
				return nil, r.problems.Err()
			}
			continue
		}
		r.count++
		known := len(r.problems)
		r.take(record)
		if len(r.problems) == 0 {
			return &r.row, nil
		}
		if len(r.problems) == known {
			r.more++ // a good row behind a bad one
		}
		if r.more > mostRowsMore || len(r.problems) >= mostProblems {
			return nil, r.problems.Err()
		}
	}
}

// bad notes what is wrong with a row, and tells whether reading can go on.
func (r *rows) bad(err error) bool {
	var parse *csv.ParseError
	if !errors.As(err, &parse) || errors.Is(err, errTooLong) {
		if err != io.EOF {
			r.problems = append(r.problems, r.asProblem(err))
		}
		return false
	}
	r.problems = append(r.problems, r.asProblem(err))
	return len(r.problems) < mostProblems
}

func (r *rows) asProblem(err error) source.Problem {
	p := source.Problem{Position: source.Position{File: r.name}, Text: err.Error()}
	var parse *csv.ParseError
	if errors.As(err, &parse) {
		p.Position.Line, p.Position.Column = parse.Line, parse.Column
		switch {
		case errors.Is(err, csv.ErrQuote), errors.Is(err, csv.ErrBareQuote):
			p.Text = "a quote that does not belong here: a cell with quotes stands in quotes as a whole, and each quote in it is written twice (RFC 4180)"
		default:
			p.Text = parse.Err.Error()
		}
	}
	if errors.Is(err, errTooLong) {
		p.Position.Line, p.Position.Column = r.row.line+1, 1
	}
	return p
}

// readError is an error of the reader as one with a place.
func (r *rows) readError(err error) error {
	if err == io.EOF {
		return source.Problems{{Position: source.Position{File: r.name, Line: 1, Column: 1}, Text: "the record is empty: wanted a first line with the names of the columns"}}
	}
	return source.Problems{r.asProblem(err)}
}

// take reads the cells of a row.
func (r *rows) take(record []string) {
	if len(record) != len(r.header.names) {
		r.problem(record, 0, "the row has %d cells, and there are %d columns", len(record), len(r.header.names))
		return
	}
	r.row.line, _ = r.csv.FieldPos(0)
	text := strings.TrimSpace(record[r.header.time])
	if r.clock.unit == "" && !r.findUnit(record, text) {
		return
	}
	at, err := r.clock.read(text)
	if err != nil {
		r.problem(record, r.header.time, "%s", err)
		return
	}
	r.row.time = at
	for i := range r.header.columns {
		c := &r.header.columns[i]
		r.row.values[i] = r.value(record, c, i)
	}
	copy(r.before, r.row.values)
}

// findUnit takes time stamps for what they are; numbers must say what they count.
func (r *rows) findUnit(record []string, text string) bool {
	stamp := clock{unit: Timestamp}
	if _, err := stamp.read(text); err == nil {
		r.clock.unit = Timestamp
		return true
	}
	r.problem(record, r.header.time, "the times have no unit: write it into the name of the column, as %s [s], or state time: {unit: ...} in a mapping; a time stamp needs its zone (RFC 3339)", r.header.names[r.header.time])
	return false
}

func (r *rows) value(record []string, c *column, i int) logic.Value {
	text := record[c.at]
	var w cell
	if len(text) == 1 {
		w = r.words.short[text[0]]
	}
	if w == noWord {
		text = strings.TrimSpace(text)
		w = r.words.find(text)
	}
	switch {
	case w == isUnknown:
		return logic.Unknown
	case w == isUnchanged:
		return r.before[i]
	case c.Words != nil:
		at := slices.Index(c.Words, text)
		if at < 0 {
			r.problem(record, c.at, "found %s, which is no word of %s%s", quoted(text), c.Name, nearestOf(text, c.Words))
			return logic.Unknown
		}
		return logic.Value(at)
	case c.Number:
		n, err := strconv.ParseInt(text, 10, 64)
		if err != nil || n < c.Min || n > c.Max {
			r.problem(record, c.at, "found %s, and %s is a whole number from %d to %d", quoted(text), c.Name, c.Min, c.Max)
			return logic.Unknown
		}
		return logic.Value(n)
	case w == noWord:
		r.problem(record, c.at, "found %s for %s, wanted one of %s; a mapping can state other words", quoted(text), c.Name, r.words.wants)
		return logic.Unknown
	}
	if (w == isTrue) != c.inverted {
		return logic.True
	}
	return logic.False
}

func (r *rows) problem(record []string, cell int, format string, args ...any) {
	if len(r.problems) < mostProblems {
		r.problems = append(r.problems, source.Problem{Position: r.place(record, cell), Text: fmt.Sprintf(format, args...)})
	}
}
