package network_test

import (
	"context"
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/guardwright/guardwright/calc/network"
	"github.com/guardwright/guardwright/model"
)

// testing.TB and *rapid.T both serve.
type tester interface {
	require.TestingT
	Helper()
}

// plant is a description with a controller c, switches s0, s1 ... and modules m0, m1 ..., each module fed on its own.
type plant struct {
	model.Description
	ports map[string]int
}

// newPlant makes a plant without links. Every node has 64 ports, stores and forwards, and keeps the order in one queue.
func newPlant(protocol model.Protocol, switches, modules int) *plant {
	names := make([]string, 64)
	for i := range names {
		names[i] = fmt.Sprintf("p%d", i)
	}
	side := model.NetworkPortsType{NetworkPorts: names, Forwarding: &model.ForwardingType{
		Method: model.StoreAndForward, Latency: new(model.Microseconds(5)), Order: model.FirstInFirstOut,
	}}
	p := &plant{ports: map[string]int{}, Description: model.Description{
		Format: 1, Machine: "Test",
		Ambient: model.TemperatureRange{Min: new(model.Celsius(5)), Max: new(model.Celsius(40))},
		Types: model.Types{
			Controllers: map[string]model.ControllerType{"c": {NetworkPortsType: side}},
			Switches:    map[string]model.SwitchType{"s": {NetworkPortsType: side}},
			Modules:     map[string]model.ModuleType{"m": {NetworkPortsType: side, AcknowledgeTime: model.Milliseconds(6)}},
			Supplies:    map[string]model.SupplyType{"v": {Min: model.Volts(23), Max: model.Volts(25), Rated: model.Amps(40)}},
		},
		Controllers: map[string]model.ControllerSpec{"c": {Type: "c", SafetyCycle: model.Milliseconds(10)}},
		Switches:    map[string]model.SwitchSpec{},
		Modules:     map[string]model.ModuleSpec{},
		Power:       model.PowerSpec{Supplies: map[string]model.SupplySpec{"v": {Type: "v"}}, Feeds: map[string]model.FeedSpec{}},
		Network:     &model.NetworkSpec{Protocol: protocol, Controller: "c", Rings: map[string]model.RingSpec{}, Connections: map[string]model.ConnectionSpec{}, Traffic: map[string]model.FlowSpec{}},
	}}
	for i := range switches {
		p.Switches[fmt.Sprintf("s%d", i)] = model.SwitchSpec{Type: "s"}
	}
	for i := range modules {
		m := fmt.Sprintf("m%d", i)
		p.Modules[m] = model.ModuleSpec{Type: "m"}
		p.Power.Feeds["f_"+m] = model.FeedSpec{To: m, Sensor: &model.FeedCircuitSpec{From: "v"}}
	}
	return p
}

// forwarding changes how all nodes forward.
func (p *plant) forwarding(f model.ForwardingType) {
	for name, t := range p.Types.Controllers {
		t.Forwarding = &f
		p.Types.Controllers[name] = t
	}
	for name, t := range p.Types.Switches {
		t.Forwarding = &f
		p.Types.Switches[name] = t
	}
	for name, t := range p.Types.Modules {
		t.Forwarding = &f
		p.Types.Modules[name] = t
	}
}

// link joins the next free ports of two nodes.
func (p *plant) link(from, to string, length float64) {
	end := func(node string) string {
		p.ports[node]++
		return fmt.Sprintf("%s.p%d", node, p.ports[node]-1)
	}
	p.Network.Links = append(p.Network.Links, model.LinkSpec{From: end(from), To: end(to), Length: model.Metres(length)})
}

// connect adds a CIP Safety connection with an interval of 10 ms.
func (p *plant) connect(module string, input, output float64) {
	p.Network.Connections["con_"+module] = model.ConnectionSpec{
		Module: module, Interval: model.Milliseconds(10), Multiplier: 4, Input: model.Bytes(input), Output: model.Bytes(output),
	}
}

func (p *plant) compute(t tester, options network.Options) *network.Result {
	t.Helper()
	m, err := model.Build(p.Description)
	require.NoError(t, err)
	r, err := network.Compute(context.Background(), m, options)
	require.NoError(t, err)
	return r
}

func load(t *testing.T, file string) *network.Result {
	t.Helper()
	m, err := model.LoadFile("../../testdata/network/" + file)
	require.NoError(t, err)
	r, err := network.Compute(context.Background(), m, network.Options{})
	require.NoError(t, err)
	return r
}
