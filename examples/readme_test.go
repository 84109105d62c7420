package examples_test

import (
	"context"
	"os"
	"regexp"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/guardwright/guardwright/model"
	"github.com/guardwright/guardwright/rules"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestReadme keeps the tour of the README true: its machine loads, its rule finds what the text says, and its
// acceptance fits.
func TestReadme(t *testing.T) {
	text, err := os.ReadFile("../README.md")
	require.NoError(t, err)
	blocks := regexp.MustCompile("(?s)```yaml\n(.*?)```").FindAllSubmatch(text, -1)
	require.Len(t, blocks, 5, "a machine, a rule file, an acceptance, interlock logic and a rule about it")
	machine, rule, acceptance := blocks[0][1], blocks[1][1], blocks[2][1]

	set, err := rules.Parse("plant.yaml", rule)
	require.NoError(t, err)
	check := func(text []byte) *rules.Result {
		m, err := model.Load(fstest.MapFS{"my.yaml": {Data: text}}, "my.yaml")
		require.NoError(t, err)
		result, err := rules.Check(context.Background(), m, set)
		require.NoError(t, err)
		return result
	}
	found := check(machine).Findings
	require.Len(t, found, 1)
	assert.Equal(t, "the cable from m2.1 to gate_2 is 8 m long", found[0].Summary)

	accepted := check(append(machine, acceptance...))
	require.Len(t, accepted.Findings, 1)
	assert.NotNil(t, accepted.Findings[0].Accepted)
	assert.Empty(t, accepted.Acceptances)

	proof, err := rules.Parse("proof.yaml", blocks[4][1])
	require.NoError(t, err)
	prove := func(text []byte) *rules.Result {
		m, err := model.Load(fstest.MapFS{"cell.yaml": {Data: text}}, "cell.yaml")
		require.NoError(t, err)
		result, err := rules.Check(context.Background(), m, proof)
		require.NoError(t, err)
		require.Empty(t, result.Unanswered)
		return result
	}
	refuted := prove(blocks[3][1])
	require.Len(t, refuted.Findings, 1)
	assert.Equal(t, "reset-on-release", refuted.Findings[0].Rule.ID)
	mended := strings.Replace(string(blocks[3][1]), "|| p1.reset", "|| fell(p1.reset)", 1)
	assert.Empty(t, prove([]byte(mended)).Findings)
}
