package rules

import (
	"fmt"
	"slices"
	"strings"

	"github.com/guardwright/guardwright/model"
	"github.com/guardwright/guardwright/model/source"
)

// Assumption is what is taken for granted about the world in proofs about the interlock logic: stated in the machine file,
// or given by the kinds of its devices and by its ports. Each can be switched off by its name, by off: true under
// logic.assume or by [Options.Without]. A stated one takes the place of the one of the kinds that has its name.
type Assumption struct {
	Name string
	// Holds is what holds in every cycle. An assumption of the kinds speaks of each device, or port, to which it applies.
	Holds string
	// About says why it may be assumed, and who sees to it.
	About string
	// FromKinds tells that it comes from the kinds of devices or from the ports, not from the machine file.
	FromKinds bool
	// Off tells that it is switched off.
	Off bool
	// Position is the place in the machine file; zero for an assumption of the kinds.
	Position source.Position
}

// kindAssumption is an assumption about each device or port, as far as the logic or the rules ask for the signals that it
// speaks of.
type kindAssumption struct {
	name, about string
	// says is what is assumed, in a sentence.
	says string
	kind string // device or port
	// holds is what holds for one object, in the words of the rule language; empty where it says nothing about it.
	holds func(subject any) string
	// needs are the signals of which one must be asked for.
	needs []string
}

// The names of the assumptions of the kinds.
const (
	bolted      = "guard_stays_closed_while_bolted"
	opensAll    = "demand_opens_every_channel"
	exclusive   = "enabled_and_squeezed_never_together"
	passivating = "port_fault_passivates"
)

// kindAssumptions lists the assumptions of the kinds, those before others whose signals they ask for.
func kindAssumptions() []kindAssumption {
	return []kindAssumption{
		{opensAll, "direct opening action (IEC 60947-5-1, annex K), or outputs that switch off together (IEC 61496-1); nothing is assumed of the channels without a demand",
			"a demand of a device with two channels opens both of them, where the second of an antivalent device closes", "device",
			demandOpens, []string{"channel_1", "channel_2"}},
		{bolted, "holding force of the guard lock (ISO 14119); the bolt is taken to follow release",
			"a guard whose lock takes release opens only where the bolt was withdrawn (release) in the cycle before, or by the escape release, actuated then or now; how it stands at power-up is left open", "device", staysClosed, []string{"closed"}},
		{exclusive, "construction of the three-position device (IEC 60947-5-8)",
			"enabled and squeezed of an enabling device are never true together", "device", neverTogether, []string{"enabled", "squeezed"}},
		{passivating, "a safety module passivates a port at which it finds a fault", "a port with a fault is passivated", "port",
			func(any) string { return "implies(port.fault, port.passivated)" }, []string{"fault"}},
	}
}

// staysClosed: a guard opens only where its bolt was withdrawn in the cycle before, or by the escape release. How the guard
// stands at power-up is left open.
func staysClosed(subject any) string {
	if d := subject.(*model.Device); d.Type.Kind.Name != "guard-lock" {
		return ""
	}
	return "implies(fell(device.closed), pre(device.release) || has(device.escape) && (device.escape || pre(device.escape)))"
}

// demandOpens: a demand of a device with two channels opens both; the second of an antivalent device closes.
func demandOpens(subject any) string {
	d := subject.(*model.Device)
	kind := d.Type.Kind
	if d.Type.Channels != 2 || len(kind.FalseOnDemand)+len(kind.TrueOnDemand) != 1 {
		return "" // of several demands nobody says which channel is whose
	}
	demand := "!device."
	signals := kind.FalseOnDemand
	if len(signals) == 0 {
		demand, signals = "device.", kind.TrueOnDemand
	}
	return "implies(" + demand + signals[0] + ", !device.channel_1 && device.channel_2 == device.type.antivalent)"
}

func neverTogether(subject any) string {
	if d := subject.(*model.Device); d.Type.Kind.Name != "enabling-device" {
		return ""
	}
	return "!(device.enabled && device.squeezed)"
}

// isKindAssumption tells whether an assumption of the kinds has a name.
func isKindAssumption(name string) bool {
	return slices.ContainsFunc(kindAssumptions(), func(a kindAssumption) bool { return a.name == name })
}

// textsOf are the wordings of an assumption of the kinds for a machine, each once.
func (a kindAssumption) textsOf(m *model.Machine) []string {
	var out []string
	for _, subject := range a.subjects(m) {
		if text := a.holds(subject); text != "" && !slices.Contains(out, text) {
			out = append(out, text)
		}
	}
	slices.Sort(out)
	return out
}

func (a kindAssumption) subjects(m *model.Machine) []any {
	var out []any
	if a.kind == "port" {
		for _, p := range allPorts(m) {
			out = append(out, p)
		}
		return out
	}
	for _, d := range m.Devices {
		out = append(out, d)
	}
	return out
}

// compileAssumptions compiles the assumptions of the kinds.
func (x *interlock) compileAssumptions() {
	x.kindTexts = map[string]*expression{}
	for _, a := range kindAssumptions() {
		for _, text := range a.textsOf(x.machine) {
			e, errs := x.compiler.compile(x.compiler.language.kinds[a.kind], source.Expression{Text: text}, nil)
			if e == nil {
				x.note("logic", x.machine.Logic.Position, "the assumption %s does not fit the signals of this machine (%s): give them other names", a.name, errs[0].text)
				continue
			}
			x.kindTexts[text] = e
		}
	}
}

// without lists the names of the assumptions that are switched off, by the caller or in the machine file.
func (x *interlock) without(o Options) []string {
	names := slices.Clone(o.Without)
	for _, a := range x.machine.Logic.Assume {
		if a.Off && !slices.Contains(names, a.Name) {
			names = append(names, a.Name)
		}
	}
	return names
}

// checkWithout refuses the name of an assumption that there is none of.
func (x *interlock) checkWithout(names []string) error {
	var known []string
	for _, a := range x.machine.Logic.Assume {
		known = append(known, a.Name)
	}
	for _, a := range kindAssumptions() {
		known = append(known, a.name)
	}
	for _, name := range names {
		if !slices.Contains(known, name) {
			return fmt.Errorf("rules: there is no assumption %s to leave out%s", name, nearestOf(name, known))
		}
	}
	return nil
}

// isStated tells whether the machine file states an assumption of a name.
func (x *interlock) isStated(name string) bool {
	return slices.ContainsFunc(x.machine.Logic.Assume, func(a *model.Assumption) bool { return a.Name == name })
}

// assumeKinds makes the assumptions of the kinds, for the devices and ports whose signals were asked for. Each object has one
// of its own, so that those of different parts of the machine stay apart in proofs. It comes after all questions were made.
func (s *system) assumeKinds(c *checker) error {
	off := s.without(c.options)
	for _, a := range kindAssumptions() {
		if s.isStated(a.name) || slices.Contains(off, a.name) {
			continue
		}
		for _, subject := range a.subjects(s.machine) {
			if !s.signals.uses(subject, a.needs...) {
				continue
			}
			e := s.kindTexts[a.holds(subject)]
			if e == nil || a.name == bolted && !s.signals.has(subject, "release") {
				continue // nothing says when the bolt is withdrawn
			}
			o := c.world.object(a.kind, subject).(*objectValue)
			c.world.fill()
			holds, err := s.translator(c, e, o, forAssumption).condition()
			if err != nil {
				return fmt.Errorf("rules: the assumption %s at %s: %w", a.name, o.text(), err)
			}
			name := a.name + atObject + o.text()
			s.sys.Assume(name, holds)
			for _, signal := range a.needs {
				s.kindOwners[name] = append(s.kindOwners[name], s.signals.words[word{subject, signal}].name)
			}
		}
	}
	return nil
}

// atObject stands between the name of an assumption of the kinds and its object.
const atObject = " at "

// plainNames are the names of assumptions in force, those of the kinds once for all objects.
func plainNames(names []string) []string {
	var out []string
	for _, name := range names {
		name, _, _ = strings.Cut(name, atObject)
		if !slices.Contains(out, name) {
			out = append(out, name)
		}
	}
	return out
}

// assumptions lists what is taken for granted: the stated assumptions, and those of the kinds that some proof rests on or
// that are switched off.
func (x *interlock) assumptions(c *checker) []Assumption {
	var out []Assumption
	off := x.without(c.options)
	for _, a := range x.machine.Logic.Assume {
		holds := a.Holds.Text
		if holds == "" {
			continue // it only switches one of the kinds off
		}
		out = append(out, Assumption{Name: a.Name, Holds: holds, About: a.About, Off: slices.Contains(off, a.Name), Position: a.Position})
	}
	for _, a := range kindAssumptions() {
		if x.isStatedInWords(a.name) {
			continue
		}
		isOff := slices.Contains(off, a.name)
		inForce := slices.ContainsFunc(x.systems(), func(s *system) bool { return slices.Contains(plainNames(s.sys.Assumptions()), a.name) })
		if texts := a.textsOf(x.machine); len(texts) > 0 && (inForce || isOff) {
			out = append(out, Assumption{Name: a.name, Holds: strings.Join(texts, "; "), About: a.about, FromKinds: true, Off: isOff})
		}
	}
	return out
}

// isStatedInWords tells whether the machine file states what holds under a name.
func (x *interlock) isStatedInWords(name string) bool {
	return slices.ContainsFunc(x.machine.Logic.Assume, func(a *model.Assumption) bool { return a.Name == name && !a.Holds.IsZero() })
}
