package logic

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// pastDraft is a random system of past-time operators over inputs, without latches and integers.
func pastDraft(rnd *rand.Rand) *randomDraft {
	d := &randomDraft{System: New(), c: rnd}
	for i := range 3 {
		d.bools = append(d.bools, d.Input(fmt.Sprintf("i%d", i)))
	}
	for i := range 12 {
		k := 1 + rnd.IntN(6)
		if rnd.IntN(3) == 0 {
			k = 50 + rnd.IntN(100)
		}
		var e Bool
		switch rnd.IntN(16) {
		case 0:
			e = d.Not(d.pick())
		case 1:
			e = d.And(d.pick(), d.pick())
		case 2:
			e = d.Or(d.pick(), d.pick())
		case 3:
			e = d.Xor(d.pick(), d.pick())
		case 4:
			e = d.Iff(d.pick(), d.pick())
		case 5:
			e = d.If(d.pick(), d.pick(), d.pick())
		case 6:
			e = d.Implies(d.pick(), d.pick())
		case 7:
			e = d.Pre(d.pick())
		case 8:
			e = d.Rose(d.pick())
		case 9:
			e = d.Fell(d.pick())
		case 10:
			e = d.Began(d.pick())
		case 11:
			e = d.Once(d.pick())
		case 12:
			e = d.Hist(d.pick())
		case 13:
			e = d.Since(d.pick(), d.pick())
		case 14:
			e = d.Within(k, d.pick())
		default:
			e = d.Held(k, d.pick())
		}
		if i == 5 {
			e = d.Signal("net", e)
		}
		d.bools = append(d.bools, e)
	}
	d.Assume("assumed", d.pick())
	d.props = []Property{Always("always", d.pick()), When("when", d.pick(), d.pick()), Reachable("reach", d.pick()), Always("true", d.True())}
	return d
}

// TestBlocks compares blocks of every length, mixed with single steps, with the same run taken step by step.
func TestBlocks(t *testing.T) {
	for seed := range 400 {
		rnd := rand.New(rand.NewPCG(uint64(seed), 11))
		d := pastDraft(rnd)
		columns := d.Inputs()[:2+rnd.IntN(2)]
		if rnd.IntN(2) == 0 {
			columns = append(columns, "net")
		}
		window := rnd.IntN(5)
		steps, err := NewMonitor(d.System, d.props, columns, window)
		require.NoError(t, err)
		blocks, err := NewMonitor(d.System, d.props, columns, window)
		require.NoError(t, err)
		for range 6 {
			takeBoth(t, rnd, steps, blocks, len(columns))
			require.Equal(t, steps.Findings(), blocks.Findings(), "seed %d", seed)
			require.Equal(t, steps.Steps(), blocks.Steps())
		}
		require.NotNil(t, blocks.words, "the blocks were taken step by step")
	}
}

// takeBoth gives the same random values to both monitors.
func takeBoth(t *testing.T, rnd *rand.Rand, steps, blocks *Monitor, columns int) {
	t.Helper()
	n := []int{1, 3, 63, 64, 65, 128, 200, 64 * blockWords, 64*blockWords + 7}[rnd.IntN(9)]
	bits := make([]Bits, columns)
	density := 1 + rnd.IntN(40)
	for c := range bits {
		bits[c].True = make([]uint64, (n+63)/64)
		if rnd.IntN(4) == 0 {
			bits[c].Unknown = make([]uint64, (n+63)/64)
		}
	}
	row := make([]Value, columns)
	for i := range n {
		for c := range bits {
			if rnd.IntN(density) == 0 {
				bits[c].True[i>>6] |= 1 << (i & 63)
			}
			if bits[c].Unknown != nil && rnd.IntN(20) == 0 {
				bits[c].Unknown[i>>6] |= 1 << (i & 63)
			}
			row[c] = bits[c].value(i)
		}
		require.NoError(t, steps.Step(row))
		if n == 1 {
			require.NoError(t, blocks.Step(row))
		}
	}
	if n > 1 {
		require.NoError(t, blocks.Block(n, bits))
	}
}

// TestBlocksOfOtherFormulas checks that latches, timers with pulses and comparisons are taken too.
func TestBlocksOfOtherFormulas(t *testing.T) {
	for seed := range 100 {
		rnd := rand.New(rand.NewPCG(uint64(seed), 12))
		d := newRandomDraft(rnd)
		var columns []string
		for _, name := range d.Inputs() {
			if name != "n" {
				columns = append(columns, name)
			}
		}
		steps, err := NewMonitor(d.System, d.props, columns, 2)
		require.NoError(t, err)
		blocks, err := NewMonitor(d.System, d.props, columns, 2)
		require.NoError(t, err)
		takeBoth(t, rnd, steps, blocks, len(columns))
		require.Equal(t, steps.Findings(), blocks.Findings(), "seed %d", seed)
	}
}

func TestBlockMistakes(t *testing.T) {
	s := New()
	x, n := s.Input("x"), s.IntInput("n", 0, 3)
	p := Always("p", s.Or(x, s.Equal(n, s.IntConst(1))))
	m, err := NewMonitor(s, []Property{p}, []string{"x"}, 0)
	require.NoError(t, err)
	require.ErrorContains(t, m.Block(64, nil), "0 columns of bits for 1")
	require.ErrorContains(t, m.Block(65, []Bits{{True: []uint64{0}}}), "fewer than 2 words")
	require.ErrorContains(t, m.Block(64, []Bits{{True: []uint64{0}, Unknown: []uint64{}}}), "fewer than 1 words")
	require.Error(t, m.Block(-1, []Bits{{}}))
	require.NoError(t, m.Block(0, []Bits{{}}))
	require.Zero(t, m.Steps())
	m, err = NewMonitor(s, []Property{p}, []string{"n"}, 0)
	require.NoError(t, err)
	require.ErrorContains(t, m.Block(1, []Bits{{True: []uint64{0}}}), "is an integer")
}

// BenchmarkMonitorBlock judges 100 properties over 64 recorded signals.
func BenchmarkMonitorBlock(b *testing.B) {
	const steps = 1 << 20
	for _, gaps := range []bool{false, true} {
		b.Run(fmt.Sprintf("unknown=%t", gaps), func(b *testing.B) {
			s, props, columns := monitorBench()
			m, err := NewMonitor(s, props, columns, 16)
			require.NoError(b, err)
			rnd := rand.New(rand.NewPCG(1, 1))
			bits := make([]Bits, len(columns))
			for c := range bits {
				for range steps / 64 {
					bits[c].True = append(bits[c].True, rnd.Uint64())
				}
				if gaps {
					bits[c].Unknown = make([]uint64, steps/64)
				}
			}
			for b.Loop() {
				if err := m.Block(steps, bits); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(steps)*float64(b.N)/b.Elapsed().Seconds()/1e6, "Msteps/s")
		})
	}
}
