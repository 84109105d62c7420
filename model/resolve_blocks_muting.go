package model

import "fmt"

// muting begins with both sensors covered within the time and the curtain free, ends at the limit at the latest, and begins
// again only after both sensors were free (IEC 62046:2018, from memory).
func (b *block) muting() {
	t := durationText(b.spec.Synchronous)
	lost := ""
	if !b.spec.Valid.IsZero() {
		lost = " || !{valid}"
	}
	b.add("begins", fmt.Sprintf("{sensor_1} && {sensor_2} && within(%s, %s) && within(%s, %s) && {clear}%s && !pre(@) && !pre([blocked])",
		t, b.rise("sensor_1"), t, b.rise("sensor_2"), b.and("%s", "lamp")))
	b.add("", fmt.Sprintf("{sensor_1} && {sensor_2}%s && ([begins] || pre(@)) && within(%s, [begins])", b.and("%s", "lamp"), durationText(b.spec.Limit)))
	b.addTrue("blocked", "({sensor_1} || {sensor_2}"+lost+") && (pre([blocked]) || pre(@) && !@)")
}

// mutingOverride lets a load be moved out of the curtain while its button is held, at most for the limit. It begins only where
// the curtain is interrupted, and needs a covered sensor and no muting all the time (IEC 62046:2018, from memory).
func (b *block) mutingOverride() {
	b.add("begins", b.rise("button")+" && !{clear}")
	b.add("", fmt.Sprintf("{button} && ({sensor_1} || {sensor_2}) && !{muting}%s && ([begins] || pre(@)) && within(%s, [begins])", b.and("%s", "lamp"), durationText(b.spec.Limit)))
}
