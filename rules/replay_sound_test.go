package rules_test

import (
	"fmt"
	"maps"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/guardwright/guardwright/calc/logic"
	"github.com/guardwright/guardwright/rules"
	"github.com/guardwright/guardwright/rules/record"
)

// outOfStep is a run of a machine whose controller reads its inputs at other times than the cycles of a record: the record
// holds each change of an input when it happens, and each change of an output when the controller writes it.
func outOfStep(t *testing.T, sys *logic.System, rnd *rand.Rand, scans int) (changes, truth string) {
	t.Helper()
	phase := rnd.IntN(10)
	end := phase + 10*scans
	inputs := map[string][]logic.Value{} // by millisecond
	for _, c := range sys.Columns() {
		if c.Kind != logic.InputSignal {
			continue
		}
		list := make([]logic.Value, end)
		for at, until := 0, rnd.IntN(80); at < end; at++ {
			if at > 0 {
				list[at] = list[at-1]
			}
			if at == until {
				list[at], until = c.Min+logic.Value(rnd.Int64N(int64(c.Max-c.Min)+1)), at+3+rnd.IntN(120)
			}
		}
		inputs[c.Name] = list
	}
	read := make([]map[string]logic.Value, scans)
	for scan := range read {
		read[scan] = map[string]logic.Value{}
		for name, list := range inputs {
			read[scan][name] = list[phase+10*scan]
		}
	}
	trace, err := sys.Run(read)
	require.NoError(t, err)
	var names []string
	for _, s := range trace.Signals {
		if s.Kind != logic.LatchSignal {
			names = append(names, s.Name)
		}
	}
	line := func(b *strings.Builder, at, scan int, inputAt int) {
		fmt.Fprint(b, at)
		for i, s := range trace.Signals {
			switch {
			case s.Kind == logic.LatchSignal:
			case s.Kind == logic.InputSignal:
				fmt.Fprint(b, ",", valueOf(s, inputs[s.Name][inputAt]))
			case scan < 0:
				b.WriteString(",?")
			default:
				fmt.Fprint(b, ",", valueOf(s, trace.Values[scan][i]))
			}
		}
		b.WriteByte('\n')
	}
	var slow, fast strings.Builder
	slow.WriteString("time [ms]," + strings.Join(names, ",") + "\n")
	fast.WriteString(slow.String())
	for scan := range scans {
		line(&slow, 10*scan, scan, phase+10*scan)
	}
	for at := range end {
		line(&fast, at, (at-phase+10)/10-1, at)
	}
	return fast.String(), slow.String()
}

func valueOf(s logic.TraceSignal, v logic.Value) string {
	if s.Labels != nil {
		return s.Labels[v]
	}
	return fmt.Sprint(int64(v))
}

// TestReplayOutOfStep: with unsure: 1, nothing is held against a machine that its controller didn't do, whenever in the cycles of
// the record it read its inputs. Without it, something is.
func TestReplayOutOfStep(t *testing.T) {
	file := designs(t)
	wronged, broken, told := 0, 0, 0
	for n, name := range slices.Sorted(maps.Keys(file.Designs)) {
		m := designMachine(t, file.Head+file.Designs[name].Machine)
		set := file.Designs[name].rules(t)
		sys, err := rules.LogicSystem(t.Context(), m)
		require.NoError(t, err)
		for seed := range 4 {
			changes, truth := outOfStep(t, sys, rand.New(rand.NewPCG(uint64(n), uint64(seed))), 150)
			exact := replay(t, m, set, truth, &record.Mapping{Rows: record.Cycles})
			unsure := replay(t, m, set, changes, &record.Mapping{Rows: record.Changes, Unsure: 1})
			rash := replay(t, m, set, changes, &record.Mapping{Rows: record.Changes})
			for i := range exact.Values {
				require.NotEqual(t, rules.Broken, exact.Values[i].Outcome(), "%s %s", name, exact.Values[i].Name)
				require.NotEqual(t, rules.Broken, unsure.Values[i].Outcome(), "%s %s", name, unsure.Values[i].Name)
				told += int(unsure.Values[i].Cycles - unsure.Values[i].Unknown)
				if rash.Values[i].Outcome() == rules.Broken {
					wronged++
				}
			}
			for i := range exact.Rules {
				want, got := &exact.Rules[i], &unsure.Rules[i]
				assert.LessOrEqual(t, got.Hits, want.Hits+want.Unknown, "%s %s", name, want.Rule.ID)
				if got.Hits > 0 {
					broken++
				}
			}
		}
	}
	assert.Greater(t, wronged, 20)
	assert.Greater(t, broken, 3, "what the machine did wrong for longer is still found")
	assert.Greater(t, told, 10_000)
}
