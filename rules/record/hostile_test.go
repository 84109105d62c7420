package record_test

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/guardwright/guardwright/model/source"
	"github.com/guardwright/guardwright/rules/record"
)

// generated is a record that is made while it is read.
type generated struct {
	head string
	row  func(i int) string
	rows int
	i    int
	left []byte
}

func (g *generated) Read(p []byte) (int, error) {
	for len(g.left) == 0 {
		switch {
		case g.i == 0:
			g.left = []byte(g.head)
		case g.i > g.rows:
			return 0, io.EOF
		default:
			g.left = []byte(g.row(g.i - 1))
		}
		g.i++
	}
	n := copy(p, g.left)
	g.left = g.left[n:]
	return n, nil
}

// endless repeats a text for ever.
type endless struct {
	head, text string
	at         int
}

func (e *endless) Read(p []byte) (int, error) {
	for i := range p {
		if e.at < len(e.head) {
			p[i] = e.head[e.at]
		} else {
			p[i] = e.text[(e.at-len(e.head))%len(e.text)]
		}
		e.at++
	}
	return len(p), nil
}

// TestEndlessRows: a row that never ends is refused before it fills the memory.
func TestEndlessRows(t *testing.T) {
	for _, in := range []io.Reader{
		&endless{"time [s],es1.pressed\n0,1\n1,\"", "x", 0},
		&endless{"time [s],es1.pressed\n0,1\n1,", "1", 0},
		&endless{"time [s],es1.pressed\n0,1\n", ",", 0},
		&endless{"", "a,", 0},
		&endless{"time [s],\"", "\"\"", 0},
		&endless{"\ufeff", ",\n\"", 0},
		&endless{"time [s],es1.pressed\n", "x,\n", 0},
		&endless{"time [s],es1.pressed\n0,1\n", "\"", 0},
	} {
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		r, err := record.Open(in, "r.csv", nil, signals(), cycle)
		for err == nil {
			_, err = r.Next()
		}
		runtime.ReadMemStats(&after)
		require.NotErrorIs(t, err, io.EOF)
		assert.Less(t, len(err.Error()), 10_000)
		assert.Less(t, after.TotalAlloc-before.TotalAlloc, uint64(100<<20))
	}
}

// TestBrokenReader: what the reader reports is handed on, and no verdict comes of half a record.
func TestBrokenReader(t *testing.T) {
	broken := errors.New("the disk is gone")
	in := io.MultiReader(strings.NewReader("time [s],es1.pressed\n0,1\n"), errorReader{broken})
	r, err := record.Open(in, "r.csv", nil, signals(), cycle)
	for err == nil {
		_, err = r.Next()
	}
	assert.ErrorContains(t, err, "the disk is gone")
	_, err = record.Open(errorReader{broken}, "r.csv", nil, signals(), cycle)
	assert.ErrorIs(t, err, broken)
}

type errorReader struct{ err error }

func (e errorReader) Read([]byte) (int, error) { return 0, e.err }

// TestConstantMemory: a record ten times as long takes no more memory at a time, and a silence of a year takes none.
func TestConstantMemory(t *testing.T) {
	most := func(rows int) uint64 {
		in := &generated{head: "time [ms],es1.pressed,g1.closed\n", rows: rows,
			row: func(i int) string { return fmt.Sprintf("%d,%d,%d\n", i*7, i>>3&1, i>>5&1) }}
		r, err := record.Open(in, "r.csv", &record.Mapping{Unsure: 2, Lag: 3}, signals(), cycle)
		var most uint64
		for i := 0; err == nil; i++ {
			if i%(rows/8) == 0 {
				runtime.GC()
				var m runtime.MemStats
				runtime.ReadMemStats(&m)
				most = max(most, m.HeapAlloc)
			}
			_, err = r.Next()
		}
		require.ErrorIs(t, err, io.EOF)
		return most
	}
	short, long := most(10_000), most(100_000)
	assert.Less(t, long, short+1<<20)

	year := "time [s],es1.pressed\n0,1\n31536000,0\n31536000.01,0\n"
	for _, m := range []*record.Mapping{nil, {Rows: record.Changes}, {Rows: record.Cycles}, {Rows: record.Changes, Unsure: 1000, Lag: 1000}} {
		r, err := record.Open(strings.NewReader(year), "r.csv", m, signals(), cycle)
		steps := 0
		for ; err == nil; steps++ {
			_, err = r.Next()
		}
		require.ErrorIs(t, err, io.EOF)
		assert.Less(t, steps, 5000)
		assert.InDelta(t, 3_153_600_001, r.Count().Cycles, 2001)
	}
}

// FuzzRecord: whatever stands in a file, it is read or refused with a place, and cycles follow each other.
func FuzzRecord(f *testing.F) {
	for _, text := range []string{
		"time [ms],es1.pressed,mode\n0,1,off\n10,0,auto\n", "t;es1.pressed\n2030-01-15T08:30:00Z;1\n", "\ufefftime_s\tcount\n-1e-3\t-2\n0,5\t40\n",
		"time [ms],es1.pressed\n0,\"1\n", "time [s],es1.pressed\n9e9,1\n-9e9,1\n", "time [ns],es1.pressed\n0,1\n2000000000000000000,0\n",
	} {
		for kind := range byte(6) {
			f.Add([]byte(text), kind)
		}
	}
	f.Fuzz(func(t *testing.T, data []byte, kind byte) {
		m := &record.Mapping{Rows: []record.Rows{record.Samples, record.Changes, record.Cycles}[kind%3], Unsure: int(kind>>3) % 3, Lag: int(kind>>5) % 3}
		r, err := record.Open(bytes.NewReader(data), "r.csv", m, signals(), cycle)
		if err != nil {
			placed(t, err)
			return
		}
		last, ends := record.Time(0), false
		for i := 0; ; i++ {
			c, err := r.Next()
			if err == io.EOF {
				return
			}
			if err != nil {
				placed(t, err)
				return
			}
			if c.Times < 1 || len(c.Values) != len(r.Columns) || ends && c.Time <= last {
				t.Fatalf("cycle %+v after %d", c, last)
			}
			last, ends = c.Time, true
		}
	})
}

func placed(t *testing.T, err error) {
	t.Helper()
	var problems source.Problems
	if !errors.As(err, &problems) || problems[0].Position.File == "" {
		t.Fatalf("no problem with a place: %v", err)
	}
}

// BenchmarkReader reads 64 columns, in cycles of 10 ms.
func BenchmarkReader(b *testing.B) {
	known := make([]record.Signal, 64)
	head := "time [ms]"
	for i := range known {
		known[i].Name = fmt.Sprintf("s%d", i)
		head += "," + known[i].Name
	}
	const rows = 10_000
	var text bytes.Buffer
	text.WriteString(head + "\n")
	for i := range rows {
		fmt.Fprint(&text, i*10)
		for j := range known {
			fmt.Fprint(&text, ",", (i>>(j%13))&1)
		}
		text.WriteByte('\n')
	}
	b.SetBytes(int64(text.Len()))
	b.ReportAllocs()
	for b.Loop() {
		r, err := record.Open(bytes.NewReader(text.Bytes()), "r.csv", nil, known, cycle)
		for err == nil {
			_, err = r.Next()
		}
		if err != io.EOF {
			b.Fatal(err)
		}
	}
	b.ReportMetric(rows*float64(b.N)/b.Elapsed().Seconds(), "rows/s")
}
