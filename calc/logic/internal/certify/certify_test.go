package certify

import (
	"context"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/guardwright/guardwright/calc/logic/internal/aig"
	"github.com/guardwright/guardwright/calc/logic/internal/aigtest"
)

// TestCheckAgainstEnumeration gives the checker random claims, right ones and wrong ones, and expects its answer to be that of
// trying every state and input vector.
func TestCheckAgainstEnumeration(t *testing.T) {
	accepted, refused := 0, 0
	for seed := range 6000 {
		rnd := rand.New(rand.NewPCG(uint64(seed), 21))
		g, bad, constraint := aigtest.RandomSystem(rnd)
		cone := aig.NewSlicer(g).Cone([]aig.Lit{bad, constraint}, nil)
		if len(cone.Latches) == 0 {
			continue
		}
		b := aigtest.NewBrute(cone)
		states := b.Reachable()
		switch rnd.IntN(4) {
		case 0: // one state is missing
			at := rnd.IntN(len(states))
			states = slices.Delete(slices.Clone(states), at, at+1)
		case 1: // some state more, which may lead out
			states = append(slices.Clone(states), rnd.Uint64N(1<<len(cone.Latches)))
		}
		err := Check(context.Background(), g, []aig.Lit{constraint}, []aig.Lit{bad}, Claim{Regions: []Region{{cone.Latches, states}}})
		if want := b.Inductive(states); (err == nil) != want {
			t.Fatalf("seed %d: %v, by enumeration inductive: %t", seed, err, want)
		}
		if err == nil {
			accepted++
		} else {
			refused++
		}
	}
	if accepted < 1000 || refused < 1000 {
		t.Errorf("%d accepted, %d refused: the claims are one-sided", accepted, refused)
	}
}

// TestClauses checks clauses over latches: one that holds in every run, one that doesn't, one that a constraint makes hold.
func TestClauses(t *testing.T) {
	g := aig.New(16)
	x := g.Input()
	a, b := g.Latch(false), g.Latch(false)
	g.SetNext(a, x)
	g.SetNext(b, g.And(x, a))
	bad := g.And(b, a.Not())
	only := Claim{Clauses: [][]aig.Lit{{b.Not(), a}}}
	ctx := context.Background()
	if err := Check(ctx, g, nil, []aig.Lit{bad}, only); err != nil {
		t.Error(err)
	}
	if err := Check(ctx, g, nil, []aig.Lit{bad}, Claim{}); err == nil {
		t.Error("nothing claimed, and accepted")
	}
	if err := Check(ctx, g, nil, nil, Claim{Clauses: [][]aig.Lit{{a.Not()}}}); err == nil {
		t.Error("a can become true")
	}
	if err := Check(ctx, g, []aig.Lit{x.Not()}, nil, Claim{Clauses: [][]aig.Lit{{a.Not()}}}); err != nil {
		t.Error(err)
	}
	if err := Check(ctx, g, nil, nil, Claim{Clauses: [][]aig.Lit{{a}}}); err == nil {
		t.Error("false in the first state")
	}
	if err := Check(ctx, g, nil, nil, Claim{Clauses: [][]aig.Lit{{x}}}); err == nil {
		t.Error("an input is no latch")
	}
}

// TestImpossible checks constraints that allow a first step, and such that don't.
func TestImpossible(t *testing.T) {
	g := aig.New(8)
	x, a := g.Input(), g.Latch(true)
	ctx := context.Background()
	if Impossible(ctx, g, []aig.Lit{x, a}) == nil {
		t.Error("x is free, and a is true at first")
	}
	if err := Impossible(ctx, g, []aig.Lit{x, a.Not()}); err != nil {
		t.Error(err)
	}
}

// TestDiagram compares membership with the list.
func TestDiagram(t *testing.T) {
	for seed := range 200 {
		rnd := rand.New(rand.NewPCG(uint64(seed), 22))
		bits := 1 + rnd.IntN(8)
		var states []uint64
		for range rnd.IntN(1 << bits) {
			states = append(states, rnd.Uint64N(1<<bits))
		}
		d := newDiagram(states, bits)
		for v := range uint64(1) << bits {
			at := d.root
			for at > 1 {
				if n := d.nodes[at]; v>>n.bit&1 == 1 {
					at = n.high
				} else {
					at = n.low
				}
			}
			if (at == 1) != slices.Contains(states, v) {
				t.Fatalf("seed %d: state %b in the set: %t", seed, v, at == 1)
			}
		}
	}
}
