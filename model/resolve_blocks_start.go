package model

import "fmt"

// start begins with a press of the button, and only where it was permitted already in the cycle before: neither a reset nor
// a guard that closes can start (ISO 14118:2017; IEC 60204-1:2016, 9.2.3.2, from memory). The stop has priority.
func (b *block) start() {
	b.add("", "{permit} && pre({permit})"+b.and("!%s", "stop")+" && (pre(@) || "+b.rise("button")+")")
}

// startWarning gives the warning from a first press on; a second press starts, once the warning was on for its time, and
// until the limit (ISO 12100:2010, 6.2.11; two presses and the time between them as in EN 1010-1; both from memory).
func (b *block) startWarning() {
	if b.spec.Limit <= b.spec.Warning {
		b.problem(b.path+".limit", "found %s, which is not longer than the warning of %s: no second press would come in time", b.spec.Limit, b.spec.Warning)
		return
	}
	stop := b.and("!%s", "stop")
	b.add("asked", b.rise("button")+" && {permit} && pre({permit})"+stop+" && !pre([sounds]) && !pre(@)")
	b.add("sounds", fmt.Sprintf("{permit}%s && !pre(@) && ([asked] || pre([sounds])) && within(%s, [asked])", stop, durationText(b.spec.Limit)))
	b.add("", fmt.Sprintf("{permit} && pre({permit})%s && (pre(@) || [sounds] && pre(held(%s, [sounds])) && %s)", stop, durationText(b.spec.Warning), b.rise("button")))
}

// safeStop permits the torque while motion is permitted, and from the end of the permit on until standstill is seen, or
// until the limit, counted from the last cycle with the permit (IEC 61800-5-2:2016, SS1-t; IEC 60204-1:2016, 9.2.2, stop
// category 1; both from memory). Whatever comes while the drive brakes, the torque is taken away: a permit that comes back
// counts only when it begins anew after that, so that the next end of a permit cannot begin the time anew.
func (b *block) safeStop() {
	b.add("on", "{permit} && (pre([on]) || began({permit}) && !pre(@))")
	b.add("", fmt.Sprintf("[on] || pre(@) && within(%s, [on])%s", durationText(b.spec.Limit), b.and("!%s", "standstill")))
	b.add("brake", "@ && ![on]")
}

// feedback switches the contactors on when the command begins while all of them are seen dropped out. When command and
// feedback contradict each other for the limit, they are switched off, and stay so until the fault is reset with the
// contactors dropped out through the whole press, if there is a button (ISO 13849-1:2023, annex E; ISO 13849-2:2012; both
// from memory).
func (b *block) feedback() {
	stays := "pre([fault])"
	if b.spec.Button.IsZero() && !b.spec.Valid.IsZero() {
		b.problem(b.path+".valid", "valid is about the signal of the button, and there is none: state button, or leave it out")
		return
	}
	if !b.spec.Button.IsZero() {
		stays += " && !({feedback} && " + b.accepted("{feedback}") + ")"
	}
	b.add("wanted", "{command} && !pre([fault]) && (pre(@) || began({command}) && {feedback})")
	b.add("fault", fmt.Sprintf("held(%s, [wanted] == {feedback}) || %s", durationText(b.spec.Limit), stays))
	b.add("", "[wanted] && ![fault]")
}
