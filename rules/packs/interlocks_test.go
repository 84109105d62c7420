package packs

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/guardwright/guardwright/calc/logic"
	"github.com/guardwright/guardwright/rules"
)

// TestInterlocks runs the cases of the interlock rules. Each rule has a right machine at which it is proved of something, and
// not because it says nothing; a machine to which it does not apply; and a wrong one, which it refutes by a shortest run.
func TestInterlocks(t *testing.T) {
	set, err := Load("interlocks")
	require.NoError(t, err)
	results, err := rules.TestCases(context.Background(), set)
	require.NoError(t, err)
	specs := written(t, "interlocks").Rules
	applies, outside, breaks := map[string]bool{}, map[string]bool{}, map[string]bool{}
	for _, r := range results {
		if !assert.True(t, r.Passed(), "%s", r) || !assert.NotNil(t, r.Result, "%s", r) {
			continue
		}
		require.Empty(t, r.Result.LogicProblems, "%s", r)
		assert.NotEmpty(t, r.About, "%s", r)
		id, tally := r.Rule.ID, r.Result.Tallies[0]
		for _, p := range r.Result.Proofs {
			assert.NotEqual(t, logic.Undecided, p.Result.Verdict, "%s", r)
		}
		switch spec := specs[id].Cases[r.Number-1]; {
		case len(spec.Finds) > 0:
			breaks[id] = true
			for _, f := range r.Result.Findings {
				checkTexts(t, specs[id], f)
				if !specs[id].Always.IsZero() && assert.NotNil(t, f.Story, "%s", r) {
					assert.True(t, f.Story.Shortest, "%s", r)
				}
			}
		case len(spec.Undecided) == 0 && tally.Passed > 0:
			applies[id] = true
		case len(spec.Undecided) == 0:
			outside[id] = true
		}
	}
	for id, r := range specs {
		assert.NotEmpty(t, r.About, id)
		assert.NotEmpty(t, r.Source, id)
		assert.False(t, r.Hint.IsZero(), "%s has no hint", id)
		assert.True(t, applies[id], "%s has no right machine", id)
		assert.True(t, outside[id], "%s has no machine to which it does not apply", id)
		assert.True(t, breaks[id], "%s has no wrong machine", id)
	}
}

// TestRightMachines: a machine of the cases that keeps one interlock rule keeps all that apply to it.
func TestRightMachines(t *testing.T) {
	set, err := Load("interlocks")
	require.NoError(t, err)
	seen := map[string]bool{}
	for _, r := range written(t, "interlocks").Rules {
		for _, c := range r.Cases {
			if c.File == "" || len(c.Replace) > 0 || len(c.Finds) > 0 || len(c.Undecided) > 0 || seen[c.File] {
				continue
			}
			seen[c.File] = true
			result, err := rules.Check(context.Background(), machineOf(t, c), set)
			require.NoError(t, err)
			require.Empty(t, result.LogicProblems, c.File)
			assert.Empty(t, result.Findings, c.File)
			assert.Empty(t, result.Unanswered, c.File)
		}
	}
	assert.Contains(t, seen, "cases/interlocks.yaml")
}

// interlockRules are the rules about stop, start, reset, guard locks, modes and zones that the pack is to have.
func interlockRules() []string {
	return []string{
		"stop-has-priority", "emergency-stop-overrides", "emergency-stop-release-does-not-restart", "emergency-stop-needs-device-reset-and-reset",
		"global-emergency-stop", "stop-category-one-order", "no-unsafe-bypass",
		"no-automatic-restart", "start-after-reset-only", "start-interlock-after-power-up", "start-needs-guard-closed-locked", "start-warning",
		"reset-before-restart", "reset-trailing-edge", "reset-is-an-edge", "reset-only-when-ready", "reset-does-not-start", "reset-own-zone",
		"two-stage-reset", "reset-press-window", "key-prevents-start",
		"unlock-only-at-standstill", "standstill-failure-is-motion", "unlock-timer-restarts", "locked-after-power-up", "unlock-request-stops",
		"relock-before-start", "start-up-test-of-gate",
		"mode-one-at-a-time", "mode-change-does-not-start", "suspension-needs-substitute",
		"zone-gate-span", "span-overlap-safe",
		"drive-can-run", "guard-can-be-opened",
		"escape-always-possible", "escape-stops",
		"muting-two-sensors", "muting-sequence", "muting-time-limit", "muting-lamp", "muting-override-hold",
		"two-hand-hold", "two-hand-anti-tie-down", "two-hand-synchronous", "enabling-three-position", "hold-to-run-stops-on-release",
		"contactor-feedback", "dual-channel-and", "discrepancy-locks-out",
		"communication-loss-stops", "port-fault-safe-value", "acknowledge-after-removal", "passivation-stays-local", "reset-lamp-states",
	}
}

func TestInterlockRulesAreThere(t *testing.T) {
	specs := written(t, "interlocks").Rules
	for _, id := range interlockRules() {
		assert.Contains(t, specs, id)
	}
}
