package network

import (
	"fmt"

	"github.com/guardwright/guardwright/model"
)

// cipSafety is CIP Safety (IEC 61784-3-2) on EtherNet/IP.
type cipSafety struct{}

// implicitHeader is what a class 0 datagram adds to its data: Ethernet 14, IPv4 20, UDP 8, item count 2, sequenced address
// item 12, data item header 4, check sequence 4 (CIP volume 2, RFC 791, RFC 768; from memory, sum derived). Safety
// connections are class 0 and have no sequence count (CIP volume 5, from memory).
const implicitHeader = ethernetHeader + 20 + 8 + 2 + 12 + 4 + checkSequence

// Sizes of CIP safety messages (CIP volume 5; read in a public protocol dissector, see testdata/network/frames.csv).
const (
	coordination   = 6 // answer of a consumer
	shortestLong   = 3
	longestMessage = 250
)

// cipMessage is the length of a safety message with n byte of data. Short: data, mode 1, check sequences 1 + 1, time stamp
// 2, check sequence 1. Long, from 3 byte on: data and their complement, mode 1, check sequences 2 + 2, time stamp 2, check
// sequence 1. Base and extended format have the same length.
func cipMessage(n int, format model.SafetyFormat) (int, error) {
	switch {
	case n >= shortestLong && format == model.ShortFormat:
		return 0, fmt.Errorf("found %d B of safety data, but the short format holds 1 or 2", n)
	case n < shortestLong && format == model.LongFormat:
		return 0, fmt.Errorf("found %d B of safety data, but the long format begins at 3", n)
	case n < shortestLong:
		return n + 6, nil
	}
	return 2*n + 8, nil
}

func (cipSafety) switched() bool { return true }
func (cipSafety) needs() planned { return planned{internet: true, safetyNetwork: true} }

func (cipSafety) streams(c *model.Connection, _ *model.Network) ([]stream, error) {
	input, output, err := intervals(c, 0)
	if err != nil {
		return nil, err
	}
	priority, tagged := priorityOf(c)
	var out []stream
	for _, way := range []struct {
		data     model.DataSize
		interval model.Duration
		kind     FlowKind
		outward  bool
		what     string
	}{{c.Input, input, InputData, false, "input data"}, {c.Output, output, OutputData, true, "output data"}} {
		if way.data == 0 {
			continue
		}
		n, err := wholeBytes(way.data, longestMessage, way.what)
		if err != nil {
			return nil, err
		}
		message, err := cipMessage(n, c.Format)
		if err != nil {
			return nil, err
		}
		// The consumer answers one packet of each ping interval.
		ping := way.interval * model.Duration(max(1, c.PingMultiplier))
		out = append(out,
			stream{kind: way.kind, outward: way.outward, message: message, frame: implicitHeader + tagged + message, interval: way.interval, priority: priority},
			stream{kind: Coordination, outward: !way.outward, message: coordination, frame: implicitHeader + tagged + coordination, interval: ping, priority: priority, loose: true})
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("the connection states neither input nor output data")
	}
	return out, nil
}

func (cipSafety) timeLimit(c *model.Connection) Check[model.Duration] {
	switch {
	case c.AgeLimit != 0:
		return unlimited(c.AgeLimit, "the age limit of the connection")
	case c.Multiplier != 0 && c.Interval != 0:
		interval := c.Interval
		if c.OutputInterval != 0 && c.Output != 0 {
			interval = min(interval, c.OutputInterval)
		}
		return unlimited(interval*model.Duration(c.Multiplier), "interval times multiplier; the age limit that the consumer is given is more")
	}
	return unknown[model.Duration]("the connection states neither an age limit nor interval and multiplier")
}

// ordinary is the age of the data just before the next message that arrives counts, with one message lost: the last good
// one was sent up to two intervals and one delay before the next is sent, which takes one delay more.
func (cipSafety) ordinary(_ *model.Connection, interval, delay model.Duration) Check[model.Duration] {
	return unlimited(2*interval+2*delay, "two intervals and two delays: the age of the data when one message is lost")
}

// cycle: EtherNet/IP has none.
func (cipSafety) cycle(b *builder) {
	b.noCycle("EtherNet/IP has no cycle; each connection has its interval")
}

// safetyAddresses checks the node identifiers: safety network number and IPv4 address together are unique among all
// devices that can reach each other, and each subnet has one safety network number (CIP volume 5; uniqueness read, one
// number for each subnet from memory).
func (cipSafety) safetyAddresses(a *addressBook) {
	numbers := map[string][]*Node{}
	type identifier struct {
		number string
		ip     string
	}
	taken := map[identifier][]*Node{}
	var order []string
	for _, n := range a.nodes {
		if n.Node.Switch != nil {
			continue
		}
		addresses := n.Node.Addresses()
		number := fold(addresses.SafetyNetwork)
		if number == "" {
			a.report(SafetyMissing, n.Origin(), nil, "the node states no safety_network; CIP Safety tells nodes apart by safety network number and IPv4 address")
			continue
		}
		if numbers[number] == nil {
			order = append(order, number)
		}
		numbers[number] = append(numbers[number], n)
		if addresses.Address != nil {
			id := identifier{number, addresses.Address.String()}
			taken[id] = append(taken[id], n)
		}
		a.unused(n, addresses.SafetyAddress != 0, "safety_address", "CIP Safety takes the IPv4 address as the node's safety address")
	}
	if len(order) > 1 {
		a.report(SafetyNetworksMixed, a.t.Network.Origin, origins(numbers[order[1]]),
			fmt.Sprintf("found %d safety network numbers in one subnet, such as %s at %s and %s at %s; a subnet has one", len(order),
				order[0], numbers[order[0]][0].Origin().Name, order[1], numbers[order[1]][0].Origin().Name))
	}
	for _, n := range a.nodes {
		addresses := n.Node.Addresses()
		if addresses.Address == nil || addresses.SafetyNetwork == "" || n.Node.Switch != nil {
			continue
		}
		if all := taken[identifier{fold(addresses.SafetyNetwork), addresses.Address.String()}]; len(all) > 1 && all[0] == n {
			a.report(SafetyTwice, n.Origin(), origins(all[1:]), fmt.Sprintf("%d nodes have safety network number %s and address %s; the two together must be unique", len(all), addresses.SafetyNetwork, addresses.Address))
		}
	}
}
