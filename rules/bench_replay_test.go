package rules_test

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/guardwright/guardwright/rules"
	"github.com/guardwright/guardwright/rules/record"
)

// BenchmarkReplay judges a record of 103 columns by 102 rules and compares 34 values: with something changing in every cycle,
// and in one cycle of a hundred.
func BenchmarkReplay(b *testing.B) {
	const zones, rows = 17, 20_000
	m := manyZones(b, zones)
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
	head := "time [ms],es.pressed"
	for i := range zones {
		head += fmt.Sprintf(",g%d.closed,p%d.reset,p%d.start,p%d.stop,z%d.armed,d%d.run", i, i, i, i, i, i)
	}
	for _, every := range []int{1, 100} {
		var text bytes.Buffer
		text.WriteString(head + "\n")
		rnd := rand.New(rand.NewPCG(1, 1))
		cells := bytes.Repeat([]byte(",0"), 1+6*zones)
		for row := range rows {
			if row%every == 0 {
				cells[2*rnd.IntN(1+6*zones)+1] ^= 1
			}
			fmt.Fprintf(&text, "%d%s\n", 10*row, cells)
		}
		b.Run(fmt.Sprintf("every=%d", every), func(b *testing.B) {
			b.SetBytes(int64(text.Len()))
			b.ReportAllocs()
			for b.Loop() {
				r, err := rules.Replay(b.Context(), m, []*rules.Ruleset{set}, bytes.NewReader(text.Bytes()), &record.Mapping{Rows: record.Cycles}, rules.ReplayOptions{})
				if err != nil || len(r.Rules) != 6*zones || len(r.Values) != 2*zones || r.Count.Cycles != rows {
					b.Fatal(err, len(r.Rules), len(r.Values))
				}
			}
			perRow := b.Elapsed() / time.Duration(b.N*rows)
			b.ReportMetric(float64(time.Second)/float64(perRow), "rows/s")
		})
	}
}
