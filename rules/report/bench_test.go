package report_test

import (
	"context"
	"fmt"
	"io"
	"io/fs"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/require"

	"github.com/guardwright/guardwright/model"
	"github.com/guardwright/guardwright/rules"
	"github.com/guardwright/guardwright/rules/report"
)

// plant is a plant of so many modules, one behind the other in lines of ten, with eight devices each.
func plant(b *testing.B, modules int) *rules.Result {
	b.Helper()
	var devices, boxes, feeds strings.Builder
	for m := range modules {
		fmt.Fprintf(&boxes, "  m%d:\n    type: inputs_8\n    ports:\n", m)
		for p := 1; p <= 8; p++ {
			fmt.Fprintf(&devices, "  d_%d_%d: {type: gate_switch_a}\n", m, p)
			fmt.Fprintf(&boxes, "      %d: {device: d_%d_%d, cable: {type: sensor_5, length: %d m}}\n", p, m, p, 2+p)
		}
		if m%10 == 0 {
			fmt.Fprintf(&feeds, "    f%d: {to: m%d, cable: {type: power_2_5_tail, length: 8 m}, sensor: {from: ps}}\n", m, m)
		} else {
			fmt.Fprintf(&feeds, "    f%d: {from: m%d, to: m%d, cable: {type: power_2_5, length: 4 m}}\n", m, m-1, m)
		}
	}
	text := "format: 1\nmachine: Plant\nuse: [parts.yaml]\nambient: {min: 5 °C, max: 40 °C}\ndevices:\n" + devices.String() +
		"modules:\n" + boxes.String() + "power:\n  supplies: {ps: {type: supply_20}}\n  feeds:\n" + feeds.String()
	parts, err := fs.ReadFile(demoFiles(), "parts.yaml")
	require.NoError(b, err)
	m, err := model.Load(fstest.MapFS{"plant.yaml": {Data: []byte(text)}, "parts.yaml": {Data: parts}}, "plant.yaml")
	require.NoError(b, err)
	set, err := rules.Parse("plant-rules.yaml", []byte(`format: 1
pack: Plant rules
rules:
  short-cables:
    for: port
    when: has(port.cable)
    require: port.cable.length <= m(8)
    say: the cable of {port} is {port.cable.length} long
    severity: warning
`))
	require.NoError(b, err)
	r, err := rules.Check(context.Background(), m, set)
	require.NoError(b, err)
	return r
}

// BenchmarkReport shows that printing is linear in the size of the plant.
func BenchmarkReport(b *testing.B) {
	for _, modules := range []int{10, 100, 1000} {
		r := plant(b, modules)
		print := func(name string, f func(*report.Report) error) {
			b.Run(fmt.Sprintf("%s/modules=%d", name, modules), func(b *testing.B) {
				for b.Loop() {
					require.NoError(b, f(report.New(r)))
				}
				b.ReportMetric(float64(b.Elapsed().Microseconds())/float64(b.N)/float64(modules), "µs/module")
			})
		}
		print("new", func(*report.Report) error { return nil })
		print("short", func(p *report.Report) error { return p.Text(io.Discard, report.TextOptions{}) })
		print("all", func(p *report.Report) error { return p.Text(io.Discard, report.TextOptions{Parts: report.Parts()}) })
		print("json", func(p *report.Report) error { return p.JSON(io.Discard) })
	}
}
