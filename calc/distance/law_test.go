package distance_test

import (
	"math"
	"testing"

	"github.com/guardwright/guardwright/calc/distance"
	"github.com/guardwright/guardwright/model"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// anyLaw draws a law of any formula.
func anyLaw(t *rapid.T) distance.Law {
	iso10 := model.ISO13855Edition2010
	mm := func(name string, from, to float64) model.Length {
		return model.Millimetres(rapid.Float64Range(from, to).Draw(t, name))
	}
	var l distance.Law
	var err error
	switch rapid.IntRange(0, 7).Draw(t, "formula") {
	case 0:
		l, err = distance.OrthogonalField(iso10, mm("d", 5, 70))
	case 1:
		l, err = distance.ParallelField(iso10, mm("H", 0, 1000))
	case 2:
		l, err = distance.ReachOver(iso10, mm("a", 0, 2600), mm("b", 900, 3000))
	case 3:
		l, err = distance.PressureMat(iso10, mm("h", 0, 1000))
	case 4:
		l, err = distance.TwoHandControl(iso10, rapid.Bool().Draw(t, "shrouded"))
	case 5:
		l, err = distance.OrthogonalField(model.ANSIB1119, mm("S", 5, 63))
	case 6:
		l, err = distance.OrthogonalField(model.CFR1910217, 0)
	case 7:
		l, err = distance.OrthogonalField(model.ISO13855Edition2024, mm("d", 5, 40))
	}
	require.NoError(t, err)
	l.Extra = mm("Z", 0, 200)
	return l
}

// TestDistanceNeverFalls: a longer time never needs less distance, and the distance is continuous: it grows at most with
// the highest approach speed.
func TestDistanceNeverFalls(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := anyLaw(t)
		short := model.Duration(rapid.Float64Range(0, 3).Draw(t, "short"))
		long := short + model.Duration(rapid.Float64Range(0, 1).Draw(t, "longer"))
		near, _ := l.Distance(short)
		far, _ := l.Distance(long)
		const rounding = 1e-12
		if far < near-rounding {
			t.Fatalf("%v at %v, but %v at %v", near, short, far, long)
		}
		if limit := near + model.Length(2.0*float64(long-short)); far > limit+rounding {
			t.Fatalf("%v at %v, but %v at %v", near, short, far, long)
		}
	})
}

// TestInverseAgrees: the longest time for a distance is allowed by it, and no longer one is.
func TestInverseAgrees(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := anyLaw(t)
		s := model.Millimetres(rapid.Float64Range(0, 4000).Draw(t, "s"))
		longest, ok := l.Longest(s)
		const rounding = 1e-9
		if !ok {
			if needed, _ := l.Distance(0); needed <= s {
				t.Fatalf("no time allowed by %v, but 0 s needs %v", s, needed)
			}
			return
		}
		if needed, _ := l.Distance(longest); float64(needed) > float64(s)+rounding {
			t.Fatalf("%v allows %v, which needs %v", s, longest, needed)
		}
		if needed, _ := l.Distance(longest + 1e-6); needed <= s {
			t.Fatalf("%v allows more than %v: %v needs %v", s, longest, longest+1e-6, needed)
		}
	})
}

// TestInverseJumps: at the change-over the longest time jumps from (500 - C)/2000 to (500 - C)/1600, and nowhere else.
func TestInverseJumps(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := model.Millimetres(rapid.Float64Range(5, 40).Draw(t, "d"))
		l, err := distance.OrthogonalField(model.ISO13855Edition2010, d)
		require.NoError(t, err)
		at := func(mm float64) float64 {
			longest, ok := l.Longest(model.Millimetres(mm))
			require.True(t, ok)
			return float64(longest)
		}
		c := float64(l.Supplement)
		assert.InDelta(t, (0.5-c)/2, at(499.999999), 1e-6)
		assert.InDelta(t, (0.5-c)/1.6, at(500), 1e-12)
		assert.InDelta(t, at(500), at(500.000001), 1e-6)
	})
}

func TestTerms(t *testing.T) {
	l, err := distance.OrthogonalField(model.ISO13855Edition2010, model.Millimetres(14))
	require.NoError(t, err)
	for ms, want := range map[float64]struct {
		term distance.Term
		text string
	}{
		30:  {distance.LeastTerm, "100 mm, the least, as 2000 mm/s · 30 ms = 60 mm; ISO 13855:2010, 6.2"},
		90:  {distance.NearTerm, "2000 mm/s · 90 ms = 180 mm; ISO 13855:2010, 6.2"},
		280: {distance.ChangeTerm, "500 mm, as 2000 mm/s · 280 ms = 560 mm is more and 1600 mm/s · 280 ms = 448 mm less; ISO 13855:2010, 6.2"},
		400: {distance.SpeedTerm, "1600 mm/s · 400 ms = 640 mm (at 2000 mm/s more than 500 mm); ISO 13855:2010, 6.2"},
	} {
		_, term := l.Distance(model.Milliseconds(ms))
		assert.Equal(t, want.term, term)
		assert.Equal(t, want.text, l.Derivation(model.Milliseconds(ms)))
		assert.NotEqual(t, "none", term.String())
	}
	assert.Equal(t, "none", distance.NoTerm.String())
}

func TestLawWithoutSpeed(t *testing.T) {
	l := distance.Law{Supplement: model.Millimetres(120), Source: "table"}
	longest, ok := l.Longest(model.Millimetres(120))
	assert.True(t, ok && math.IsInf(float64(longest), 1))
	_, ok = l.Longest(model.Millimetres(119))
	assert.False(t, ok)
	assert.Equal(t, "120 mm; table", l.Derivation(1))
}
