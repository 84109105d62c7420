package rules_test

import (
	"fmt"
	"maps"
	"os"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/guardwright/guardwright/calc/logic"
	"github.com/guardwright/guardwright/model"
	"github.com/guardwright/guardwright/model/source"
	"github.com/guardwright/guardwright/rules"
)

// designFile is testdata/logic/designs.yaml.
type designFile struct {
	Head    string                `yaml:"head"`
	Designs map[string]designSpec `yaml:"designs"`
}

type designSpec struct {
	Machine    string                  `yaml:"machine"`
	Properties map[string]propertySpec `yaml:"properties"`
	Breaks     []breakSpec             `yaml:"breaks,omitempty"`
}

type propertySpec struct {
	Is      string `yaml:"is"`
	Refuted int    `yaml:"refuted,omitempty"`
	Reached int    `yaml:"reached,omitempty"`
}

// breakSpec replaces a part of a machine, or of one value of the blocks written out.
type breakSpec struct {
	Value   string     `yaml:"value,omitempty"`
	Replace string     `yaml:"replace"`
	With    string     `yaml:"with"`
	Also    *breakSpec `yaml:"also,omitempty"`
	Rule    string     `yaml:"rule,omitempty"`
	Steps   int        `yaml:"steps,omitempty"`
}

func designs(t *testing.T) designFile { t.Helper(); return designsOf(t, "designs") }

func designsOf(t *testing.T, name string) designFile {
	t.Helper()
	text, err := os.ReadFile("../testdata/logic/" + name + ".yaml")
	require.NoError(t, err)
	file, problems := source.Parse("designs.yaml", text, source.Limits{})
	require.Empty(t, problems)
	var d designFile
	require.NoError(t, file.Decode(&d).Err())
	return d
}

// rulesOf writes the properties of a design as a rule file.
func (d designSpec) rules(t *testing.T) *rules.Ruleset {
	t.Helper()
	var b strings.Builder
	b.WriteString("format: 1\npack: Design\nrules:\n")
	for _, name := range slices.Sorted(maps.Keys(d.Properties)) {
		p := d.Properties[name]
		word := "always"
		if p.Reached > 0 {
			word = "reach"
		}
		fmt.Fprintf(&b, "  %s:\n    for: machine\n    %s: %q\n    say: the design is wrong\n    severity: error\n", name, word, p.Is)
	}
	set, err := rules.Parse("design.yaml", []byte(b.String()))
	require.NoError(t, err)
	return set
}

func designMachine(t *testing.T, text string) *model.Machine {
	t.Helper()
	m, err := model.Load(fstest.MapFS{"m.yaml": {Data: []byte(text)}}, "m.yaml")
	require.NoError(t, err)
	return m
}

func checkDesign(t *testing.T, m *model.Machine, set *rules.Ruleset) map[string]rules.Proof {
	t.Helper()
	r, err := rules.Check(t.Context(), m, set)
	require.NoError(t, err)
	require.NoError(t, r.LogicProblems.Err())
	require.Empty(t, r.Unanswered)
	proofs := map[string]rules.Proof{}
	for _, p := range r.Proofs {
		proofs[p.Rule.ID] = p
	}
	broken := 0
	for _, f := range r.Findings {
		broken++
		p := proofs[f.Rule.ID]
		if p.Result.Verdict == logic.Unreachable {
			assert.Nil(t, f.Story)
			continue
		}
		require.NotNil(t, f.Story, f.Rule.ID)
		assert.Equal(t, p.Result.Steps, f.Story.Trace.Len())
		assert.NotEmpty(t, f.Because)
	}
	for _, p := range r.Proofs {
		if !p.Result.Holds() {
			broken--
		}
	}
	assert.Zero(t, broken, "each property that fails is a finding, and no other")
	return proofs
}

// TestDesigns proves and refutes the designs from machine and rule files.
func TestDesigns(t *testing.T) {
	assert.Len(t, designs(t).Designs, 25)
	tryDesigns(t, designs(t))
}

func tryDesigns(t *testing.T, file designFile) {
	t.Helper()
	for _, name := range slices.Sorted(maps.Keys(file.Designs)) {
		d := file.Designs[name]
		t.Run(name, func(t *testing.T) {
			proofs := checkDesign(t, designMachine(t, file.Head+d.Machine), d.rules(t))
			for property, p := range d.Properties {
				p.check(t, property, proofs[property])
			}
			// Built in Go, a machine has no top and bottom; the verdicts are the same.
			built, err := model.Build(designMachine(t, file.Head+d.Machine).Description())
			require.NoError(t, err)
			for property, p := range checkDesign(t, built, d.rules(t)) {
				d.Properties[property].check(t, property, p)
			}
		})
	}
}

func (p propertySpec) check(t *testing.T, name string, got rules.Proof) {
	t.Helper()
	want := logic.Proved
	switch {
	case p.Refuted > 0:
		want = logic.Refuted
	case p.Reached > 0:
		want = logic.Reached
	}
	if got.Result.Verdict != want || got.Result.Steps != p.Refuted+p.Reached {
		t.Errorf("%s: %v, want %v in %d steps", name, got.Result, want, p.Refuted+p.Reached)
	}
	if want != logic.Proved {
		assert.True(t, got.Result.Shortest, name)
	}
}

// TestBrokenDesigns breaks right designs on purpose: the named property must fail at exactly the stated length, and what is
// only belt and braces must change nothing.
func TestBrokenDesigns(t *testing.T) {
	assert.Equal(t, 15, breakDesigns(t, designs(t)))
}

func breakDesigns(t *testing.T, file designFile) int {
	t.Helper()
	count := 0
	for _, name := range slices.Sorted(maps.Keys(file.Designs)) {
		d := file.Designs[name]
		for i, b := range d.Breaks {
			count++
			t.Run(fmt.Sprintf("%s/%d", name, i), func(t *testing.T) {
				text := d.Machine
				for part := &b; part != nil && b.Value == ""; part = part.Also {
					require.Contains(t, text, part.Replace)
					text = strings.Replace(text, part.Replace, part.With, 1)
				}
				m := designMachine(t, file.Head+text)
				if b.Value != "" {
					m = writtenOut(t, m, b)
				}
				proofs := checkDesign(t, m, d.rules(t))
				if b.Rule != "" {
					propertySpec{Refuted: b.Steps}.check(t, b.Rule, proofs[b.Rule])
					return
				}
				for property, p := range d.Properties {
					p.check(t, property, proofs[property])
				}
			})
		}
	}
	return count
}
