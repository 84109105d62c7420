package logic

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestMistakes makes each mistake of building and asks for the words that tell what to do.
func TestMistakes(t *testing.T) {
	other := New().Input("x")
	for _, c := range []struct {
		name, want string
		build      func(s *System)
	}{
		{"no name", "without a name", func(s *System) { s.Input("") }},
		{"twice", `"x" is declared twice`, func(s *System) { s.Input("x"); s.Latch("x", true) }},
		{"no next", `latch "m" has no next value`, func(s *System) { s.Latch("m", false) }},
		{"two nexts", "gets its next value twice", func(s *System) { l := s.Latch("m", false); s.SetNext(l, l); s.SetNext(l, l) }},
		{"next of an input", "no latch", func(s *System) { x := s.Input("x"); s.SetNext(x, x) }},
		{"zero", "never built", func(s *System) { s.Not(Bool{}) }},
		{"zero integer", "never built", func(s *System) { s.Add(Int{}, s.IntConst(1)) }},
		{"foreign", "another system", func(s *System) { s.And(s.Input("x"), other) }},
		{"empty range", "range 3 to 2 is empty", func(s *System) { s.IntInput("n", 3, 2) }},
		{"wide range", "too wide", func(s *System) { s.IntInput("n", 0, 1<<50) }},
		{"initial value", "outside its range", func(s *System) { s.IntLatch("n", 0, 3, 4) }},
		{"next too wide", "clamp the value", func(s *System) { l := s.IntLatch("n", 0, 3, 0); s.SetNextInt(l, s.Add(l, s.IntConst(1))) }},
		{"window", "must be 1 to", func(s *System) { s.Within(0, s.Input("x")) }},
		{"delay", "must be 1 to", func(s *System) { s.OnDelay(-1, s.Input("x")) }},
		{"label", `did you mean "auto"`, func(s *System) { s.Is(s.EnumInput("mode", "auto", "manual"), "autp") }},
		{"no enumeration", "no enumeration", func(s *System) { s.Is(s.IntInput("n", 0, 3), "auto") }},
		{"labels twice", "given twice", func(s *System) { s.EnumInput("mode", "a", "a") }},
		{"no labels", "no values", func(s *System) { s.EnumInput("mode") }},
		{"initial label", `did you mean "auto"`, func(s *System) { s.EnumLatch("mode", "auta", "auto", "manual") }},
		{"assumption twice", `"a" is given twice`, func(s *System) { s.Assume("a", s.True()); s.Assume("a", s.False()) }},
		{"assumption without a name", "without a name", func(s *System) { s.Assume("", s.True()) }},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := New()
			c.build(s)
			require.ErrorContains(t, s.Err(), c.want)
			_, err := Prove(t.Context(), s, []Property{Always("true", s.True())}, Options{})
			require.ErrorContains(t, err, c.want, "a system with mistakes must not be proved")
			_, err = Explore(t.Context(), s, Always("true", s.True()), 100)
			require.ErrorContains(t, err, c.want)
		})
	}
}

func TestQuestionsThatCannotBeAsked(t *testing.T) {
	s := New()
	x := s.Input("guard closed")
	s.Assume("view", x)
	_, err := Prove(t.Context(), s, []Property{{}}, Options{})
	require.ErrorContains(t, err, "asks nothing")
	_, err = Prove(t.Context(), s, []Property{Always("p", New().Input("x"))}, Options{})
	require.ErrorContains(t, err, "not of this system")
	_, err = Prove(t.Context(), s, []Property{When("p", Bool{}, x)}, Options{})
	require.ErrorContains(t, err, "not of this system")
	_, err = Prove(t.Context(), s, []Property{Always("p", x)}, Options{Without: []string{"viev"}})
	require.ErrorContains(t, err, `did you mean "view"`)
	_, err = s.WithFault(Fault{"guard close", StuckTrue})
	require.ErrorContains(t, err, `did you mean "guard closed"`)
	_, err = s.WithFault(Fault{"guard closed", NoFault})
	require.ErrorContains(t, err, "has no kind")
	_, err = s.WithFault(Fault{"guard closed", StuckTrue}, Fault{"guard closed", Free})
	require.ErrorContains(t, err, "two faults")
	n := New()
	n.IntInput("n", 0, 3)
	_, err = n.WithFault(Fault{"n", StuckTrue})
	require.ErrorContains(t, err, "only Free")
	_, err = s.Run([]map[string]Value{{"guard close": True}})
	require.ErrorContains(t, err, `did you mean "guard closed"`)
	_, err = s.Run([]map[string]Value{{"guard closed": 2}})
	require.ErrorContains(t, err, "outside 0 to 1")
	_, err = s.Lookup("nothing alike")
	require.EqualError(t, err, `no signal "nothing alike"`)
}

// TestZeroSystem uses the zero value.
func TestZeroSystem(t *testing.T) {
	var s System
	require.NoError(t, s.Err())
	results, err := Prove(t.Context(), &s, nil, Options{})
	require.NoError(t, err)
	require.Empty(t, results)
	var u System
	r := prove1(t, &u, Always("x or not x", u.Or(u.Input("x"), u.Not(u.True()), u.True())))
	require.Equal(t, Proved, r.Verdict)
}

// TestManyMistakes checks that a loop with a mistake in it doesn't fill the memory.
func TestManyMistakes(t *testing.T) {
	s := New()
	for range 10_000 {
		s.Input("")
	}
	require.ErrorContains(t, s.Err(), "9900 more mistakes")
}

// TestConfirmRefuses changes a good trace in every place and expects each change to be noticed.
func TestConfirmRefuses(t *testing.T) {
	d := wrongDesigns[2].draft("") // unlock while coasting
	p := d.expect[1].property
	good := prove1(t, d.System, p).Trace
	require.NoError(t, d.Confirm(p, good))
	require.ErrorContains(t, d.Confirm(p, &Trace{}), "empty trace")
	for step := range good.Values {
		for i := range good.Values[step] {
			if !strings.HasSuffix(good.Signals[i].Name, "was") && good.Signals[i].Kind != NetSignal {
				continue
			}
			old := good.Values[step][i]
			good.Values[step][i] = 1 - old
			require.Error(t, d.Confirm(p, good), "step %d, %s", step, good.Signals[i].Name)
			good.Values[step][i] = old
		}
	}
	longer := &Trace{Signals: good.Signals, Values: append(good.Values[:len(good.Values):len(good.Values)], good.Values[0])}
	require.Error(t, d.Confirm(p, longer))
	require.Error(t, d.Confirm(p, &Trace{Signals: good.Signals, Values: good.Values[:1]}))
}
