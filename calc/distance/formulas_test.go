package distance_test

import (
	"errors"
	"math"
	"strconv"
	"testing"

	"github.com/guardwright/guardwright/calc/distance"
	"github.com/guardwright/guardwright/model"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// tolerance covers the rounding of a few float64 operations; the check values are exact.
const tolerance = 1e-12

func TestFormulas(t *testing.T) {
	for _, row := range rows(t, "formulas.csv") {
		t.Run(row["id"], func(t *testing.T) {
			in := inputsOf(row["inputs"])
			want, err := model.ParseLength(row["want"])
			require.NoError(t, err)
			if row["formula"] == "initiation" {
				got := distance.PresenceSensingInitiation(in.time(t, "Ts"), in.time(t, "Tp"), in.time(t, "Tr"), in.time(t, "Tm"), in.length(t, "Dp"))
				assert.InDelta(t, float64(want), float64(got), tolerance)
				return
			}
			var time model.Duration
			if row["formula"] == "full-revolution" {
				time, err = distance.FullRevolutionTime(in.count(t, "N"), in.time(t, "t"))
				require.NoError(t, err)
			} else {
				time = in.time(t, "T")
			}
			l := law(t, row["formula"], in)
			got, term := l.Distance(time)
			assert.InDelta(t, float64(want), float64(got), tolerance, "%s (%s): %s", row["source"], row["how_known"], l.Derivation(time))
			assert.NotEqual(t, distance.NoTerm, term)
		})
	}
}

func TestInverse(t *testing.T) {
	for _, row := range rows(t, "inverse.csv") {
		t.Run(row["id"], func(t *testing.T) {
			l := law(t, row["formula"], inputsOf(row["inputs"]))
			built, err := model.ParseLength(row["distance"])
			require.NoError(t, err)
			got, ok := l.Longest(built)
			if row["want"] == "none" {
				assert.False(t, ok, row["source"])
				return
			}
			want, err := model.ParseDuration(row["want"])
			require.NoError(t, err)
			require.True(t, ok)
			assert.InDelta(t, float64(want), float64(got), tolerance, row["source"])
		})
	}
}

// TestPressChart: the published chart is the formula rounded to half an inch, in places downwards, so the formula is
// the requirement.
func TestPressChart(t *testing.T) {
	l, err := distance.OrthogonalField(model.CFR1910217, 0)
	require.NoError(t, err)
	for _, row := range rows(t, "press_chart.csv") {
		time, err := model.ParseDuration(row["stopping_time"])
		require.NoError(t, err)
		want, err := strconv.ParseFloat(row["chart_inches"], 64)
		require.NoError(t, err)
		got, _ := l.Distance(time)
		assert.Equal(t, want, math.Round(float64(got)/0.0254*2)/2, "%s: %s", row["stopping_time"], row["source"])
	}
}

func TestOpenings(t *testing.T) {
	for _, row := range rows(t, "openings.csv") {
		in := inputs(row)
		got, err := distance.OpeningDistance(in.length(t, "width"), model.OpeningShape(row["shape"]), in.length(t, "length"))
		if row["want"] == "differs" {
			_, refused := errors.AsType[*distance.NotCoveredError](err)
			assert.True(t, refused, "%v", row)
			continue
		}
		require.NoError(t, err)
		assert.Equal(t, in.length(t, "want"), got, "%v", row)
	}
	_, err := distance.OpeningDistance(model.Millimetres(10), "oval", 0)
	assert.ErrorContains(t, err, "slot")
	_, err = distance.OpeningDistance(0, model.SlotOpening, 0)
	assert.ErrorContains(t, err, "above 0 mm")
}

// TestPressOpenings: 29 CFR 1910.217 table O-10, from memory.
func TestPressOpenings(t *testing.T) {
	for _, row := range rows(t, "press_openings.csv") {
		in := inputs(row)
		for _, end := range []string{"from", "to"} {
			got, err := distance.PressOpening(in.length(t, end))
			require.NoError(t, err)
			want := in.length(t, "opening")
			if end == "from" {
				want = in.length(t, "opening_before") // the rows meet: the smaller opening counts
			}
			assert.InDelta(t, float64(want), float64(got), tolerance, "%v", row)
		}
	}
	for _, outside := range []float64{0.49, 31.51, math.NaN()} {
		_, err := distance.PressOpening(model.Length(outside * 0.0254))
		assert.Error(t, err, outside)
	}
}

// TestNotCovered: what is not known for certain is refused, and the refusal names the standard.
func TestNotCovered(t *testing.T) {
	iso10, iso24, cfr, ansi := model.ISO13855Edition2010, model.ISO13855Edition2024, model.CFR1910217, model.ANSIB1119
	mm := model.Millimetres
	one := func(_ distance.Law, err error) error { return err }
	tests := map[string]error{
		"2010, 71 mm":           one(distance.OrthogonalField(iso10, mm(71))),
		"2024, 41 mm":           one(distance.OrthogonalField(iso24, mm(41))),
		"ANSI, 64 mm":           one(distance.OrthogonalField(ansi, mm(64))),
		"2010, parallel 1001":   one(distance.ParallelField(iso10, mm(1001))),
		"ANSI, parallel":        one(distance.ParallelField(ansi, mm(300))),
		"OSHA, parallel":        one(distance.ParallelField(cfr, mm(300))),
		"2010, five beams":      one(distance.SeparateBeams(iso10, 5)),
		"2010, no beam":         one(distance.SeparateBeams(iso10, 0)),
		"2024, beams":           one(distance.SeparateBeams(iso24, 3)),
		"2010, mat on 1.1 m":    one(distance.PressureMat(iso10, mm(1100))),
		"2024, mat":             one(distance.PressureMat(iso24, 0)),
		"2024, shrouded":        one(distance.TwoHandControl(iso24, true)),
		"ANSI, two-hand":        one(distance.TwoHandControl(ansi, false)),
		"2024, guard":           one(distance.InterlockedGuard(iso24, 0)),
		"2024, over":            one(distance.ReachOver(iso24, mm(1000), mm(1200))),
		"2010, low edge":        one(distance.ReachOver(iso10, mm(1000), mm(899))),
		"2010, high hazard":     one(distance.ReachOver(iso10, mm(2601), mm(1200))),
		"2024, crawling, child": func() error { _, err := distance.CrawlHeight(iso24, true); return err }(),
		"2024, angled":          func() error { _, err := distance.AngledField(iso24, 45, mm(14), 0); return err }(),
	}
	for name, err := range tests {
		refusal, ok := errors.AsType[*distance.NotCoveredError](err)
		if assert.True(t, ok, "%s: %v", name, err) {
			assert.NotEmpty(t, refusal.Standard, name)
			assert.Contains(t, err.Error(), string(refusal.Standard))
		}
	}
}

// TestBadInput: what is no input at all is refused with what was found and what is wanted.
func TestBadInput(t *testing.T) {
	nan := model.Length(math.NaN())
	iso10 := model.ISO13855Edition2010
	tests := map[string]error{}
	add := func(name string, _ distance.Law, err error) { tests[name] = err }
	l, err := distance.OrthogonalField(iso10, 0)
	add("resolution 0", l, err)
	l, err = distance.OrthogonalField(iso10, nan)
	add("resolution NaN", l, err)
	l, err = distance.OrthogonalField("ISO 13855:1999", model.Millimetres(14))
	add("standard", l, err)
	l, err = distance.ParallelField(iso10, -1)
	add("height", l, err)
	l, err = distance.ReachOver(iso10, nan, 1)
	add("hazard", l, err)
	l, err = distance.PressureMat(iso10, nan)
	add("step", l, err)
	l, err = distance.InterlockedGuard(iso10, nan)
	add("opening", l, err)
	_, tests["points"] = distance.FullRevolutionTime(0, 1)
	_, tests["revolution"] = distance.FullRevolutionTime(1, 0)
	_, tests["angle"] = distance.AngledField(iso10, 91, 1, 1)
	for name, err := range tests {
		if assert.Error(t, err, name) {
			assert.Contains(t, err.Error(), "wanted", name)
			_, refused := errors.AsType[*distance.NotCoveredError](err)
			assert.False(t, refused, name)
		}
	}
}

func TestLargestResolution(t *testing.T) {
	// H = 500 mm: d up to 83.3 mm (ISO 13855:2010, 6.3, from memory).
	assert.InDelta(t, 0.0833333, float64(distance.LargestResolution(model.Millimetres(500))), 1e-6)
	assert.Equal(t, model.Millimetres(50), distance.LargestResolution(0))
}

// TestAngledField: above 30° the orthogonal law, below it the parallel one, at 30° both, because texts differ.
func TestAngledField(t *testing.T) {
	iso10, d, h := model.ISO13855Edition2010, model.Millimetres(30), model.Millimetres(500)
	orthogonal, _ := distance.OrthogonalField(iso10, d)
	parallel, _ := distance.ParallelField(iso10, h)
	for angle, want := range map[model.Angle][]distance.Law{
		0: {parallel}, 29.9: {parallel}, 30: {orthogonal, parallel}, 30.1: {orthogonal}, 90: {orthogonal},
	} {
		got, err := distance.AngledField(iso10, angle, d, h)
		require.NoError(t, err)
		assert.Equal(t, want, got, "%s", angle)
	}
}

func TestBeamHeights(t *testing.T) {
	assert.Equal(t, []model.Length{0.3, 0.6, 0.9, 1.2}, distance.BeamHeightsFor(4))
	assert.Len(t, distance.BeamHeightsFor(3), 3)
	assert.Len(t, distance.BeamHeightsFor(2), 2)
	assert.Equal(t, []model.Length{0.75}, distance.BeamHeightsFor(1))
	assert.Nil(t, distance.BeamHeightsFor(5))
}
