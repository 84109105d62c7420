package timing_test

import (
	"context"
	"math"
	"os"
	"testing"

	"github.com/guardwright/guardwright/calc/timing"
	"github.com/guardwright/guardwright/model"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func machine(t testing.TB, name string) *model.Machine {
	t.Helper()
	m, err := model.Load(os.DirFS("../../testdata/timing"), name)
	require.NoError(t, err)
	return m
}

// oneMillisecond gives every connection of a machine delays of 1 ms.
func oneMillisecond(m *model.Machine) timing.Input {
	in := timing.Input{Delays: map[string]timing.Delays{}}
	for _, c := range m.Network.Connections {
		in.Delays[c.Name] = timing.Delays{ToController: model.Milliseconds(1), FromController: model.Milliseconds(1)}
	}
	return in
}

func compute(t testing.TB, m *model.Machine, in timing.Input) *timing.Result {
	t.Helper()
	r, err := timing.Compute(t.Context(), m, in)
	require.NoError(t, err)
	return r
}

// demand finds a safety function after the demand of a device.
func demand(t *testing.T, r *timing.Result, function, device string) *timing.Demanded {
	t.Helper()
	for _, f := range r.Functions {
		for _, d := range f.Demands {
			if f.Function.Name == function && d.Device.Name == device {
				return d
			}
		}
	}
	t.Fatalf("no %s on demand of %s", function, device)
	return nil
}

func connection(t *testing.T, r *timing.Result, name string) *timing.Connection {
	t.Helper()
	for _, c := range r.Connections {
		if c.Connection.Name == name {
			return c
		}
	}
	t.Fatalf("no connection %s", name)
	return nil
}

func ms(t *testing.T, want float64, got model.Duration, text ...any) {
	t.Helper()
	assert.InDelta(t, want/1000, float64(got), tolerance, text...)
}

// column adds up one column of a chain's steps.
func column(c *timing.Chain, of func(timing.Step) timing.Time) model.Duration {
	var sum model.Duration
	for _, s := range c.Steps {
		sum += of(s).Time
	}
	return sum
}

// TestTimeStamps: curtain 12 + input 6 + its link 40 + cycle 20 + cycle watchdog 20 + link 60 + output 3 + contactor 20 + stopping
// 150 ms (a chain by the rules of common practice, derived; there the output took 6 ms).
func TestTimeStamps(t *testing.T) {
	m := machine(t, "cip.yaml")
	d := demand(t, compute(t, m, oneMillisecond(m)), "access", "curtain")
	require.Len(t, d.Chains, 3, "the belt by k1, the fan by k1 and k2; lock and lamp stop nothing")
	require.NotNil(t, d.Slowest)
	assert.Equal(t, "belt", d.Slowest.Drive.Name, "only the belt is dangerous at the curtain, though the fan stops later")
	assert.True(t, d.OneFault.Known)
	ms(t, 331, d.OneFault.Time)
	ms(t, 181, d.Reaction.Time)
	// 12 + 2 + 4 + (10 + 1) + 2·20 + (20 + 1) + 3 + 20 + 150
	ms(t, 263, d.Undisturbed.Time)
	assert.Equal(t, timing.NoLimit, d.Allowed.Status)
	stages := []timing.Stage{}
	for _, s := range d.Slowest.Steps {
		stages = append(stages, s.Stage)
		assert.NotEmpty(t, s.From, s.Stage)
		assert.NotEmpty(t, s.Place.Name, s.Stage)
	}
	assert.Equal(t, []timing.Stage{timing.Detection, timing.Filter, timing.InputModule, timing.InputNetwork, timing.Logic,
		timing.OutputNetwork, timing.OutputModule, timing.Switching, timing.Stopping}, stages)
}

// TestOneMargin: 86 ms and once the largest margin, 60 - 4 ms (IEC 61784-3-3, 9.3, from memory).
func TestOneMargin(t *testing.T) {
	m := machine(t, "profisafe.yaml")
	d := demand(t, compute(t, m, oneMillisecond(m)), "access", "curtain")
	ms(t, 86, d.Undisturbed.Time)
	ms(t, 142, d.OneFault.Time)
	for _, s := range d.Slowest.Steps {
		if s.Stage == timing.InputNetwork {
			ms(t, 60, s.OneFault.Time)
		} else {
			assert.Equal(t, s.Undisturbed, s.OneFault, "%s", s.Stage)
		}
	}
}

// TestWatchdogsInARow: 5 + 4 + 20 + 8 + 20 + 3 + 30 ms (IEC 61784-3-12: the mechanism read, the bound from memory).
func TestWatchdogsInARow(t *testing.T) {
	m := machine(t, "ethercat.yaml")
	d := demand(t, compute(t, m, oneMillisecond(m)), "access", "curtain")
	ms(t, 90, d.OneFault.Time)
	// 5 + 4 + (1 + 1) + 8 + (1 + 1) + 3 + 30
	ms(t, 54, d.Undisturbed.Time)
}

// TestColumnsAddUp: the tables add up to the totals.
func TestColumnsAddUp(t *testing.T) {
	for _, name := range []string{"cip.yaml", "profisafe.yaml", "ethercat.yaml"} {
		m := machine(t, name)
		for _, f := range compute(t, m, oneMillisecond(m)).Functions {
			for _, d := range f.Demands {
				for _, c := range d.Chains {
					ms(t, 1000*float64(column(c, func(s timing.Step) timing.Time { return s.Undisturbed })), c.Undisturbed.AtLeast)
					ms(t, 1000*float64(column(c, func(s timing.Step) timing.Time { return s.OneFault })), c.OneFault.AtLeast)
				}
			}
		}
	}
}

// TestInputContributions: filter 3, own test pulse 1, differing channels 300 and off-delay 5 ms all count.
func TestInputContributions(t *testing.T) {
	m := machine(t, "cip.yaml")
	d := demand(t, compute(t, m, oneMillisecond(m)), "stop_all", "stop")
	c := d.Chains[0]
	want := map[timing.Stage]float64{timing.Filter: 3, timing.Blanking: 1, timing.Differing: 300, timing.OffDelay: 5}
	for _, s := range c.Steps {
		if w, ok := want[s.Stage]; ok {
			ms(t, w, s.Undisturbed.Time, s.Stage)
			delete(want, s.Stage)
		}
	}
	assert.Empty(t, want)
	assert.Len(t, d.Chains, 4, "k2 stops the fan already; the valve is an end of its own")
}

// TestMissingIsUnknown: a missing time leaves the sum unknown, with a lower bound and what to state.
func TestMissingIsUnknown(t *testing.T) {
	m := machine(t, "cip.yaml")
	r := compute(t, m, oneMillisecond(m))
	d := demand(t, r, "open", "lock")
	assert.False(t, d.OneFault.Known)
	assert.Contains(t, d.OneFault.Why, "modules.m_in.ports.3 has no parameter set")
	assert.Greater(t, d.OneFault.AtLeast, model.Seconds(8))
	assert.Equal(t, timing.Unknown, d.Allowed.Status)

	r = compute(t, m, timing.Input{})
	d = demand(t, r, "access", "curtain")
	assert.False(t, d.Undisturbed.Known)
	assert.Contains(t, d.Undisturbed.Why, "no delay of the messages of con_in was given")
	assert.True(t, d.OneFault.Known, "stated age limits need no delays")
	ms(t, 331, d.OneFault.Time)
}

// TestAllowed: what the separation distance allows is compared with the time with one fault, known or not.
func TestAllowed(t *testing.T) {
	m := machine(t, "cip.yaml")
	in := oneMillisecond(m)
	in.Allowed = map[timing.Demand]model.Duration{
		{Function: "access", Device: "curtain"}: model.Milliseconds(357.5), // (700 - 128)/1600
		{Function: "open", Device: "lock"}:      model.Seconds(1),
		{Function: "stop_all", Device: "stop"}:  model.Seconds(8),
	}
	r := compute(t, m, in)
	d := demand(t, r, "access", "curtain")
	assert.Equal(t, timing.Within, d.Allowed.Status)
	ms(t, 26.5, d.Allowed.Margin)
	assert.Equal(t, timing.Beyond, demand(t, r, "open", "lock").Allowed.Status, "8 s of stopping are too long whatever the filter")
	assert.Equal(t, timing.Beyond, demand(t, r, "stop_all", "stop").Allowed.Status)
}

// TestRunDown: output link 60 + output 3 + contactor 20 ms + run-down 12 s; the delay of a stop that is not braked.
func TestRunDown(t *testing.T) {
	m := machine(t, "cip.yaml")
	for _, f := range compute(t, m, oneMillisecond(m)).Functions {
		if f.Function.Name == "open" {
			assert.True(t, f.RunDown.Known)
			ms(t, 12_083, f.RunDown.Time)
		}
	}
}

// TestOwnTerminals: devices at no port are at terminals of the controller's own: 15 + 2 + 2·10 + 3 + 20 + 180 ms.
func TestOwnTerminals(t *testing.T) {
	r := compute(t, machine(t, "drives.yaml"), timing.Input{})
	d := demand(t, r, "stop_all", "stop")
	assert.True(t, d.OneFault.Known, d.OneFault.Why)
	ms(t, 240, d.OneFault.Time)
	assert.Equal(t, d.Undisturbed, d.OneFault)
	d = demand(t, r, "stop_some", "stop")
	assert.False(t, d.OneFault.Known)
	assert.Contains(t, d.OneFault.Why, "say switched_by")
	assert.Equal(t, "nothing", d.Slowest.Drive.Name)
}

func TestInputErrors(t *testing.T) {
	m := machine(t, "cip.yaml")
	for name, change := range map[string]func(*timing.Input){
		"connection": func(in *timing.Input) { in.Delays["nothing"] = timing.Delays{} },
		"delay":      func(in *timing.Input) { in.Delays["con_in"] = timing.Delays{ToController: -1} },
		"recovery":   func(in *timing.Input) { in.Delays["con_in"] = timing.Delays{Recovery: new(model.Duration(math.NaN()))} },
		"function":   func(in *timing.Input) { in.Allowed = map[timing.Demand]model.Duration{{Function: "x"}: 1} },
		"allowed": func(in *timing.Input) {
			in.Allowed = map[timing.Demand]model.Duration{{Function: "access", Device: "curtain"}: -1}
		},
		"margin":       func(in *timing.Input) { in.Margin = new(model.Ratio(-0.1)) },
		"lost":         func(in *timing.Input) { in.Lost = new(-1) },
		"ping":         func(in *timing.Input) { in.Ping = 1000 },
		"coordination": func(in *timing.Input) { in.CoordinationMinimum = -1 },
	} {
		in := oneMillisecond(m)
		change(&in)
		_, err := timing.Compute(t.Context(), m, in)
		assert.Error(t, err, name)
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	_, err := timing.Compute(ctx, m, timing.Input{})
	assert.ErrorIs(t, err, context.Canceled)
}

// TestAgain: the same machine gives the same result.
func TestAgain(t *testing.T) {
	m := machine(t, "cip.yaml")
	in := oneMillisecond(m)
	assert.Equal(t, compute(t, m, in), compute(t, m, in))
}
