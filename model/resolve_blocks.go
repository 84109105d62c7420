package model

import (
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"

	"github.com/guardwright/guardwright/model/source"
)

// blockKeys are the keys that a kind of block needs, and those that it can have beside them.
type blockKeys struct{ needed, possible []string }

func keysOf(kind BlockKind) blockKeys {
	switch kind {
	case ManualResetBlock:
		return blockKeys{[]string{"button", "in_order"}, []string{"shortest_press", "longest_press"}}
	case StartBlock:
		return blockKeys{[]string{"button", "permit"}, []string{"stop"}}
	case GuardLockBlock:
		return blockKeys{[]string{"request", "running"}, []string{"standstill", "after"}}
	case TwoHandBlock:
		return blockKeys{[]string{"left", "right", "synchronous"}, nil}
	case EnablingBlock:
		return blockKeys{[]string{"middle", "squeezed"}, nil}
	case MutingBlock:
		return blockKeys{[]string{"sensor_1", "sensor_2", "clear", "synchronous", "limit"}, []string{"lamp"}}
	}
	return blockKeys{}
}

// block turns a block into plain values.
type block struct {
	*resolver
	name, path string
	spec       BlockSpec
	inputs     map[string]Expression
	values     []*LogicValue
}

// resolveBlock makes the values of a block. Each expression of the block becomes a value of its own, so that a mistake in
// it has its place, and so that the plain logic can be read.
func (r *resolver) resolveBlock(name string, owners map[string][]string) []*LogicValue {
	b := &block{resolver: r, name: name, path: source.Join("logic.blocks", name), spec: r.d.Logic.Blocks[name], inputs: map[string]Expression{}}
	if !b.checkKeys() {
		return nil
	}
	switch b.spec.Kind {
	case ManualResetBlock:
		b.manualReset()
	case StartBlock:
		b.start()
	case GuardLockBlock:
		b.guardLock()
	case TwoHandBlock:
		b.twoHand()
	case EnablingBlock:
		b.add("", "{middle} && since(!{squeezed}, !{middle} && !{squeezed})", false)
	case MutingBlock:
		b.muting()
	}
	for _, v := range b.values {
		if _, taken := r.d.Logic.Values[v.Name]; taken {
			r.problem(b.path, "the block makes the value %s, which is under logic.values already; rename one of them", v.Name)
		}
		if owner, word, belongs := strings.Cut(v.Name, "."); belongs {
			r.logicOwner(v, owner, word, owners)
		} else {
			r.checkLogicName(b.path, v.Name, owners)
		}
	}
	return b.values
}

// checkKeys checks that the block has what its kind needs, and nothing else.
func (b *block) checkKeys() bool {
	keys, good := keysOf(b.spec.Kind), b.spec.Kind != ""
	v := reflect.ValueOf(b.spec)
	for i := range v.NumField() {
		key, _, _ := strings.Cut(v.Type().Field(i).Tag.Get("yaml"), ",")
		if key == "kind" || key == "about" || !good {
			continue
		}
		stated := !v.Field(i).IsZero()
		needed := slices.Contains(keys.needed, key)
		switch {
		case needed && !stated:
			b.problem(b.path, "a block of kind %s needs %s", b.spec.Kind, key)
			good = false
		case stated && !needed && !slices.Contains(keys.possible, key):
			b.problem(b.path+"."+key, "a block of kind %s has no %s; it has %s", b.spec.Kind, key, strings.Join(append(slices.Clone(keys.needed), keys.possible...), ", "))
			good = false
		case stated:
			if e, ok := v.Field(i).Interface().(Expression); ok {
				b.inputs[key] = e
			}
		}
	}
	if b.spec.Kind == GuardLockBlock && good {
		good = b.checkGuardLock()
	}
	return good
}

func (b *block) checkGuardLock() bool {
	if b.spec.Standstill.IsZero() && b.spec.After == 0 {
		b.problem(b.path, "a guard is freed at standstill or after a time: state standstill or after, or both")
		return false
	}
	device, word, _ := strings.Cut(b.name, ".")
	if d, ok := b.devices[device]; !ok || word != "release" || kindOf(d) != "guard-lock" {
		b.problem(b.path, "a block of kind guard-lock has the name of the signal that it gives, such as g1.release of a guard-lock g1")
		return false
	}
	return true
}

// prefix begins the names of the block's inner values.
func (b *block) prefix() string { return strings.ReplaceAll(b.name, ".", "_") + "_" }

// add makes a value: {key} stands for an expression of the block, [word] for an inner value, @ for the block's own.
func (b *block) add(word, text string, initial bool) {
	for _, key := range sortedNames(b.inputs) {
		if !strings.Contains(text, "{"+key+"}") {
			continue
		}
		name := b.prefix() + key
		if !slices.ContainsFunc(b.values, func(v *LogicValue) bool { return v.Name == name }) {
			path := b.path + "." + key
			b.values = append(b.values, &LogicValue{Origin: Origin{name, path, b.at(path)}, Expression: b.inputs[key], Block: b.name})
		}
		text = strings.ReplaceAll(text, "{"+key+"}", name)
	}
	text = strings.ReplaceAll(text, "@", b.name)
	text = strings.ReplaceAll(text, "[", b.prefix())
	text = strings.ReplaceAll(text, "]", "")
	v := &LogicValue{Origin: Origin{b.name, b.path, b.at(b.path)}, Expression: Expression{Text: text}, Block: b.name}
	if word != "" {
		v.Name = b.prefix() + word
	}
	if initial {
		v.Initial = 1
	}
	b.values = append(b.values, v)
}

// manualReset accepts the reset when the button is let go, with all in order through the whole press (ISO 13849-1:2015,
// 5.2.2, from memory). A button that is pressed at power-up must first be seen released.
func (b *block) manualReset() {
	b.add("press", "{button} && {in_order} && (pre([press]) || rose({button}))", false)
	accepted := "fell({button}) && pre([press])"
	if b.spec.ShortestPress != 0 {
		accepted += fmt.Sprintf(" && pre(held(%s, {button}))", durationText(b.spec.ShortestPress))
	}
	if b.spec.LongestPress != 0 {
		accepted += fmt.Sprintf(" && pre(within(%s, rose({button})))", durationText(b.spec.LongestPress))
	}
	b.add("", "{in_order} && (pre(@) || "+accepted+")", false)
}

// start begins by the rise of the button, and only where it was permitted already in the cycle before: neither a reset nor
// a guard that closes can start.
func (b *block) start() {
	text := "{permit} && pre({permit}) && (pre(@) || rose({button}))"
	if !b.spec.Stop.IsZero() {
		text += " && !{stop}"
	}
	b.add("", text, false)
}

// guardLock frees the guard on request, without permit, at standstill or after the time; it stays free while the guard is
// open, or asked for.
func (b *block) guardLock() {
	text := "{request} && !{running}"
	if !b.spec.Standstill.IsZero() {
		text += " && {standstill}"
	}
	if b.spec.After != 0 {
		text += fmt.Sprintf(" && held(%s, !{running})", durationText(b.spec.After))
	}
	device, _, _ := strings.Cut(b.name, ".")
	b.add("", fmt.Sprintf("%s || !%s.closed || pre(@) && {request}", text, device), false)
}

// twoHand needs both buttons within the time, each let go since the last motion (ISO 13851:2019, type III, from memory).
func (b *block) twoHand() {
	t := durationText(b.spec.Synchronous)
	b.add("left_free", "pre([left_kept]) || !{left} && !pre(@)", false)
	b.add("right_free", "pre([right_kept]) || !{right} && !pre(@)", false)
	b.add("", fmt.Sprintf("{left} && {right} && (pre(@) || [left_free] && [right_free] && within(%s, rose({left})) && within(%s, rose({right})))", t, t), false)
	b.add("spent", "began(@) || {left} && {right} && !@", false)
	b.add("left_kept", "[left_free] && ![spent]", false)
	b.add("right_kept", "[right_free] && ![spent]", false)
}

// muting begins with both sensors within the time and the curtain free, ends at the limit at the latest, and begins again
// only after both sensors were free (IEC 62046:2018, from memory).
func (b *block) muting() {
	t, lamp := durationText(b.spec.Synchronous), ""
	if !b.spec.Lamp.IsZero() {
		lamp = " && {lamp}"
	}
	b.add("begins", fmt.Sprintf("{sensor_1} && {sensor_2} && within(%s, rose({sensor_1})) && within(%s, rose({sensor_2})) && {clear}%s && !pre([blocked])", t, t, lamp), false)
	b.add("", fmt.Sprintf("pulse(%s, [begins]) && {sensor_1} && {sensor_2}%s && (pre(@) || [begins]) && !pre([blocked])", durationText(b.spec.Limit), lamp), false)
	b.add("blocked", "({sensor_1} || {sensor_2}) && (pre([blocked]) || pre(@) && !@)", true)
}

// durationText is a time in the rule language.
func durationText(d Duration) string {
	us := math.Round(float64(d) * 1e6)
	if math.Mod(us, 1000) == 0 {
		return fmt.Sprintf("ms(%.0f)", us/1000)
	}
	return fmt.Sprintf("us(%.0f)", us)
}
