package rules_test

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/guardwright/guardwright/calc/logic"
	"github.com/guardwright/guardwright/model"
	"github.com/guardwright/guardwright/rules"
)

// TestBlocks proves that the blocks are right, from machine files and written out: what a report prints in the place of the
// blocks says the same as they do.
func TestBlocks(t *testing.T) {
	file := designsOf(t, "blocks")
	tryDesigns(t, file)
	used := map[model.BlockKind]bool{}
	for _, name := range slices.Sorted(maps.Keys(file.Designs)) {
		d := file.Designs[name]
		m := designMachine(t, file.Head+d.Machine)
		for _, b := range m.Logic.Blocks {
			used[b.Kind] = true
		}
		t.Run(name+"/written out", func(t *testing.T) {
			proofs := checkDesign(t, writtenOut(t, m, breakSpec{}), d.rules(t))
			for property, p := range d.Properties {
				p.check(t, property, proofs[property])
			}
		})
	}
	for _, kind := range model.BlockKind("").Values() {
		assert.True(t, used[model.BlockKind(kind)], "no machine of the tests has a block of kind %s", kind)
	}
}

// writtenOut puts what blocks stand for in their place, and breaks one value of it on purpose.
func writtenOut(t *testing.T, m *model.Machine, b breakSpec) *model.Machine {
	t.Helper()
	d := m.Description()
	l := d.Logic
	l.Blocks = nil
	l.Values, l.Initial, l.States = orNew(l.Values), orNew(l.Initial), orNew(l.States)
	found := b.Value == ""
	for _, v := range m.Logic.Values {
		if v.Block == "" {
			continue
		}
		text := v.Expression.Text
		if v.Name == b.Value {
			require.Contains(t, text, b.Replace, "the value %s", v.Name)
			text, found = strings.Replace(text, b.Replace, b.With, 1), true
		}
		l.Values[v.Name] = model.Expression{Text: text}
		if v.Words != nil {
			l.States[v.Name] = model.StateSpec{OneOf: v.Words, Initial: v.Words[v.Initial]}
		} else if v.Initial == 1 {
			l.Initial[v.Name] = true
		}
	}
	require.True(t, found, "no block makes the value %s", b.Value)
	out, err := model.Build(d)
	require.NoError(t, err)
	return out
}

func orNew[T any](m map[string]T) map[string]T {
	if m == nil {
		return map[string]T{}
	}
	return m
}

// TestBrokenBlocks breaks what blocks stand for on purpose: each part of it is needed.
func TestBrokenBlocks(t *testing.T) {
	file := designsOf(t, "blocks")
	assert.Equal(t, 66, breakDesigns(t, file))
	for name, d := range file.Designs {
		assert.NotEmpty(t, d.Breaks, name)
	}
}

// TestBlocksWrittenOut shows what each block stands for.
func TestBlocksWrittenOut(t *testing.T) {
	file := designsOf(t, "blocks")
	var out strings.Builder
	for _, name := range slices.Sorted(maps.Keys(file.Designs)) {
		fmt.Fprintf(&out, "%s\n", name)
		for _, v := range designMachine(t, file.Head+file.Designs[name].Machine).Logic.Values {
			if v.Block == "" {
				continue
			}
			fmt.Fprintf(&out, "  %s := %s", v.Name, v.Expression.Text)
			switch {
			case v.Words != nil:
				fmt.Fprintf(&out, "   (one of %s)", strings.Join(v.Words, ", "))
			case v.Initial == 1:
				out.WriteString("   (initially true)")
			}
			out.WriteString("\n")
		}
	}
	golden(t, "blocks.txt", out.String())
}

// TestBlocksBehindPorts: with ports and connections that fail at any time, a reset is a finger that lets go, and a guard lock
// whose port fails in motion is not taken for an open guard.
func TestBlocksBehindPorts(t *testing.T) {
	const valid = ", valid: con_1.alive && !p1.port.passivated"
	const logicText = `
  values:
    moving: pre(run) || pre(moving) && pre(within(ms(30), run))
  blocks:
    armed: {kind: manual-reset, in_order: b1.closed && !pre(b1.release), button: p1.reset` + valid + `}
    run: {kind: start, permit: armed, button: p1.start` + valid + `}
    b1.release: {kind: guard-lock, request: p1.request, running: run, after: 50 ms}
    held: {kind: hold-to-run, permit: 'true', button: p1.start` + valid + `}
    allowed: {kind: enabling, middle: en1.enabled, squeezed: en1.squeezed, valid: con_1.alive && !en1.port.passivated}
    good: {kind: fault-acknowledgement, fault: es1.port.fault || !con_1.alive, button: p1.acknowledge` + valid + `}
`
	for _, test := range []struct {
		demand string
		// breaks is what is left out for the demand to fail.
		breaks string
	}{
		{"implies(began(armed), fell(p1.reset) && pre(since(p1.reset, rose(p1.reset))))", "button: p1.reset" + valid},
		{"implies(began(run), rose(p1.start))", "button: p1.start" + valid},
		{"implies(began(held), rose(p1.start))", "permit: 'true', button: p1.start" + valid},
		{"implies(allowed, en1.enabled && since(!en1.squeezed, !en1.enabled && !en1.squeezed))", ", valid: con_1.alive && !en1.port.passivated"},
		{"implies(rose(good), rose(p1.acknowledge) && !es1.port.fault && con_1.alive && pre(con_1.alive && !es1.port.fault))", "button: p1.acknowledge" + valid},
		{"implies(b1.release, !moving)", ""},
	} {
		r := checkWired(t, logicText, "machine", "always: '"+test.demand+"'", rules.Options{})
		require.Empty(t, r.Unanswered, test.demand)
		require.Len(t, r.Proofs, 1)
		assert.Equal(t, logic.Proved, r.Proofs[0].Result.Verdict, test.demand)
		if test.breaks == "" {
			continue
		}
		require.Contains(t, logicText, test.breaks)
		without, _, _ := strings.Cut(test.breaks, ", valid: ")
		r = checkWired(t, strings.Replace(logicText, test.breaks, without, 1), "machine", "always: '"+test.demand+"'", rules.Options{})
		assert.Equal(t, logic.Refuted, r.Proofs[0].Result.Verdict, "without validity: %s", test.demand)
	}
	for _, demand := range []string{"run", "allowed && once(!con_1.alive)", "rose(good)", "b1.release && !b1.closed && once(run)"} {
		r := checkWired(t, logicText, "machine", "reach: '"+demand+"'", rules.Options{})
		assert.Equal(t, logic.Reached, r.Proofs[0].Result.Verdict, demand)
	}
}
