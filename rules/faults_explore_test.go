package rules

import (
	"fmt"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/guardwright/guardwright/calc"
	"github.com/guardwright/guardwright/calc/logic"
	"github.com/guardwright/guardwright/model"
)

// exploredMachines are small machines of different making.
func exploredMachines() map[string]string {
	const head = `format: 1
machine: Explored
ambient: {min: 5 °C, max: 40 °C}
types:
  controllers: {c: {network_ports: [p1]}}
  supplies: {s: {min: 23.5 V, max: 24.5 V, rated: 5 A}}
  cables: {w: {cores: 4, section: 1.5 mm2}}
  modules:
    io:
      network_ports: [p1]
      ports: {1-9: {inputs: 2, outputs: 2}}
      sets: {two: {for: contacts, channels: 2}, keeps: {for: contacts, channels: 2, discrepancy: 30 ms, holds_while_differing: true}, anti: {for: contacts, channels: 2, antivalent: true}}
  devices:
    gate2: {kind: guard-switch, outputs: contacts, channels: 2}
    anti2: {kind: guard-switch, outputs: contacts, channels: 2, antivalent: true}
    bolt: {kind: guard-lock}
    panel: {kind: button}
    k: {kind: contactor}
controllers: {c1: {type: c, safety_cycle: 10 ms}}
zones: {cell: {}}
power: {supplies: {ps: {type: s}}, feeds: {fd: {to: m1, cable: {type: w, length: 1 m}, sensor: {from: ps}, actuator: {from: ps}}}}
network: {protocol: cip-safety, connections: {con_1: {module: m1, interval: 10 ms, multiplier: 2}}}
`
	const gate = `devices: {g1: {type: TYPE}, r1: {type: panel}, s1: {type: panel}}
modules: {m1: {type: io, ports: {1: {device: g1, set: SET}, 2: {device: r1}}}}
drives: {belt: {zone: cell}}
logic:
  values:
    armed: g1.closed && (pre(armed) || fell(r1.pressed))
    belt.run: armed && pre(armed) && (pre(belt.run) || rose(s1.pressed))
`
	gates := func(typ, set string) string { return head + strings.NewReplacer("TYPE", typ, "SET", set).Replace(gate) }
	return map[string]string{
		"two":   gates("gate2", "two"),
		"keeps": gates("gate2", "keeps"),
		"anti":  gates("anti2", "anti"),
		"one":   strings.ReplaceAll(gates("gate2", "two"), "set: two", "about: none"),
		"contactors": head + `devices: {g1: {type: gate2}, s1: {type: panel}, k1: {type: k}, k2: {type: k}}
modules: {m1: {type: io, ports: {1: {device: g1}, 2: {device: k1}, 3: {device: k2}}}}
drives: {belt: {zone: cell, switched_by: [k1, k2]}}
logic:
  values:
    belt.run: g1.closed && (pre(belt.run) || rose(s1.pressed) && k1.dropped && k2.dropped)
`,
		"lock": head + `devices: {g1: {type: bolt}, s1: {type: panel}, r1: {type: panel}}
modules: {m1: {type: io, ports: {1: {device: g1}, 2: {device: r1}}}}
drives: {belt: {zone: cell}}
logic:
  inputs: {halt: {}}
  values:
    belt.moving: pre(belt.run) || pre(belt.moving) && !halt
    g1.release: r1.pressed && !pre(belt.run) && !belt.moving
    belt.run: g1.closed && !r1.pressed && (pre(belt.run) || rose(s1.pressed))
`,
	}
}

// TestFaultsAgainstPlainSearch: every fault and property again by the plain search over single states, which shares no code
// with the engines of the proofs, on the whole system without slicing; and what is carried over from the proof without a fault.
func TestFaultsAgainstPlainSearch(t *testing.T) {
	set, err := Parse("r.yaml", []byte(`format: 1
pack: Explored
rules:
  stops: {for: drive, always: "implies(drive.run, g1.closed)", say: s, severity: error}
  started: {for: drive, always: "implies(began(drive.run), rose(s1.pressed))", say: s, severity: error}
  access: {for: drive, always: "!has(drive.moving) || !drive.moving || g1.closed || hist(!g1.closed)", say: s, severity: error}
`))
	require.NoError(t, err)
	compared := 0
	for name, text := range exploredMachines() {
		m, err := model.Load(fstest.MapFS{"m.yaml": {Data: []byte(text)}}, "m.yaml")
		require.NoError(t, err, name)
		x, err := newInterlock(m, []*Ruleset{set})
		require.NoError(t, err)
		used, err := join([]*Ruleset{set})
		require.NoError(t, err)
		x.use(used)
		c := &checker{ctx: t.Context(), options: Options{Steps: defaultSteps, Faults: true, Parallel: 1}, world: newWorld(newLanguage(), m, &calc.Results{}, used)}
		c.machine = c.world.all(c.world.language.kinds[machineName])[0]
		x.build(c)
		require.NoError(t, x.problems.Err())
		require.NoError(t, c.prove(t.Context(), x, []*Ruleset{set}))
		require.NoError(t, c.tryFaults(t.Context(), x))
		assert.Equal(t, len(c.proofs), c.faults.Properties, "without a fault the system is the one that was proved about")
		assert.Empty(t, c.faults.NotAsked)
		r := &faultRun{checker: c, system: x.faulty}
		c.faults = &FaultTable{Faults: c.faults.Faults}
		answers := c.faults.Faults
		// The questions again, on a system of their own.
		x.build(c)
		r.system = x.faulty
		require.NoError(t, r.prepare(t.Context()))
		faults, _ := r.list()
		require.Len(t, answers, len(faults))
		for i, f := range faults {
			sys, err := r.system.sys.WithFault(f.faults...)
			require.NoError(t, err)
			got := map[string]FaultProof{}
			for _, p := range answers[i].Proofs {
				got[p.Rule.ID+" at "+p.Path] = p
			}
			for _, q := range r.properties {
				want, err := logic.Explore(t.Context(), sys, q.property, 1<<22)
				require.NoError(t, err)
				at := fmt.Sprintf("%s: %s of %s: %s", name, f.text, f.name, q.property.Name)
				p, asked := got[q.property.Name]
				switch {
				case !asked:
					assert.Contains(t, []logic.Verdict{logic.Proved, logic.Vacuous}, want.Verdict, at)
				case want.Verdict == logic.Refuted:
					if assert.Equal(t, FaultBroken, p.Answer, at) {
						assert.Equal(t, want.Steps, p.Story.Trace.Len(), at)
					}
				default:
					assert.Contains(t, []logic.Verdict{logic.Proved, logic.Vacuous}, want.Verdict, at)
					assert.Equal(t, FaultKept, p.Answer, at)
				}
				compared++
			}
			if f.itself || !f.moves {
				continue
			}
			shows, err := logic.Explore(t.Context(), sys, f.notice.shows, 1<<22)
			require.NoError(t, err)
			restarts, err := logic.Explore(t.Context(), sys, f.notice.restarts, 1<<22)
			require.NoError(t, err)
			want := Noticed
			if shows.Verdict == logic.Unreachable {
				want = NoEffect
			} else if restarts.Verdict == logic.Refuted {
				want = NotNoticed
				assert.Equal(t, restarts.Steps, answers[i].Restart.Trace.Len())
			}
			assert.Equal(t, want, answers[i].Notice, "%s: %s of %s", name, f.text, f.name)
		}
	}
	assert.Greater(t, compared, 150)
}
