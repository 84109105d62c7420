package model

import (
	"fmt"
	"strconv"
	"strings"
)

// twoHand needs both buttons within the time, each let go since the last motion (ISO 13851:2019, type III, from memory).
func (b *block) twoHand() {
	t, valid := durationText(b.spec.Synchronous), b.and("%s", "valid")
	b.add("left_free", "pre([left_kept]) || !{left}"+valid+" && !pre(@)")
	b.add("right_free", "pre([right_kept]) || !{right}"+valid+" && !pre(@)")
	b.add("", fmt.Sprintf("{left} && {right} && (pre(@) || [left_free] && [right_free] && within(%s, %s) && within(%s, %s))", t, b.rise("left"), t, b.rise("right")))
	b.add("spent", "began(@) || {left} && {right} && !@")
	b.add("left_kept", "[left_free] && ![spent]")
	b.add("right_kept", "[right_free] && ![spent]")
}

// enabling is true in the middle position, and not on the way back from the last one: the device must be let go first
// (IEC 60204-1:2016, 9.2.3.9; IEC 60947-5-8:2020; both from memory), also after a time in which its signals did not arrive.
func (b *block) enabling() {
	valid := b.and("%s", "valid")
	b.add("", "{middle} && since(!{squeezed}"+valid+", !{middle} && !{squeezed}"+valid+")")
}

// holdToRun is true while the button is held, at most for the limit; each motion needs a new press, and a permit that was
// there before it (IEC 60204-1:2016, 9.2.3.7, from memory).
func (b *block) holdToRun() {
	limit := ""
	if b.spec.Limit != 0 {
		limit = fmt.Sprintf(" && within(%s, rose({button}))", durationText(b.spec.Limit))
	}
	b.add("", "{permit} && pre({permit}) && {button} && (pre(@) || "+b.rise("button")+")"+limit)
}

// modeSelection is the mode at which alone the selector is, and none in the cycle of a change and where the selector is at
// no mode or at several (Directive 2006/42/EC, annex I, 1.2.5; IEC 60204-1:2016, 9.2.3.5; both from memory). So each change
// of the mode ends what depends on one.
func (b *block) modeSelection() {
	modes := sortedNames(b.spec.Modes)
	if len(modes) < 2 {
		b.problem(b.path+".modes", "there is only one mode; state at least two, each with the condition that the selector is at it")
		return
	}
	words, before := []string{"none"}, len(b.problems)
	for _, mode := range modes {
		path := b.path + ".modes." + mode
		if b.checkName(path, mode); mode == "none" {
			b.problem(path, "none is the word for no mode; choose another")
		}
		b.inputs["modes."+mode] = b.spec.Modes[mode]
		words = append(words, mode)
	}
	if len(b.problems) > before {
		return
	}
	var text strings.Builder
	for i, mode := range modes {
		text.WriteString("{modes." + mode + "}")
		for j, other := range modes {
			if j != i {
				text.WriteString(" && !{modes." + other + "}")
			}
		}
		text.WriteString(" ? " + strconv.Quote(mode) + " : ")
	}
	b.addWord("selected", text.String()+`"none"`, words...)
	b.addWord("", `[selected] == pre([selected]) ? [selected] : "none"`, words...)
}
