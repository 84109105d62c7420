package timing_test

import (
	"encoding/csv"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/guardwright/guardwright/calc/timing"
	"github.com/guardwright/guardwright/model"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// tolerance covers the rounding of a few float64 operations; the check values are exact.
const tolerance = 1e-12

type inputs map[string]string

func (in inputs) time(t *testing.T, name string) model.Duration {
	d, err := model.ParseDuration(in[name])
	require.NoError(t, err)
	return d
}

func (in inputs) count(t *testing.T, name string) int {
	n, err := strconv.Atoi(in[name])
	require.NoError(t, err)
	return n
}

// times are numbers of milliseconds.
func (in inputs) times(t *testing.T, name string) []model.Duration {
	var out []model.Duration
	for word := range strings.FieldsSeq(in[name]) {
		n, err := strconv.ParseFloat(word, 64)
		require.NoError(t, err)
		out = append(out, model.Milliseconds(n))
	}
	return out
}

func TestFormulas(t *testing.T) {
	f, err := os.Open("../../testdata/timing/formulas.csv")
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	require.Greater(t, len(rows), 10)
	for _, row := range rows[1:] {
		id, formula, arguments, text, source := row[0], row[1], row[2], row[3], row[4]
		t.Run(id, func(t *testing.T) {
			in := inputs{}
			for part := range strings.SplitSeq(arguments, ";") {
				name, value, _ := strings.Cut(part, "=")
				in[name] = value
			}
			want, err := model.ParseDuration(text)
			require.NoError(t, err)
			assert.InDelta(t, float64(want), float64(evaluate(t, formula, in)), tolerance, source)
		})
	}
}

func evaluate(t *testing.T, formula string, in inputs) model.Duration {
	switch formula {
	case "statistics":
		s, err := timing.FromReadings(in.times(t, "readings"))
		require.NoError(t, err)
		return s.Value
	case "expectation":
		n, err := timing.NetworkTimeExpectation{
			Interval: in.time(t, "EPI"), TimeoutMultiplier: in.count(t, "TM"), PingMultiplier: in.count(t, "P"),
			Message: in.time(t, "message"), Coordination: in.time(t, "coordination"), CoordinationMinimum: in.count(t, "M"),
		}.Smallest()
		require.NoError(t, err)
		return model.Duration(n) * model.Microseconds(128)
	case "default-in":
		return timing.DefaultReactionLimit(in.time(t, "interval"), true)
	case "default-out":
		return timing.DefaultReactionLimit(in.time(t, "interval"), false)
	case "profisafe":
		var parts []timing.Watched
		watchdogs := in.times(t, "watchdogs")
		for i, longest := range in.times(t, "longest") {
			parts = append(parts, timing.Watched{Longest: longest, Watchdog: watchdogs[i]})
		}
		return timing.ResponseTime(parts)
	case "watchdog":
		trip := timing.RoundTrip{There: in.time(t, "bus"), Device: in.time(t, "device"), Back: in.time(t, "bus"), Host: in.time(t, "host")}
		return trip.SmallestWatchdog(model.Percent(float64(in.count(t, "margin"))))
	}
	t.Fatalf("unknown formula %q", formula)
	return 0
}

func TestStatistics(t *testing.T) {
	s, err := timing.FromReadings([]model.Duration{0.142, 0.145, 0.139, 0.141, 0.147, 0.144, 0.143, 0.140, 0.146, 0.143})
	require.NoError(t, err)
	assert.Equal(t, 10, s.Count)
	assert.InDelta(t, 0.143, float64(s.Mean), tolerance)
	assert.InDelta(t, 0.002582, float64(s.Deviation), 5e-7)
	assert.Equal(t, model.Milliseconds(147), s.Highest)
	for _, bad := range [][]model.Duration{nil, {1}, {1, 0}, {1, -1}} {
		_, err := timing.FromReadings(bad)
		assert.ErrorContains(t, err, "wanted")
	}
}

// TestLegalRanges: 45313 and 7813 steps of 128 µs are 5.800064 s and 1.000064 s (the constants read in public protocol
// implementations).
func TestLegalRanges(t *testing.T) {
	good := timing.NetworkTimeExpectation{Interval: model.Seconds(1), TimeoutMultiplier: 4, PingMultiplier: 1, Message: model.Seconds(1)}
	n, err := good.Smallest()
	require.NoError(t, err)
	assert.LessOrEqual(t, float64(n)*128e-6, 5.800064)
	for _, change := range []func(*timing.NetworkTimeExpectation){
		func(n *timing.NetworkTimeExpectation) { n.Interval = model.Microseconds(99) },
		func(n *timing.NetworkTimeExpectation) { n.Interval = model.Seconds(1.001) },
		func(n *timing.NetworkTimeExpectation) { n.TimeoutMultiplier = 5 },
		func(n *timing.NetworkTimeExpectation) { n.TimeoutMultiplier = 0 },
		func(n *timing.NetworkTimeExpectation) { n.PingMultiplier = 1000 },
		func(n *timing.NetworkTimeExpectation) { n.CoordinationMinimum = 7814 },
		func(n *timing.NetworkTimeExpectation) { n.Message = -1 },
		func(n *timing.NetworkTimeExpectation) { n.Message = model.Seconds(2) },
	} {
		bad := good
		change(&bad)
		_, err := bad.Smallest()
		assert.ErrorContains(t, err, "wanted")
	}
	low, high, err := timing.WatchdogRange(model.PROFIsafe)
	require.NoError(t, err)
	assert.Equal(t, []model.Duration{0.001, 65.535}, []model.Duration{low, high})
	_, high, err = timing.WatchdogRange(model.SafetyOverEtherCAT)
	require.NoError(t, err)
	assert.Equal(t, model.Seconds(65.534), high)
	_, _, err = timing.WatchdogRange(model.CIPSafety)
	assert.ErrorContains(t, err, "no watchdog time")
}
