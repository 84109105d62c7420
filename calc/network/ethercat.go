package network

import (
	"fmt"
	"math"

	"github.com/guardwright/guardwright/model"
)

// safetyOverEtherCAT is Safety over EtherCAT (IEC 61784-3-12) on an EtherCAT segment (IEC 61158-4-12).
type safetyOverEtherCAT struct{}

// Sizes of EtherCAT (IEC 61158-4-12; from memory, the largest datagram derived).
const (
	etherCATHeader  = 2
	datagramHeader  = 10
	workingCounter  = 2
	largestDatagram = 1500 - etherCATHeader - datagramHeader - workingCounter
	largestSegment  = 65535 // devices (EtherCAT Technology Group, from memory)
	largestSafety   = 126   // byte of safety data of one direction (from memory); frames up to 255 byte
)

// fsoeMessage is the length of a safety message with n byte of data: command 1, the data with a check sequence of 2 byte
// behind every two of them, connection ID 2. One byte of data has one check sequence. Without data a message carries one
// byte (IEC 61784-3-12; the rule of the check sequences read, the lengths derived).
func fsoeMessage(n int) (int, error) {
	if n > 1 && n%2 != 0 {
		return 0, fmt.Errorf("found %d B of safety data, wanted 1 or an even number: a check sequence covers two byte", n)
	}
	if n < 2 {
		return 1 + 1 + 2 + 2, nil
	}
	return 1 + n + 2*(n/2) + 2, nil
}

// etherCATFrame is the length of a frame with one datagram of n byte.
func etherCATFrame(n int) int {
	return ethernetHeader + etherCATHeader + datagramHeader + n + workingCounter + checkSequence
}

func (safetyOverEtherCAT) switched() bool { return false }
func (safetyOverEtherCAT) needs() planned {
	return planned{modules: true, connectionIDs: true, largest: 65535}
}

// streams lists the messages; they travel in the frames of the cycle, so the frame is not one of their own.
func (safetyOverEtherCAT) streams(c *model.Connection, n *model.Network) ([]stream, error) {
	if n.Cycle == 0 {
		return nil, fmt.Errorf("the network states no cycle")
	}
	var out []stream
	for _, way := range []struct {
		data    model.DataSize
		kind    FlowKind
		outward bool
		what    string
	}{{c.Input, InputData, false, "input data"}, {c.Output, OutputData, true, "output data"}} {
		data, err := wholeBytes(way.data, largestSafety, way.what)
		if err != nil {
			return nil, err
		}
		message, err := fsoeMessage(data)
		if err != nil {
			return nil, err
		}
		out = append(out, stream{kind: way.kind, outward: way.outward, message: message, interval: n.Cycle})
	}
	return out, nil
}

func (safetyOverEtherCAT) timeLimit(c *model.Connection) Check[model.Duration] { return watchdog(c) }

func (safetyOverEtherCAT) ordinary(c *model.Connection, interval, delay model.Duration) Check[model.Duration] {
	return answerTime(c, interval, delay)
}

// cycle computes the time of one cycle: the frames one behind the other on the wire, the delay of each device, and the
// cables there and back. A message waits for the next cycle, which is its packet interval, and is carried within the time used
// of it. That time is its delay: the wait is counted with the interval, here as for the other protocols. A cycle that begins
// early and the next one late, each by the jitter of the controller, lengthen the wait.
func (safetyOverEtherCAT) cycle(b *builder) {
	c := &b.Cycle
	data := math.Ceil(float64(b.Network.ProcessData))
	for _, f := range b.Flows {
		data += float64(f.Message)
	}
	c.Data = model.Bytes(data)
	c.Frames = max(1, int(math.Ceil(data/largestDatagram)))
	devices := 0
	for _, n := range b.Nodes {
		if n.Node.Controller == nil && n.Reachable {
			devices++
		}
	}
	c.Devices = atMost(devices, largestSegment, "devices of one EtherCAT segment")
	c.Time = unknown[model.Duration]("the network states no cycle")
	if b.Network.Cycle != 0 {
		c.Time = unlimited(b.Network.Cycle, "the cycle")
	}
	c.Wire, c.Forwarding = wireTime(b, int(data), c.Frames), forwardingTime(b)
	switch {
	case c.Wire.Status == Unknown:
		c.Used = c.Wire
	case c.Forwarding.Status == Unknown:
		c.Used = c.Forwarding
	case c.Time.Status == Unknown:
		c.Used = uncovered(c.Wire.Value+c.Forwarding.Value, c.Time.Why)
	default:
		c.Used = atMost(c.Wire.Value+c.Forwarding.Value, c.Time.Value, "the cycle")
	}
	for _, f := range b.Flows {
		jitter := model.Duration(0)
		if forwarding := f.Connection.Connection.Controller.Type.Forwarding; forwarding != nil {
			jitter = forwarding.Jitter
		}
		switch {
		case !c.Used.Status.HasValue():
			f.Delay = unknown[model.Duration](c.Used.Why)
		case c.Used.Status == Beyond:
			f.Delay = unbounded[model.Duration]("the frames of one cycle take longer than the cycle")
		case c.Time.Status == Unknown:
			f.Delay = unknown[model.Duration](c.Time.Why)
		default:
			f.Delay = unlimited(c.Used.Value+2*jitter, "the limit is that of the connection")
		}
		f.Normal = f.Delay
	}
}

// wireTime is the time that the frames of one cycle fill the slowest link.
func wireTime(b *builder, data, frames int) Check[model.Duration] {
	var rate model.DataRate
	for _, l := range b.Links {
		if rate == 0 || l.Link.Rate < rate {
			rate = l.Link.Rate
		}
	}
	if rate == 0 {
		return unknown[model.Duration]("the network has no links")
	}
	total := 0.0
	for left := data; frames > 0; frames-- {
		total += bits(etherCATFrame(min(left, largestDatagram)))
		left = max(0, left-largestDatagram)
	}
	return unlimited(model.Duration(total/float64(rate)), "see Used")
}

// forwardingTime adds up the devices' delays, there and back together, and the cables twice.
func forwardingTime(b *builder) Check[model.Duration] {
	total := model.Duration(0)
	for _, n := range b.Nodes {
		if n.Node.Controller != nil || !n.Reachable {
			continue
		}
		f := n.Node.Ports().Forwarding
		switch {
		case f == nil:
			return unknown[model.Duration](n.Origin().Path + " is of a type that does not state forwarding")
		case f.Method != model.OnTheFly:
			return unknown[model.Duration](n.Origin().Path + " is of a type that passes frames on " + string(f.Method) + "; in an EtherCAT segment that is on-the-fly")
		}
		total += *f.Latency
	}
	for _, l := range b.Links {
		if l.Propagation.Status == Unknown {
			return unknown[model.Duration](l.Propagation.Why)
		}
		total += 2 * l.Propagation.Value
	}
	return unlimited(total, "see Used")
}

// safetyAddresses checks the device addresses, 1 to 65535 and unique in the network, and the connection IDs, unique
// (IEC 61784-3-12: 16 bit and unique read; ETG.5100: range from memory).
func (safetyOverEtherCAT) safetyAddresses(a *addressBook) {
	a.numbers(addressRule{
		what: "device address", largest: 65535,
		missing: "Safety over EtherCAT needs a device address for each module: state safety_address",
		twice:   "a device address must be unique in the network", modulesOnly: true,
	})
	a.withoutNumbers("Safety over EtherCAT has no safety network numbers")
	a.connectionIDs()
}
