package rules

import (
	"slices"
	"strings"

	"github.com/google/cel-go/cel"
	"github.com/google/cel-go/common/types"

	"github.com/guardwright/guardwright/model/source"
)

// temporalFunctions are the functions of the interlock logic and of always: and reach:. They are not evaluated: package
// calc/logic proves what is said with them. Their meanings are those of past-time linear temporal logic.
func temporalFunctions(q *quantityTypes) []function {
	truth, number, word := types.BoolType, types.IntType, types.StringType
	one := func(name, about, example string) function {
		return function{name: name, about: about, example: example, operations: []operation{{function: name, args: []*types.Type{truth}, result: truth}}}
	}
	timed := func(name, about, example string) function {
		return function{name: name, about: about, example: example, operations: []operation{
			{function: name, args: []*types.Type{q.duration.cel, truth}, result: truth}}}
	}
	pre := one("pre", "the value of the cycle before; in the first cycle false, or in logic: the initial value of a named value", "pre(armed)")
	for _, t := range []*types.Type{number, word} {
		pre.operations = append(pre.operations, operation{function: "pre", args: []*types.Type{t}, result: t})
	}
	return []function{
		pre,
		one("rose", "true now and false in the cycle before; never in the first cycle", "rose(panel.start)"),
		one("fell", "false now and true in the cycle before; never in the first cycle", "fell(panel.reset)"),
		one("began", "true now and not in the cycle before; in the first cycle where it is true", "began(run)"),
		one("once", "true now or in some earlier cycle", "once(run)"),
		one("hist", "true now and in all earlier cycles", "hist(!fault)"),
		{name: "since", about: "the second was true in some cycle, and the first in all cycles after it up to now", example: "since(gate.closed, fell(panel.reset))",
			operations: []operation{{function: "since", args: []*types.Type{truth, truth}, result: truth}}},
		{name: "implies", about: "the second holds wherever the first does; a first that can never hold is reported", example: "implies(began(run), pre(armed))",
			operations: []operation{{function: "implies", args: []*types.Type{truth, truth}, result: truth}}},
		timed("within", "true in at least one of the last cycles, this one included, over at most this time (rounded down)", "within(ms(500), rose(hands.left))"),
		timed("held", "true in all of the last cycles, this one included, over at least this time (rounded up)", "held(s(2), !run)"),
		timed("on_delay", "true once it has been true for at least this time (rounded up) since its rise (IEC 61131-3, TON)", "on_delay(s(2), !run)"),
		timed("off_delay", "stays true for this time after its fall (IEC 61131-3, TOF); the time is a whole number of cycles", "off_delay(ms(100), run)"),
		timed("pulse", "true for at most this time (rounded down) from each rise (IEC 61131-3, TP)", "pulse(ms(500), request)"),
	}
}

// isTemporal tells whether a function is one of the interlock logic.
func isTemporal(name string) bool {
	return slices.Contains([]string{"pre", "rose", "fell", "began", "once", "hist", "since", "implies", "within", "held", "on_delay", "off_delay", "pulse"}, name)
}

// wordProvider adds the signals of devices, ports and connections, and the words of zones, drives and functions, to the
// fields of the kinds.
type wordProvider struct {
	types.Provider
	// words are the types by kind and word; nil: any word is possible, and its type is not known yet.
	words map[string]map[string]*types.Type
	// missed notes fields that were asked for in vain.
	missed func(kind, field string)
}

// FindStructFieldType finds a field of a kind, or a word.
func (p wordProvider) FindStructFieldType(name, field string) (*types.FieldType, bool) {
	if t, ok := p.Provider.FindStructFieldType(name, field); ok {
		return t, ok
	}
	kind, ours := strings.CutPrefix(name, typeMark)
	if !ours {
		return nil, false
	}
	if slices.Contains(failureWords()[kind], field) {
		return &types.FieldType{Type: types.BoolType}, true
	}
	if p.words == nil && slices.Contains(wordKinds(), kind) && kind != "port" { // nobody else gives a port a word
		return &types.FieldType{Type: types.DynType}, true
	}
	t, ok := p.words[kind][field]
	if !ok {
		if p.missed != nil {
			p.missed(kind, field)
		}
		return nil, false
	}
	return &types.FieldType{Type: t}, true
}

// wordKinds are the kinds of objects that have signals or words.
func wordKinds() []string {
	return []string{"device", "zone", "drive", "safety_function", "port", "connection"}
}

// failureWords are the signals of ports and connections, by kind. What speaks of them is proved about a system in which
// ports and connections can fail.
func failureWords() map[string][]string {
	return map[string][]string{"port": {"fault", "passivated"}, "connection": {"alive"}}
}

// temporalEnv is the environment of the interlock logic: the rule language with its temporal functions, the words of
// the objects, and variables.
func (c *compiler) temporalEnv(words map[string]map[string]*types.Type, missed func(kind, field string), variables map[string]*types.Type) (*cel.Env, error) {
	var ops []operation
	for _, f := range temporalFunctions(c.language.quantities) {
		ops = append(ops, f.operations...)
	}
	opts := append(declarations(ops), func(e *cel.Env) (*cel.Env, error) {
		return cel.CustomTypeProvider(wordProvider{Provider: e.CELTypeProvider(), words: words, missed: missed})(e)
	})
	for name, t := range variables {
		opts = append(opts, cel.Variable(name, t))
	}
	return c.base.Extend(opts...)
}

// nearestOf words a suggestion.
func nearestOf(name string, names []string) string {
	slices.Sort(names)
	names = slices.Compact(names)
	if near, ok := source.Nearest(name, names); ok {
		return "; did you mean " + near + "?"
	}
	switch {
	case len(names) == 0:
		return ""
	case len(names) > 12:
		names = append(slices.Clone(names[:12]), "...")
	}
	text := "; there are "
	for i, n := range names {
		if i > 0 {
			text += ", "
		}
		text += n
	}
	return text
}
