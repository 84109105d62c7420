package demo

import (
	"fmt"
	"strings"
)

// Plant writes the machine file of a plant with so many modules, for measuring how work grows with size. The plant
// consists of lines of ten modules, each line with two supplies and a controller of its own and, at the ports, eight
// devices a module; the controllers and modules of a line form a ring. It uses the demo's parts file, see [Files].
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
	for l := range lines {
		fmt.Fprintf(&b, "  sto_%d: {type: drive_stop_a, label: -T%d}\n", l, l)
	}
	b.WriteString("modules:\n")
	for m := range modules {
		fmt.Fprintf(&b, "  m%d:\n    type: inputs_8\n    zone: line_%d\n    label: -A%d\n    address: %s\n    safety_network: 3a21_0000_0001\n    ports:\n", m, m/10, m, address(m/10, m%10+1))
		for p := 1; p <= 8; p++ {
			set := "ossd_pair"
			if p == 1 {
				set = "contact_pair"
			}
			fmt.Fprintf(&b, "      %d: {device: d_%d_%d, cable: {type: sensor_5, length: %d m}, set: %s}\n", p, m, p, 2+p, set)
		}
	}
	b.WriteString("controllers:\n")
	for l := range lines {
		fmt.Fprintf(&b, "  c%d: {type: controller_a, zone: line_%d, address: %s, safety_network: 3a21_0000_0001, safety_cycle: 20 ms}\n", l, l, address(l, 0))
	}
	b.WriteString("power:\n  supplies:\n")
	for l := range lines {
		fmt.Fprintf(&b, "    ps%d_s: {type: supply_10}\n    ps%d_a: {type: supply_20}\n", l, l)
	}
	b.WriteString("  protections:\n")
	for l := range lines {
		fmt.Fprintf(&b, "    q%d_s: {type: electronic_6, from: ps%d_s}\n    q%d_a: {type: electronic_8, from: ps%d_a}\n    q%d_c: {type: electronic_6, from: ps%d_s}\n", l, l, l, l, l, l)
	}
	b.WriteString("  feeds:\n")
	for m := range modules {
		if l := m / 10; m%10 == 0 {
			fmt.Fprintf(&b, "    f%d: {to: m%d, cable: {type: power_2_5_tail, length: 8 m}, sensor: {from: q%d_s}, actuator: {from: q%d_a}}\n", m, m, l, l)
		} else {
			fmt.Fprintf(&b, "    f%d: {from: m%d, to: m%d, cable: {type: power_2_5, length: 4 m}}\n", m, m-1, m)
		}
	}
	for l := range lines {
		fmt.Fprintf(&b, "    ft%d: {to: sto_%d, cable: {type: wire_1_5, length: 6 m}, actuator: {from: q%d_a}}\n", l, l, l)
		fmt.Fprintf(&b, "    fc%d: {to: c%d, cable: {type: wire_1_5, length: 2 m}, sensor: {from: q%d_c}}\n", l, l, l)
	}
	plantNetwork(&b, modules, lines)
	b.WriteString("drives:\n")
	for l := range lines {
		fmt.Fprintf(&b, "  drive_%d: {zone: line_%d, stop_category: 0, measured: [300 ms, 301 ms, 302 ms, 300 ms, 299 ms, 300 ms, 301 ms, 300 ms, 302 ms, 300 ms], measured_on: 2026-04-14, run_down_time: 310 ms, switched_by: [sto_%d]}\n", l, l, l)
	}
	b.WriteString("functions:\n")
	for m := range modules {
		fmt.Fprintf(&b, "  stop_%d: {demand: [d_%d_1], stops: [drive_%d], controller: c%d, required: PL d}\n", m, m, m/10, m/10)
		fmt.Fprintf(&b, "  gates_%d: {demand: [d_%d_2, d_%d_3, d_%d_4, d_%d_5, d_%d_6, d_%d_7, d_%d_8], stops: [drive_%d], controller: c%d, required: PL d, approaches: {", m, m, m, m, m, m, m, m, m/10, m/10)
		for p := 2; p <= 8; p++ {
			fmt.Fprintf(&b, "d_%d_%d: {standard: \"ISO 13855:2010\", distance: 2.5 m}, ", m, p)
		}
		b.WriteString("}}\n")
	}
	return []byte(b.String())
}

// plantNetwork writes a ring for each line, with a connection to each of its modules.
func plantNetwork(b *strings.Builder, modules, lines int) {
	b.WriteString("network:\n  protocol: cip-safety\n  subnet: 10.0.0.0/8\n  controller: c0\n  links:\n")
	link := func(from, to string) { fmt.Fprintf(b, "    - {from: %s, to: %s, length: 6 m}\n", from, to) }
	size := func(l int) int { return min(10, modules-10*l) }
	for l := range lines {
		last := fmt.Sprintf("c%d.p1", l)
		for i := range size(l) {
			link(last, fmt.Sprintf("m%d.p1", 10*l+i))
			last = fmt.Sprintf("m%d.p2", 10*l+i)
		}
		link(last, fmt.Sprintf("c%d.p2", l))
	}
	b.WriteString("  rings:\n")
	for l := range lines {
		fmt.Fprintf(b, "    ring_%d: {nodes: [c%d", l, l)
		for i := range size(l) {
			fmt.Fprintf(b, ", m%d", 10*l+i)
		}
		fmt.Fprintf(b, "], protocol: dlr, supervisor: c%d, recovery: 3 ms, max_nodes: 50, beacon_interval: 400 µs, beacon_timeout: 1960 µs}\n", l)
	}
	b.WriteString("  connections:\n")
	for m := range modules {
		fmt.Fprintf(b, "    con_%d: {module: m%d, controller: c%d, interval: 10 ms, multiplier: 2, age_limit: 40 ms, input: 4 B}\n", m, m, m/10)
	}
}

// address is the address of a node of a line.
func address(line, node int) string {
	n := line*16 + node + 1
	return fmt.Sprintf("10.%d.%d.%d", n>>16&255, n>>8&255, n&255)
}
