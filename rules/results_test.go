package rules

import (
	"context"
	"os"
	"testing"

	"github.com/google/cel-go/common/types"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/guardwright/guardwright/calc"
	"github.com/guardwright/guardwright/model"
)

// everyField makes all fields of all objects of a machine that a rule can reach.
func everyField(t *testing.T, m *model.Machine, r *calc.Results) map[string]int {
	t.Helper()
	l := newLanguage()
	used := usedFields{}
	for _, k := range l.order {
		used[k.name] = map[int]bool{}
		k.part = false // so that the world lists its objects
		for i := range k.fields {
			used[k.name][i] = true
		}
	}
	w := newWorld(l, m, r, used)
	for _, k := range l.order {
		if k.all != nil {
			w.all(k)
		}
	}
	made := map[string]int{}
	for _, k := range l.order {
		for subject, o := range k.objects {
			made[k.name]++
			assert.NotEmpty(t, o.text(), k.name)
			if k.origin != nil {
				k.origin(subject)
			}
			for i, f := range k.fields {
				v := o.value(i)
				if v == nil {
					assert.True(t, f.optional, "%s.%s is absent and not optional", k.name, f.name)
					continue
				}
				assert.False(t, types.IsError(v), "%s.%s: %v", k.name, f.name, v)
				if f.optional {
					continue
				}
				_, absent := v.(absence)
				assert.False(t, absent, "%s.%s is absent and not optional", k.name, f.name)
			}
		}
	}
	return made
}

// TestEveryFieldCanBeRead: no field of a computed object is an error, and none that is always there is absent.
func TestEveryFieldCanBeRead(t *testing.T) {
	kinds := map[string]int{}
	for _, file := range []string{"../calc/testdata/curtain.yaml", "../examples/demo/machine.yaml", "../testdata/rules/small.yaml"} {
		m, err := model.LoadFile(file)
		require.NoError(t, err)
		r, err := calc.Compute(context.Background(), m)
		require.NoError(t, err)
		for name, n := range everyField(t, m, r) {
			kinds[name] += n
		}
	}
	for _, name := range []string{"network_node", "network_line", "controller_reach", "single_fault", "network_flow", "network_port", "demanded",
		"stop_chain", "contribution", "hazard_reach", "count_check", "length_check", "data_rate_check", "duration_check", "ratio_check"} {
		assert.Positive(t, kinds[name], name)
	}
}

// TestNothingComputed: without results every computed field is absent, with a reason.
func TestNothingComputed(t *testing.T) {
	m, err := model.Load(os.DirFS("../calc/testdata"), "curtain.yaml")
	require.NoError(t, err)
	everyField(t, m, &calc.Results{})
	set, err := Parse("plant.yaml", []byte(`format: 1
pack: Plant
rules:
  window:
    for: connection
    require: connection.window.within
    say: closed
    severity: error
  fault:
    for: single_fault
    require: single_fault.lost_count == 0
    say: lost
    severity: error
`))
	require.NoError(t, err)
	result, err := CheckWith(context.Background(), m, Options{Results: &calc.Results{TimingMissing: "a reason", NetworkMissing: "another"}}, set)
	require.NoError(t, err)
	require.Len(t, result.Unanswered, 4)
	var texts []string
	for _, u := range result.Unanswered {
		texts = append(texts, u.Text)
	}
	assert.Contains(t, texts, "not decidable, because connection.window of network.connections.give is not there: the reaction times are not computed: a reason")
	assert.Contains(t, texts, "not decidable, because the network is not computed: another")
}
