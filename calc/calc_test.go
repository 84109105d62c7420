package calc_test

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/guardwright/guardwright/calc"
	"github.com/guardwright/guardwright/calc/power"
	"github.com/guardwright/guardwright/model"
)

func machine(t *testing.T) *model.Machine {
	t.Helper()
	m, err := model.LoadFile("../testdata/rules/small.yaml")
	require.NoError(t, err)
	return m
}

// TestComputeJoinsTheCalculations: each part is what its own package computes.
func TestComputeJoinsTheCalculations(t *testing.T) {
	m := machine(t)
	r, err := calc.Compute(context.Background(), m)
	require.NoError(t, err)
	want, err := power.Compute(context.Background(), m, power.Options{})
	require.NoError(t, err)
	assert.Equal(t, want, r.Power)
	assert.Empty(t, r.PowerMissing)
}

// TestWhatIsMissingHasAReason: a part without a result says why, and the others are there.
func TestWhatIsMissingHasAReason(t *testing.T) {
	d := machine(t).Description()
	cable := d.Types.Cables["w"]
	cable.Section = model.SquareMillimetres(1.1) // no size of IEC 60228, and no resistance is stated
	d.Types.Cables["w"] = cable
	m, err := model.Build(d)
	require.NoError(t, err)
	r, err := calc.Compute(context.Background(), m)
	require.NoError(t, err)
	assert.Nil(t, r.Power)
	assert.NotEmpty(t, r.PowerMissing)
}

func TestComputeEndsWithItsContext(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err := calc.Compute(ctx, machine(t))
	assert.ErrorIs(t, err, context.Canceled)
}
