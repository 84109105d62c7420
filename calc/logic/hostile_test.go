package logic

import (
	"context"
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// Logic that search, unrolling and property-directed reachability are each bad at. What is expected was worked out by hand or
// by running the same equations as plain Go. The answer must be the right one or none, with a reason, within the budget.

// hostile is a system with a property and what is true of it: the fewest steps that break it, 0 where it holds.
type hostile struct {
	name     string
	s        *System
	property Property
	steps    int
	decided  bool // an answer is expected, not only no wrong one
}

// tokenRing passes a token from station to station, each waiting for its own input; the property is that no two neighbours
// have it, or that the last station never gets it.
func tokenRing(n int, last, decided bool) hostile {
	s := New()
	token := make([]Bool, n)
	for i := range token {
		token[i] = s.Latch(fmt.Sprintf("token %d", i), i == 0)
	}
	var pass []Bool
	for i := range token {
		pass = append(pass, s.And(token[i], s.Input(fmt.Sprintf("pass %d", i))))
	}
	bad := token[n-1]
	for i := range token {
		before := (i + n - 1) % n
		s.SetNext(token[i], s.Or(pass[before], s.And(token[i], s.Not(pass[i]))))
	}
	steps := n
	if !last {
		bad, steps = s.And(token[n/2], token[n/2+1]), 0
	}
	return hostile{fmt.Sprintf("token ring of %d, last %t", n, last), s, Always("p", s.Not(bad)), steps, decided}
}

// shiftRegister is a linear feedback shift register (Fibonacci form) of n bits with the given taps, started at 1. The property
// is that it never holds the value that it has after so many steps, or 0, which it never has.
func shiftRegister(n int, taps []int, after int, decided bool) hostile {
	s := New()
	bits := make([]Bool, n)
	for i := range bits {
		bits[i] = s.Latch(fmt.Sprintf("bit %d", i), i == 0)
	}
	feedback := s.False()
	for _, tap := range taps {
		feedback = s.Xor(feedback, bits[tap-1])
	}
	s.SetNext(bits[0], feedback)
	for i := 1; i < n; i++ {
		s.SetNext(bits[i], bits[i-1])
	}
	value := uint64(1)
	for range after {
		in := uint64(0)
		for _, tap := range taps {
			in ^= value >> (tap - 1) & 1
		}
		value = (value<<1 | in) & (1<<n - 1)
	}
	steps := after + 1
	if after == 0 {
		value, steps = 0, 0
	}
	var same []Bool
	for i := range bits {
		same = append(same, s.Iff(bits[i], constant(s, value>>i&1 == 1)))
	}
	return hostile{fmt.Sprintf("shift register of %d, value after %d", n, after), s, Always("p", s.Not(s.And(same...))), steps, decided}
}

func constant(s *System, v bool) Bool {
	if v {
		return s.True()
	}
	return s.False()
}

// timers are n timers of different length with inputs of their own; the property is that they are never all up, or that the
// first one is up only while its input is on.
func timers(n, steps int, all, decided bool) hostile {
	s := New()
	up, longest := s.True(), 0
	var first Bool
	for i := range n {
		x := s.Input(fmt.Sprintf("x%d", i))
		longest = steps + i
		done := s.OnDelay(longest, x)
		up = s.And(up, done)
		if i == 0 {
			first = s.And(done, s.Not(x))
		}
	}
	if all {
		return hostile{fmt.Sprintf("%d timers all up", n), s, Always("p", s.Not(up)), longest + 1, decided}
	}
	return hostile{fmt.Sprintf("%d timers, one without its input", n), s, Always("p", s.Not(s.And(first, s.Or(up, s.Pre(s.True()))))), 0, decided}
}

// crossedTimers holds counters of the design's own, which no abstraction of timers knows, that can be at rest only together.
func crossedTimers(n int, steps int64, decided bool) hostile {
	s := New()
	run := s.Input("run")
	all, some := s.True(), s.False()
	for i := range n {
		age := s.IntLatch(fmt.Sprintf("age %d", i), 0, steps+int64(i), 0)
		now := s.IfInt(s.And(run, s.Input(fmt.Sprintf("x%d", i))), s.AddSat(age, s.IntConst(1), 0, steps+int64(i)), s.IntConst(0))
		s.SetNextInt(age, now)
		full := s.Equal(age, s.IntConst(steps+int64(i)))
		all, some = s.And(all, full), s.Or(some, full)
	}
	stopped := s.Pre(s.Not(run))
	return hostile{fmt.Sprintf("%d counters after a stop", n), s, Always("p", s.Not(s.And(stopped, s.Or(all, some)))), 0, decided}
}

// combination is a lock that opens after the right n codes of 4 bits in a row.
func combination(n int, decided bool) hostile {
	s := New()
	step := s.IntLatch("step", 0, int64(n), 0)
	code := make([]Bool, 4)
	for i := range code {
		code[i] = s.Input(fmt.Sprintf("code %d", i))
	}
	good := s.False()
	for k := range n {
		want := s.Equal(step, s.IntConst(int64(k)))
		for i := range code {
			want = s.And(want, s.Iff(code[i], constant(s, (k*7+3)>>i&1 == 1)))
		}
		good = s.Or(good, want)
	}
	s.SetNextInt(step, s.IfInt(good, s.AddSat(step, s.IntConst(1), 0, int64(n)), s.IntConst(0)))
	return hostile{fmt.Sprintf("lock of %d codes", n), s, Always("p", s.Not(s.Equal(step, s.IntConst(int64(n))))), n + 1, decided}
}

// TestHostileLogic answers each within a small budget.
func TestHostileLogic(t *testing.T) {
	limits := Limits{States: 1 << 15, Work: 1 << 22, Queries: 200}
	undecided := 0
	for _, h := range []hostile{
		tokenRing(16, false, true), tokenRing(16, true, true), tokenRing(60, false, false), tokenRing(60, true, true),
		tokenRing(90, false, false), tokenRing(90, true, false),
		shiftRegister(13, []int{13, 4, 3, 1}, 0, true), shiftRegister(13, []int{13, 4, 3, 1}, 6000, true),
		shiftRegister(32, []int{32, 22, 2, 1}, 0, false), shiftRegister(32, []int{32, 22, 2, 1}, 3000, true),
		shiftRegister(32, []int{32, 22, 2, 1}, 1<<20, false),
		shiftRegister(63, []int{63, 62}, 0, false), shiftRegister(63, []int{63, 62}, 1<<20, false),
		timers(2, 60, true, true), timers(2, 60, false, true), timers(5, 100, false, true), timers(5, 100, true, false), timers(12, 90, true, false),
		timers(12, 90, false, false), crossedTimers(2, 20, true), crossedTimers(4, 30, false), crossedTimers(7, 100, false),
		combination(12, true), combination(120, true),
	} {
		t.Run(h.name, func(t *testing.T) {
			require.NoError(t, h.s.Err())
			r := certified(t, h.s, []Property{h.property}, Options{Limits: limits})[0]
			switch {
			case r.Verdict == Undecided:
				undecided++
				require.NotEmpty(t, r.Reason)
				require.False(t, h.decided, "%v", r)
			case h.steps == 0:
				require.Equal(t, Proved, r.Verdict, "%v", r)
			default:
				require.Equal(t, Refuted, r.Verdict, "%v", r)
				require.GreaterOrEqual(t, r.Steps, h.steps)
				require.True(t, !r.Shortest || r.Steps == h.steps, "%v, want %d", r, h.steps)
				require.NoError(t, h.s.Confirm(h.property, r.Trace))
			}
			t.Logf("%v by %s, %d states, %v", r, r.Method, r.States, r.Certificate)
		})
	}
	require.Positive(t, undecided, "nothing here was too much for the budget")
}

// TestHostileLogicDeadline gives a hard question all the work it wants and little time.
func TestHostileLogicDeadline(t *testing.T) {
	h := tokenRing(150, false, false)
	ctx, cancel := context.WithTimeout(t.Context(), 200*time.Millisecond)
	defer cancel()
	results, err := Prove(ctx, h.s, []Property{h.property}, Options{Limits: Limits{Queries: 1 << 30, Depth: 1 << 20, Work: 1 << 50}})
	require.NoError(t, err)
	r := results[0]
	if r.Verdict == Undecided {
		require.Contains(t, r.Reason, "deadline")
		return
	}
	require.Equal(t, Proved, r.Verdict, "%v", r)
}
