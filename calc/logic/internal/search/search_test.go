package search

import (
	"context"
	"math/rand/v2"
	"os"
	"testing"
	"time"

	"github.com/guardwright/guardwright/calc/logic/internal/aig"
	"github.com/guardwright/guardwright/calc/logic/internal/aigtest"
	"github.com/guardwright/guardwright/calc/logic/internal/certify"
)

var generous = Limits{States: 1 << 20, Letters: 1 << 16, Work: 1 << 40}

// TestSearchAgainstBruteForce compares verdict, fewest steps, number of states and trace on random systems with a search that
// takes one input vector at a time, and gives the states of every proof to the checker of proofs. The full number of systems
// is for the cross-check.
func TestSearchAgainstBruteForce(t *testing.T) {
	count := 10_000
	switch {
	case testing.Short():
		count = 2_000
	case os.Getenv("GUARDWRIGHT_CROSSCHECK") == "1":
		count = 100_000
	}
	var s Searcher
	met := 0
	start := time.Now()
	for seed := range count {
		rnd := rand.New(rand.NewPCG(uint64(seed), 1))
		g, bad, constraint := aigtest.RandomSystem(rnd)
		c := aig.NewSlicer(g).Cone([]aig.Lit{bad, constraint}, nil)
		s.noBitmap = seed%2 == 1
		out := s.Search(context.Background(), c, []int{1}, []Goal{{Root: 0}}, generous)
		b := aigtest.NewBrute(c)
		steps, states := b.Shortest()
		if !out.Complete || out.Goals[0].Met != (steps > 0) || out.Goals[0].Steps != steps {
			t.Fatalf("seed %d: %+v, want %d steps", seed, out, steps)
		}
		if steps > 0 {
			met++
			if !b.Replay(out.Goals[0].Trace) {
				t.Fatalf("seed %d: trace does not replay", seed)
			}
			continue
		}
		if out.States != states || len(out.Reached) != states {
			t.Fatalf("seed %d: %d states, want %d", seed, out.States, states)
		}
		claim := certify.Claim{}
		if len(c.Latches) > 0 {
			claim.Regions = []certify.Region{{Latches: c.Latches, States: out.Reached}}
		}
		if err := certify.Check(context.Background(), g, []aig.Lit{constraint}, []aig.Lit{bad}, claim); err != nil {
			t.Fatalf("seed %d: the states found are refused: %v", seed, err)
		}
	}
	t.Logf("%d systems, %d met, %v", count, met, time.Since(start).Round(time.Millisecond))
	if met < count/5 || met > count*4/5 {
		t.Errorf("%d of %d goals met: the random systems are one-sided", met, count)
	}
}
