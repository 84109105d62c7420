package main

import (
	"context"
	"strings"
	"testing"

	"github.com/guardwright/guardwright/examples/demo"
	"github.com/guardwright/guardwright/model"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestSizes asks about a feed of the demo machine whose valve gets too little voltage: the answers are the two ways out.
func TestSizes(t *testing.T) {
	m, err := model.Load(demo.Files(), demo.Machine)
	require.NoError(t, err)
	for _, f := range m.Power.Feeds {
		if f.Name != "f8" {
			continue
		}
		text, err := sizes(context.Background(), m, f)
		require.NoError(t, err)
		assert.Contains(t, text, "described: 15 m of power_2_5, 2.5 mm²")
		assert.Regexp(t, `longest run: 1\d\.\d+ m\n  governed by: lowest voltage at devices\.valve_gripper\.loads\.coil, actuator`, text)
		assert.Contains(t, text, "smallest cross-section: 4 mm²")
		assert.Contains(t, text, "further modules: none")
		assert.Contains(t, text, "judgement of a competent person")
	}
}

func TestSizeOfAFeedThatIsNotThere(t *testing.T) {
	var out, errs strings.Builder
	code := run(context.Background(), []string{"--size", "f_sto_blt"}, &out, &errs, environment{getenv: func(string) string { return "" }})
	assert.Equal(t, noVerdict, code)
	assert.Contains(t, errs.String(), "there is no feed f_sto_blt; did you mean f_sto_belt?")
	assert.Empty(t, out.String())
}
