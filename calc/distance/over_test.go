package distance_test

import (
	"testing"

	"github.com/guardwright/guardwright/calc/distance"
	"github.com/guardwright/guardwright/model"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// supplement is C_RO in mm for heights in mm.
func supplement(t require.TestingT, hazard, edge float64) float64 {
	l, err := distance.ReachOver(model.ISO13855Edition2010, model.Millimetres(hazard), model.Millimetres(edge))
	require.NoError(t, err)
	return float64(l.Supplement) * 1000
}

// TestReachOverShape: facts about the shape of ISO 13855:2010 table 1 that hold even if a remembered cell is wrong.
func TestReachOverShape(t *testing.T) {
	largest, rises, falls := 0.0, false, false
	for a := 0.0; a <= 2600; a += 50 {
		before := supplement(t, a, 900)
		for b := 950.0; b <= 2700; b += 50 {
			now := supplement(t, a, b)
			assert.LessOrEqual(t, now, before, "a higher edge never needs more: a %v, b %v", a, b)
			before = now
		}
		assert.Zero(t, supplement(t, a, 2600), "column 2600")
		largest = max(largest, supplement(t, a, 900))
		if a >= 50 {
			step := supplement(t, a, 900) - supplement(t, a-50, 900)
			rises, falls = rises || step > 0, falls || step < 0
		}
	}
	assert.Equal(t, 1200.0, largest)
	assert.True(t, rises && falls, "the columns are not monotone in the height of the hazard")
	assert.Zero(t, supplement(t, 0, 900), "row 0")
	assert.Zero(t, supplement(t, 2600, 900), "row 2600")
}

// TestReachOverBetweenLines: between two lines of the table the larger of the neighbours counts, and nothing is interpolated.
func TestReachOverBetweenLines(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lines := []float64{0, 200, 400, 600, 800, 1000, 1200, 1400, 1600, 1800, 2000, 2200, 2400, 2500, 2600}
		edges := []float64{900, 1000, 1100, 1200, 1300, 1400, 1600, 1800, 2000, 2200, 2400, 2600}
		i := rapid.IntRange(1, len(lines)-1).Draw(t, "line")
		j := rapid.IntRange(1, len(edges)-1).Draw(t, "edge")
		x := rapid.Float64Range(0.001, 0.999).Draw(t, "x")
		y := rapid.Float64Range(0.001, 0.999).Draw(t, "y")
		a := lines[i-1] + x*(lines[i]-lines[i-1])
		b := edges[j-1] + y*(edges[j]-edges[j-1])
		want := max(supplement(t, lines[i-1], edges[j-1]), supplement(t, lines[i], edges[j-1]),
			supplement(t, lines[i-1], edges[j]), supplement(t, lines[i], edges[j]))
		if got := supplement(t, a, b); got != want {
			t.Fatalf("a %v, b %v: %v, want %v", a, b, got, want)
		}
	})
}
