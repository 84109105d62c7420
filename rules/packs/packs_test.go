package packs

import (
	"context"
	"io/fs"
	"maps"
	"path"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/guardwright/guardwright/model"
	"github.com/guardwright/guardwright/model/source"
	"github.com/guardwright/guardwright/rules"
)

// allPacks are the built-in packs with the least number of their rules.
func allPacks() map[string]int {
	return map[string]int{"power": 20, "structure": 10, "network": 20, "timing": 15, "distance": 12, "panels": 5}
}

// packOrder are their names, sorted.
func packOrder() []string { return slices.Sorted(maps.Keys(allPacks())) }

// companions are the packs that a small machine of a case describes in full: the rules of the others may be without data.
func companions(pack string) []string {
	if pack == "power" || pack == "structure" {
		return []string{"power", "structure"}
	}
	return []string{pack, "power", "structure"}
}

// together are rules that cannot be broken alone: a time limit that is too long for a distance makes the distance too short,
// and contacts without test pulses hide a short circuit.
func together() map[string][]string {
	return map[string][]string{
		"watchdog-maximum":                 {"guard-without-lock-access-time"},
		"watchdog-window":                  {"guard-without-lock-access-time"},
		"contact-device-needs-test-pulses": {"cross-fault-detected"},
		"cross-fault-detected":             {"contact-device-needs-test-pulses"},
	}
}

// silenced are rules that are not decidable at the machine with which another rule is broken, because what breaks the
// one leaves the other without data. The other way round nothing is permitted: no breaking machine is against a
// second rule.
func silenced() map[string][]string {
	return map[string][]string{
		// Without an operating point there is no voltage and no current.
		"operating-point-exists": {"supply-within-tolerance", "voltage-at-last-device", "voltage-drop-share", "ampacity-with-derating",
			"connector-rating", "protection-carries-load", "power-budget", "spare-capacity", "inrush"},
		// The rule is about loads that state no least voltage.
		"voltage-drop-share": {"voltage-at-last-device"},
		// What cannot be reached has no delay, and so no time.
		"modules-reachable": {"line-depth"},
		// In a loop the way of a frame can't be told, and an open ring is none.
		"no-loop-without-protocol": {"bandwidth-reserve", "bandwidth-share", "line-depth"},
		// Beyond these limits there is no law for the distance.
		"light-curtain-resolution": {"reaction-time-fits-distance"},
		"parallel-field-height":    {"reaction-time-fits-distance"},
	}
}

func loadAll(t *testing.T) []*rules.Ruleset {
	t.Helper()
	sets, err := All()
	require.NoError(t, err)
	return sets
}

// written is a pack as it stands in its file, with the cases.
func written(t *testing.T, name string) rules.File {
	t.Helper()
	text, err := fs.ReadFile(Files(), name+".yaml")
	require.NoError(t, err)
	file, problems := source.Parse(name+".yaml", text, source.Limits{})
	require.Empty(t, problems)
	var spec rules.File
	require.Empty(t, file.Decode(&spec))
	return spec
}

// machineOf loads the machine of a case beside the files of the packs.
func machineOf(t *testing.T, c rules.CaseSpec) *model.Machine {
	t.Helper()
	m, err := c.Load(Files(), ".")
	require.NoError(t, err, c.About)
	return m
}

func TestPacksAreComplete(t *testing.T) {
	require.Subset(t, Names(), packOrder())
	least := allPacks()
	for _, set := range loadAll(t) {
		name := strings.TrimSuffix(set.Name, ".yaml")
		assert.NotEmpty(t, set.Pack)
		assert.NotEmpty(t, set.About, set.Name)
		assert.GreaterOrEqual(t, len(set.Rules()), least[name], set.Name)
	}
	for _, name := range packOrder() {
		for id, r := range written(t, name).Rules {
			assert.NotEmpty(t, r.About, id)
			assert.NotEmpty(t, r.Source, id)
			assert.False(t, r.Hint.IsZero(), "%s has no hint", id)
			breaks := func(c rules.CaseSpec) bool { return len(c.Finds) > 0 }
			passes := func(c rules.CaseSpec) bool { return len(c.Finds) == 0 && len(c.Undecided) == 0 }
			assert.True(t, slices.ContainsFunc(r.Cases, breaks), "%s has no case that breaks it", id)
			assert.True(t, slices.ContainsFunc(r.Cases, passes), "%s has no case that passes", id)
			for _, c := range r.Cases {
				assert.NotEmpty(t, c.About, "%s has a case that does not say what it shows", id)
			}
		}
	}
}

func TestCasesOfTheRules(t *testing.T) {
	for _, set := range loadAll(t) {
		if set.Name == "interlocks.yaml" {
			continue // see TestInterlocks
		}
		results, err := rules.TestCases(context.Background(), set)
		require.NoError(t, err)
		for _, r := range results {
			assert.True(t, r.Passed(), "%s", r)
		}
	}
}

// TestPassingMachines: a machine that passes a rule passes it at an object to which it applies, and passes all others.
func TestPassingMachines(t *testing.T) {
	sets := loadAll(t)
	results := map[string]*rules.Result{}
	for _, name := range packOrder() {
		for id, r := range written(t, name).Rules {
			for _, c := range r.Cases {
				if len(c.Finds) > 0 || len(c.Undecided) > 0 {
					continue
				}
				unchanged := c.File != "" && len(c.Replace) == 0
				result := results[c.File]
				if result == nil || !unchanged {
					var err error
					result, err = rules.Check(context.Background(), machineOf(t, c), sets...)
					require.NoError(t, err)
					assert.Empty(t, result.Findings, "%s: %s", id, c.About)
					if c.File == "" {
						assert.Empty(t, silentRules(result, name), "%s: %s", id, c.About)
					} else {
						assert.Empty(t, result.Unanswered, "%s: %s", id, c.About)
					}
					if unchanged {
						results[c.File] = result
					}
				}
				i := slices.IndexFunc(result.Tallies, func(y rules.Tally) bool { return y.Rule.ID == id })
				require.GreaterOrEqual(t, i, 0)
				assert.Positive(t, result.Tallies[i].Passed, "%s applies to nothing in its passing case: %s", id, c.About)
			}
		}
	}
}

// silentRules are the rules that gave no answer, out of a pack and its companions.
func silentRules(result *rules.Result, pack string) []string {
	var silent []string
	for _, u := range result.Unanswered {
		if slices.Contains(companions(pack), strings.TrimSuffix(path.Base(u.Rule.Position.File), ".yaml")) {
			silent = append(silent, u.Rule.ID)
		}
	}
	return silent
}

// TestBreakingMachines: a machine that breaks a rule breaks it alone, and what is said about it is said in full.
func TestBreakingMachines(t *testing.T) {
	sets := loadAll(t)
	for _, name := range packOrder() {
		file := written(t, name)
		for _, id := range slices.Sorted(maps.Keys(file.Rules)) {
			for _, c := range file.Rules[id].Cases {
				if len(c.Finds) == 0 {
					continue
				}
				result, err := rules.Check(context.Background(), machineOf(t, c), sets...)
				require.NoError(t, err)
				var found []string
				for _, f := range result.Findings {
					if slices.Contains(together()[id], f.Rule.ID) {
						continue
					}
					if assert.Equal(t, id, f.Rule.ID, "the machine of %s (%s) is also against %s", id, c.About, f) {
						found = append(found, f.Path)
						checkTexts(t, file.Rules[id], f)
					}
				}
				assert.ElementsMatch(t, c.Finds, found, "%s: %s", id, c.About)
				silent := silentRules(result, name)
				slices.Sort(silent)
				want := slices.Sorted(slices.Values(silenced()[id]))
				assert.Equal(t, want, slices.Compact(silent), "not decidable at the machine of %s (%s): %v", id, c.About, result.Unanswered)
			}
		}
	}
}

// checkTexts finds expressions in a finding's texts that could not be evaluated: they are printed with the reason.
func checkTexts(t *testing.T, r rules.RuleSpec, f rules.Finding) {
	t.Helper()
	expressions := regexp.MustCompile(`\{([^{}]*)\}`)
	for _, text := range []struct{ written, filled string }{{r.Say.Text, f.Summary}, {r.Hint.Text, f.Hint}} {
		assert.NotEmpty(t, text.filled)
		for _, e := range expressions.FindAllStringSubmatch(text.written, -1) {
			failed := strings.Join(strings.Fields("("+strings.TrimSpace(e[1])+":"), " ")
			assert.NotContains(t, text.filled, failed, f.Rule.ID)
		}
	}
}
