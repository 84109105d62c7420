package record_test

import (
	"errors"
	"fmt"
	"io"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/guardwright/guardwright/calc/logic"
	"github.com/guardwright/guardwright/rules/record"
)

// signals are those of the tests: two from outside, and a truth value, a word and a number that the logic computes.
func signals() []record.Signal {
	return []record.Signal{{Name: "es1.pressed"}, {Name: "g1.closed"}, {Name: "belt.run", Computed: true},
		{Name: "mode", Words: []string{"off", "auto"}, Computed: true}, {Name: "count", Number: true, Min: -2, Max: 40, Computed: true}}
}

const cycle = 10 * time.Millisecond

func mapping(t *testing.T, text string) *record.Mapping {
	t.Helper()
	m, err := record.ParseMapping("m.yaml", []byte("format: 1\nrecord: Test\n"+text))
	require.NoError(t, err)
	return m
}

// told is a record cycle by cycle: time in ms, values with . for false, ? for unknown, ! behind a lost cycle.
func told(t *testing.T, text string, m *record.Mapping) string {
	t.Helper()
	r, err := record.Open(strings.NewReader(text), "r.csv", m, signals(), cycle)
	require.NoError(t, err)
	var out []string
	for {
		c, err := r.Next()
		if err == io.EOF {
			return strings.Join(out, " ")
		}
		require.NoError(t, err)
		for i := range c.Times {
			cell := fmt.Sprint(int64(c.Time)/1_000_000+i*10, ":")
			for _, v := range c.Values {
				switch v {
				case logic.Unknown:
					cell += "?"
				case logic.False:
					cell += "."
				default:
					cell += fmt.Sprint(int64(v))
				}
			}
			if c.Lost {
				cell += "!"
			}
			out = append(out, strings.ReplaceAll(cell, " ", ""))
		}
	}
}

// TestCycles: what becomes of rows, by the definition in the package's text; the cycles were worked out by hand.
func TestCycles(t *testing.T) {
	for _, test := range []struct{ reason, mapping, rows, want string }{
		{"rows on the cycles", "", "0,1,0\n10,1,1\n20,0,1\n", "0:1. 10:11 20:.1"},
		{"a cycle between two rows that agree", "", "0,1,0\n5,1,0\n15,1,0\n20,1,0\n", "0:1. 10:1. 20:1."},
		{"a cycle between two rows that don't", "", "0,1,0\n5,1,0\n15,1,1\n20,1,1\n", "0:1. 10:1? 20:11"},
		{"what comes after the last row is not known", "", "0,1,0\n10,1,0\n19,1,0\n", "0:1. 10:1."},
		{"a gap", "", "0,1,0\n10,1,0\n31,1,0\n40,1,0\n", "0:1. 10:1. 20:??! 30:??! 40:1."},
		{"two cycles are no gap", "", "0,1,0\n10,1,0\n30,1,0\n", "0:1. 10:1. 20:1. 30:1."},
		{"a longer gap, allowed", "longest_gap: 30 ms\n", "0,1,0\n30,1,0\n", "0:1. 10:1. 20:1. 30:1."},
		{"a signal that changes twice between cycles", "", "0,1,0\n3,1,1\n6,1,0\n10,1,0\n20,1,0\n", "0:1. 10:1? 20:1."},
		{"the last of several rows counts", "", "0,1,0\n3,1,1\n6,0,1\n10,0,1\n", "0:1. 10:.1"},
		{"changes hold", "rows: changes\n", "0,1,0\n25,0,0\n1000,0,1\n1010,0,1\n", "0:1. 10:1. 20:1. 30:.. " + held(40, 990, "..") + " 1000:.1 1010:.1"},
		{"changes with a limit", "rows: changes\nlongest_gap: 20 ms\n", "0,1,0\n25,0,0\n40,0,1\n", "0:1. 10:??! 20:??! 30:.. 40:.1"},
		{"changes that leave out what stays", "rows: changes\nis_unknown: [x]\nis_unchanged: ['']\n", "0,1,0\n10,,1\n20,0,\n", "0:1. 10:11 20:.1"},
		{"unchanged from the beginning", "rows: changes\nis_unknown: [x]\nis_unchanged: ['']\n", "0,1,\n10,x,1\n20,,\n", "0:1? 10:?1 20:?1"},
		{"rows that are cycles", "rows: cycles\n", "0,1,0\n11,1,1\n19,0,1\n30,0,1\n", "0:1. 11:11 19:.1 30:.1"},
		{"a cycle is missing", "rows: cycles\n", "0,1,0\n21,1,1\n31,1,1\n", "0:1. 10:??! 21:11 31:11"},
		{"a missing cycle that is allowed", "rows: cycles\nlongest_gap: 25 ms\n", "0,1,0\n21,1,1\n31,1,1\n", "0:1. 10:1. 21:11 31:11"},
		{"not in step", "unsure: 1\n", "0,1,0\n10,1,0\n20,1,1\n30,1,1\n40,0,1\n50,0,1\n", "0:1. 10:1? 20:11 30:?1 40:.1"},
		{"two cycles out of step", "unsure: 2\nrows: changes\n", "0,1,0\n60,1,1\n90,1,1\n", "0:1. 10:1. 20:1. 30:1. 40:1? 50:1? 60:11 70:11"},
		{"the cycle before a gap", "unsure: 1\n", "0,1,0\n10,1,0\n50,1,0\n60,1,0\n", "0:1. 10:?? 20:??! 30:??! 40:??! 50:1."},
		{"repeated rows", "", "0,1,0\n0,1,0\n10,1,1\n10,1,1\n", "0:1. 10:11"},
		{"unknown cells", "", "0,1,?\n10,,1\n20,0,1\n", "0:1? 10:?1 20:.1"},
		{"times before zero", "", "-15,1,0\n-5,1,1\n5,1,1\n", "-15:1. -5:11 5:11"},
	} {
		rows := "time [ms],es1.pressed,g1.closed\n" + test.rows
		assert.Equal(t, test.want, told(t, rows, mapping(t, test.mapping)), test.reason)
	}
}

func held(from, to int, values string) string {
	var out []string
	for at := from; at <= to; at += 10 {
		out = append(out, fmt.Sprintf("%d:%s", at, values))
	}
	return strings.Join(out, " ")
}

// TestLag: outputs that were recorded two cycles later stand beside the inputs that they were computed from.
func TestLag(t *testing.T) {
	rows := "time [ms],es1.pressed,belt.run\n0,0,0\n10,1,1\n20,1,0\n30,0,1\n40,0,1\n50,0,0\n60,0,0\n"
	assert.Equal(t, "0:.. 10:11 20:11 30:.. 40:..", told(t, rows, mapping(t, "lag: 2\n")))
	rows = "time [ms],es1.pressed,belt.run\n0,0,0\n10,1,1\n20,1,1\n200,0,0\n210,0,0\n220,0,0\n"
	assert.Equal(t, "0:.1 10:11 20:1?"+lost(30, 190)+" 200:.. 210:..", told(t, rows, mapping(t, "lag: 1\n")))
}

func lost(from, to int) string {
	out := ""
	for at := from; at <= to; at += 10 {
		out += fmt.Sprintf(" %d:??!", at)
	}
	return out
}

// TestReading: separators, byte order mark, line ends, quotes, words, units and time stamps.
func TestReading(t *testing.T) {
	want := "0:1.1 10:111"
	for _, test := range []struct{ reason, mapping, text string }{
		{"as usual", "", "time [ms],es1.pressed,g1.closed,belt.run\n0,1,0,1\n10,1,1,1\n"},
		{"seconds", "", "time_s,es1.pressed,g1.closed,belt.run\n0,1,0,1\n0.01,1,1,1\n"},
		{"other units and words", "", "t (us),es1.pressed,g1.closed,belt.run\n0,TRUE,False,true\n1e4,1,1,1\n"},
		{"a byte order mark, CR LF and quotes", "", "\ufefftime/ms,\"es1.pressed\",g1.closed,belt.run\r\n\"0\",1,0,\"1\"\r\n10,1,1,1\r\n"},
		{"semicolons and decimal commas", "", "Time [s];es1.pressed;g1.closed;belt.run\n0,00;1;0;1\n0,01;1;1;1"},
		{"tabs and blanks", "", "time ms\tes1.pressed\t g1.closed\tbelt.run\n0\t1\t0 \t1\n10\t 1\t1\t1\n"},
		{"empty lines", "", "time [ms],es1.pressed,g1.closed,belt.run\n\n0,1,0,1\n\n10,1,1,1\n\n"},
		{"a mapping", "time: {column: n, unit: ms}\nsignals: {I0.0: es1.pressed, I0.1: g1.closed, Q1: belt.run}\nis_true: ['on', 'closed']\nis_false: ['off', 'open']\ninverted: [es1.pressed]\n",
			"n,note,I0.0,I0.1,Q1\n0,\"a, b\",off,open,on\n10,c,OFF,closed,on\n"},
		{"a column left out", "ignore: [note]\ntime: {column: time, unit: ms}\n", "time,note,es1.pressed,g1.closed,belt.run\n0,x,1,0,1\n10,y,1,1,1\n"},
		{"a separator that is stated", "separator: semicolon\n", "time [ms];es1.pressed;g1.closed;belt.run\n0;1;0;1\n10;1;1;1\n"},
		{"two columns that could be the time", "time: {column: t, unit: ms}\nignore: [timestamp]\n", "timestamp,t,es1.pressed,g1.closed,belt.run\nx,0,1,0,1\nx,10,1,1,1\n"},
	} {
		assert.Equal(t, want, told(t, test.text, mapping(t, test.mapping)), test.reason)
	}
	assert.Equal(t, "0:1-2 10:.40", told(t, "time [ms],mode,count\n0,auto,-2\n10,off,40\n", nil))

	text := "timestamp,es1.pressed\n2030-01-15T08:30:00.990+01:00,1\n2030-01-15 08:30:01+01:00,0\n2030-01-15T07:30:01.01Z,0\n"
	r, err := record.Open(strings.NewReader(text), "r.csv", nil, signals(), cycle)
	require.NoError(t, err)
	var times []string
	for {
		c, err := r.Next()
		if err == io.EOF {
			break
		}
		require.NoError(t, err)
		times = append(times, r.Text(c.Time))
	}
	assert.Equal(t, []string{"2030-01-15T08:30:00.99+01:00", "2030-01-15T08:30:01+01:00", "2030-01-15T08:30:01.01+01:00"}, times)
}

// TestCount: the reader tells what it made of the rows.
func TestCount(t *testing.T) {
	m := mapping(t, "time: {column: time, unit: ms}\nsignals: {e: es1.pressed, g: g1.closed}\nunsure: 1\n")
	text := "time,e,g,x\n0,0,0,0\n0,0,0,9\n3,1,0,0\n6,0,0,0\n10,0,0,0\n18,0,0,0\n22,0,1,0\n30,0,1,0\n130,0,0,0\n140,0,0,0\n150,0,0,0\n"
	r, err := record.Open(strings.NewReader(text), "r.csv", m, signals(), cycle)
	require.NoError(t, err)
	for err == nil {
		_, err = r.Next()
	}
	require.ErrorIs(t, err, io.EOF)
	assert.Equal(t, []string{"x"}, r.Unused)
	assert.Equal(t, record.Count{Rows: 11, Cycles: 15, Repeated: 1, Gaps: 1, FirstGap: record.Gap{From: 30_000_000, To: 130_000_000}, Lost: 9,
		Between: 1, Fast: 1, Unsure: 4, First: 0, Last: 150_000_000}, r.Count())
}

// TestProblems: each problem has its line and column, and says what would serve.
func TestProblems(t *testing.T) {
	for _, test := range []struct{ reason, mapping, text, want string }{
		{"nothing", "", "", "r.csv:1:1: the record is empty"},
		{"blank", "", "\ufeff \n", "r.csv:1:1: the record is empty"},
		{"UTF-16", "", "\xff\xfet\x00", "r.csv:1:1: the file is UTF-16: save it as UTF-8"},
		{"no separator", "", "time\n0\n", "r.csv:1:1: the first line has neither comma nor semicolon nor tab"},
		{"two separators", "", "time;a,b\n", "r.csv:1:1: the first line has more than one of comma, semicolon and tab: state separator:"},
		{"no time", "", "zeit,es1.pressed\n", "r.csv:1:1: no column is called time"},
		{"two times", "", "time [s],t,es1.pressed\n", `r.csv:1:10: both "time [s]" and "t" could be the time`},
		{"another time", "time: {column: tme}\n", "time [s],es1.pressed\n", `m.yaml:3:8: time.column: the record has no column "tme"`},
		{"a column twice", "", "time [s],es1.pressed,es1.pressed\n", `r.csv:1:22: the column "es1.pressed" is there twice`},
		{"a misspelled signal", "", "time [s],es1.presed\n", `r.csv:1:10: the machine has no signal or value "es1.presed"; did you mean "es1.pressed"?`},
		{"a place behind umlauts", "signals: {}\n", "Zeit [µs]äöü,time [s],es1.pressed,es1.pressed\n", `r.csv:1:35: the column "es1.pressed" is there twice`},
		{"only the time", "ignore: [a]\n", "time [s],a\n", "r.csv:1:1: there is no column of a signal beside the time"},
		{"a mapped column that is not there", "signals: {I1: es1.pressed}\n", "time [s],I2,I11\n", `m.yaml:3:11: signals.I1: the record has no column "I1"; there are time [s], I2, I11`},
		{"a mapped signal that is not there", "signals: {I1: g1.close}\n", "time [s],I1\n", `m.yaml:3:11: signals.I1: the machine has no signal or value "g1.close"; did you mean "g1.closed"?`},
		{"two columns of a signal", "signals: {I1: g1.closed, I2: g1.closed}\n", "time [s],I1,I2\n", `m.yaml:3:26: signals.I2: g1.closed is the column "I1" already`},
		{"the time as a signal", "time: {column: I1, unit: s}\nsignals: {I1: g1.closed}\n", "I1,I2\n", `m.yaml:4:11: signals.I1: the column "I1" holds the time`},
		{"an inverted signal that is not there", "inverted: [g1.closd]\n", "time [s],g1.closed\n", `m.yaml:3:12: inverted.0: no column holds the signal "g1.closd"; did you mean "g1.closed"?`},
		{"an inverted word", "inverted: [mode]\n", "time [s],mode\n", "m.yaml:3:12: inverted.0: mode is not true or false"},
		{"a column to ignore that is not there", "ignore: [nte]\n", "time [s],g1.closed\n", `m.yaml:3:10: ignore.0: the record has no column "nte"`},

		{"too few cells", "", "time [s],es1.pressed\n0,1\n1\n", "r.csv:3:1: the row has 1 cells, and there are 2 columns"},
		{"too many cells", "", "time [s],es1.pressed\n0,1\n1,1,1\n", "r.csv:3:1: the row has 3 cells, and there are 2 columns"},
		{"a cell that is no truth value", "", "time [s],es1.pressed\n0,1\n1,yes\n", `r.csv:3:3: found "yes" for es1.pressed, wanted one of "", "0", "1", "?", "false", "true"; a mapping can state other words`},
		{"a word that is none", "", "time [s],mode\n0,aut\n", `r.csv:2:3: found "aut", which is no word of mode; did you mean "auto"?`},
		{"a number out of range", "", "time [s],count\n0,41\n", `r.csv:2:3: found "41", and count is a whole number from -2 to 40`},
		{"a number that is none", "", "time [s],count\n0,1.5\n", `r.csv:2:3: found "1.5", and count is a whole number`},
		{"NUL", "", "time [s],es1.pressed\n0,\x00\n", `r.csv:2:3: found "\x00" for es1.pressed`},
		{"no unit", "", "time,es1.pressed\n0,1\n", "r.csv:2:1: the times have no unit: write it into the name of the column, as time [s]"},
		{"no time", "", "time [s],es1.pressed\n,1\n", `r.csv:2:1: found "", wanted a time in s, such as 12.5`},
		{"a strange time", "", "time [s],es1.pressed\n1:30,1\n", `r.csv:2:1: found "1:30", wanted a time in s`},
		{"a decimal comma between commas", "", "time [s],es1.pressed\n\"0,5\",1\n", `r.csv:2:1: found "0,5", wanted a time in s`},
		{"a time beyond all", "", "time [s],es1.pressed\n99999999999,1\n", `r.csv:2:1: found "99999999999", wanted a time in s`},
		{"a time stamp without its zone", "time: {unit: timestamp}\n", "time,es1.pressed\n2030-01-15T08:30:00,1\n", `r.csv:2:1: found "2030-01-15T08:30:00", wanted a time stamp with its zone (RFC 3339)`},
		{"time that goes back", "", "time [s],es1.pressed\n0.5,1\n0.25,1\n", "r.csv:3:1: time goes back: 0.25 s comes after 0.5 s in line 2"},
		{"two values at a time", "", "time [s],es1.pressed\n0.5,1\n0.50,0\n", "r.csv:3:1: es1.pressed has another value than in line 2, at the same time 0.5 s"},
		{"rows that are no cycles", "rows: cycles\n", "time [ms],es1.pressed\n0,1\n4,1\n", "r.csv:3:1: the row comes 4ms after the one before, and a safety cycle lasts 10ms: not each row is a cycle"},
		{"a quote within", "", "time [s],es1.pressed\n0,1\"\n1,1\n", "r.csv:2:4: a quote that does not belong here"},
		{"a quote that is not closed", "", "time [s],es1.pressed\n0,\"1\n1,1\n", "a quote that does not belong here"},
		{"several", "", "time [s],es1.pressed\n0,a\n1,1\nx,1\n2,b\n", "r.csv:2:3: found \"a\" for es1.pressed, wanted one of \"\", \"0\", \"1\", \"?\", \"false\", \"true\"; a mapping can state other words\nr.csv:4:1: found \"x\", wanted a time in s, such as 12.5\nr.csv:5:3: found \"b\""},
	} {
		err := readAll(test.text, mapping(t, test.mapping))
		require.Error(t, err, test.reason)
		assert.Contains(t, err.Error(), test.want, test.reason)
	}
}

func readAll(text string, m *record.Mapping) error {
	r, err := record.Open(strings.NewReader(text), "r.csv", m, signals(), cycle)
	for err == nil {
		_, err = r.Next()
	}
	if errors.Is(err, io.EOF) {
		return nil
	}
	return err
}

// TestMappingProblems: a mapping is read as strictly as any other file.
func TestMappingProblems(t *testing.T) {
	for _, test := range []struct{ text, want string }{
		{"format: 1\n", "m.yaml:1:1: record: required, but missing"},
		{"format: 2\nrecord: x\nnew: thing\n", "m.yaml:1:1: format: found format 2, and this version reads up to 1"},
		{"format: -1\nrecord: x\n", "m.yaml:1:1: format: found format -1, wanted 1"},
		{"format: 1\nrecord: x\nrow: changes\n", `m.yaml:3:1: row: unknown key "row": did you mean "rows"?`},
		{"format: 1\nrecord: x\nrows: sample\n", `did you mean "samples"?`},
		{"format: 1\nrecord: x\nlag: -1\nunsure: 1001\n", "m.yaml:3:1: lag: found -1, wanted 0 to 1000 cycles\nm.yaml:4:1: unsure: found 1001, wanted 0 to 1000 cycles"},
		{"format: 1\nrecord: x\nlongest_gap: 0 s\n", "longest_gap: found 0 s, wanted a time above 0"},
		{"format: 1\nrecord: x\nis_true: [a, b]\nis_false: [B]\n", `m.yaml:4:12: is_false.0: "B" stands under is_true already`},
		{"format: 1\nrecord: x\nis_unchanged: ['']\n", "state rows: changes"},
		{"format: 1\nrecord: x\nsignals: {a: b}\nignore: [c]\n", "signals: says which columns are read"},
	} {
		_, err := record.ParseMapping("m.yaml", []byte(test.text))
		require.Error(t, err, test.text)
		assert.Contains(t, err.Error(), test.want)
	}
	_, err := record.Open(strings.NewReader(""), "r.csv", &record.Mapping{Lag: -1}, nil, cycle)
	assert.ErrorContains(t, err, "lag: found -1")
	_, err = record.Open(strings.NewReader(""), "r.csv", nil, nil, 0)
	assert.ErrorContains(t, err, "safety cycle")
}
