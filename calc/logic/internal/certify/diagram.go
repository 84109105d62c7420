package certify

import "slices"

// diagram is a set of states as a reduced ordered binary decision diagram (R. Bryant, Graph-Based Algorithms for Boolean
// Function Manipulation, IEEE Transactions on Computers C-35, 1986, from memory). The highest bit is looked at first; node 0
// is the empty set and node 1 the full one.
type diagram struct {
	nodes  []decision
	root   int32
	shared map[decision]int32
}

type decision struct {
	bit       int32
	low, high int32
}

// newDiagram returns the set of the states, of so many bits.
func newDiagram(states []uint64, bits int) *diagram {
	d := &diagram{nodes: make([]decision, 2), shared: map[decision]int32{}}
	sorted := slices.Clone(states)
	slices.Sort(sorted)
	d.root = d.build(slices.Compact(sorted), int32(bits)-1)
	return d
}

// build returns the node of a sorted set of states that agree on the bits above.
func (d *diagram) build(states []uint64, bit int32) int32 {
	switch {
	case len(states) == 0:
		return 0
	case bit < 0:
		return 1
	}
	at, _ := slices.BinarySearchFunc(states, 1, func(s uint64, one int) int { return int(s>>bit&1) - one })
	n := decision{bit: bit, low: d.build(states[:at], bit-1), high: d.build(states[at:], bit-1)}
	if n.low == n.high {
		return n.low
	}
	id, known := d.shared[n]
	if !known {
		id = int32(len(d.nodes))
		d.nodes = append(d.nodes, n)
		d.shared[n] = id
	}
	return id
}
