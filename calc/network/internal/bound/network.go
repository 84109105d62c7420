package bound

// Port is an output port of a node.
type Port struct {
	// Rate of the link, bit/s; above zero.
	Rate float64
	// Propagation along the link, s.
	Propagation float64
	// Processing is the longest time from the moment a frame is in (or, with CutThrough, its header) until it waits at this
	// port, s. It holds for frames that pass through the node, not for the node's own.
	Processing float64
	// CutThrough is true when the node passes frames on from their header on, where they came in at Rate or faster.
	CutThrough bool
	// FIFO is true when frames of one queue leave in the order in which they came.
	FIFO bool
	// Queue is the queue of each priority; the higher is served first.
	Queue [8]uint8
	// Opaque is true when nothing is known of how frames pass through the node, Dark when nothing is known of the link.
	Opaque, Dark bool
	// States is the number of states in which the port is looked at, 1 or more; see [Chain].
	States int
}

// Flow is a stream of frames.
type Flow struct {
	// Bucket bounds what the source sends.
	Bucket
	// Largest and Smallest frame, bit.
	Largest, Smallest float64
	// Priority of the frames, 0 to 7.
	Priority uint8
	// Passing is true when the frames come from outside into the node of the first port, instead of from the node itself.
	Passing bool
	// Astray is true when the way through some part of the network is not known; Way has the legs that are.
	Astray bool
	// Way is the flow's way, leg by leg. Flows that share a leg share the pointer: they are taken through it together.
	Way []*Leg
}

// Leg is a part of a way with alternatives: through a ring there is one chain for each place at which it can be open.
type Leg []Chain

// Chain is a chain of ports in one state of the network. The states of the ports of one leg belong together; those of
// different legs do not, and every combination can occur.
type Chain struct {
	State int32
	Ports []int32
}

// Reason is why there is no bound.
type Reason uint8

// The reasons.
const (
	Fine     Reason = iota
	Overload        // more comes to the port for ever than it can send
	Opaque          // nothing is known of how the node passes frames on, or of the link
	Circle          // the ports before the port depend on it
	Astray          // a flow through the port is not known, or not its way
)

// Lack says why, and at which port, there is no bound.
type Lack struct {
	Reason Reason
	Port   int32
}

// Result are the bounds of a network.
type Result struct {
	Flows []FlowBound
	// Ports are the bounds of each port over its states.
	Ports []PortBound

	solver *solver
}

// FlowBound is the bound of one flow.
type FlowBound struct {
	// Lack is why there is no bound.
	Lack Lack
	// Delay until the last bit is in at the end of the way, over all states.
	Delay float64
	// Legs are the worst chain of each leg.
	Legs []LegBound
}

// LegBound is the worst chain of one leg.
type LegBound struct {
	// Chain is the index in the leg.
	Chain int
	// Delay on the leg.
	Delay float64

	trunk int32
}

// PortBound is the bound of one port over its states.
type PortBound struct {
	Lack Lack
	// Delay is the longest time of waiting and sending of a frame of any queue.
	Delay float64
	// Backlog is the most that waits.
	Backlog float64
}

// Hops appends the delays of the ports along the worst chain of a leg of a flow. Their sum is the delay of the leg, or
// more where the bound in which bursts are paid once is the smaller.
func (r *Result) Hops(flow, leg int, out []float64) []float64 {
	s := r.solver
	bound := r.Flows[flow].Legs[leg]
	t := &s.trunks[bound.trunk]
	c := &s.chains[t.first+int32(bound.Chain)]
	for v := c.first; v < c.end; v++ {
		x := &s.visits[v]
		port := &s.ports[s.owner[x.server]]
		through := s.through(v)
		if v+1 == c.end {
			through = s.leavesThrough(c, s.nextLeg(flow, leg))
		}
		out = append(out, x.amount+port.Propagation-tail(port, through, s.flows[flow].Smallest))
	}
	return out
}
