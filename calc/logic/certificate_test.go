package logic

import (
	"context"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// certified answers the properties and checks every certificate.
func certified(t testing.TB, s *System, props []Property, o Options) []Result {
	t.Helper()
	results, err := Prove(t.Context(), s, props, o)
	require.NoError(t, err)
	require.NoError(t, CheckProofs(t.Context(), s, props, results, o))
	return results
}

// TestCertificatesOfPlants checks the proofs of every engine: the search alone, induction on the parts, and property-directed
// reachability, with timers that end early and that don't.
func TestCertificatesOfPlants(t *testing.T) {
	methods := map[string]int{}
	for _, c := range []struct {
		zones int
		plant plant
		o     Options
	}{
		{12, plant{dual: true}, Options{}}, {12, plant{dual: true, chain: 1}, Options{}}, {12, plant{dual: true, chain: 2}, Options{Workers: 2}},
		{3, plant{dual: true, timer: 150}, Options{}}, {3, plant{chain: 1}, Options{satOnly: true}}, {1, plant{chain: 2}, Options{satOnly: true, noCut: true}}, {2, plant{}, Options{noSplit: true, noCut: true}},
		{2, plant{timer: 40, chain: 2}, Options{exactTimers: true}},
	} {
		p := newPlant(c.zones, c.plant)
		props := append(p.locals(), p.whole()...)
		if c.plant.timer > 0 {
			props = append(props, p.standstillTime(0, c.plant.timer))
		}
		for _, r := range certified(t, p.System, props, c.o) {
			require.Equal(t, Proved, r.Verdict, "%v", r)
			methods[r.Method]++
		}
	}
	for _, m := range []string{"search of all states", "search of all states, long timers ending at any time", "inductive invariant",
		"induction on the facts of each part"} {
		require.Positive(t, methods[m], "no proof by %s: %v", m, methods)
	}
}

// TestCertificatesOfRandomSystems checks the certificates of random systems, of faulty ones, and of those with windows that end
// early; and that a certificate never serves for a property that is broken.
func TestCertificatesOfRandomSystems(t *testing.T) {
	count := 1500
	if testing.Short() {
		count = 200
	}
	proofs, refused := 0, 0
	for seed := range count {
		rnd := rand.New(rand.NewPCG(uint64(seed), 15))
		d := newRandomDraft(rnd)
		o := []Options{{}, {satOnly: true}, {earlyFrom: 2}, {noCut: true, noSplit: true}}[seed%4]
		results := certified(named{t, seed}, d.System, d.props, o)
		for i, r := range results {
			if r.Certificate != nil {
				proofs++
				continue
			}
			require.NotContains(t, []Verdict{Proved, Vacuous, Unreachable}, r.Verdict)
			if r.Trace == nil {
				continue
			}
			forged := results[(i+1)%len(results)]
			forged.Verdict = Proved
			if d.props[i].kind == reachProperty {
				forged.Verdict = Unreachable
			}
			forged.Certificate = forge(results, i)
			err := CheckProofs(t.Context(), d.System, d.props[i:i+1], []Result{forged}, o)
			require.Error(t, err, "seed %d: a certificate for %v", seed, r)
			refused++
		}
	}
	require.Greater(t, proofs, count)
	require.Greater(t, refused, count)
}

// forge takes the certificate of another property for property i, or an empty one.
func forge(results []Result, i int) *Certificate {
	for k := range results {
		if c := results[k].Certificate; k != i && c != nil && !c.noFirst {
			return &Certificate{claims: c.claims[len(c.claims)-1:]}
		}
	}
	return &Certificate{claims: []claim{{cover: noCover}}}
}

// TestCheckProofsRefuses takes good certificates apart.
func TestCheckProofsRefuses(t *testing.T) {
	p := newPlant(1, plant{dual: true})
	props := p.locals()[:1]
	good := certified(t, p.System, props, Options{})
	states := good[0].Certificate.claims[0].proof.regions[0].States
	require.Len(t, states, 40)
	for i := range states { // every reachable state is needed
		r := good[0]
		c := *r.Certificate
		c.claims = append([]claim(nil), c.claims...)
		less := c.claims[0].proof.regions[0]
		less.States = append(append([]uint64(nil), states[:i]...), states[i+1:]...)
		c.claims[0].proof.regions = append(c.claims[0].proof.regions[:0:0], less)
		r.Certificate = &c
		require.Error(t, CheckProofs(t.Context(), p.System, props, []Result{r}, Options{}), "without state %d", i)
	}
	none := good[0]
	none.Certificate = nil
	require.ErrorContains(t, CheckProofs(t.Context(), p.System, props, []Result{none}, Options{}), "no certificate")
	require.ErrorContains(t, CheckProofs(t.Context(), p.System, props, nil, Options{}), "0 results for 1")
	empty := good[0]
	empty.Certificate = &Certificate{}
	require.ErrorContains(t, CheckProofs(t.Context(), p.System, props, []Result{empty}, Options{}), "doesn't speak")
	first := good[0]
	first.Certificate = &Certificate{noFirst: true}
	require.ErrorContains(t, CheckProofs(t.Context(), p.System, props, []Result{first}, Options{}), "allow a first step")
	faulty := newPlant(1, plant{dual: true, fault: "reset"})
	require.Error(t, CheckProofs(t.Context(), faulty.System, faulty.locals()[:1], good, Options{}), "the logic has changed")
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if err := CheckProofs(ctx, p.System, props, good, Options{}); err != nil && !strings.Contains(err.Error(), "cancelled") {
		t.Error(err)
	}
}
