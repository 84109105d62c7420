package bound

import (
	"cmp"
	"container/heap"
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// tree is a random network for the simulation: nodes in a tree, an output port for each direction of each link.
type tree struct {
	above  []int  // node above; -1 at the root
	out    []Port // port 2i-2 leads from node i to the one above, 2i-1 back
	flows  []Flow // in whole frames of equal size
	period []float64
	jitter []float64
	count  []int // frames at once
}

// draw is a source of choices: a seeded generator, or rapid.
type draw func(name string, n int) int

func randomTree(d draw) *tree {
	n := 2 + d("nodes", 7)
	x := &tree{above: []int{-1}}
	queues := [][8]uint8{{}, {0, 0, 0, 0, 1, 1, 1, 1}, {0, 0, 1, 1, 2, 2, 3, 3}}[d("queues", 3)]
	rates := []float64{10e6, 100e6, 1e9}
	for i := 1; i < n; i++ {
		if i == 1 || d("chain", 3) > 0 {
			x.above = append(x.above, i-1) // long lines are where bursts meet
		} else {
			x.above = append(x.above, d("above", i))
		}
		rate := rates[d("rate", 3)]
		for range 2 {
			x.out = append(x.out, Port{
				Rate: rate, Propagation: float64(d("metres", 100)) * 5.7e-9, Processing: float64(d("processing", 10)) * 1e-6,
				CutThrough: d("cut-through", 2) == 0, FIFO: d("fifo", 2) == 0, Queue: queues, States: 1,
			})
		}
	}
	load := make([]float64, len(x.out))
	legs := map[string]*Leg{}
	scale := []float64{0.1e-3, 1e-3}[d("scale", 2)] // crowded or not
	for range 1 + d("flows", 30) {
		from, to := d("from", n), d("to", n)
		if d("usual", 3) > 0 {
			from, to = n-1, 0 // many flows with one way
		}
		if from == to {
			continue
		}
		frame := float64(84+d("frame", 1459)) * 8
		count := 1 + d("count", 3)
		period := float64(1+d("period", 20)) * scale
		if d("burst", 8) == 0 { // a rare burst, behind which the frames of others bunch
			count, period = 10+d("many", 40), 20e-3
		}
		way := x.way(from, to)
		rate := frame * float64(count) / period
		if slices.ContainsFunc(way, func(p int32) bool { return load[p]+rate > x.out[p].Rate }) {
			continue
		}
		for _, p := range way {
			load[p] += rate
		}
		jitter := float64(d("jitter", 3)) * 50e-6
		b := Periodic(frame*float64(count), period, jitter)
		x.flows = append(x.flows, Flow{
			Bucket: b, Largest: frame, Smallest: frame, Priority: uint8(d("priority", 8)),
			Passing: d("passing", 5) == 0, Way: share(legs, split(way, d)),
		})
		x.period, x.jitter, x.count = append(x.period, period), append(x.jitter, jitter), append(x.count, count)
	}
	return x
}

// split makes one or two legs of a way: the bounds must hold however it is cut.
func split(way []int32, d draw) []*Leg {
	if len(way) < 2 || d("split", 2) == 0 {
		return []*Leg{{{Ports: way}}}
	}
	k := 1 + d("at", len(way)-1)
	return []*Leg{{{Ports: way[:k]}}, {{Ports: way[k:]}}}
}

// share replaces legs by equal ones of flows before, so that flows are taken through them together.
func share(known map[string]*Leg, way []*Leg) []*Leg {
	for i, l := range way {
		key := fmt.Sprint(*l)
		if known[key] == nil {
			known[key] = l
		}
		way[i] = known[key]
	}
	return way
}

func (x *tree) way(from, to int) []int32 {
	var up, down []int32
	for a, b := from, to; a != b; {
		if a > b {
			up = append(up, int32(2*a-2))
			a = x.above[a]
		} else {
			down = append(down, int32(2*b-1))
			b = x.above[b]
		}
	}
	slices.Reverse(down)
	return append(up, down...)
}

// frame is one frame on its way in the simulation.
type frame struct {
	flow, at int // the flow and the index on its way
	born     float64
	entered  float64 // when it could be sent at its present port
	serial   int
}

// event is something that happens at a time: a frame is ready at its port, or a port has finished.
type event struct {
	at     float64
	serial int
	frame  *frame
	port   int32 // when frame is nil: the port that has finished
}

type agenda []event

func (a agenda) Len() int { return len(a) }
func (a agenda) Less(i, j int) bool {
	return a[i].at < a[j].at || a[i].at == a[j].at && a[i].serial < a[j].serial
}
func (a agenda) Swap(i, j int) { a[i], a[j] = a[j], a[i] }
func (a *agenda) Push(x any)   { *a = append(*a, x.(event)) }
func (a *agenda) Pop() any {
	old := *a
	last := old[len(old)-1]
	*a = old[:len(old)-1]
	return last
}

// simulation plays the network frame by frame. It shares no code with the bounds.
type simulation struct {
	*tree
	r       *rand.Rand
	ways    [][]int32
	events  agenda
	serial  int
	waiting [][]*frame // at each port
	busy    []bool
	backlog []float64 // of each port, bit, what is being sent included
	worst   []float64 // delay of each flow
	deepest []float64 // backlog of each port
	victim  int       // flow that ports in unknown order serve last
}

// simulate plays until nothing is left, and returns the longest delay of each flow and the deepest backlog of each port.
func simulate(x *tree, r *rand.Rand, horizon float64) *simulation {
	s := &simulation{
		tree: x, r: r, waiting: make([][]*frame, len(x.out)), busy: make([]bool, len(x.out)),
		backlog: make([]float64, len(x.out)), worst: make([]float64, len(x.flows)), deepest: make([]float64, len(x.out)),
	}
	if len(x.flows) > 0 {
		s.victim = r.IntN(len(x.flows))
	}
	together := r.IntN(3) == 0 // all at once, where bursts meet
	meet := r.Float64() * 5e-3
	for i, f := range x.flows {
		var way []int32
		for _, l := range f.Way {
			way = append(way, (*l)[0].Ports...)
		}
		s.ways = append(s.ways, way)
		phase := r.Float64() * x.period[i]
		if together {
			phase = meet
		}
		for t := phase; t < horizon; t += x.period[i] {
			for range x.count[i] {
				at := max(0, t+(2*r.Float64()-1)*x.jitter[i])
				if r.IntN(2) == 0 {
					at = max(0, t)
				}
				ready := at
				if f.Passing {
					ready += s.processing(way[0])
				}
				s.add(event{at: ready, frame: &frame{flow: i, born: at}})
			}
		}
	}
	for s.events.Len() > 0 {
		e := heap.Pop(&s.events).(event)
		if e.frame != nil {
			s.ready(e)
		} else {
			s.busy[e.port] = false
			s.send(e.port, e.at)
		}
	}
	return s
}

func (s *simulation) add(e event) {
	s.serial++
	e.serial = s.serial
	heap.Push(&s.events, e)
}

// processing draws how long a node takes: often the longest, sometimes nothing.
func (s *simulation) processing(p int32) float64 {
	switch s.r.IntN(3) {
	case 0:
		return s.out[p].Processing
	case 1:
		return 0
	}
	return s.r.Float64() * s.out[p].Processing
}

func (s *simulation) ready(e event) {
	f := e.frame
	p := s.ways[f.flow][f.at]
	f.entered, f.serial = e.at, e.serial
	s.waiting[p] = append(s.waiting[p], f)
	s.backlog[p] += s.flows[f.flow].Largest
	s.deepest[p] = max(s.deepest[p], s.backlog[p])
	if !s.busy[p] {
		s.send(p, e.at)
	}
}

// send starts the next frame of a port: of the highest queue, in order or, where the order is unknown, whichever the
// generator likes, but never a later frame of a flow before an earlier one.
func (s *simulation) send(p int32, now float64) {
	if len(s.waiting[p]) == 0 {
		return
	}
	port := &s.out[p]
	queue := func(f *frame) int { return int(port.Queue[s.flows[f.flow].Priority]) }
	slices.SortStableFunc(s.waiting[p], func(a, b *frame) int {
		return cmp.Or(cmp.Compare(queue(b), queue(a)), cmp.Compare(a.entered, b.entered), cmp.Compare(a.serial, b.serial))
	})
	best := 0
	if !port.FIFO {
		for i, f := range s.waiting[p] {
			if queue(f) == queue(s.waiting[p][0]) && f.flow != s.victim {
				best = i // anybody before the victim, the last that came before the others
			}
		}
		first := s.waiting[p][best].flow
		best = slices.IndexFunc(s.waiting[p], func(f *frame) bool { return f.flow == first })
	}
	f := s.waiting[p][best]
	s.waiting[p] = slices.Delete(s.waiting[p], best, best+1)
	size := s.flows[f.flow].Largest
	end := now + size/port.Rate
	s.busy[p] = true
	s.add(event{at: end, port: p})
	s.backlog[p] -= size // what is being sent has left the memory sooner or later; the bound counts it as waiting until its end
	way := s.ways[f.flow]
	if f.at+1 == len(way) {
		last := end - 96/port.Rate + port.Propagation
		s.worst[f.flow] = max(s.worst[f.flow], last-f.born)
		return
	}
	next := way[f.at+1]
	arrival := end - 96/port.Rate + port.Propagation
	if s.out[next].CutThrough && s.out[next].Rate <= port.Rate {
		arrival = now + 176/port.Rate + port.Propagation
	}
	// Frames of one link are processed in order: one that is quicker waits for the one before it.
	s.add(event{at: s.inOrder(f, p, arrival+s.processing(next)), frame: &frame{flow: f.flow, at: f.at + 1, born: f.born}})
}

// inOrder keeps the frames of one flow in order although their processing times differ.
func (s *simulation) inOrder(f *frame, p int32, at float64) float64 {
	for _, e := range s.events {
		if e.frame != nil && e.frame.flow == f.flow && e.frame.at == f.at+1 {
			at = max(at, e.at)
		}
	}
	return at
}

// compare checks a simulation against the bounds, and returns the smallest and the mean ratio of bound to worst seen.
func compare(x *tree, s *simulation, r *Result) error {
	for i, f := range r.Flows {
		if f.Lack.Reason != Fine {
			return fmt.Errorf("flow %d has no bound: %+v", i, f.Lack)
		}
		if s.worst[i] > f.Delay*(1+1e-9) { // rounding of sums of times
			return fmt.Errorf("flow %d took %v, which is more than the bound %v: %+v", i, s.worst[i], f.Delay, x)
		}
	}
	for p, b := range r.Ports {
		if s.deepest[p] > b.Backlog*(1+1e-9) {
			return fmt.Errorf("port %d had %v waiting, which is more than the bound %v", p, s.deepest[p], b.Backlog)
		}
	}
	return nil
}

// TestSimulation plays thousands of random networks: nothing ever takes longer than its bound.
func TestSimulation(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	runs := 2000
	if testing.Short() {
		runs = 200
	}
	for range runs {
		x := randomTree(func(_ string, n int) int { return r.IntN(n) })
		b, err := Solve(context.Background(), x.out, x.flows)
		require.NoError(t, err)
		for range 3 {
			require.NoError(t, compare(x, simulate(x, r, 20e-3), b))
		}
	}
}

// TestMonotone: a longer cable, a slower node, one more flow, or slower links everywhere never shorten a bound. One slower
// link alone never shortens the delay at its own port; behind it, it may, because it spaces the frames that meet there.
func TestMonotone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := func(name string, n int) int { return rapid.IntRange(0, n-1).Draw(t, name) }
		x := randomTree(d)
		if len(x.flows) == 0 {
			return
		}
		before, err := Solve(context.Background(), x.out, x.flows)
		if err != nil {
			t.Fatal(err)
		}
		p, only := d("changed port", len(x.out)), false
		ports, flows := slices.Clone(x.out), slices.Clone(x.flows)
		switch d("change", 5) {
		case 0:
			ports[p].Propagation += 1e-6
		case 1:
			ports[p].Processing += 1e-6
		case 2:
			ports[p].Rate *= 0.9
			only = true
		case 3:
			flows = append(flows, flows[d("again", len(flows))])
		case 4:
			for i := range ports {
				ports[i].Rate *= 0.9
			}
		}
		after, err := Solve(context.Background(), ports, flows)
		if err != nil {
			t.Fatal(err)
		}
		if b, a := before.Ports[p], after.Ports[p]; a.Lack.Reason == Fine && a.Delay < b.Delay*(1-1e-9) {
			t.Fatalf("port %d: bound %v became %v", p, b.Delay, a.Delay)
		}
		for i, f := range before.Flows {
			if g := after.Flows[i]; !only && g.Lack.Reason == Fine && g.Delay < f.Delay*(1-1e-9) {
				t.Fatalf("flow %d: bound %v became %v", i, f.Delay, g.Delay)
			}
		}
	})
}

// BenchmarkTightness reports how far the bound of the delay is above the worst that a simulation of random small networks
// finds: the mean over all flows, and over the flow of each network that is nearest to its bound.
func BenchmarkTightness(b *testing.B) {
	sum, count, nearest, networks := 0.0, 0.0, 0.0, 0.0
	r := rand.New(rand.NewPCG(3, 4))
	for b.Loop() {
		x := randomTree(func(_ string, n int) int { return r.IntN(n) })
		if len(x.flows) == 0 {
			continue
		}
		bounds, err := Solve(context.Background(), x.out, x.flows)
		require.NoError(b, err)
		worst := make([]float64, len(x.flows))
		for range 30 {
			for i, w := range simulate(x, r, 20e-3).worst {
				worst[i] = max(worst[i], w)
			}
		}
		best := math.Inf(1)
		for i, f := range bounds.Flows {
			sum, count, best = sum+f.Delay/worst[i], count+1, min(best, f.Delay/worst[i])
		}
		nearest, networks = nearest+best, networks+1
	}
	b.ReportMetric(sum/count, "bound/worst-mean")
	b.ReportMetric(nearest/networks, "bound/worst-nearest")
}
