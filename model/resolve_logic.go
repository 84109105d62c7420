package model

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"github.com/guardwright/guardwright/model/source"
)

func (r *resolver) resolveLogic() {
	r.checkPositions()
	spec := r.d.Logic
	if spec == nil {
		return
	}
	l := &Logic{Origin: Origin{Name: "logic", Path: "logic", Position: r.at("logic")}, LogicSpec: *spec}
	l.Controller = r.controllerOf("logic.controller", spec.Controller)
	owners := r.logicOwners()
	for _, name := range sortedNames(spec.Inputs) {
		in := &LogicInput{Origin: r.origin("logic.inputs", name), LogicInputSpec: spec.Inputs[name]}
		r.checkLogicName(in.Path, name, owners)
		in.LogicType = r.logicInputType(in.Path, in.LogicInputSpec)
		l.Inputs = append(l.Inputs, in)
	}
	for _, name := range sortedNames(spec.Values) {
		l.Values = append(l.Values, r.logicValue(name, spec, owners))
	}
	// The order of the file is the order of the computation. Without a file all positions are equal.
	slices.SortStableFunc(l.Values, func(a, b *LogicValue) int {
		return cmp.Or(cmp.Compare(a.Position.Line, b.Position.Line), cmp.Compare(a.Position.Column, b.Position.Column))
	})
	for _, name := range sortedNames(spec.Blocks) {
		l.Values = append(l.Values, r.resolveBlock(name, owners)...)
	}
	r.checkBlockNames(l.Values)
	referToValues(r, "counters", spec.Counters)
	referToValues(r, "states", spec.States)
	referToValues(r, "initial", spec.Initial)
	for _, name := range sortedNames(spec.Assume) {
		a := &Assumption{Origin: r.origin("logic.assume", name), AssumeSpec: spec.Assume[name]}
		r.checkName(a.Path, name)
		if a.Holds.IsZero() && !a.Off {
			r.problem(a.Path+".holds", "the assumption says nothing: state in holds: what may be assumed, or off: true where an assumption of this name comes from the kinds of devices")
		}
		l.Assume = append(l.Assume, a)
	}
	r.m.Logic = l
}

// checkPositions checks the positions of mode selectors.
func (r *resolver) checkPositions() {
	for _, name := range sortedNames(r.d.Types.Devices) {
		t := r.d.Types.Devices[name]
		path := source.Join("types.devices", name, "positions")
		if len(t.Positions) > 0 && t.Kind != "mode-selector" {
			r.problem(path, "only a mode-selector has positions, and this is a %s", t.Kind)
		}
		r.checkWords(path, t.Positions)
	}
}

// referToValues checks the names of a section that says more about values.
func referToValues[T any](r *resolver, section string, entries map[string]T) {
	for _, name := range sortedNames(entries) {
		refer(r, source.Join("logic", section, name), "value under logic.values", name, r.d.Logic.Values)
	}
}

// logicOwners are the objects that a value can belong to, with their paths, by name.
func (r *resolver) logicOwners() map[string][]string {
	owners := map[string][]string{}
	add := func(group string, names []string) {
		for _, name := range names {
			owners[name] = append(owners[name], source.Join(group, name))
		}
	}
	add("devices", sortedNames(r.d.Devices))
	add("zones", sortedNames(r.d.Zones))
	add("drives", sortedNames(r.d.Drives))
	add("functions", sortedNames(r.d.Functions))
	if r.d.Network != nil {
		for _, name := range sortedNames(r.d.Network.Connections) {
			if len(owners[name]) == 0 { // the other keeps the name
				add("network.connections", []string{name})
			}
		}
	}
	return owners
}

// checkLogicName checks the name of an input, or of a value that belongs to no object.
func (r *resolver) checkLogicName(path, name string, owners map[string][]string) {
	r.checkName(path, name)
	if taken := owners[name]; len(taken) > 0 {
		r.problem(path, "the name %q is already that of %s; give the value its own name", name, taken[0])
	}
	if _, input := r.d.Logic.Inputs[name]; input && strings.HasPrefix(path, "logic.values") {
		r.problem(path, "the name %q is already that of an input under logic.inputs; give the value its own name", name)
	}
}

func (r *resolver) logicInputType(path string, spec LogicInputSpec) LogicType {
	switch {
	case len(spec.OneOf) > 0 && (spec.Max != nil || spec.Min != nil):
		r.problem(path, "a signal is either a number with min and max or one of several words: leave out one_of, or min and max")
	case len(spec.OneOf) > 0:
		r.checkWords(path+".one_of", spec.OneOf)
		return LogicType{Words: spec.OneOf}
	case spec.Max != nil:
		return LogicType{Number: true, Min: r.logicMin(path, spec.Min, spec.Max), Max: *spec.Max}
	case spec.Min != nil:
		r.problem(path, "there is a min but no max: a number needs its greatest value")
	}
	return LogicType{}
}

// logicMin is the stated smallest value, or 0.
func (r *resolver) logicMin(path string, least, most *int) int {
	low := 0
	if least != nil {
		low = *least
	}
	if low >= *most {
		r.problem(path, "the smallest value %d is not below the greatest %d", low, *most)
	}
	return low
}

// checkWords checks the words of which something is one.
func (r *resolver) checkWords(path string, words []string) {
	if len(words) == 1 {
		r.problem(path, "there is only the word %q; give at least two", words[0])
	}
	for i, w := range words {
		if w != "" && slices.Index(words, w) != i {
			r.problem(index(path, i), "the word %q is listed twice", w)
		}
	}
}

func (r *resolver) logicValue(name string, spec *LogicSpec, owners map[string][]string) *LogicValue {
	v := &LogicValue{Origin: r.origin("logic.values", name), Expression: spec.Values[name]}
	if v.Expression.Text == "" {
		r.problem(v.Path, "the value has no expression")
	}
	if owner, word, belongs := strings.Cut(name, "."); belongs {
		r.logicOwner(v, owner, word, owners)
	} else {
		r.checkLogicName(v.Path, name, owners)
	}
	r.logicValueType(v, spec)
	return v
}

// logicValueType finds what the sections beside values say of a value.
func (r *resolver) logicValueType(v *LogicValue, spec *LogicSpec) {
	counter, isCounter := spec.Counters[v.Name]
	state, isState := spec.States[v.Name]
	initial, stated := spec.Initial[v.Name]
	switch {
	case stated && isCounter:
		r.problem(source.Join("logic.initial", v.Name), "the value is a number: state initial: under logic.counters.%s", v.Name)
	case stated && isState:
		r.problem(source.Join("logic.initial", v.Name), "the value is one of several words: state initial: under logic.states.%s", v.Name)
	case initial:
		v.Initial = 1
	}
	switch {
	case isCounter && isState:
		r.problem(source.Join("logic.states", v.Name), "the value is a number already, under logic.counters: leave out one of the two")
	case isCounter:
		r.logicCounter(v, source.Join("logic.counters", v.Name), counter)
	case isState:
		r.logicState(v, source.Join("logic.states", v.Name), state)
	}
}

func (r *resolver) logicCounter(v *LogicValue, path string, c CounterSpec) {
	if c.Max == nil {
		return // reported as missing
	}
	v.LogicType = LogicType{Number: true, Min: r.logicMin(path, c.Min, c.Max), Max: *c.Max}
	v.Initial = min(max(0, v.Min), v.Max)
	if c.Initial == nil {
		return
	}
	if v.Initial = *c.Initial; v.Initial < v.Min || v.Initial > v.Max {
		r.problem(path+".initial", "found %d, which is not from %d to %d", v.Initial, v.Min, v.Max)
	}
}

func (r *resolver) logicState(v *LogicValue, path string, s StateSpec) {
	r.checkWords(path+".one_of", s.OneOf)
	v.Words = s.OneOf
	if s.Initial == "" {
		return
	}
	if v.Initial = slices.Index(s.OneOf, s.Initial); v.Initial < 0 {
		r.problem(path+".initial", "%s", unknown("word of one_of", s.Initial, s.OneOf))
	}
}

// logicOwner finds the object that a value such as g1.release belongs to.
func (r *resolver) logicOwner(v *LogicValue, owner, word string, owners map[string][]string) {
	r.checkName(v.Path, word)
	paths := owners[owner]
	switch {
	case len(paths) == 0:
		r.problem(v.Path, "%s", unknown("device, zone, drive, safety function or connection", owner, sortedNames(owners)))
		return
	case len(paths) > 1:
		r.problem(v.Path, "%s is the name of %s; rename one of them, so that %s.%s means one thing", owner, strings.Join(paths, " and of "), owner, word)
		return
	}
	v.Owner, v.Word = paths[0], word
	if strings.HasPrefix(v.Owner, "network.") && word == "alive" {
		r.problem(v.Path, "the connection %s gives the signal alive, and the logic only reads it", owner)
	}
	d, isDevice := r.devices[owner]
	if !isDevice || d.Type == nil || d.Type.Kind == nil {
		return
	}
	if takes := d.Takes(); !slices.Contains(takes, word) {
		text := fmt.Sprintf("the device %s is of kind %s, which takes no signal %s", owner, kindOf(d), word)
		switch near, ok := source.Nearest(word, takes); {
		case slices.Contains(d.Gives(), word):
			text += ": it gives that signal, and the logic only reads it"
		case ok:
			text += fmt.Sprintf("; did you mean %s.%s?", owner, near)
		case len(takes) == 0:
			text += "; it takes none"
		default:
			text += "; it takes " + strings.Join(takes, ", ")
		}
		r.problem(v.Path, "%s", text)
	}
}
