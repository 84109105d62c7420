package logic

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestCone puts every fault on every signal outside a property's cone and expects the plain search's answer to stay the same.
func TestCone(t *testing.T) {
	outside, inside := 0, 0
	for seed := range 400 {
		d := newRandomDraft(rand.New(rand.NewPCG(uint64(seed), 14)))
		p := d.props[seed%len(d.props)]
		cone, err := d.Cone(p)
		require.NoError(t, err)
		want, err := Explore(t.Context(), d.System, p, 1<<16)
		require.NoError(t, err)
		for _, name := range d.Signals() {
			for kind := StuckFalse; kind <= Free; kind++ {
				f, err := d.WithFault(Fault{Signal: name, Kind: kind})
				if err != nil { // a stuck integer
					continue
				}
				got, err := Explore(t.Context(), f, p, 1<<16)
				require.NoError(t, err)
				same := got.Verdict == want.Verdict && got.Steps == want.Steps && got.Reason == want.Reason
				switch {
				case want.Verdict == Undecided || got.Verdict == Undecided:
				case !slices.Contains(cone, name):
					outside++
					require.True(t, same, "seed %d: %s outside the cone %v: %v, want %v", seed, name, cone, got, want)
				case !same:
					inside++
				}
			}
		}
	}
	require.Greater(t, outside, 300)
	require.Greater(t, inside, 300, "faults inside the cone must matter now and then")
}

// TestConeOfFault checks that a fault cuts off what lies behind it, and that assumptions belong to every cone.
func TestConeOfFault(t *testing.T) {
	s := New()
	a, b, other := s.Input("a"), s.Input("b"), s.Input("other")
	was := s.Latch("was", false)
	net := s.Signal("net", s.And(a, was))
	s.SetNext(was, b)
	s.Signal("unused", other)
	s.Assume("never", s.Not(other))
	p := Always("p", s.Not(net))
	cone, err := s.Cone(p)
	require.NoError(t, err)
	require.Equal(t, []string{"a", "b", "other", "was", "net"}, cone)
	cone, err = s.Cone(p, "never")
	require.NoError(t, err)
	require.Equal(t, []string{"a", "b", "was", "net"}, cone)
	f, err := s.WithFault(Fault{Signal: "net", Kind: Free})
	require.NoError(t, err)
	cone, err = f.Cone(p, "never")
	require.NoError(t, err)
	require.Equal(t, []string{"net"}, cone)
	_, err = s.Cone(Property{})
	require.ErrorContains(t, err, "asks nothing")
}
