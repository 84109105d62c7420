package rules

import (
	"fmt"

	"github.com/guardwright/guardwright/calc/logic"
	"github.com/guardwright/guardwright/model"
)

// singleFault is one fault that is tried.
type singleFault struct {
	kind, name string
	at         model.Origin
	text       string
	faults     []logic.Fault
	// differs tells in which cycles the fault shows itself.
	differs logic.Bool
	// noticed says by what the fault is noticed; itself: without a proof, because that is what the part is for.
	noticed string
	itself  bool
	// notice are the questions by which it is told whether the fault is noticed, and moves says that some motion depends on it.
	notice noticeQuestions
	moves  bool
}

// noticeQuestions ask whether a fault is noticed.
type noticeQuestions struct{ shows, restarts, possible logic.Property }

// list makes the faults of all devices, ports and connections, and lists what is not covered.
func (r *faultRun) list() ([]singleFault, []NotCovered) {
	var out []singleFault
	left := generallyLeft()
	m := r.world.machine
	for _, d := range m.Devices {
		faults, texts := r.ofDevice(d)
		for _, f := range faults {
			f.kind, f.name, f.at = "device", d.Name, d.Origin
			out = append(out, f)
		}
		for _, text := range texts {
			left = append(left, NotCovered{d.Path, text})
		}
	}
	s := r.system.signals
	for _, p := range allPorts(m) {
		if _, read := s.readings.healthy[p]; !read {
			continue
		}
		at := s.places.ports[p]
		out = append(out, singleFault{kind: "port", name: p.Module.Name + "." + p.Name, at: p.Origin, text: "passivated for ever", differs: at.differs,
			faults:  []logic.Fault{{Signal: at.name, Kind: logic.StuckTrue}, {Signal: p.Module.Name + "." + p.Name + ".fault", Kind: logic.StuckTrue}},
			noticed: "the module tells it", itself: true})
	}
	if m.Network != nil {
		for _, con := range m.Network.Connections {
			out = append(out, r.ofConnection(con)...)
		}
	}
	for i := range out {
		r.askNotice(&out[i])
	}
	return out, left
}

// generallyLeft is what no kind of device covers.
func generallyLeft() []NotCovered {
	return []NotCovered{
		{Text: "faults of the controller, and of the modules inside: they are a matter of the integrity of these parts"},
		{Text: "crosses and short circuits between cables of different ports, and between signal and supply, but as stuck inputs"},
		{Text: "what the logic gives to devices, but contactors, valves, drive inputs and bolts, and what becomes of it when a port or connection fails: it is taken to arrive"},
		{Text: "faults that the mechanics of guards, actuators and brakes have, wear, and bypassing"},
		{Text: "signals under logic.inputs, which no device gives, and two faults at once"},
	}
}

// ofConnection are the faults of a connection: lost for ever, and lost and back at any time.
func (r *faultRun) ofConnection(con *model.Connection) []singleFault {
	s := r.system.signals
	used := false
	for p := range s.readings.healthy {
		for _, c := range s.readings.connections[p.Module] {
			used = used || c == con
		}
	}
	if !used && !s.words[word{con, "alive"}].used {
		return nil
	}
	at := s.places.connections[con]
	make := func(text string, kind logic.FaultKind) singleFault {
		return singleFault{kind: "connection", name: con.Name, at: con.Origin, text: text, differs: at.differs,
			faults: []logic.Fault{{Signal: at.name, Kind: kind}}, noticed: "the safety protocol tells it", itself: true}
	}
	return []singleFault{make("communication lost for ever", logic.StuckFalse), make("communication lost and back, at any time", logic.Free)}
}

// askNotice makes the questions whether a fault is noticed.
func (r *faultRun) askNotice(f *singleFault) {
	sys := r.system.sys
	quiet := []logic.Bool{}
	for i := range r.drives {
		if d := &r.drives[i]; d.reachedBy(*f) {
			f.moves = true
			quiet = append(quiet, sys.Not(d.begins))
		}
	}
	told := sys.False()
	for i := range r.told {
		if v := &r.told[i]; v.reachedBy(*f) {
			told = sys.Or(told, v.told)
		}
	}
	restarts := sys.True()
	if f.moves && !f.itself {
		showed := sys.Pre(sys.Once(f.differs))
		for i := range quiet {
			quiet[i] = sys.Implies(showed, sys.Or(quiet[i], told))
		}
		restarts = sys.And(quiet...)
	}
	f.notice = noticeQuestions{logic.Reachable("the fault shows itself", f.differs), logic.Always("no motion begins after the fault", restarts),
		logic.Reachable("some run keeps the assumptions", sys.True())}
}

// ofDevice are the faults of a device by its kind, and what is not covered of it.
func (r *faultRun) ofDevice(d *model.Device) (out []singleFault, left []string) {
	s := r.system.signals
	if sw := s.places.switches[d]; sw != nil {
		out = append(out, r.ofSwitch(d, sw)...)
	} else if switchesEnergy(d) {
		left = append(left, "no drive that has a value run is switched by it, so it is not known what its faults do")
	}
	pair := s.places.pairs[d]
	if pair != nil {
		out = append(out, r.ofChannels(d, pair)...)
	}
	for _, signal := range signalsOf(d) {
		v := s.words[word{d, signal.name}]
		if v == nil || v.contact == nil || pair != nil && (pair.lines != nil && demandSignal(d) == signal.name || isChannel(signal.name)) {
			continue
		}
		out = append(out, ofSignal(d, v)...)
	}
	if d.Type.Channels == 2 && pair == nil && len(out) > 0 && demandSignal(d) != "" {
		left = append(left, "its second channel: no port with a parameter set for two such channels evaluates them, so it is taken for a device with one")
	}
	if pair != nil && pair.lines != nil && d.Port.Set.HoldsWhileDiffering && s.discrepancySteps(d.Port.Set) == 0 {
		left = append(left, "the value that its port keeps while the channels differ: the discrepancy time or the safety cycle is not stated")
	}
	if len(out)+len(left) == 0 {
		left = append(left, "the logic reads none of its signals, and no drive is switched by it")
	}
	return out, left
}

func isChannel(name string) bool { return name == "channel_1" || name == "channel_2" }

// ofSwitch are the faults of what switches energy: a contactor, a valve, the safety inputs of a drive. The feedback of one that
// stays on tells so, where it has one.
func (r *faultRun) ofSwitch(d *model.Device, sw *switching) []singleFault {
	sys := r.system.sys
	on, off := "welded: stays on", "stays off"
	switch d.Type.Kind.Name {
	case "valve":
		on, off = "stays open: passes energy", "stays closed"
	case "drive-input":
		on, off = "input stuck enabled", "input stuck disabled"
	}
	stays := singleFault{text: on, faults: []logic.Fault{{Signal: sw.stays.name, Kind: logic.StuckTrue}}, differs: sys.Or(sw.closedAgainst...)}
	open := singleFault{text: off, faults: []logic.Fault{{Signal: sw.open.name, Kind: logic.StuckTrue}}, differs: sys.Or(sw.openAgainst...)}
	for _, feedback := range d.Gives() { // dropped of a contactor, closed of a valve
		input := r.system.signals.words[word{d, feedback}].name
		stays.faults = append(stays.faults, logic.Fault{Signal: input, Kind: logic.StuckFalse})
		open.faults = append(open.faults, logic.Fault{Signal: input, Kind: logic.StuckTrue})
	}
	return []singleFault{stays, open}
}

// ofChannels are the faults of a device whose channels are looked at apart: each stuck, and both joined. Channels that the
// logic reads are free without a demand; that a stuck one then differs from the other is no sign of its fault, but a second.
func (r *faultRun) ofChannels(d *model.Device, p *channelPair) []singleFault {
	sys, s := r.system.sys, r.system.signals
	var out []singleFault
	for i := range 2 {
		var places []contact
		if p.lines != nil {
			places = append(places, p.lines[i])
		}
		if v := s.words[word{d, fmt.Sprintf("channel_%d", i+1)}]; v != nil && v.contact != nil {
			at := *v.contact
			at.differs = sys.And(at.differs, sys.Or(s.demanded(d), sys.Not(at.net)))
			places = append(places, at)
		}
		closed := singleFault{text: fmt.Sprintf("channel %d stuck closed", i+1), differs: sys.False()}
		open := singleFault{text: fmt.Sprintf("channel %d stuck open", i+1), differs: sys.False()}
		for _, at := range places {
			closed.faults = append(closed.faults, logic.Fault{Signal: at.name, Kind: logic.StuckTrue})
			open.faults = append(open.faults, logic.Fault{Signal: at.name, Kind: logic.StuckFalse})
			closed.differs, open.differs = sys.Or(closed.differs, at.differs), sys.Or(open.differs, at.differs)
		}
		out = append(out, closed, open)
	}
	cross := singleFault{text: "channels joined (cross)", differs: p.joined.differs, faults: []logic.Fault{{Signal: p.joined.name, Kind: logic.StuckTrue}}}
	if p.found != "" {
		cross.noticed = p.found
	}
	return append(out, cross)
}

// ofSignal are the faults of one signal on its way: stuck at either value; of a mode selector, any position read at any time.
func ofSignal(d *model.Device, v *signalValue) []singleFault {
	fault := func(text string, kind logic.FaultKind) singleFault {
		return singleFault{text: text, faults: []logic.Fault{{Signal: v.contact.name, Kind: kind}}, differs: v.contact.differs}
	}
	if d.Type.Kind.Name == "mode-selector" && v.word == "position" {
		return []singleFault{fault("any position read, at any time", logic.Free)}
	}
	whenTrue, whenFalse := stuckTexts(d, v)
	return []singleFault{fault(whenTrue, logic.StuckTrue), fault(whenFalse, logic.StuckFalse)}
}

// stuckTexts word a signal that is stuck at true and at false, by kind of device.
func stuckTexts(d *model.Device, v *signalValue) (whenTrue, whenFalse string) {
	kind := d.Type.Kind
	switch {
	case kind.Name == "guard-lock" && v.word == "release":
		return "bolt withdrawn without a command", "bolt stays in"
	case kind.Name == "guard-lock" && v.word == "locked":
		return "feedback locked stuck at true", "feedback locked stuck at false"
	case kind.Name == "standstill-monitor" && v.word == "standstill":
		return "failed to standstill", "failed to motion"
	case kind.Name == "speed-monitor" && v.word == "below_limit":
		return "failed to below the limit", "failed to above the limit"
	case kind.Name == "panel", kind.Name == "two-hand-control":
		return v.word + " stuck pressed", v.word + " stuck released"
	case kind.Name == "button":
		return "stuck pressed", "stuck released"
	case v.onDemand:
		return "contact or input of " + v.word + " stuck open", "contact or input of " + v.word + " stuck closed"
	}
	for _, name := range kind.FalseOnDemand {
		if name == v.word {
			return "contact or input of " + v.word + " stuck closed", "contact or input of " + v.word + " stuck open"
		}
	}
	return v.word + " stuck at true", v.word + " stuck at false"
}
