package rules_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/guardwright/guardwright/calc/logic"
	"github.com/guardwright/guardwright/rules"
)

const derivedMachine = `format: 1
machine: Words
ambient: {min: 5 °C, max: 40 °C}
types:
  controllers: {plc: {network_ports: [p1]}}
  devices:
    es: {kind: emergency-stop}
    gate: {kind: guard-switch}
    curtain: {kind: light-curtain}
    hands: {kind: two-hand-control}
    jog: {kind: hold-to-run}
    push: {kind: button}
    panel: {kind: panel}
    lamp: {kind: lamp}
controllers: {c1: {type: plc, safety_cycle: 10 ms}}
zones: {cell: {}, dock: {}, aisle: {}}
devices:
  es1: {type: es}
  g1: {type: gate, zone: cell}
  lc1: {type: curtain, zone: dock}
  th1: {type: hands, zone: cell}
  j1: {type: jog, zone: cell}
  b1: {type: push, zone: aisle}
  b2: {type: push, zone: aisle}
  p1: {type: panel, zone: dock}
  h1: {type: lamp, zone: dock}
drives: {press: {zone: cell}, belt: {zone: dock}}
functions:
  stop_all: {demand: [es1], stops: [press, belt], reset: p1}
  stop_press: {demand: [g1], stops: [press], reset: b1}
  stop_belt: {demand: [lc1], stops: [belt]}
logic:
  inputs: {tea: {about: free}}
  values:
    lc1.muted: tea
    stop_press.suspended: tea && j1.held
    press.run: "!stop_press.demanded"
`

// TestDerivedWords: the words are what the vocabulary says. Common practice, no source.
func TestDerivedWords(t *testing.T) {
	m := designMachine(t, derivedMachine)
	for demand, want := range map[string]logic.Verdict{
		`always: es1.in_order != es1.pressed && g1.in_order == g1.closed && lc1.in_order == lc1.clear && p1.in_order != p1.stop`:      logic.Proved,
		`always: th1.in_order == (th1.left && th1.right) && th1.start == th1.in_order && j1.start == j1.held`:                         logic.Proved,
		`always: b1.reset == b1.pressed && b2.start == b2.pressed`:                                                                    logic.Proved,
		`always: implies(tea, has(p1.reset) && has(p1.start) && has(b1.reset) && !has(b1.start) && !has(b2.reset) && has(b2.start))`:  logic.Proved,
		`always: implies(tea, (!has(es1.start) && !has(g1.reset) && !has(b1.in_order)))`:                                              logic.Proved,
		`always: lc1.suspended == tea && g1.suspended == stop_press.suspended && !es1.suspended`:                                      logic.Proved,
		`always: stop_all.demanded == es1.pressed && stop_belt.demanded == (!lc1.clear && !tea)`:                                      logic.Proved,
		`always: stop_press.demanded == (!g1.closed && !(tea && j1.held)) && press.run != stop_press.demanded`:                        logic.Proved,
		`always: implies(!g1.closed, !press.run)`:                                                                                     logic.Refuted,
		`always: implies(tea, cell.drives == [press] && dock.functions == [stop_all, stop_belt] && belt.functions == dock.functions)`: logic.Proved,
		`always: implies(tea, cell.resets == [b1] && dock.resets == [p1] && aisle.resets == [])`:                                      logic.Proved,
	} {
		r, err := rules.Check(t.Context(), m, about(t, "machine", demand))
		require.NoError(t, err)
		require.NoError(t, r.LogicProblems.Err())
		require.Empty(t, r.Unanswered, demand)
		require.Len(t, r.Proofs, 1, demand)
		assert.Equal(t, want, r.Proofs[0].Result.Verdict, demand)
	}
	r, err := rules.Check(t.Context(), m, about(t, "device", "always: implies(device.in_order, true) && (!has(device.closed) || device.closed == device.in_order)"))
	require.NoError(t, err)
	assert.Len(t, r.Unanswered, 2, "the buttons have no such word")
}

// TestRuleAboutNothing: a rule that nothing decides at an object does not apply to it, and counts as no proof.
func TestRuleAboutNothing(t *testing.T) {
	r, err := rules.Check(t.Context(), designMachine(t, derivedMachine), about(t, "device", "always: \"!has(device.closed) || implies(device.closed, device.in_order)\""))
	require.NoError(t, err)
	assert.Len(t, r.Proofs, 1)
	assert.Equal(t, 9, r.Tallies[0].Objects)
	assert.Equal(t, 8, r.Tallies[0].Outside)
	assert.Empty(t, r.Unanswered)
}
