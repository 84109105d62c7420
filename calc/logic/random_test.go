package logic

import (
	"fmt"
	"math/rand/v2"
	"os"
	"strings"
	"testing"
)

// chooser is what a random system is drawn from: a seeded generator, or the drawing of a property test.
type chooser interface{ IntN(n int) int }

// randomDraft builds a small random system with past-time operators, timers, integers, named nets and assumptions, and one
// property of each kind.
type randomDraft struct {
	*System
	c     chooser
	bools []Bool
	ints  []Int
	props []Property
	// grouped spreads the expressions over groups at random; no grouping may change an answer.
	grouped bool
}

func (d *randomDraft) regroup() {
	if d.grouped {
		d.Group([]string{"", "a", "b", "c"}[d.c.IntN(4)])
	}
}

func newRandomDraft(c chooser) *randomDraft {
	d := &randomDraft{System: New(), c: c}
	d.grouped = c.IntN(2) == 0
	for i := range 1 + c.IntN(3) {
		d.bools = append(d.bools, d.Input(fmt.Sprintf("i%d", i)))
	}
	if c.IntN(3) == 0 {
		lo := int64(c.IntN(5) - 2)
		d.ints = append(d.ints, d.IntInput("n", lo, lo+int64(c.IntN(5))))
	}
	var latches []Bool
	for i := range c.IntN(3) {
		d.regroup()
		l := d.Latch(fmt.Sprintf("l%d", i), c.IntN(2) == 1)
		latches = append(latches, l)
		d.bools = append(d.bools, l)
	}
	var counters []Int
	if c.IntN(3) == 0 {
		l := d.IntLatch("c", -1, 3, int64(c.IntN(5)-1))
		counters = append(counters, l)
		d.ints = append(d.ints, l)
	}
	d.ints = append(d.ints, d.IntConst(int64(c.IntN(5)-2)))
	for i := range 4 + c.IntN(10) {
		d.grow(i)
	}
	for _, l := range latches {
		d.SetNext(l, d.pick())
	}
	for _, l := range counters {
		d.SetNextInt(l, d.Clamp(d.pickInt(), -1, 3))
	}
	for i := range c.IntN(3) {
		d.Assume(fmt.Sprintf("a%d", i), d.Or(d.pick(), d.pick()))
	}
	d.props = []Property{
		Always("always", d.Or(d.pick(), d.pick(), d.pick())),
		Always("implication", d.Implies(d.pick(), d.pick())),
		Always("parts", d.And(d.Implies(d.pick(), d.pick()), d.Implies(d.pick(), d.Or(d.pick(), d.pick())))),
		When("when", d.And(d.pick(), d.pick()), d.Or(d.pick(), d.pick())),
		Reachable("reach", d.And(d.pick(), d.pick(), d.pick())),
	}
	return d
}

func (d *randomDraft) pick() Bool {
	at := d.c.IntN(len(d.bools))
	if d.c.IntN(2) == 0 {
		at = len(d.bools) - 1 - d.c.IntN(min(5, len(d.bools)))
	}
	if d.c.IntN(3) == 0 {
		return d.Not(d.bools[at])
	}
	return d.bools[at]
}

func (d *randomDraft) pickInt() Int { return d.ints[d.c.IntN(len(d.ints))] }

// grow adds one expression.
func (d *randomDraft) grow(i int) {
	d.regroup()
	k := 1 + d.c.IntN(4)
	var e Bool
	switch d.c.IntN(26) {
	case 0:
		e = d.And(d.pick(), d.pick())
	case 1:
		e = d.Or(d.pick(), d.pick())
	case 2:
		e = d.Xor(d.pick(), d.pick())
	case 3:
		e = d.If(d.pick(), d.pick(), d.pick())
	case 4:
		e = d.Iff(d.pick(), d.pick())
	case 5:
		e = d.Pre(d.pick())
	case 6:
		e = d.Rose(d.pick())
	case 7:
		e = d.Fell(d.pick())
	case 8:
		e = d.Began(d.pick())
	case 9:
		e = d.Once(d.pick())
	case 10:
		e = d.Hist(d.pick())
	case 11, 12:
		e = d.Since(d.pick(), d.pick())
	case 13, 14:
		e = d.Within(k, d.pick())
	case 15, 16:
		e = d.Held(k, d.pick())
	case 17:
		e = d.OnDelay(k-1, d.pick())
	case 18:
		e = d.OffDelay(k-1, d.pick())
	case 19:
		e = d.Pulse(k, d.pick())
	case 20:
		e = d.Signal(fmt.Sprintf("s%d", i), d.pick())
	case 21:
		e = d.Less(d.pickInt(), d.pickInt())
	case 22:
		e = d.Equal(d.pickInt(), d.pickInt())
	case 23:
		d.ints = append(d.ints, d.Clamp(d.Sub(d.pickInt(), d.pickInt()), -3, 4))
		e = d.LessEq(d.pickInt(), d.pickInt())
	case 24:
		d.ints = append(d.ints, d.AddSat(d.pickInt(), d.pickInt(), -2, 3))
		e = d.Implies(d.pick(), d.pick())
	default:
		d.ints = append(d.ints, d.IfInt(d.pick(), d.pickInt(), d.pickInt()))
		e = d.Not(d.pick())
	}
	d.bools = append(d.bools, e)
}

// tally counts verdicts, to see that the random systems are not one-sided.
type tally map[Verdict]int

// compare answers the draft's properties with the engines and with the plain search, and reports every difference.
func compare(t errorer, d *randomDraft, s *System, options Options, seen tally) {
	t.Helper()
	results, err := Prove(t.Context(), s, d.props, options)
	if err != nil {
		t.Fatalf("%v", err)
	}
	for i, p := range d.props {
		want, err := Explore(t.Context(), s, p, 1<<18, options.Without...)
		if err != nil {
			t.Fatalf("%v", err)
		}
		if want.Verdict == Undecided {
			continue
		}
		seen[want.Verdict]++
		got := results[i]
		if got.Verdict != want.Verdict || got.Steps != want.Steps || got.Reason != want.Reason || got.Shortest != want.Shortest {
			t.Fatalf("got %v (%s), want %v", got, got.Method, want)
		}
		if got.Trace != nil {
			if err := s.Confirm(p, want.Trace, options.Without...); err != nil {
				t.Fatalf("the plain search's own trace: %v", err)
			}
		}
	}
}

// TestRandomSystems compares the engines with the plain search on random systems: verdict, reason and fewest steps. In the
// cross-check it asks 100,000 questions.
func TestRandomSystems(t *testing.T) {
	count := 4000
	switch {
	case testing.Short():
		count = 400
	case os.Getenv("GUARDWRIGHT_CROSSCHECK") == "1":
		count = 20_000
	}
	seen := tally{}
	for seed := range count {
		rnd := rand.New(rand.NewPCG(uint64(seed), 2))
		d := newRandomDraft(rnd)
		compare(named{t, seed}, d, d.System, Options{}, seen)
	}
	for _, v := range []Verdict{Proved, Vacuous, Refuted, Reached, Unreachable} {
		if seen[v] < count/40 {
			t.Errorf("only %d of %d systems gave %v: the random systems are one-sided", seen[v], count, v)
		}
	}
}

// TestRandomFaults does the same with a random fault in each system.
func TestRandomFaults(t *testing.T) {
	count := 1000
	if testing.Short() {
		count = 200
	}
	seen := tally{}
	for seed := range count {
		rnd := rand.New(rand.NewPCG(uint64(seed), 3))
		d := newRandomDraft(rnd)
		names := d.Signals()
		f := Fault{Signal: names[rnd.IntN(len(names))], Kind: FaultKind(1 + rnd.IntN(3))}
		if _, err := d.Lookup(f.Signal); err != nil {
			f.Kind = Free
		}
		s, err := d.WithFault(f)
		if err != nil {
			t.Fatal(err)
		}
		compare(named{t, seed}, d, s, Options{}, seen)
	}
}

// TestRandomSystemsSAT compares the satisfiability engine alone with the plain search.
func TestRandomSystemsSAT(t *testing.T) {
	count := 500
	if testing.Short() {
		count = 100
	}
	seen := tally{}
	for seed := range count {
		rnd := rand.New(rand.NewPCG(uint64(seed), 5))
		d := newRandomDraft(rnd)
		compare(named{t, seed}, d, d.System, Options{satOnly: true}, seen)
	}
}

// TestRandomSystemsEarly lets all windows of two steps and more end early first, and expects the same answers.
func TestRandomSystemsEarly(t *testing.T) {
	count := 1500
	if testing.Short() {
		count = 200
	}
	seen, early := tally{}, 0
	for seed := range count {
		rnd := rand.New(rand.NewPCG(uint64(seed), 13))
		d := newRandomDraft(rnd)
		compare(named{t, seed}, d, d.System, Options{earlyFrom: 2}, seen)
		results, err := Prove(t.Context(), d.System, d.props, Options{earlyFrom: 2})
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range results {
			if strings.Contains(r.Method, "ending at any time") {
				early++
			}
		}
	}
	if early < count/4 {
		t.Errorf("only %d answers from windows that end early", early)
	}
}
