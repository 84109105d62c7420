package network_test

import (
	"context"
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"github.com/guardwright/guardwright/calc/network"
	"github.com/guardwright/guardwright/model"
)

// linePlant is a line c - s0 - m0 with one connection, and a second module behind the switch.
func linePlant() *plant {
	p := newPlant(model.CIPSafety, 1, 2)
	p.link("c", "s0", 10)
	p.link("s0", "m0", 10)
	p.link("s0", "m1", 10)
	p.connect("m0", 4, 2)
	return p
}

// TestMissingData: what is not stated gives no number, and says what to state. What does not depend on it is there.
func TestMissingData(t *testing.T) {
	for name, x := range map[string]struct {
		change func(*plant)
		status network.Status
		why    string
	}{
		"forwarding": {func(p *plant) {
			s := p.Types.Switches["s"]
			s.Forwarding = nil
			p.Types.Switches["s"] = s
		}, network.Unknown, "switches.s0 passes frames on, and its type does not state forwarding"},
		"length": {func(p *plant) { p.Network.Links[0].Length = 0 }, network.Unknown, "network.links.0 states neither length nor delay"},
		"radio":  {func(p *plant) { p.Network.Links[0].Medium = model.Radio }, network.Unknown, "a radio link that does not state its delay"},
		"on the fly": {func(p *plant) {
			p.forwarding(model.ForwardingType{Method: model.OnTheFly, Latency: new(model.Microseconds(1))})
		}, network.Unknown, "for EtherCAT only"},
		"too much": {func(p *plant) {
			p.Network.Traffic["camera"] = model.FlowSpec{From: "m1", To: "c", Burst: 2000, Rate: model.MegabitsPerSecond(101)}
		}, network.Unbounded, "more comes to port"},
		"frames of another connection": {func(p *plant) {
			p.Network.Connections["other"] = model.ConnectionSpec{Module: "m1", Input: 4}
		}, network.Unknown, "the frames of network.connections.other are not known: the connection states no interval"},
		"interval": {func(p *plant) {
			p.Network.Connections["con_m0"] = model.ConnectionSpec{Module: "m0", Input: 4}
		}, network.Unknown, "states no interval"},
		"data": {func(p *plant) {
			p.Network.Connections["con_m0"] = model.ConnectionSpec{Module: "m0", Interval: 1}
		}, network.Unknown, "neither input nor output"},
		"time limit": {func(p *plant) {
			c := p.Network.Connections["con_m0"]
			c.Multiplier = 0
			p.Network.Connections["con_m0"] = c
		}, network.NotCovered, "neither an age limit nor interval and multiplier"},
		"link": {func(p *plant) { p.Network.Links = p.Network.Links[1:] }, network.Unknown, "no link leads from c to m0"},
		"loop": {func(p *plant) { p.link("c", "s0", 10) }, network.Unknown, "loop"},
	} {
		t.Run(name, func(t *testing.T) {
			p := linePlant()
			x.change(p)
			c := p.compute(t, network.Options{}).Connections[0]
			assert.Equal(t, x.status, c.Delay.Status)
			assert.Contains(t, c.Delay.Why, x.why)
			assert.False(t, c.Delay.OK())
		})
	}
	good := linePlant().compute(t, network.Options{}).Connections[0]
	assert.True(t, good.Delay.OK(), good.Delay.Why)
	assert.Equal(t, network.NoLimit, good.Recovery.Status)
}

// TestLoadWithoutKnownFrames: where the frames of a connection are not known, the load is not known either, and elsewhere
// it is.
func TestLoadWithoutKnownFrames(t *testing.T) {
	p := linePlant()
	p.Network.Connections["other"] = model.ConnectionSpec{Module: "m1", Input: 4}
	for _, x := range p.compute(t, network.Options{}).Ports {
		atM0 := x.Node.Origin().Name == "m0" || x.To.Origin().Name == "m0"
		assert.Equal(t, atM0, x.Load.Status.HasValue(), "%s to %s", x.Node.Origin().Name, x.To.Origin().Name)
	}
}

// TestStations: traffic from and to stations outside the description is there, and their ports are not free.
func TestStations(t *testing.T) {
	p := linePlant()
	p.Network.Traffic["camera"] = model.FlowSpec{From: "m1.p5", To: "s0.p9", Burst: 4000, Rate: model.MegabitsPerSecond(10), Frame: 1500}
	r := p.compute(t, network.Options{})
	var f *network.Flow
	for _, x := range r.Flows {
		if x.Kind == network.OtherTraffic {
			f = x
		}
	}
	require.NotNil(t, f)
	require.Len(t, f.Hops, 2)
	assert.Nil(t, f.Hops[1].Port.Link)
	assert.Equal(t, "p9", f.Hops[1].Port.Port)
	assert.Equal(t, network.NoLimit, f.Delay.Status)
	assert.NotContains(t, r.Nodes[1].Free, "p9")
	assert.InDelta(t, 0.1, float64(f.Hops[0].Port.Load.Value), 1e-9)
	sum := model.Duration(0)
	for _, h := range f.Hops {
		sum += h.Delay
	}
	assert.GreaterOrEqual(t, float64(sum), float64(f.Normal.Value)*(1-1e-12))
	require.NotNil(t, f.Worst)
}

// TestEdges: no network, no links, no controller, cancelled, senseless options.
func TestEdges(t *testing.T) {
	p := newPlant(model.CIPSafety, 0, 1)
	p.Network = nil
	r := p.compute(t, network.Options{})
	assert.Nil(t, r.Network)
	assert.Empty(t, r.Nodes)

	p = newPlant(model.CIPSafety, 0, 1)
	r = p.compute(t, network.Options{})
	assert.Equal(t, network.NoShape, r.Shape)
	assert.Len(t, r.Reach[0].Unreached, 1)

	p = newPlant(model.CIPSafety, 1, 2)
	p.Controllers, p.Network.Controller = nil, ""
	p.link("s0", "m0", 5)
	p.connect("m0", 4, 2)
	r = p.compute(t, network.Options{})
	assert.Empty(t, r.Reach)
	assert.Contains(t, r.Connections[0].Why, "no controller")
	assert.False(t, r.Nodes[0].Reachable)

	m, err := model.Build(linePlant().Description)
	require.NoError(t, err)
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err = network.Compute(ctx, m, network.Options{})
	assert.ErrorIs(t, err, context.Canceled)
	_, err = network.Compute(context.Background(), m, network.Options{CopperDelay: -1})
	assert.ErrorContains(t, err, "some ns")

	r = linePlant().compute(t, network.Options{Work: 1})
	assert.Equal(t, network.Unknown, r.Connections[0].Delay.Status)
	assert.Contains(t, r.Connections[0].Delay.Why, "raise Options.Work")
	assert.NotEmpty(t, r.Limits)
}

// TestLines: chains of modules are lines, with the least of what their types permit.
func TestLines(t *testing.T) {
	p := newPlant(model.CIPSafety, 1, 5)
	io := p.Types.Modules["m"]
	io.MaxInLine = 2
	p.Types.Modules["m"] = io
	p.link("c", "s0", 5)
	for i := range 3 {
		before := "s0"
		if i > 0 {
			before = fmt.Sprintf("m%d", i-1)
		}
		p.link(before, fmt.Sprintf("m%d", i), 5)
	}
	p.link("s0", "m3", 5)
	r := p.compute(t, network.Options{})
	require.Len(t, r.Lines, 2)
	assert.Equal(t, network.Beyond, r.Lines[0].Modules.Status)
	assert.Equal(t, 3, r.Lines[0].Modules.Value)
	assert.Equal(t, "s0", r.Lines[0].From.Origin().Name)
	assert.Equal(t, network.Within, r.Lines[1].Modules.Status)
	assert.Equal(t, network.PartsOf, r.Shape)
	byName := map[string]*network.Node{}
	for _, n := range r.Nodes {
		byName[n.Origin().Name] = n
	}
	assert.Equal(t, 4, byName["m2"].Hops.Value)
	assert.Same(t, byName["m1"], byName["m2"].Before)
	assert.True(t, byName["m1"].Articulation)
	assert.False(t, byName["m4"].Reachable)
}

// TestMoreNeverShortens: a longer cable, another connection or links at a tenth of the rate never shorten a bound.
func TestMoreNeverShortens(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := randomRing(t)
		before := p.compute(t, network.Options{})
		switch rapid.IntRange(0, 2).Draw(t, "change") {
		case 0:
			i := rapid.IntRange(0, len(p.Network.Links)-1).Draw(t, "link")
			p.Network.Links[i].Length += 50
		case 1:
			c := p.Network.Connections["con_m0"]
			p.Network.Connections["zz_one_more"] = c
		case 2:
			for i := range p.Network.Links {
				p.Network.Links[i].Rate = model.MegabitsPerSecond(10)
			}
		}
		after := p.compute(t, network.Options{})
		for i, c := range before.Connections {
			a, b := after.Connections[i].Delay, c.Delay
			if a.Status.HasValue() && a.Value < b.Value*(1-1e-9) {
				t.Fatalf("%s: %v became %v", c.Connection.Name, b.Value, a.Value)
			}
		}
	})
}

// TestSameBytes: computed again, also from a machine that was read again, everything is the same.
func TestSameBytes(t *testing.T) {
	text := func() string {
		out := ""
		r := load(t, "rings.yaml")
		for _, f := range r.Flows {
			out += fmt.Sprintln(f.Kind, f.Delay, f.Normal, f.Burst, f.Rate)
			for _, h := range f.Hops {
				out += fmt.Sprintln(h.Port.Node.Origin().Path, h.Port.Port, h.Delay)
			}
		}
		for _, x := range r.Ports {
			out += fmt.Sprintln(x.Node.Origin().Path, x.Port, x.Normal, x.Load, x.Delay, x.Backlog, len(x.Flows))
		}
		for _, f := range r.Reach[0].Faults {
			out += fmt.Sprintln(f.Origin(), len(f.Functions), len(f.Trips))
			for m := range f.Lost.All() {
				out += fmt.Sprintln(m.Path)
			}
		}
		return out + fmt.Sprintln(r.Addresses.Problems, r.Limits)
	}
	first := text()
	for range 4 {
		require.Equal(t, first, text())
	}
}
