package model

import (
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"

	"github.com/guardwright/guardwright/model/source"
)

// blockKind is one row of the table of kinds: the keys that a block needs, those that it can have beside them, and what
// makes its values.
type blockKind struct {
	kind             BlockKind
	needed, possible []string
	expand           func(*block)
}

// blockKinds is the table of the kinds of blocks. Each stands for plain values over its expressions. The conditions that
// they must meet are those of the standards named beside the kinds; that they meet them was found by exhaustive search over
// the printed equations.
func blockKinds() []blockKind {
	row := func(kind BlockKind, needed, possible string, expand func(*block)) blockKind {
		return blockKind{kind, strings.Fields(needed), strings.Fields(possible), expand}
	}
	return []blockKind{
		row(ManualResetBlock, "button in_order", "shortest_press longest_press valid", (*block).manualReset),
		row(TwoStageResetBlock, "inside button closed limit", "in_order shortest_press longest_press valid", (*block).twoStageReset),
		row(EscapeReleaseBlock, "escape button", "shortest_press longest_press valid", (*block).escapeRelease),
		row(AcknowledgeBlock, "fault button", "valid", (*block).acknowledge),
		row(ResetLampBlock, "armed in_order", "flash", (*block).resetLamp),
		row(StartBlock, "button permit", "stop valid", (*block).start),
		row(StartWarningBlock, "button permit warning limit", "stop valid", (*block).startWarning),
		row(SafeStopBlock, "permit limit", "standstill", (*block).safeStop),
		row(FeedbackBlock, "command feedback limit", "button shortest_press longest_press valid", (*block).feedback),
		row(SpanBlock, "", "except and", (*block).span),
		row(GuardLockBlock, "request running", "standstill after escape", (*block).guardLock),
		row(MutingBlock, "sensor_1 sensor_2 clear synchronous limit", "lamp valid", (*block).muting),
		row(MutingOverrideBlock, "button sensor_1 sensor_2 clear muting limit", "lamp valid", (*block).mutingOverride),
		row(TwoHandBlock, "left right synchronous", "valid", (*block).twoHand),
		row(EnablingBlock, "middle squeezed", "valid", (*block).enabling),
		row(HoldToRunBlock, "button permit", "limit valid", (*block).holdToRun),
		row(ModeSelectionBlock, "modes", "", (*block).modeSelection),
	}
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
	kinds := blockKinds()
	i := slices.IndexFunc(kinds, func(k blockKind) bool { return k.kind == b.spec.Kind })
	if i < 0 || !b.checkKeys(kinds[i]) { // a kind that is missing or unknown is reported where it is read
		return nil
	}
	kinds[i].expand(b)
	for _, v := range b.values {
		_, value := r.d.Logic.Values[v.Name]
		_, input := r.d.Logic.Inputs[v.Name]
		switch {
		case value:
			r.problem(b.path, "the block makes the value %s, which is under logic.values already; rename one of them", v.Name)
		case input:
			r.problem(b.path, "the block makes the value %s, which is an input under logic.inputs already; rename one of them", v.Name)
		}
		if owner, word, belongs := strings.Cut(v.Name, "."); belongs {
			r.logicOwner(v, owner, word, owners)
		} else {
			r.checkLogicName(b.path, v.Name, owners)
		}
	}
	return b.values
}

// checkBlockNames finds values of one name that two blocks make.
func (r *resolver) checkBlockNames(values []*LogicValue) {
	makers := map[string]string{}
	for _, v := range values {
		if v.Block == "" {
			continue
		}
		if maker, taken := makers[v.Name]; taken && maker != v.Block {
			r.problem(source.Join("logic.blocks", v.Block), "the block makes the value %s, and so does the block %s; rename one of them", v.Name, maker)
		}
		makers[v.Name] = v.Block
	}
}

// checkKeys checks that the block has what its kind needs, and nothing else.
func (b *block) checkKeys(kind blockKind) bool {
	good := true
	v := reflect.ValueOf(b.spec)
	for i := range v.NumField() {
		key, _, _ := strings.Cut(v.Type().Field(i).Tag.Get("yaml"), ",")
		if key == "kind" || key == "about" {
			continue
		}
		stated := !v.Field(i).IsZero()
		needed := slices.Contains(kind.needed, key)
		switch {
		case needed && !stated:
			b.problem(b.path, "a block of kind %s needs %s", kind.kind, key)
			good = false
		case stated && !needed && !slices.Contains(kind.possible, key):
			b.problem(b.path+"."+key, "a block of kind %s has no %s; it has %s", kind.kind, key, strings.Join(append(slices.Clone(kind.needed), kind.possible...), ", "))
			good = false
		case stated:
			if e, ok := v.Field(i).Interface().(Expression); ok {
				b.inputs[key] = e
			}
		}
	}
	if s := b.spec; s.LongestPress != 0 && s.LongestPress < s.ShortestPress {
		b.problem(b.path+".longest_press", "found %s, which is shorter than the shortest press %s: no press would be accepted", s.LongestPress, s.ShortestPress)
		good = false
	}
	return good
}

// prefix begins the names of the block's inner values.
func (b *block) prefix() string { return strings.ReplaceAll(b.name, ".", "_") + "_" }

// add makes a value that is true or false: {key} stands for an expression of the block, [word] for an inner value, @ for
// the block's own, which the empty word adds.
func (b *block) add(word, text string) *LogicValue {
	for _, key := range sortedNames(b.inputs) {
		if !strings.Contains(text, "{"+key+"}") {
			continue
		}
		name := b.prefix() + strings.Replace(key, "modes.", "at_", 1)
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
	b.values = append(b.values, v)
	return v
}

// addTrue makes a value that is true before the first cycle.
func (b *block) addTrue(word, text string) { b.add(word, text).Initial = 1 }

// addWord makes a value that is one of several words, the first before the first cycle.
func (b *block) addWord(word, text string, words ...string) { b.add(word, text).Words = words }

// and joins the expression of a key, where it is stated, to a condition.
func (b *block) and(format, key string) string {
	if _, stated := b.inputs[key]; !stated {
		return ""
	}
	return " && " + fmt.Sprintf(format, "{"+key+"}")
}

// rise is a press of a button, or the covering of a sensor: a rise that is not the return of a lost signal.
func (b *block) rise(key string) string {
	return "rose({" + key + "})" + b.and("%s", "valid") + b.and("pre(%s)", "valid")
}

// durationText is a time in the rule language.
func durationText(d Duration) string {
	us := math.Round(float64(d) * 1e6)
	if math.Mod(us, 1000) == 0 {
		return fmt.Sprintf("ms(%.0f)", us/1000)
	}
	return fmt.Sprintf("us(%.0f)", us)
}
