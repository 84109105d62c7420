package power

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"github.com/guardwright/guardwright/calc/power/internal/radial"
	"github.com/guardwright/guardwright/model"
)

// states holds voltage, current and return potential of every node in every case.
type states struct {
	v, i, minus [numCases][]float64
	solved      [numCases][]bool // by tree
}

// ok reports whether a case is solved at the nodes of a tree; terminals without a tree always are.
func (s *states) ok(c Case, tree int32) bool {
	return s.solved[c] != nil && (tree == none || s.solved[c][tree])
}

// solve computes the operating point of every network in every case.
func (p *plan) solve(ctx context.Context, r *Result) (*states, error) {
	s := &states{}
	for _, c := range r.Cases {
		block := make([]float64, 3*len(p.nodes))
		n := len(p.nodes)
		s.v[c], s.i[c], s.minus[c] = block[:n:n], block[n:2*n:2*n], block[2*n:]
		s.solved[c] = make([]bool, len(p.trees))
	}
	solver := &solver{plan: p, states: s, local: make([]int32, len(p.nodes))}
	for _, t := range p.trees {
		for k, at := range t.nodes {
			solver.local[at] = int32(k)
		}
	}
	for _, group := range p.groups(r) {
		for _, c := range r.Cases {
			if err := ctx.Err(); err != nil {
				return nil, err
			}
			if err := solver.solve(group, c); err != nil {
				return nil, err
			}
		}
	}
	p.finishTerminals(r, s)
	return s, nil
}

// group is the trees of one network.
type group struct {
	network *Network
	trees   []int32
	coupled bool // return conductors are shared within the group
	pulls   bool // magnets draw more while they pull
}

// groups joins the trees that share return conductors and makes the networks.
func (p *plan) groups(r *Result) []*group {
	root := make([]int32, len(p.trees))
	for i := range root {
		root[i] = int32(i)
	}
	find := func(i int32) int32 {
		for root[i] != i {
			root[i] = root[root[i]]
			i = root[i]
		}
		return i
	}
	for i := range p.nodes {
		if q := p.nodes[i].partner; q != none {
			a, b := find(p.nodes[i].tree), find(p.nodes[q].tree)
			root[max(a, b)] = min(a, b)
		}
	}
	groups := make([]*group, len(p.trees))
	var out []*group
	for i := range p.trees {
		g := groups[find(int32(i))]
		if g == nil {
			g = &group{network: &Network{}}
			groups[find(int32(i))] = g
			out = append(out, g)
			r.Networks = append(r.Networks, g.network)
		}
		g.trees = append(g.trees, int32(i))
		p.trees[i].network = g.network
		p.describeTree(g, &p.trees[i])
	}
	p.listNetworks()
	return out
}

// describeTree notes what a tree brings into its group.
func (p *plan) describeTree(g *group, t *tree) {
	for _, at := range t.nodes {
		n := &p.nodes[at]
		g.coupled = g.coupled || n.partner != none
		for _, l := range p.loadsAt(n) {
			g.pulls = g.pulls || pullCurrent(l.Load) > 0
		}
	}
}

func (p *plan) loadsAt(n *node) []*Load { return p.loads[n.firstLoad : n.firstLoad+n.loads] }

// listNetworks lists supplies and feeds of the networks in the order of the machine.
func (p *plan) listNetworks() {
	for i := range p.trees {
		network, supply := p.trees[i].network, p.machine.Power.Supplies[p.trees[i].supply]
		if !slices.Contains(network.Supplies, supply) {
			network.Supplies = append(network.Supplies, supply)
		}
	}
	for _, feed := range p.machine.Power.Feeds {
		for _, fc := range feed.Circuits {
			if at, ok := p.feedNode[fc]; ok {
				network := p.trees[p.nodes[at].tree].network
				network.Feeds = append(network.Feeds, fc)
			}
		}
	}
}

// pullCurrent is what a magnet draws while it pulls; zero for other loads.
func pullCurrent(l *model.DeviceLoad) model.Current {
	if l.PullIn <= 0 || l.Inrush == nil {
		return 0
	}
	return l.Inrush.Current
}

// voltage is that of the ideal source of a supply in a case.
func (c Case) voltage(s *model.Supply) model.Voltage {
	switch c {
	case Highest, HighestLoaded:
		return s.Type.Max
	case Nominal:
		return nominal(s)
	}
	return s.Type.Min
}

// nominal is the nominal voltage of a supply; 24 V where its type does not say.
func nominal(s *model.Supply) model.Voltage {
	if s.Type.Nominal > 0 {
		return s.Type.Nominal
	}
	return 24
}

// solver solves the networks one after another.
type solver struct {
	plan   *plan
	states *states
	local  []int32 // index of a node within its tree
	nodes  []radial.Node
}

func (s *solver) solve(g *group, c Case) error {
	operation := &g.network.Operation[c]
	if c == Pulling && !g.pulls && s.states.solved[Lowest] != nil {
		s.copyCase(g, Pulling, Lowest)
		*operation = g.network.Operation[Lowest]
		if operation.Status == Solved {
			operation.Collapse = nil
		}
		return nil
	}
	if g.coupled {
		return s.solveCoupled(g, c)
	}
	for _, at := range g.trees {
		t, err := s.radial(at, c, 1)
		if err != nil {
			return err
		}
		if err := s.solveTree(g, at, t, c); err != nil {
			return err
		}
	}
	return nil
}

// solveTree solves the only tree of a network.
func (s *solver) solveTree(g *group, at int32, t *radial.Tree, c Case) error {
	operation := &g.network.Operation[c]
	solution, err := t.Solve()
	var impossible *radial.NoSolutionError
	switch {
	case errors.As(err, &impossible):
		s.refuse(operation, at, c, impossible)
		return nil
	case err != nil:
		return err
	}
	operation.Status = Solved
	s.keep(at, c, solution)
	if c == Lowest {
		collapse, err := t.Collapse()
		if err != nil {
			return err
		}
		operation.Collapse = s.collapse(at, c, collapse)
	}
	return nil
}

// radial lays a tree out for the solver, its constant powers multiplied by a factor.
func (s *solver) radial(at int32, c Case, factor float64) (*radial.Tree, error) {
	p := s.plan
	t := &p.trees[at]
	supply := p.machine.Power.Supplies[t.supply]
	source := radial.Source{Voltage: float64(c.voltage(supply)), Resistance: float64(supply.Type.SourceResistance)}
	temperature := c.temperature()
	s.nodes = s.nodes[:0]
	for k, index := range t.nodes {
		n := &p.nodes[index]
		node := radial.Node{Parent: radial.Root}
		if n.parent != none {
			if k > 0 {
				node.Parent = int(s.local[n.parent])
			}
			node.RPlus, node.RMinus = n.plus(temperature), n.ret(temperature)
		}
		for _, l := range p.loadsAt(n) {
			addLoad(&node, l.Load, c, factor)
		}
		s.nodes = append(s.nodes, node)
	}
	tree, err := radial.New(source, s.nodes)
	var bad *radial.InputError
	if errors.As(err, &bad) && bad.Node >= 0 {
		return nil, fmt.Errorf("%s: %s", p.nodes[t.nodes[bad.Node]].place.Origin().Path, bad.Problem)
	}
	return tree, err
}

// addLoad adds a load to a node if it is on in the case.
func addLoad(n *radial.Node, l *model.DeviceLoad, c Case, factor float64) {
	if c == Highest && !l.Permanent {
		return
	}
	switch pull := pullCurrent(l); {
	case c == Pulling && pull > 0:
		n.Current += float64(pull)
	case l.Current != nil:
		n.Current += float64(*l.Current)
	case l.Power != nil:
		n.Power += factor * float64(*l.Power)
	case l.Resistance != nil:
		n.Conductance += 1 / float64(*l.Resistance)
	}
}

// current is what a load draws at a voltage in a case.
func current(l *model.DeviceLoad, c Case, v model.Voltage) model.Current {
	var n radial.Node
	addLoad(&n, l, c, 1)
	return model.Current(n.Current + n.Conductance*float64(v) + n.Power/float64(v))
}

// keep stores the solution of a tree.
func (s *solver) keep(at int32, c Case, solution *radial.Solution) {
	for k, index := range s.plan.trees[at].nodes {
		s.states.v[c][index] = solution.Voltage[k]
		s.states.i[c][index] = solution.Branch[k]
		s.states.minus[c][index] = solution.Minus[k]
	}
	s.states.solved[c][at] = true
}

// copyCase takes a case over from another one that is the same for the group.
func (s *solver) copyCase(g *group, to, from Case) {
	for _, at := range g.trees {
		for _, index := range s.plan.trees[at].nodes {
			s.states.v[to][index] = s.states.v[from][index]
			s.states.i[to][index] = s.states.i[from][index]
			s.states.minus[to][index] = s.states.minus[from][index]
		}
		s.states.solved[to][at] = s.states.solved[from][at]
	}
}

// refuse states why a network has no operating point.
func (s *solver) refuse(operation *Operation, at int32, c Case, e *radial.NoSolutionError) {
	operation.Status = NoOperatingPoint
	operation.Collapse = s.collapse(at, c, e.Collapse)
	where, edge := operation.Collapse.At.name(), operation.Collapse.Edge.name()
	if e.WithoutPower {
		operation.Why = fmt.Sprintf("the constant currents alone leave no voltage at %s; most is lost (%s) on the way to %s",
			where, operation.Collapse.Drop.Format(3), edge)
		return
	}
	operation.Why = fmt.Sprintf("only %s of the constant-power loads (%s in all) can be fed: then %s is down to %s, and most is lost (%s) on the way to %s",
		operation.Collapse.Lower.Format(3), operation.Collapse.Power.Format(3), where,
		operation.Collapse.Voltage.Format(3), operation.Collapse.Drop.Format(3), edge)
}

// collapse translates the limit of a tree; nil when there is none.
func (s *solver) collapse(at int32, c Case, limit radial.Collapse) *Collapse {
	if math.IsInf(limit.Lower, 1) {
		return nil
	}
	t := &s.plan.trees[at]
	out := &Collapse{
		Lower: model.Ratio(limit.Lower), Upper: model.Ratio(limit.Upper),
		At: s.plan.nodes[t.nodes[limit.Node]].place, Voltage: model.Voltage(limit.Voltage),
		Edge: s.plan.nodes[t.nodes[limit.Edge]].place, Drop: model.Voltage(limit.Drop),
		Power: s.plan.power(t, c),
	}
	if out.Upper < 1 {
		out.Excess = out.Power * model.Power(1-out.Lower)
	}
	return out
}

// power sums the constant-power loads of a tree that are on in a case.
func (p *plan) power(t *tree, c Case) model.Power {
	var sum radial.Node
	for _, at := range t.nodes {
		for _, l := range p.loadsAt(&p.nodes[at]) {
			addLoad(&sum, l.Load, c, 1)
		}
	}
	return model.Power(sum.Power)
}

// name is the path of the place with its circuit.
func (p Place) name() string {
	if p.Circuit == "" {
		return p.Origin().Path
	}
	return p.Origin().Path + " (" + string(p.Circuit) + ")"
}

// finishTerminals fills in the terminals of supplies without a source resistance, whose branches do not depend on each
// other: their voltage is the source's, their current the sum of the branches. The current stays NaN when a branch
// has no operating point.
func (p *plan) finishTerminals(r *Result, s *states) {
	for _, c := range r.Cases {
		for _, at := range p.supplyNode {
			if p.nodes[at].tree == none {
				s.v[c][at] = float64(c.voltage(p.nodes[at].place.Supply))
			}
		}
		for i := range p.nodes {
			n := &p.nodes[i]
			if n.parent == none || p.nodes[n.parent].tree != none {
				continue
			}
			if s.solved[c][n.tree] {
				s.i[c][n.parent] += s.i[c][i]
			} else {
				s.i[c][n.parent] = math.NaN()
			}
		}
	}
}
