package network_test

import (
	"fmt"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"github.com/guardwright/guardwright/calc/network"
	"github.com/guardwright/guardwright/model"
)

// randomRing is a ring of a controller, switches and modules, with modules hanging from it and other traffic between them.
func randomRing(t *rapid.T) *plant {
	size := rapid.IntRange(2, 7).Draw(t, "size")
	tails := rapid.IntRange(0, 3).Draw(t, "tails")
	p := newPlant(model.CIPSafety, 0, size-1+tails)
	p.forwarding(model.ForwardingType{
		Method:  rapid.SampledFrom([]model.ForwardingMethod{model.StoreAndForward, model.CutThrough}).Draw(t, "method"),
		Latency: new(model.Microseconds(float64(rapid.IntRange(0, 10).Draw(t, "latency")))),
		Order:   rapid.SampledFrom([]model.ServiceOrder{model.FirstInFirstOut, ""}).Draw(t, "order"),
		Queues:  rapid.SampledFrom([][]int{nil, {0, 0, 0, 0, 1, 1, 1, 1}}).Draw(t, "queues"),
	})
	nodes := []string{"c"}
	for i := range size - 1 {
		nodes = append(nodes, fmt.Sprintf("m%d", i))
	}
	k := rapid.IntRange(0, size-1).Draw(t, "controller at")
	nodes = append(nodes[k:], nodes[:k]...)
	p.ring(nodes...)
	for i := range tails {
		p.link(rapid.SampledFrom(nodes).Draw(t, "at"), fmt.Sprintf("m%d", size-1+i), 20)
	}
	for i := range size - 1 + tails {
		p.connect(fmt.Sprintf("m%d", i), float64(rapid.IntRange(1, 20).Draw(t, "in")), float64(rapid.IntRange(0, 20).Draw(t, "out")))
	}
	for i := range rapid.IntRange(0, 4).Draw(t, "traffic") {
		from, to := rapid.IntRange(0, size+tails-2).Draw(t, "from"), rapid.IntRange(0, size+tails-2).Draw(t, "to")
		if from == to {
			continue
		}
		p.Network.Traffic[fmt.Sprintf("t%d", i)] = model.FlowSpec{
			From: fmt.Sprintf("m%d", from), To: fmt.Sprintf("m%d", to), Frame: model.Bytes(float64(rapid.IntRange(64, 1500).Draw(t, "frame"))),
			Interval: model.Milliseconds(5), Frames: rapid.IntRange(1, 4).Draw(t, "frames"), Priority: new(rapid.IntRange(0, 7).Draw(t, "priority")),
		}
	}
	return p
}

// openAt is the same network as a tree: without one link of the ring, and without the ring.
func (p *plant) openAt(link int) *plant {
	q := *p
	n := *p.Network
	n.Links = slices.Delete(slices.Clone(n.Links), link, link+1)
	n.Rings = nil
	q.Network = &n
	return &q
}

// TestRingIsItsOpenLines: the load and the bounds of a ring are the worst of the trees that it becomes when it is open at
// each of its links in turn.
func TestRingIsItsOpenLines(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := randomRing(t)
		ring := p.compute(t, network.Options{})
		size := len(p.Network.Rings["r"].Nodes)
		delays := make([]model.Duration, len(ring.Flows))
		loads, backlogs, waits := map[string]model.Ratio{}, map[string]model.DataSize{}, map[string]model.Duration{}
		for k := range size {
			open := p.openAt(k).compute(t, network.Options{})
			for i, f := range open.Flows {
				if !f.Delay.Status.HasValue() {
					t.Fatalf("open at %d: %+v", k, f.Delay)
				}
				delays[i] = max(delays[i], f.Delay.Value)
			}
			for _, x := range open.Ports {
				key := x.Node.Origin().Name + "." + x.Port
				loads[key], backlogs[key] = max(loads[key], x.Load.Value), max(backlogs[key], x.Backlog.Value)
				waits[key] = max(waits[key], x.Delay.Value)
			}
		}
		for i, f := range ring.Flows {
			// Equal but for rounding, and for the bound in which bursts are paid once, which does not tell states apart. Behind
			// the ring frames may come by either of two links, which is more; and flows that go on together from there are
			// bounded together, which in an unknown order, or paying bursts once, can be a little less.
			least, most := model.Duration(1-1e-9), model.Duration(1.02)
			if len(p.Modules) > size-1 {
				least, most = 0.8, 5
			}
			if f.Delay.Value < delays[i]*least || f.Delay.Value > delays[i]*most {
				t.Fatalf("flow %d: %v, and the worst line has %v", i, f.Delay.Value, delays[i])
			}
		}
		for _, f := range ring.Flows {
			if f.Normal.Value > f.Delay.Value*(1+1e-9) || (f.Open == nil) != (f.Delay.Value <= f.Normal.Value*(1+1e-9)) && len(p.Modules) == size-1 {
				t.Fatalf("normal %v, worst %v, open at %v", f.Normal.Value, f.Delay.Value, f.Open)
			}
		}
		for _, x := range ring.Ports {
			key := x.Node.Origin().Name + "." + x.Port
			if d := x.Load.Value - loads[key]; d < -1e-9 || d > 1e-9 {
				t.Fatalf("port %s: load %v, and the worst line has %v", key, x.Load.Value, loads[key])
			}
			if x.Backlog.Value < backlogs[key]*(1-1e-9) || x.Delay.Value < waits[key]*(1-1e-9) {
				t.Fatalf("port %s: %v %v, and the worst line has %v %v", key, x.Backlog.Value, x.Delay.Value, backlogs[key], waits[key])
			}
		}
	})
}

// TestRingDescription reads rings that are right and wrong.
func TestRingDescription(t *testing.T) {
	r := load(t, "rings.yaml")
	byName := map[string]*network.Ring{}
	for _, x := range r.Rings {
		byName[x.Ring.Name] = x
	}
	good := byName["good"]
	assert.True(t, good.Closed && good.InOrder)
	require.Len(t, good.Active, 1)
	assert.Equal(t, "c1", good.Active[0].Origin().Name)
	require.Len(t, good.Backups, 1)
	assert.Equal(t, network.Within, good.Members.Status)
	assert.Equal(t, network.Beyond, good.Modules.Status, "three modules, and the type permits two")
	assert.InDelta(t, 1960e-6, float64(good.Detection.Value), 1e-12)
	require.Len(t, good.Deaf, 1)
	assert.Equal(t, "m3", good.Deaf[0].Origin().Name)
	assert.Empty(t, good.Trips)
	assert.Equal(t, network.Within, good.Connections[0].Recovery.Status)

	turned := byName["turned"]
	assert.True(t, turned.Closed)
	assert.False(t, turned.InOrder)
	assert.Len(t, turned.Active, 2, "two nodes with the same precedence")
	assert.InDelta(t, 80e-3, float64(turned.Detection.Value), 1e-12, "IEC 62439-2: 20 ms and 3")

	gap := byName["gap"]
	assert.False(t, gap.Closed)
	require.Len(t, gap.Gaps, 1)
	assert.Equal(t, "m8", gap.Gaps[0].From.Origin().Name)
	assert.Empty(t, gap.Active)

	require.Len(t, r.Loops, 1)
	var names []string
	for _, n := range r.Loops[0].Nodes {
		names = append(names, n.Origin().Name)
	}
	slices.Sort(names)
	assert.Equal(t, []string{"s1", "s2"}, names, "two cables between two switches")
	for _, c := range r.Connections {
		if c.Connection.Module.Name == "m9" {
			assert.Equal(t, network.Unknown, c.Delay.Status)
			assert.Contains(t, c.Delay.Why, "loop")
		}
	}
	assert.Equal(t, network.MixedOf, r.Shape)
}

// TestSlowRecoveryTrips: a ring that takes longer than the time limit leaves stops its connections at each of its links.
func TestSlowRecoveryTrips(t *testing.T) {
	p := newPlant(model.CIPSafety, 0, 3)
	p.ring("c", "m0", "m1", "m2")
	ring := p.Network.Rings["r"]
	ring.Recovery = model.Milliseconds(200)
	p.Network.Rings["r"] = ring
	for i := range 3 {
		p.connect(fmt.Sprintf("m%d", i), 4, 2)
	}
	r := p.compute(t, network.Options{})
	assert.Len(t, r.Rings[0].Trips, 3)
	for _, f := range r.Reach[0].Faults[:4] {
		assert.Equal(t, network.LinkFault, f.Kind)
		assert.Zero(t, f.Lost.Len())
		assert.Len(t, f.Trips, 3)
		assert.Same(t, r.Rings[0], f.Ring)
	}
}

// TestRingsThatShareALink: which way frames take is not told, so there are no delays, and that is said.
func TestRingsThatShareALink(t *testing.T) {
	p := newPlant(model.CIPSafety, 0, 3)
	p.ring("c", "m0", "m1")
	p.link("m1", "m2", 10)
	p.link("m2", "c", 10)
	p.Network.Rings["second"] = model.RingSpec{Nodes: []string{"c", "m1", "m2"}, Protocol: model.RSTP, Recovery: model.Milliseconds(3)}
	p.connect("m2", 4, 2)
	r := p.compute(t, network.Options{})
	require.Len(t, r.Loops, 1)
	assert.Len(t, r.Loops[0].Rings, 2)
	require.NotEmpty(t, r.Limits)
	assert.Contains(t, r.Limits[0].Text, "form a loop that is not exactly one closed ring")
	for _, f := range r.Flows {
		assert.Equal(t, network.Unknown, f.Delay.Status)
		assert.Contains(t, f.Delay.Why, "a loop that is not exactly one closed ring")
	}
	assert.Equal(t, network.Unknown, r.Connections[0].Delay.Status)
	assert.Equal(t, network.Unknown, r.Ports[0].Load.Status)
}
