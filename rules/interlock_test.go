package rules_test

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/guardwright/guardwright/calc/logic"
	"github.com/guardwright/guardwright/model"
	"github.com/guardwright/guardwright/rules"
)

const anyTemporal = `format: 1
pack: One
rules:
  can-run:
    for: zone
    reach: zone.run
    say: "{zone} never runs"
    severity: error
`

// TestMistakesInLogic: each mistake has its place and says what would serve; nothing is proved beside them.
func TestMistakesInLogic(t *testing.T) {
	m, err := model.LoadFile("../testdata/logic/bad.yaml")
	require.NoError(t, err)
	r, err := rules.Check(t.Context(), m, parsed(t, anyTemporal))
	require.NoError(t, err)
	assert.Empty(t, r.Proofs)
	assert.Empty(t, r.Findings)
	require.Len(t, r.Unanswered, 1)
	assert.Equal(t, rules.MissingData, r.Unanswered[0].Cause)
	assert.False(t, r.Clean())
	golden(t, "logic_mistakes.txt", strings.ReplaceAll(r.LogicProblems.Err().Error(), "../testdata/logic/", "")+"\n")
}

func parsed(t *testing.T, text string) *rules.Ruleset {
	t.Helper()
	set, err := rules.Parse("r.yaml", []byte(text))
	require.NoError(t, err)
	return set
}

// about makes one temporal rule.
func about(t *testing.T, kind, demand string) *rules.Ruleset {
	t.Helper()
	return parsed(t, fmt.Sprintf("format: 1\npack: One\nrules:\n  the-rule:\n    for: %s\n    %s\n    say: wrong\n    severity: error\n", kind, demand))
}

const smallLogic = `
devices: {es1: {type: es, zone: cell}, g1: {type: gate, zone: cell}, p1: {type: panel, zone: cell}}
logic:
  values:
    armed: "!es1.pressed && g1.closed && (pre(armed) || fell(p1.reset))"
    run: armed && pre(armed) && (pre(run) || rose(p1.start)) && !p1.stop
    cell.run: run
  assume:
    one_button: {about: one hand, holds: "!(p1.reset && p1.start)"}
`

func checkSmall(t *testing.T, logicText, kind, demand string, o rules.Options) *rules.Result {
	t.Helper()
	m := designMachine(t, designs(t).Head+logicText)
	r, err := rules.CheckWith(t.Context(), m, o, about(t, kind, demand))
	require.NoError(t, err)
	require.NoError(t, r.LogicProblems.Err())
	return r
}

// TestRulesOverObjects: rules speak of each zone and device, and loops over the machine's lists are unrolled.
func TestRulesOverObjects(t *testing.T) {
	for _, test := range []struct {
		kind, demand string
		verdict      logic.Verdict
		count        int
	}{
		{"zone", `always: implies(zone.run, machine.devices.filter(d, d.kind == "emergency-stop").all(d, !d.pressed))`, logic.Proved, 1},
		{"zone", `always: implies(zone.run, machine.devices.filter(d, has(d.closed) && d.zone == zone).all(d, d.closed))`, logic.Proved, 1},
		{"zone", `always: implies(zone.run, !machine.devices.exists(d, has(d.stop) && d.stop))`, logic.Proved, 1},
		{"zone", `always: implies(zone.run, machine.devices.exists(d, has(d.start) && d.start))`, logic.Refuted, 1},
		{"device", `{when: device.kind == "guard-switch", always: "implies(!device.closed, !run)"}`, logic.Proved, 1},
		{"machine", `always: "[es1.pressed, !g1.closed, p1.stop].filter(x, x).size() <= 2"`, logic.Refuted, 1},
		{"machine", `always: "[es1.pressed, !g1.closed, p1.stop].filter(x, x).size() <= 3"`, logic.Proved, 1},
		{"machine", `always: "[es1.pressed, !g1.closed].exists_one(x, x) == (es1.pressed == g1.closed)"`, logic.Proved, 1},
		{"machine", `always: "cell.run == run"`, logic.Proved, 1},
		{"machine", `reach: "run && [g1.closed, p1.start].all(x, x)"`, logic.Reached, 1},
		{"machine", `reach: "run && es1.pressed"`, logic.Unreachable, 1},
		{"machine", `always: "implies(run, since(g1.closed && !es1.pressed, fell(p1.reset)))"`, logic.Proved, 1},
		{"machine", `always: "es1.in_order != es1.pressed && g1.in_order == g1.closed && p1.in_order != p1.stop"`, logic.Proved, 1},
		{"machine", `always: "implies(run, machine.devices.all(d, d.in_order))"`, logic.Proved, 1},
	} {
		demand := test.demand
		if strings.HasPrefix(demand, "{") {
			demand = strings.ReplaceAll(strings.Trim(demand, "{}"), ", always", "\n    always")
		}
		r := checkSmall(t, smallLogic, test.kind, demand, rules.Options{})
		require.Empty(t, r.Unanswered, test.demand)
		require.Len(t, r.Proofs, test.count, test.demand)
		assert.Equal(t, test.verdict, r.Proofs[0].Result.Verdict, test.demand)
		assert.Equal(t, []string{"one_button"}, r.Proofs[0].Result.Assumptions)
		assert.Equal(t, r.Proofs[0].Result.Holds(), len(r.Findings) == 0, test.demand)
	}
}

// TestNoAnswerAboutLogic: what is not known, not decided or says nothing is no pass.
func TestNoAnswerAboutLogic(t *testing.T) {
	contradiction := strings.Replace(smallLogic, "  assume:", "  assume:\n    never: {holds: \"false\"}", 1)
	for _, test := range []struct {
		logic, kind, demand string
		options             rules.Options
		cause               rules.Cause
		text                string
	}{
		{"", "machine", "always: \"!run\"", rules.Options{}, rules.MissingData, "no interlock logic"},
		{smallLogic, "machine", "always: \"!rum\"", rules.Options{}, rules.MissingData, "rum is not known here; did you mean run?"},
		{smallLogic, "zone", "always: \"!zone.rnu\"", rules.Options{}, rules.MissingData, "no zone of the machine has a signal or word rnu; did you mean run?"},
		{smallLogic, "zone", "always: machine.devices.all(d, d.closed)", rules.Options{}, rules.MissingData, "es1 is of kind emergency-stop, which has no signal closed; there are pressed"},
		{smallLogic, "drive", "always: drive.run", rules.Options{}, 0, ""},
		{smallLogic, "machine", "always: implies(run && es1.pressed, armed)", rules.Options{}, rules.Vacuous, "says nothing about this machine"},
		{smallLogic, "machine", "always: \"!run || armed\"", rules.Options{Limits: logic.Limits{States: 1, Work: 1, Depth: 1, Queries: 1}}, rules.NotProved, "neither proved nor broken"},
		{smallLogic, "machine", "always: held(ms(20), run) || machine.ports.size() > 1 && run == machine.name", rules.Options{}, rules.MissingData, "a truth value cannot be compared with a text"},
		{smallLogic, "machine", "always: 'run ? machine.ambient_max > degC(50) : machine.devices[0].label == \"\"'", rules.Options{}, rules.MissingData, "is not stated"},
		{contradiction, "machine", "always: \"!run\"", rules.Options{}, rules.Vacuous, "not even a first step"},
		{smallLogic, "machine", "always: '9000000000 + (run ? 1 : 2) > 0'", rules.Options{}, rules.Failed, "can't be proved about"},
		{contradiction, "machine", "reach: run", rules.Options{}, rules.Vacuous, "contradict"},
	} {
		r := checkSmall(t, test.logic, test.kind, test.demand, test.options)
		assert.Empty(t, r.Findings, test.demand)
		passed := 0
		for _, tally := range r.Tallies {
			passed += tally.Passed
		}
		assert.Zero(t, passed, test.demand)
		if test.cause == 0 {
			assert.Empty(t, r.Unanswered)
			continue
		}
		require.NotEmpty(t, r.Unanswered, test.demand)
		assert.Equal(t, test.cause, r.Unanswered[0].Cause, test.demand)
		assert.Contains(t, r.Unanswered[0].Text, test.text, test.demand)
		assert.False(t, r.Clean())
	}
}

// TestAssumptionsCanBeSwitchedOff in the file and by the caller; the verdict names those in force.
func TestAssumptionsCanBeSwitchedOff(t *testing.T) {
	demand := `always: "!(p1.reset && p1.start)"`
	r := checkSmall(t, smallLogic, "machine", demand, rules.Options{})
	assert.Equal(t, logic.Proved, r.Proofs[0].Result.Verdict)
	assert.Equal(t, []string{"one_button"}, r.Proofs[0].Result.Assumptions)

	r = checkSmall(t, smallLogic, "machine", demand, rules.Options{Without: []string{"one_button"}})
	assert.Equal(t, logic.Refuted, r.Proofs[0].Result.Verdict)
	assert.Empty(t, r.Findings[0].Assumptions)

	r = checkSmall(t, strings.Replace(smallLogic, "about: one hand", "off: true", 1), "machine", demand, rules.Options{})
	assert.Equal(t, logic.Refuted, r.Proofs[0].Result.Verdict)

	m := designMachine(t, designs(t).Head+smallLogic)
	_, err := rules.CheckWith(t.Context(), m, rules.Options{Without: []string{"one_buton"}}, about(t, "machine", demand))
	assert.ErrorContains(t, err, "one_buton")
}

func TestProofsAreCancelled(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	m := designMachine(t, designs(t).Head+smallLogic)
	_, err := rules.Check(ctx, m, about(t, "machine", `always: "!run"`))
	assert.ErrorIs(t, err, context.Canceled)
}

// TestStory: a refutation is told as a table in the user's names, without the memories of the proof.
func TestStory(t *testing.T) {
	r := checkSmall(t, strings.Replace(smallLogic, "armed && pre(armed)", "armed", 1), "machine", "always: implies(began(run), pre(armed))", rules.Options{})
	require.Len(t, r.Findings, 1)
	f := r.Findings[0]
	golden(t, "story.txt", f.Story.Table()+"\n"+fmt.Sprint(f.Because, f.Assumptions, f.Story.Cycle)+"\n")
}

// TestSelectorsAndChannels: a mode selector is one of its positions; a device with two channels gives each.
func TestSelectorsAndChannels(t *testing.T) {
	head := strings.Replace(designs(t).Head, "    es: {kind: emergency-stop}", "    es: {kind: emergency-stop, channels: 2}\n    mode: {kind: mode-selector, positions: [manual, automatic]}", 1)
	m := designMachine(t, head+`
devices: {es1: {type: es}, sel: {type: mode}}
logic:
  values:
    trouble: pre(trouble) || held(ms(20), es1.channel_1 != es1.channel_2)
    shown: sel.position
  states: {shown: {one_of: [automatic, manual]}}
`)
	for demand, want := range map[string]logic.Verdict{
		`always: sel.position in ["manual", "automatic"]`:                     logic.Proved,
		`always: (sel.position == "manual") == (shown == "manual")`:           logic.Proved,
		`always: sel.position == pre(sel.position)`:                           logic.Refuted,
		`always: shown == sel.position`:                                       logic.Proved,
		`reach: trouble`:                                                      logic.Reached,
		`always: implies(rose(trouble), pre(es1.channel_1 != es1.channel_2))`: logic.Proved,
	} {
		r, err := rules.Check(t.Context(), m, about(t, "machine", demand))
		require.NoError(t, err)
		require.NoError(t, r.LogicProblems.Err())
		require.Empty(t, r.Unanswered, demand)
		assert.Equal(t, want, r.Proofs[0].Result.Verdict, demand)
	}
}
