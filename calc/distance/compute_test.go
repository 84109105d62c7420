package distance_test

import (
	"context"
	"fmt"
	"math"
	"os"
	"testing"

	"github.com/guardwright/guardwright/calc/distance"
	"github.com/guardwright/guardwright/model"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func known(ms float64) distance.Time {
	return distance.Time{Known: true, Time: model.Milliseconds(ms)}
}

// times gives a function its overall and its reaction time, in ms.
func times(in *distance.Input, function, device string, overall, reaction float64) {
	if in.Times == nil {
		in.Times = map[distance.Demand]distance.Times{}
	}
	in.Times[distance.Demand{Function: function, Device: device}] = distance.Times{Overall: known(overall), Reaction: known(reaction)}
}

func machine(t testing.TB) *model.Machine {
	t.Helper()
	m, err := model.Load(os.DirFS("../../testdata/distance"), "machine.yaml")
	require.NoError(t, err)
	return m
}

func input() distance.Input {
	in := distance.Input{RunDown: map[string]distance.Time{"gate_opened": known(12_100)}}
	times(&in, "finger_access", "finger_1", 300, 150)
	times(&in, "hand_access", "hand_1", 320, 170)
	times(&in, "hand_unchecked", "hand_1", 320, 170)
	times(&in, "hand_new", "hand_1", 320, 170)
	times(&in, "beams_access", "beams_1", 350, 200)
	times(&in, "beams_access", "beams_2", 350, 200)
	times(&in, "beams_access", "beams_3", 350, 200)
	times(&in, "beams_access", "beams_4", 350, 200)
	times(&in, "scanner_access", "scanner_1", 250, 100)
	times(&in, "scanner_access", "scanner_2", 250, 100)
	times(&in, "mat_access", "mat_1", 180, 30)
	times(&in, "two_hands", "buttons_1", 120, 20)
	times(&in, "gate_opened", "gate_1", 300, 100)
	times(&in, "gate_opened", "gate_2", 420, 100)
	times(&in, "gate_opened", "lock_1", 8_100, 100)
	return in
}

// approach finds the result of one way to a hazard.
func approach(t *testing.T, r *distance.Result, function, device string) *distance.Approach {
	t.Helper()
	for _, f := range r.Functions {
		for _, a := range f.Approaches {
			if f.Function.Name == function && a.Approach.Device.Name == device {
				return a
			}
		}
	}
	t.Fatalf("no approach of %s past %s", function, device)
	return nil
}

func compute(t *testing.T) *distance.Result {
	t.Helper()
	r, err := distance.Compute(t.Context(), machine(t), input())
	require.NoError(t, err)
	return r
}

func length(t *testing.T, want string, got model.Length) {
	t.Helper()
	w, err := model.ParseLength(want)
	require.NoError(t, err)
	assert.InDelta(t, float64(w), float64(got), tolerance)
}

func duration(t *testing.T, want string, got model.Duration) {
	t.Helper()
	w, err := model.ParseDuration(want)
	require.NoError(t, err)
	assert.InDelta(t, float64(w), float64(got), tolerance)
}

// TestReachingOverGoverns: 300 ms, 14 mm, hazard at 1400 mm, edge at 1200 mm: through 500 mm, over 1480 mm (derived from ISO
// 13855:2010 6.2, 6.5 and a cell of table 1, from memory).
func TestReachingOverGoverns(t *testing.T) {
	r := compute(t)
	a := approach(t, r, "finger_access", "finger_1")
	require.Len(t, a.Reaches, 2)
	length(t, "500 mm", a.Reaches[0].Distance)
	assert.Equal(t, distance.ChangeTerm, a.Reaches[0].Term)
	length(t, "1480 mm", a.Required)
	assert.Equal(t, distance.Over, a.Governing.Way)
	assert.True(t, a.Complete)
	assert.Equal(t, distance.Beyond, a.Distance.Status)
	length(t, "880 mm", -a.Distance.Margin)
	assert.Zero(t, a.Longest.Time, "1000 mm of reaching over leave no time within 600 mm")
	assert.Contains(t, a.Longest.Why, "too short for any time: at least 1 m")
	assert.Equal(t, distance.Beyond, a.Overall.Status)
	assert.Equal(t, distance.Within, a.UpperEdge.Status)
	assert.Equal(t, distance.Within, a.Beneath.Status)
	assert.Equal(t, "finger_access", r.Functions[1].Function.Name)
	assert.Len(t, r.Functions[1].Approaches, 1, "an emergency stop keeps nobody away")
}

// TestPreventedReachOver: 30 mm, 320 ms: 640 mm and 10 mm of supplement, 600 mm built: (600 - 10 - 128)/1600 = 288.75 ms.
func TestPreventedReachOver(t *testing.T) {
	a := approach(t, compute(t), "hand_access", "hand_1")
	length(t, "650 mm", a.Required)
	assert.True(t, a.Complete)
	assert.Equal(t, distance.NotApplicable, a.Reaches[1].Status)
	assert.Equal(t, distance.Beyond, a.Distance.Status)
	duration(t, "288.75 ms", a.Longest.Time)
	duration(t, "118.75 ms", a.LeftForDrive.Time)
	require.Len(t, a.Approach.Hazards, 1)
	assert.Equal(t, "1600 mm/s · 320 ms + 128 mm = 640 mm (at 2000 mm/s more than 500 mm); + 10 mm = 650 mm; ISO 13855:2010, 6.2", a.Governing.Derivation)
}

// TestUncheckedIsNotPassed: where reaching over was not checked, a sufficient distance is not a passed one.
func TestUncheckedIsNotPassed(t *testing.T) {
	a := approach(t, compute(t), "hand_unchecked", "hand_1")
	length(t, "640 mm", a.Required)
	assert.False(t, a.Complete)
	assert.Equal(t, distance.NotCovered, a.Distance.Status)
	assert.Equal(t, distance.NotCovered, a.Overall.Status)
	assert.Contains(t, a.Distance.Why, "hazard_height")
	assert.Equal(t, distance.Unknown, a.Reaches[1].Status)
	assert.Equal(t, distance.Unknown, a.UpperEdge.Status)
}

// TestStandardIsAnInput: without a standard nothing is computed; the input can give one.
func TestStandardIsAnInput(t *testing.T) {
	a := approach(t, compute(t), "hand_new", "hand_1")
	assert.Equal(t, distance.Unknown, a.Distance.Status)
	assert.Contains(t, a.Distance.Why, "say standard")
	assert.Equal(t, distance.Unknown, a.FieldResolution.Status+a.Beneath.Status)

	in := input()
	in.Standard = model.ISO13855Edition2024
	r, err := distance.Compute(t.Context(), machine(t), in)
	require.NoError(t, err)
	a = approach(t, r, "hand_new", "hand_1")
	length(t, "640 mm", a.Required)
	assert.Equal(t, distance.Within, a.Distance.Status)
	assert.Equal(t, distance.Beyond, a.Beneath.Status, "200 mm in the 2024 edition")
}

// TestBeams: 350 ms: 1410 mm (derived from ISO 13855:2010 6.2).
func TestBeams(t *testing.T) {
	r := compute(t)
	a := approach(t, r, "beams_access", "beams_1")
	length(t, "1410 mm", a.Required)
	assert.Equal(t, distance.Within, a.Distance.Status)
	length(t, "560 mm", a.Reaches[1].Distance) // row 2600: no supplement
	assert.Equal(t, distance.Within, a.Beams.Status)
	b := approach(t, r, "beams_access", "beams_2")
	assert.Equal(t, distance.Beyond, b.Distance.Status)
	assert.Equal(t, distance.Beyond, b.Beams.Status)
	assert.Contains(t, b.Beams.Why, "900 mm")
	assert.Equal(t, distance.NotApplicable, b.Beneath.Status, "separate beams have heights of their own")
	single := approach(t, r, "beams_access", "beams_3")
	assert.Equal(t, distance.Within, single.Distance.Status, "560 + 1200 mm, and nothing is left to reach over")
	assert.Equal(t, distance.Within, single.Beams.Status)
	none := approach(t, r, "beams_access", "beams_4")
	assert.Equal(t, distance.Unknown, none.Distance.Status)
	assert.Contains(t, none.Distance.Why, "say beams")
}

// TestScanner: parallel, H 300 mm, 250 ms: 400 + 1080 + 100 = 1580 mm; d at most 70 mm. At 30° the larger of both laws:
// 400 + 208 = 608 mm across, 400 + 1040 = 1440 mm along.
func TestScanner(t *testing.T) {
	r := compute(t)
	a := approach(t, r, "scanner_access", "scanner_1")
	length(t, "1580 mm", a.Required)
	assert.Equal(t, distance.Within, a.FieldResolution.Status)
	assert.InDelta(t, 0, float64(a.FieldResolution.Margin), tolerance)
	assert.Equal(t, distance.Within, a.FieldHeight.Status)
	assert.Equal(t, distance.Within, a.Beneath.Status)
	b := approach(t, r, "scanner_access", "scanner_2")
	require.Len(t, b.Reaches, 3)
	length(t, "608 mm", b.Reaches[0].Distance)
	length(t, "1440 mm", b.Required)
	assert.Equal(t, distance.Along, b.Governing.Way)
	assert.Equal(t, distance.Within, b.FieldResolution.Status, "150/15 + 50 = 60 mm")
}

func TestMatAndTwoHands(t *testing.T) {
	r := compute(t)
	mat := approach(t, r, "mat_access", "mat_1")
	assert.Equal(t, distance.Within, mat.Distance.Status, "built exactly as needed")
	assert.Zero(t, mat.Distance.Margin)
	assert.Equal(t, distance.Beyond, mat.MatWidth.Status)
	hands := approach(t, r, "two_hands", "buttons_1")
	length(t, "442 mm", hands.Required)
	assert.Equal(t, distance.Beyond, hands.Distance.Status)
	// (1/2 + 1/3)·0.6 s = 0.5 s; 63 in/s·0.5 s = 31.5 in (29 CFR 1910.217, read).
	press := approach(t, r, "two_hands", "buttons_2")
	length(t, "31.5 in", press.Required)
	assert.Equal(t, distance.Within, press.Distance.Status)
	assert.False(t, press.LeftForDrive.Known)
}

// TestGuards: 300 ms behind a slot of 10 mm: 480 + 80 = 560 mm. 600 mm at 1600 mm/s are 375 ms.
func TestGuards(t *testing.T) {
	r := compute(t)
	a := approach(t, r, "gate_opened", "gate_1")
	length(t, "560 mm", a.Required)
	assert.Equal(t, distance.Within, a.Distance.Status)
	duration(t, "375 ms", a.Locking.Access)
	assert.Equal(t, distance.Within, a.Locking.Overall.Status)

	b := approach(t, r, "gate_opened", "gate_2")
	length(t, "672 mm", b.Required) // the opening time is not taken off T
	assert.Equal(t, distance.Beyond, b.Distance.Status)
	duration(t, "475 ms", b.Locking.Access)
	assert.Equal(t, distance.Within, b.Locking.Overall.Status, "the measured opening time counts here")
	assert.False(t, b.Locking.Locked)

	lock := approach(t, r, "gate_opened", "lock_1")
	assert.Equal(t, distance.NotApplicable, lock.Distance.Status)
	assert.True(t, lock.Complete)
	assert.Equal(t, distance.Beyond, lock.Locking.Overall.Status)
	assert.True(t, lock.Locking.Locked)

	slit := approach(t, r, "gate_opened", "lock_2")
	length(t, "100 mm", slit.Required)
	assert.Equal(t, distance.Within, slit.Distance.Status)
	assert.False(t, slit.Longest.Known)

	for _, f := range r.Functions {
		if f.Function.Name == "gate_opened" {
			assert.Equal(t, distance.Beyond, f.Unlock.Status)
			duration(t, "2.1 s", -f.Unlock.Margin)
		} else {
			assert.Equal(t, distance.NotApplicable, f.Unlock.Status)
		}
	}
}

// TestNeedOfGuardLocking: 600 mm at 1600 mm/s are 375 ms, less than a stop of 420 ms (ISO 14119:2024, 5.2, read in a
// secondary text).
func TestNeedOfGuardLocking(t *testing.T) {
	in := input()
	times(&in, "gate_opened", "gate_1", 420, 100)
	r, err := distance.Compute(t.Context(), machine(t), in)
	require.NoError(t, err)
	assert.Equal(t, distance.Beyond, approach(t, r, "gate_opened", "gate_1").Locking.Overall.Status)
}

// TestNotCoveredIsSaid: where a standard is not certain there is no distance, only the reason.
func TestNotCoveredIsSaid(t *testing.T) {
	r := compute(t)
	for device, why := range map[string]string{
		"hand_1": "above 40 mm the 2024 edition has new formulas", "beams_1": "separate beams", "mat_1": "mats",
		"buttons_1": "shrouds", "gate_1": "for children",
	} {
		a := approach(t, r, "not_covered", device)
		assert.Equal(t, distance.NotCovered, a.Distance.Status, device)
		assert.Contains(t, a.Distance.Why, why)
		assert.False(t, a.Complete, device)
		assert.Nil(t, a.Governing, device)
		assert.False(t, a.Longest.Known, device)
	}
	hand := approach(t, r, "not_covered", "hand_1")
	assert.Equal(t, distance.NotCovered, hand.FieldResolution.Status)
	assert.Equal(t, distance.NotCovered, hand.UpperEdge.Status)
	assert.Equal(t, distance.Within, hand.Beneath.Status)
	assert.Equal(t, distance.NotCovered, approach(t, r, "not_covered", "beams_1").Beams.Status)
	assert.Equal(t, distance.NotCovered, approach(t, r, "not_covered", "mat_1").MatWidth.Status)
}

// TestWords: every value of an enumeration has words of its own.
func TestWords(t *testing.T) {
	seen := map[string]bool{}
	check := func(v fmt.Stringer) {
		assert.NotEmpty(t, v.String())
		assert.False(t, seen[fmt.Sprintf("%T %s", v, v)], "%T %s again", v, v)
		seen[fmt.Sprintf("%T %s", v, v)] = true
	}
	for s := distance.Unknown; s <= distance.Beyond; s++ {
		check(s)
	}
	for w := distance.Through; w <= distance.PastGuard; w++ {
		check(w)
	}
	for v := distance.NoTerm; v <= distance.SpeedTerm; v++ {
		check(v)
	}
	assert.False(t, distance.Unknown.HasValue())
	assert.True(t, distance.NotCovered.HasValue())
	assert.False(t, distance.NotCovered.Decided())
	assert.True(t, distance.Within.Decided())
}

func TestOwnKind(t *testing.T) {
	a := approach(t, compute(t), "own_kind", "own_1")
	assert.Equal(t, distance.Unknown, a.Distance.Status)
	assert.Contains(t, a.Distance.Why, "say arrangement")
}

// TestWithoutTimes: the longest time that a built distance allows needs no reaction time.
func TestWithoutTimes(t *testing.T) {
	r, err := distance.Compute(t.Context(), machine(t), distance.Input{})
	require.NoError(t, err)
	a := approach(t, r, "hand_access", "hand_1")
	assert.Nil(t, a.Governing)
	assert.Equal(t, distance.Unknown, a.Distance.Status)
	assert.True(t, a.Complete)
	duration(t, "288.75 ms", a.Longest.Time)
	assert.False(t, a.LeftForDrive.Known)
}

func TestInputErrors(t *testing.T) {
	m := machine(t)
	for name, change := range map[string]func(*distance.Input){
		"standard": func(in *distance.Input) { in.Standard = "ISO 13855:2002" },
		"function": func(in *distance.Input) { times(in, "nothing", "hand_1", 1, 1) },
		"device":   func(in *distance.Input) { times(in, "hand_access", "finger_1", 1, 1) },
		"negative": func(in *distance.Input) { times(in, "hand_access", "hand_1", -1, 1) },
		"NaN":      func(in *distance.Input) { times(in, "hand_access", "hand_1", math.NaN(), 1) },
		"run-down": func(in *distance.Input) { in.RunDown["nothing"] = known(1) },
	} {
		in := input()
		change(&in)
		_, err := distance.Compute(t.Context(), m, in)
		assert.Error(t, err, name)
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	_, err := distance.Compute(ctx, m, input())
	assert.ErrorIs(t, err, context.Canceled)
}

// TestAgain: the same machine gives the same result.
func TestAgain(t *testing.T) {
	m := machine(t)
	first, err := distance.Compute(t.Context(), m, input())
	require.NoError(t, err)
	second, err := distance.Compute(t.Context(), m, input())
	require.NoError(t, err)
	assert.Equal(t, first, second)
}
