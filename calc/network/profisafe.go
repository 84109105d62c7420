package network

import (
	"fmt"

	"github.com/guardwright/guardwright/model"
)

// profisafe is PROFIsafe (IEC 61784-3-3) on PROFINET with real-time class 1.
type profisafe struct{}

// Sizes of PROFIsafe messages and PROFINET frames (IEC 61784-3-3, IEC 61158-6-10; from memory, sums derived).
const (
	shortCheck      = 12   // byte of data that a check sequence of 3 byte covers at most
	longCheck       = 123  // byte of data that one of 4 byte covers at most
	frameID         = 2    // behind the Ethernet type
	cyclicStatus    = 4    // cycle counter, data status, transfer status
	smallestData    = 40   // byte of data of a real-time frame at least
	largestData     = 1440 // and at most
	realTime        = 6    // priority of cyclic real-time frames
	realTimeHeaders = ethernetHeader + tag + frameID + cyclicStatus + checkSequence
)

// profisafeMessage is the length of a safety message with n byte of data: status or control 1, check sequence 3 or 4.
func profisafeMessage(n int, format model.SafetyFormat) (int, error) {
	switch {
	case n > shortCheck && format == model.ShortFormat:
		return 0, fmt.Errorf("found %d B of safety data, but a check sequence of 3 byte covers at most %d", n, shortCheck)
	case n > shortCheck || format == model.LongFormat:
		return n + 5, nil
	}
	return n + 4, nil
}

// realTimeFrame is the length of a cyclic frame with n byte of data, always with a tag.
func realTimeFrame(n int) int { return realTimeHeaders + max(n, smallestData) }

func (profisafe) switched() bool { return true }
func (profisafe) needs() planned {
	return planned{internet: true, controllers: true, modules: true, largest: 65534}
}

// streams: both directions are always there, because status and control travel even without data.
func (profisafe) streams(c *model.Connection, n *model.Network) ([]stream, error) {
	input, output, err := intervals(c, n.Cycle*model.Duration(max(1, c.Reduction)))
	if err != nil {
		return nil, fmt.Errorf("neither the connection states an interval nor the network a cycle (send clock)")
	}
	priority := realTime
	if c.Priority != nil {
		priority = *c.Priority
	}
	var out []stream
	for _, way := range []struct {
		data, beside model.DataSize
		interval     model.Duration
		kind         FlowKind
		outward      bool
		what         string
	}{
		{c.Input, c.InputBeside, input, InputData, false, "input data"},
		{c.Output, c.OutputBeside, output, OutputData, true, "output data"},
	} {
		data, err := wholeBytes(way.data, longCheck, way.what)
		if err != nil {
			return nil, err
		}
		message, err := profisafeMessage(data, c.Format)
		if err != nil {
			return nil, err
		}
		beside, err := wholeBytes(way.beside, largestData-message, "data beside the "+way.what)
		if err != nil {
			return nil, err
		}
		out = append(out, stream{kind: way.kind, outward: way.outward, message: message, frame: realTimeFrame(message + beside), interval: way.interval, priority: priority})
	}
	return out, nil
}

func (profisafe) timeLimit(c *model.Connection) Check[model.Duration] { return watchdog(c) }

func (profisafe) ordinary(c *model.Connection, interval, delay model.Duration) Check[model.Duration] {
	return answerTime(c, interval, delay)
}

// cycle adds up, for each link and direction, the cyclic frames that can fall into one send clock: those of all connections
// and of other traffic with intervals and the priority of real-time frames, because which of the reduced ones share a
// phase is not described.
func (profisafe) cycle(b *builder) {
	n := b.Network
	if n.Cycle == 0 {
		b.noCycle("the network states no cycle (send clock)")
		return
	}
	c := &b.Cycle
	c.Time = unlimited(n.Cycle, "the send clock")
	c.Forwarding = unknown[model.Duration]("frames are passed on by switches; see the flows' delays")
	c.Devices = unknown[int]("a limit of EtherCAT")
	fill := b.fill(func(f *Flow) float64 {
		switch {
		case f.Connection != nil:
			return 8 * float64(f.Wire)
		case f.Traffic != nil && f.Interval != 0 && f.Priority == realTime:
			return 8 * float64(f.Wire) * float64(f.Traffic.Frames)
		}
		return 0
	})
	worst := model.Duration(-1)
	for i, p := range b.ports {
		if why := b.missing[i]; why != "" {
			c.Wire, c.At = unknown[model.Duration](why), p
			c.Used = c.Wire
			return
		}
		if used := model.Duration(fill[i].worst / float64(p.Rate)); used > worst {
			worst, c.At = used, p
		}
	}
	if c.At == nil {
		c.Wire = unknown[model.Duration]("no link carries cyclic frames")
		c.Used = c.Wire
		return
	}
	c.Wire = unlimited(worst, "see Used")
	c.Used = atMost(worst, n.Cycle, "the send clock: all cyclic frames of a link's direction, sent in the same phase")
}

// safetyAddresses checks the F-addresses: 1 to 65534, the destination address unique in the network, the source address
// that of the controller (IEC 61784-3-3, from memory).
func (profisafe) safetyAddresses(a *addressBook) {
	a.numbers(addressRule{
		what: "F-address", largest: 65534,
		missing: "PROFIsafe needs an F-address for each module and controller: state safety_address",
		twice:   "an F-address must be unique in the network",
	})
	a.withoutNumbers("PROFIsafe has no safety network numbers")
}
