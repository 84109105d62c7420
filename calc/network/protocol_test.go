package network

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/guardwright/guardwright/model"
)

// TestFrames checks the sizes and times of testdata/network/frames.csv.
func TestFrames(t *testing.T) {
	message := func(f func(int, model.SafetyFormat) (int, error)) func(int) float64 {
		return func(n int) float64 {
			size, err := f(n, "")
			require.NoError(t, err)
			return float64(size)
		}
	}
	cip := message(cipMessage)
	compute := map[string]func(int) float64{
		"wire":                          func(n int) float64 { return float64(wire(n)) },
		"time at 100 Mbit/s":            func(n int) float64 { return bits(n) / 100 },
		"time at 1 Gbit/s":              func(n int) float64 { return bits(n) / 1000 },
		"frames a second at 100 Mbit/s": func(n int) float64 { return math.Floor(100e6 / bits(n)) },
		"cip message":                   cip,
		"cip frame":                     func(n int) float64 { return implicitHeader + cip(n) },
		"cip coordination frame":        func(int) float64 { return implicitHeader + coordination },
		"cip time at 100 Mbit/s":        func(n int) float64 { return bits(implicitHeader+int(cip(n))) / 100 },
		"profisafe message":             message(profisafeMessage),
		"profinet frame":                func(n int) float64 { return float64(realTimeFrame(n)) },
		"fsoe message":                  message(func(n int, _ model.SafetyFormat) (int, error) { return fsoeMessage(n) }),
		"ethercat frame":                func(n int) float64 { return float64(etherCATFrame(n)) },
		"ethercat largest datagram":     func(int) float64 { return largestDatagram },
	}
	file, err := os.Open("../../testdata/network/frames.csv")
	require.NoError(t, err)
	defer func() { assert.NoError(t, file.Close()) }()
	r := csv.NewReader(file)
	r.Comma, r.Comment, r.FieldsPerRecord = ';', '#', -1
	rows, err := r.ReadAll()
	require.NoError(t, err)
	require.GreaterOrEqual(t, len(rows), 50)
	for _, row := range rows {
		f, ok := compute[row[0]]
		require.True(t, ok, row[0])
		input, err := strconv.Atoi(row[1])
		require.NoError(t, err)
		want, err := strconv.ParseFloat(row[2], 64)
		require.NoError(t, err)
		assert.InDelta(t, want, f(input), 1e-9, "%s of %d", row[0], input)
	}
}

// TestRefusedMessages: what a format does not hold is an error, never a guess.
func TestRefusedMessages(t *testing.T) {
	for _, x := range []struct {
		n      int
		format model.SafetyFormat
		f      func(int, model.SafetyFormat) (int, error)
		want   string
	}{
		{3, model.ShortFormat, cipMessage, "the short format holds 1 or 2"},
		{2, model.LongFormat, cipMessage, "the long format begins at 3"},
		{13, model.ShortFormat, profisafeMessage, "covers at most 12"},
		{3, "", func(n int, _ model.SafetyFormat) (int, error) { return fsoeMessage(n) }, "1 or an even number"},
	} {
		_, err := x.f(x.n, x.format)
		assert.ErrorContains(t, err, x.want)
	}
	_, err := wholeBytes(251, longestMessage, "input data")
	assert.ErrorContains(t, err, "found 251 B of input data, wanted at most 250 B")
	n, err := wholeBytes(model.DataSize(0.5), 10, "input data") // 4 bit
	require.NoError(t, err)
	assert.Equal(t, 1, n)
}

// TestLongFormatOfPROFIsafe: the check sequence of 4 byte can be chosen for little data too.
func TestLongFormatOfPROFIsafe(t *testing.T) {
	n, err := profisafeMessage(4, model.LongFormat)
	require.NoError(t, err)
	assert.Equal(t, 9, n)
}

// TestSurvives: a ring's recovery against what a time limit leaves. Derived: 200 ms of recovery do not fit in a watchdog of
// 150 ms with 20 ms of ordinary delay; 3 ms fit in 40 ms with 16 ms.
func TestSurvives(t *testing.T) {
	trips := survives(model.Milliseconds(200), model.Milliseconds(150), model.Milliseconds(20))
	assert.Equal(t, Beyond, trips.Status)
	assert.InDelta(t, 0.130, float64(trips.Limit), 1e-12)
	holds := survives(model.Milliseconds(3), model.Milliseconds(40), model.Milliseconds(16))
	assert.Equal(t, Within, holds.Status)
	assert.InDelta(t, 0.024, float64(holds.Limit), 1e-12)
	assert.Equal(t, Beyond, survives(24, 40, 16).Status, "it has to be shorter, not as long")
}

// TestSweep compares the sweep round a ring with trying every open position.
func TestSweep(t *testing.T) {
	for size := 2; size <= 7; size++ {
		var arcs []arc
		for from := range size {
			for to := range size {
				if from != to {
					arcs = append(arcs, arc{from, to, int64(1 + from*31 + to*17)})
				}
			}
		}
		over := func(a arc, link int) bool { return (link-a.from+size)%size < (a.to-a.from+size)%size }
		s := sweep{size: size, arcs: arcs, normal: []int{size - 1}}
		for i, got := range s.run() {
			var want swept
			for k := range size {
				sum := int64(0)
				for _, a := range arcs {
					if over(a, i) && !over(a, k) {
						sum += a.weight
					}
				}
				if sum > want.worst {
					want.worst, want.open = sum, k
				}
				if k == size-1 {
					want.normal = sum
				}
			}
			assert.Equal(t, want, got, "size %d, link %d", size, i)
		}
	}
}
