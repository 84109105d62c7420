package rules_test

import (
	"context"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/guardwright/guardwright/rules"
)

// TestCasesOfRules runs good and bad cases: what is missing and what is not expected both fail.
func TestCasesOfRules(t *testing.T) {
	set, err := rules.Load(os.DirFS("../testdata/rules"), "cases.yaml")
	require.NoError(t, err)
	results, err := rules.TestCases(context.Background(), set)
	require.NoError(t, err)
	var lines []string
	for _, r := range results {
		line := r.String()
		if before, problem, bad := strings.Cut(line, "has problems: "); bad { // in the words of package model
			place, _, _ := strings.Cut(problem, ": ")
			line = before + "has problems: " + place
		}
		lines = append(lines, line)
	}
	golden(t, "cases.txt", strings.Join(lines, "\n")+"\n")
	assert.True(t, results[0].Passed())
}

func TestCasesWithoutTheFolder(t *testing.T) {
	data, err := os.ReadFile("../testdata/rules/cases.yaml")
	require.NoError(t, err)
	set, err := rules.Parse("cases.yaml", data)
	require.NoError(t, err)
	results, err := rules.TestCases(context.Background(), set)
	require.NoError(t, err)
	assert.Equal(t, []string{"the machine of the case has problems: the rule file was parsed without its folder, so file: cannot be found; use Load"}, results[0].Failures)
}
