package main

import (
	"context"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/guardwright/guardwright/examples/internal/golden"
	"github.com/guardwright/guardwright/rules"
)

var update = golden.Flag()

func TestRun(t *testing.T) {
	var b strings.Builder
	require.NoError(t, run(context.Background(), &b))
	golden.Equal(t, *update, b.String())
}

// A rule that is wrong is found by its cases before it judges a machine.
func TestWrongRuleIsRefused(t *testing.T) {
	text, err := files.ReadFile("plant.yaml")
	require.NoError(t, err)
	wrong := strings.Replace(string(text), "port.cable.length <= m(10)", "port.cable.length <= m(11)", 1)
	set, err := rules.Parse("plant.yaml", []byte(wrong))
	require.NoError(t, err)
	var b strings.Builder
	assert.ErrorContains(t, testRules(context.Background(), &b, set), "1 of 3 cases failed")
	assert.Contains(t, b.String(), "missing: finding at modules.m1.ports.2")
}
