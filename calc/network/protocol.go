package network

import (
	"fmt"
	"math"

	"github.com/guardwright/guardwright/model"
)

// protocol is what differs between the safety protocols. Each stands in a file of its own; a further one is a further file
// and a line in protocolOf.
type protocol interface {
	// streams lists the cyclic frames of a connection. The error says what is missing or does not fit.
	streams(c *model.Connection, n *model.Network) ([]stream, error)
	// timeLimit is the time after which the consumer takes the connection for lost.
	timeLimit(c *model.Connection) Check[model.Duration]
	// ordinary is the longest time between two messages that count for the time limit when one message is lost, given the
	// longer of both intervals and of both delays.
	ordinary(c *model.Connection, interval, delay model.Duration) Check[model.Duration]
	// switched reports whether frames travel through ports with queues, each to its own destination.
	switched() bool
	// cycle computes the protocol's cycle, and the delays of connections where they depend on it alone.
	cycle(b *builder)
	// safetyAddresses checks the addresses that the protocol uses beside those of the Internet protocol.
	safetyAddresses(a *addressBook)
	// needs says which addresses the nodes need.
	needs() planned
}

// protocolOf finds a protocol; nil when the library does not know it.
func protocolOf(p model.Protocol) protocol {
	switch p {
	case model.CIPSafety:
		return cipSafety{}
	case model.PROFIsafe:
		return profisafe{}
	case model.SafetyOverEtherCAT:
		return safetyOverEtherCAT{}
	}
	return nil
}

// stream is the cyclic frames of one kind of a connection.
type stream struct {
	kind     FlowKind
	outward  bool // from the controller to the module
	message  int  // byte of the safety message
	frame    int  // byte of the frame
	interval model.Duration
	priority int
	loose    bool // the frames follow others instead of a clock, so that one may be a whole interval late
}

// Sizes of IEEE 802.3 and 802.1Q, byte.
const (
	ethernetHeader = 14
	checkSequence  = 4
	tag            = 4
	preamble       = 8
	interFrameGap  = 12
	smallestFrame  = 64
	largestFrame   = 1518
)

// wire is what a frame fills of a link, byte: padded to the smallest frame, with preamble and gap.
func wire(frame int) int { return max(frame, smallestFrame) + preamble + interFrameGap }

// bits is the wire size of a frame in bit.
func bits(frame int) float64 { return 8 * float64(wire(frame)) }

// wholeBytes reads an amount of data of at most limit byte. The error names the data by what.
func wholeBytes(d model.DataSize, limit int, what string) (int, error) {
	n := math.Ceil(float64(d))
	if n > float64(limit) {
		return 0, fmt.Errorf("found %s of %s, wanted at most %d B in one message: split the data over several connections", d, what, limit)
	}
	return int(n), nil
}

// intervals are the packet intervals of a connection in both directions.
func intervals(c *model.Connection, fallback model.Duration) (input, output model.Duration, err error) {
	input = c.Interval
	if input == 0 {
		input = fallback
	}
	output = c.OutputInterval
	if output == 0 {
		output = input
	}
	if input == 0 {
		return 0, 0, fmt.Errorf("the connection states no interval")
	}
	return input, output, nil
}

// priorityOf is the priority of a connection's frames, and what a tag adds to them.
func priorityOf(c *model.Connection) (priority, tagged int) {
	if c.Priority == nil {
		return 0, 0
	}
	return *c.Priority, tag
}

// answerTime is the ordinary time of protocols in which every message is answered: the watchdog starts with a new message
// and ends with its answer. Each way has to wait for the next packet and to cross the network; a lost message costs one
// interval more and is on its way once more; the module takes its acknowledgement time, and the controller sees the answer
// and makes the next message within two of its cycles (derived; common practice for the two cycles).
func answerTime(c *model.Connection, interval, delay model.Duration) Check[model.Duration] {
	module, controller := c.Module.Type.AcknowledgeTime, model.Duration(0)
	if c.Controller != nil {
		controller = c.Controller.SafetyCycle
	}
	switch {
	case module == 0:
		return unknown[model.Duration]("module type " + c.Module.Type.Name + " does not state acknowledge_time")
	case controller == 0:
		return unknown[model.Duration]("the controller does not state safety_cycle")
	}
	return unlimited(3*interval+3*delay+module+2*controller, "three intervals and delays, the module's acknowledgement time and two cycles of the controller")
}

// watchdog is the time limit of a protocol with a watchdog time.
func watchdog(c *model.Connection) Check[model.Duration] {
	if c.Watchdog == 0 {
		return unknown[model.Duration]("the connection states no watchdog")
	}
	return unlimited(c.Watchdog, "the watchdog time of the connection")
}
