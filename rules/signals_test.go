package rules_test

import (
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/guardwright/guardwright/calc/logic"
	"github.com/guardwright/guardwright/model"
	"github.com/guardwright/guardwright/rules"
)

// wired is a cell whose devices are plugged into a module with a safety connection.
const wired = `format: 1
machine: Wired cell
ambient: {min: 5 °C, max: 40 °C}
kinds: {flap: {gives: [shut, jammed], true_on_demand: [jammed]}}
types:
  controllers: {c: {network_ports: [p1]}}
  supplies: {s: {min: 23.5 V, max: 24.5 V, rated: 5 A}}
  cables: {w: {cores: 4, section: 1.5 mm2}}
  modules: {io: {network_ports: [p1], ports: {1-9: {inputs: 2}}}}
  devices:
    es: {kind: emergency-stop, channels: 2}
    gate: {kind: guard-switch, channels: 2, antivalent: true}
    bolt: {kind: guard-lock, escape_release: true}
    en: {kind: enabling-device}
    panel: {kind: panel}
    mode: {kind: mode-selector, positions: [manual, automatic]}
    key: {kind: trapped-key}
    lamp: {kind: lamp}
    flap: {kind: flap}
controllers: {c1: {type: c, safety_cycle: 10 ms}}
zones: {cell: {}}
devices: {es1: {type: es}, g1: {type: gate}, b1: {type: bolt}, en1: {type: en}, p1: {type: panel}, sel: {type: mode}, k1: {type: key}, l1: {type: lamp}, f1: {type: flap}, loose: {type: gate}}
modules:
  m1: {type: io, ports: {1: {device: es1}, 2: {device: g1}, 3: {device: b1}, 4: {device: en1}, 5: {device: p1}, 6: {device: sel}, 7: {device: k1}, 8: {device: l1}, 9: {device: f1}}}
power: {supplies: {ps: {type: s}}, feeds: {fd: {to: m1, cable: {type: w, length: 1 m}, sensor: {from: ps}}}}
network: {protocol: cip-safety, connections: {con_1: {module: m1, interval: 10 ms, multiplier: 2}}}
logic:
`

func checkWired(t *testing.T, logicText, kind, demand string, o rules.Options) *rules.Result {
	t.Helper()
	r, err := rules.CheckWith(t.Context(), designMachine(t, wired+logicText), o, about(t, kind, demand))
	require.NoError(t, err)
	require.NoError(t, r.LogicProblems.Err())
	return r
}

// TestReadings: where ports and connections can fail, the logic reads the safe values, and rules speak of the world.
func TestReadings(t *testing.T) {
	const seen = `
  values:
    es: es1.pressed
    gate: g1.closed
    free: loose.closed
    stop: p1.stop
    start: p1.start
    key: k1.present
    shut: f1.shut
    jammed: f1.jammed
    manual: sel.position == "manual"
    automatic: sel.position == "automatic"
    other: sel.position != "manual"
`
	for _, test := range []struct {
		demand  string
		verdict logic.Verdict
		reason  string
	}{
		{"es == es1.pressed", logic.Proved, "no port fails where nobody speaks of it"},
		{"con_1.alive || es", logic.Proved, "true is the demand of an emergency stop"},
		{"!es1.port.passivated || es", logic.Proved, ""},
		{"es == (es1.pressed || !(con_1.alive && !es1.port.passivated))", logic.Proved, ""},
		{"gate == (g1.closed && con_1.alive && !g1.port.passivated)", logic.Proved, ""},
		{"gate == g1.closed || con_1.alive", logic.Refuted, "the world goes on while the logic reads the safe value"},
		{"con_1.alive == con_1.alive && free == loose.closed", logic.Proved, "a device that is not plugged in is read as it is"},
		{"con_1.alive || stop && !start && !key", logic.Proved, ""},
		{"con_1.alive || jammed && !shut", logic.Proved, "a kind of the file says which of its signals are true on demand"},
		{"con_1.alive || !manual && !automatic && other", logic.Proved, "no contact of the selector is read closed"},
		{"implies(es1.port.fault, es1.port.passivated)", logic.Proved, "assumed of every port"},
		{"implies(es1.port.passivated, es1.port.fault)", logic.Refuted, ""},
		{"machine.ports.all(p, !p.fault)", logic.Refuted, ""},
		{"(has(con_1.alive) && has(es1.port.fault) && has(k1.present) && has(l1.in_order) && has(b1.escape) && has(p1.acknowledge) && !has(g1.escape) ? start : !start) == start", logic.Proved, ""},
	} {
		r := checkWired(t, seen, "machine", "always: '"+test.demand+"'", rules.Options{})
		require.Empty(t, r.Unanswered, test.demand)
		require.Len(t, r.Proofs, 1)
		assert.Equal(t, test.verdict, r.Proofs[0].Result.Verdict, "%s %s", test.demand, test.reason)
	}
	r := checkWired(t, seen, "port", "always: implies(port.fault && has(port.device), !gate || port.device != g1)", rules.Options{})
	assert.Empty(t, r.Findings)
	r = checkWired(t, seen, "connection", "always: implies(!connection.alive, connection.module.ports.all(p, !has(p.device.closed) || !gate))", rules.Options{})
	assert.Empty(t, r.Findings)
	r = checkWired(t, seen, "module", "require: 'module.connections.size() == 1 && module.connections[0].module == module'", rules.Options{})
	assert.Empty(t, r.Findings)
}

// TestOneModeForEachRule: a rule that doesn't speak of failures is not asked in a system that has them, and the order of the
// answers is that of the rules.
func TestOneModeForEachRule(t *testing.T) {
	set := parsed(t, `format: 1
pack: Two
rules:
  speaks: {for: machine, always: "implies(!con_1.alive, es)", say: s, severity: error}
  silent: {for: machine, always: es == es1.pressed, say: s, severity: error}
  reads: {for: machine, always: con_1.alive || es == es1.pressed, say: s, severity: error}
`)
	r, err := rules.Check(t.Context(), designMachine(t, wired+"\n  values: {es: es1.pressed}\n"), set)
	require.NoError(t, err)
	require.Len(t, r.Proofs, 3)
	var got []string
	for _, p := range r.Proofs {
		got = append(got, p.Rule.ID+" "+p.Result.Verdict.String())
	}
	assert.Equal(t, []string{"speaks proved", "silent proved", "reads refuted"}, got)
	assert.Contains(t, r.Findings[0].Story.Table(), "read(es1.pressed)")

	// Where the logic itself speaks of failures, every rule is asked with them.
	r, err = rules.Check(t.Context(), designMachine(t, wired+"\n  values: {es: es1.pressed, well: con_1.alive}\n"), set)
	require.NoError(t, err)
	assert.Equal(t, logic.Refuted, r.Proofs[1].Result.Verdict)
}

// TestAssumptionsOfKinds: what the kinds assume is in force where somebody asks for its signals, named with the answers, and
// replaced or switched off by its name.
func TestAssumptionsOfKinds(t *testing.T) {
	const lock = "\n  values:\n    b1.release: p1.request\n"
	for _, test := range []struct {
		logic, demand string
		name          string
	}{
		{lock, "implies(fell(b1.closed) && !b1.escape && !pre(b1.escape), pre(b1.release))", "guard_stays_closed_while_bolted"},
		{lock, "implies(es1.pressed, !es1.channel_1 && !es1.channel_2)", "demand_opens_every_channel"},
		{lock, "implies(!g1.closed, !g1.channel_1 && g1.channel_2)", "demand_opens_every_channel"},
		{lock, "!(en1.enabled && en1.squeezed)", "enabled_and_squeezed_never_together"},
		{lock, "implies(g1.port.fault, g1.port.passivated)", "port_fault_passivates"},
	} {
		verdict := func(logicText string, o rules.Options) (logic.Verdict, []string, *rules.Result) {
			r := checkWired(t, logicText, "machine", "always: '"+test.demand+"'", o)
			require.Empty(t, r.Unanswered)
			return r.Proofs[0].Result.Verdict, r.Proofs[0].Result.Assumptions, r
		}
		v, names, r := verdict(test.logic, rules.Options{})
		assert.Equal(t, logic.Proved, v, test.demand)
		assert.Equal(t, []string{test.name}, names)
		require.Len(t, r.Assumptions, 1)
		assert.True(t, r.Assumptions[0].FromKinds)
		assert.NotEmpty(t, r.Assumptions[0].Holds)
		assert.NotEmpty(t, r.Assumptions[0].About)

		v, names, r = verdict(test.logic, rules.Options{Without: []string{test.name}})
		assert.Equal(t, logic.Refuted, v, test.demand)
		assert.Empty(t, names)
		require.Len(t, r.Assumptions, 1)
		assert.True(t, r.Assumptions[0].Off)

		v, _, _ = verdict(test.logic+"  assume: {"+test.name+": {off: true}}\n", rules.Options{})
		assert.Equal(t, logic.Refuted, v, test.demand)

		v, names, r = verdict(test.logic+"  assume: {"+test.name+": {about: mine, holds: 'p1.start || !p1.start'}}\n", rules.Options{})
		assert.Equal(t, logic.Refuted, v, test.demand)
		assert.Equal(t, []string{test.name}, names)
		require.Len(t, r.Assumptions, 1)
		assert.Equal(t, "mine", r.Assumptions[0].About)
	}
}

// TestNothingMoreIsAssumed: channels are free without a demand, a guard may stand open at power-up, and a guard whose lock
// gets no release is not taken to be bolted.
func TestNothingMoreIsAssumed(t *testing.T) {
	const lock = "\n  values:\n    b1.release: p1.request\n"
	for demand, logicText := range map[string]string{
		"reach: '!es1.pressed && es1.channel_1 && !es1.channel_2'":    lock,
		"reach: '!es1.pressed && !es1.channel_1 && es1.channel_2'":    lock,
		"reach: 'g1.closed && g1.channel_1 && g1.channel_2'":          lock,
		"reach: '!b1.closed && hist(!b1.release && !b1.escape)'":      lock,
		"reach: 'fell(b1.closed) && b1.escape && hist(!b1.release)'":  lock,
		"reach: 'fell(b1.closed)'":                                    "\n  values: {x: p1.start}\n",
		"reach: 'g1.port.passivated && !g1.port.fault'":               lock,
		"reach: 'fell(b1.closed) && !b1.release && pre(b1.release)'":  lock,
		"reach: 'once(!con_1.alive) && con_1.alive && !k1.present'":   lock,
		"reach: 'p1.acknowledge && rose(k1.present) && !l1.in_order'": lock,
		"reach: 'b1.locked && !b1.closed'":                            lock,
	} {
		r := checkWired(t, logicText, "machine", demand, rules.Options{})
		require.Empty(t, r.Unanswered)
		assert.Equal(t, logic.Reached, r.Proofs[0].Result.Verdict, demand)
	}
}

// TestMistakesInSignals: what nobody gives, or gives twice, is told with what serves.
func TestMistakesInSignals(t *testing.T) {
	for text, want := range map[string]string{
		"  values: {con_1.alive: 'true'}\n": "the connection con_1 gives the signal alive",
		"  values: {b1.escape: 'true'}\n":   "it gives that signal",
		"  values: {con_1: 'true'}\n":       "is already that of network.connections.con_1",
		"  values: {con_2.ok: 'true'}\n":    `did you mean "con_1"?`,
		"  assume: {x: {about: nothing}}\n": "the assumption says nothing",
	} {
		_, err := loadWired(wired + text)
		assert.ErrorContains(t, err, want)
	}
	_, err := loadWired(strings.Replace(wired, "true_on_demand: [jammed]", "true_on_demand: [jamed]", 1) + "  values: {x: 'true'}\n")
	assert.ErrorContains(t, err, `did you mean "jammed"?`)
	_, err = loadWired(strings.Replace(wired, "true_on_demand: [jammed]", "true_on_demand: [jammed], false_on_demand: [jammed]", 1) + "  values: {x: 'true'}\n")
	assert.ErrorContains(t, err, "both true and false on demand")

	for text, want := range map[string]string{
		"  values: {x: es1.port.fualt}\n":   "did you mean fault?",
		"  values: {x: loose.port.fault}\n": "is not stated",
		"  values: {x: sel.position, y: con_1.alive}\n  states: {x: {one_of: [manual, automatic]}}\n": "its position is none of its words",
		"  values: {x: 'true'}\n  assume: {guard_stays_closed_while_boltd: {off: true}}\n":            "no assumption of this name comes from the kinds",
		"  values: {x: 'true'}\n  inputs: {port: {}}\n":                                               "means an object",
	} {
		m, err := loadWired(wired + text)
		require.NoError(t, err)
		r, err := rules.Check(t.Context(), m, about(t, "machine", "reach: 'true'"))
		require.NoError(t, err)
		assert.ErrorContains(t, r.LogicProblems.Err(), want)
	}
	m, err := loadWired(wired + "  values: {x: 'true'}\n")
	require.NoError(t, err)
	_, err = rules.CheckWith(t.Context(), m, rules.Options{Without: []string{"port_fault_pasivates"}}, about(t, "machine", "reach: 'true'"))
	assert.ErrorContains(t, err, "did you mean port_fault_passivates?")
}

// TestNameOfAConnection: a zone of the same name keeps it.
func TestNameOfAConnection(t *testing.T) {
	shared := strings.ReplaceAll(wired, "con_1", "cell") + "  values: {x: es1.pressed && es1.port.fault, cell.run: p1.start, cell.alive: p1.stop}\n"
	m, err := loadWired(shared)
	require.NoError(t, err)
	r, err := rules.Check(t.Context(), m, about(t, "connection", "reach: '!connection.alive && !es1.pressed && x == es1.port.fault && cell.alive && es1.port.fault'"))
	require.NoError(t, err)
	require.NoError(t, r.LogicProblems.Err())
	require.Empty(t, r.Unanswered)
	require.Equal(t, logic.Reached, r.Proofs[0].Result.Verdict)
	assert.Contains(t, r.Proofs[0].Story.Table(), "network.connections.cell.alive")
}

func loadWired(text string) (*model.Machine, error) {
	return model.Load(mapFile(text), "m.yaml")
}

func mapFile(text string) fstest.MapFS { return fstest.MapFS{"m.yaml": {Data: []byte(text)}} }
