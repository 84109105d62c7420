package logic

import "errors"

// Cone returns the names of the signals that the property's answer can depend on, in the order declared: those it is built
// from, back through all memories, and those of the assumptions in force (all but those in without), which can take runs
// away. A fault on any other signal leaves the verdict and the fewest steps as they are, so that many single faults need no
// proof of their own. What a fault of this system has cut off is not part of the cone.
//
// The cone is that of the expressions as they were written. It may be larger than what the answer depends on, never smaller.
func (s *System) Cone(p Property, without ...string) ([]string, error) {
	as, err := s.active(without)
	if err := errors.Join(s.Err(), p.check(s), err); err != nil {
		return nil, err
	}
	roots := p.roots()
	for _, a := range as {
		roots = append(roots, a.expr)
	}
	needed := s.needed(roots)
	var names []string
	for i := range s.g.signals {
		if sig := &s.g.signals[i]; needed[sig.node] {
			names = append(names, sig.name)
		}
	}
	return names, nil
}

// needed tells by node whether the roots rest on it. A signal with a fault rests on nothing.
func (s *System) needed(roots []int32) []bool {
	g := s.g
	faults := s.faultMap()
	needed := make([]bool, len(g.nodes))
	stack := append([]int32(nil), roots...)
	visit := func(id int32) { stack = append(stack, id) }
	for len(stack) > 0 {
		id := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		if needed[id] {
			continue
		}
		needed[id] = true
		if _, faulty := faults[id]; faulty {
			continue
		}
		if o := g.nodes[id].op; o == opLatch || o == opIntLatch {
			visit(g.latches[g.nodes[id].a].next)
			continue
		}
		g.args(id, visit)
	}
	return needed
}
