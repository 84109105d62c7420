package rules_test

import (
	"context"
	"fmt"
	"strings"
	"testing/fstest"

	"github.com/guardwright/guardwright/model"
	"github.com/guardwright/guardwright/rules"
	"github.com/guardwright/guardwright/rules/record"
)

// A trace of the machine, one row a safety cycle: the gate opens at 20 ms, and the belt runs for one cycle more.
func ExampleReplay() {
	machine, err := model.Load(fstest.MapFS{"m.yaml": {Data: []byte(`format: 1
machine: Belt
ambient: {min: 5 °C, max: 40 °C}
zones: {cell: {}}
types:
  controllers: {plc: {network_ports: [p1]}}
  devices: {gate: {kind: guard-switch}, panel: {kind: panel}}
controllers: {c1: {type: plc, safety_cycle: 10 ms}}
devices: {g1: {type: gate, zone: cell}, p1: {type: panel, zone: cell}}
logic:
  values: {cell.run: g1.closed && (pre(cell.run) || rose(p1.start))}
`)}}, "m.yaml")
	if err != nil {
		fmt.Println(err)
		return
	}
	set, err := rules.Parse("plant.yaml", []byte(`format: 1
pack: Plant
rules:
  open-gate-stops: {for: zone, always: "implies(zone.run, g1.closed)", say: "{zone} runs with an open gate", severity: error}
`))
	if err != nil {
		fmt.Println(err)
		return
	}
	trace := "time [ms],g1.closed,p1.start,cell.run\n0,1,0,0\n10,1,1,1\n20,0,0,1\n30,0,0,0\n"
	r, err := rules.Replay(context.Background(), machine, []*rules.Ruleset{set}, strings.NewReader(trace), &record.Mapping{Rows: record.Cycles}, rules.ReplayOptions{})
	if err != nil {
		fmt.Println(err)
		return
	}
	for i := range r.Rules {
		rule := &r.Rules[i]
		fmt.Printf("%s: %s at %s\n%s", rule.Rule.ID, rule.Outcome(), rule.First.Time, rule.Window.Trace.Table())
	}
	for i := range r.Values {
		v := &r.Values[i]
		fmt.Printf("%s: recorded %s, by the logic %s\n", v.Name, v.Recorded, v.Expected)
	}
	// Output:
	// open-gate-stops: broken at 0.02 s
	// step       0  1  2
	// g1.closed  1  1  .
	// cell.run   .  1  1
	// cell.run: recorded true, by the logic false
}
