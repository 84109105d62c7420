package report_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"github.com/guardwright/guardwright/calc"
	"github.com/guardwright/guardwright/calc/distance"
	"github.com/guardwright/guardwright/calc/network"
	"github.com/guardwright/guardwright/calc/timing"
	"github.com/guardwright/guardwright/model"
	"github.com/guardwright/guardwright/rules"
	"github.com/guardwright/guardwright/rules/report"
)

// The results below are built by hand, like those of the supply. Their numbers are invented.

func named(name, path string, line int) model.Origin {
	return model.Origin{Name: name, Path: path, Position: at(line, 3)}
}

// builtOthers has a network, reaction times and distances with one entry of every kind.
func builtOthers() *rules.Result {
	c1 := &model.Controller{Origin: named("c1", "controllers.c1", 3)}
	m1 := &model.Module{Origin: named("m1", "modules.m1", 4)}
	m2 := &model.Module{Origin: named("m2", "modules.m2", 5)}
	g1 := &model.Device{Origin: named("g1", "devices.g1", 6)}
	g2 := &model.Device{Origin: named("g2", "devices.g2", 7)}
	belt := &model.Drive{Origin: named("belt", "drives.belt", 8)}
	gate := &model.Function{Origin: named("gate", "functions.gate", 9)}
	con := &model.Connection{Origin: named("con_1", "network.connections.con_1", 10), Module: m1, Controller: c1}
	machine := &model.Machine{Name: "Small press", Network: &model.Network{Origin: named("network", "network", 2)}}

	return &rules.Result{Machine: machine, Results: &calc.Results{
		Power:   builtPower(),
		Network: builtNetwork(machine.Network, c1, m1, m2, con, gate), Timing: builtTimes(gate, g1, g2, belt, con), Distance: builtDistances(gate, g1, g2),
	}}
}

func within[Q ~float64](value, limit Q) network.Check[Q] {
	c := network.Check[Q]{Status: network.Within, Value: value, Limit: limit, Margin: limit - value, Limits: "a limit"}
	if c.Margin < 0 {
		c.Status = network.Beyond
	}
	return c
}

func builtNetwork(n *model.Network, c1 *model.Controller, m1, m2 *model.Module, con *model.Connection, gate *model.Function) *network.Result {
	hops := func(h int) network.Check[int] { return network.Check[int]{Status: network.NoLimit, Value: h} }
	root := &network.Node{Node: model.NetworkNode{Controller: c1}, Reachable: true, Hops: hops(0), Longest: hops(0)}
	near := &network.Node{Node: model.NetworkNode{Module: m1}, Reachable: true, Hops: hops(1), Longest: hops(1), Before: root}
	far := &network.Node{Node: model.NetworkNode{Module: m2}, Free: []string{"p1", "p2"}}
	link := &network.Link{Link: &model.Link{Origin: named("0", "network.links.0", 11), LinkSpec: model.LinkSpec{From: "c1.p1", To: "m1.p1"}}, From: root, To: near}
	cx := &network.Connection{Connection: con}
	r := &network.Result{Network: n, Shape: network.PartsOf, Nodes: []*network.Node{root, near, far}, Links: []*network.Link{link}}
	r.Ports = []*network.Port{
		{Node: root, Port: "p1", Link: link, To: near, Rate: model.MegabitsPerSecond(100), Normal: network.Check[model.Ratio]{Status: network.NoLimit, Value: 0.4}, Load: within[model.Ratio](1.2, 1),
			Delay: network.Check[model.Duration]{Status: network.Unbounded, Why: "more comes than goes"}, Backlog: network.Check[model.DataSize]{Status: network.Unbounded, Why: "more comes than goes"}},
		{Node: near, Port: "p2", Rate: model.MegabitsPerSecond(10), Normal: network.Check[model.Ratio]{Why: "a flow is not known"}, Load: network.Check[model.Ratio]{Why: "a flow is not known"}},
	}
	fault := &network.Fault{Kind: network.LinkFault, Link: link, Functions: []*model.Function{gate}, Trips: []*network.Connection{cx}}
	r.Reach = []*network.Reach{{Controller: c1, Modules: []*model.Module{m1, m2}, Unreached: []*model.Module{m2}, Faults: []*network.Fault{fault, {Kind: network.NodeFault, Node: near}}}}
	ring := &network.Ring{Ring: &model.Ring{Origin: named("ring_1", "network.rings.ring_1", 14)}}
	counted := func(n int) network.Check[int] { return network.Check[int]{Status: network.NoLimit, Value: n} }
	r.Reach[0].Pairs = []*network.Pairs{
		{Ring: ring, Kind: network.LinkAndNode, Count: 6, Parting: counted(2), Losing: counted(1),
			Worst: &network.DoubleFault{Links: []*network.Link{link}, Nodes: []*network.Node{near}, Functions: []*model.Function{gate}}},
		{Ring: ring, Kind: network.TwoNodes, Count: 1, Parting: counted(0), Losing: counted(0)},
		{Ring: ring, Kind: network.TwoLinks, Count: 3, Parting: network.Check[int]{Why: "too many steps"}, Losing: network.Check[int]{Why: "too many steps"}},
	}
	r.Connections = []*network.Connection{cx}
	r.Addresses.Problems = []network.AddressProblem{
		{Fault: network.SubnetMissing, At: n.Origin, Text: "the network states no subnet"},
		{Fault: network.AddressMissing, At: m2.Origin, Text: "the node states no address"},
	}
	r.Limits = []network.Limit{{Place: n.Origin, Text: "frames of the ring protocol are not counted"}}
	return r
}

func builtTimes(gate *model.Function, g1, g2 *model.Device, belt *model.Drive, con *model.Connection) *timing.Result {
	ms := func(x float64) timing.Time { return timing.Time{Known: true, Time: model.Milliseconds(x)} }
	total := func(x float64) timing.Total {
		return timing.Total{Known: true, Time: model.Milliseconds(x), AtLeast: model.Milliseconds(x)}
	}
	chain := &timing.Chain{Function: gate, Demand: g1, Drive: belt, Input: con, Rule: "the limits of the connections", Undisturbed: total(374), OneFault: total(412), Steps: []timing.Step{
		{Stage: timing.Detection, Place: g1.Origin, Undisturbed: ms(60), OneFault: ms(60), From: "response of the device"},
		{Stage: timing.Filter, Place: model.Origin{Name: "3", Path: "modules.m1.ports.3"}, Undisturbed: ms(2), OneFault: ms(2), From: "filter of the input"},
		{Stage: timing.InputNetwork, Place: con.Origin, Undisturbed: ms(12), OneFault: ms(50), From: "wait for the next packet"},
		{Stage: timing.Stopping, Place: belt.Origin, Undisturbed: ms(300), OneFault: ms(300), From: "ten measured"},
	}}
	unknown := timing.Total{AtLeast: model.Milliseconds(74), Why: "the stopping time of belt is not stated; say stopping_time"}
	return &timing.Result{
		Functions: []*timing.Function{{Function: gate, Demands: []*timing.Demanded{
			{Device: g1, Slowest: chain, Undisturbed: total(374), OneFault: total(412), Reaction: total(112),
				Allowed: timing.Check[model.Duration]{Status: timing.Beyond, Value: model.Milliseconds(412), Limit: model.Milliseconds(400), Margin: model.Milliseconds(-12)}},
			{Device: g2, Undisturbed: unknown, OneFault: unknown, Reaction: total(74), Allowed: timing.Check[model.Duration]{Why: unknown.Why}},
		}}},
		Connections: []*timing.Connection{{Connection: con, Limit: ms(50), Stated: true, From: "as stated", Ordinary: ms(12), Smallest: ms(52), Largest: ms(38),
			ToController: ms(12), FromController: timing.Time{Why: "the packet interval is not stated"},
			Trips:    timing.Check[model.Duration]{Status: timing.Beyond, Value: model.Milliseconds(50), Limit: model.Milliseconds(52), Margin: model.Milliseconds(-2)},
			Fits:     timing.Check[model.Duration]{Status: timing.Beyond, Value: model.Milliseconds(50), Limit: model.Milliseconds(38), Margin: model.Milliseconds(-12)},
			Openings: []timing.Opening{{Change: timing.ChangeInterval, Place: con.Origin, From: model.Milliseconds(10), To: model.Milliseconds(4)}}}},
		Drives: []*timing.Drive{{Drive: belt, Stopping: timing.Time{Why: "the stopping time of belt is not stated; say stopping_time"}, RunDown: ms(900)}},
	}
}

func builtDistances(gate *model.Function, g1, g2 *model.Device) *distance.Result {
	way := &distance.Reach{Way: distance.PastGuard, Status: distance.Within, Law: distance.Law{Source: "ISO 13855:2010, clause 9"}, HasDistance: true,
		Distance: 0.6592, Derivation: "1600 mm/s · 412 ms = 659.2 mm"}
	approach := func(d *model.Device, line int) *model.Approach {
		return &model.Approach{Origin: named("approach", "functions.gate.approaches."+d.Name, line), Device: d}
	}
	return &distance.Result{Functions: []*distance.Function{{Function: gate, Approaches: []*distance.Approach{
		{Approach: approach(g1, 12), Standard: model.ISO13855Edition2010, Times: distance.Times{Overall: distance.Time{Known: true, Time: 0.412}}, Reaches: []*distance.Reach{way},
			Governing: way, Required: way.Distance, Longest: distance.Time{Known: true, Time: 0.4}, LeftForDrive: distance.Time{Known: true, Time: 0.288},
			Distance: distance.Check[model.Length]{Status: distance.Beyond, Value: 0.64, Limit: 0.6592, Margin: -0.0192},
			Locking: distance.Locking{Overall: distance.Check[model.Duration]{Status: distance.Beyond, Value: 0.412, Limit: 0.4, Margin: -0.012,
				Limits: "time in which a person reaches the hazard"}}},
		{Approach: approach(g2, 13), Reaches: []*distance.Reach{{Way: distance.Over, Why: "reaching over was not checked"}}, Longest: distance.Time{Why: "not known"},
			Distance: distance.Check[model.Length]{Why: "over the detection zone: reaching over was not checked"}},
	}}}}
}

func otherParts() []report.Part {
	return []report.Part{report.SummaryPart, report.AddressesPart, report.LinksPart, report.SingleFaultsPart, report.ConnectionsPart,
		report.ReactionsPart, report.DistancesPart, report.LimitsPart}
}

func TestTextOthers(t *testing.T) {
	golden(t, textOf(t, builtOthers(), report.TextOptions{Parts: otherParts()}))
}

func TestJSONOthers(t *testing.T) { golden(t, string(jsonOf(t, builtOthers(), otherParts()...))) }

// TestMissingCalculations: what was not computed is told, and no table stands for it.
func TestMissingCalculations(t *testing.T) {
	r := &rules.Result{Machine: &model.Machine{Name: "Bare"}, Results: &calc.Results{NetworkMissing: "no way", TimingMissing: "no time", DistanceMissing: "no distance"}}
	text := textOf(t, r, report.TextOptions{})
	for _, want := range []string{"network: not computed: no way", "times:   not computed: no time", "distance not computed: no distance"} {
		assert.Contains(t, text, want)
	}
	assert.NotContains(t, text, "Reaction times")
}
