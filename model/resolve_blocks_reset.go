package model

import "fmt"

// accepted is the moment in which a press of the button is taken for a reset: the button is let go, after a press that was
// seen to begin, with the condition true through all of it (ISO 13849-1:2015, 5.2.2, from memory). A button that is pressed
// at power-up must first be seen released.
func (b *block) accepted(condition string) string {
	b.add("press", "{button} && "+condition+b.and("%s", "valid")+" && (pre([press]) || rose({button})"+b.and("pre(%s)", "valid")+")")
	text := "fell({button})" + b.and("%s", "valid") + " && pre([press])"
	if b.spec.ShortestPress != 0 {
		text += fmt.Sprintf(" && pre(held(%s, {button}))", durationText(b.spec.ShortestPress))
	}
	if b.spec.LongestPress != 0 {
		text += fmt.Sprintf(" && pre(within(%s, rose({button})))", durationText(b.spec.LongestPress))
	}
	return text
}

// manualReset is true from an accepted reset until something is not in order.
func (b *block) manualReset() {
	b.add("", "{in_order} && (pre(@) || "+b.accepted("{in_order}")+")")
}

// twoStageReset needs the button inside the zone, let go with the guard open, and within the limit the one outside, pressed
// and let go with the guard closed (IEC 62046:2018 for zones that cannot be seen from outside, from memory; the order and
// the limit are common practice, no source). The first stage serves for one reset.
func (b *block) twoStageReset() {
	ready := "{closed}" + b.and("%s", "in_order")
	b.add("searched", "fell({inside})"+b.and("%s", "valid")+" && !{closed}")
	b.add("", ready+" && (pre(@) || "+b.accepted(ready)+
		fmt.Sprintf(" && within(%s, [searched]) && since(!pre(@), [searched]))", durationText(b.spec.Limit)))
}

// escapeRelease is true until the escape release is actuated, and again from a reset on that is made after it was put back
// (ISO 14119:2024, from memory: its use stops the machine and needs a reset).
func (b *block) escapeRelease() {
	b.addTrue("", "!{escape} && (pre(@) || "+b.accepted("!{escape}")+")")
}

// acknowledge is true until a fault is present, and again from a new press on that finds the fault gone already in the
// cycle before: an acknowledgement is not kept for later (IEC 61784-3-3, operator acknowledgement, from memory).
func (b *block) acknowledge() {
	b.addTrue("", "!{fault} && (pre(@) || "+b.rise("button")+" && pre(!{fault}))")
}

// resetLamp is off when nothing is to be reset, flashes when a reset would be accepted, and is steady when a reset is needed
// but something is not in order (common practice, no source).
func (b *block) resetLamp() {
	b.addWord("", `{armed} ? "off" : {in_order} ? "flash" : "steady"`, "off", "steady", "flash")
	if b.spec.Flash != 0 {
		t := durationText(b.spec.Flash)
		b.add("lit", fmt.Sprintf(`@ == "steady" || @ == "flash" && (pre([lit]) ? !held(%s, pre([lit])) : held(%s, !pre([lit])))`, t, t))
	}
}
