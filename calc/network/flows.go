package network

import (
	"fmt"
	"slices"

	"github.com/guardwright/guardwright/calc/network/internal/bound"
	"github.com/guardwright/guardwright/calc/network/internal/graph"
	"github.com/guardwright/guardwright/model"
)

// makeFlows makes the flows of the connections, the other traffic and the ring protocols.
func (b *builder) makeFlows() {
	for _, c := range b.Network.Connections {
		b.connect(c)
	}
	if !b.protocol.switched() {
		return
	}
	for _, f := range b.Network.Traffic {
		b.traffic(f)
	}
	for _, r := range b.Rings {
		b.ringFrames(r)
	}
}

// connect makes the flows of a connection.
func (b *builder) connect(spec *model.Connection) {
	c := &Connection{Connection: spec, TimeLimit: b.protocol.timeLimit(spec)}
	b.Connections = append(b.Connections, c)
	if spec.Controller == nil {
		c.Why = "the machine has no controller"
		return
	}
	controller := b.index[model.NetworkNode{Controller: spec.Controller}]
	module := b.index[model.NetworkNode{Module: spec.Module}]
	w := b.way(controller, module)
	for _, l := range w.legs {
		if l.block != graph.None {
			c.Rings = append(c.Rings, b.Rings[b.ringOf[l.block]])
		}
	}
	for _, r := range c.Rings {
		r.Connections = append(r.Connections, c)
	}
	if w.none {
		c.Why = w.why
		return
	}
	streams, err := b.protocol.streams(spec, b.Network)
	if err != nil {
		c.Why = err.Error()
		b.miss(w, fmt.Sprintf("the frames of %s are not known: %s", spec.Path, c.Why))
		b.miss(b.way(module, controller), fmt.Sprintf("the frames of %s are not known: %s", spec.Path, c.Why))
		return
	}
	for _, s := range streams {
		f := &Flow{
			Kind: s.kind, Connection: c, From: b.Nodes[module], To: b.Nodes[controller], Message: model.Bytes(float64(s.message)),
			Frame: model.Bytes(float64(max(s.frame, smallestFrame))), Wire: model.Bytes(float64(wire(s.frame))),
			Interval: s.interval, Priority: s.priority,
		}
		if s.outward {
			f.From, f.To = f.To, f.From
		}
		if s.kind == InputData {
			c.Input = s.interval
		}
		if s.kind == OutputData {
			c.Output = s.interval
		}
		if !b.protocol.switched() {
			f.Frame, f.Wire = 0, 0 // the message travels in the frames of the cycle
		} else {
			f.setCurve(1, s.loose)
		}
		c.Flows = append(c.Flows, f)
		b.add(f, b.way(b.nodeOf(f.From), b.nodeOf(f.To)))
	}
}

// setCurve bounds what the source sends: so many frames at a time in each interval, each early or late by the jitter of
// the node's type. A loose flow follows other frames: one may be a whole interval late.
func (f *Flow) setCurve(frames int, loose bool) {
	jitter := model.Duration(0)
	if forwarding := f.From.Node.Ports().Forwarding; forwarding != nil {
		jitter = forwarding.Jitter
	}
	if loose {
		jitter = max(jitter, f.Interval/2)
	}
	curve := bound.Periodic(8*float64(f.Wire)*float64(frames), float64(f.Interval), float64(jitter))
	f.Burst, f.Rate = model.DataSize(curve.Burst/8), model.DataRate(curve.Rate)
}

// traffic makes the flow of other traffic.
func (b *builder) traffic(spec *model.Flow) {
	from, to := b.index[spec.From.Node], b.index[spec.To.Node]
	f := &Flow{
		Kind: OtherTraffic, Traffic: spec, From: b.Nodes[from], To: b.Nodes[to], Frame: spec.Frame,
		Wire: spec.Frame + preamble + interFrameGap, Interval: spec.Interval, Burst: spec.Burst, Rate: spec.Rate,
	}
	if spec.Priority != nil {
		f.Priority = *spec.Priority
	}
	if spec.Interval != 0 {
		f.setCurve(spec.Frames, false)
	}
	w := b.way(from, to)
	if id, ok := b.stations[spec.To]; ok {
		w.legs = append(slices.Clone(w.legs), passage{block: graph.None, forward: []int32{int32(id)}})
	}
	if w.known && len(w.legs) == 0 {
		b.Limits = append(b.Limits, Limit{spec.Origin, "the traffic crosses no port, because it comes from a station at the node that it goes to"})
	}
	b.add(f, w)
}

// Frames of ring protocols: the smallest, with the highest priority (CIP volume 2, IEC 62439-2; from memory).
const ringPriority = 7

// beaconInterval is the default of the device level ring object (CIP volume 2, chapter 9; read in public driver sources).
const beaconInterval model.Duration = 400e-6

// ringFrames makes the flows of a ring protocol's own frames, one each way round. What the ports of the ring carry is not
// known when the interval of the frames is not.
func (b *builder) ringFrames(r *Ring) {
	block := b.blockOf(r)
	if block == graph.None {
		return // not closed, or part of a loop, which is reported
	}
	place := -1
	if len(r.Active) == 1 {
		place = slices.Index(b.graph.Blocks[block].Nodes, b.nodeOf(r.Active[0]))
	}
	if r.Ring.Protocol == model.RSTP || place < 0 {
		b.Limits = append(b.Limits, Limit{r.Ring.Origin, "the ring protocol's own frames are not counted in load and delay, which are too low by that"})
		return
	}
	interval := r.Ring.TestInterval
	if r.Ring.Protocol == model.DLR {
		interval = r.Ring.BeaconInterval
		if interval == 0 {
			interval = beaconInterval
			b.Limits = append(b.Limits, Limit{r.Ring.Origin, "the ring states no beacon_interval; its default of 400 µs is counted"})
		}
	}
	if interval == 0 {
		for _, e := range b.graph.Blocks[block].Edges {
			for _, p := range []int{2 * e, 2*e + 1} {
				b.missing[p] = r.Ring.Path + " does not state the interval of the ring protocol's own frames"
			}
		}
		return
	}
	for _, round := range []int{1, -1} {
		f := &Flow{
			Kind: RingTraffic, Ring: r, From: r.Active[0], To: r.Active[0], Frame: smallestFrame,
			Wire: model.Bytes(float64(wire(smallestFrame))), Interval: interval, Priority: ringPriority,
		}
		f.setCurve(1, false)
		b.add(f, way{known: true, legs: []passage{{
			block: block, from: place, to: place, round: round, forward: b.round(block, place, round > 0, []int{place})[0].Ports,
		}}})
	}
}

// blockOf is the block that is exactly a ring; graph.None when there is none.
func (b *builder) blockOf(r *Ring) int {
	if len(r.Links) == 0 {
		return graph.None
	}
	block := b.graph.BlockOf[b.ends[r.Links[0].Link.From]]
	if k := b.ringOf[block]; k == graph.None || b.Rings[k] != r {
		return graph.None
	}
	return block
}

func (b *builder) add(f *Flow, w way) {
	b.Flows = append(b.Flows, f)
	b.flowWays = append(b.flowWays, w)
	if !w.known && !w.none {
		b.miss(w, "not all flows through the port are known, because of one between "+f.From.Origin().Name+" and "+f.To.Origin().Name+": "+w.why)
	}
}

// miss notes that the flows through the ports of a way are not all known. A way that is not known spoils all ports of the
// loops as well.
func (b *builder) miss(w way, why string) {
	note := func(ports []int32) {
		for _, p := range ports {
			if b.missing[p] == "" {
				b.missing[p] = why
			}
		}
	}
	for _, l := range w.legs {
		note(l.forward)
		note(l.back)
	}
	if w.known {
		return
	}
	for i, x := range b.graph.Blocks {
		if !x.Bridge() && b.ringOf[i] == graph.None {
			for _, e := range x.Edges {
				note([]int32{int32(2 * e), int32(2*e + 1)})
			}
		}
	}
}
