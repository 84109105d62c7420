package radial

import (
	"fmt"
	"math"
)

// Root is the Parent of the one node that is joined to the source.
const Root = -1

// Accepted input values in SI units: zero, or from minInput to maxInput. Inside
// these limits no intermediate value can overflow or vanish; no installation
// comes near them.
const (
	minInput         = 1e-30
	maxInput         = 1e12
	minSourceVoltage = 1e-6
)

// Source is an ideal voltage source with a series resistance in its plus
// conductor. Its minus terminal is the reference of all potentials.
type Source struct {
	Voltage    float64 // V, from 1e-6 to 1e12
	Resistance float64 // ohm, 0 or from 1e-30 to 1e12
}

// Node is one place of the tree together with the two conductors that join it
// to its parent (the root: to the source) and the sums of the loads at it. All
// numbers but Parent are 0 or from 1e-30 to 1e12; zero means absent, also for a
// resistance. The zero Node is its own parent if it is node 0, and refused.
type Node struct {
	Parent      int     // index of the parent node, or Root
	RPlus       float64 // ohm, plus conductor to the parent
	RMinus      float64 // ohm, return conductor to the parent
	Current     float64 // A, sum of the constant-current loads
	Power       float64 // W, sum of the constant-power loads
	Conductance float64 // S, sum of 1/R of the resistive loads
}

// InputError says which input is unusable. Node is -1 if it is the source or
// the tree as a whole.
type InputError struct {
	Node    int
	Problem string
}

func (e *InputError) Error() string {
	if e.Node < 0 {
		return "radial: " + e.Problem
	}
	return fmt.Sprintf("radial: node %d: %s", e.Node, e.Problem)
}

// Tree is a checked network, its nodes sorted so that parents precede their
// children. It is immutable and safe for concurrent use.
type Tree struct {
	voltage float64 // of the ideal source
	order   []int   // position -> index of the caller

	// By position; the root has position 0 and parent -1. The source's series
	// resistance is part of the root's plus conductor.
	parent                      []int
	loop, rplus, rminus         []float64 // loop = rplus + rminus
	current, power, conductance []float64
	maxPower                    float64
	drops                       []float64 // see WithDrops; nil without any
}

// New checks the network and sorts it. The work is O(n). The error is an
// *InputError; it names the first unusable node.
func New(source Source, nodes []Node) (*Tree, error) {
	if err := checkSource(source); err != nil {
		return nil, err
	}
	root, err := checkNodes(nodes)
	if err != nil {
		return nil, err
	}
	order, parent := sortFromRoot(nodes, root)
	if len(order) < len(nodes) {
		return nil, cycleError(nodes, order)
	}
	n := len(nodes)
	columns := make([]float64, 6*n)
	t := &Tree{
		voltage: source.Voltage, order: order, parent: parent,
		loop: columns[:n], rplus: columns[n : 2*n], rminus: columns[2*n : 3*n],
		current: columns[3*n : 4*n], power: columns[4*n : 5*n], conductance: columns[5*n:],
	}
	for k, i := range order {
		node := &nodes[i]
		t.rplus[k], t.rminus[k] = node.RPlus, node.RMinus
		if k == 0 {
			t.rplus[k] += source.Resistance
		}
		t.loop[k] = t.rplus[k] + t.rminus[k]
		t.current[k], t.power[k], t.conductance[k] = node.Current, node.Power, node.Conductance
		t.maxPower = max(t.maxPower, node.Power)
	}
	return t, nil
}

// WithDrops returns the same network with a further voltage drop in the return
// conductor of every node, which does not depend on the current of this
// network: what the current of another network causes in a conductor that both
// share. It is indexed like the nodes given to New and lies between 0 and 1e12
// V. The error is an *InputError.
func (t *Tree) WithDrops(drops []float64) (*Tree, error) {
	if len(drops) != len(t.parent) {
		return nil, &InputError{-1, fmt.Sprintf("%d voltage drops are given for %d nodes", len(drops), len(t.parent))}
	}
	out := *t
	out.drops = make([]float64, len(drops))
	for k, i := range t.order {
		if problem := checkValue("voltage drop", drops[i], "V"); problem != "" {
			return nil, &InputError{i, problem}
		}
		out.drops[k] = drops[i]
	}
	return &out, nil
}

func checkSource(s Source) error {
	if !(s.Voltage >= minSourceVoltage && s.Voltage <= maxInput) {
		return &InputError{-1, fmt.Sprintf("source voltage is %g V; expected a value from %g V to %g V", s.Voltage, minSourceVoltage, maxInput)}
	}
	if problem := checkValue("source resistance", s.Resistance, "ohm"); problem != "" {
		return &InputError{-1, problem}
	}
	return nil
}

// checkNodes checks every value and parent index and returns the root.
func checkNodes(nodes []Node) (root int, err error) {
	root = -1
	for i := range nodes {
		node := &nodes[i]
		for _, v := range [...]struct {
			name  string
			value float64
			unit  string
		}{
			{"plus conductor resistance", node.RPlus, "ohm"},
			{"return conductor resistance", node.RMinus, "ohm"},
			{"constant current", node.Current, "A"},
			{"constant power", node.Power, "W"},
			{"conductance", node.Conductance, "S"},
		} {
			if problem := checkValue(v.name, v.value, v.unit); problem != "" {
				return 0, &InputError{i, problem}
			}
		}
		switch p := node.Parent; {
		case p == Root && root >= 0:
			return 0, &InputError{i, fmt.Sprintf("has no parent, and neither has node %d; exactly one node may be joined to the source", root)}
		case p == Root:
			root = i
		case p < 0 || p >= len(nodes):
			return 0, &InputError{i, fmt.Sprintf("parent %d does not exist; expected 0 to %d, or %d for the root", p, len(nodes)-1, Root)}
		}
	}
	if root < 0 {
		return 0, &InputError{-1, fmt.Sprintf("none of the %d nodes has parent %d; exactly one must be joined to the source", len(nodes), Root)}
	}
	return root, nil
}

func checkValue(name string, v float64, unit string) string {
	switch {
	case v == 0 || v >= minInput && v <= maxInput:
		return ""
	case math.IsNaN(v):
		return fmt.Sprintf("%s is not a number; expected 0, or %g to %g %s", name, minInput, maxInput, unit)
	}
	return fmt.Sprintf("%s is %g %s; expected 0, or %g to %g %s", name, v, unit, minInput, maxInput, unit)
}

// sortFromRoot lists the nodes that hang on the root, parents first, level by
// level, and the position of each one's parent in that list.
func sortFromRoot(nodes []Node, root int) (order, parent []int) {
	n := len(nodes)
	first := make([]int, n+1) // children of i: children[first[i]:first[i+1]]
	for i := range nodes {
		if p := nodes[i].Parent; p >= 0 {
			first[p+1]++
		}
	}
	for i := range n {
		first[i+1] += first[i]
	}
	children := make([]int, n)
	next := append([]int(nil), first[:n]...)
	for i := range nodes {
		if p := nodes[i].Parent; p >= 0 {
			children[next[p]] = i
			next[p]++
		}
	}
	order = append(make([]int, 0, n), root)
	parent = append(make([]int, 0, n), -1)
	for k := 0; k < len(order); k++ {
		i := order[k]
		for _, c := range children[first[i]:first[i+1]] {
			order = append(order, c)
			parent = append(parent, k)
		}
	}
	return order, parent
}

// cycleError names a node on a cycle. Every node that sortFromRoot did not
// reach leads into one, since following its parents never ends at the root.
func cycleError(nodes []Node, reached []int) error {
	seen := make([]bool, len(nodes))
	for _, i := range reached {
		seen[i] = true
	}
	i := 0
	for seen[i] {
		i++
	}
	for ; !seen[i]; i = nodes[i].Parent {
		seen[i] = true
	}
	return &InputError{i, fmt.Sprintf("following its parents (next: %d) leads back to it; every node must lead to the root", nodes[i].Parent)}
}
