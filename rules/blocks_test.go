package rules_test

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/guardwright/guardwright/model"
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
	l.Values = maps.Clone(l.Values)
	for _, add := range []func(){func() { l.Values = orNew(l.Values) }, func() { l.Initial = orNew(l.Initial) }, func() { l.States = orNew(l.States) }} {
		add()
	}
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
