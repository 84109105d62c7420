package rules

import (
	"context"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/require"

	"github.com/guardwright/guardwright/calc"
	"github.com/guardwright/guardwright/calc/logic"
	"github.com/guardwright/guardwright/model"
)

// formula is a random expression with its text in the rule language, and its value in a cycle by the definition of each
// operator over the whole history. It shares nothing with the translation.
type formula struct {
	text string
	at   func(t int) int // 0 and 1, a number, or the place of a word
}

// history is what a random formula speaks of: a and b are true or false, n is 0 to 3, w is one of three words.
type history struct{ a, b, n, w []int }

func words() []string { return []string{"left", "middle", "right"} }

func truthInt(b bool) int {
	if b {
		return 1
	}
	return 0
}

// condition makes a random condition.
func (h *history) condition(r *rand.Rand, depth int) formula {
	if depth == 0 {
		switch r.IntN(4) {
		case 0:
			return formula{"a", func(t int) int { return h.a[t] }}
		case 1:
			return formula{"true", func(int) int { return 1 }}
		}
		return formula{"b", func(t int) int { return h.b[t] }}
	}
	x, y := h.condition(r, depth-1), h.condition(r, depth-1)
	was := func(t int) bool { return t > 0 && x.at(t-1) == 1 }
	one := func(name string, at func(t int) bool) formula {
		return formula{name + "(" + x.text + ")", func(t int) int { return truthInt(at(t)) }}
	}
	two := func(format string, at func(t int) bool) formula {
		return formula{fmt.Sprintf(format, x.text, y.text), func(t int) int { return truthInt(at(t)) }}
	}
	switch r.IntN(20) {
	case 0:
		return one("!", func(t int) bool { return x.at(t) == 0 })
	case 1:
		return two("(%s && %s)", func(t int) bool { return x.at(t)*y.at(t) == 1 })
	case 2:
		return two("(%s || %s)", func(t int) bool { return x.at(t)+y.at(t) > 0 })
	case 3:
		return two("(%s == %s)", func(t int) bool { return x.at(t) == y.at(t) })
	case 4:
		return two("implies(%s, %s)", func(t int) bool { return x.at(t) <= y.at(t) })
	case 5:
		return one("pre", was)
	case 6:
		return one("rose", func(t int) bool { return t > 0 && x.at(t) == 1 && !was(t) })
	case 7:
		return one("fell", func(t int) bool { return x.at(t) == 0 && was(t) })
	case 8:
		return one("began", func(t int) bool { return x.at(t) == 1 && !was(t) })
	case 9:
		return one("once", func(t int) bool { return inLast(x, t, t+1) > 0 })
	case 10:
		return one("hist", func(t int) bool { return inLast(x, t, t+1) == t+1 })
	case 11:
		return two("since(%s, %s)", func(t int) bool {
			for u := t; u >= 0; u-- {
				if y.at(u) == 1 {
					return true
				}
				if x.at(u) == 0 {
					return false
				}
			}
			return false
		})
	case 12:
		k := 1 + r.IntN(4) // 10 ms each; an upper limit is rounded down
		return formula{fmt.Sprintf("within(ms(%d), %s)", 10*k+r.IntN(10), x.text), func(t int) int { return truthInt(inLast(x, t, k) > 0) }}
	case 13:
		k := 1 + r.IntN(4) // a lower limit is rounded up
		return formula{fmt.Sprintf("held(ms(%d), %s)", 10*k-r.IntN(10), x.text), func(t int) int { return truthInt(inLast(x, t, k) == k) }}
	case 14:
		k := r.IntN(4)
		return formula{fmt.Sprintf("on_delay(ms(%d), %s)", 10*k, x.text), func(t int) int { return truthInt(inLast(x, t, k+1) == k+1) }}
	case 15:
		k := r.IntN(4)
		return formula{fmt.Sprintf("off_delay(ms(%d), %s)", 10*k, x.text), func(t int) int { return truthInt(inLast(x, t, k+1) > 0) }}
	case 16:
		m, n := h.number(r, depth-1), h.number(r, depth-1)
		return formula{fmt.Sprintf("(%s <= %s)", m.text, n.text), func(t int) int { return truthInt(m.at(t) <= n.at(t)) }}
	case 17:
		v, w := h.word(r, depth-1), h.word(r, depth-1)
		return formula{fmt.Sprintf("(%s == %s)", v.text, w.text), func(t int) int { return truthInt(v.at(t) == w.at(t)) }}
	case 18:
		c := h.condition(r, depth-1)
		return formula{fmt.Sprintf("(%s ? %s : %s)", c.text, x.text, y.text), func(t int) int {
			if c.at(t) == 1 {
				return x.at(t)
			}
			return y.at(t)
		}}
	}
	return formula{fmt.Sprintf("([%s, %s, a].filter(x, x).size() >= 2)", x.text, y.text), func(t int) int {
		return truthInt(x.at(t)+y.at(t)+h.a[t] >= 2)
	}}
}

// inLast counts in how many of the last k cycles a condition was true.
func inLast(x formula, t, k int) int {
	n := 0
	for u := max(0, t-k+1); u <= t; u++ {
		n += x.at(u)
	}
	return n
}

func (h *history) number(r *rand.Rand, depth int) formula {
	if depth == 0 {
		return formula{"n", func(t int) int { return h.n[t] }}
	}
	x, y := h.number(r, depth-1), h.number(r, depth-1)
	switch r.IntN(6) {
	case 0:
		return formula{fmt.Sprintf("(%s + %s)", x.text, y.text), func(t int) int { return x.at(t) + y.at(t) }}
	case 1:
		return formula{fmt.Sprintf("(%s - %s)", x.text, y.text), func(t int) int { return x.at(t) - y.at(t) }}
	case 2:
		return formula{fmt.Sprintf("[%s, %s].min()", x.text, y.text), func(t int) int { return min(x.at(t), y.at(t)) }}
	case 3:
		return formula{fmt.Sprintf("[%s, 1, %s].max()", x.text, y.text), func(t int) int { return max(x.at(t), y.at(t), 1) }}
	case 4:
		c := h.condition(r, depth-1)
		return formula{fmt.Sprintf("(%s ? %s : 2)", c.text, x.text), func(t int) int {
			if c.at(t) == 1 {
				return x.at(t)
			}
			return 2
		}}
	}
	return formula{"pre(n)", func(t int) int {
		if t == 0 {
			return 0
		}
		return h.n[t-1]
	}}
}

func (h *history) word(r *rand.Rand, depth int) formula {
	switch k := r.IntN(3); {
	case depth == 0 && k == 0:
		return formula{`"middle"`, func(int) int { return 1 }}
	case depth == 0:
		return formula{"w", func(t int) int { return h.w[t] }}
	case k == 0:
		return formula{"pre(w)", func(t int) int {
			if t == 0 {
				return 0
			}
			return h.w[t-1]
		}}
	}
	c, x, y := h.condition(r, depth-1), h.word(r, depth-1), h.word(r, depth-1)
	return formula{fmt.Sprintf("(%s ? %s : %s)", c.text, x.text, y.text), func(t int) int {
		if c.at(t) == 1 {
			return x.at(t)
		}
		return y.at(t)
	}}
}

// builtLogic makes the transition system of a machine file.
func builtLogic(t *testing.T, text string) *interlock {
	t.Helper()
	m, err := model.Load(fstest.MapFS{"m.yaml": {Data: []byte(text)}}, "m.yaml")
	require.NoError(t, err)
	x, err := newInterlock(m, nil)
	require.NoError(t, err)
	used := usedFields{}
	x.use(used)
	c := &checker{ctx: context.Background(), options: Options{Steps: defaultSteps}, world: newWorld(newLanguage(), m, &calc.Results{}, used)}
	c.machine = c.world.all(c.world.language.kinds[machineName])[0]
	x.build(c)
	require.NoError(t, x.problems.Err())
	return x
}

// TestRandomFormulas compares the translation with the definition of the operators, on random formulas and inputs.
func TestRandomFormulas(t *testing.T) {
	const steps, formulas, rounds = 12, 25, 12
	for seed := range uint64(rounds) {
		r := rand.New(rand.NewPCG(seed, 1))
		h := &history{}
		var inputs []map[string]logic.Value
		for range steps {
			h.a, h.b = append(h.a, r.IntN(2)), append(h.b, r.IntN(2))
			h.n, h.w = append(h.n, r.IntN(4)), append(h.w, r.IntN(3))
			last := len(h.a) - 1
			inputs = append(inputs, map[string]logic.Value{"a": logic.Value(h.a[last]), "b": logic.Value(h.b[last]), "n": logic.Value(h.n[last]), "w": logic.Value(h.w[last])})
		}
		var text strings.Builder
		text.WriteString("format: 1\nmachine: M\nambient: {min: 5 °C, max: 40 °C}\ntypes: {controllers: {c: {network_ports: [p1]}}}\n" +
			"controllers: {c1: {type: c, safety_cycle: 10 ms}}\nlogic:\n  inputs: {a: {}, b: {}, n: {max: 3}, w: {one_of: [" + strings.Join(words(), ", ") + "]}}\n  values:\n")
		var all []formula
		for i := range formulas {
			f := h.condition(r, 4)
			all = append(all, f)
			fmt.Fprintf(&text, "    v%d: '%s'\n", i, f.text)
		}
		x := builtLogic(t, text.String())
		run, err := x.plain.sys.Run(inputs)
		require.NoError(t, err)
		for i, f := range all {
			for step := range steps {
				got, ok := run.Value(step, fmt.Sprintf("v%d", i))
				require.True(t, ok)
				require.Equal(t, f.at(step), int(got), "seed %d, cycle %d: %s", seed, step, f.text)
			}
		}
	}
}
