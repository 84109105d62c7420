package logic

import (
	"context"
	"fmt"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"github.com/guardwright/guardwright/calc/logic/internal/aig"
	"github.com/guardwright/guardwright/calc/logic/internal/search"
)

// TestRapidSystems lets the property tester look for a system on which the engines and the plain search differ, and shrink it.
func TestRapidSystems(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := newRandomDraft(drawer{t})
		compare(t, d, d.System, Options{}, tally{})
	})
}

type drawer struct{ t *rapid.T }

func (d drawer) IntN(n int) int { return rapid.IntRange(0, n-1).Draw(d.t, "n") }

// TestRapidMonotone checks two laws of every proof: an assumption more never breaks what is proved, and a weaker property is
// proved where a stronger one is.
func TestRapidMonotone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := newRandomDraft(drawer{t})
		weaker := Always("weaker", d.Or(d.props[0].expr, d.pick()))
		props := append(d.props[:1:1], weaker)
		without, err := Prove(t.Context(), d.System, props, Options{Without: d.Assumptions(), SkipVacuity: true})
		if err != nil {
			t.Fatal(err)
		}
		with, err := Prove(t.Context(), d.System, props, Options{SkipVacuity: true})
		if err != nil {
			t.Fatal(err)
		}
		for i := range props {
			if without[i].Verdict == Proved && with[i].Verdict == Refuted || with[i].Trace != nil && without[i].Steps > with[i].Steps {
				t.Fatalf("without assumptions %v, with %v", without[i], with[i])
			}
		}
		if with[0].Verdict == Proved && with[1].Verdict != Proved || with[1].Trace != nil && with[0].Steps > with[1].Steps {
			t.Fatalf("stronger %v, weaker %v", with[0], with[1])
		}
	})
}

// TestSameResults checks that workers, memo, splitting and groups change no verdict and no length, and workers nothing at all.
func TestSameResults(t *testing.T) {
	for _, p := range []plant{{dual: true}, {fault: "reset"}, {dual: true, fault: "unlock", chain: 2}, {dual: true, chain: 1}, {timer: 5, chain: 2}} {
		m := newPlant(4, p)
		props := append(m.locals(), m.whole()...)
		for z := range 2 {
			props = append(props, Reachable(fmt.Sprintf("zone %d runs", z), m.zones[z].run))
		}
		want, err := Prove(t.Context(), m.System, props, Options{})
		if err != nil {
			t.Fatal(err)
		}
		for name, o := range map[string]Options{"workers": {Workers: 3}, "memo": {noMemo: true}, "cut": {noCut: true, Limits: Limits{Work: 1 << 20}}} {
			got, err := Prove(t.Context(), m.System, props, o)
			if err != nil {
				t.Fatal(err)
			}
			for i := range want {
				if got[i].Verdict != want[i].Verdict || got[i].Steps != want[i].Steps || got[i].Shortest != want[i].Shortest {
					t.Errorf("%+v, %s: %v (%s), want %v (%s)", p, name, got[i], got[i].Method, want[i], want[i].Method)
				}
				if name == "workers" && !reflect.DeepEqual(got[i], want[i]) {
					t.Errorf("%+v: another result with workers: %v, want %v", p, got[i], want[i])
				}
			}
		}
		again, err := Prove(t.Context(), m.System, props, Options{})
		if err != nil || !reflect.DeepEqual(again, want) {
			t.Errorf("%+v: the second call gives another result", p)
		}
	}
}

// TestCopiesUnderOneStop puts copies of one design side by side: the states multiply, the proof must not.
func TestCopiesUnderOneStop(t *testing.T) {
	const copies = 40
	s := New()
	es := s.Input("es")
	var props []Property
	var all []Bool
	for i := range copies {
		name := func(n string) string { return fmt.Sprintf("%s%d", n, i) }
		g, rst, start := s.Input(name("g")), s.Input(name("rst")), s.Input(name("start"))
		armedWas, runWas := s.Latch(name("armed.was"), false), s.Latch(name("run.was"), false)
		armed := s.Signal(name("armed"), s.And(es, g, s.Or(armedWas, s.Fell(rst))))
		run := s.Signal(name("run"), s.And(armed, armedWas, s.Or(runWas, s.Rose(start))))
		s.SetNext(armedWas, armed)
		s.SetNext(runWas, run)
		all = append(all, s.Implies(run, s.Since(s.And(es, g), s.Fell(rst))))
		props = append(props, Always(name("reset "), all[i]), Reachable(name("run "), run))
	}
	props = append(props, Always("everywhere", s.And(all...)))
	results, err := Prove(t.Context(), s, props, Options{})
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range results {
		if !r.Holds() || r.Verdict == Reached && r.Steps != 3 {
			t.Errorf("%v", r)
		}
	}
}

// TestWholeMachine proves properties that bind all zones, and finds what a fault in one of them breaks.
func TestWholeMachine(t *testing.T) {
	for chain := range 3 {
		for _, n := range []int{3, 12} {
			p := newPlant(n, plant{dual: true, chain: chain})
			results, err := Prove(t.Context(), p.System, p.whole(), Options{})
			if err != nil {
				t.Fatal(err)
			}
			for _, r := range results {
				if r.Verdict != Proved {
					t.Errorf("chain %d, %d zones: %v", chain, n, r)
				}
			}
			if chain == 1 && results[2].Method == "search of all states" && n == 12 {
				t.Errorf("W3 was expected to need more than a search: %s", results[2].Method)
			}
		}
	}
	p := newPlant(12, plant{dual: true, chain: 2, fault: "unlock"})
	results, err := Prove(t.Context(), p.System, p.whole(), Options{})
	if err != nil {
		t.Fatal(err)
	}
	if r := results[1]; r.Verdict != Refuted || !r.Shortest || r.Steps != 1 {
		t.Errorf("seeded fault: %v", r)
	}
}

// TestStartUp finds the shortest start-up of a row of zones, one step more than there are zones.
func TestStartUp(t *testing.T) {
	p := newPlant(6, plant{dual: true, chain: 2})
	if r := prove1(t, p.System, Reachable("zone 0 runs", p.zones[0].run)); r.Steps != 7 || !r.Shortest {
		t.Errorf("%v", r)
	}
}

// TestPlantModel checks that the plant of the measurements is the one that other programs were measured with: numbers of inputs
// and latches, states, and distinct input letters (derived beforehand from the same equations by an independent prototype).
func TestPlantModel(t *testing.T) {
	for _, c := range []struct {
		plant                           plant
		zones                           int
		inputs, latches, letters, state int
	}{{plant{}, 1, 10, 7, 80, 32}, {plant{dual: true}, 1, 16, 8, 144, 40}, {plant{}, 2, 18, 14, 3328, 1024}, {plant{dual: true}, 2, 28, 16, 10496, 1600}} {
		p := newPlant(c.zones, c.plant)
		q, err := newProver(t.Context(), p.System, p.whole()[1:2], Options{})
		if err != nil {
			t.Fatal(err)
		}
		q.compile()
		cone := aig.NewSlicer(q.c.a).Cone([]aig.Lit{q.target(q.props[0])}, nil)
		var s search.Searcher
		out := s.Search(t.Context(), cone, nil, []search.Goal{{Root: 0}}, q.searchLimits(levelAlone))
		got := []int{len(cone.Inputs), len(cone.Latches), out.Letters, out.States}
		if want := []int{c.inputs, c.latches, c.letters, c.state}; !slices.Equal(got, want) {
			t.Errorf("%+v, %d zones: inputs, latches, letters and states are %v, want %v", c.plant, c.zones, got, want)
		}
	}
	if n := len(newPlant(12, plant{dual: true}).Inputs()); n != 148 {
		t.Errorf("%d inputs of 12 zones, want 148", n)
	}
}

// TestReachableStates compares the number of states with those that three other programs agree on for the same equations:
// 32 for one single-channel zone and 40 for one of two channels (derived beforehand with SPIN, a decision-diagram package and
// an explicit search).
func TestReachableStates(t *testing.T) {
	for _, c := range []struct {
		plant plant
		zones int
		want  int
	}{{plant{}, 1, 32}, {plant{dual: true}, 1, 40}, {plant{}, 2, 32 * 32}} {
		p := newPlant(c.zones, c.plant)
		r, err := Prove(t.Context(), p.System, p.whole()[1:2], Options{noSplit: true, noCut: true})
		if err != nil {
			t.Fatal(err)
		}
		if r[0].States != c.want {
			t.Errorf("%d states, want %d", r[0].States, c.want)
		}
	}
}

// TestLimits checks that every limit gives Undecided with a reason, or the right verdict, and never another one.
func TestLimits(t *testing.T) {
	undecided := 0
	for _, l := range []Limits{{States: 1, Depth: 1, Queries: 1}, {Letters: 1, Depth: 2, Queries: 3}, {Work: 1, Depth: 1, Queries: 2},
		{States: 3, Depth: 3, Queries: 30}} {
		for seed := range 300 {
			d := newRandomDraft(rand.New(rand.NewPCG(uint64(seed), 8)))
			full, err := Prove(t.Context(), d.System, d.props, Options{})
			if err != nil {
				t.Fatal(err)
			}
			got, err := Prove(t.Context(), d.System, d.props, Options{Limits: l})
			if err != nil {
				t.Fatal(err)
			}
			for i, r := range got {
				switch {
				case r.Verdict == Undecided:
					undecided++
					if r.Reason == "" {
						t.Fatalf("seed %d: undecided without a reason", seed)
					}
				case r.Verdict == Proved && full[i].Verdict == Vacuous && r.Reason != "":
				case r.Verdict != full[i].Verdict || r.Shortest && r.Steps != full[i].Steps || r.Steps < full[i].Steps:
					t.Fatalf("seed %d, limits %+v: %v (%s), without limits %v", seed, l, r, r.Method, full[i])
				}
			}
		}
	}
	if undecided < 100 {
		t.Errorf("only %d undecided: the limits are not met", undecided)
	}
}

// TestCancelled checks that a cancelled context decides nothing wrongly.
func TestCancelled(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	p := newPlant(12, plant{dual: true, chain: 1})
	results, err := Prove(ctx, p.System, p.whole(), Options{})
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range results {
		if r.Verdict != Undecided && r.Verdict != Proved {
			t.Errorf("%v", r)
		}
		if r.Verdict == Undecided && r.Reason == "" {
			t.Errorf("%s: undecided without a reason", r.Property)
		}
	}
	if results[2].Verdict != Undecided {
		t.Errorf("%v although cancelled", results[2])
	}
}

func TestProgress(t *testing.T) {
	p := newPlant(5, plant{})
	last, total := 0, 0
	_, err := Prove(t.Context(), p.System, p.locals(), Options{Progress: func(done, all int) {
		if done < last {
			t.Errorf("progress went back from %d to %d", last, done)
		}
		last, total = done, all
	}})
	if err != nil || last != total || total != 25 {
		t.Errorf("%d of %d obligations, err %v", last, total, err)
	}
}

// TestContradiction checks that assumptions that exclude each other make every verdict vacuous.
func TestContradiction(t *testing.T) {
	s := New()
	x, y := s.Input("x"), s.Input("y")
	s.Assume("on", x)
	s.Assume("off", s.Not(x))
	props := []Property{Always("y", y), Reachable("y on", y)}
	for _, o := range []Options{{}, {satOnly: true}} {
		results, err := Prove(t.Context(), s, props, o)
		if err != nil {
			t.Fatal(err)
		}
		if results[0].Verdict != Vacuous || results[1].Verdict != Unreachable || !strings.Contains(results[0].Reason, "first step") {
			t.Errorf("%v, %v", results[0], results[1])
		}
	}
	results, err := Prove(t.Context(), s, props, Options{Without: []string{"off"}})
	if err != nil || results[0].Verdict != Refuted || results[1].Verdict != Reached {
		t.Errorf("%v, %v", results, err)
	}
}

// TestVacuous checks preconditions that never hold: alone, as one part of several, and left unasked.
func TestVacuous(t *testing.T) {
	s := New()
	x, y := s.Input("x"), s.Input("y")
	never := s.And(x, s.Not(x), s.Pre(y))
	both := s.And(s.Implies(y, s.Or(x, s.Not(x))), s.Implies(never, y))
	for _, c := range []struct {
		p    Property
		skip bool
		want Verdict
		why  string
	}{
		{When("alone", never, y), false, Vacuous, "its precondition never holds"},
		{Always("part", both), false, Vacuous, "the precondition of its part 2 never holds"},
		{Always("named part", s.Signal("named", both)), false, Vacuous, "the precondition of its part 2 never holds"},
		{When("unasked", never, y), true, Proved, ""},
		{When("broken", s.Or(x, never), y), false, Refuted, ""},
	} {
		results, err := Prove(t.Context(), s, []Property{c.p}, Options{SkipVacuity: c.skip})
		if err != nil || results[0].Verdict != c.want || results[0].Reason != c.why {
			t.Errorf("%v, %v", results, err)
		}
	}
}

// TestPartsOfDifferentLength has a property that is broken in one way by a search and in a shorter one only by unrolling,
// because that way's cone is too large for a search.
func TestPartsOfDifferentLength(t *testing.T) {
	for _, steps := range []int{2, 3, 5} {
		s := New()
		s.Group("row")
		x := s.Input("x")
		far, wide := x, s.True()
		for i := range 70 { // latches that a run sets one by one, each held for ever
			far = s.Once(s.And(s.Input(fmt.Sprintf("y%d", i)), s.Or(x, s.Pre(far))))
			wide = s.And(wide, s.Or(far, s.Pre(x)))
		}
		late := s.Input("z")
		for range steps - 1 {
			late = s.Pre(late)
		}
		s.Group("")
		both := Always("both", s.And(s.Not(late), s.Not(s.And(wide, s.Pre(x)))))
		r := prove1(t, s, both)
		if r.Verdict != Refuted || r.Steps != 2 || !r.Shortest {
			t.Errorf("%d: %v by %s", steps, r, r.Method)
		}
	}
}

// TestDeadEnd has an assumption about other signals than the property's that no run can keep beyond step 2: the property is
// broken later than that, so it holds.
func TestDeadEnd(t *testing.T) {
	s := New()
	x := s.Input("x")
	s.Assume("ends", s.Not(s.Pre(s.Pre(s.Pre(s.True())))))
	late := Always("late", s.Not(s.And(x, s.Pre(s.Pre(s.Pre(s.Pre(s.True())))))))
	early := Always("early", s.Not(s.And(x, s.Pre(s.True()))))
	results, err := Prove(t.Context(), s, []Property{late, early}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if results[0].Verdict != Proved || results[1].Verdict != Refuted || results[1].Steps != 2 {
		t.Errorf("%v, %v", results[0], results[1])
	}
}

// TestOtherAssumptions checks that a trace keeps assumptions about signals that the property doesn't rest on.
func TestOtherAssumptions(t *testing.T) {
	s := New()
	x, a, b := s.Input("x"), s.Input("a"), s.Input("b")
	s.Assume("a or b", s.Or(a, b))
	s.Assume("a toggles", s.Implies(s.Pre(a), s.Not(a)))
	r := prove1(t, s, Always("x stays off", s.Not(s.And(x, s.Pre(s.And(x, s.Pre(x)))))))
	if r.Verdict != Refuted || r.Steps != 3 {
		t.Fatalf("%v", r)
	}
	for step := range r.Steps {
		va, _ := r.Trace.Value(step, "a")
		vb, _ := r.Trace.Value(step, "b")
		if va != True && vb != True {
			t.Errorf("step %d: neither a nor b\n%s", step, r.Trace.Table())
		}
	}
}

// TestFaults checks the single faults of a two-channel stop: one stuck channel is tolerated by the logic, both are not.
func TestFaults(t *testing.T) {
	s := New()
	es := s.Input("es")
	read := func(name string) Bool { return s.Signal(name, es) }
	a, b := read("channel a"), read("channel b")
	run := s.Signal("run", s.And(a, b, s.Input("start")))
	p := Always("stop dominates", s.Implies(s.Not(es), s.Not(run)))
	verdict := func(faults ...Fault) Verdict {
		f, err := s.WithFault(faults...)
		if err != nil {
			t.Fatal(err)
		}
		return prove1(t, f, p).Verdict
	}
	if v := verdict(); v != Proved {
		t.Errorf("without fault: %v", v)
	}
	for _, ch := range []string{"channel a", "channel b"} {
		for _, k := range []FaultKind{StuckFalse, StuckTrue, Free} {
			if v := verdict(Fault{ch, k}); v != Proved {
				t.Errorf("%s %v: %v", ch, k, v)
			}
		}
	}
	if v := verdict(Fault{"channel a", StuckTrue}, Fault{"channel b", Free}); v != Refuted {
		t.Errorf("both channels: %v", v)
	}
	if v := verdict(Fault{"run", StuckTrue}); v != Refuted {
		t.Errorf("output stuck: %v", v)
	}
	if v := prove1(t, s, p).Verdict; v != Proved {
		t.Errorf("the system itself was changed: %v", v)
	}
}

// TestLongTimer has a lock release delay of a quarter of an hour in cycles of 10 ms, 90 000 steps, in every zone. What doesn't
// depend on the exact time, and what shares the design's own timer, must be proved at once.
func TestLongTimer(t *testing.T) {
	const steps = 90_000
	p := newPlant(3, plant{dual: true, timer: steps, chain: 2})
	props := p.locals()
	for z := range p.zones {
		x := &p.zones[z]
		opens := p.And(x.unlk, p.Not(x.unlkWas))
		props = append(props, When(fmt.Sprintf("zone %d, release time", z), opens, p.Held(steps, p.Not(x.runWas))))
	}
	results, err := Prove(t.Context(), p.System, props, Options{SkipVacuity: true})
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range results {
		if r.Verdict != Proved || r.States > 2000 {
			t.Errorf("%v, %d states, %s", r, r.States, r.Method)
		}
	}
	short := newPlant(1, plant{timer: 299})
	x := &short.zones[0]
	r := prove1(t, short.System, When("one step short", short.And(x.unlk, short.Not(x.unlkWas)), short.Held(300, short.Not(x.runWas))))
	if r.Verdict != Refuted || !r.Shortest || r.Steps != 299 {
		t.Errorf("%v", r)
	}
}
