package model

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/guardwright/guardwright/model/source"
)

// resolveTypes resolves component data: what refers to connectors and protective devices comes after them.
func (r *resolver) resolveTypes() {
	t := r.d.Types
	r.connectors = each(r, "types.connectors", t.Connectors, r.connector)
	r.protectives = each(r, "types.protections", t.Protections, r.protective)
	r.cables = each(r, "types.cables", t.Cables, r.cable)
	r.supplyTypes = each(r, "types.supplies", t.Supplies, r.supplyType)
	r.deviceTypes = each(r, "types.devices", t.Devices, r.deviceType)
	r.moduleTypes = each(r, "types.modules", t.Modules, r.moduleType)
	r.controls = each(r, "types.controllers", t.Controllers, func(o Origin, c ControllerType) *ResolvedControllerType {
		r.checkLoads(o.Path, c.Loads)
		r.checkRange(o.Path+".temperature", c.Temperature)
		r.networkPorts(o.Path, c.NetworkPortsType)
		return &ResolvedControllerType{o, c, r.networkConnector(o.Path, c.NetworkPortsType)}
	})
	r.switchTypes = each(r, "types.switches", t.Switches, func(o Origin, s SwitchType) *ResolvedSwitchType {
		r.checkLoads(o.Path, s.Loads)
		r.checkRange(o.Path+".temperature", s.Temperature)
		r.networkPorts(o.Path, s.NetworkPortsType)
		return &ResolvedSwitchType{o, s, r.networkConnector(o.Path, s.NetworkPortsType)}
	})
}

func each[S, T any](r *resolver, group string, specs map[string]S, make func(Origin, S) *T) map[string]*T {
	out := map[string]*T{}
	for _, name := range sortedNames(specs) {
		out[name] = make(r.origin(group, name), specs[name])
	}
	return out
}

func (r *resolver) connector(o Origin, c ConnectorType) *Connector {
	ascending(r, o.Path+".base_curve", c.BaseCurve, func(p CurrentAt) Temperature { return p.At })
	for i := 1; i < len(c.BaseCurve); i++ {
		if c.BaseCurve[i].Current > c.BaseCurve[i-1].Current {
			r.problem(index(o.Path+".base_curve", i), "the current %s is above that of the colder point before, %s; a contact never carries more in hotter air", c.BaseCurve[i].Current, c.BaseCurve[i-1].Current)
		}
	}
	if c.Derating != nil && (*c.Derating <= 0 || *c.Derating > 1) {
		r.problem(o.Path+".derating", "found %s, wanted a share of the base curve above 0 %% and up to 100 %%", *c.Derating)
	}
	return &Connector{o, c}
}

// ascending checks that a table goes from cold to hot with no temperature twice.
func ascending[T any](r *resolver, path string, table []T, at func(T) Temperature) {
	for i := 1; i < len(table); i++ {
		if at(table[i]) <= at(table[i-1]) {
			r.problem(index(path, i), "the temperature %s is not above the one before, %s; list the points from cold to hot, each once", at(table[i]), at(table[i-1]))
		}
	}
}

func (r *resolver) ratios(path string, table []RatioAt) {
	ascending(r, path, table, func(p RatioAt) Temperature { return p.At })
}

func (r *resolver) protective(o Origin, p ProtectionType) *ResolvedProtectionType {
	breaker := p.Kind == Breaker
	switch {
	case breaker && p.Characteristic == "":
		r.problem(o.Path, "a breaker needs its characteristic: B, C or D")
	case !breaker && p.Characteristic != "":
		r.problem(o.Path+".characteristic", "only a breaker has a characteristic; this is %s", p.Kind)
	}
	if !breaker && p.DCFactor != nil {
		r.problem(o.Path+".dc_factor", "only a breaker has a dc_factor; this is %s", p.Kind)
	}
	if p.DCFactor != nil && *p.DCFactor <= 0 {
		r.problem(o.Path+".dc_factor", "found %s, wanted a factor above 0, such as 1.5", *p.DCFactor)
	}
	if p.Kind == SelfResetting && len(p.TemperatureTable) == 0 {
		r.problem(o.Path, "a self-resetting fuse needs its temperature_table: its hold current changes too much with temperature to be taken at 25 °C")
	}
	if p.Kind != MeltingFuse && (p.MeltMin != 0 || p.MeltMax != 0) {
		r.problem(o.Path, "only a melting fuse has melt_min and melt_max; this is %s", p.Kind)
	}
	if p.MeltMin != 0 && p.MeltMax != 0 && p.MeltMin > p.MeltMax {
		r.problem(o.Path+".melt_min", "found %s, which is above melt_max, %s", p.MeltMin, p.MeltMax)
	}
	r.ratios(o.Path+".temperature_table", p.TemperatureTable)
	r.curve(o.Path+".trip", p.Trip)
	r.curve(o.Path+".hold", p.Hold)
	for _, t := range p.Trip {
		for _, h := range p.Hold {
			if h.Current >= t.Current && h.Time > t.Time {
				r.problem(o.Path+".hold", "the device cannot hold %s for %s and also have opened at %s within %s", h.Current, h.Time, t.Current, t.Time)
			}
		}
	}
	return &ResolvedProtectionType{o, p}
}

// curve checks that a time-current curve falls: more current, less time.
func (r *resolver) curve(path string, points []TripPoint) {
	for i := 1; i < len(points); i++ {
		if points[i].Current <= points[i-1].Current {
			r.problem(index(path, i), "the current %s is not above the one before, %s; list the points by rising current", points[i].Current, points[i-1].Current)
		}
		if points[i].Time > points[i-1].Time {
			r.problem(index(path, i), "the time %s is longer than at the lower current before, %s", points[i].Time, points[i-1].Time)
		}
	}
}

func (r *resolver) cable(o Origin, c CableType) *Cable {
	out := &Cable{Origin: o, CableType: c, Insulation: 70}
	if c.Insulation != nil {
		out.Insulation = *c.Insulation
	}
	r.checkRange(o.Path+".temperature", c.Temperature)
	for i, name := range c.Ends {
		if k, ok := refer(r, index(o.Path+".ends", i), "connector under types.connectors", name, r.connectors); ok {
			out.Ends = append(out.Ends, k)
		}
	}
	return out
}

func (r *resolver) supplyType(o Origin, s SupplyType) *ResolvedSupplyType {
	if s.Nominal == 0 {
		s.Nominal = 24
	}
	if s.Min != 0 && s.Max != 0 && s.Min > s.Max {
		r.problem(o.Path+".min", "the lowest voltage %s is above the highest, %s", s.Min, s.Max)
	}
	if s.Limit != 0 && s.Limit < s.Rated {
		r.problem(o.Path+".limit", "found %s, which is below the rated current %s", s.Limit, s.Rated)
	}
	if s.Boost != nil && s.Boost.Current < max(s.Limit, s.Rated) {
		r.problem(o.Path+".boost", "found %s, which is below the current that the supply gives without a time limit", s.Boost.Current)
	}
	r.ratios(o.Path+".derating_table", s.DeratingTable)
	for i, p := range s.DeratingTable {
		if p.Ratio > 1 {
			r.problem(index(o.Path+".derating_table", i), "found %s, wanted a share of the rated current of at most 100 %%", p.Ratio)
		}
	}
	return &ResolvedSupplyType{o, s}
}

func (r *resolver) deviceType(o Origin, t DeviceType) *ResolvedDeviceType {
	out := &ResolvedDeviceType{Origin: o, DeviceType: t}
	out.Kind, _ = refer(r, o.Path+".kind", "kind of device", t.Kind, r.kinds)
	r.checkLoads(o.Path, t.Loads)
	r.checkRange(o.Path+".temperature", t.Temperature)
	r.checkPins(o.Path+".pins", t.Pins, 0)
	r.checkColours(o.Path+".colours", out.Kind, t.Colours)
	if t.ShowsLive != nil && !t.Pluggable {
		r.problem(o.Path+".shows_live", "only a device that can be unplugged has to show whether it is live; say pluggable: true or leave this out")
	}
	if t.Antivalent && t.Channels != 2 {
		r.problem(o.Path+".antivalent", "only a device with two channels can be antivalent; this has %d", t.Channels)
	}
	return out
}

// checkPins checks the numbers of contacts; contacts is 0 when their number is not stated.
func (r *resolver) checkPins(path string, pins map[string]PinUse, contacts int) {
	for _, number := range sortedNames(pins) {
		n, err := strconv.Atoi(number)
		switch {
		case err != nil || n < 1 || strconv.Itoa(n) != number:
			r.problem(source.Join(path, number), "found the contact %q, wanted its number, such as 4", number)
		case contacts != 0 && n > contacts:
			r.problem(source.Join(path, number), "found contact %d of a connector with %d contacts", n, contacts)
		}
	}
}

// checkColours checks that colours are stated of signals that the kind has.
func (r *resolver) checkColours(path string, kind *Kind, colours map[string]Colour) {
	if kind == nil {
		return // reported with the kind
	}
	signals := slices.Concat(kind.Gives, kind.Takes, []string{"background"})
	for _, name := range sortedNames(colours) {
		if !slices.Contains(signals, name) {
			r.problem(source.Join(path, name), "%s", unknown("signal of a "+kind.Name, name, signals))
		}
	}
}

// checkLoads checks what each load draws and the range in which it works.
func (r *resolver) checkLoads(owner string, loads map[string]LoadType) {
	for _, name := range sortedNames(loads) {
		path := source.Join(owner, "loads", name)
		l := loads[name]
		r.checkName(path, name)
		stated := 0
		for _, given := range []bool{l.Current != nil, l.Power != nil, l.Resistance != nil} {
			if given {
				stated++
			}
		}
		if stated != 1 {
			r.problem(path, "found %d of current, power and resistance, wanted exactly one: it says how the load behaves when the voltage changes", stated)
		}
		if l.Resistance != nil && *l.Resistance == 0 {
			r.problem(path+".resistance", "a load of 0 Ω is a short circuit")
		}
		if l.Min != 0 && l.Max != 0 && l.Min > l.Max {
			r.problem(path+".min", "the lowest voltage %s is above the highest, %s", l.Min, l.Max)
		}
		if l.PullIn != 0 && (l.Max != 0 && l.PullIn > l.Max || l.PullIn < l.Min) {
			r.problem(path+".pull_in", "found %s, wanted a voltage between min and max of the load", l.PullIn)
		}
		r.checkInrush(path+".inrush", l.Inrush)
	}
}

// checkInrush checks that an inrush says one thing completely.
func (r *resolver) checkInrush(path string, in *Inrush) {
	switch {
	case in == nil:
	case in.None && *in != Inrush{None: true}:
		r.problem(path, "a load without inrush has no capacitance, current or duration of one: say none: true alone, or leave it out")
	case in.None:
	case in.Capacitance == 0 && (in.Current == 0 || in.Duration == 0), (in.Current == 0) != (in.Duration == 0):
		r.problem(path, "wanted a capacitance, or a current with its duration, or none: true")
	}
}

// deviceLoads makes the loads of one object from those of its type.
func (r *resolver) deviceLoads(owner Origin, loads map[string]LoadType) []*DeviceLoad {
	var out []*DeviceLoad
	for _, name := range sortedNames(loads) {
		l := &DeviceLoad{LoadType: loads[name], Circuit: loads[name].Circuit}
		// What is wrong with a load is mended at the object that has it, so its place is there and not in the data sheet.
		l.Origin = Origin{Name: name, Path: source.Join(owner.Path, "loads", name), Position: owner.Position}
		if l.Circuit == "" {
			l.Circuit = Sensor
		}
		l.Permanent = l.Circuit == Sensor
		if l.LoadType.Permanent != nil {
			l.Permanent = *l.LoadType.Permanent
		}
		out = append(out, l)
	}
	return out
}

func (r *resolver) moduleType(o Origin, t ModuleType) *ResolvedModuleType {
	out := &ResolvedModuleType{Origin: o, ModuleType: t}
	out.PowerIn, _ = refer(r, o.Path+".power_in", "connector under types.connectors", t.PowerIn, r.connectors)
	out.PowerOut, _ = refer(r, o.Path+".power_out", "connector under types.connectors", t.PowerOut, r.connectors)
	r.checkLoads(o.Path, t.Loads)
	r.checkRange(o.Path+".temperature", t.Temperature)
	r.networkPorts(o.Path, t.NetworkPortsType)
	out.NetworkConnector = r.networkConnector(o.Path, t.NetworkPortsType)
	for _, name := range sortedNames(t.Sets) {
		path := source.Join(o.Path, "sets", name)
		r.checkName(path, name)
		if s := t.Sets[name]; s.Antivalent && s.Channels != 2 {
			r.problem(path+".antivalent", "only a set with two channels can be antivalent; this has %d", s.Channels)
		}
	}
	out.Ports = r.portTypes(o.Path+".ports", t.Ports)
	for _, key := range sortedNames(t.Ports) {
		p, path := t.Ports[key], o.Path+".ports."+key
		refer(r, path+".connector", "connector under types.connectors", p.Connector, r.connectors)
		r.checkPins(path+".pins", p.Pins, p.Contacts)
		refer(r, path+".fuse", "protective device under types.protections", p.Fuse, r.protectives)
		refer(r, path+".actuator_fuse", "protective device under types.protections", p.ActuatorFuse, r.protectives)
	}
	return out
}

// portTypes expands keys such as 1-4 and 5,7 into one entry a port.
func (r *resolver) portTypes(path string, stated map[string]PortType) map[string]PortType {
	out := map[string]PortType{}
	for _, key := range sortedNames(stated) {
		names, err := expandPorts(key)
		if err != nil {
			r.problem(source.Join(path, key), "%s", err)
			continue
		}
		for _, name := range names {
			if _, taken := out[name]; taken {
				r.problem(source.Join(path, key), "port %s is stated twice", name)
				continue
			}
			out[name] = stated[key]
		}
	}
	return out
}

// maxPorts is far above any module; it stops a slip such as 1-1000000 from eating memory.
const maxPorts = 256

// expandPorts lists the ports that a key names: 3, 1-4, "5,7", or a name such as x1.
func expandPorts(key string) ([]string, error) {
	var out []string
	for part := range strings.SplitSeq(key, ",") {
		part = strings.TrimSpace(part)
		from, to, isRange := strings.Cut(part, "-")
		a, errA := strconv.Atoi(from)
		switch {
		case !isRange && errA == nil && a >= 0 && strconv.Itoa(a) == from, !isRange && identifier.MatchString(part):
			out = append(out, part)
			continue
		case !isRange:
			return nil, fmt.Errorf("found the port %q, wanted a number, a name, or numbers such as 1-4 or 5,7", part)
		}
		b, errB := strconv.Atoi(to)
		plain := strconv.Itoa(a) == from && strconv.Itoa(b) == to // no sign, no leading zero
		if errA != nil || errB != nil || !plain || a < 0 || b < a || b-a >= maxPorts {
			return nil, fmt.Errorf("found the ports %q, wanted two rising numbers such as 1-4, at most %d ports", part, maxPorts)
		}
		for n := a; n <= b; n++ {
			out = append(out, strconv.Itoa(n))
		}
	}
	return out, nil
}

// checkList checks a list of names: usable, and each once.
func (r *resolver) checkList(path string, names []string) {
	seen := map[string]bool{}
	for i, name := range names {
		r.checkName(index(path, i), name)
		if seen[name] {
			r.problem(index(path, i), "%q is listed twice", name)
		}
		seen[name] = true
	}
}
