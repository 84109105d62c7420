package power

import "github.com/guardwright/guardwright/model"

// Return conductors that carry both circuits. Each circuit is solved as a tree of its own; where the return on the way
// to a node is shared with the other circuit, its resistance carries the current of both, and the part of the drop
// that the other circuit causes enters the tree as an offset (see coupled). Two shapes are exact:
//
//   - one core: the 0 V core to a device at a port with a common return contact;
//   - two conductors in parallel: the returns of both circuits between two modules, or between the supply and a
//     module, that join the 0 V at both ends.

// shareCore says that the return to two nodes is one core.
func (p *plan) shareCore(a, b int32) {
	p.nodes[a].partner, p.nodes[b].partner = b, a
	for t := range numTemperatures {
		r := p.nodes[a].ownReturn(t)
		p.nodes[a].joined[t], p.nodes[b].joined[t] = r, r
	}
}

// joinReturns finds the modules that join the 0 V of their circuits. Where the joined returns do not run in parallel,
// the result is not exact and says so.
func (p *plan) joinReturns() {
	joined := map[*model.Module]bool{}
	for at := range p.nodes { // parents come before children
		n := &p.nodes[at]
		if n.place.Feed == nil || n.circuit != model.Sensor {
			continue
		}
		m := n.place.Feed.Feed.To.Module
		if m == nil || m.Type == nil || m.Feeds.Sensor != n.place.Feed {
			continue
		}
		other, fed := p.feedNode[m.Feeds.Actuator]
		if !fed {
			continue
		}
		switch {
		case m.Type.CommonZeroVolt == nil || !*m.Type.CommonZeroVolt:
			p.noteSharedContact(m)
		case p.inParallel(int32(at), other, joined):
			joined[m] = true
			p.parallel(int32(at), other)
		default:
			p.unevenJoins = append(p.unevenJoins, [2]int32{int32(at), other})
			n.unevenJoin, p.nodes[other].unevenJoin = true, true
		}
	}
}

// inParallel reports whether the returns of two nodes start at a common 0 V as well.
func (p *plan) inParallel(a, b int32, joined map[*model.Module]bool) bool {
	above, beside := p.nodes[a].parent, p.nodes[b].parent
	if above == beside {
		return true
	}
	if f, g := p.nodes[above].place.Feed, p.nodes[beside].place.Feed; f != nil || g != nil {
		return f != nil && g != nil && f.Feed.To.Module == g.Feed.To.Module && joined[f.Feed.To.Module]
	}
	return p.nodes[a].supply == p.nodes[b].supply && p.startsAtTerminals(above) && p.startsAtTerminals(beside)
}

// startsAtTerminals reports whether the return of what hangs on a node goes straight to the supply's terminals: no
// wiring with a return of its own lies before the protective devices.
func (p *plan) startsAtTerminals(at int32) bool {
	for ; p.nodes[at].parent != none; at = p.nodes[at].parent {
		if p.nodes[at].run != nil {
			return false
		}
	}
	return true
}

// parallel joins the returns to two nodes in parallel.
func (p *plan) parallel(a, b int32) {
	p.nodes[a].partner, p.nodes[b].partner = b, a
	for t := range numTemperatures {
		ra, rb := p.nodes[a].ownReturn(t), p.nodes[b].ownReturn(t)
		r := 0.0
		if ra > 0 && rb > 0 {
			r = ra * rb / (ra + rb)
		}
		p.nodes[a].joined[t], p.nodes[b].joined[t] = r, r
	}
}

// noteSharedContact notes ports whose one 0 V contact contradicts a module that is not said to join the 0 V.
func (p *plan) noteSharedContact(m *model.Module) {
	for _, port := range m.Ports {
		if port.Type.SharedReturn && port.Device != nil {
			p.limit(m.Origin, "", "one contact of its ports carries the 0 V of both circuits, and the module is not said to join them (common_zero_volt); the return current of each circuit is taken on its own conductors up to the port")
			return
		}
	}
}

// noteUnevenJoins notes the joined returns that are not exact, with how far the potentials that were taken apart lie
// from each other.
func (p *plan) noteUnevenJoins(s *states) {
	for _, pair := range p.unevenJoins {
		a, b := &p.nodes[pair[0]], &p.nodes[pair[1]]
		m := a.place.Feed.Feed.To.Module
		text := "the module joins the 0 V of both circuits, which reach it by ways that are not joined alike; each return current is taken on its own conductors. The voltage of the circuit with the larger drop in its return is then computed too low, which is safe; that of the other may be too high"
		if s.ok(Lowest, a.tree) && s.ok(Lowest, b.tree) {
			gap := s.minus[Lowest][pair[0]] - s.minus[Lowest][pair[1]]
			if gap < 0 {
				gap = -gap
			}
			p.limit(m.Origin, "", "%s, by up to %s in the case %v", text, model.Voltage(gap).Format(3), Lowest)
			continue
		}
		p.limit(m.Origin, "", "%s", text)
	}
}
