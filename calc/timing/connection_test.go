package timing_test

import (
	"testing"

	"github.com/guardwright/guardwright/calc/timing"
	"github.com/guardwright/guardwright/model"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// TestSmallestExpectation: 10 ms, timeout multiplier 2 (one lost packet; 3 ms of recovery cost one packet as well), ping multiplier 100,
// messages of 4 ms: 230 ticks (CIP Safety, a condition remembered with parts read).
func TestSmallestExpectation(t *testing.T) {
	m := machine(t, "cip.yaml")
	in := oneMillisecond(m)
	in.Delays["con_in"] = timing.Delays{ToController: model.Milliseconds(4), FromController: model.Milliseconds(4)}
	c := connection(t, compute(t, m, in), "con_in")
	ms(t, 29.44, c.Smallest.Time)
	assert.Contains(t, c.SmallestFrom, "230 · 128 µs")
	assert.True(t, c.Stated)
	assert.Equal(t, 312, c.Multiplier, "the setting stays within the stated 40 ms")
	assert.Equal(t, timing.Within, c.Trips.Status)
	assert.Equal(t, timing.Within, c.Lost.Status)
	assert.Equal(t, 2, c.Lost.Number, "39.936 ms serve a timeout multiplier of 3, 39.808 ms")
	assert.Equal(t, timing.Within, c.Ring.Status)
	ms(t, 3, c.Recovery)
	assert.Equal(t, timing.Within, c.Interval.Status)
}

// TestRingNeedsMorePackets: an interruption of 25 ms costs 3 packets of 10 ms, so the timeout multiplier has to be 4; one of 35 ms
// would need 5, which there is not.
func TestRingNeedsMorePackets(t *testing.T) {
	m := machine(t, "cip.yaml")
	in := oneMillisecond(m)
	with := func(recovery float64) *timing.Connection {
		in.Delays["con_in"] = timing.Delays{ToController: model.Milliseconds(4), FromController: model.Milliseconds(4), Recovery: new(model.Milliseconds(recovery))}
		return connection(t, compute(t, m, in), "con_in")
	}
	c := with(25)
	// 4·10 + 8 ms + (ceil(5·10000·100/320000) + 1)·128 µs = 48 ms + 17 ticks, the next tick above: 393.
	ms(t, 393*0.128, c.Smallest.Time)
	assert.Equal(t, timing.Beyond, c.Trips.Status)
	assert.Equal(t, timing.Beyond, c.Ring.Status, "40 ms leave less than 25 ms beside normal operation")
	c = with(35)
	assert.False(t, c.Smallest.Known)
	assert.Contains(t, c.Smallest.Why, "timeout multiplier of 5")
	assert.Equal(t, timing.NotCovered, c.Trips.Status)
}

// TestSmallestWatchdog: 2·4 + 10 + 20 ms = 38 ms, with 30 % 49.4 ms, and the recovery of a ring on top (IEC 61784-3-3, 9.3.3, from
// memory). Two cycles of 10 ms stand for the host acknowledgement time.
func TestSmallestWatchdog(t *testing.T) {
	m := machine(t, "profisafe.yaml")
	in := oneMillisecond(m)
	c := connection(t, compute(t, m, in), "con_in")
	ms(t, 38, c.Ordinary.Time)
	ms(t, 49.4, c.Smallest.Time)
	assert.Equal(t, timing.Within, c.Trips.Status)
	assert.Equal(t, 7, c.Lost.Number, "60 - 38 ms hold seven packets of 3 ms")
	assert.Equal(t, timing.NotApplicable, c.Ring.Status)
	assert.Equal(t, timing.Beyond, c.Interval.Status, "10 ms are not a whole number of 3 ms")
	ms(t, -1, c.Interval.Margin)

	in.Delays["con_in"] = timing.Delays{ToController: model.Milliseconds(1), FromController: model.Milliseconds(1), Recovery: new(model.Milliseconds(20))}
	in.Margin = new(model.Ratio(0))
	c = connection(t, compute(t, m, in), "con_in")
	ms(t, 58, c.Smallest.Time)
	assert.Equal(t, timing.Within, c.Ring.Status)
	ms(t, 2, c.Ring.Margin)
}

// TestComputedLimit: a connection that states no limit has the smallest that serves, in whole milliseconds, and says so.
func TestComputedLimit(t *testing.T) {
	m := machine(t, "profisafe.yaml")
	d := m.Description()
	c := d.Network.Connections["con_in"]
	c.Watchdog = 0
	d.Network.Connections["con_in"] = c
	m, err := model.Build(d)
	require.NoError(t, err)
	r := connection(t, compute(t, m, oneMillisecond(m)), "con_in")
	assert.False(t, r.Stated)
	ms(t, 50, r.Limit.Time)
	ms(t, 49.4, r.Smallest.Time)
}

// TestWindow: allowed 142 ms: con_in may have exactly its 60 ms. Less allowed closes the window at 49.4 ms of smallest.
func TestWindow(t *testing.T) {
	m := machine(t, "profisafe.yaml")
	in := oneMillisecond(m)
	key := timing.Demand{Function: "access", Device: "curtain"}
	allow := func(allowed float64) *timing.Connection {
		in.Allowed = map[timing.Demand]model.Duration{key: model.Milliseconds(allowed)}
		return connection(t, compute(t, m, in), "con_in")
	}
	c := allow(142)
	ms(t, 60, c.Largest.Time)
	assert.Equal(t, timing.Within, c.Fits.Status)
	assert.Equal(t, timing.Within, c.Window.Status)
	ms(t, 10.6, c.Window.Margin)
	assert.Equal(t, "belt", c.LargestBy.Drive.Name)
	assert.Empty(t, c.Openings)

	c = allow(130)
	assert.Equal(t, timing.Beyond, c.Window.Status)
	assert.Equal(t, timing.Beyond, c.Fits.Status)
	ms(t, 48, c.Largest.Time)
	require.NotEmpty(t, c.Openings)
	seen := map[timing.Change]timing.Opening{}
	for _, o := range c.Openings {
		seen[o.Change] = o
		assert.NotEmpty(t, o.Place.Name)
	}
	// The other watchdog of 50 ms has 46 ms of margin: the sum is then 86 + 46 = 132 ms, so no change of con_in alone would do
	// without it, and its own smallest is 49.4 ms.
	assert.NotContains(t, seen, timing.ChangeOther)
	assert.Contains(t, seen, timing.ChangeStopping)
	ms(t, 23, seen[timing.ChangeStopping].To) // 132 - 130 = 2 ms less
	assert.InDelta(t, 0.132, float64(seen[timing.ChangeDistance].To), 1e-3)
}

// TestOpeningsOpen: each opening that is named opens the window when it is carried out.
func TestOpeningsOpen(t *testing.T) {
	m := machine(t, "ethercat.yaml")
	in := oneMillisecond(m)
	in.Allowed = map[timing.Demand]model.Duration{{Function: "access", Device: "curtain"}: model.Milliseconds(95)}
	c := connection(t, compute(t, m, in), "con_in")
	require.Equal(t, timing.Beyond, c.Window.Status, "the round trip is 2 + 10 + 2 + 8 ms, with margin 28.6 ms; 95 - 70 = 25 ms are left")
	ms(t, 28.6, c.Smallest.Time)
	ms(t, 25, c.Largest.Time)
	require.NotEmpty(t, c.Openings)
	for _, o := range c.Openings {
		d := m.Description()
		changed := in
		switch o.Change {
		case timing.ChangeInterval:
			con := d.Network.Connections["con_in"]
			con.Interval, con.OutputInterval = o.To, o.To
			d.Network.Connections["con_in"] = con
		case timing.ChangeCycle:
			con := d.Controllers["c1"]
			con.SafetyCycle = o.To
			d.Controllers["c1"] = con
		case timing.ChangeStopping:
			drive := d.Drives["belt"]
			drive.StoppingTime = o.To
			d.Drives["belt"] = drive
		case timing.ChangeDistance:
			changed.Allowed = map[timing.Demand]model.Duration{{Function: "access", Device: "curtain"}: o.To}
		default:
			t.Fatalf("unexpected change %s", o.Change)
		}
		built, err := model.Build(d)
		require.NoError(t, err)
		after := connection(t, compute(t, built, changed), "con_in")
		assert.Equal(t, timing.Within, after.Window.Status, "%s from %s to %s", o.Change, o.From, o.To)
	}
}

// TestOneConnectionBothWays: its watchdog counts twice with Safety over EtherCAT, once with PROFIsafe.
func TestOneConnectionBothWays(t *testing.T) {
	m := machine(t, "mixed.yaml")
	in := oneMillisecond(m)
	in.Allowed = map[timing.Demand]model.Duration{{Function: "access", Device: "curtain"}: model.Milliseconds(116)}
	r := compute(t, m, in)
	ms(t, 136, demand(t, r, "access", "curtain").OneFault.Time)
	c := connection(t, r, "con")
	ms(t, 30, c.Largest.Time)
	ms(t, 28.6, c.Smallest.Time)
	assert.Equal(t, timing.Within, c.Window.Status)
	assert.Equal(t, timing.Beyond, c.Fits.Status, "the window is open, but the stated 40 ms lie outside")

	d := m.Description()
	d.Network.Protocol = model.PROFIsafe
	con := d.Network.Connections["con"]
	con.Interval = model.Milliseconds(1)
	d.Network.Connections["con"] = con
	d.Network.Cycle = 0
	m, err := model.Build(d)
	require.NoError(t, err)
	r = compute(t, m, in)
	// 56 ms and twice 2 ms of network, and once 40 - 2 ms.
	ms(t, 98, demand(t, r, "access", "curtain").OneFault.Time)
	ms(t, 58, connection(t, r, "con").Largest.Time)
}

// TestFilterOpens: 6 ms of filter leave 27 ms where 28.6 ms are needed; 3.2 ms less, of two uses 1.6 ms each, and the filter
// may be 2.8 ms.
func TestFilterOpens(t *testing.T) {
	m := machine(t, "mixed.yaml")
	in := oneMillisecond(m)
	in.Allowed = map[timing.Demand]model.Duration{{Function: "access", Device: "curtain"}: model.Milliseconds(110)}
	c := connection(t, compute(t, m, in), "con")
	assert.Equal(t, timing.Beyond, c.Window.Status)
	for _, o := range c.Openings {
		if o.Change == timing.ChangeFilter {
			ms(t, 2.79, o.To) // the next lower step of 0.03 ms
			return
		}
	}
	t.Error("a shorter filter is no opening")
}

// TestOtherConnectionOpens: where the other connection has more than it needs, that is named first.
func TestOtherConnectionOpens(t *testing.T) {
	m := machine(t, "ethercat.yaml")
	d := m.Description()
	other := d.Network.Connections["con_out"]
	other.Watchdog = model.Milliseconds(60)
	d.Network.Connections["con_out"] = other
	m, err := model.Build(d)
	require.NoError(t, err)
	in := oneMillisecond(m)
	in.Allowed = map[timing.Demand]model.Duration{{Function: "access", Device: "curtain"}: model.Milliseconds(120)}
	c := connection(t, compute(t, m, in), "con_in")
	require.Equal(t, timing.Beyond, c.Window.Status, "5 + 4 + 8 + 60 + 3 + 30 leave 10 of 120 ms")
	require.NotEmpty(t, c.Openings)
	assert.Equal(t, timing.ChangeOther, c.Openings[0].Change)
	assert.Equal(t, "con_out", c.Openings[0].Place.Name)
	ms(t, 41.4, c.Openings[0].To) // 60 ms less the missing 18.6 ms, a whole number of steps of 0.3 ms
}

// TestNoDistanceNoLargest: a watchdog that no distance limits has no largest value, and says so.
func TestNoDistanceNoLargest(t *testing.T) {
	m := machine(t, "cip.yaml")
	c := connection(t, compute(t, m, oneMillisecond(m)), "con_out")
	assert.Equal(t, timing.NoLimit, c.Fits.Status)
	assert.Equal(t, timing.NoLimit, c.Window.Status)
	assert.Contains(t, c.Window.Why, "no separation distance")
}

// TestLargestIsExact: with the largest limit a function ends exactly in the allowed time, with more it does not.
func TestLargestIsExact(t *testing.T) {
	for _, name := range []string{"cip.yaml", "profisafe.yaml", "ethercat.yaml"} {
		m := machine(t, name)
		rapid.Check(t, func(rt *rapid.T) {
			allowed := model.Milliseconds(rapid.Float64Range(340, 900).Draw(rt, "allowed"))
			in := oneMillisecond(m)
			in.Allowed = map[timing.Demand]model.Duration{{Function: "access", Device: "curtain"}: allowed}
			largest := connection(t, compute(t, m, in), "con_in").Largest
			require.True(rt, largest.Known)
			d := m.Description()
			c := d.Network.Connections["con_in"]
			if m.Network.Protocol == model.CIPSafety {
				c.AgeLimit = largest.Time
			} else {
				c.Watchdog = largest.Time
			}
			d.Network.Connections["con_in"] = c
			built, err := model.Build(d)
			require.NoError(rt, err)
			end := demand(t, compute(t, built, in), "access", "curtain").OneFault.Time
			if diff := float64(end - allowed); diff > 1e-9 || diff < -1e-9 {
				rt.Fatalf("%s: %v instead of %v", name, end, allowed)
			}
		})
	}
}

func TestPorts(t *testing.T) {
	r := compute(t, machine(t, "cip.yaml"), timing.Input{})
	ports := map[string]*timing.Port{}
	for _, p := range r.Ports {
		ports[p.Port.Device.Name] = p
	}
	curtain := ports["curtain"]
	assert.Equal(t, timing.Within, curtain.Filter.Status)
	ms(t, 1.7, curtain.Filter.Margin)
	assert.Equal(t, timing.Within, curtain.Sampling.Status)
	ms(t, 42, curtain.Sampling.Limit) // 2 + 20 + 20
	assert.Equal(t, timing.Within, curtain.Discrepancy.Status)
	assert.Equal(t, timing.NotApplicable, ports["stop"].Filter.Status)
	assert.Equal(t, timing.NotApplicable, ports["stop"].Sampling.Status)
	assert.Equal(t, timing.Unknown, ports["lock"].Filter.Status)
	assert.Equal(t, timing.Within, ports["k1"].Pulse.Status)
	assert.Equal(t, timing.Beyond, ports["k2"].Pulse.Status, "0.8 ms are more than 0.5 ms")
	assert.Equal(t, timing.NotApplicable, ports["v1"].Pulse.Status)

	ports = map[string]*timing.Port{}
	for _, p := range compute(t, machine(t, "profisafe.yaml"), timing.Input{}).Ports {
		ports[p.Port.Device.Name] = p
	}
	assert.Equal(t, timing.Beyond, ports["curtain"].Sampling.Status, "20 ms off are not more than two cycles of 10 ms")
}

func TestControllers(t *testing.T) {
	c := compute(t, machine(t, "cip.yaml"), timing.Input{}).Controllers[0]
	assert.InDelta(t, 0.45, float64(c.Use.Value), tolerance)
	assert.Equal(t, timing.Within, c.Use.Status)
	assert.Equal(t, timing.Within, c.Watchdog.Status)
	c = compute(t, machine(t, "ethercat.yaml"), timing.Input{}).Controllers[0]
	assert.Equal(t, timing.Unknown, c.Use.Status)
	assert.Equal(t, timing.Unknown, c.Watchdog.Status)
}
