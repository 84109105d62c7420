package logic

import (
	"fmt"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// TestReplayOfRecordedRuns judges the known sequence of each wrong design as if it had been recorded: outputs and inputs are
// columns, and each property must be broken first in exactly the known step.
func TestReplayOfRecordedRuns(t *testing.T) {
	for _, x := range wrongDesigns {
		t.Run(x.name, func(t *testing.T) {
			d := x.draft("")
			var props []Property
			for _, e := range d.expect {
				props = append(props, e.property)
			}
			run := d.runs[0]
			columns := append(d.Inputs(), run.outputs...)
			m, err := NewMonitor(d.System, props, columns, 3)
			require.NoError(t, err)
			for _, line := range run.steps {
				require.NoError(t, m.Step(rowOf(columns, line)))
			}
			for i, e := range d.expect {
				f := m.Findings()[i]
				require.Equal(t, int64(e.first), f.First, "%v", f)
				require.Zero(t, f.Unknown, "%v", f)
				require.Equal(t, e.first < 0, f.Kept(), "%v", f)
				if e.first >= 0 {
					require.Equal(t, int64(max(0, e.first-2)), f.WindowStart)
					require.Equal(t, e.first-int(f.WindowStart)+1, f.Window.Len())
				}
			}
			for _, f := range m.Findings()[len(props):] {
				require.True(t, f.Assumption && f.Kept(), "%v", f)
			}
		})
	}
}

// rowOf reads "inputs | outputs", the names of those that are true.
func rowOf(columns []string, line string) []Value {
	row := make([]Value, len(columns))
	for i, name := range columns {
		for _, on := range splitWords(line) {
			if on == name {
				row[i] = True
			}
		}
	}
	return row
}

func splitWords(line string) []string {
	var out []string
	word := ""
	for _, r := range line + " " {
		if r == ' ' || r == '|' {
			if word != "" {
				out = append(out, word)
			}
			word = ""
			continue
		}
		word += string(r)
	}
	return out
}

// TestReplayIsSound leaves out values of random runs and checks that what the monitor still tells is what the complete run
// shows, and that the complete run leaves nothing open.
func TestReplayIsSound(t *testing.T) {
	told, open := 0, 0
	for seed := range 600 {
		rnd := rand.New(rand.NewPCG(uint64(seed), 9))
		d := newRandomDraft(rnd)
		columns := d.Inputs()
		full, err := NewMonitor(d.System, d.props, columns, 0)
		require.NoError(t, err)
		partial, err := NewMonitor(d.System, d.props, columns, 0)
		require.NoError(t, err)
		loss := rnd.IntN(6)
		for range 12 {
			row, gap := make([]Value, len(columns)), make([]Value, len(columns))
			for i, name := range columns {
				dom := d.g.domain(d.g.signals[d.g.byName[name]].node)
				row[i] = Value(dom.lo + rnd.Int64N(int64(dom.size())))
				gap[i] = row[i]
				if rnd.IntN(6) < loss {
					gap[i] = Unknown
				}
			}
			require.NoError(t, full.Step(row))
			require.NoError(t, partial.Step(gap))
			for i := range full.checks {
				want := full.checks[i].property.answer(full.m.vals)
				got := partial.checks[i].property.answer(partial.m.vals)
				require.NotEqual(t, int64(unknown), want, "seed %d", seed)
				if got == unknown {
					open++
					continue
				}
				told++
				require.Equal(t, want, got, "seed %d, %s", seed, full.checks[i].property.Name)
			}
		}
	}
	require.Greater(t, told, 3*open/2, "the monitor tells too little to be of use: %d told, %d open", told, open)
	require.Greater(t, open, 1000)
}

// TestReplayUnknown has a value missing at the decisive step.
func TestReplayUnknown(t *testing.T) {
	s := New()
	guard, run := s.Input("guard"), s.Input("run")
	m, err := NewMonitor(s, []Property{Always("closed", s.Implies(run, guard)), Reachable("runs", run)}, []string{"run", "guard"}, 4)
	require.NoError(t, err)
	for _, row := range [][]Value{{False, True}, {True, Unknown}, {Unknown, True}, {True, False}, {True, False}} {
		require.NoError(t, m.Step(row))
	}
	require.Error(t, m.Step([]Value{True}))
	require.ErrorContains(t, m.Step([]Value{True, 7}), "outside 0 to 1")
	f := m.Findings()
	require.Equal(t, int64(5), m.Steps())
	require.Equal(t, "closed: broken in 2 of 5 steps, first in step 3, not known in 1, first in step 1", f[0].String())
	require.Equal(t, 4, f[0].Window.Len())
	require.Equal(t, "runs: met in 3 of 5 steps, first in step 1, not known in 1, first in step 2", f[1].String())
	require.False(t, f[0].Kept())
	require.True(t, f[1].Kept())
	_, err = NewMonitor(s, nil, []string{"gaurd", "run", "run"}, -1)
	require.ErrorContains(t, err, `did you mean "guard"`)
	require.ErrorContains(t, err, "twice")
	require.ErrorContains(t, err, "a window of -1")
}

// TestCycle checks the rounding: a lower limit up, an upper limit down.
func TestCycle(t *testing.T) {
	c := Cycle(4 * time.Millisecond)
	for _, x := range []struct {
		t     time.Duration
		least int
		most  int
	}{{0, 0, -1}, {time.Millisecond, 1, -1}, {4 * time.Millisecond, 1, 1}, {5 * time.Millisecond, 2, 1}, {50 * time.Millisecond, 13, 12}, {time.Hour, 900_000, 900_000}} {
		least, err := c.AtLeast(x.t)
		require.NoError(t, err)
		require.Equal(t, x.least, least.N)
		require.GreaterOrEqual(t, least.Real, x.t)
		most, err := c.AtMost(x.t)
		if x.most < 0 {
			require.ErrorContains(t, err, "shorter than one cycle")
			continue
		}
		require.NoError(t, err)
		require.Equal(t, x.most, most.N)
		require.LessOrEqual(t, most.Real, x.t)
	}
	s, err := c.AtLeast(50 * time.Millisecond)
	require.NoError(t, err)
	require.Equal(t, "at least 50ms = 13 steps (52ms)", s.String())
	_, err = Cycle(0).AtLeast(time.Second)
	require.ErrorContains(t, err, "not positive")
	_, err = c.AtMost(-time.Second)
	require.ErrorContains(t, err, "negative")
	_, err = c.AtLeast(100_000 * time.Hour)
	require.ErrorContains(t, err, "more than")
}

// TestPastOperators checks every operator against its definition, written out over the whole history, on random inputs.
func TestPastOperators(t *testing.T) {
	for k := 1; k <= 4; k++ {
		s := New()
		p, q := s.Input("p"), s.Input("q")
		named := map[string]Bool{"pre": s.Pre(p), "rose": s.Rose(p), "fell": s.Fell(p), "began": s.Began(p), "once": s.Once(p), "hist": s.Hist(p),
			"since": s.Since(p, q), "within": s.Within(k, p), "held": s.Held(k, p), "on": s.OnDelay(k, p), "off": s.OffDelay(k, p), "pulse": s.Pulse(k, p)}
		for name, e := range named {
			s.Signal(name, e)
		}
		rnd := rand.New(rand.NewPCG(uint64(k), 10))
		for range 200 {
			var in []map[string]Value
			var ps, qs []bool
			for range 14 {
				ps, qs = append(ps, rnd.IntN(3) > 0), append(qs, rnd.IntN(4) == 0)
				in = append(in, map[string]Value{"p": Value(bit(ps[len(ps)-1])), "q": Value(bit(qs[len(qs)-1]))})
			}
			tr, err := s.Run(in)
			require.NoError(t, err)
			for step := range in {
				for name := range named {
					got, _ := tr.Value(step, name)
					require.Equal(t, defined(name, ps, qs, step, k), got == True, "%s, k = %d, step %d, p %v, q %v", name, k, step, ps, qs)
				}
			}
		}
	}
}

// defined is the value of an operator by its definition.
func defined(name string, p, q []bool, t, k int) bool {
	last := func(n int) (any, all bool) { // p among the last n steps
		all = t+1 >= n
		for s := max(0, t-n+1); s <= t; s++ {
			any, all = any || p[s], all && p[s]
		}
		return any, all
	}
	switch name {
	case "pre":
		return t > 0 && p[t-1]
	case "rose":
		return t > 0 && p[t] && !p[t-1]
	case "fell":
		return t > 0 && !p[t] && p[t-1]
	case "began":
		return p[t] && (t == 0 || !p[t-1])
	case "once":
		any, _ := last(t + 1)
		return any
	case "hist":
		_, all := last(t + 1)
		return all
	case "since":
		for s := t; s >= 0; s-- {
			if q[s] {
				return true
			}
			if !p[s] {
				return false
			}
		}
		return false
	case "within":
		any, _ := last(k)
		return any
	case "held":
		_, all := last(k)
		return all
	case "on":
		_, all := last(k + 1)
		return all
	case "off":
		any, _ := last(k + 1)
		return any
	default: // pulse
		start := -k
		for s := 1; s <= t; s++ {
			if p[s] && !p[s-1] && s >= start+k {
				start = s
			}
		}
		return start > 0 && t < start+k
	}
}

// TestSharedCounter checks that windows over one expression share one counter, whatever their lengths and whoever asks.
func TestSharedCounter(t *testing.T) {
	s := New()
	x := s.Input("x")
	design := s.Signal("released", s.OnDelay(149, x))
	p := When("held", design, s.Held(150, x))
	c := compile(s, []int32{p.expr.id, p.when.id, s.Held(20, x).id, s.Held(150, s.Signal("name", x)).id}, 0, nil)
	latches := 0
	for n := range uint32(c.a.Len()) {
		if c.a.IsLatch(n) {
			latches++
		}
	}
	require.Equal(t, 8, latches, "0 to 149 in binary")
	require.Equal(t, Proved, prove1(t, s, p).Verdict)
}

// TestTable checks the printed forms of a trace.
func TestTable(t *testing.T) {
	s := New()
	mode := s.EnumInput("mode", "auto", "manual")
	n := s.IntLatch("count", 0, 3, 0)
	s.SetNextInt(n, s.AddSat(n, s.IntConst(1), 0, 3))
	fast := s.Signal("fast", s.And(s.Is(mode, "manual"), s.Less(s.IntConst(1), n)))
	r := prove1(t, s, Reachable("fast", fast))
	require.Equal(t, `step      0     1       2
mode   auto  auto  manual
fast      .     .       1
count     0     1       2
`, r.Trace.Table())
	require.Equal(t, "step 0: nothing changes\nstep 1: count = 1\nstep 2: mode = manual, count = 2, fast on\n", r.Trace.Story())
	long := &Trace{Signals: []TraceSignal{{Name: "x"}}}
	for i := range 60 {
		long.Values = append(long.Values, []Value{Value(i % 2)})
	}
	require.Len(t, splitLines(long.Table()), 3*2+2)
	back, err := s.Run(r.Trace.Inputs(), "fast", "count")
	require.NoError(t, err)
	v, ok := back.Value(2, "fast")
	require.True(t, ok && v == True)
	_, ok = back.Value(3, "fast")
	require.False(t, ok)
}

func splitLines(s string) []string {
	var out []string
	for len(s) > 0 {
		i := 0
		for i < len(s) && s[i] != '\n' {
			i++
		}
		out = append(out, s[:i])
		s = s[min(i+1, len(s)):]
	}
	return out
}

func BenchmarkMonitorStep(b *testing.B) {
	s, props, columns := monitorBench()
	m, err := NewMonitor(s, props, columns, 16)
	if err != nil {
		b.Fatal(err)
	}
	row := make([]Value, len(columns))
	rnd := rand.New(rand.NewPCG(1, 1))
	for b.Loop() {
		for i := range row {
			row[i] = Value(rnd.IntN(2))
		}
		if err := m.Step(row); err != nil {
			b.Fatal(err)
		}
	}
}

// monitorBench is 100 properties over 64 signals: half of them about since, a quarter about within, a quarter about pre.
func monitorBench() (*System, []Property, []string) {
	s := New()
	var in []Bool
	for i := range 64 {
		in = append(in, s.Input(fmt.Sprintf("s%d", i)))
	}
	var props []Property
	for i := range 100 {
		x, y, z := in[i%64], in[(i*7+3)%64], in[(i*13+5)%64]
		switch i % 4 {
		case 0, 1:
			props = append(props, Always(fmt.Sprint(i), s.Implies(s.Rose(x), s.Not(s.Since(s.Not(s.Fell(y)), z)))))
		case 2:
			props = append(props, Always(fmt.Sprint(i), s.Implies(s.Rose(x), s.Within(25, y))))
		default:
			props = append(props, Always(fmt.Sprint(i), s.Implies(x, s.Or(s.Pre(y), z))))
		}
	}
	return s, props, s.Inputs()
}
