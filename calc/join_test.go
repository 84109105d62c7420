package calc_test

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/guardwright/guardwright/calc"
	"github.com/guardwright/guardwright/calc/distance"
	"github.com/guardwright/guardwright/calc/network"
	"github.com/guardwright/guardwright/calc/timing"
	"github.com/guardwright/guardwright/model"
)

func curtain(t *testing.T) *model.Machine {
	t.Helper()
	m, err := model.LoadFile("testdata/curtain.yaml")
	require.NoError(t, err)
	return m
}

// TestCalculationsFeedEachOther joins the calculations by hand and compares.
func TestCalculationsFeedEachOther(t *testing.T) {
	ctx, m := context.Background(), curtain(t)
	r, err := calc.Compute(ctx, m)
	require.NoError(t, err)
	assert.Empty(t, r.NetworkMissing+r.TimingMissing+r.DistanceMissing)

	net, err := network.Compute(ctx, m, network.Options{})
	require.NoError(t, err)
	assert.Equal(t, net, r.Network)

	// The data of "give" go to the controller, the answers to it come from there; with "take" it is the other way round.
	flow := func(connection string, kind network.FlowKind) model.Duration {
		for _, f := range net.Flows {
			if f.Connection.Connection.Name == connection && f.Kind == kind {
				require.True(t, f.Delay.Status.HasValue(), f.Delay.Why)
				return f.Delay.Value
			}
		}
		require.Fail(t, "no such flow")
		return 0
	}
	none := model.Duration(0)
	delays := map[string]timing.Delays{
		"give": {InputInterval: model.Milliseconds(10), ToController: flow("give", network.InputData), FromController: flow("give", network.Coordination),
			Recovery: &none},
		"take": {OutputInterval: model.Milliseconds(10), ToController: flow("take", network.Coordination), FromController: flow("take", network.OutputData),
			Recovery: &none},
		"air": {InputInterval: model.Milliseconds(10), Recovery: &none, Why: net.Connections[0].ToController.Why},
	}
	require.NotEmpty(t, delays["air"].Why, "a radio link without a delay has no bound")

	first, err := distance.Compute(ctx, m, distance.Input{})
	require.NoError(t, err)
	approaches := first.Functions[0].Approaches
	require.True(t, approaches[0].Complete)
	require.False(t, approaches[1].Complete, "whether the second curtain can be reached over is not stated")
	allowed := map[timing.Demand]model.Duration{{Function: "access", Device: "b1"}: approaches[0].Longest.Time}
	// ISO 13855:2010, 6.2: beyond 500 mm S = 1600 mm/s·T + 8·(14 - 14) mm, so 800 mm allow 500 ms.
	assert.InDelta(t, 0.5, float64(approaches[0].Longest.Time), 1e-12)
	times, err := timing.Compute(ctx, m, timing.Input{Delays: delays, Allowed: allowed})
	require.NoError(t, err)
	assert.Equal(t, times, r.Timing)

	access := times.Functions[0]
	b1, b2 := access.Demands[0], access.Demands[1]
	require.True(t, b1.OneFault.Known, b1.OneFault.Why)
	assert.False(t, b2.OneFault.Known)
	assert.Contains(t, b2.OneFault.Why, "radio")
	second, err := distance.Compute(ctx, m, distance.Input{
		Times: map[distance.Demand]distance.Times{
			{Function: "access", Device: "b1"}: {Overall: distance.Time{Known: true, Time: b1.OneFault.Time}, Reaction: distance.Time{Known: true, Time: b1.Reaction.Time}},
			{Function: "access", Device: "b2"}: {Overall: distance.Time{Why: b2.OneFault.Why}, Reaction: distance.Time{Why: b2.Reaction.Why}},
		},
		RunDown: map[string]distance.Time{"access": {Known: true, Time: access.RunDown.Time}},
	})
	require.NoError(t, err)
	assert.Equal(t, second, r.Distance)
}

// TestOneDistanceByHand adds up the parts of one chain by hand, to the distance.
func TestOneDistanceByHand(t *testing.T) {
	r, err := calc.Compute(context.Background(), curtain(t))
	require.NoError(t, err)
	in, out := r.Timing.Connections[1], r.Timing.Connections[2]
	require.Equal(t, "give", in.Connection.Name)
	require.Equal(t, "take", out.Connection.Name)
	// Curtain, filter, input module, age of the data, two cycles of 10 ms, age of the data, output module, drive input, stop.
	overall := 0.014 + 0.002 + 0.006 + float64(in.Limit.Time) + 0.020 + float64(out.Limit.Time) + 0.005 + 0.010 + 0.150
	approach := r.Distance.Functions[0].Approaches[0]
	assert.InDelta(t, overall, float64(approach.Times.Overall.Time), 1e-9)
	// ISO 13855:2010, 6.2 (from memory): S = 2000 mm/s·T + 8·(d - 14 mm) up to 500 mm, and beyond it 1600 mm/s·T, at least 500 mm.
	assert.InDelta(t, max(0.5, 1.6*overall), float64(approach.Required), 1e-9)
	assert.Equal(t, distance.Within, approach.Distance.Status)
	// The longest time limit of "give" leaves 800 mm / 1600 mm/s = 500 ms for all.
	assert.InDelta(t, 0.5-overall+float64(in.Limit.Time), float64(in.Largest.Time), 1e-9)
	// The timed release waits longer than the run-down and what comes before it.
	unlock := r.Distance.Functions[0].Unlock
	assert.InDelta(t, float64(out.Limit.Time)+0.005+0.010+0.900, float64(unlock.Limit), 1e-9)
}

// TestSameMachineSameResults: the results do not depend on the run.
func TestSameMachineSameResults(t *testing.T) {
	m := curtain(t)
	want, err := calc.Compute(context.Background(), m)
	require.NoError(t, err)
	for range 5 {
		got, err := calc.Compute(context.Background(), m)
		require.NoError(t, err)
		require.Equal(t, want, got)
	}
}
