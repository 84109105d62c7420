package packs

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/guardwright/guardwright/calc/logic"
	"github.com/guardwright/guardwright/rules"
)

// TestInterlocks: at the right machine every rule is proved at something and none is empty; each wrong machine is found, and
// refuted with a shortest run. A wrong machine may break several rules: one mistake has many consequences.
func TestInterlocks(t *testing.T) {
	set, err := Load("interlocks")
	require.NoError(t, err)
	right, err := rules.Check(context.Background(), machineOf(t, rules.CaseSpec{File: "cases/interlocks.yaml"}), set)
	require.NoError(t, err)
	assert.Empty(t, right.Findings)
	assert.Empty(t, right.Unanswered)
	require.Empty(t, right.LogicProblems)
	for _, tally := range right.Tallies {
		assert.Positive(t, tally.Passed, tally.Rule.ID)
	}
	for id, r := range written(t, "interlocks").Rules {
		assert.NotEmpty(t, r.About, id)
		assert.NotEmpty(t, r.Source, id)
		assert.False(t, r.Hint.IsZero(), "%s has no hint", id)
		wrong := 0
		for _, c := range r.Cases {
			if len(c.Finds) == 0 {
				continue
			}
			wrong++
			result, err := rules.Check(context.Background(), machineOf(t, c), set)
			require.NoError(t, err)
			require.Empty(t, result.LogicProblems, "%s: %s", id, c.About)
			for _, f := range result.Findings {
				if f.Rule.ID != id {
					continue
				}
				checkTexts(t, r, f)
				if !r.Always.IsZero() {
					require.NotNil(t, f.Story)
					assert.True(t, f.Story.Shortest)
				}
			}
			for _, p := range result.Proofs {
				assert.NotEqual(t, logic.Undecided, p.Result.Verdict)
			}
		}
		assert.Positive(t, wrong, "%s has no case that breaks it", id)
	}
}
