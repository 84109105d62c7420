package logic

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// randomRow draws a value for each input.
func randomRow(d *randomDraft, rnd *rand.Rand, columns []string) []Value {
	row := make([]Value, len(columns))
	for i, name := range columns {
		dom := d.g.domain(d.g.signals[d.g.byName[name]].node)
		row[i] = Value(dom.lo + rnd.Int64N(int64(dom.size())))
	}
	return row
}

// TestRepeatIsManySteps holds rows of random runs for random times: the findings are those of single steps, windows included.
func TestRepeatIsManySteps(t *testing.T) {
	for seed := range 300 {
		rnd := rand.New(rand.NewPCG(uint64(seed), 21))
		d := newRandomDraft(rnd)
		columns := d.Inputs()
		one, err := NewMonitor(d.System, d.props, columns, 3)
		require.NoError(t, err)
		many, err := NewMonitor(d.System, d.props, columns, 3)
		require.NoError(t, err)
		require.Zero(t, many.Repeat(5), "nothing to repeat before the first step")
		for range 8 {
			row := randomRow(d, rnd, columns)
			if rnd.IntN(4) == 0 {
				row[rnd.IntN(len(row))] = Unknown
			}
			if rnd.IntN(5) == 0 {
				one.Forget()
				many.Forget()
			}
			times := 1 + rnd.IntN(40)
			for range times {
				require.NoError(t, one.Step(row))
			}
			require.NoError(t, many.Step(row))
			for left := int64(times - 1); left > 0; {
				news := many.News()
				took := many.Repeat(left)
				require.True(t, took == left || many.News() > news, "it stops early for news alone")
				left -= took
			}
			require.Equal(t, one.Findings(), many.Findings(), "seed %d", seed)
		}
	}
}

// TestBlocksAfterForget mixes blocks with single steps in a run whose beginning is not known.
func TestBlocksAfterForget(t *testing.T) {
	for seed := range 60 {
		rnd := rand.New(rand.NewPCG(uint64(seed), 23))
		d := newRandomDraft(rnd)
		columns := d.Inputs()
		one, err := NewMonitor(d.System, d.props, columns, 3)
		require.NoError(t, err)
		blocks, err := NewMonitor(d.System, d.props, columns, 3)
		require.NoError(t, err)
		one.Forget()
		blocks.Forget()
		for range 3 {
			steps := 1 + rnd.IntN(90)
			bits := make([]Bits, len(columns))
			for i := range bits {
				bits[i].True = []uint64{rnd.Uint64() & rnd.Uint64(), rnd.Uint64() & rnd.Uint64()}
			}
			if blocks.Block(steps, bits) != nil { // an integer
				break
			}
			row := make([]Value, len(columns))
			for step := range steps + 1 {
				for i := range bits {
					row[i] = bits[i].value(min(step, steps-1))
				}
				require.NoError(t, one.Step(row))
			}
			require.NoError(t, blocks.Step(row))
			require.Equal(t, one.Findings(), blocks.Findings(), "seed %d", seed)
			require.Equal(t, one.News(), blocks.News())
		}
	}
}

// TestForgetIsSound compares a run that is known from power-up with one whose record begins later, and that loses steps in
// between: what the second monitor still tells is true.
func TestForgetIsSound(t *testing.T) {
	told, open := 0, 0
	for seed := range 800 {
		rnd := rand.New(rand.NewPCG(uint64(seed), 22))
		d := newRandomDraft(rnd)
		columns := d.Inputs()
		full, err := NewMonitor(d.System, d.props, columns, 0)
		require.NoError(t, err)
		late, err := NewMonitor(d.System, d.props, columns, 0)
		require.NoError(t, err)
		lost := rnd.IntN(6)
		for range lost {
			require.NoError(t, full.Step(randomRow(d, rnd, columns)))
		}
		late.Forget()
		for step := range 14 {
			row := randomRow(d, rnd, columns)
			require.NoError(t, full.Step(row))
			if lost > 0 && step == 7 { // some steps get lost, and nobody knows how many
				late.Forget()
				lost--
				continue
			}
			require.NoError(t, late.Step(row))
			for i := range full.checks {
				want, got := full.checks[i].property.answer(full.m.vals), late.checks[i].property.answer(late.m.vals)
				if got == unknown {
					open++
					continue
				}
				told++
				require.Equal(t, want, got, "seed %d, step %d, %s", seed, step, full.checks[i].property.Name)
			}
		}
	}
	require.Greater(t, told, open, "the monitor tells too little to be of use: %d told, %d open", told, open)
}

// TestForgetSettles: after steps whose number is not known, each operator answers again as soon as it can.
func TestForgetSettles(t *testing.T) {
	s := New()
	p, q := s.Input("p"), s.Input("q")
	for name, e := range map[string]Bool{"pre": s.Pre(p), "rose": s.Rose(p), "began": s.Began(p), "once": s.Once(p), "hist": s.Hist(p),
		"since": s.Since(p, q), "within": s.Within(3, p), "held": s.Held(3, p), "pulse": s.Pulse(3, p)} {
		for _, x := range []struct {
			p, q  []Value
			known int // the first step with an answer
		}{
			{[]Value{0, 0, 0, 0}, []Value{0, 0, 0, 0}, map[string]int{"pre": 1, "rose": 0, "began": 0, "once": 9, "hist": 0, "since": 0, "within": 2, "held": 0, "pulse": 2}[name]},
			{[]Value{1, 1, 1, 1}, []Value{0, 1, 1, 1}, map[string]int{"pre": 1, "rose": 1, "began": 1, "once": 0, "hist": 9, "since": 1, "within": 0, "held": 2, "pulse": 3}[name]},
		} {
			m, err := NewMonitor(s, []Property{Always("", e)}, []string{"p", "q"}, 0)
			require.NoError(t, err)
			m.Forget()
			for step := range x.p {
				require.NoError(t, m.Step([]Value{x.p[step], x.q[step]}))
				got := m.checks[0].property.answer(m.m.vals)
				require.Equal(t, step >= x.known, got != unknown, "%s of %v in step %d", name, x.p, step)
			}
		}
	}
}

// TestRecordedNetIsFree: a machine can do what its logic never would; the value is compared, not refused.
func TestRecordedNetIsFree(t *testing.T) {
	s := New()
	go1 := s.Input("go")
	shown := s.IntSignal("shown", s.IfInt(go1, s.IntConst(1), s.IntConst(0)), "off", "steady", "flash")
	run := s.Signal("run", go1)
	same := s.Equal(shown, s.FormulaInt(shown))
	props := []Property{Always("shown", same), Always("run", s.Iff(run, s.Formula(run)))}
	m, err := NewMonitor(s, props, []string{"go", "shown", "run"}, 2)
	require.NoError(t, err)
	require.Equal(t, Unknown, m.Int(s.FormulaInt(shown)))
	require.NoError(t, m.Step([]Value{True, 1, True}))
	require.NoError(t, m.Step([]Value{True, 2, True}))
	require.Equal(t, Value(1), m.Int(s.FormulaInt(shown)))
	require.NoError(t, m.Step([]Value{True, Unknown, False}))
	require.ErrorContains(t, m.Step([]Value{True, 3, True}), "outside 0 to 2")
	f := m.Findings()
	require.Equal(t, []int64{1, 2}, []int64{f[0].First, f[1].First})
	require.Equal(t, int64(1), f[0].Unknown)
	columns, missing := m.Rests(0)
	require.Equal(t, []string{"go", "shown"}, columns)
	require.Empty(t, missing)

	m, err = NewMonitor(s, props[1:], []string{"run"}, 0)
	require.NoError(t, err)
	columns, missing = m.Rests(0)
	require.Equal(t, []string{"run"}, columns)
	require.Equal(t, []string{"go"}, missing)
	require.Equal(t, []Column{{Name: "go", Kind: InputSignal, Max: 1}, {Name: "shown", Kind: NetSignal, Integer: true, Labels: []string{"off", "steady", "flash"}, Max: 1},
		{Name: "run", Kind: NetSignal, Max: 1}}, s.Columns())
}
