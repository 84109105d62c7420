package sat

import (
	"context"
	"math/rand/v2"
	"os"
	"testing"

	"github.com/guardwright/guardwright/calc/logic/internal/aig"
	"github.com/guardwright/guardwright/calc/logic/internal/aigtest"
)

// TestReachAgainstBruteForce compares property-directed reachability with a search that takes one input vector at a time, and
// checks that its traces replay.
func TestReachAgainstBruteForce(t *testing.T) {
	count := 3000
	switch {
	case testing.Short():
		count = 500
	case os.Getenv("GUARDWRIGHT_CROSSCHECK") == "1":
		count = 20_000
	}
	proved, longer := 0, 0
	for seed := range count {
		c := randomCone(seed)
		b := aigtest.NewBrute(c)
		steps, _ := b.Shortest()
		out := Reach(context.Background(), Problem{Cone: c, Constraints: []int{1}, Bad: 0}, &Budget{Queries: 1 << 20, Depth: 1 << 10})
		if out.Proved != (steps == 0) || (out.Trace != nil) != (steps > 0) {
			t.Fatalf("seed %d: proved %t, trace of %d, reason %v, want %d steps", seed, out.Proved, len(out.Trace), out.Reason, steps)
		}
		if out.Proved {
			proved++
			continue
		}
		if len(out.Trace) < steps || !b.Replay(out.Trace) {
			t.Fatalf("seed %d: the trace of %d steps does not replay; the shortest has %d", seed, len(out.Trace), steps)
		}
		if len(out.Trace) > steps {
			longer++
		}
	}
	if proved < count/10 {
		t.Errorf("only %d of %d proved: the random systems are one-sided", proved, count)
	}
	t.Logf("%d proved, %d refuted, of these %d not in the fewest steps", proved, count-proved, longer)
}

func randomCone(seed int) *aig.Cone {
	rnd := rand.New(rand.NewPCG(uint64(seed), 4))
	g, bad, constraint := aigtest.RandomSystem(rnd)
	return aig.NewSlicer(g).Cone([]aig.Lit{bad, constraint}, nil)
}

// TestUnrollingAgainstBruteForce checks that unrolling meets the root in the fewest steps.
func TestUnrollingAgainstBruteForce(t *testing.T) {
	for seed := range 1000 {
		c := randomCone(seed)
		b := aigtest.NewBrute(c)
		steps, _ := b.Shortest()
		u := NewUnrolling(context.Background(), Problem{Cone: c, Constraints: []int{1}, Bad: 0}, &Budget{Queries: 1 << 20, Depth: 1 << 10})
		for step := 1; step <= max(steps, 5); step++ {
			trace, err := u.Next()
			if err != nil {
				t.Fatal(err)
			}
			if (trace != nil) != (step == steps) || trace != nil && !b.Replay(trace) {
				t.Fatalf("seed %d, step %d: trace of %d, want %d steps", seed, step, len(trace), steps)
			}
			if trace != nil {
				break
			}
		}
	}
}

// TestInductiveRefuses gives the checker of proofs wrong invariants.
func TestInductiveRefuses(t *testing.T) {
	refused := 0
	for seed := range 300 {
		c := randomCone(seed)
		steps, _ := aigtest.NewBrute(c).Shortest()
		if steps == 0 || len(c.Latches) == 0 {
			continue
		}
		var inv [][]aig.Lit
		for i, v := range c.Init { // every latch keeps its first value
			inv = append(inv, []aig.Lit{c.Latch(i).XorSign(!v)})
		}
		for n := range len(inv) + 1 {
			if Inductive(context.Background(), Problem{Cone: c, Constraints: []int{1}, Bad: 0}, inv[:n]) {
				t.Fatalf("seed %d: an invariant is confirmed, but the root is met in %d steps", seed, steps)
			}
			refused++
		}
	}
	if refused < 100 {
		t.Errorf("only %d wrong invariants tried", refused)
	}
}

// TestQueryLimit checks that a limit ends the work with a reason and never with a proof.
func TestQueryLimit(t *testing.T) {
	for seed := range 200 {
		c := randomCone(seed)
		full := &Budget{Queries: 1 << 20, Depth: 100}
		Reach(context.Background(), Problem{Cone: c, Constraints: []int{1}, Bad: 0}, full)
		used := 1<<20 - full.Queries
		out := Reach(context.Background(), Problem{Cone: c, Constraints: []int{1}, Bad: 0}, &Budget{Queries: used / 2, Depth: 100})
		if out.Proved && used/2 < used || out.Trace == nil && !out.Proved && out.Reason == nil {
			t.Fatalf("seed %d: %+v with %d of %d queries", seed, out, used/2, used)
		}
	}
}
