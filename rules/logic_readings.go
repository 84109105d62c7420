package rules

import (
	"slices"

	"github.com/guardwright/guardwright/calc/logic"
	"github.com/guardwright/guardwright/model"
)

// mode is how the transition system of a machine is built: what can fail in it.
type mode uint8

const (
	// plainMode: no port and no connection fails, and the logic reads what is.
	plainMode mode = iota
	// freeMode: ports and connections fail and come back at any time.
	freeMode
	// faultyMode: nothing fails but what a fault is put in; see [signals.contact].
	faultyMode
)

// readings are the ways of signals from the devices to the logic.
type readings struct {
	// healthy tells of each port whether its signals come through, once that was asked for.
	healthy map[*model.Port]logic.Bool
	// connections are the safety connections by module.
	connections map[*model.Module][]*model.Connection
}

// noWord is the position of a mode selector whose port or connection fails: no contact is read closed.
const noWord = ""

// declareFailures makes the signals of ports and connections.
func (s *signals) declareFailures(m *model.Machine) {
	s.readings = readings{map[*model.Port]logic.Bool{}, connectionsOf(m)}
	for _, p := range allPorts(m) {
		for _, name := range []string{"fault", "passivated"} {
			v := &signalValue{name: p.Module.Name + "." + p.Name + "." + name}
			v.value = truthSymbol{s.sys.Input(v.name)}
			s.words[word{p, name}] = v
		}
	}
	if m.Network == nil {
		return
	}
	for _, con := range m.Network.Connections {
		v := &signalValue{name: s.aliveName(con)}
		v.value = truthSymbol{s.sys.Input(v.name)}
		s.words[word{con, "alive"}] = v
	}
}

// aliveName is the name of the signal of a connection in runs.
func (s *signals) aliveName(con *model.Connection) string {
	if s.compiler.owners[con.Name].subject != con { // the name is that of something else
		return con.Path + ".alive"
	}
	return con.Name + ".alive"
}

// connectionsOf lists the safety connections that carry the signals of a module to the controller that runs the logic.
func connectionsOf(m *model.Machine) map[*model.Module][]*model.Connection {
	out := map[*model.Module][]*model.Connection{}
	if m.Network == nil {
		return out
	}
	for _, con := range m.Network.Connections {
		if m.Logic.Controller == nil || con.Controller == nil || con.Controller == m.Logic.Controller {
			out[con.Module] = append(out[con.Module], con)
		}
	}
	return out
}

// readingOf is what the logic reads of a signal: while the port is passivated or the connection of its module is not alive,
// false, or true where true is the demand; of a mode selector no position.
func (s *signals) readingOf(v *signalValue) symbol {
	if s.mode == plainMode || v.device == nil || s.mode == freeMode && v.device.Port == nil {
		return v.value
	}
	if v.reading != nil {
		return v.reading
	}
	switch x := v.value.(type) {
	case truthSymbol:
		if s.mode == faultyMode {
			v.reading = s.faultyReading(v, x.Bool)
			break
		}
		v.reading = truthSymbol{s.sys.Signal("read("+v.name+")", s.masked(x.Bool, s.healthyAt(v.device.Port), v.onDemand))}
	case choiceSymbol:
		if s.mode == faultyMode {
			x = s.faultyPosition(v, v.device.Type.Positions)
		}
		if v.device.Port == nil {
			v.reading = x
			break
		}
		position, healthy := choiceSymbol{}, s.healthyAt(v.device.Port)
		for _, c := range x {
			position = append(position, wordCase{c.word, s.sys.And(c.guard, healthy)})
		}
		v.reading = append(position, wordCase{noWord, s.sys.Not(healthy)})
	default:
		v.reading = v.value
	}
	return v.reading
}

// healthyAt tells in which cycles the signals of a port come through.
func (s *signals) healthyAt(p *model.Port) logic.Bool {
	if h, known := s.readings.healthy[p]; known {
		return h
	}
	parts := []logic.Bool{s.sys.Not(s.failure(p, "passivated"))}
	for _, con := range s.readings.connections[p.Module] {
		parts = append(parts, s.failure(con, "alive"))
	}
	h := s.sys.And(parts...)
	s.readings.healthy[p] = h
	return h
}

// failure is a signal of a port or connection.
func (s *signals) failure(subject any, name string) logic.Bool {
	v := s.words[word{subject, name}]
	v.used = true
	return v.value.(truthSymbol).Bool
}

// uses tells whether somebody asked for a signal of an object.
func (s *signals) uses(subject any, names ...string) bool {
	return slices.ContainsFunc(names, func(name string) bool {
		v := s.words[word{subject, name}]
		return v != nil && v.used
	})
}
