package power

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"github.com/guardwright/guardwright/model"
	"github.com/stretchr/testify/require"
)

func sized(t *testing.T, length string) *model.Machine {
	t.Helper()
	return load(t, fmt.Sprintf(box, goodSupply, goodFeed, goodFuse, goodLoad, length))
}

// The longest run just holds, and a little more does not.
func TestLongestRunIsTheLimit(t *testing.T) {
	ctx := context.Background()
	m := sized(t, "10 m")
	answer, err := LongestRun(ctx, m, m.Power.Feeds[0])
	require.NoError(t, err)
	require.True(t, answer.Found, "%+v", answer.Governs)
	require.NotNil(t, answer.Governs)
	beyond := func(length model.Length) (n int) {
		text := fmt.Sprintf("%.9f m", float64(length))
		for item := range compute(t, sized(t, text)).Checks() {
			if item.Status == Beyond {
				n++
			}
		}
		return n
	}
	require.Zero(t, beyond(answer.Value))
	require.Positive(t, beyond(answer.Value+2e-6))
	_, err = LongestRun(ctx, sized(t, "500 m"), m.Power.Feeds[0])
	require.ErrorContains(t, err, "none of the machine's feeds")
}

// The answer does not depend on how long the cable is described, also when it is too long as described.
func TestLongestRunOfTooLongCable(t *testing.T) {
	short, long := sized(t, "10 m"), sized(t, "900 m")
	a, err := LongestRun(context.Background(), short, short.Power.Feeds[0])
	require.NoError(t, err)
	b, err := LongestRun(context.Background(), long, long.Power.Feeds[0])
	require.NoError(t, err)
	require.InDelta(t, float64(a.Value), float64(b.Value), 2e-6)
	require.Equal(t, a.Governs.Name, b.Governs.Name)
}

func TestSmallestSection(t *testing.T) {
	m := sized(t, "60 m")
	answer, err := SmallestSection(context.Background(), m, m.Power.Feeds[0])
	require.NoError(t, err)
	require.True(t, answer.Found)
	require.NotNil(t, answer.Governs)
	at := func(section string) *Result {
		text := fmt.Sprintf(box, goodSupply, goodFeed, goodFuse, goodLoad, "60 m")
		return compute(t, load(t, strings.Replace(text, "section: 2.5 mm2", "section: "+section, 1)))
	}
	for item := range at(answer.Value.String()).Checks() {
		require.NotEqual(t, Beyond, item.Status, "%+v", item)
	}
	require.Greater(t, answer.Value, model.CrossSection(0.5))
}

func TestFurtherModules(t *testing.T) {
	m := sized(t, "10 m")
	answer, err := FurtherModules(context.Background(), m, m.Power.Feeds[0])
	require.NoError(t, err)
	require.True(t, answer.Found)
	require.NotNil(t, answer.Governs)
	// The same chain described by hand holds, and with one more module it does not.
	chain := func(further int) *Result {
		text := fmt.Sprintf(box, goodSupply, goodFeed, goodFuse, goodLoad, "10 m")
		devices, modules, feeds := "d1: {type: d}", "", ""
		for i := range further {
			devices += fmt.Sprintf(", d%d: {type: d}", i+2)
			modules += fmt.Sprintf(", m%d: {type: m, ports: {\"1\": {device: d%d, cable: {type: sensor, length: 5 m}}}}", i+2, i+2)
			feeds += fmt.Sprintf(", f%d: {from: m%d, to: m%d, cable: {type: power, length: 10 m}}", i+2, i+1, i+2)
		}
		text = strings.Replace(text, "devices: {d1: {type: d}}", "devices: {"+devices+"}", 1)
		text = strings.Replace(text, "length: 5 m}}}}}\npower:", "length: 5 m}}}}"+modules+"}\npower:", 1)
		text = strings.Replace(text, "sensor: {from: q1}}}", "sensor: {from: q1}}"+feeds+"}", 1)
		return compute(t, load(t, text))
	}
	count := func(r *Result) (n int) {
		for item := range r.Checks() {
			if item.Status == Beyond {
				n++
			}
		}
		return n
	}
	require.Zero(t, count(chain(answer.Value)))
	require.Positive(t, count(chain(answer.Value+1)))
}

func TestSizingRefusals(t *testing.T) {
	ctx := context.Background()
	m := sized(t, "10 m")
	_, err := LongestRun(ctx, m, nil)
	require.Error(t, err)
	_, err = FurtherModules(ctx, m, &model.Feed{})
	require.ErrorContains(t, err, "feed to a module")
	direct := *m.Power.Feeds[0] // not the machine's, and without a cable, which is said first
	direct.Cable = nil
	_, err = SmallestSection(ctx, m, &direct)
	require.ErrorContains(t, err, "plugs meet")
	// A load that the supply's lowest voltage cannot serve has no longest run: the limit is named.
	low := load(t, fmt.Sprintf(box, goodSupply, goodFeed, goodFuse, "power: 10 W, pull_in: 26 V", "10 m"))
	answer, err := LongestRun(ctx, low, low.Power.Feeds[0])
	require.NoError(t, err)
	require.False(t, answer.Found)
	require.Equal(t, "voltage while magnets pull", answer.Governs.Name)
}

// A limit that is exceeded on another branch, whatever the feed, does not keep the answer back, and is listed.
func TestSizingLeavesOutOtherBranches(t *testing.T) {
	text := strings.Replace(fmt.Sprintf(box, goodSupply, goodFeed, goodFuse, goodLoad, "10 m"),
		"protections: {q1: {type: feed, from: ps1}}", "protections: {q1: {type: feed, from: ps1}, q2: {type: slow, from: ps1}}", 1)
	text = strings.Replace(text, "  protections:\n    feed:", "  protections:\n    slow: {kind: breaker, rated: 16 A, characteristic: D, dc_factor: 150 %}\n    feed:", 1)
	m := load(t, text)
	plain := sized(t, "10 m")
	for _, ask := range []func(*model.Machine) ([]Item, string){
		func(m *model.Machine) ([]Item, string) {
			a, err := LongestRun(context.Background(), m, m.Power.Feeds[0])
			require.NoError(t, err)
			return a.Elsewhere, fmt.Sprint(a.Found, a.Value, a.Governs.Name)
		},
		func(m *model.Machine) ([]Item, string) {
			a, err := SmallestSection(context.Background(), m, m.Power.Feeds[0])
			require.NoError(t, err)
			return a.Elsewhere, fmt.Sprint(a.Found, a.Value)
		},
		func(m *model.Machine) ([]Item, string) {
			a, err := FurtherModules(context.Background(), m, m.Power.Feeds[0])
			require.NoError(t, err)
			return a.Elsewhere, fmt.Sprint(a.Found, a.Value, a.Governs.Name)
		},
	} {
		none, want := ask(plain)
		require.Empty(t, none)
		elsewhere, got := ask(m)
		require.Equal(t, want, got)
		require.NotEmpty(t, elsewhere, "480 A are needed to open q2 and the supply gives 80 A")
		require.Equal(t, "power.protections.q2", elsewhere[0].Place.Path)
	}
}
