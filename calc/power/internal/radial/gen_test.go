package radial

import "math/rand/v2"

func newRand(seed uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, 2026)) }

// randomNodes makes a machine's tree of n nodes in random order: a chain, a
// star or anything between, with every kind of load, some conductors without
// resistance and some nodes without load. It has an operating point.
func randomNodes(r *rand.Rand, n int) (Source, []Node) {
	source := Source{Voltage: 18 + 12*r.Float64()}
	if r.IntN(2) == 0 {
		source.Resistance = 0.2 * r.Float64() / float64(n)
	}
	reach := 1 + r.IntN(n) // how far back a parent may lie: 1 is a chain
	place := r.Perm(n)
	nodes := make([]Node, n)
	for k := range n {
		node := Node{Parent: Root}
		if k > 0 {
			node.Parent = place[k-1-r.IntN(min(reach, k))]
		}
		if r.IntN(8) != 0 {
			node.RPlus = 0.5 * r.Float64() / float64(min(n, 20))
		}
		if r.IntN(8) != 0 {
			node.RMinus = 0.5 * r.Float64() / float64(min(n, 20))
		}
		share := 8 / float64(max(n, 6))
		if r.IntN(3) == 0 {
			node.Current = share * r.Float64() / 4
		}
		if r.IntN(2) == 0 {
			node.Power = share * 24 * r.Float64()
		}
		if r.IntN(4) == 0 {
			node.Conductance = share * r.Float64() / 24
		}
		nodes[place[k]] = node
	}
	return source, nodes
}

// scalePower returns the nodes with all constant powers times factor.
func scalePower(nodes []Node, factor float64) []Node {
	scaled := make([]Node, len(nodes))
	for i, node := range nodes {
		node.Power *= factor
		scaled[i] = node
	}
	return scaled
}
