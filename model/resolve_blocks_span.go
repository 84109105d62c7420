package model

import (
	"slices"
	"strings"
)

// span says that each device which asks for the stop of a drive of the zone is in its safe state, those under except apart
// (ISO 11161:2007; ISO 13850:2015, 4.1.2, span of control; both from memory).
func (b *block) span() {
	zone, word, _ := strings.Cut(b.name, ".")
	z, ok := b.zones[zone]
	if !ok || word == "" {
		text := "a block of kind span-of-control has the name of a word of its zone, such as cell.in_order of a zone cell"
		if !ok {
			text += ": " + unknown("zone", zone, sortedNames(b.zones))
		}
		b.problem(b.path, "%s", text)
		return
	}
	functions := b.functionsOf(z)
	var devices []*Device
	for _, f := range functions {
		devices = append(devices, f.Demand...)
	}
	slices.SortFunc(devices, func(a, b *Device) int { return strings.Compare(a.Name, b.Name) })
	devices = slices.Compact(devices)
	left := b.exceptions(devices)
	var conditions []string
	for _, d := range devices {
		if !slices.Contains(left, d) && kindOf(d) != "" { // a type that is not known is reported where it is named
			conditions = append(conditions, b.inOrder(d, functions))
		}
	}
	if !b.spec.And.IsZero() {
		conditions = append(conditions, "{and}")
	}
	if len(conditions) > 0 {
		b.add("", strings.Join(conditions, " && "))
	}
}

// functionsOf lists the safety functions that stop a drive of the zone. None at all is a problem: a condition of nothing
// would be true.
func (b *block) functionsOf(z *Zone) []*Function {
	var drives []*Drive
	var names []string
	for _, d := range b.m.Drives {
		if d.Zone == z {
			drives, names = append(drives, d), append(names, d.Name)
		}
	}
	var out []*Function
	for _, f := range b.m.Functions {
		if slices.ContainsFunc(drives, func(d *Drive) bool { return f.stops(d) }) {
			out = append(out, f)
		}
	}
	switch {
	case len(drives) == 0:
		b.problem(b.path, "the span of control is empty: no drive stands in the zone %s; state zone: %s at its drives, under drives", z.Name, z.Name)
	case len(out) == 0:
		b.problem(b.path, "the span of control is empty: no safety function stops %s; name what each stops under functions", strings.Join(names, ", "))
	}
	return out
}

// stops tells whether the function stops the drive: it says so, or switches a device that takes the drive's energy away.
func (f *Function) stops(d *Drive) bool {
	return slices.Contains(f.Stops, d) || slices.ContainsFunc(f.Outputs, func(o *Device) bool { return slices.Contains(d.SwitchedBy, o) })
}

// exceptions are the devices that the block leaves out.
func (b *block) exceptions(span []*Device) []*Device {
	known := map[string]*Device{}
	for _, d := range span {
		known[d.Name] = d
	}
	out := listOf(b.resolver, b.path+".except", "demand device of the zone's span", b.spec.Except, known)
	if len(out) > 0 && b.spec.And.IsZero() {
		b.problem(b.path+".except", "the span leaves out %s: say under and: when it is in order", out[0].Name)
	}
	return out
}

// inOrder is the condition of one device: its signals are as at rest, or the logic says that it is muted or overridden, or
// that all functions which it demands are suspended.
func (b *block) inOrder(d *Device, functions []*Function) string {
	var parts []string
	for _, s := range d.restState() {
		text := d.Name + "." + s.Signal
		if !s.Value {
			text = "!" + text
		}
		parts = append(parts, text)
	}
	if release := d.Name + ".release"; kindOf(d) == "guard-lock" && !d.locks() && b.isValue(release) {
		parts = append(parts, "!pre("+release+")")
	}
	if len(parts) == 0 {
		b.problem(b.path, "%s is of kind %s, which is in order only while somebody acts on it, or by its own rules: leave it out by except: [%s], and say under and: when it is in order", d.Name, kindOf(d), d.Name)
	}
	text := strings.Join(parts, " && ")
	var instead []string
	for _, word := range []string{"muted", "overridden"} {
		if name := d.Name + "." + word; b.isValue(name) {
			instead = append(instead, name)
		}
	}
	if suspended := b.suspensions(d, functions); suspended != "" {
		instead = append(instead, suspended)
	}
	if len(instead) == 0 {
		return text
	}
	return "(" + text + " || " + strings.Join(instead, " || ") + ")"
}

// suspensions is the condition that all functions which the device demands are suspended; empty where one never is.
func (b *block) suspensions(d *Device, functions []*Function) string {
	var words []string
	for _, f := range functions {
		if !slices.Contains(f.Demand, d) {
			continue
		}
		if !b.isValue(f.Name + ".suspended") {
			return ""
		}
		words = append(words, f.Name+".suspended")
	}
	return strings.Join(words, " && ")
}

// isValue tells whether the logic computes a value of the name.
func (b *block) isValue(name string) bool {
	_, value := b.d.Logic.Values[name]
	_, made := b.d.Logic.Blocks[name]
	return value || made
}

// restState lists the signals of a device that demands nothing and that nobody acts on, so that a reset can wait for it: nil
// for kinds that permit motion while they are actuated, such as two-hand controls. A guard lock must also be locked: after
// any unlocking, even without opening, a reset is needed (ISO 14119:2024, from memory).
func (d *Device) restState() []SignalState {
	switch kindOf(d) {
	case "two-hand-control", "enabling-device", "hold-to-run", "standstill-monitor":
		return nil
	case "guard-lock":
		if d.locks() {
			return append(d.InOrder(), SignalState{"locked", true})
		}
	}
	return d.InOrder()
}

// locks tells whether the signal locked is that of the bolt: not where the type says that its position is not read.
func (d *Device) locks() bool { return d.Type.BoltMonitored == nil || *d.Type.BoltMonitored }
