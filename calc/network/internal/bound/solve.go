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

// visit is the passage of a chain through one server, a port in one state.
type visit struct {
	flow, chain, server int32
	burst               float64 // when the frames wait at the port
}

// chain is a chain of visits, with what its ports add up to.
type chain struct {
	flow        int32
	leg         int32 // among all legs
	first, end  int32 // visits
	delay       float64
	service     Service // of the ports done so far
	constant    float64 // processing and propagation of the ports done so far
	lack        Lack
	arrival     float64 // burst behind the last port
	indexInFlow int32   // chain within its leg
}

// leg gathers the chains of a leg.
type leg struct {
	flow         int32
	first, end   int32 // chains
	open         int32 // chains not done
	next         int32 // the leg behind, or -1
	burst        float64
	lack         Lack
	previousPort []int32 // last ports of the leg before, one for each of its chains; only their link's rate matters
}

type solver struct {
	ctx    context.Context
	ports  []Port
	flows  []Flow
	base   []int32 // first server of each port
	owner  []int32 // port of each server
	visits []visit
	chains []chain
	legs   []leg
	start  []int32 // first leg of each flow
	hops   []float64
	at     [][]int32 // visits at each server, a part of one array
	waits  []int32   // visits at each server whose burst is not known yet
	ready  []int32
	result *Result
	work   scratch
}

// Work is the number of passages through ports, states told apart, that Solve will look at.
func Work(flows []Flow) int {
	n := 0
	for i := range flows {
		for _, l := range flows[i].Way {
			for _, c := range l {
				n += len(c.Ports)
			}
		}
	}
	return n
}

// Solve computes the bounds of a network. Apart from sorting, its time is linear in [Work]. The error is that of ctx.
func Solve(ctx context.Context, ports []Port, flows []Flow) (*Result, error) {
	s := &solver{ctx: ctx, ports: ports, flows: flows}
	s.result = &Result{Flows: make([]FlowBound, len(flows)), Ports: make([]PortBound, len(ports))}
	s.number()
	s.layOut()
	for i := range flows {
		if len(flows[i].Way) > 0 {
			s.enter(s.start[i], flows[i].Burst, s.astray(i))
		}
	}
	done := 0
	for ; len(s.ready) > 0; done++ {
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
	s.gather()
	return s.result, nil
}

// number gives each state of each port a server.
func (s *solver) number() {
	s.base = make([]int32, len(s.ports)+1)
	for i := range s.ports {
		s.base[i+1] = s.base[i] + int32(max(1, s.ports[i].States))
	}
	s.owner = make([]int32, s.base[len(s.ports)])
	for i := range s.ports {
		for k := s.base[i]; k < s.base[i+1]; k++ {
			s.owner[k] = int32(i)
		}
	}
}

// layOut makes the visits of all chains and lists them by server.
func (s *solver) layOut() {
	s.visits = make([]visit, 0, Work(s.flows))
	s.start = make([]int32, len(s.flows))
	count := make([]int32, len(s.owner)+1)
	for i := range s.flows {
		s.start[i] = int32(len(s.legs))
		var before []int32
		for j, alternatives := range s.flows[i].Way {
			l := leg{flow: int32(i), first: int32(len(s.chains)), open: int32(len(alternatives)), next: -1, previousPort: before}
			if j+1 < len(s.flows[i].Way) {
				l.next = int32(len(s.legs) + 1)
			}
			before = nil
			for k, c := range alternatives {
				id := int32(len(s.chains))
				first := int32(len(s.visits))
				for _, p := range c.Ports {
					server := s.base[p]
					if s.base[p+1]-server > 1 {
						server += c.State
					}
					count[server]++
					s.visits = append(s.visits, visit{flow: int32(i), chain: id, server: server})
				}
				s.chains = append(s.chains, chain{
					flow: int32(i), leg: int32(len(s.legs)), first: first, end: int32(len(s.visits)),
					service: Service{Rate: math.Inf(1)}, indexInFlow: int32(k),
				})
				before = append(before, c.Ports[len(c.Ports)-1])
			}
			l.end = int32(len(s.chains))
			s.legs = append(s.legs, l)
		}
	}
	s.hops = make([]float64, len(s.visits))
	all := make([]int32, len(s.visits))
	s.at = make([][]int32, len(s.owner))
	s.waits = make([]int32, len(s.owner))
	from := int32(0)
	for i := range s.at {
		s.at[i] = all[from : from : from+count[i]]
		s.waits[i] = count[i]
		from += count[i]
	}
	for i := range s.visits {
		server := s.visits[i].server
		s.at[server] = append(s.at[server], int32(i))
	}
}

// enter lets a flow into a leg with a burst.
func (s *solver) enter(l int32, burst float64, lack Lack) {
	s.legs[l].burst, s.legs[l].lack = burst, lack
	for c := s.legs[l].first; c < s.legs[l].end; c++ {
		s.chains[c].lack = lack
		s.arrive(s.chains[c].first, burst)
	}
}

// astray is the lack of a flow whose way is not known.
func (s *solver) astray(flow int) Lack {
	if !s.flows[flow].Astray {
		return Lack{}
	}
	return Lack{Astray, s.owner[s.visits[s.chains[s.legs[s.start[flow]].first].first].server]}
}

// arrive notes the burst with which a flow comes to a port, before it is processed there.
func (s *solver) arrive(v int32, burst float64) {
	x := &s.visits[v]
	port := &s.ports[s.owner[x.server]]
	x.burst = burst
	passing := s.passing(v)
	if passing {
		x.burst += s.flows[x.flow].Rate * port.Processing
	}
	if lack := &s.chains[x.chain].lack; lack.Reason == Fine && (port.Dark || port.Opaque && passing) {
		*lack = Lack{Opaque, s.owner[x.server]}
	}
	if s.waits[x.server]--; s.waits[x.server] == 0 {
		s.ready = append(s.ready, x.server)
	}
}

// source reports whether a visit is the first of its flow.
func (s *solver) source(v int32) bool {
	c := &s.chains[s.visits[v].chain]
	return v == c.first && s.legs[c.leg].previousPort == nil
}

// passing reports whether the frames of a visit pass through the port's node.
func (s *solver) passing(v int32) bool { return !s.source(v) || s.flows[s.visits[v].flow].Passing }

// source of frames at a port: the links that bring them.
type origin struct {
	key   int32 // the same for visits whose frames come by the same links; noLink for the node's own and those from outside
	links float64
	rate  float64 // of all links together
}

const noLink = -1

// incoming finds the links that bring the frames of a visit. Where a leg before has several chains, their last ports
// lead to the same node by at most two links of a ring, and frames may come by either.
func (s *solver) incoming(v int32) origin {
	c := &s.chains[s.visits[v].chain]
	if v > c.first {
		p := s.owner[s.visits[v-1].server]
		return origin{p, 1, s.ports[p].Rate}
	}
	before := s.legs[c.leg].previousPort
	if len(before) == 0 {
		return origin{noLink, 0, math.Inf(1)}
	}
	one := origin{before[0], 1, s.ports[before[0]].Rate}
	for _, p := range before[1:] {
		if p != before[0] {
			return origin{noLink - 1 - min(p, before[0]), 2, one.rate + s.ports[p].Rate}
		}
	}
	return one
}

// serve computes the bounds of a server, and lets its flows on.
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

// pass lets one flow on from a server whose bounds are known.
func (s *solver) pass(v int32) {
	x := s.visits[v]
	f, c := &s.flows[x.flow], &s.chains[x.chain]
	p := s.owner[x.server]
	port := &s.ports[p]
	wait, rest, lack := s.work.of(s, x)
	if c.lack.Reason == Fine {
		c.lack = lack
	}
	if c.lack.Reason == Fine {
		hop := s.hop(v, wait)
		s.hops[v] = hop
		c.delay += hop
		constant := port.Propagation
		if s.passing(v) {
			constant += port.Processing
		}
		c.constant += constant
		c.service = c.service.Then(rest)
		if !s.last(v) {
			c.service.Latency += f.Largest / rest.Rate // the next node has to have the whole frame
		}
	}
	burst := x.burst + f.Rate*(wait-f.Smallest/port.Rate)
	if v+1 < c.end {
		s.arrive(v+1, burst)
		return
	}
	c.arrival = burst
	l := &s.legs[c.leg]
	if l.open--; l.open > 0 {
		return
	}
	if l.next >= 0 {
		s.join(l)
	}
}

// join lets a flow on from a leg to the next, with the worst of all chains.
func (s *solver) join(l *leg) {
	burst, lack := 0.0, Lack{}
	for c := l.first; c < l.end; c++ {
		burst = max(burst, s.chains[c].arrival)
		if lack.Reason == Fine {
			lack = s.chains[c].lack
		}
	}
	s.enter(l.next, burst, lack)
}

// last reports whether a visit is the last of its flow.
func (s *solver) last(v int32) bool {
	c := &s.chains[s.visits[v].chain]
	return v+1 == c.end && s.legs[c.leg].next < 0
}

// hop is the delay that a port adds: processing before it, waiting and sending, and the way along the link until the next
// node knows where the frame goes or, at the end, has all of it.
func (s *solver) hop(v int32, wait float64) float64 {
	x := &s.visits[v]
	port, f := &s.ports[s.owner[x.server]], &s.flows[x.flow]
	d := wait - gap/port.Rate + port.Propagation
	if s.cutThroughBehind(v) {
		d = wait - f.Smallest/port.Rate + header/port.Rate + port.Propagation
	}
	if s.passing(v) {
		d += port.Processing
	}
	return d
}

// cutThroughBehind reports whether the next node passes the frame on from its header, whatever the next leg's state is.
func (s *solver) cutThroughBehind(v int32) bool {
	rate := s.ports[s.owner[s.visits[v].server]].Rate
	through := func(next int32) bool {
		p := &s.ports[s.owner[s.visits[next].server]]
		return p.CutThrough && p.Rate <= rate
	}
	c := &s.chains[s.visits[v].chain]
	if v+1 < c.end {
		return through(v + 1)
	}
	next := s.legs[c.leg].next
	if next < 0 {
		return false
	}
	for k := s.legs[next].first; k < s.legs[next].end; k++ {
		if !through(s.chains[k].first) {
			return false
		}
	}
	return true
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
			if c := &s.chains[s.visits[v].chain]; c.lack.Reason == Fine {
				c.lack = Lack{Circle, p}
			}
		}
	}
}

// gather makes the flows' bounds from those of their chains.
func (s *solver) gather() {
	for i := range s.flows {
		f := &s.flows[i]
		if len(f.Way) == 0 {
			continue
		}
		out := &s.result.Flows[i]
		once := Service{Rate: math.Inf(1)} // bursts paid once
		constant, slowest := 0.0, math.Inf(1)
		for l := s.start[i]; l >= 0; l = s.legs[l].next {
			worst, service, fixed := LegBound{Chain: -1}, Service{Rate: math.Inf(1)}, 0.0
			for k := s.legs[l].first; k < s.legs[l].end; k++ {
				c := &s.chains[k]
				if c.lack.Reason != Fine {
					out.Lack = c.lack
				}
				if worst.Chain < 0 || c.delay > worst.Delay {
					worst = LegBound{int(c.indexInFlow), c.delay, s.hops[c.first:c.end:c.end]}
				}
				service = Service{min(service.Rate, c.service.Rate), max(service.Latency, c.service.Latency)}
				fixed = max(fixed, c.constant)
				slowest = min(slowest, s.ports[s.owner[s.visits[c.end-1].server]].Rate)
			}
			out.Legs = append(out.Legs, worst)
			out.Delay += worst.Delay
			once, constant = once.Then(service), constant+fixed
		}
		if out.Lack.Reason == Fine {
			out.Delay = min(out.Delay, f.Bucket.Delay(once)+constant)
		}
	}
}
