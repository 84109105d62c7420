package network

import (
	"math"

	"github.com/guardwright/guardwright/calc/network/internal/graph"
	"github.com/guardwright/guardwright/model"
)

// filling is what fills a port: with the rings whole, and at the worst open position.
type filling struct {
	normal, worst float64
	open          int // the link that is open then; graph.None for ports outside rings and when the normal state is the worst
}

// Amounts are added up as whole thousandths, rounded up, so that adding and taking away leaves no rounding errors.
const perUnit = 1000

func units(x float64) int64 { return int64(math.Ceil(x * perUnit)) }

// fill adds up the weights of flows at each port. Outside rings each flow is added to each port on its way; in a ring,
// flows are arcs, and one sweep round it finds the worst open position of every link.
func (b *builder) fill(weight func(*Flow) float64) []filling {
	sum := make([]int64, len(b.ports))
	arcs := map[int][]arc{} // by block
	out := make([]filling, len(b.ports))
	for i, f := range b.Flows {
		w := units(weight(f))
		for _, l := range b.flowWays[i].legs {
			if l.block != graph.None && l.round == 0 {
				arcs[l.block] = append(arcs[l.block], arc{l.from, l.to, w})
				continue
			}
			for _, p := range l.forward {
				sum[p] += w
			}
		}
	}
	for i := range out {
		x := float64(sum[i]) / perUnit
		out[i] = filling{x, x, graph.None}
	}
	for block, list := range arcs {
		x := &b.graph.Blocks[block]
		n := len(x.Edges)
		for _, forward := range []bool{true, false} {
			s := sweep{size: n, normal: b.normal[block]}
			for _, a := range list {
				if !forward {
					a.from, a.to = a.to, a.from
				}
				s.arcs = append(s.arcs, a)
			}
			for i, v := range s.run() {
				to := x.Nodes[(i+1)%n]
				if !forward {
					to = x.Nodes[i]
				}
				p := b.direct(x.Edges[i], to)
				out[p].normal += float64(v.normal) / perUnit
				out[p].worst += float64(v.worst) / perUnit
				if v.worst > v.normal {
					out[p].open = x.Edges[v.open]
				}
			}
		}
	}
	return out
}

// arc is a flow in a ring that takes the links from, from+1 ... up to, but not including, to, unless the ring is open
// there.
type arc struct {
	from, to int
	weight   int64
}

// sweep goes round a ring link by link. For each link it holds, for every open position, the weight of the arcs over the
// link that are not open there, in a tree that adds to ranges and knows the largest: n links and f flows take
// (n + f)·log n steps.
type sweep struct {
	size   int
	normal []int
	arcs   []arc
	tree   maxTree
}

type swept struct {
	normal, worst int64
	open          int
}

func (s *sweep) run() []swept {
	starts, ends := make([][]arc, s.size), make([][]arc, s.size)
	s.tree = newMaxTree(s.size)
	for _, a := range s.arcs {
		starts[a.from], ends[a.to] = append(starts[a.from], a), append(ends[a.to], a)
		if a.from > a.to && a.to > 0 { // over the link 0, and begun before it
			s.count(a, 1)
		}
	}
	out := make([]swept, s.size)
	for i := range out {
		for _, a := range ends[i] {
			if i > 0 {
				s.count(a, -1)
			}
		}
		for _, a := range starts[i] {
			s.count(a, 1)
		}
		at, most := s.tree.largest()
		out[i] = swept{open: at, worst: most}
		for _, k := range s.normal {
			out[i].normal = max(out[i].normal, s.tree.value(k))
		}
	}
	return out
}

// count adds an arc to all open positions that are not in it, or takes it away.
func (s *sweep) count(a arc, sign int64) {
	w := sign * a.weight
	if a.from < a.to {
		s.tree.add(0, a.from, w)
		s.tree.add(a.to, s.size, w)
		return
	}
	s.tree.add(a.to, a.from, w)
}

// maxTree is a row of numbers that adds to ranges and knows the largest, each in logarithmic time.
type maxTree struct {
	leaves int
	most   []int64 // the largest below a node, what is added at the node included
	added  []int64
	size   int
}

func newMaxTree(size int) maxTree {
	leaves := 1
	for leaves < size {
		leaves *= 2
	}
	return maxTree{leaves: leaves, size: size, most: make([]int64, 2*leaves), added: make([]int64, 2*leaves)}
}

func (t *maxTree) add(from, to int, w int64) {
	if from < to {
		t.addBelow(1, 0, t.leaves, from, to, w)
	}
}

func (t *maxTree) addBelow(node, low, high, from, to int, w int64) {
	if from <= low && high <= to {
		t.added[node] += w
		t.most[node] += w
		return
	}
	middle := (low + high) / 2
	if from < middle {
		t.addBelow(2*node, low, middle, from, to, w)
	}
	if to > middle {
		t.addBelow(2*node+1, middle, high, from, to, w)
	}
	t.most[node] = t.added[node] + max(t.most[2*node], t.most[2*node+1])
}

// largest is the first place of the largest number, and the number.
func (t *maxTree) largest() (int, int64) {
	node := 1
	for node < t.leaves {
		if t.most[2*node] >= t.most[2*node+1] {
			node = 2 * node
		} else {
			node = 2*node + 1
		}
	}
	return min(node-t.leaves, t.size-1), t.most[1]
}

func (t *maxTree) value(i int) int64 {
	sum := int64(0)
	for node := i + t.leaves; node > 0; node /= 2 {
		sum += t.added[node]
	}
	return sum
}

// checkLoads fills in the load of each port.
func (b *builder) checkLoads() {
	fill := b.fill(func(f *Flow) float64 { return float64(f.Rate) })
	for i, p := range b.ports {
		if why := b.missing[i]; why != "" {
			p.Normal, p.Load = unknown[model.Ratio](why), unknown[model.Ratio](why)
			b.Ports = append(b.Ports, p)
			continue
		}
		p.Normal = unlimited(model.Ratio(fill[i].normal/float64(p.Rate)), "see Load")
		p.Load = atMost(model.Ratio(fill[i].worst/float64(p.Rate)), 1, "all of the link's rate")
		if fill[i].open != graph.None {
			p.Open = b.Links[fill[i].open]
		}
		if fill[i].worst > 0 {
			b.Ports = append(b.Ports, p)
		}
	}
}
