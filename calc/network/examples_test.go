package network_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/guardwright/guardwright/calc/network"
	"github.com/guardwright/guardwright/model"
)

// The worked examples here are derived by hand from the sizes and rates of IEEE 802.3 and of the protocols; see
// testdata/network/frames.csv for the sources of the sizes.

// near compares up to the digits that the worked example gives.
func near(t *testing.T, want, got, digits float64, what string) {
	t.Helper()
	assert.InDelta(t, want, got, digits, what)
}

// TestLoadAtTheController: 30 modules behind one link to the controller, long format with 8 byte, every 10 ms:
// 30·108·8 bit / 10 ms = 2.592 Mbit/s, 2.592 % of 100 Mbit/s towards the controller.
func TestLoadAtTheController(t *testing.T) {
	p := newPlant(model.CIPSafety, 1, 30)
	p.link("s0", "c", 5)
	for i := range 30 {
		m := fmt.Sprintf("m%d", i)
		p.link(m, "s0", 5)
		p.connect(m, 8, 0)
	}
	r := p.compute(t, network.Options{})
	assert.Equal(t, network.StarOf, p.shapeOf(t))
	for _, x := range r.Ports {
		if x.Link == r.Links[0] && x.To.Node.Controller != nil {
			near(t, 0.02592, float64(x.Load.Value), 1e-9, "load")
			assert.Len(t, x.Flows, 30)
		}
	}
}

func (p *plant) shapeOf(t *testing.T) network.Shape { return p.compute(t, network.Options{}).Shape }

// TestBeaconLoad: a beacon of 64 byte every 400 µs fills 84·8/400 = 1.68 Mbit/s, 1.68 % of each direction of a ring.
func TestBeaconLoad(t *testing.T) {
	p := newPlant(model.CIPSafety, 0, 3)
	p.ring("c", "m0", "m1", "m2")
	ring := p.Network.Rings["r"]
	ring.Protocol, ring.Supervisor, ring.BeaconInterval = model.DLR, "c", model.Microseconds(400)
	p.Network.Rings["r"] = ring
	r := p.compute(t, network.Options{})
	require.Len(t, r.Ports, 8)
	for _, x := range r.Ports {
		near(t, 0.0168, float64(x.Load.Value), 1e-9, "load")
		assert.Equal(t, network.Within, x.Load.Status)
	}
	assert.Equal(t, network.RingOf, r.Shape)

	// The default of the device level ring object is as long (CIP volume 2, chapter 9; read in public driver sources).
	ring.BeaconInterval = 0
	p.Network.Rings["r"] = ring
	r = p.compute(t, network.Options{})
	for _, x := range r.Ports {
		near(t, 0.0168, float64(x.Load.Value), 1e-9, "load by default")
	}
	require.Len(t, r.Limits, 1)
	assert.Contains(t, r.Limits[0].Text, "its default of 400 µs is counted")
}

// ring links nodes in a ring and declares it, without supervisor, under the name r.
func (p *plant) ring(nodes ...string) {
	for i, n := range nodes {
		p.link(n, nodes[(i+1)%len(nodes)], 10)
	}
	p.Network.Rings["r"] = model.RingSpec{Nodes: nodes, Protocol: model.RSTP, Recovery: model.Milliseconds(3)}
}

// TestLineOfTen: ten devices between sender and receiver; a frame of 88 byte; 5 µs of processing each; no cables: 134.48 µs
// whole, 75.28 µs from the header on. The connection's interval is so long that no second frame is near.
func TestLineOfTen(t *testing.T) {
	for _, x := range []struct {
		method model.ForwardingMethod
		want   float64
	}{{model.StoreAndForward, 134.48e-6}, {model.CutThrough, 75.28e-6}} {
		p := newPlant(model.CIPSafety, 10, 1)
		p.forwarding(model.ForwardingType{Method: x.method, Latency: new(model.Microseconds(5)), Order: model.FirstInFirstOut})
		p.link("c", "s0", 1)
		for i := range 9 {
			p.link(fmt.Sprintf("s%d", i), fmt.Sprintf("s%d", i+1), 1)
		}
		p.link("s9", "m0", 1)
		for i := range p.Network.Links {
			p.Network.Links[i].Delay = new(model.Duration(0))
		}
		p.connect("m0", 8, 0) // long format: 24 byte, frame 88
		c := p.Network.Connections["con_m0"]
		c.Interval = model.Seconds(1000)
		p.Network.Connections["con_m0"] = c
		r := p.compute(t, network.Options{})
		assert.Equal(t, network.LineOf, r.Shape)
		near(t, x.want, float64(r.Connections[0].ToController.Value), 1e-10, string(x.method))
		assert.Equal(t, 11, r.Nodes[len(r.Nodes)-1].Hops.Value)
	}
}

// TestPropagation: 20 cables of 100 m at 5 ns a metre take 20·0.5 = 10 µs.
func TestPropagation(t *testing.T) {
	p := newPlant(model.CIPSafety, 19, 1)
	p.link("c", "s0", 100)
	for i := range 18 {
		p.link(fmt.Sprintf("s%d", i), fmt.Sprintf("s%d", i+1), 100)
	}
	p.link("s18", "m0", 100)
	p.connect("m0", 8, 0)
	at := func(perMetre model.Duration) float64 {
		return float64(p.compute(t, network.Options{CopperDelay: perMetre}).Connections[0].ToController.Value)
	}
	near(t, 10e-6, at(10e-9)-at(5e-9), 1e-12, "what another 5 ns a metre add")
}

// TestRealTimeClass1: the smallest frame with tag fills 7.04 µs; 100 devices each way in a send clock of 1 ms fill 70.4 %
// of the controller's link.
func TestRealTimeClass1(t *testing.T) {
	p := newPlant(model.PROFIsafe, 2, 100)
	p.Network.Cycle = model.Milliseconds(1)
	p.link("s0", "c", 5)
	p.link("s1", "s0", 5)
	for i := range 100 {
		m := fmt.Sprintf("m%d", i)
		p.link(m, fmt.Sprintf("s%d", i%2), 5)
		p.Network.Connections["con_"+m] = model.ConnectionSpec{Module: m, Watchdog: model.Milliseconds(100), Input: 4, Output: 2}
	}
	r := p.compute(t, network.Options{})
	assert.Equal(t, network.TreeOf, r.Shape)
	assert.Equal(t, network.Within, r.Cycle.Used.Status)
	near(t, 704e-6, float64(r.Cycle.Used.Value), 1e-12, "time filled")
	assert.Equal(t, r.Links[0], r.Cycle.At.Link)
	near(t, 0.704, float64(r.Cycle.At.Load.Value), 1e-9, "load")
	for _, f := range r.Flows {
		assert.Equal(t, model.Bytes(68), f.Frame)
		assert.Equal(t, 6, f.Priority)
	}
}

// TestEtherCATCycle: 50 devices of 1 µs, one datagram of 500 byte: frame 532, wire 552·8/100 = 44.16, with the devices 94.16 µs.
// With 125 byte of data alone, 1000 digital signals, the wire takes 177·8/100 = 14.16 µs.
func TestEtherCATCycle(t *testing.T) {
	line := func(devices int, data model.DataSize) *network.Result {
		p := newPlant(model.SafetyOverEtherCAT, 0, devices)
		p.forwarding(model.ForwardingType{Method: model.OnTheFly, Latency: new(model.Microseconds(1))})
		p.Network.Cycle, p.Network.ProcessData = model.Milliseconds(1), data
		for i := range devices {
			before := "c"
			if i > 0 {
				before = fmt.Sprintf("m%d", i-1)
			}
			p.link(before, fmt.Sprintf("m%d", i), 1)
			p.Network.Links[i].Delay = new(model.Duration(0))
		}
		return p.compute(t, network.Options{})
	}
	r := line(50, 500)
	near(t, 94.16e-6, float64(r.Cycle.Used.Value), 1e-12, "50 devices")
	assert.Equal(t, network.Within, r.Cycle.Used.Status)
	assert.Equal(t, 50, r.Cycle.Devices.Value)
	near(t, 14.16e-6, float64(line(1, 125).Cycle.Wire.Value), 1e-12, "1000 signals")
	assert.Equal(t, 1, line(1, 1486).Cycle.Frames, "the largest datagram")
	assert.Equal(t, 2, line(1, 1487).Cycle.Frames)
}

// TestEtherCATDelay: a message waits for a cycle, which counts with its interval, and is carried within the time used of one.
// With one message lost, three intervals and three delays pass, the module's acknowledgement time and two cycles of the controller.
func TestEtherCATDelay(t *testing.T) {
	r := load(t, "ethercat.yaml")
	require.Len(t, r.Connections, 2)
	c := r.Connections[0]
	assert.Equal(t, r.Cycle.Time.Value, c.Input)
	near(t, float64(r.Cycle.Used.Value), float64(c.ToController.Value), 1e-15, "delay")
	module, controller := c.Connection.Module.Type.AcknowledgeTime, c.Connection.Controller.SafetyCycle
	near(t, float64(3*r.Cycle.Time.Value+3*r.Cycle.Used.Value+module+2*controller), float64(c.Ordinary.Value), 1e-15, "ordinary time")
	// Data: 100 byte of process data, messages of 6 and 7 byte (1 and 2 byte of data) for e1, 11 and 6 for e2.
	assert.Equal(t, model.Bytes(100+6+7+11+6), r.Cycle.Data)
	assert.Equal(t, network.Within, c.Recovery.Status, c.Recovery.Why)
	assert.Equal(t, network.Within, r.Connections[1].Delay.Status)
	assert.Empty(t, r.Rings[0].Trips)
}

// TestEtherCATJitter: cycles that begin 20 µs early or late lengthen the wait between two of them by 40 µs.
func TestEtherCATJitter(t *testing.T) {
	at := func(jitter model.Duration) model.Duration {
		p := newPlant(model.SafetyOverEtherCAT, 0, 1)
		p.forwarding(model.ForwardingType{Method: model.OnTheFly, Latency: new(model.Microseconds(1)), Jitter: jitter})
		p.Network.Cycle = model.Milliseconds(1)
		p.link("c", "m0", 1)
		p.Network.Connections["con"] = model.ConnectionSpec{Module: "m0", Watchdog: model.Milliseconds(50), Input: 1, Output: 1}
		return p.compute(t, network.Options{}).Connections[0].Delay.Value
	}
	near(t, 40e-6, float64(at(model.Microseconds(20))-at(0)), 1e-12, "jitter")
}
