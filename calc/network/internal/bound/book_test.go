package bound

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestBook works the examples of network calculus. Sources: J.-Y. Le Boudec, P. Thiran, "Network Calculus" (LNCS 2050),
// theorem by theorem; the numbers are derived from its formulas unless a comment says that the book prints them. They
// are exact but for the last digits of float64.
func TestBook(t *testing.T) {
	const micro = 1e-6
	same := func(want, got float64, what string) {
		t.Helper()
		assert.InEpsilon(t, want, got, 1e-12, what)
	}
	t.Run("token bucket through rate-latency", func(t *testing.T) { // theorems 1.4.1 to 1.4.3
		flow, service := Bucket{800, 0.8e6}, Service{100e6, 12.5 * micro}
		same(20.5*micro, flow.Delay(service), "delay")
		same(810, flow.Backlog(service), "backlog")
		same(810, flow.Output(service).Burst, "output burst")
	})
	t.Run("pay bursts only once", func(t *testing.T) { // section 1.4.3
		flow, node := Bucket{4000, 10e6}, Service{100e6, 12.5 * micro}
		same(77.5*micro, flow.Delay(node.Then(node).Then(node)), "all three together")
		sum := 0.0
		for range 3 {
			sum += flow.Delay(node)
			flow = flow.Output(node)
		}
		same(161.25*micro, sum, "one by one")
		same(4375, flow.Burst, "final burst")
	})
	t.Run("priority without preemption", func(t *testing.T) { // proposition 1.3.4
		same(128*micro, Bucket{800, 0.8e6}.Delay(Queue(100e6, Bucket{}, 12000)), "high queue")
		low := Queue(100e6, Bucket{800, 0.8e6}, 0)
		same(99.2e6, low.Rate, "low queue, rate")
		same(800/99.2e6, low.Latency, "low queue, latency")
	})
	t.Run("in order and in unknown order", func(t *testing.T) { // corollary 6.2.3, theorem 6.2.1 and corollary 6.2.2
		flow, others, service := Bucket{800, 0.8e6}, Bucket{12000, 20e6}, Service{100e6, 12.5 * micro}
		both := Bucket{flow.Burst + others.Burst, flow.Rate + others.Rate}
		same(140.5*micro, both.Delay(service), "all flows, in order")
		same(142.5*micro, flow.Delay(service.FIFO(others)), "one flow, in order")
		same(175.625*micro, flow.Delay(service.Blind(others)), "one flow, unknown order")
		same(906, flow.Output(service.FIFO(others)).Burst, "output burst, in order")
		same(932.5, flow.Output(service.Blind(others)).Burst, "output burst, unknown order")
	})
	t.Run("ten cell flows", func(t *testing.T) {
		// The book prints 10 cells and 18 slots for the stair curve of GCRA(25, 4); the bucket r = 1/25, b = 1.16 each is
		// above the stair, so its bounds are larger: 19.6 slots and 14.8 cells.
		flow, service := Bucket{10 * 1.16, 10.0 / 25}, Service{1, 8}
		same(19.6, flow.Delay(service), "delay")
		same(14.8, flow.Backlog(service), "backlog")
		assert.GreaterOrEqual(t, flow.Delay(service), 18.0, "the published exact value")
		assert.GreaterOrEqual(t, flow.Backlog(service), 10.0, "the published exact value")
	})
	t.Run("no bound", func(t *testing.T) { // r > R has none, r = R has a finite delay
		assert.True(t, math.IsInf(Bucket{1, 2}.Delay(Service{1, 0}), 1))
		assert.True(t, math.IsInf(Bucket{1, 2}.Backlog(Service{1, 0}), 1))
		same(3, Bucket{1, 1}.Delay(Service{1, 2}), "equal rates")
		assert.LessOrEqual(t, Service{1, 0}.Blind(Bucket{1, 1}).Rate, 0.0)
		assert.LessOrEqual(t, Service{1, 0}.FIFO(Bucket{1, 1}).Rate, 0.0)
	})
}

// TestPeakLimitedFlow checks the broken line against proposition 1.4.1: a flow min(M + p·t, b + r·t) through a
// rate-latency service has delay (M + θ(p - R)⁺)/R + T and backlog b + rT + (θ - T)⁺((p - R)⁺ - p + r), with
// θ = (b - M)/(p - r). Here a port has T = 0 or the latency of a lower frame, T = L/R.
func TestPeakLimitedFlow(t *testing.T) {
	for _, x := range []struct{ m, p, b, r, rate, lower float64 }{
		{800, 100e6, 12000, 10e6, 50e6, 0},
		{800, 100e6, 12000, 10e6, 50e6, 12336},
		{800, 20e6, 12000, 10e6, 50e6, 12336}, // a peak below the service: no queue but the frame
		{12336, 100e6, 50000, 99e6, 100e6, 672},
	} {
		var line, above brokenLine
		line.sum([]input{{Bucket{x.b, x.r}, x.m, x.p}})
		above.sum(nil)
		theta, latency := (x.b-x.m)/(x.p-x.r), x.lower/x.rate
		delay := (x.m+theta*max(0, x.p-x.rate))/x.rate + latency
		assert.InEpsilon(t, delay, fifoDelay(x.rate, x.lower, &line, &above), 1e-12)
		if x.lower == 0 {
			want := x.b + (theta)*(max(0, x.p-x.rate)-x.p+x.r)
			assert.InEpsilon(t, want, backlog(x.rate, &line), 1e-12)
		}
	}
}

// TestGuaranteedService is the published figure of the book's section on RSVP: M 2 KiB, p 10 Mbit/s, r 512 kbit/s,
// b 32 KiB, C_tot 51.2 kbit, D_tot 0.1 s. The book reserves 622 kbit/s for 0.6 s; that rate gives 0.5992 s, and the
// smallest rate that keeps 0.6 s is 621.04 kbit/s (derived).
func TestGuaranteedService(t *testing.T) {
	delay := func(rate float64) float64 {
		var line, above brokenLine
		line.sum([]input{{Bucket{32 * 8192, 512e3}, 2 * 8192, 10e6}})
		above.sum(nil)
		return fifoDelay(rate, 51.2e3, &line, &above) + 0.1
	}
	assert.InDelta(t, 0.5992, delay(622e3), 0.00005)
	assert.InDelta(t, 0.6, delay(621.04e3), 0.00001)
}

// TestLargestPacket is an exercise of the book: the largest packet through a token bucket on a link of 2 Mbit/s is 2
// kbyte at r = 0.2 Mbit/s when b = 1.8 kbyte, and such packets can follow each other every b/r = 72 ms.
func TestLargestPacket(t *testing.T) {
	in := input{bucket: Bucket{1800 * 8, 0.2e6}, link: 2e6}
	assert.InEpsilon(t, 2000*8.0, in.link*in.corner(), 1e-12)
	assert.InEpsilon(t, 72e-3, in.bucket.Burst/in.bucket.Rate, 1e-12)
}

// TestLeakyBucket is an exercise of the book's first chapter: of cells at the times 0 10 18 28 38 all conform to GCRA(10, 2), and
// of those at 0 10 15 25 35 all but the third. GCRA(T, τ) is the bucket of rate 1/T and burst 1 + τ/T, which is that of a sender
// of one cell in each T that is early or late by τ/2; a cell conforms when no stretch of conforming cells that ends with it
// brings more than the bucket.
func TestLeakyBucket(t *testing.T) {
	bucket := Periodic(1, 10, 1)
	assert.InEpsilon(t, 1.2, bucket.Burst, 1e-12)
	for _, x := range []struct {
		times []float64
		want  string
	}{{[]float64{0, 10, 18, 28, 38}, "+++++"}, {[]float64{0, 10, 15, 25, 35}, "++-++"}} {
		found := ""
		var conforming []float64
		for _, now := range x.times {
			fits := true
			for i, then := range conforming {
				cells := float64(len(conforming) - i + 1)
				fits = fits && cells <= bucket.Burst+bucket.Rate*(now-then)
			}
			if fits {
				conforming = append(conforming, now)
				found += "+"
			} else {
				found += "-"
			}
		}
		assert.Equal(t, x.want, found)
	}
}

// TestOnAndOff is another: a source that sends at its peak p for a time T0 in each period is bounded by the bucket of rate
// p·T0/period and burst T0·(p - r), the smallest. A burst of frames in each interval is bounded by their whole size instead,
// which is more by r·T0. Beside the peak, the smallest bucket has its corner where the burst ends (derived).
func TestOnAndOff(t *testing.T) {
	const peak, on, period = 100e6, 1e-3, 10e-3
	bucket := Periodic(peak*on, period, 0)
	smallest := Bucket{on * (peak - bucket.Rate), peak * on / period}
	assert.InEpsilon(t, smallest.Rate, bucket.Rate, 1e-12)
	assert.InEpsilon(t, smallest.Burst+bucket.Rate*on, bucket.Burst, 1e-12)
	assert.InEpsilon(t, on, input{bucket: smallest, link: peak}.corner(), 1e-12)
	assert.Greater(t, input{bucket: bucket, link: peak}.corner(), on)
}

// lineOf is a chain of ports with one flow along it. Its frames are so rare that what the bound adds for the next one,
// which may have come nearer on the way, is below the tolerance of the tests.
func lineOf(n int, frame float64, port Port) ([]Port, []Flow) {
	ports := make([]Port, n)
	var way []int32
	for i := range ports {
		ports[i] = port
		way = append(way, int32(i))
	}
	return ports, []Flow{{Bucket: Bucket{frame, frame / 1e3}, Largest: frame, Smallest: frame, Way: []*Leg{{{Ports: way}}}}}
}

// TestEmptyLine: a frame of 88 byte along a line of ten devices at 100 Mbit/s with 5 µs of processing each, alone on the
// line. Derived from IEEE 802.3: 11·(96·8/100) + 50 µs whole, 7.68 + 10·(1.76 + 5) µs from the header on.
func TestEmptyLine(t *testing.T) {
	for _, x := range []struct {
		through bool
		want    float64
	}{{false, 134.48e-6}, {true, 75.28e-6}} {
		ports, flows := lineOf(11, 108*8, Port{Rate: 100e6, Processing: 5e-6, CutThrough: x.through, FIFO: true, States: 1})
		r, err := Solve(context.Background(), ports, flows)
		require.NoError(t, err)
		assert.InEpsilon(t, x.want, r.Flows[0].Delay, 1e-6)
	}
}

// TestBlockingLine: behind each of the ten devices a frame of 1522 byte with low priority is just being sent, which adds
// 10·123.36 µs (derived).
func TestBlockingLine(t *testing.T) {
	port := Port{Rate: 100e6, Processing: 5e-6, FIFO: true, States: 1, Queue: [8]uint8{0, 0, 0, 0, 0, 0, 1, 1}}
	ports, flows := lineOf(11, 108*8, port)
	flows[0].Priority = 6
	for i := 1; i < 11; i++ { // from each device to the next
		flows = append(flows, Flow{Bucket: Bucket{1542 * 8, 1}, Largest: 1542 * 8, Smallest: 84 * 8, Way: []*Leg{{{Ports: []int32{int32(i)}}}}})
	}
	r, err := Solve(context.Background(), ports, flows)
	require.NoError(t, err)
	assert.InEpsilon(t, 134.48e-6+1233.6e-6, r.Flows[0].Delay, 1e-6)
}

// TestCircleIsRefused: three flows round a ring of three ports, each over two of them, depend on each other in a circle.
func TestCircleIsRefused(t *testing.T) {
	ports := []Port{{Rate: 100e6, States: 1}, {Rate: 100e6, States: 1}, {Rate: 100e6, States: 1}, {Rate: 100e6, States: 1}}
	var flows []Flow
	for i := range int32(3) {
		flows = append(flows, Flow{Bucket: Bucket{672, 1e6}, Largest: 672, Smallest: 672, Way: []*Leg{{{Ports: []int32{i, (i + 1) % 3}}}}})
	}
	flows = append(flows, Flow{Bucket: Bucket{672, 1e6}, Largest: 672, Smallest: 672, Way: []*Leg{{{Ports: []int32{3}}}}})
	r, err := Solve(context.Background(), ports, flows)
	require.NoError(t, err)
	for i := range 3 {
		assert.Equal(t, Circle, r.Flows[i].Lack.Reason)
		assert.Equal(t, Circle, r.Ports[i].Lack.Reason)
	}
	assert.Equal(t, Fine, r.Flows[3].Lack.Reason)
}

// TestOverload: more than a port can send has no bound, and spoils what lies behind it, not what has priority over it.
func TestOverload(t *testing.T) {
	ports := []Port{{Rate: 10e6, FIFO: true, Queue: [8]uint8{7: 1}, States: 1}, {Rate: 100e6, FIFO: true, Queue: [8]uint8{7: 1}, States: 1}}
	frame := Flow{Bucket: Bucket{1000, 6e6}, Largest: 1000, Smallest: 1000, Way: []*Leg{{{Ports: []int32{0, 1}}}}}
	urgent := frame
	urgent.Priority = 7
	r, err := Solve(context.Background(), ports, []Flow{frame, urgent})
	require.NoError(t, err)
	assert.Equal(t, Lack{Overload, 0}, r.Flows[0].Lack)
	assert.Equal(t, Lack{}, r.Flows[1].Lack)
	assert.Equal(t, Lack{Overload, 0}, r.Ports[1].Lack)
}
