package model

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"github.com/guardwright/guardwright/model/source"
)

// resolver turns a description into a machine: names become pointers, and what does not fit becomes a problem.
// Each method resolves one section; sections that others refer to come first.
type resolver struct {
	d        *Description
	m        *Machine
	at       func(path string) source.Position
	problems source.Problems

	zones       map[string]*Zone
	kinds       map[string]*Kind
	connectors  map[string]*Connector
	cables      map[string]*Cable
	protectives map[string]*ResolvedProtectionType
	supplyTypes map[string]*ResolvedSupplyType
	deviceTypes map[string]*ResolvedDeviceType
	moduleTypes map[string]*ResolvedModuleType
	controls    map[string]*ResolvedControllerType
	switchTypes map[string]*ResolvedSwitchType
	devices     map[string]*Device
	modules     map[string]*Module
	controllers map[string]*Controller
	switches    map[string]*Switch
	supplies    map[string]*Supply
	protections map[string]*Protection
	drives      map[string]*Drive
	sources     map[string]bool // names that a protective device or a feed can come from
}

// resolve makes the machine, or returns every problem found, those of reading included.
func (b *bundle) resolve(problems source.Problems) (*Machine, error) {
	r := &resolver{
		d:        &b.machine,
		m:        &Machine{Name: b.machine.Machine, About: b.machine.About, locate: b.position, spec: b.machine},
		at:       b.position,
		problems: append(problems, b.problems...),
	}
	if problem, bad := checkFormat(r.d.Format); bad {
		// A newer format means other words: what else could be said of the file would only confuse.
		return nil, source.Problems{{Position: r.at("format"), Path: "format", Text: problem}}
	}
	r.problems = append(r.problems, checkBounds(b.machine, r.at)...)
	r.ambient()
	r.names()
	r.resolveZones()
	r.resolveKinds()
	r.resolveTypes()
	r.resolveDevices()
	r.resolveModules()
	r.resolveControllers()
	r.resolvePower()
	r.resolveNetwork()
	r.resolveDrives()
	r.resolveFunctions()
	r.resolveLogic()
	r.resolveAccept()
	if err := r.problems.Err(); err != nil {
		return nil, err
	}
	return r.m, nil
}

// problem notes what is wrong at a path.
func (r *resolver) problem(path, format string, args ...any) {
	r.problems = append(r.problems, source.Problem{Position: r.at(path), Path: path, Text: fmt.Sprintf(format, args...)})
}

// origin makes the origin of a described object.
func (r *resolver) origin(group, name string) Origin {
	path := source.Join(group, name)
	return Origin{Name: name, Path: path, Position: r.at(path)}
}

// refer looks a name up, or says what would serve.
func refer[T any](r *resolver, path, what, name string, known map[string]T) (T, bool) {
	v, ok := known[name]
	switch {
	case ok:
		return v, true
	case name == "" && inList(path):
		r.problem(path, "found an empty name, wanted a %s: take the entry out of the list, or name it", what)
		return v, false
	case name == "":
		return v, false // either optional, or reported as missing
	}
	r.problem(path, "%s", unknown(what, name, sortedNames(known)))
	return v, false
}

// inList tells whether a path ends at an item of a list.
func inList(path string) bool {
	last := path[strings.LastIndexByte(path, '.')+1:]
	_, err := strconv.Atoi(last)
	return err == nil
}

// unknown words the problem of a name that refers to nothing.
func unknown(what, name string, known []string) string {
	text := fmt.Sprintf("found %q, which is no %s", name, what)
	switch near, ok := source.Nearest(name, known); {
	case ok:
		text += fmt.Sprintf("; did you mean %q?", near)
	case len(known) == 0:
		text += "; the description has none"
	case len(known) <= 12:
		text += "; there are " + strings.Join(known, ", ")
	default:
		text += fmt.Sprintf("; there are %s and %d more", strings.Join(known[:10], ", "), len(known)-10)
	}
	return text
}

// identifier is what rules and logic can name (the CEL language definition, section on identifiers).
var identifier = regexp.MustCompile(`^[A-Za-z_][A-Za-z0-9_]*$`)

// reserved are the words of CEL that cannot be names there.
func reserved() []string {
	return []string{"as", "break", "const", "continue", "else", "false", "for", "function", "if", "import", "in", "let",
		"loop", "namespace", "null", "package", "return", "true", "var", "void", "while"}
}

// checkName says whether a name can be used in rules and logic.
func (r *resolver) checkName(path, name string) {
	switch {
	case !identifier.MatchString(name):
		r.problem(path, "the name %q cannot be used in rules and logic: write letters, digits and _, not starting with a digit, such as %s", name, asIdentifier(name))
	case slices.Contains(reserved(), name):
		r.problem(path, "the name %q is a word of the rule language; choose another, such as %s_1", name, name)
	}
}

// asIdentifier makes the nearest usable name.
func asIdentifier(name string) string {
	clean := strings.Trim(regexp.MustCompile(`[^A-Za-z0-9_]+`).ReplaceAllString(name, "_"), "_")
	if clean == "" || isDigit(clean[0]) {
		clean = "n" + clean
	}
	return clean
}

// names checks the names of objects: usable in rules, and no two of one name, because logic and network links say a
// name without its group.
func (r *resolver) names() {
	owner := map[string]string{}
	check := func(group string, names []string) {
		for _, name := range names {
			path := source.Join(group, name)
			r.checkName(path, name)
			if other, taken := owner[name]; taken {
				r.problem(path, "the name %q is already that of %s; logic and links name objects without their group, so give each its own name", name, other)
				continue
			}
			owner[name] = path
		}
	}
	d := r.d
	check("devices", sortedNames(d.Devices))
	check("modules", sortedNames(d.Modules))
	check("controllers", sortedNames(d.Controllers))
	check("switches", sortedNames(d.Switches))
	check("power.supplies", sortedNames(d.Power.Supplies))
	check("power.protections", sortedNames(d.Power.Protections))
	check("drives", sortedNames(d.Drives))
	if d.Network != nil {
		check("network.connections", sortedNames(d.Network.Connections))
	}
	for group, names := range map[string][]string{
		"zones": sortedNames(d.Zones), "power.feeds": sortedNames(d.Power.Feeds), "functions": sortedNames(d.Functions),
		"types.devices": sortedNames(d.Types.Devices), "types.modules": sortedNames(d.Types.Modules), "types.cables": sortedNames(d.Types.Cables),
		"types.connectors": sortedNames(d.Types.Connectors), "types.supplies": sortedNames(d.Types.Supplies),
		"types.protections": sortedNames(d.Types.Protections), "types.controllers": sortedNames(d.Types.Controllers),
		"types.switches": sortedNames(d.Types.Switches),
	} {
		for _, name := range names {
			r.checkName(source.Join(group, name), name)
		}
	}
}

// ambient checks the temperatures that everything else falls back on.
func (r *resolver) ambient() {
	a := r.d.Ambient
	if a.Min == nil || a.Max == nil {
		reported := slices.ContainsFunc(r.problems, func(p source.Problem) bool { return strings.HasPrefix(p.Path, "ambient") })
		if !reported {
			r.problem("ambient", "both min and max are needed, such as {min: 5 °C, max: 40 °C}")
		}
		return
	}
	r.m.Ambient = AmbientRange{Min: *a.Min, Max: *a.Max}
	r.checkRange("ambient", &a)
}

// checkRange checks that a temperature range is the right way round.
func (r *resolver) checkRange(path string, t *TemperatureRange) {
	if t != nil && t.Min != nil && t.Max != nil && *t.Min > *t.Max {
		r.problem(path, "the lowest temperature %s is above the highest %s", *t.Min, *t.Max)
	}
}

// ambientOf overlays the stated bounds of a place on those around it.
func (r *resolver) ambientOf(path string, stated *TemperatureRange, around AmbientRange) AmbientRange {
	out := around
	if stated == nil {
		return out
	}
	if stated.Min != nil {
		out.Min = *stated.Min
	}
	if stated.Max != nil {
		out.Max = *stated.Max
	}
	if out.Min > out.Max {
		r.problem(path, "the lowest temperature %s is above the highest %s (a bound that is not stated is that of the surroundings)", out.Min, out.Max)
	}
	return out
}

// union spans both ranges: a cable from one place to another meets the worse of each.
func (a AmbientRange) union(b AmbientRange) AmbientRange {
	return AmbientRange{Min: min(a.Min, b.Min), Max: max(a.Max, b.Max)}
}

func (r *resolver) ambientIn(z *Zone) AmbientRange {
	if z != nil {
		return z.Ambient
	}
	return r.m.Ambient
}

func (r *resolver) resolveZones() {
	r.zones = map[string]*Zone{}
	for _, name := range sortedNames(r.d.Zones) {
		spec := r.d.Zones[name]
		z := &Zone{Origin: r.origin("zones", name), ZoneSpec: spec}
		z.Ambient = r.ambientOf(z.Path+".ambient", spec.Ambient, r.m.Ambient)
		r.zones[name] = z
		r.m.Zones = append(r.m.Zones, z)
	}
	for _, z := range r.m.Zones {
		for i, other := range z.ZoneSpec.NextTo {
			path := index(z.Path+".next_to", i)
			if n, ok := refer(r, path, "zone", other, r.zones); ok {
				if n == z {
					r.problem(path, "a zone is not next to itself")
					continue
				}
				z.NextTo = append(z.NextTo, n)
			}
		}
	}
}

func (r *resolver) resolveKinds() {
	r.kinds = map[string]*Kind{}
	for name, spec := range BuiltinKinds() {
		r.kinds[name] = &Kind{Origin: Origin{Name: name, Path: "kinds." + name}, KindSpec: spec}
	}
	for _, name := range sortedNames(r.d.Kinds) {
		k := &Kind{Origin: r.origin("kinds", name), KindSpec: r.d.Kinds[name]}
		if _, builtin := BuiltinKinds()[name]; builtin {
			r.problem(k.Path, "the kind %q is built in; give your own kind another name", name)
			continue
		}
		if !regexp.MustCompile(`^[a-z][a-z0-9]*(-[a-z0-9]+)*$`).MatchString(name) {
			r.problem(k.Path, "found the kind %q, wanted small letters, digits and hyphens, such as light-curtain", name)
		}
		seen := map[string]bool{}
		for _, signal := range append(slices.Clone(k.Gives), k.Takes...) {
			r.checkName(k.Path, signal)
			if seen[signal] {
				r.problem(k.Path, "the signal %q is listed twice", signal)
			}
			seen[signal] = true
		}
		r.checkOnDemand(k)
		r.kinds[name] = k
	}
}

// checkOnDemand checks the signals that a demand changes.
func (r *resolver) checkOnDemand(k *Kind) {
	given := func(key string, signals []string) {
		for i, signal := range signals {
			if !slices.Contains(k.Gives, signal) {
				r.problem(index(k.Path+"."+key, i), "%s", unknown("signal that the kind gives", signal, k.Gives))
			}
		}
	}
	given("false_on_demand", k.FalseOnDemand)
	given("true_on_demand", k.TrueOnDemand)
	for i, signal := range k.TrueOnDemand {
		if slices.Contains(k.FalseOnDemand, signal) {
			r.problem(index(k.Path+".true_on_demand", i), "the signal %q can't be both true and false on demand; leave one out", signal)
		}
	}
}

func (r *resolver) zoneOf(path, name string) *Zone {
	z, _ := refer(r, path, "zone", name, r.zones)
	return z
}
