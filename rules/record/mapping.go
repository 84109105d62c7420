package record

import (
	"errors"
	"fmt"
	"io/fs"

	"github.com/guardwright/guardwright/model"
	"github.com/guardwright/guardwright/model/source"
)

// Format is the newest version of the format of mapping files that this library reads.
const Format = 1

// Mapping is a mapping file as it is written: how the columns of a recorded trace are to be read. The zero value serves for a
// record whose columns have the names of the signals.
type Mapping struct {
	// Version of the file format; 1 is the newest.
	Format int `yaml:"format" jsonschema:"required"`
	// What was recorded, and when.
	Record string `yaml:"record" jsonschema:"required"`
	// Free text about the record.
	About string `yaml:"about,omitempty"`
	// What separates the columns: comma, semicolon or tab. Absent: what the first line has.
	Separator Separator `yaml:"separator,omitempty"`
	// The column with the times. Absent: the one called time.
	Time TimeSpec `yaml:"time,omitempty"`
	// Signals by the names of their columns; other columns are not read. Absent: the columns have the names of the signals.
	Signals map[string]string `yaml:"signals,omitempty"`
	// Columns that are not read, where the columns have the names of the signals.
	Ignore []string `yaml:"ignore,omitempty"`
	// Words for true, whatever their case. Absent: 1 and true.
	True []string `yaml:"is_true,omitempty"`
	// Words for false, whatever their case. Absent: 0 and false.
	False []string `yaml:"is_false,omitempty"`
	// Words for a value that was not recorded, whatever their case. Absent: an empty cell and ?.
	Unknown []string `yaml:"is_unknown,omitempty"`
	// Words for the value of the row before, in a record of changes. Absent: none.
	Unchanged []string `yaml:"is_unchanged,omitempty"`
	// Signals whose columns show true for false and false for true.
	Inverted []string `yaml:"inverted,omitempty"`
	// What a row is: samples (the default), changes or cycles.
	Rows Rows `yaml:"rows,omitempty"`
	// Longest time between two rows over which values hold. Absent: two safety cycles for samples, one and a half for cycles, no limit for changes.
	LongestGap *model.Duration `yaml:"longest_gap,omitempty"`
	// Number of cycles before a change in which the signal may have changed already, for a record that is not in step with the controller. Absent: 0.
	Unsure int `yaml:"unsure,omitempty" jsonschema:"minimum=0,maximum=1000"`
	// Number of cycles by which values of the logic are recorded later than the signals they were computed from. Absent: 0.
	Lag int `yaml:"lag,omitempty" jsonschema:"minimum=0,maximum=1000"`
	// Where the record begins: power-up, or running (the default) for anywhere in a run, with unknown memories.
	Starts Start `yaml:"starts,omitempty"`

	file *source.File // nil for a mapping built in Go
	name string
}

// TimeSpec is the column with the times.
type TimeSpec struct {
	// Name of the column. Absent: time, timestamp or t, with or without a unit.
	Column string `yaml:"column,omitempty"`
	// What the times are: s, ms, us, ns, or timestamp (RFC 3339, with the zone). Absent: the unit in the name of the column, as in time [ms].
	Unit TimeUnit `yaml:"unit,omitempty"`
}

// Separator is what separates the columns.
type Separator string

// The separators.
const (
	Comma     Separator = "comma"
	Semicolon Separator = "semicolon"
	Tab       Separator = "tab"
)

// Values lists the separators.
func (Separator) Values() []string { return []string{string(Comma), string(Semicolon), string(Tab)} }

// TimeUnit is what the times of a record are.
type TimeUnit string

// The units.
const (
	Seconds      TimeUnit = "s"
	Milliseconds TimeUnit = "ms"
	Microseconds TimeUnit = "us"
	Nanoseconds  TimeUnit = "ns"
	Timestamp    TimeUnit = "timestamp" // RFC 3339
)

// Values lists the units.
func (TimeUnit) Values() []string {
	return []string{string(Seconds), string(Milliseconds), string(Microseconds), string(Nanoseconds), string(Timestamp)}
}

// Rows is what a row of a record is.
type Rows string

// The kinds of rows.
const (
	Samples Rows = "samples" // the values at a time
	Changes Rows = "changes" // values that hold from a time on until the next row
	Cycles  Rows = "cycles"  // the values of one safety cycle
)

// Values lists the kinds of rows.
func (Rows) Values() []string { return []string{string(Samples), string(Changes), string(Cycles)} }

// Start is where a record begins.
type Start string

// The starts.
const (
	Running Start = "running"
	PowerUp Start = "power-up"
)

// Values lists the starts.
func (Start) Values() []string { return []string{string(PowerUp), string(Running)} }

// LoadMapping reads a mapping file. The error is a [source.Problems] with every problem of the file.
func LoadMapping(fsys fs.FS, name string) (*Mapping, error) {
	data, err := source.ReadFile(fsys, name, source.Limits{})
	if err != nil {
		var p source.Problem
		if errors.As(err, &p) {
			return nil, source.Problems{p}
		}
		return nil, source.Problems{{Position: source.Position{File: name}, Text: err.Error()}}
	}
	return ParseMapping(name, data)
}

// ParseMapping reads a mapping file whose text is at hand; name is used in positions. The error is a [source.Problems].
func ParseMapping(name string, data []byte) (*Mapping, error) {
	file, problems := source.Parse(name, data, source.Limits{})
	if file == nil {
		return nil, problems
	}
	m := &Mapping{}
	problems = append(problems, file.Decode(m)...)
	if m.Format > Format {
		return nil, source.Problems{{Position: file.Position("format"), Path: "format", Text: fmt.Sprintf(
			"found format %d, and this version reads up to %d: use a newer version of the library", m.Format, Format)}}
	}
	if m.Format < 0 {
		problems = append(problems, source.Problem{Position: file.Position("format"), Path: "format", Text: fmt.Sprintf("found format %d, wanted 1", m.Format)})
	}
	m.file, m.name = file, name
	if err := append(problems, m.problems()...).Err(); err != nil {
		return nil, err
	}
	return m, nil
}

// problem is one at a place of the mapping.
func (m *Mapping) problem(path, format string, args ...any) source.Problem {
	p := source.Problem{Path: path, Text: fmt.Sprintf(format, args...)}
	if m.file != nil {
		p.Position = m.file.Position(path)
	}
	return p
}

// problems are what the entries of a mapping contradict each other in.
func (m *Mapping) problems() source.Problems {
	var out source.Problems
	for path, n := range map[string]int{"unsure": m.Unsure, "lag": m.Lag} {
		if n < 0 || n > mostShift {
			out = append(out, m.problem(path, "found %d, wanted 0 to %d cycles", n, mostShift))
		}
	}
	if m.LongestGap != nil && !(*m.LongestGap > 0) {
		out = append(out, m.problem("longest_gap", "found %s, wanted a time above 0", m.LongestGap))
	}
	if len(m.Unchanged) > 0 && m.Rows != Changes {
		out = append(out, m.problem("is_unchanged", "only a record of changes can leave out what has not changed: state rows: changes"))
	}
	if m.Signals != nil && m.Ignore != nil {
		out = append(out, m.problem("ignore", "signals: says which columns are read, so there is nothing to leave out"))
	}
	seen := map[string]string{}
	for _, list := range []struct {
		path  string
		words []string
	}{{"is_true", m.True}, {"is_false", m.False}, {"is_unknown", m.Unknown}, {"is_unchanged", m.Unchanged}} {
		for i, w := range list.words {
			path := source.Join(list.path, fmt.Sprint(i))
			if other, twice := seen[fold(w)]; twice {
				out = append(out, m.problem(path, "%q stands under %s already", w, other))
			}
			seen[fold(w)] = list.path
		}
	}
	return out
}

// mostShift bounds unsure and lag: so many cycles are kept.
const mostShift = 1000
