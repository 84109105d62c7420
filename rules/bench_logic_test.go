package rules_test

import (
	"context"
	"fmt"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/guardwright/guardwright/model"
	"github.com/guardwright/guardwright/rules"
)

// manyZones is a machine with so many zones under one emergency stop, each with a gate, a panel and a drive.
func manyZones(b *testing.B, n int) *model.Machine {
	b.Helper()
	var devices, zones, drives, blocks strings.Builder
	for i := range n {
		fmt.Fprintf(&zones, "  z%d: {}\n", i)
		fmt.Fprintf(&devices, "  g%d: {type: gate, zone: z%d}\n  p%d: {type: panel, zone: z%d}\n", i, i, i, i)
		fmt.Fprintf(&drives, "  d%d: {zone: z%d}\n", i, i)
		fmt.Fprintf(&blocks, "    z%d.armed: {kind: manual-reset, in_order: '!es.pressed && g%d.closed', button: p%d.reset, shortest_press: 150 ms, longest_press: 3 s}\n"+
			"    d%d.run: {kind: start, permit: z%d.armed, button: p%d.start, stop: p%d.stop}\n", i, i, i, i, i, i, i)
	}
	text := "format: 1\nmachine: Many zones\nambient: {min: 5 °C, max: 40 °C}\n" +
		"types:\n  controllers: {c: {network_ports: [p1]}}\n  devices: {es: {kind: emergency-stop}, gate: {kind: guard-switch}, panel: {kind: panel}}\n" +
		"controllers: {c1: {type: c, safety_cycle: 10 ms}}\nzones:\n" + zones.String() + "devices:\n  es: {type: es}\n" + devices.String() +
		"drives:\n" + drives.String() + "logic:\n  blocks:\n" + blocks.String()
	m, err := model.Load(fstest.MapFS{"m.yaml": {Data: []byte(text)}}, "m.yaml")
	if err != nil {
		b.Fatal(err)
	}
	return m
}

// BenchmarkFaults proves the same rules once, and again with each single fault of the devices.
func BenchmarkFaults(b *testing.B) {
	set := benchRules(b)
	for _, n := range []int{1, 10} {
		m := manyZones(b, n)
		for _, faults := range []bool{false, true} {
			b.Run(fmt.Sprintf("zones=%d/faults=%t", n, faults), func(b *testing.B) {
				for b.Loop() {
					r, err := rules.CheckWith(context.Background(), m, rules.Options{Faults: faults}, set)
					if err != nil || faults && len(r.Faults.Faults) != 8*n+2 {
						b.Fatal(err, len(r.Faults.Faults))
					}
				}
			})
		}
	}
}

// BenchmarkProofs proves six rules at every zone or drive of a large machine.
func BenchmarkProofs(b *testing.B) {
	set := benchRules(b)
	for _, n := range []int{1, 10, 100} {
		b.Run(fmt.Sprintf("zones=%d", n), func(b *testing.B) {
			m := manyZones(b, n)
			for b.Loop() {
				r, err := rules.Check(context.Background(), m, set)
				if err != nil || len(r.Findings)+len(r.Unanswered)+len(r.LogicProblems) > 0 || len(r.Proofs) != 6*n {
					b.Fatal(err, r.Findings, r.Unanswered, r.LogicProblems, len(r.Proofs))
				}
			}
		})
	}
}

// benchRules are six rules about zones and drives.
func benchRules(b *testing.B) *rules.Ruleset {
	b.Helper()
	set, err := rules.Parse("r.yaml", []byte(`format: 1
pack: Bench
rules:
  stops: {for: drive, always: "implies(drive.run, !es.pressed && drive.zone.devices.all(d, !has(d.closed) || d.closed))", say: s, severity: error}
  no-automatic-restart: {for: drive, always: "implies(began(drive.run), drive.zone.devices.exists(d, has(d.start) && rose(d.start)))", say: s, severity: error}
  reset-does-not-start: {for: drive, always: "implies(began(drive.run), pre(drive.zone.armed))", say: s, severity: error}
  reset-trailing-edge: {for: zone, always: "implies(began(zone.armed), zone.devices.exists(d, has(d.reset) && fell(d.reset)))", say: s, severity: error}
  press-window: {for: zone, always: "implies(began(zone.armed), zone.devices.exists(d, has(d.reset) && pre(held(ms(150), d.reset)) && !pre(held(ms(3010), d.reset))))", say: s, severity: error}
  can-run: {for: drive, reach: drive.run, say: s, severity: error}
`))
	if err != nil {
		b.Fatal(err)
	}
	return set
}
