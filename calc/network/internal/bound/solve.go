package bound

import (
	"context"
	"math"
)

// Parts of a frame on the wire, bit (IEEE 802.3): the gap behind it, and what a node must have seen of it to know where
// it goes: preamble, addresses and type.
const (
	gap    = 96
	header = 176
)

type solver struct {
	ports  []Port
	flows  []Flow
	perBit []float64 // time of a bit at each port
	base   []int32   // first server of each port
	owner  []int32   // port of each server
	trunks []trunk
	seats  [][]seat // of each leg of each flow
	chains []chain
	visits []visit
	at     [][]int32 // visits at each server
	waits  []int32   // visits at each server whose burst is not known yet
	ready  []int32
	result *Result
	work   scratch
}

// Solve computes the bounds of a network. Apart from sorting, its time is linear in [Work] and in the legs of all flows.
// The error is that of ctx.
func Solve(ctx context.Context, ports []Port, flows []Flow) (*Result, error) {
	s := &solver{ports: ports, flows: flows}
	s.result = &Result{Flows: make([]FlowBound, len(flows)), Ports: make([]PortBound, len(ports)), solver: s}
	s.number()
	s.gather()
	for i := range flows {
		s.result.Flows[i].Legs = make([]LegBound, len(flows[i].Way))
		if len(flows[i].Way) > 0 {
			s.enter(i, 0, flows[i].Burst, s.astray(i))
		}
	}
	for done := 0; len(s.ready) > 0; done++ {
		if done%256 == 0 {
			if err := ctx.Err(); err != nil {
				return nil, err
			}
		}
		server := s.ready[len(s.ready)-1]
		s.ready = s.ready[:len(s.ready)-1]
		s.serve(server)
	}
	s.circles()
	for i := range flows {
		out := &s.result.Flows[i]
		for _, l := range out.Legs {
			out.Delay += l.Delay
		}
	}
	return s.result, nil
}

// number gives each state of each port a server, and notes the ports' speeds.
func (s *solver) number() {
	s.base, s.perBit = make([]int32, len(s.ports)+1), make([]float64, len(s.ports))
	for i := range s.ports {
		s.perBit[i] = 1 / s.ports[i].Rate
		s.base[i+1] = s.base[i] + int32(max(1, s.ports[i].States))
	}
	s.owner = make([]int32, s.base[len(s.ports)])
	for i := range s.ports {
		for k := s.base[i]; k < s.base[i+1]; k++ {
			s.owner[k] = int32(i)
		}
	}
}

// astray is the lack of a flow whose way is not known.
func (s *solver) astray(flow int) Lack {
	if !s.flows[flow].Astray {
		return Lack{}
	}
	return Lack{Astray, (*s.flows[flow].Way[0])[0].Ports[0]}
}

// enter lets a flow into a leg with a burst. The trunk starts when all its flows have come.
func (s *solver) enter(flow, leg int, burst float64, lack Lack) {
	at := s.seats[flow][leg]
	t := &s.trunks[at.trunk]
	t.bucket.Burst += burst
	if t.lack.Reason == Fine {
		t.lack = lack
	}
	t.flows[at.member].burst = burst
	if t.pending--; t.pending > 0 {
		return
	}
	for c := t.first; c < t.first+int32(len(*t.leg)); c++ {
		s.chains[c].lack = t.lack
		s.arrive(s.chains[c].first, t.bucket.Burst)
	}
}

// arrive notes the burst with which a trunk comes to a port, before it is processed there.
func (s *solver) arrive(v int32, burst float64) {
	x := &s.visits[v]
	port := &s.ports[s.owner[x.server]]
	c := &s.chains[x.chain]
	x.amount = burst
	passing := s.passing(v)
	if passing {
		x.amount += s.trunks[c.trunk].bucket.Rate * port.Processing
	}
	if c.lack.Reason == Fine && (port.Dark || port.Opaque && passing) {
		c.lack = Lack{Opaque, s.owner[x.server]}
	}
	if s.waits[x.server]--; s.waits[x.server] == 0 {
		s.ready = append(s.ready, x.server)
	}
}

// serve computes the bounds of a server, and lets its trunks on.
func (s *solver) serve(server int32) {
	p := s.owner[server]
	out := &s.result.Ports[p]
	s.work.load(s, server)
	for q := range s.work.queues {
		s.work.bound(s, server, q)
	}
	for _, v := range s.at[server] {
		s.pass(v)
	}
	if s.work.lack.Reason != Fine {
		if out.Lack.Reason == Fine {
			out.Lack = s.work.lack
		}
		return
	}
	out.Delay = max(out.Delay, s.work.longest)
	out.Backlog = max(out.Backlog, s.work.backlog)
}

// pass lets one trunk on from a server whose bounds are known.
func (s *solver) pass(v int32) {
	x := &s.visits[v]
	c := &s.chains[x.chain]
	t := &s.trunks[c.trunk]
	p := s.owner[x.server]
	port, perBit := &s.ports[p], s.perBit[p]
	wait, rest, lack := s.work.of(s, x, t)
	if c.lack.Reason == Fine {
		c.lack = lack
	}
	burst := x.amount + t.bucket.Rate*wait - t.slow*perBit
	x.amount = wait
	if v > c.first || t.passing {
		x.amount += port.Processing
		c.processing += port.Processing
	}
	c.disordered = c.disordered || !port.FIFO
	c.spent += x.amount
	c.travelled += port.Propagation
	c.sent += perBit
	c.service = c.service.Then(rest)
	if v+1 < c.end {
		if s.through(v) {
			c.header += perBit
		} else {
			c.whole += perBit
		}
		c.service.Latency += t.largest / rest.Rate // the next node has to have the whole frame
		s.arrive(v+1, burst)
		return
	}
	if t.open--; t.open == 0 {
		s.leave(c.trunk)
	}
}

// leave lets the flows of a trunk on to their next legs, each with its worst over all chains.
func (s *solver) leave(id int32) {
	t := &s.trunks[id]
	chains := s.chains[t.first : t.first+int32(len(*t.leg))]
	lack := Lack{}
	for i := range chains {
		if lack.Reason == Fine {
			lack = chains[i].lack
		}
	}
	for _, m := range t.flows {
		f := &s.flows[m.flow]
		out := &s.result.Flows[m.flow]
		if lack.Reason != Fine && out.Lack.Reason == Fine {
			out.Lack = lack
		}
		worst, burst := LegBound{Chain: -1, trunk: id}, 0.0
		next := s.nextLeg(int(m.flow), int(m.leg))
		for i := range chains {
			c := &chains[i]
			if d := s.delay(t, c, f, next); worst.Chain < 0 || d > worst.Delay {
				worst.Chain, worst.Delay = i, d
			}
			burst = max(burst, m.burst+f.Rate*(c.spent-f.Smallest*c.sent))
		}
		out.Legs[m.leg] = worst
		if next != nil {
			s.enter(int(m.flow), int(m.leg)+1, burst, lack)
		}
	}
}

// delay is that of a flow along a chain: the sum over its ports, or that with the burst of the trunk paid only once, which
// holds where the trunk's frames keep their order.
func (s *solver) delay(t *trunk, c *chain, f *Flow, next *Leg) float64 {
	last := &s.ports[s.owner[s.visits[c.end-1].server]]
	sum := c.spent + c.travelled - gap*c.whole - (f.Smallest-header)*c.header - tail(last, s.leavesThrough(c, next), f.Smallest)
	if len(t.flows) > 1 && c.disordered {
		return sum
	}
	return min(sum, t.bucket.Delay(c.service)+c.travelled+c.processing)
}

// circles marks what never got its turn.
func (s *solver) circles() {
	for server, waits := range s.waits {
		if waits == 0 {
			continue
		}
		p := s.owner[server]
		s.result.Ports[p].Lack = Lack{Circle, p}
		for _, v := range s.at[server] {
			for _, m := range s.trunks[s.chains[s.visits[v].chain].trunk].flows {
				out := &s.result.Flows[m.flow]
				out.Legs[m.leg].Delay = math.Inf(1)
				if out.Lack.Reason == Fine {
					out.Lack = Lack{Circle, p}
				}
			}
		}
	}
}
