package rules_test

import (
	"fmt"
	"maps"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/guardwright/guardwright/calc/logic"
	"github.com/guardwright/guardwright/model"
	"github.com/guardwright/guardwright/model/source"
	"github.com/guardwright/guardwright/rules"
	"github.com/guardwright/guardwright/rules/record"
)

// recordSpec is one entry of testdata/logic/records.yaml.
type recordSpec struct {
	Signals  map[string]string `yaml:"signals"`
	Inverted []string          `yaml:"inverted,omitempty"`
	Rows     source.Expression `yaml:"rows"`
	First    map[string]int    `yaml:"first"`
}

func records(t *testing.T) map[string]recordSpec {
	t.Helper()
	text, err := os.ReadFile("../testdata/logic/records.yaml")
	require.NoError(t, err)
	file, problems := source.Parse("records.yaml", text, source.Limits{})
	require.Empty(t, problems)
	var all struct {
		Records map[string]recordSpec `yaml:"records"`
	}
	require.NoError(t, file.Decode(&all).Err())
	return all.Records
}

func replay(t *testing.T, m *model.Machine, set *rules.Ruleset, rows string, mapping *record.Mapping) *rules.Replayed {
	t.Helper()
	r, err := rules.Replay(t.Context(), m, []*rules.Ruleset{set}, strings.NewReader(rows), mapping, rules.ReplayOptions{Name: "r.csv"})
	require.NoError(t, err)
	require.Empty(t, r.Unanswered)
	return r
}

// TestReplayOfWrongDesigns judges the recorded run of each wrong design: each property is broken first in the known cycle, and
// the outputs are those of the design's equations.
func TestReplayOfWrongDesigns(t *testing.T) {
	file, recorded := designs(t), records(t)
	assert.Len(t, recorded, 13)
	for _, name := range slices.Sorted(maps.Keys(recorded)) {
		t.Run(name, func(t *testing.T) {
			spec, d := recorded[name], file.Designs[name]
			m := designMachine(t, file.Head+d.Machine)
			mapping := &record.Mapping{Signals: spec.Signals, Inverted: spec.Inverted, Starts: record.PowerUp}
			for _, rows := range []record.Rows{record.Samples, record.Changes, record.Cycles} {
				mapping.Rows = rows
				r := replay(t, m, d.rules(t), spec.Rows.Text, mapping)
				require.Len(t, r.Rules, len(d.Properties))
				for i := range r.Rules {
					o := &r.Rules[i]
					first, listed := spec.First[o.Rule.ID]
					require.True(t, listed, o.Rule.ID)
					if first < 0 {
						assert.Equal(t, rules.Kept, o.Outcome(), o.Rule.ID)
						continue
					}
					require.Equal(t, rules.Broken, o.Outcome(), o.Rule.ID)
					assert.Equal(t, int64(first), o.First.Cycle, o.Rule.ID)
					assert.Equal(t, first+2, o.First.Line)
					assert.Equal(t, first+1, o.Window.Trace.Len())
					assert.Equal(t, o.First.Time, o.Window.Times[first])
					assert.NotNil(t, o.Finding)
				}
				require.NotEmpty(t, r.Values)
				for i := range r.Values {
					assert.Equal(t, rules.Kept, r.Values[i].Outcome(), r.Values[i].Name)
				}
				for _, a := range r.Assumptions {
					assert.Equal(t, rules.Kept, a.Outcome(), a.Name)
				}
			}
		})
	}
}

// simulated is a run of a machine: a row for each cycle, as a record with the names of the signals.
type simulated struct {
	names []string
	rows  [][]string
}

func (s simulated) csv(step int) string {
	var b strings.Builder
	b.WriteString("time [ms]," + strings.Join(s.names, ",") + "\n")
	for i, row := range s.rows {
		fmt.Fprintf(&b, "%d,%s\n", i*step, strings.Join(row, ","))
	}
	return b.String()
}

// simulate runs a machine on random inputs. The system is taken from a proof's own names: inputs change now and then.
func simulate(t *testing.T, m *model.Machine, rnd *rand.Rand, cycles int) simulated {
	t.Helper()
	sys, err := rules.LogicSystem(t.Context(), m)
	require.NoError(t, err)
	columns := sys.Columns()
	inputs := make([]map[string]logic.Value, cycles)
	for i := range inputs {
		inputs[i] = map[string]logic.Value{}
		for _, c := range columns {
			if c.Kind != logic.InputSignal {
				continue
			}
			v := c.Min + logic.Value(rnd.Int64N(int64(c.Max-c.Min)+1))
			if i > 0 && rnd.IntN(4) > 0 {
				v = inputs[i-1][c.Name]
			}
			inputs[i][c.Name] = v
		}
	}
	trace, err := sys.Run(inputs)
	require.NoError(t, err)
	out := simulated{rows: make([][]string, cycles)}
	for i, s := range trace.Signals {
		if s.Kind == logic.LatchSignal {
			continue
		}
		out.names = append(out.names, s.Name)
		for step := range out.rows {
			text := trace.Text(step, i)
			if text == "." {
				text = "0"
			}
			out.rows[step] = append(out.rows[step], text)
		}
	}
	return out
}

// TestReplayAgrees records simulated runs of every design: the machine does what its logic says, whatever the rules say. One
// changed value is found in exactly its cycle, with what was expected.
func TestReplayAgrees(t *testing.T) {
	file := designs(t)
	mutated := 0
	for n, name := range slices.Sorted(maps.Keys(file.Designs)) {
		t.Run(name, func(t *testing.T) {
			rnd := rand.New(rand.NewPCG(uint64(n), 31))
			m := designMachine(t, file.Head+file.Designs[name].Machine)
			run := simulate(t, m, rnd, 60)
			set := file.Designs[name].rules(t)
			mapping := &record.Mapping{Starts: record.PowerUp, Rows: record.Cycles}
			r := replay(t, m, set, run.csv(10), mapping)
			proofs := checkDesign(t, m, set)
			kept := true
			for _, a := range r.Assumptions {
				kept = kept && a.Outcome() == rules.Kept
			}
			for i := range r.Values {
				require.Equal(t, rules.Kept, r.Values[i].Outcome(), r.Values[i].Name)
			}
			for i := range r.Rules {
				o := &r.Rules[i]
				if proofs[o.Rule.ID].Result.Verdict == logic.Proved && kept {
					assert.Equal(t, rules.Kept, o.Outcome(), "what was proved is kept")
				}
			}
			for i := range r.Values {
				mutated++
				checkMutation(t, m, set, run, mapping, r.Values[i].Name, rnd)
			}
		})
	}
	assert.Greater(t, mutated, 60)
}

func checkMutation(t *testing.T, m *model.Machine, set *rules.Ruleset, run simulated, mapping *record.Mapping, name string, rnd *rand.Rand) {
	t.Helper()
	at, cycle := slices.Index(run.names, name), rnd.IntN(len(run.rows))
	old := run.rows[cycle][at]
	other := map[string]string{"0": "1", "1": "0", "off": "flash", "flash": "off", "steady": "off"}[old]
	if other == "" {
		other = "0"
	}
	run.rows[cycle][at] = other
	defer func() { run.rows[cycle][at] = old }()
	r := replay(t, m, set, run.csv(10), mapping)
	for i := range r.Values {
		v := &r.Values[i]
		if v.Name != name {
			continue
		}
		require.Equal(t, rules.Broken, v.Outcome(), name)
		assert.Equal(t, int64(cycle), v.First.Cycle, name)
		shown := func(text string) string {
			if v.Recorded == "true" || v.Recorded == "false" {
				return map[string]string{"1": "true", "0": "false"}[text]
			}
			return text
		}
		assert.Equal(t, []string{shown(other), shown(old)}, []string{v.Recorded, v.Expected}, name)
		assert.Equal(t, fmt.Sprintf("%g s", float64(cycle)/100), v.First.Time)
	}
}
