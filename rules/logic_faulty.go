package rules

import (
	"fmt"
	"slices"

	"github.com/guardwright/guardwright/calc/logic"
	"github.com/guardwright/guardwright/model"
)

// contact is a place between the world and the logic at which a fault can be put in: a net of its own.
type contact struct {
	name string
	// net is what comes behind the place.
	net logic.Bool
	// differs tells in which cycles that is not what would come without a fault.
	differs logic.Bool
}

// channelPair is the way of a device with two channels to the logic.
type channelPair struct {
	// lines are the channels where the port evaluates them; nil where it does not.
	lines []contact
	// joined is false; true in its place joins the two channels.
	joined contact
	// found says what finds joined channels; empty where nothing does but the evaluation of the channels itself.
	found string
}

// switching is what takes energy away from drives.
type switching struct {
	// stays is false; true in its place keeps the path of energy closed. open, likewise, keeps it open.
	stays, open contact
	// closedAgainst and openAgainst tell for each drive in which cycles that contradicts the command.
	closedAgainst, openAgainst []logic.Bool
}

// places are where faults can be put in.
type places struct {
	pairs    map[*model.Device]*channelPair
	switches map[*model.Device]*switching
	// ports and connections are those through which the logic reads something.
	ports       map[*model.Port]contact
	connections map[*model.Connection]contact
	// late are memories of effects that are not made yet.
	late []*signalValue
}

// contact makes a place out of what comes without a fault.
func (s *signals) contact(name string, sound logic.Bool) contact {
	net := s.sys.Signal(name, sound)
	return contact{name, net, s.sys.Xor(net, sound)}
}

// declareSound makes the signals of ports and connections that do not fail unless a fault is put in.
func (s *signals) declareSound(m *model.Machine) {
	s.readings = readings{map[*model.Port]logic.Bool{}, connectionsOf(m)}
	s.places = places{map[*model.Device]*channelPair{}, map[*model.Device]*switching{}, map[*model.Port]contact{}, map[*model.Connection]contact{}, nil}
	for _, p := range allPorts(m) {
		passivated := s.contact(p.Module.Name+"."+p.Name+".passivated", s.sys.False())
		fault := s.sys.Signal(p.Module.Name+"."+p.Name+".fault", s.sys.False())
		s.places.ports[p] = passivated
		s.words[word{p, "passivated"}] = &signalValue{name: passivated.name, value: truthSymbol{passivated.net}}
		s.words[word{p, "fault"}] = &signalValue{name: p.Module.Name + "." + p.Name + ".fault", value: truthSymbol{fault}}
	}
	if m.Network == nil {
		return
	}
	for _, con := range m.Network.Connections {
		alive := s.contact(s.aliveName(con), s.sys.True())
		s.places.connections[con] = alive
		s.words[word{con, "alive"}] = &signalValue{name: alive.name, value: truthSymbol{alive.net}}
	}
}

// faultyReading is what the logic reads of a signal that is true or false, through the channels of its device, its port and
// its connection.
func (s *signals) faultyReading(v *signalValue, world logic.Bool) symbol {
	d := v.device
	switch {
	case v.word == "channel_1" || v.word == "channel_2":
		world = s.throughJoined(v, world)
	case evaluatesTwo(d) && demandSignal(d) == v.word:
		world = s.throughTwo(v, world)
	}
	if d.Port != nil {
		world = s.masked(world, s.healthyAt(d.Port), v.onDemand)
	}
	at := s.contact("read("+v.name+")", world)
	v.contact = &at
	return truthSymbol{at.net}
}

// masked is a signal that has its safe value while its port does not come through.
func (s *signals) masked(x, healthy logic.Bool, onDemand bool) logic.Bool {
	if onDemand {
		return s.sys.Or(x, s.sys.Not(healthy))
	}
	return s.sys.And(x, healthy)
}

// demandSignal is the one signal by which a device demands its safety function; empty where there is none or more than one.
func demandSignal(d *model.Device) string {
	all := slices.Concat(d.Type.Kind.FalseOnDemand, d.Type.Kind.TrueOnDemand)
	if len(all) != 1 {
		return ""
	}
	return all[0]
}

// evaluatesTwo tells whether the port evaluates the two channels of a device together.
func evaluatesTwo(d *model.Device) bool {
	return d.Type.Channels == 2 && d.Port != nil && d.Port.Set != nil && d.Port.Set.Channels == 2 && d.Port.Set.Antivalent == d.Type.Antivalent && demandSignal(d) != ""
}

// pair makes the place at which the two channels of a device can be joined.
func (s *signals) pair(d *model.Device) *channelPair {
	p := s.places.pairs[d]
	if p == nil {
		p = &channelPair{joined: s.contact(d.Name+" channels joined", s.sys.False()), found: crossFoundBy(d)}
		p.joined.differs = s.sys.False() // what shows is what the channels make of it
		s.places.pairs[d] = p
	}
	return p
}

// crossFoundBy says what finds joined channels beside their evaluation: the test pulses of the port on contacts, or those of
// outputs that test themselves.
func crossFoundBy(d *model.Device) string {
	set := (*model.NamedSet)(nil)
	if d.Port != nil {
		set = d.Port.Set
	}
	switch {
	case d.Type.Outputs == model.OSSD:
		if d.Type.TestPulse == nil || *d.Type.TestPulse > 0 {
			return "the test pulses of its outputs"
		}
	case set != nil && set.TestPulses:
		return "the test pulses of the port"
	}
	return ""
}

// throughTwo is a signal as a port with a two-channel evaluation gives it. A difference between the channels locks it out:
// it is in its safe state until both channels were in theirs.
func (s *signals) throughTwo(v *signalValue, world logic.Bool) logic.Bool {
	d, sys := v.device, s.sys
	conducts := world
	if v.onDemand {
		conducts = sys.Not(world)
	}
	second := conducts
	if d.Type.Antivalent {
		second = sys.Not(conducts)
	}
	pair := s.pair(d)
	pair.lines = []contact{s.contact(d.Name+" channel 1", conducts), s.contact(d.Name+" channel 2", second)}
	one, two := pair.lines[0].net, pair.lines[1].net
	either := sys.Or(one, two) // two outputs on one wire: it is on where one of them is
	one, two = sys.If(pair.joined.net, either, one), sys.If(pair.joined.net, either, two)
	if d.Type.Antivalent {
		two = sys.Not(two)
	}
	sound := s.evaluated(d, one, two)
	if pair.found != "" {
		sound = sys.And(sound, sys.Not(pair.joined.net)) // the port, or the device, switches off
	}
	pair.joined.differs = sys.Xor(sound, conducts)
	if v.onDemand {
		return sys.Not(sound)
	}
	return sound
}

// evaluated is the value of two channels that conduct where there is no demand.
func (s *signals) evaluated(d *model.Device, one, two logic.Bool) logic.Bool {
	sys, set := s.sys, d.Port.Set
	both, differ := sys.And(one, two), sys.Xor(one, two)
	locked := sys.Latch(d.Name+" locked out", false)
	fault, value := differ, both
	if n := s.discrepancySteps(set); set.HoldsWhileDiffering && n > 0 {
		// The last agreed value is kept until the discrepancy time is over.
		fault = sys.Held(n, differ)
		kept := sys.Latch(d.Name+" value", false)
		value = sys.Or(both, sys.And(differ, kept, sys.Not(fault)))
		value = sys.And(value, sys.Not(locked))
		sys.SetNext(kept, value)
	}
	sys.SetNext(locked, sys.And(sys.Or(locked, fault), sys.Or(one, two)))
	return sys.And(value, sys.Not(locked))
}

// discrepancySteps is the discrepancy time of a port in cycles, rounded up; 0 where one of the times is not stated.
func (s *signals) discrepancySteps(set *model.NamedSet) int {
	if s.cycle <= 0 || set.Discrepancy <= 0 {
		return 0
	}
	n, err := s.cycle.AtLeast(nanoseconds(float64(set.Discrepancy)))
	if err != nil {
		return 0
	}
	return n.N
}

// throughJoined is a channel that the logic reads by itself.
func (s *signals) throughJoined(v *signalValue, world logic.Bool) logic.Bool {
	pair, sys := s.pair(v.device), s.sys
	out := world
	if pair.found != "" {
		out = sys.And(world, sys.Not(pair.joined.net))
	} else {
		both := sys.Or(s.channel(v.device, "channel_1"), s.channel(v.device, "channel_2"))
		out = sys.If(pair.joined.net, both, world)
	}
	pair.joined.differs = sys.Or(pair.joined.differs, sys.And(sys.Xor(out, world), sys.Or(s.demanded(v.device), sys.Not(out))))
	return out
}

// demanded tells in which cycles a device with one demand signal demands its safety function; true where that is not known.
func (s *signals) demanded(d *model.Device) logic.Bool {
	v := s.words[word{d, demandSignal(d)}]
	if v == nil {
		return s.sys.True()
	}
	x, ok := v.value.(truthSymbol)
	switch {
	case !ok:
		return s.sys.True()
	case v.onDemand:
		return x.Bool
	}
	return s.sys.Not(x.Bool)
}

func (s *signals) channel(d *model.Device, name string) logic.Bool {
	v := s.words[word{d, name}]
	v.used = true
	return v.value.(truthSymbol).Bool
}

// faultyPosition is what the logic reads of a mode selector.
func (s *signals) faultyPosition(v *signalValue, words []string) choiceSymbol {
	name := "read(" + v.name + ")"
	net := s.sys.IntSignal(name, v.position, words...)
	v.contact = &contact{name: name, differs: s.sys.Not(s.sys.Equal(net, v.position))}
	return wordsOf(s.sys, net, words)
}

// worldOf is a signal or value as the world has it: what the logic gives to a guard lock is the bolt, and what it permits to
// a drive the energy. They differ from what the logic gives only where faults can be put in.
func (s *signals) worldOf(v *signalValue) (symbol, error) {
	value, isTruth := v.value.(truthSymbol)
	switch {
	case v.effect != nil:
		return v.effect, nil
	case !isTruth || !s.hasEffect(v):
		return v.value, nil
	}
	net, err := value.Bool, error(nil)
	switch subject := v.owner.(type) {
	case *model.Drive:
		net, err = s.energy(v, subject, value.Bool)
	case *model.Device:
		at := s.contact("bolt("+v.name+")", value.Bool)
		v.contact, net = &at, at.net
	}
	v.effect = truthSymbol{net}
	return v.effect, err
}

// hasEffect tells whether the world may have another value than the logic.
func (s *signals) hasEffect(v *signalValue) bool {
	if s.mode != faultyMode || v.model == nil {
		return false
	}
	switch subject := v.owner.(type) {
	case *model.Drive:
		return v.model.Word == "run" && slices.ContainsFunc(subject.SwitchedBy, switchesEnergy)
	case *model.Device:
		return v.model.Word == "release" && subject.Type.Kind.Name == "guard-lock"
	}
	return false
}

// switchesEnergy tells whether a device is a switch in the path of energy.
func switchesEnergy(d *model.Device) bool {
	return slices.Contains([]string{"contactor", "valve", "drive-input"}, d.Type.Kind.Name)
}

// energy tells in which cycles a drive has energy: where its run is given and no switch in its path stays open, and where
// every switch in its path is closed, by its command or by a fault.
func (s *signals) energy(v *signalValue, d *model.Drive, run logic.Bool) (logic.Bool, error) {
	sys := s.sys
	anyOpen, anyStays, path := sys.False(), sys.False(), sys.True()
	for _, k := range d.SwitchedBy {
		if !switchesEnergy(k) {
			continue
		}
		command, err := s.commandOf(k, run)
		if err != nil {
			return run, fmt.Errorf("%s: %w", v.name, err)
		}
		sw := s.places.switches[k]
		if sw == nil {
			sw = &switching{stays: s.contact(k.Name+" stays on", sys.False()), open: s.contact(k.Name+" stays off", sys.False())}
			s.places.switches[k] = sw
		}
		sw.closedAgainst = append(sw.closedAgainst, sys.And(sw.stays.net, sys.Not(command)))
		sw.openAgainst = append(sw.openAgainst, sys.And(sw.open.net, command))
		anyOpen, anyStays = sys.Or(anyOpen, sw.open.net), sys.Or(anyStays, sw.stays.net)
		path = sys.And(path, sys.Or(sw.stays.net, command))
	}
	return sys.Signal("energy("+v.name+")", sys.Or(sys.And(run, sys.Not(anyOpen)), sys.And(anyStays, path))), nil
}

// commandOf is what the logic gives to a switch: its own signal, or the run of the drive where it has none.
func (s *signals) commandOf(k *model.Device, run logic.Bool) (logic.Bool, error) {
	for _, name := range k.Type.Kind.Takes {
		v := s.words[word{k, name}]
		if v == nil || v.model == nil {
			continue
		}
		if v.value == nil && !v.failed {
			if s.busy[v] {
				return run, fmt.Errorf("%s depends in the same cycle on what the drive does with it: write pre() there", v.name)
			}
			s.compute(v)
		}
		if x, ok := v.value.(truthSymbol); ok {
			return x.Bool, nil
		}
	}
	return run, nil
}

// effectMemory is the effect of the cycle before, for an effect that may not be made yet.
func (s *signals) effectMemory(v *signalValue) symbol {
	if v.effectWas == nil {
		v.effectLatch = s.sys.Latch("pre(effect of "+v.name+")", v.model.Initial == 1)
		v.effectWas = truthSymbol{v.effectLatch}
		if x, made := v.effect.(truthSymbol); made {
			s.sys.SetNext(v.effectLatch, x.Bool)
		} else {
			s.places.late = append(s.places.late, v)
		}
	}
	return v.effectWas
}

// finish makes the effects of all values that have one, and feeds their memories.
func (s *signals) finish(m *model.Machine) error {
	for _, lv := range m.Logic.Values {
		v := s.valueOf(lv)
		if v == nil || v.failed || v.value == nil || !s.hasEffect(v) {
			continue
		}
		if _, err := s.worldOf(v); err != nil {
			return err
		}
	}
	for _, v := range s.places.late {
		if x, ok := v.effect.(truthSymbol); ok {
			s.sys.SetNext(v.effectLatch, x.Bool)
		} else {
			s.sys.SetNext(v.effectLatch, s.sys.False()) // its value failed, which was reported
		}
	}
	return nil
}

// valueOf is the signal of a value of the logic.
func (s *signals) valueOf(lv *model.LogicValue) *signalValue {
	if lv.Owner == "" {
		return s.values[lv.Name]
	}
	for w, v := range s.words {
		if v.model == lv && w.name == lv.Word {
			return v
		}
	}
	return nil
}

// isMotion tells whether a value says what the mass of a drive does: it belongs to the world, though it stands in the logic.
func (v *signalValue) isMotion() bool {
	_, isDrive := v.owner.(*model.Drive)
	return isDrive && v.model.Word == "moving"
}
