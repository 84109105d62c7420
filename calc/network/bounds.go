package network

import (
	"context"
	"fmt"
	"slices"

	"github.com/guardwright/guardwright/calc/network/internal/bound"
	"github.com/guardwright/guardwright/calc/network/internal/graph"
	"github.com/guardwright/guardwright/model"
)

// checkDelays bounds the delay of each flow and the backlog of each port: with the rings whole, and at any open position.
func (b *builder) checkDelays(ctx context.Context) error {
	if work := b.ringWork(); work > b.options.work() {
		b.noDelays(work)
		return nil
	}
	ports := b.servers()
	normal, most := b.streams(b.normal), b.streams(b.all)
	if work := bound.Work(most); work > b.options.work() {
		b.noDelays(work)
		return nil
	}
	whole, err := bound.Solve(ctx, ports, normal)
	if err != nil {
		return err
	}
	worst := whole
	if len(b.all) > 0 {
		if worst, err = bound.Solve(ctx, ports, most); err != nil {
			return err
		}
	}
	for i, f := range b.Flows {
		b.takeFlow(i, f, normal[i], whole, &worst.Flows[i])
	}
	b.listFlows()
	for i, p := range b.ports {
		b.takePort(p, worst.Ports[i])
	}
	return nil
}

// ringWork is a lower bound of the work that rings make, without laying it out: an arc of some links is passed in all
// states that do not break it, and the rest of the ring in the others.
func (b *builder) ringWork() int {
	seen := map[legKey]bool{}
	work := 0
	for i := range b.flowWays {
		for _, l := range b.flowWays[i].legs {
			key := legKey{l.block, l.from, l.to, l.round}
			if l.block != graph.None && !seen[key] {
				seen[key] = true
				work += 2 * len(l.forward) * len(l.back)
			}
		}
	}
	return work
}

// noDelays leaves the delays out because they take too much work.
func (b *builder) noDelays(work int) {
	why := fmt.Sprintf("at least %d passages of flows through ports, the open positions of rings told apart, are more than the %d that are looked at: raise Options.Work", work, b.options.work())
	b.Limits = append(b.Limits, Limit{b.Network.Origin, "no delays: " + why})
	first := map[int][]int{}
	for block, positions := range b.normal {
		first[block] = positions[:1]
	}
	legs := b.legMaker(first)
	for i, f := range b.Flows {
		f.Delay = unknown[model.Duration](why)
		f.Normal = f.Delay
		b.layHops(i, f, legs.legs(&b.flowWays[i]), nil)
	}
	b.listFlows()
	for _, p := range b.ports {
		p.Delay, p.Backlog = unknown[model.Duration](why), unknown[model.DataSize](why)
	}
}

// servers describes the ports to the method.
func (b *builder) servers() []bound.Port {
	out := make([]bound.Port, len(b.ports))
	for i, p := range b.ports {
		x := bound.Port{Rate: float64(p.Rate), States: 1}
		if p.Link != nil {
			x.Dark = p.Link.Propagation.Status == Unknown || b.missing[i] != ""
			x.Propagation = float64(p.Link.Propagation.Value)
			if block := b.graph.BlockOf[i/2]; b.ringOf[block] != graph.None {
				x.States = len(b.graph.Blocks[block].Edges)
			}
		}
		f := p.Node.Node.Ports().Forwarding
		if f == nil || f.Method == model.OnTheFly {
			x.Opaque = true
		} else {
			x.Processing = float64(*f.Latency)
			x.CutThrough = f.Method == model.CutThrough
			x.FIFO = f.Order == model.FirstInFirstOut
			for k, q := range f.Queues {
				x.Queue[k] = uint8(q)
			}
		}
		out[i] = x
	}
	return out
}

// streams describes the flows to the method. A connection whose frames are not known spoils the ports on its way.
func (b *builder) streams(positions map[int][]int) []bound.Flow {
	legs := b.legMaker(positions)
	out := make([]bound.Flow, 0, len(b.Flows))
	for i, f := range b.Flows {
		smallest := bits(smallestFrame)
		if f.Traffic == nil {
			smallest = 8 * float64(f.Wire)
		}
		out = append(out, bound.Flow{
			Bucket: bound.Bucket{Burst: 8 * float64(f.Burst), Rate: float64(f.Rate)}, Largest: 8 * float64(f.Wire), Smallest: smallest,
			Priority: uint8(f.Priority), Passing: f.Traffic != nil && f.Traffic.From.Port != "",
			Astray: !b.flowWays[i].known, Way: legs.legs(&b.flowWays[i]),
		})
	}
	for _, c := range b.Connections {
		if len(c.Flows) > 0 || c.Connection.Controller == nil {
			continue
		}
		controller, module := b.index[model.NetworkNode{Controller: c.Connection.Controller}], b.index[model.NetworkNode{Module: c.Connection.Module}]
		for _, w := range []way{b.way(controller, module), b.way(module, controller)} {
			out = append(out, bound.Flow{Astray: true, Way: legs.legs(&w)})
		}
	}
	return out
}

// takeFlow takes the bounds of one flow over.
func (b *builder) takeFlow(i int, f *Flow, stream bound.Flow, result *bound.Result, worst *bound.FlowBound) {
	w, whole := &b.flowWays[i], &result.Flows[i]
	b.layHops(i, f, stream.Way, result)
	switch {
	case w.none || !w.known:
		f.Delay = unknown[model.Duration](w.why)
		f.Normal = f.Delay
		return
	case len(w.legs) == 0:
		f.Delay = unknown[model.Duration]("the flow crosses no port")
		f.Normal = f.Delay
		return
	}
	f.Normal, f.Delay = b.delayOf(whole), b.delayOf(worst)
	if !f.Delay.Status.HasValue() || !f.Normal.Status.HasValue() {
		return
	}
	for k := range f.Hops {
		if f.Worst == nil || f.Hops[k].Delay > f.Worst.Delay {
			f.Worst = &f.Hops[k]
		}
	}
	gain := 0.0
	for k, l := range worst.Legs {
		if block := w.legs[k].block; block != graph.None && l.Delay-whole.Legs[k].Delay > gain {
			gain = l.Delay - whole.Legs[k].Delay
			f.Open = b.Links[b.graph.Blocks[block].Edges[b.all[block][l.Chain]]]
		}
	}
}

// layHops notes the way with the rings whole, by the slower of the supervisor's two ports.
func (b *builder) layHops(i int, f *Flow, legs []*bound.Leg, result *bound.Result) {
	size := 0
	for _, l := range legs {
		size += len((*l)[0].Ports)
	}
	f.Hops = make([]Hop, 0, size)
	for k, l := range legs {
		chain, delays := 0, b.delays[:0]
		if result != nil && result.Flows[i].Lack.Reason == bound.Fine {
			chain, delays = result.Flows[i].Legs[k].Chain, result.Hops(i, k, delays)
		}
		for h, p := range (*l)[chain].Ports {
			hop := Hop{Port: b.ports[p]}
			if len(delays) > 0 {
				hop.Delay = model.Duration(delays[h])
			}
			f.Hops = append(f.Hops, hop)
			hop.Port.hops++
		}
		b.delays = delays
	}
}

// listFlows notes the flows of each port. Their numbers are known, so that no list is laid out twice.
func (b *builder) listFlows() {
	for _, f := range b.Flows {
		for _, h := range f.Hops {
			if h.Port.Flows == nil {
				h.Port.Flows = make([]*Flow, 0, h.Port.hops)
			}
			h.Port.Flows = append(h.Port.Flows, f)
		}
	}
}

func (b *builder) delayOf(x *bound.FlowBound) Check[model.Duration] {
	switch x.Lack.Reason {
	case bound.Fine:
		return unlimited(model.Duration(x.Delay), "the limit is that of the connection")
	case bound.Overload:
		return unbounded[model.Duration](b.why(x.Lack))
	}
	return unknown[model.Duration](b.why(x.Lack))
}

// why words what is missing at a port.
func (b *builder) why(l bound.Lack) string {
	p := b.ports[l.Port]
	node := p.Node.Origin()
	switch l.Reason {
	case bound.Overload:
		return fmt.Sprintf("more comes to port %s of %s than it can send at %s, so what waits there grows without end", p.Port, node.Path, p.Rate)
	case bound.Circle:
		return fmt.Sprintf("the flows at port %s of %s depend on each other in a circle, for which no bound is proved here", p.Port, node.Path)
	case bound.Astray:
		if m := b.missing[l.Port]; m != "" {
			return m
		}
		return fmt.Sprintf("not all flows through port %s of %s are known", p.Port, node.Path)
	}
	f := p.Node.Node.Ports().Forwarding
	switch {
	case b.missing[l.Port] != "":
		return b.missing[l.Port]
	case p.Link != nil && p.Link.Propagation.Status == Unknown:
		return p.Link.Propagation.Why
	case f != nil:
		return fmt.Sprintf("%s passes frames on %s, which is for EtherCAT only", node.Path, f.Method)
	}
	return fmt.Sprintf("%s passes frames on, and its type does not state forwarding (method and latency)", node.Path)
}

// takePort takes the bounds of one port over.
func (b *builder) takePort(p *Port, x bound.PortBound) {
	switch x.Lack.Reason {
	case bound.Fine:
	case bound.Overload:
		p.Delay, p.Backlog = unbounded[model.Duration](b.why(x.Lack)), unbounded[model.DataSize](b.why(x.Lack))
		return
	default:
		p.Delay, p.Backlog = unknown[model.Duration](b.why(x.Lack)), unknown[model.DataSize](b.why(x.Lack))
		return
	}
	p.Delay = unlimited(model.Duration(x.Delay), "the limit is that of the connections")
	waiting := model.DataSize(x.Backlog / 8)
	if f := p.Node.Node.Ports().Forwarding; f != nil && f.Buffer != 0 {
		p.Backlog = atMost(waiting, f.Buffer, "the buffer of the port")
	} else {
		p.Backlog = unlimited(waiting, "the node's type states no buffer")
	}
}

// checkConnections compares the connections with their time limits, once the flows have their delays.
func (b *builder) checkConnections() {
	for _, c := range b.Connections {
		spec := c.Connection
		c.ToController, c.FromController = c.delay(InputData), c.delay(OutputData)
		worst := slower(c.ToController, c.FromController, c.Input != 0, c.Output != 0)
		interval := max(c.Input, c.Output)
		switch {
		case !worst.Status.HasValue():
			c.Delay, c.Ordinary = worst, Check[model.Duration]{Status: worst.Status, Why: worst.Why}
		default:
			c.Ordinary = b.protocol.ordinary(spec, interval, worst.Value)
			if c.TimeLimit.Status.HasValue() {
				c.Delay = atMost(worst.Value, c.TimeLimit.Value-interval, "the time limit of the connection less one interval")
			} else {
				c.Delay = uncovered(worst.Value, c.TimeLimit.Why)
			}
		}
		c.Recovery = c.checkRecovery()
		for _, r := range c.Rings {
			if c.Recovery.Status != Within && !slices.Contains(r.Trips, c) {
				r.Trips = append(r.Trips, c)
			}
		}
	}
}

// delay is the bound of the flow of one kind.
func (c *Connection) delay(kind FlowKind) Check[model.Duration] {
	for _, f := range c.Flows {
		if f.Kind == kind {
			return f.Delay
		}
	}
	if c.Why != "" {
		return unknown[model.Duration](c.Why)
	}
	return unknown[model.Duration]("the connection has no data in this direction")
}

// slower is the worse of two delays, out of those directions that have data.
func slower(to, from Check[model.Duration], input, output bool) Check[model.Duration] {
	switch {
	case !output:
		return to
	case !input:
		return from
	case !to.Status.HasValue():
		return to
	case !from.Status.HasValue() || from.Value > to.Value:
		return from
	}
	return to
}

// checkRecovery compares the recovery of the rings on the way with what the time limit leaves.
func (c *Connection) checkRecovery() Check[model.Duration] {
	if len(c.Rings) == 0 {
		return unlimited(model.Duration(0), "the connection crosses no ring")
	}
	longest := model.Duration(0)
	for _, r := range c.Rings {
		if r.Recovery.Status == Unknown {
			return unknown[model.Duration](r.Ring.Path + ": " + r.Recovery.Why)
		}
		longest = max(longest, r.Recovery.Value)
	}
	switch {
	case !c.TimeLimit.Status.HasValue():
		return uncovered(longest, c.TimeLimit.Why)
	case !c.Ordinary.Status.HasValue():
		return uncovered(longest, c.Ordinary.Why)
	}
	return survives(longest, c.TimeLimit.Value, c.Ordinary.Value)
}

// survives compares a recovery time with what a time limit leaves beside the ordinary time. It has to be shorter.
func survives(recovery, limit, ordinary model.Duration) Check[model.Duration] {
	return below(recovery, limit-ordinary, "the time limit of the connection less its ordinary time")
}
