package rules_test

import (
	"context"
	"errors"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/guardwright/guardwright/model/source"
	"github.com/guardwright/guardwright/rules"
	"github.com/guardwright/guardwright/rules/record"
)

// watchSmall replays rows of the machine with smallLogic under one rule.
func watchSmall(t *testing.T, demand, rows string, m *record.Mapping) *rules.Replayed {
	t.Helper()
	return replay(t, designMachine(t, designs(t).Head+smallLogic), about(t, "machine", demand), rows, m)
}

const everySignal = "time [ms],es1.pressed,g1.closed,p1.reset,p1.start,p1.stop,armed,run\n"

// TestReplayUnknown: what is not known is told with its cause, and is never passed.
func TestReplayUnknown(t *testing.T) {
	powerUp := &record.Mapping{Rows: record.Cycles, Starts: record.PowerUp}
	for _, test := range []struct {
		reason, demand, rows string
		mapping              *record.Mapping
		outcome              rules.Outcome
		hits, unknown        int64
		why                  string
		missing, assumed     []string
	}{
		{"an unknown cell", `always: implies(run, g1.closed)`, "time [ms],g1.closed,run\n0,1,1\n10,?,1\n20,0,0\n", powerUp,
			rules.Partly, 0, 1, "g1.closed is unknown in the record", nil, nil},
		{"an unknown cell that does not matter", `always: implies(run, g1.closed)`, "time [ms],g1.closed,run\n0,1,1\n10,?,0\n20,0,0\n", powerUp,
			rules.Kept, 0, 0, "", nil, nil},
		{"a signal that was not recorded", `always: implies(run, g1.closed)`, "time [ms],run\n0,1\n10,0\n", powerUp,
			rules.Partly, 0, 1, "g1.closed is not recorded", []string{"g1.closed"}, nil},
		{"nothing that it rests on", `always: "!es1.pressed"`, "time [ms],g1.closed\n0,1\n10,0\n", powerUp,
			rules.NotKnown, 0, 2, "es1.pressed is not recorded", []string{"es1.pressed"}, nil},
		{"a value that the logic computes", `always: implies(run, g1.closed)`, "time [ms],es1.pressed,g1.closed,p1.reset,p1.start,p1.stop\n0,0,1,0,0,0\n10,0,1,0,0,0\n", powerUp,
			rules.Kept, 0, 0, "", nil, []string{"run"}},
		{"an edge before the record began", `always: implies(rose(p1.start), g1.closed)`, "time [ms],p1.start,g1.closed\n0,1,0\n10,1,1\n", nil,
			rules.Partly, 0, 1, "what happened before the record began is not known", nil, nil},
		{"the same at power-up", `always: implies(rose(p1.start), g1.closed)`, "time [ms],p1.start,g1.closed\n0,1,0\n10,1,1\n", powerUp,
			rules.Kept, 0, 0, "", nil, nil},
		{"an edge after a gap", `always: implies(rose(p1.start), g1.closed)`, "time [ms],p1.start,g1.closed\n0,0,1\n10,0,1\n90,1,0\n100,1,0\n", powerUp,
			rules.Partly, 0, 8, "nothing was recorded", nil, nil},
		{"broken whatever was lost", `always: implies(run, g1.closed)`, "time [ms],g1.closed,run\n0,1,1\n90,0,1\n100,0,0\n", nil,
			rules.Broken, 1, 8, "nothing was recorded", nil, nil},
		{"reached", `reach: run && held(ms(20), g1.closed)`, "time [ms],g1.closed,run\n0,1,1\n10,1,1\n20,1,1\n", nil,
			rules.Met, 2, 1, "what happened before the record began is not known", nil, nil},
		{"not reached", `reach: run && !g1.closed`, "time [ms],g1.closed,run\n0,1,1\n10,1,1\n", nil,
			rules.NotMet, 0, 0, "", nil, nil},
		{"not known whether reached", `reach: p1.stop`, "time [ms],g1.closed\n0,1\n10,1\n", nil,
			rules.NotKnown, 0, 2, "p1.stop is not recorded", []string{"p1.stop"}, nil},
	} {
		r := watchSmall(t, test.demand, test.rows, test.mapping)
		o := &r.Rules[0]
		assert.Equal(t, test.outcome, o.Outcome(), test.reason)
		assert.Equal(t, []int64{test.hits, test.unknown}, []int64{o.Hits, o.Unknown}, test.reason)
		assert.Equal(t, test.why, o.Why, test.reason)
		assert.Equal(t, test.missing, o.Missing, test.reason)
		assert.Equal(t, test.assumed, o.Assumed, test.reason)
		assert.Equal(t, test.unknown > 0, o.FirstUnknown != nil, test.reason)
	}
}

// TestReplayComparesValues: a value is compared with what the logic computes from the record, as soon as the record has settled
// what it remembers.
func TestReplayComparesValues(t *testing.T) {
	rows := everySignal + "0,1,1,0,0,0,0,0\n10,0,1,1,0,0,0,0\n20,0,1,0,0,0,1,0\n30,0,1,0,1,0,1,1\n40,0,1,0,0,0,1,1\n50,0,1,0,0,0,1,0\n60,0,1,0,0,0,1,0\n"
	r := watchSmall(t, `always: "true || run"`, rows, nil)
	require.Len(t, r.Values, 2)
	armed, run := &r.Values[0], &r.Values[1]
	assert.Equal(t, []string{"armed", "run"}, []string{armed.Name, run.Name})
	assert.Equal(t, rules.Kept, armed.Outcome(), "the emergency stop settles it at once")
	assert.Equal(t, rules.Broken, run.Outcome(), "it stops without a stop in the cycle at 50 ms")
	assert.Equal(t, &rules.Moment{Cycle: 5, Time: "0.05 s", Line: 7}, run.First)
	assert.Equal(t, []string{"false", "true"}, []string{run.Recorded, run.Expected})
	assert.Equal(t, int64(1), run.Hits, "after that it is right again that it does not run")
	assert.False(t, r.Clean())

	// Outputs that are recorded a cycle late.
	late := everySignal + "0,1,1,0,0,0,0,0\n10,0,1,1,0,0,0,0\n20,0,1,0,0,0,0,0\n30,0,1,0,1,0,1,0\n40,0,1,0,0,0,1,1\n50,0,0,0,0,0,1,1\n60,0,0,0,0,0,0,0\n"
	for lag, want := range []rules.Outcome{rules.Broken, rules.Kept, rules.Broken} {
		r = watchSmall(t, `always: "true || run"`, late, &record.Mapping{Lag: lag, Starts: record.PowerUp})
		assert.Equal(t, want, r.Values[0].Outcome(), "lag %d", lag)
	}
}

// TestReplayWatchesAssumptions: an assumption that the machine breaks is told; one that is switched off is not watched.
func TestReplayWatchesAssumptions(t *testing.T) {
	rows := everySignal + "0,1,1,0,0,0,0,0\n10,1,1,1,1,0,0,0\n"
	r := watchSmall(t, `always: "!run"`, rows, nil)
	require.Len(t, r.Assumptions, 1)
	assert.Equal(t, "one_button", r.Assumptions[0].Name)
	assert.Equal(t, rules.Broken, r.Assumptions[0].Outcome())
	assert.Equal(t, "0.01 s", r.Assumptions[0].First.Time)
	assert.Equal(t, []string{"p1.reset", "p1.start"}, []string{r.Assumptions[0].Window.Trace.Signals[0].Name, r.Assumptions[0].Window.Trace.Signals[1].Name})
	m := designMachine(t, designs(t).Head+smallLogic)
	set := []*rules.Ruleset{about(t, "machine", `always: "!run"`)}
	off, err := rules.Replay(t.Context(), m, set, strings.NewReader(rows), nil, rules.ReplayOptions{Without: []string{"one_button"}})
	require.NoError(t, err)
	assert.Empty(t, off.Assumptions)
	_, err = rules.Replay(t.Context(), m, set, strings.NewReader(rows), nil, rules.ReplayOptions{Without: []string{"one_buton"}})
	assert.ErrorContains(t, err, "one_buton")
}

// TestReplayWindow: the window ends with the moment, has its times across lost cycles, and no more cycles than asked for.
func TestReplayWindow(t *testing.T) {
	m := designMachine(t, designs(t).Head+smallLogic)
	set := []*rules.Ruleset{about(t, "machine", `always: implies(run, g1.closed)`)}
	rows := "time [ms],g1.closed,run\n0,1,0\n10,1,1\n20,1,1\n52,1,1\n61,1,1\n72,0,1\n80,0,1\n"
	r, err := rules.Replay(t.Context(), m, set, strings.NewReader(rows), &record.Mapping{Rows: record.Cycles}, rules.ReplayOptions{Window: 5})
	require.NoError(t, err)
	o := &r.Rules[0]
	assert.Equal(t, &rules.Moment{Cycle: 7, Time: "0.072 s", Line: 7}, o.First)
	assert.Equal(t, int64(3), o.Window.First)
	assert.Equal(t, []string{"0.03 s", "0.04 s", "0.052 s", "0.061 s", "0.072 s"}, o.Window.Times)
	assert.Equal(t, "step       0  1  2  3  4\ng1.closed  ?  ?  1  1  .\nrun        ?  ?  1  1  1\n", o.Window.Trace.Table())
	assert.Equal(t, &rules.RecordGap{From: "0.02 s", To: "0.052 s"}, r.FirstGap)
	assert.Equal(t, "wrong", o.Finding.Summary)

	// A broken cycle in the middle of a long hold.
	set = []*rules.Ruleset{about(t, "machine", `always: "!held(ms(500), run)"`)}
	r, err = rules.Replay(t.Context(), m, set, strings.NewReader("time [ms],run\n0,0\n100,1\n86400000,0\n86400010,0\n"),
		&record.Mapping{Rows: record.Changes}, rules.ReplayOptions{Window: 3})
	require.NoError(t, err)
	o = &r.Rules[0]
	assert.Equal(t, &rules.Moment{Cycle: 59, Time: "0.59 s", Line: 3}, o.First)
	assert.Equal(t, []string{"0.57 s", "0.58 s", "0.59 s"}, o.Window.Times)
	assert.Equal(t, int64(8_640_002), o.Cycles)
	assert.Equal(t, int64(8_640_000-59), o.Hits)
}

// TestReplayRefuses: without a verdict there is an error that says what serves.
func TestReplayRefuses(t *testing.T) {
	head := designs(t).Head
	set := []*rules.Ruleset{about(t, "machine", `always: "!run"`)}
	for _, test := range []struct{ machine, rows, want string }{
		{head + smallLogic, everySignal + "0,1,1,0,0,0,0,9\n", "r.csv:2:15: found \"9\" for run"},
		{head + smallLogic, everySignal, "no cycle that could be judged"},
		{head + smallLogic, "time [ms],rnu\n0,1\n", `r.csv:1:11: the machine has no signal or value "rnu"; did you mean "run"?`},
		{strings.Replace(head, ", safety_cycle: 10 ms", "", 1) + smallLogic, everySignal + "0,1,1,0,0,0,0,0\n", "add safety_cycle to the controller"},
		{head, everySignal, "has no interlock logic"},
		{head + strings.Replace(smallLogic, "armed && pre(armed)", "armd", 1), everySignal, "did you mean armed?"},
	} {
		_, err := rules.Replay(t.Context(), designMachine(t, test.machine), set, strings.NewReader(test.rows), nil, rules.ReplayOptions{Name: "r.csv"})
		require.Error(t, err)
		assert.Contains(t, err.Error(), test.want)
		var problems source.Problems
		assert.Equal(t, strings.HasPrefix(test.want, "r.csv"), errors.As(err, &problems) && problems[0].Position.File == "r.csv", test.want)
	}
	_, err := rules.Replay(t.Context(), nil, set, strings.NewReader(""), nil, rules.ReplayOptions{})
	assert.Error(t, err)
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	_, err = rules.Replay(ctx, designMachine(t, head+smallLogic), set, strings.NewReader(everySignal+"0,1,1,0,0,0,0,0\n900000000000,1,1,0,0,0,0,0\n900000000010,1,1,0,0,0,0,0\n"), nil, rules.ReplayOptions{})
	assert.ErrorIs(t, err, context.Canceled)
}

// TestReplayOfFailures: where the record says when a connection was not alive, the logic is compared as it reads then.
func TestReplayOfFailures(t *testing.T) {
	m := designMachine(t, wired+"  values: {run: g1.closed}\n")
	set := about(t, "machine", `always: implies(run, g1.closed)`)
	rows := "time [ms],g1.closed,m1.2.passivated,con_1.alive,run\n0,1,0,1,1\n10,1,1,1,0\n20,1,0,0,0\n30,1,0,1,1\n40,0,0,1,0\n"
	r := replay(t, m, set, rows, &record.Mapping{Rows: record.Cycles, Starts: record.PowerUp})
	assert.True(t, r.Failing)
	assert.Equal(t, rules.Kept, r.Values[0].Outcome())
	assert.Equal(t, rules.Kept, r.Rules[0].Outcome())
	r = replay(t, m, set, strings.ReplaceAll(rows, "m1.2.passivated", "m1.1.passivated"), &record.Mapping{Rows: record.Cycles})
	assert.Equal(t, rules.Partly, r.Values[0].Outcome(), "another port says nothing about this one")
	assert.Equal(t, []string{"m1.2.passivated"}, r.Values[0].Missing)
	r = replay(t, m, set, "time [ms],g1.closed,run\n0,1,1\n10,1,0\n20,1,1\n30,0,0\n", &record.Mapping{Rows: record.Cycles})
	assert.False(t, r.Failing)
	assert.Equal(t, rules.Broken, r.Values[0].Outcome(), "with nothing recorded of the port, it is taken not to fail")
}
