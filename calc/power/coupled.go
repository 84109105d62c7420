package power

import (
	"errors"
	"fmt"
	"math"

	"github.com/guardwright/guardwright/calc/power/internal/radial"
	"github.com/guardwright/guardwright/model"
)

// A network with shared return conductors is solved tree by tree, again and again: the current of the other circuit
// drops a voltage offset = R·I in a shared return, and with the offsets known each tree is solved exactly. Without
// resistive loads the offsets, which start at zero, only rise, and the voltages only fall, towards the operating
// point from above; so if a tree has no operating point on the way, the network has none. Resistive loads draw less
// at a lower voltage, which lets the iteration swing; it is then trusted when it settles and not otherwise.

const (
	settled   = 1e-11 // V, change of an offset at which the iteration ends
	maxRounds = 400
)

// coupling is the state of the iteration for one group and case.
type coupling struct {
	trees   []*radial.Tree
	offsets [][]float64
	last    []*radial.Solution
}

// solveCoupled solves a network with shared return conductors.
func (s *solver) solveCoupled(g *group, c Case) error {
	operation := &g.network.Operation[c]
	k, failed, err := s.iterate(g, c, 1)
	if err != nil {
		return err
	}
	if failed == nil {
		operation.Status = Solved
		for i, at := range g.trees {
			s.keep(at, c, k.last[i])
		}
		if c == Lowest {
			return s.coupledCollapse(g, c, operation)
		}
		return nil
	}
	if failed.impossible != nil && (failed.first || !s.resistive(g)) {
		s.refuse(operation, failed.tree, c, failed.impossible)
		return nil
	}
	operation.Status = NotConverged
	operation.Why = "the iteration over the return conductors that both circuits share did not settle; the network is close to having no operating point, or has none"
	return nil
}

// failure says where the iteration ended without an operating point.
type failure struct {
	tree       int32
	impossible *radial.NoSolutionError // nil: it did not settle
	first      bool                    // without any offset
}

// iterate solves the trees of a group in turn until their offsets settle.
func (s *solver) iterate(g *group, c Case, factor float64) (*coupling, *failure, error) {
	k := &coupling{}
	for _, at := range g.trees {
		t, err := s.radial(at, c, factor)
		if err != nil {
			return nil, nil, err
		}
		k.trees = append(k.trees, t)
		k.offsets = append(k.offsets, make([]float64, len(s.plan.trees[at].nodes)))
		k.last = append(k.last, nil)
	}
	index := map[int32]int{}
	for i, at := range g.trees {
		index[at] = i
	}
	for round := range maxRounds {
		change := 0.0
		for i, at := range g.trees {
			change = max(change, s.offsets(k, i, at, c, index))
			if round > 0 && change <= settled && k.last[i] != nil {
				continue
			}
			t, err := k.trees[i].WithDrops(k.offsets[i])
			if err != nil {
				return nil, nil, err
			}
			solution, err := t.Solve()
			var impossible *radial.NoSolutionError
			if errors.As(err, &impossible) {
				return nil, &failure{at, impossible, round == 0 && i == 0}, nil
			}
			if err != nil {
				return nil, nil, err
			}
			k.last[i] = solution
		}
		if round > 0 && change <= settled {
			return k, nil, nil
		}
	}
	return nil, &failure{tree: g.trees[0]}, nil
}

// offsets works out what the currents of the other circuit drop in the shared returns of a tree, and returns the
// largest change.
func (s *solver) offsets(k *coupling, i int, at int32, c Case, index map[int32]int) (change float64) {
	temperature := c.temperature()
	for j, node := range s.plan.trees[at].nodes {
		n := &s.plan.nodes[node]
		if n.partner == none {
			continue
		}
		other := k.last[index[s.plan.nodes[n.partner].tree]]
		if other == nil {
			continue
		}
		offset := n.joined[temperature] * other.Branch[s.local[n.partner]]
		change = max(change, math.Abs(offset-k.offsets[i][j]))
		k.offsets[i][j] = offset
	}
	return change
}

// resistive reports whether a group has loads that draw less at a lower voltage.
func (s *solver) resistive(g *group) bool {
	for _, at := range g.trees {
		for _, node := range s.plan.trees[at].nodes {
			for _, l := range s.plan.loadsAt(&s.plan.nodes[node]) {
				if l.Load.Resistance != nil {
					return true
				}
			}
		}
	}
	return false
}

// coupledCollapse encloses the collapse factor of a coupled network: below by a factor at which an operating point was
// found, above by the least factor of a single tree without the drops that the other circuit adds, or by one at which
// none was found. The bounds are narrowed to a tenth.
func (s *solver) coupledCollapse(g *group, c Case, operation *Operation) error {
	lower, upper := 1.0, math.Inf(1)
	for _, at := range g.trees {
		t, err := s.radial(at, c, 1)
		if err != nil {
			return err
		}
		limit, err := t.Collapse()
		if err != nil {
			return fmt.Errorf("collapse factor: %w", err)
		}
		if limit.Upper < upper {
			upper = limit.Upper
			operation.Collapse = s.collapse(at, c, limit)
		}
	}
	if operation.Collapse == nil {
		return nil
	}
	for try := 0.95 * upper; upper > 1.1*lower; try = math.Sqrt(lower * upper) {
		_, failed, err := s.iterate(g, c, max(try, lower))
		if err != nil {
			return err
		}
		if failed == nil {
			lower = try
		} else {
			upper = try
		}
	}
	var power model.Power
	for _, at := range g.trees {
		power += s.plan.power(&s.plan.trees[at], c)
	}
	operation.Collapse.Lower, operation.Collapse.Upper, operation.Collapse.Power = model.Ratio(lower), model.Ratio(upper), power
	return nil
}
