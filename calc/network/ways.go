package network

import (
	"fmt"
	"slices"

	"github.com/guardwright/guardwright/calc/network/internal/bound"
	"github.com/guardwright/guardwright/calc/network/internal/graph"
	"github.com/guardwright/guardwright/model"
)

// builder makes the flows, their ways and what they do to the ports.
type builder struct {
	*topology
	options  Options
	protocol protocol
	// ports are both directions of each link, 2·link from its From to its To and 2·link+1 back, then the ports to stations.
	ports    []*Port
	stations map[model.LinkEnd]int
	// missing says for a port why its flows are not all known; empty when they are.
	missing []string
	ways    map[[2]int]way
	// normal and all are the open positions of each ring: with the ring whole, and at any one of its links.
	normal, all map[int][]int
	flowWays    []way // of Flows
	// memory for the hops of one flow after the other, and for the blocks between two nodes
	delays []float64
	legs   []graph.Leg
}

// way is the way of a flow, leg by leg, each through one block.
type way struct {
	legs  []passage
	known bool // false: some block leaves it open which way frames take, or there is none
	none  bool // true: nothing joins the two ends
	why   string
}

// passage is the way through a ring in both directions, or along bridges.
type passage struct {
	block         int // the ring's; graph.None for bridges
	from, to      int // places in the ring
	forward, back []int32
	round         int // 1 and -1: a ring protocol's own frames, all round the ring forward or back; 0: other frames
}

func newBuilder(t *topology, options Options) *builder {
	b := &builder{
		topology: t, options: options, protocol: protocolOf(t.Network.Protocol), stations: map[model.LinkEnd]int{},
		ways: map[[2]int]way{}, normal: map[int][]int{}, all: map[int][]int{},
	}
	for _, l := range t.Links {
		l.Propagation = options.propagation(l.Link)
		b.ports = append(b.ports,
			&Port{Node: l.From, Port: l.Link.From.Port, Link: l, To: l.To, Rate: l.Link.Rate},
			&Port{Node: l.To, Port: l.Link.To.Port, Link: l, To: l.From, Rate: l.Link.Rate})
	}
	for _, f := range t.Network.Traffic {
		b.station(f.To)
	}
	b.missing = make([]string, len(b.ports))
	b.findPositions()
	return b
}

// station makes the port to a station outside the description.
func (b *builder) station(end model.LinkEnd) {
	if _, known := b.stations[end]; known || end.Port == "" {
		return
	}
	rate := end.Node.Ports().NetworkRates[end.Port]
	if rate == 0 {
		rate = 100e6 // as a link that states none
	}
	b.stations[end] = len(b.ports)
	b.ports = append(b.ports, &Port{Node: b.Nodes[b.index[end.Node]], Port: end.Port, Rate: rate})
}

// findPositions lists at which links each ring can be open. A whole ring is open at a port of its supervisor; at which of
// the two is not described, so both count. Without exactly one supervisor in the ring it can be anywhere.
func (b *builder) findPositions() {
	for i, k := range b.ringOf {
		if k == graph.None {
			continue
		}
		block := &b.graph.Blocks[i]
		n := len(block.Edges)
		for p := range n {
			b.all[i] = append(b.all[i], p)
		}
		b.normal[i] = b.all[i]
		if r := b.Rings[k]; len(r.Active) == 1 {
			if p := slices.Index(block.Nodes, b.nodeOf(r.Active[0])); p >= 0 {
				b.normal[i] = []int{p, (p + n - 1) % n}
				slices.Sort(b.normal[i])
			}
		}
	}
}

// direct is the port by which a link is left towards a node.
func (b *builder) direct(e, to int) int32 {
	if b.graph.Edges[e].B == to {
		return int32(2 * e)
	}
	return int32(2*e + 1)
}

// way finds the way between two nodes.
func (b *builder) way(from, to int) way {
	key := [2]int{from, to}
	if w, ok := b.ways[key]; ok {
		return w
	}
	legs, ok := b.graph.Path(from, to, b.legs[:0])
	b.legs = legs
	w := way{known: ok, none: !ok}
	if !ok {
		w.why = fmt.Sprintf("no link leads from %s to %s", b.Nodes[from].Origin().Name, b.Nodes[to].Origin().Name)
	}
	for i, l := range legs {
		block := &b.graph.Blocks[l.Block]
		switch {
		case block.Bridge():
			if n := len(w.legs); n == 0 || w.legs[n-1].block != graph.None {
				w.legs = append(w.legs, passage{block: graph.None, forward: make([]int32, 0, b.bridges(legs[i:]))})
			}
			last := &w.legs[len(w.legs)-1]
			last.forward = append(last.forward, b.direct(block.Edges[0], l.To))
		case b.ringOf[l.Block] == graph.None:
			w.known = false
			w.why = "the way leads through a loop that is not exactly one closed ring with a ring protocol, from " + b.Nodes[l.From].Origin().Name + " to " + b.Nodes[l.To].Origin().Name
		default:
			w.legs = append(w.legs, b.through(l))
		}
	}
	b.ways[key] = w
	return w
}

// bridges counts the bridges at the beginning of a way.
func (b *builder) bridges(legs []graph.Leg) int {
	for i, l := range legs {
		if !b.graph.Blocks[l.Block].Bridge() {
			return i
		}
	}
	return len(legs)
}

// through finds both ways through a ring.
func (b *builder) through(l graph.Leg) passage {
	block := &b.graph.Blocks[l.Block]
	n := len(block.Nodes)
	place := func(v int) int {
		if v == block.Nodes[0] {
			return 0
		}
		return b.graph.Place[v]
	}
	p := passage{block: l.Block, from: place(l.From), to: place(l.To)}
	along := (p.to - p.from + n) % n
	p.forward, p.back = make([]int32, 0, along), make([]int32, 0, n-along)
	for i := p.from; i != p.to; i = (i + 1) % n {
		p.forward = append(p.forward, b.direct(block.Edges[i], block.Nodes[(i+1)%n]))
	}
	for i := p.from; i != p.to; i = (i + n - 1) % n {
		j := (i + n - 1) % n
		p.back = append(p.back, b.direct(block.Edges[j], block.Nodes[j]))
	}
	return p
}

// chain is the way through a ring that is open at a link.
func (p *passage) chain(open, size int) []int32 {
	if (open-p.from+size)%size < (p.to-p.from+size)%size {
		return p.back
	}
	return p.forward
}

// legKey tells legs apart: bridges by their first and last port, between which there is one way, passages through a ring
// by their ends.
type legKey struct {
	block, from, to, round int
}

// legMaker makes the alternatives of ways for given open positions of the rings. Flows with a leg in common share it.
type legMaker struct {
	*builder
	positions map[int][]int
	made      map[legKey]*bound.Leg
}

func (b *builder) legMaker(positions map[int][]int) *legMaker {
	return &legMaker{b, positions, map[legKey]*bound.Leg{}}
}

func (m *legMaker) legs(w *way) []*bound.Leg {
	var out []*bound.Leg
	for i := range w.legs {
		p := &w.legs[i]
		key := legKey{p.block, p.from, p.to, p.round}
		if p.block == graph.None {
			key.from, key.to = int(p.forward[0]), int(p.forward[len(p.forward)-1])
		}
		if m.made[key] == nil {
			leg := m.leg(p)
			m.made[key] = &leg
		}
		out = append(out, m.made[key])
	}
	return out
}

func (m *legMaker) leg(p *passage) bound.Leg {
	if p.block == graph.None {
		return bound.Leg{{Ports: p.forward}}
	}
	if p.round != 0 {
		return m.round(p.block, p.from, p.round > 0, m.positions[p.block])
	}
	size := len(m.graph.Blocks[p.block].Edges)
	leg := make(bound.Leg, 0, len(m.positions[p.block]))
	for _, k := range m.positions[p.block] {
		leg = append(leg, bound.Chain{State: int32(k), Ports: p.chain(k, size)})
	}
	return leg
}

// round is the way of a ring protocol's own frames from the supervisor round the ring: all of it while the ring is whole,
// and up to the break otherwise.
func (b *builder) round(block, from int, forward bool, positions []int) bound.Leg {
	x := &b.graph.Blocks[block]
	n := len(x.Edges)
	var ports []int32
	for i := range n {
		if forward {
			at := (from + i) % n
			ports = append(ports, b.direct(x.Edges[at], x.Nodes[(at+1)%n]))
		} else {
			at := (from - i - 1 + 2*n) % n
			ports = append(ports, b.direct(x.Edges[at], x.Nodes[at]))
		}
	}
	leg := make(bound.Leg, 0, len(positions))
	for _, k := range positions {
		until := (k - from + n) % n // links before the break
		if !forward {
			until = (from - 1 - k + 2*n) % n
		}
		if slices.Contains(b.normal[block], k) || until == 0 {
			until = n // whole, but for the block at the supervisor, which the protocol's own frames pass
		}
		leg = append(leg, bound.Chain{State: int32(k), Ports: ports[:until]})
	}
	return leg
}
