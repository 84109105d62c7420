package record_test

import (
	"fmt"
	"io"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/guardwright/guardwright/calc/logic"
	"github.com/guardwright/guardwright/rules/record"
)

// world is the truth behind a record: the milliseconds at which a signal changes. It begins false.
type world []int

func (w world) at(ms int) logic.Value {
	v := logic.False
	for _, change := range w {
		if change <= ms {
			v = 1 - v
		}
	}
	return v
}

// random changes a signal at random, with at least so many milliseconds between two changes.
func random(rnd *rand.Rand, end, apart int) world {
	var w world
	for at := rnd.IntN(60); at < end; at += apart + rnd.IntN(60) {
		w = append(w, at)
	}
	return w
}

// cycles are the values of each cycle of a record.
func cycles(t *testing.T, text string, m *record.Mapping) (out [][]logic.Value, times []int) {
	t.Helper()
	r, err := record.Open(strings.NewReader(text), "r.csv", m, signals(), cycle)
	require.NoError(t, err)
	for {
		c, err := r.Next()
		if err == io.EOF {
			return out, times
		}
		require.NoError(t, err, text)
		for i := range c.Times {
			out = append(out, append([]logic.Value(nil), c.Values...))
			times = append(times, int(int64(c.Time)/1_000_000+i*10))
		}
	}
}

// TestSamplesAreSound: whatever is read from irregular samples of a signal is its true value in the moment of the cycle, as long
// as the signal does not change twice between two samples.
func TestSamplesAreSound(t *testing.T) {
	told, open := 0, 0
	for seed := range 300 {
		rnd := rand.New(rand.NewPCG(uint64(seed), 41))
		a, b := random(rnd, 1000, 20), random(rnd, 1000, 20)
		var text strings.Builder
		text.WriteString("time [ms],es1.pressed,g1.closed\n")
		for at := 0; at < 1000; at += 1 + rnd.IntN(19) {
			fmt.Fprintf(&text, "%d,%d,%d\n", at, a.at(at), b.at(at))
		}
		values, times := cycles(t, text.String(), nil)
		for i, row := range values {
			for j, w := range []world{a, b} {
				if row[j] == logic.Unknown {
					open++
					continue
				}
				told++
				require.Equal(t, w.at(times[i]), row[j], "seed %d, %d ms", seed, times[i])
			}
		}
	}
	require.Greater(t, told, 2*open, "%d told, %d open", told, open)
}

// TestUnsureIsSound: a controller reads its inputs somewhere between two cycles of the record, and writes its outputs then.
// With unsure: 1 whatever is read from the changes is what the controller saw and did in its own cycle.
func TestUnsureIsSound(t *testing.T) {
	told, open, missed := 0, 0, 0
	for seed := range 300 {
		rnd := rand.New(rand.NewPCG(uint64(seed), 42))
		in, phase := random(rnd, 1000, 3), rnd.IntN(10)
		var out world // follows the input, cycle by cycle, at random
		state := logic.False
		for scan := phase; scan < 1000; scan += 10 {
			if v := in.at(scan); v != state && rnd.IntN(3) > 0 {
				state, out = v, append(out, scan)
			}
		}
		var text strings.Builder
		text.WriteString("time [ms],es1.pressed,belt.run\n0,0,0\n")
		if in.at(0) == logic.True || out.at(0) == logic.True {
			continue
		}
		for at := 1; at < 1000; at++ {
			if in.at(at) != in.at(at-1) || out.at(at) != out.at(at-1) {
				fmt.Fprintf(&text, "%d,%d,%d\n", at, in.at(at), out.at(at))
			}
		}
		for unsure := range 2 {
			values, times := cycles(t, text.String(), &record.Mapping{Rows: record.Changes, Unsure: unsure})
			for i, row := range values {
				for j, w := range []world{in, out} {
					switch {
					case row[j] == logic.Unknown && unsure == 1:
						open++
					case row[j] == logic.Unknown:
					case unsure == 0 && row[j] != w.at(times[i]+phase):
						missed++
					case unsure == 1:
						told++
						require.Equal(t, w.at(times[i]+phase), row[j], "seed %d, %d ms, phase %d", seed, times[i], phase)
					}
				}
			}
		}
	}
	require.Greater(t, told, open, "%d told, %d open", told, open)
	require.Greater(t, missed, 1000, "without it a controller out of step would be misread")
}
