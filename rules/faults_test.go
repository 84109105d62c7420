package rules_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/guardwright/guardwright/model"
	"github.com/guardwright/guardwright/rules"
)

// faultHead is a machine without devices and logic: %s is what is plugged into the module m1.
const faultHead = `format: 1
machine: Faulty cell
ambient: {min: 5 °C, max: 40 °C}
types:
  controllers: {c: {network_ports: [p1]}}
  supplies: {s: {min: 23.5 V, max: 24.5 V, rated: 5 A}}
  cables: {w: {cores: 4, section: 1.5 mm2}}
  modules:
    io:
      network_ports: [p1]
      ports: {1-9: {inputs: 2, outputs: 2}}
      sets:
        two: {for: contacts, channels: 2}
        pulsed: {for: contacts, channels: 2, test_pulses: true}
        anti: {for: contacts, channels: 2, antivalent: true}
        keeps: {for: contacts, channels: 2, discrepancy: 20 ms, holds_while_differing: true}
        ossd: {for: ossd, channels: 2}
        one: {for: contacts, channels: 1}
  devices:
    gate: {kind: guard-switch, outputs: contacts, channels: 1}
    gate2: {kind: guard-switch, outputs: contacts, channels: 2}
    gate_anti: {kind: guard-switch, outputs: contacts, channels: 2, antivalent: true}
    curtain: {kind: light-curtain, outputs: ossd, channels: 2}
    es2: {kind: emergency-stop, outputs: contacts, channels: 2}
    bolt: {kind: guard-lock}
    still: {kind: standstill-monitor}
    panel: {kind: panel}
    k: {kind: contactor}
    mode: {kind: mode-selector, positions: [manual, automatic]}
controllers: {c1: {type: c, safety_cycle: 10 ms}}
zones: {cell: {}}
power: {supplies: {ps: {type: s}}, feeds: {fd: {to: m1, cable: {type: w, length: 1 m}, sensor: {from: ps}, actuator: {from: ps}}}}
network: {protocol: cip-safety, connections: {con_1: {module: m1, interval: 10 ms, multiplier: 2}}}
`

// usualRules are what the logic of these tests must do.
const usualRules = `format: 1
pack: Usual
rules:
  stops: {for: machine, always: "implies(belt.run, g1.in_order)", say: s, severity: error}
  started: {for: machine, always: "implies(began(belt.run), rose(p1.start))", say: s, severity: error}
  reset: {for: machine, always: "implies(began(armed), fell(p1.reset))", say: s, severity: error}
`

// gateLogic is a cell with one protective device g1 and a reset by the trailing edge.
const gateLogic = `drives: {belt: {zone: cell}}
logic:
  values:
    armed: g1.in_order && (pre(armed) || fell(p1.reset))
    belt.run: armed && pre(armed) && (pre(belt.run) || rose(p1.start)) && !p1.stop
`

func faultMachine(t testing.TB, text string) *model.Machine {
	t.Helper()
	m, err := loadText(faultHead + text)
	require.NoError(t, err)
	return m
}

// faultsOf is the table of faults as lines: object, fault, broken rules, whether it is noticed.
func faultsOf(t *testing.T, machine, rulesText string, objects ...string) string {
	t.Helper()
	r, err := rules.CheckWith(t.Context(), faultMachine(t, machine), rules.Options{Faults: true}, parsed(t, rulesText))
	require.NoError(t, err)
	require.NoError(t, r.LogicProblems.Err())
	require.NotNil(t, r.Faults)
	var b strings.Builder
	for _, f := range r.Faults.Faults {
		if len(objects) > 0 && !contains(objects, f.Name) {
			continue
		}
		fmt.Fprintf(&b, "%s: %s:", f.Name, f.Fault)
		assert.Equal(t, r.Faults.Properties, f.Outside+len(f.Proofs))
		for _, p := range f.Proofs {
			switch p.Answer {
			case rules.FaultBroken:
				require.NotNil(t, p.Story)
				fmt.Fprintf(&b, " breaks %s in %d,", p.Rule.ID, p.Story.Trace.Len())
			case rules.FaultUndecided:
				fmt.Fprintf(&b, " %s undecided (%s),", p.Rule.ID, p.Reason)
			}
		}
		fmt.Fprintf(&b, " %s", f.Notice)
		if f.Notice == rules.NotNoticed {
			require.NotNil(t, f.Restart)
		}
		if f.Reason != "" {
			fmt.Fprintf(&b, " (%s)", f.Reason)
		}
		b.WriteByte('\n')
	}
	return b.String()
}

func contains(list []string, x string) bool {
	for _, y := range list {
		if x == y {
			return true
		}
	}
	return false
}

// cell is a machine with some devices, each at a port of its own in their order, and some logic.
func cell(devices []string, logicText string) string {
	var names, ports strings.Builder
	for i, d := range devices {
		name, rest, _ := strings.Cut(d, " ")
		typ, set, hasSet := strings.Cut(rest, " ")
		fmt.Fprintf(&names, "  %s: {type: %s}\n", name, typ)
		fmt.Fprintf(&ports, "      %d: {device: %s", i+1, name)
		if hasSet {
			fmt.Fprintf(&ports, ", set: %s", set)
		}
		ports.WriteString("}\n")
	}
	return "devices:\n" + names.String() + "modules:\n  m1:\n    type: io\n    ports:\n" + ports.String() + logicText
}

// TestFaultsOfAGate: the tables follow by hand from the definition of the categories (ISO 13849-1:2023, 6.1.3.2, from memory):
// one channel loses the stop with the fault that keeps it closed; two channels keep it, and their difference is found at the
// next demand (categories 3 and 4), a cross only by test pulses or by channels with opposite states.
func TestFaultsOfAGate(t *testing.T) {
	const one = "g1: contact or input of closed stuck closed: breaks stops in 3, not noticed\n" +
		"g1: contact or input of closed stuck open: noticed\n"
	const two = "g1: channel 1 stuck closed: noticed\ng1: channel 1 stuck open: noticed\n" +
		"g1: channel 2 stuck closed: noticed\ng1: channel 2 stuck open: noticed\n"
	const silent = "g1: channels joined (cross): no effect (by itself it changes nothing, so nothing tells of it)\n"
	for _, test := range []struct{ gate, want, reason string }{
		{"g1 gate one", one, ""},
		{"g1 gate", one, ""},
		{"g1 gate2 one", one, "a port that evaluates one channel makes one of two"},
		{"g1 gate2 two", two + silent, "both wires on 24 V still open together"},
		{"g1 gate2 pulsed", two + "g1: channels joined (cross): noticed (the test pulses of the port)\n", ""},
		{"g1 gate_anti anti", two + "g1: channels joined (cross): noticed\n", "joined, they are never opposite"},
		{"g1 curtain ossd", two + "g1: channels joined (cross): noticed (the test pulses of its outputs)\n", ""},
		{"g1 gate2 keeps", "g1: channel 1 stuck closed: breaks stops in 3, not noticed\ng1: channel 1 stuck open: noticed\n" +
			"g1: channel 2 stuck closed: breaks stops in 3, not noticed\ng1: channel 2 stuck open: noticed\n" + silent,
			"the value is kept for the discrepancy time, and a demand that is shorter leaves no trace"},
	} {
		assert.Equal(t, test.want, faultsOf(t, cell([]string{test.gate, "p1 panel"}, gateLogic), usualRules, "g1"), "%s %s", test.gate, test.reason)
	}
}

// TestFaultsOfChannelsInTheLogic: a logic that evaluates the channels itself keeps the stop, but notices only with a memory.
func TestFaultsOfChannelsInTheLogic(t *testing.T) {
	const plain = `drives: {belt: {zone: cell}}
logic:
  values:
    armed: es1.channel_1 && es1.channel_2 && (pre(armed) || fell(p1.reset))
    belt.run: armed && pre(armed) && (pre(belt.run) || rose(p1.start)) && !p1.stop
`
	demand := strings.ReplaceAll(usualRules, "g1.in_order", "!es1.pressed")
	assert.Equal(t, "es1: channel 1 stuck closed: not noticed\nes1: channel 1 stuck open: noticed\n"+
		"es1: channel 2 stuck closed: not noticed\nes1: channel 2 stuck open: noticed\n"+
		"es1: channels joined (cross): no effect (by itself it changes nothing, so nothing tells of it)\n",
		faultsOf(t, cell([]string{"es1 es2", "p1 panel"}, plain), demand, "es1"))
	// Once the channels differed, both must have been open.
	const locks = `drives: {belt: {zone: cell}}
logic:
  values:
    locked: es1.channel_1 != es1.channel_2 || pre(locked) && (es1.channel_1 || es1.channel_2)
    armed: es1.channel_1 && es1.channel_2 && !locked && (pre(armed) || fell(p1.reset))
    belt.run: armed && pre(armed) && (pre(belt.run) || rose(p1.start)) && !p1.stop
`
	assert.Equal(t, "es1: channel 1 stuck closed: noticed\nes1: channel 1 stuck open: noticed\n"+
		"es1: channel 2 stuck closed: noticed\nes1: channel 2 stuck open: noticed\n"+
		"es1: channels joined (cross): noticed (the test pulses of the port)\n",
		faultsOf(t, cell([]string{"es1 es2 pulsed", "p1 panel"}, locks), demand, "es1"))
}

// TestFaultsOfContactors: one contactor that welds loses the stop; of two in series the other opens, and the feedback in the
// start finds the first (ISO 13849-1:2023, category 1 against 3 and 4, from memory).
func TestFaultsOfContactors(t *testing.T) {
	logicOf := func(switched, feedback string) string {
		return "drives: {belt: {zone: cell, switched_by: [" + switched + `]}}
logic:
  values:
    armed: g1.in_order && (pre(armed) || fell(p1.reset))
    belt.run: armed && pre(armed) && (pre(belt.run) || rose(p1.start)` + feedback + `) && !p1.stop
`
	}
	devices := []string{"g1 gate2 pulsed", "p1 panel", "k1 k", "k2 k"}
	for _, test := range []struct{ switched, feedback, want string }{
		{"k1", "", "k1: welded: stays on: breaks stops in 1, breaks started in 1, not noticed\nk1: stays off: noticed\n"},
		{"k1", " && k1.dropped", "k1: welded: stays on: breaks stops in 1, breaks started in 1, noticed\nk1: stays off: noticed\n" +
			"k1: dropped stuck at true: not noticed\nk1: dropped stuck at false: noticed\n"},
		{"k1, k2", "", "k1: welded: stays on: not noticed\nk1: stays off: noticed\nk2: welded: stays on: not noticed\nk2: stays off: noticed\n"},
		{"k1, k2", " && k1.dropped && k2.dropped", "k1: welded: stays on: noticed\nk1: stays off: noticed\n" +
			"k1: dropped stuck at true: not noticed\nk1: dropped stuck at false: noticed\n" +
			"k2: welded: stays on: noticed\nk2: stays off: noticed\n" +
			"k2: dropped stuck at true: not noticed\nk2: dropped stuck at false: noticed\n"},
	} {
		assert.Equal(t, test.want, faultsOf(t, cell(devices, logicOf(test.switched, test.feedback)), usualRules, "k1", "k2"), test.switched+test.feedback)
	}
	// A contactor with a command of its own, which stays on while the zone is armed, is no second way to stop.
	own := strings.Replace(logicOf("k1, k2", ""), "    belt.run", "    k1.on: armed\n    belt.run", 1)
	assert.Equal(t, "k1: welded: stays on: not noticed\nk1: stays off: noticed\n"+
		"k2: welded: stays on: breaks started in 2, not noticed\nk2: stays off: noticed\n",
		faultsOf(t, cell(devices, own), usualRules, "k1", "k2"))
}

// TestFaultsOfStandstill: one monitor that fails to standstill opens the guard while the mass moves; of two, the other keeps it.
func TestFaultsOfStandstill(t *testing.T) {
	const text = `drives: {belt: {zone: cell}}
logic:
  inputs: {halt: {about: the coasting belt comes to rest}}
  values:
    belt.moving: pre(belt.run) || pre(belt.moving) && !halt
    b1.release: p1.request && !pre(belt.run) && STILL
    belt.run: b1.closed && !b1.release && (pre(belt.run) || rose(p1.start)) && !p1.stop && !p1.request
  assume:
    monitors_are_true: {holds: "implies(s1.standstill || s2.standstill, !belt.moving)"}
`
	const unlock = `format: 1
pack: Unlock
rules:
  unlock: {for: machine, always: "implies(b1.release, !belt.moving)", say: s, severity: error}
  access: {for: machine, always: "implies(!b1.closed && !hist(!b1.closed), !belt.moving)", say: s, severity: error}
`
	devices := []string{"b1 bolt", "p1 panel", "s1 still", "s2 still"}
	one := faultsOf(t, cell(devices, strings.Replace(text, "STILL", "s1.standstill", 1)), unlock, "b1", "s1", "s2")
	// The belt runs from cycle 1 on at the earliest and moves from cycle 2 on; its run ends in cycle 2 or later, and the
	// release follows a cycle after that, the guard a cycle after the release.
	assert.Equal(t, "b1: contact or input of closed stuck closed: breaks access in 3, not noticed\n"+
		"b1: contact or input of closed stuck open: noticed\n"+
		"b1: bolt withdrawn without a command: breaks unlock in 3, breaks access in 3, not noticed\n"+
		"b1: bolt stays in: not noticed\n"+
		"s1: failed to standstill: breaks unlock in 4, breaks access in 5, not noticed\n"+
		"s1: failed to motion: not noticed\n", one)
	two := faultsOf(t, cell(devices, strings.Replace(text, "STILL", "s1.standstill && s2.standstill", 1)), unlock, "s1", "s2")
	assert.Equal(t, "s1: failed to standstill: not noticed\ns1: failed to motion: not noticed\n"+
		"s2: failed to standstill: not noticed\ns2: failed to motion: not noticed\n", two)
}

// TestFaultsOfButtons: a reset button that sticks resets by itself where its level counts, and never where its trailing edge
// does (ISO 13849-1:2015, 5.2.2, from memory).
func TestFaultsOfButtons(t *testing.T) {
	devices := []string{"g1 gate2 pulsed", "p1 panel"}
	level := strings.Replace(gateLogic, "fell(p1.reset)", "p1.reset", 1)
	demand := strings.Replace(usualRules, "fell(p1.reset)", "p1.reset || pre(p1.reset)", 1)
	assert.Equal(t, "p1: reset stuck pressed: breaks reset in 1, not noticed\np1: reset stuck released: noticed\n",
		onlyFaults(faultsOf(t, cell(devices, level), demand, "p1"), "reset stuck"))
	assert.Equal(t, "p1: reset stuck pressed: noticed\np1: reset stuck released: noticed\n",
		onlyFaults(faultsOf(t, cell(devices, gateLogic), demand, "p1"), "reset stuck"))
	start := strings.Replace(gateLogic, "rose(p1.start)", "p1.start", 1)
	started := strings.Replace(usualRules, "rose(p1.start)", "p1.start", 1)
	assert.Equal(t, "p1: start stuck pressed: breaks started in 3, not noticed\np1: start stuck released: noticed\n",
		onlyFaults(faultsOf(t, cell(devices, start), started, "p1"), "start stuck"))
}

func onlyFaults(table, with string) string {
	var out strings.Builder
	for line := range strings.Lines(table) {
		if strings.Contains(line, with) {
			out.WriteString(line)
		}
	}
	return out.String()
}

// TestFaultsOfConnections: a connection that comes back lets a held button seem to be let go, where its panel has a connection of
// its own; and a logic that takes the read closing of a gate for an action begins by itself.
func TestFaultsOfConnections(t *testing.T) {
	one := cell([]string{"g1 gate2 pulsed", "p1 panel"}, gateLogic)
	const kept = "con_1: communication lost for ever: noticed (the safety protocol tells it)\n" +
		"con_1: communication lost and back, at any time: noticed (the safety protocol tells it)\n"
	assert.Equal(t, kept, faultsOf(t, one, usualRules, "con_1"))

	apart := strings.Replace(cell([]string{"g1 gate2 pulsed"}, gateLogic), "devices:\n", "devices:\n  p1: {type: panel}\n", 1)
	apart = strings.Replace(apart, "modules:\n", "modules:\n  m2: {type: io, ports: {1: {device: p1}}}\n", 1)
	head := strings.Replace(faultHead, "connections: {", "connections: {con_2: {module: m2, interval: 10 ms, multiplier: 2}, ", 1)
	head = strings.Replace(head, "feeds: {", "feeds: {fe: {to: m2, cable: {type: w, length: 1 m}, sensor: {from: ps}, actuator: {from: ps}}, ", 1)
	m, err := loadText(head + apart)
	require.NoError(t, err)
	r, err := rules.CheckWith(t.Context(), m, rules.Options{Faults: true}, parsed(t, usualRules))
	require.NoError(t, err)
	broken := map[string][]string{}
	for _, f := range r.Faults.Faults {
		for _, p := range f.Proofs {
			if p.Answer == rules.FaultBroken {
				broken[f.Name+" "+f.Fault] = append(broken[f.Name+" "+f.Fault], p.Rule.ID)
			}
		}
	}
	assert.Equal(t, map[string][]string{"con_2 communication lost and back, at any time": {"started", "reset"}}, broken)
}

// TestFaultOfASelector: any position may be read.
func TestFaultOfASelector(t *testing.T) {
	text := strings.Replace(gateLogic, "&& !p1.stop", `&& sel.position == "automatic"`, 1)
	demand := strings.Replace(usualRules, "implies(belt.run, g1.in_order)", "implies(belt.run, sel.position == 'automatic')", 1)
	assert.Equal(t, "sel: any position read, at any time: breaks stops in 3, not noticed\n",
		faultsOf(t, cell([]string{"g1 gate2 pulsed", "p1 panel", "sel mode"}, text), demand, "sel"))
}
