package timing_test

import (
	"testing"

	"github.com/guardwright/guardwright/calc/timing"
	"github.com/guardwright/guardwright/model"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// drawn draws a machine of one protocol with times on the chain of access, and lets change make one of them longer.
func drawn(t *rapid.T, d model.Description, longer func(*model.Description, *timing.Input)) (before, after *timing.Demanded) {
	draw := func(name string, from, to float64) model.Duration {
		return model.Milliseconds(rapid.Float64Range(from, to).Draw(t, name))
	}
	controller := d.Controllers["c1"]
	controller.SafetyCycle = draw("cycle", 1, 40)
	controller.CycleWatchdog = controller.SafetyCycle + draw("cycle watchdog", 0, 50)
	controller.ExecutionTime = 0
	d.Controllers["c1"] = controller
	in := timing.Input{Delays: map[string]timing.Delays{}}
	for _, name := range []string{"con_in", "con_out"} {
		c := d.Network.Connections[name]
		c.Interval = draw("interval of "+name, 1, 40)
		c.Watchdog, c.AgeLimit = 0, 0
		d.Network.Connections[name] = c
		in.Delays[name] = timing.Delays{ToController: draw("there", 0, 5), FromController: draw("back", 0, 5), Recovery: new(model.Duration(0))}
	}
	run := func() *timing.Demanded {
		m, err := model.Build(d)
		require.NoError(t, err)
		r, err := timing.Compute(t.Context(), m, in)
		require.NoError(t, err)
		for _, f := range r.Functions {
			if f.Function.Name == "access" {
				return f.Demands[0]
			}
		}
		t.Fatal("no function")
		return nil
	}
	before = run()
	longer(&d, &in)
	return before, run()
}

func longerCycle(d *model.Description, _ *timing.Input, more model.Duration) {
	c := d.Controllers["c1"]
	c.SafetyCycle += more
	c.CycleWatchdog += more
	d.Controllers["c1"] = c
}

func longerInterval(d *model.Description, _ *timing.Input, more model.Duration) {
	c := d.Network.Connections["con_in"]
	c.Interval += more
	d.Network.Connections["con_in"] = c
}

func longerDelay(_ *model.Description, in *timing.Input, more model.Duration) {
	delays := in.Delays["con_out"]
	delays.FromController += more
	in.Delays["con_out"] = delays
}

func longerStop(d *model.Description, _ *timing.Input, more model.Duration) {
	drive := d.Drives["belt"]
	drive.StoppingTime += more
	d.Drives["belt"] = drive
}

// longerInput lengthens the filters of the inputs and the responses of the modules.
func longerInput(d *model.Description, _ *timing.Input, more model.Duration) {
	for name, module := range d.Types.Modules {
		module.InputResponse += more
		if module.InputFaultResponse > 0 {
			module.InputFaultResponse += more
		}
		for key, set := range module.Sets {
			set.Filter += more
			module.Sets[key] = set
		}
		d.Types.Modules[name] = module
	}
}

// TestLongerIsNeverShorter: a longer cycle, interval, delay, filter, response or stop never makes a reaction shorter, and a
// communication fault never either. The time limits follow from the other times here.
func TestLongerIsNeverShorter(t *testing.T) {
	changes := []func(*model.Description, *timing.Input, model.Duration){longerCycle, longerInterval, longerDelay, longerStop, longerInput}
	for _, file := range []string{"cip.yaml", "profisafe.yaml", "ethercat.yaml"} {
		m := machine(t, file)
		rapid.Check(t, func(rt *rapid.T) {
			change := rapid.SampledFrom(changes).Draw(rt, "change")
			more := model.Milliseconds(rapid.Float64Range(0.001, 100).Draw(rt, "more"))
			before, after := drawn(rt, m.Description(), func(d *model.Description, in *timing.Input) { change(d, in, more) })
			require.True(rt, before.OneFault.Known, before.OneFault.Why)
			require.True(rt, after.OneFault.Known, after.OneFault.Why)
			const rounding = 1e-12
			if after.Undisturbed.Time < before.Undisturbed.Time-rounding {
				rt.Fatalf("undisturbed %v, then %v", before.Undisturbed.Time, after.Undisturbed.Time)
			}
			if after.OneFault.Time < before.OneFault.Time-rounding {
				rt.Fatalf("with one fault %v, then %v", before.OneFault.Time, after.OneFault.Time)
			}
			for _, d := range []*timing.Demanded{before, after} {
				if d.OneFault.Time < d.Undisturbed.Time-rounding {
					rt.Fatalf("with one fault %v, without %v", d.OneFault.Time, d.Undisturbed.Time)
				}
			}
		})
	}
}

// TestWholeBoundIsExceeded: the network time expectation is always more than its bound, and by no more than one tick.
func TestWholeBoundIsExceeded(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := timing.NetworkTimeExpectation{
			Interval:          model.Microseconds(float64(rapid.IntRange(100, 50_000).Draw(t, "interval"))),
			TimeoutMultiplier: rapid.IntRange(1, 4).Draw(t, "TM"),
			PingMultiplier:    rapid.IntRange(1, 999).Draw(t, "P"),
			Message:           model.Microseconds(float64(rapid.IntRange(0, 20_000).Draw(t, "message"))),
			Coordination:      model.Microseconds(float64(rapid.IntRange(0, 20_000).Draw(t, "coordination"))),
		}
		got, err := n.Smallest()
		require.NoError(t, err)
		// The same in whole microseconds, without any rounding.
		us := func(d model.Duration) int { return int(float64(d)*1e6 + 0.5) }
		interval := us(n.Interval)
		drift := max(1, ((n.TimeoutMultiplier+1)*interval*n.PingMultiplier+319_999)/320_000)
		bound := interval*n.TimeoutMultiplier + us(n.Message) + us(n.Coordination) + (drift+1)*128
		if want := bound/128 + 1; got != want {
			t.Fatalf("%d ticks, want %d for a bound of %d µs", got, want, bound)
		}
	})
}
