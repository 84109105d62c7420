package rules

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"testing"

	"github.com/google/cel-go/common/types"
	"github.com/google/cel-go/common/types/ref"
	"github.com/stretchr/testify/require"

	"github.com/guardwright/guardwright/calc"
	"github.com/guardwright/guardwright/model"
	"github.com/guardwright/guardwright/model/source"
)

// randomCondition makes a condition on a port out of parts that are true, false, and without a value for some ports.
func randomCondition(r *rand.Rand, depth int) string {
	leaves := []string{
		"port.limit > A(1)", "port.limit < A(1)", "port.inputs == 2", "has(port.device)", "has(port.cable)", "port.capped",
		"port.device.name == \"g1\"", "port.cable.length > m(10)", "port.device.loads.all(l, l.max > V(1))",
		"port.device.loads.exists(l, l.current > A(1))", "port.module.ports.all(p, p.inputs > 1)",
		"port.module.ports.exists(p, p.limit > A(2))", "port.module.ports.all(p, p.limit > A(1) || !has(p.device))",
		"port.sensor.current.within", "port.device.kind in [\"guard-lock\"]", "port.limit / (port.limit - port.limit) > 1.0",
	}
	if depth == 0 {
		return leaves[r.IntN(len(leaves))]
	}
	a, b := randomCondition(r, depth-1), randomCondition(r, depth-1)
	switch r.IntN(6) {
	case 0, 1:
		return fmt.Sprintf("(%s && %s)", a, b)
	case 2, 3:
		return fmt.Sprintf("(%s || %s)", a, b)
	case 4:
		return fmt.Sprintf("!(%s)", a)
	}
	return fmt.Sprintf("(%s ? %s : %s)", a, b, randomCondition(r, depth-1))
}

// TestExplanationAgrees: the way down a condition comes to the value that the quick evaluation has, and a false
// condition is never left without a reason.
func TestExplanationAgrees(t *testing.T) {
	m, err := model.Load(os.DirFS("../testdata/rules"), "small.yaml")
	require.NoError(t, err)
	results, err := calc.Compute(context.Background(), m)
	require.NoError(t, err)
	c, err := newCompiler()
	require.NoError(t, err)
	random := rand.New(rand.NewPCG(1, 2))
	decided := 0
	for range 400 {
		text := randomCondition(random, 1+random.IntN(4))
		e, errs := c.compile(c.language.kinds["port"], fragment{text: text})
		require.Empty(t, errs, text)
		used := usedFields{}
		e.use(used, c.language)
		w := newWorld(newLanguage(), m, results, used)
		machine := w.all(w.language.kinds[machineName])[0]
		for _, o := range w.all(w.language.kinds["port"]) {
			a := &activation{name: "port", object: o, machine: machine, meter: &meter{left: 1e6, watch: watchEvery}}
			want, err := e.test(a)
			x := &explainer{e: e, a: a, refill: func() { a.meter.left = 1e6 }, seen: map[string]bool{}}
			got, ok := x.condition(e.ast.Expr())
			require.Equal(t, err == nil, ok, "%s at %s: %v", text, o.origin().Path, err)
			if !ok {
				continue
			}
			decided++
			require.Equal(t, want, got, "%s at %s", text, o.origin().Path)
			if !got {
				require.NotEmpty(t, x.values, "%s at %s", text, o.origin().Path)
			}
		}
	}
	require.Greater(t, decided, 500, "too few conditions had a value for the test to mean anything")
}

// TestPanicsStayInside: a mistake in a function of the language ends one evaluation and nothing else.
func TestPanicsStayInside(t *testing.T) {
	c, err := newCompiler()
	require.NoError(t, err)
	for id, op := range c.language.operations {
		if op.function == "lower" {
			op.unary = func(ref.Val) ref.Val { panic("a mistake") }
			c.language.operations[id] = op
		}
	}
	e, errs := c.compile(c.language.kinds["port"], fragment{text: `port.name.lower() == "1"`, at: source.Expression{}.At})
	require.Empty(t, errs)
	port := &kind{name: "port", slots: make([]int, len(c.language.kinds["port"].fields))}
	a := &activation{name: "port", object: &objectValue{kind: port, values: []ref.Val{types.String("1")}}}
	_, err = e.test(a)
	require.ErrorContains(t, err, "a mistake")
}
