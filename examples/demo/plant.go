package demo

import (
	"fmt"
	"strings"
)

// Plant writes the machine file of a plant with so many modules, for measuring how work grows with size. The plant
// consists of lines of ten modules, each line with two supplies of its own and, at the ports, eight devices a module.
// It uses the demo's parts file, see [Files].
func Plant(modules int) []byte {
	var b strings.Builder
	b.WriteString("format: 1\nmachine: Generated plant\nuse: [parts.yaml]\nambient: {min: 5 °C, max: 40 °C}\nzones:\n")
	lines := (modules + 9) / 10
	for l := range lines {
		fmt.Fprintf(&b, "  line_%d: {ingress: IP67}\n", l)
	}
	b.WriteString("devices:\n")
	for m := range modules {
		for p := 1; p <= 8; p++ {
			kind := "gate_switch_a"
			if p == 1 {
				kind = "emergency_stop_a"
			}
			fmt.Fprintf(&b, "  d_%d_%d: {type: %s, label: -B%d.%d}\n", m, p, kind, m, p)
		}
	}
	b.WriteString("modules:\n")
	for m := range modules {
		fmt.Fprintf(&b, "  m%d:\n    type: inputs_8\n    zone: line_%d\n    label: -A%d\n    address: 10.%d.%d.%d\n    ports:\n", m, m/10, m, m>>16&255, m>>8&255, m&255)
		for p := 1; p <= 8; p++ {
			set := "ossd_pair"
			if p == 1 {
				set = "contact_pair"
			}
			fmt.Fprintf(&b, "      %d: {device: d_%d_%d, cable: {type: sensor_5, length: %d m}, set: %s}\n", p, m, p, 2+p, set)
		}
	}
	b.WriteString("power:\n  supplies:\n")
	for l := range lines {
		fmt.Fprintf(&b, "    ps%d_s: {type: supply_10}\n    ps%d_a: {type: supply_20}\n", l, l)
	}
	b.WriteString("  protections:\n")
	for l := range lines {
		fmt.Fprintf(&b, "    q%d_s: {type: electronic_6, from: ps%d_s}\n    q%d_a: {type: electronic_8, from: ps%d_a}\n", l, l, l, l)
	}
	b.WriteString("  feeds:\n")
	for m := range modules {
		if l := m / 10; m%10 == 0 {
			fmt.Fprintf(&b, "    f%d: {to: m%d, cable: {type: power_2_5_tail, length: 8 m}, sensor: {from: q%d_s}, actuator: {from: q%d_a}}\n", m, m, l, l)
		} else {
			fmt.Fprintf(&b, "    f%d: {from: m%d, to: m%d, cable: {type: power_2_5, length: 4 m}}\n", m, m-1, m)
		}
	}
	b.WriteString("drives:\n")
	for l := range lines {
		fmt.Fprintf(&b, "  drive_%d: {zone: line_%d, stop_category: 0, stopping_time: 300 ms}\n", l, l)
	}
	b.WriteString("functions:\n")
	for m := range modules {
		fmt.Fprintf(&b, "  stop_%d: {demand: [d_%d_1], stops: [drive_%d], required: PL d}\n", m, m, m/10)
		fmt.Fprintf(&b, "  gates_%d: {demand: [d_%d_2, d_%d_3, d_%d_4, d_%d_5, d_%d_6, d_%d_7, d_%d_8], stops: [drive_%d], required: PL d}\n", m, m, m, m, m, m, m, m, m/10)
	}
	return []byte(b.String())
}
