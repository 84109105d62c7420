package bound

import "math"

// trunk are the flows that share a leg, come from the same leg before and have the same priority. They meet the same ports
// in the same queue, so they are taken through the leg together. What each of them is like behind it follows from the
// times that the trunk spends there, because b + r·(d - e) is linear in the flow.
type trunk struct {
	leg      *Leg
	first    int32 // chains, one for each of the leg
	passing  bool  // frames come from outside into the first node
	priority uint8
	flows    []member
	bucket   Bucket
	slow     float64 // Σ rate·smallest frame
	least    float64 // smallest rate of a flow
	largest  float64
	pending  int32 // flows that have not come yet
	open     int32 // chains not done
	lack     Lack
	before   origin // the links that bring the frames to the first port
}

// member is a flow in a trunk.
type member struct {
	flow, leg int32
	burst     float64 // when it enters the leg
}

// seat is where a leg of a flow is: a trunk and the place in its list of flows.
type seat struct{ trunk, member int32 }

// chain is one chain of a trunk, with what its ports add up to.
type chain struct {
	trunk      int32
	first, end int32 // visits
	lack       Lack
	spent      float64 // processing, waiting and sending
	travelled  float64 // propagation
	sent       float64 // Σ 1/rate
	whole      float64 // Σ 1/rate over the ports but the last behind which frames are passed on whole
	header     float64 // the same behind which they are passed on from their header
	service    Service // left for the trunk alone, of all its ports
	processing float64
	disordered bool // some port serves in an unknown order
}

// visit is the passage of a chain through one server, a port in one state. There can be millions, so both amounts share a place:
// nobody asks for the burst of a trunk at a port any more once it has been served there.
type visit struct {
	chain, server int32
	// amount is the burst of the trunk while its frames wait at the port, and then the time spent there: processing, waiting
	// and sending.
	amount float64
}

// origin are the links that bring frames to a port.
type origin struct {
	key   int32 // the same for frames that come by the same links; noLink for the node's own and those from outside
	links float64
	rate  float64 // of all links together
}

const noLink = -1

// trunkKey tells trunks apart.
type trunkKey struct {
	leg, before     *Leg
	priority        uint8
	passing, astray bool
}

// eachTrunk calls f for each leg of each flow with the key of its trunk.
func eachTrunk(flows []Flow, f func(flow, leg int, key trunkKey)) {
	for i := range flows {
		x := &flows[i]
		for j, l := range x.Way {
			key := trunkKey{leg: l, priority: x.Priority, astray: x.Astray}
			if j > 0 {
				key.before = x.Way[j-1]
			} else {
				key.passing = x.Passing
			}
			f(i, j, key)
		}
	}
}

// Work is the number of passages through ports, states told apart, that [Solve] will look at.
func Work(flows []Flow) int {
	seen := map[trunkKey]bool{}
	n := 0
	eachTrunk(flows, func(_, _ int, key trunkKey) {
		if !seen[key] {
			seen[key] = true
			for _, c := range *key.leg {
				n += len(c.Ports)
			}
		}
	})
	return n
}

// gather makes the trunks.
func (s *solver) gather() {
	index := map[trunkKey]int32{}
	s.seats = make([][]seat, len(s.flows))
	eachTrunk(s.flows, func(i, j int, key trunkKey) {
		id, known := index[key]
		if !known {
			id = int32(len(s.trunks))
			index[key] = id
			s.addTrunk(key)
		}
		f, t := &s.flows[i], &s.trunks[id]
		t.flows = append(t.flows, member{flow: int32(i), leg: int32(j)})
		t.bucket.Rate += f.Rate
		t.slow += f.Rate * f.Smallest
		t.least = min(t.least, f.Rate)
		t.largest = max(t.largest, f.Largest)
		t.pending++
		s.seats[i] = append(s.seats[i], seat{id, int32(len(t.flows) - 1)})
	})
	s.layOut()
}

// layOut makes the chains and visits of all trunks and lists the visits by server. All memory is taken once: a large ring
// has millions of visits.
func (s *solver) layOut() {
	chains, visits := 0, 0
	for i := range s.trunks {
		chains += len(*s.trunks[i].leg)
		for _, c := range *s.trunks[i].leg {
			visits += len(c.Ports)
		}
	}
	s.chains, s.visits = make([]chain, 0, chains), make([]visit, 0, visits)
	s.waits = make([]int32, len(s.owner))
	for i := range s.trunks {
		s.layChains(int32(i))
	}
	all := make([]int32, 0, visits)
	s.at = make([][]int32, len(s.owner))
	for i, n := range s.waits {
		from := len(all)
		all = all[:from+int(n)]
		s.at[i] = all[from:from:len(all)]
	}
	for i := range s.visits {
		server := s.visits[i].server
		s.at[server] = append(s.at[server], int32(i))
	}
}

func (s *solver) addTrunk(key trunkKey) {
	s.trunks = append(s.trunks, trunk{
		leg: key.leg, passing: key.before != nil || key.passing, priority: key.priority, least: math.Inf(1),
		open: int32(len(*key.leg)), before: s.bringers(key.before),
	})
}

func (s *solver) layChains(id int32) {
	t := &s.trunks[id]
	t.first = int32(len(s.chains))
	for _, c := range *t.leg {
		first := int32(len(s.visits))
		for _, p := range c.Ports {
			server := s.base[p]
			if s.base[p+1]-server > 1 {
				server += c.State
			}
			s.waits[server]++
			s.visits = append(s.visits, visit{chain: int32(len(s.chains)), server: server})
		}
		s.chains = append(s.chains, chain{trunk: id, first: first, end: int32(len(s.visits)), service: Service{Rate: math.Inf(1)}})
	}
}

// bringers finds the links by which a leg ends: the last ports of its chains, which lead to the same node by at most two
// links of a ring. Frames may come by either.
func (s *solver) bringers(leg *Leg) origin {
	if leg == nil {
		return origin{noLink, 0, math.Inf(1)}
	}
	last := func(c Chain) int32 { return c.Ports[len(c.Ports)-1] }
	one := last((*leg)[0])
	for _, c := range *leg {
		if p := last(c); p != one {
			return origin{noLink - 1 - min(p, one), 2, s.ports[one].Rate + s.ports[p].Rate}
		}
	}
	return origin{one, 1, s.ports[one].Rate}
}

// incoming finds the links that bring the frames of a visit.
func (s *solver) incoming(v int32) origin {
	c := &s.chains[s.visits[v].chain]
	if v > c.first {
		p := s.owner[s.visits[v-1].server]
		return origin{p, 1, s.ports[p].Rate}
	}
	return s.trunks[c.trunk].before
}

// passing reports whether the frames of a visit pass through the port's node.
func (s *solver) passing(v int32) bool {
	c := &s.chains[s.visits[v].chain]
	return v > c.first || s.trunks[c.trunk].passing
}

// through reports whether the node behind a visit, which is not the last of its chain, passes frames on from their header.
func (s *solver) through(v int32) bool {
	if v+1 == s.chains[s.visits[v].chain].end {
		return false
	}
	next := &s.ports[s.owner[s.visits[v+1].server]]
	return next.CutThrough && next.Rate <= s.ports[s.owner[s.visits[v].server]].Rate
}

// leavesThrough reports the same for the last visit of a chain, whatever the state of the leg behind; nil: the way ends.
func (s *solver) leavesThrough(c *chain, next *Leg) bool {
	if next == nil {
		return false
	}
	rate := s.ports[s.owner[s.visits[c.end-1].server]].Rate
	for _, n := range *next {
		if p := &s.ports[n.Ports[0]]; !p.CutThrough || p.Rate > rate {
			return false
		}
	}
	return true
}

func (s *solver) nextLeg(flow, leg int) *Leg {
	if way := s.flows[flow].Way; leg+1 < len(way) {
		return way[leg+1]
	}
	return nil
}

// tail is what is left of the time of sending when the next node goes on with the frame: the gap, or with cut-through all
// but the header. The time is less the smaller the frame.
func tail(port *Port, through bool, smallest float64) float64 {
	if through {
		return (smallest - header) / port.Rate
	}
	return gap / port.Rate
}
