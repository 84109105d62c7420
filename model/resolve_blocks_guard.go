package model

import (
	"fmt"
	"strings"
)

// guardLock frees the guard when that is asked for, without permit, at standstill or after the time (ISO 14119:2024, 5.3,
// from memory). It stays free until the request is withdrawn and the guard is closed. An open guard is freed by itself at
// standstill, so that it can be shut; in motion it is not, because a lost signal reads as an open guard. The escape release
// frees at all times.
func (b *block) guardLock() {
	if b.spec.Standstill.IsZero() && b.spec.After == 0 {
		b.problem(b.path, "a guard is freed at standstill or after a time: state standstill or after, or both")
		return
	}
	device, word, _ := strings.Cut(b.name, ".")
	if d, ok := b.devices[device]; !ok || word != "release" || kindOf(d) != "guard-lock" {
		b.problem(b.path, "a block of kind guard-lock has the name of the signal that it gives, such as g1.release of a guard-lock g1")
		return
	}
	var stopped []string
	if !b.spec.Standstill.IsZero() {
		stopped = append(stopped, "{standstill}")
	}
	if b.spec.After != 0 {
		stopped = append(stopped, fmt.Sprintf("held(%s, !{running})", durationText(b.spec.After)))
	}
	text := "[asked] && !{running} && (pre(@) || " + strings.Join(stopped, " && ") + ")"
	if !b.spec.Escape.IsZero() {
		text += " || {escape}"
	}
	b.add("asked", "{request} || !"+device+".closed")
	b.add("", text)
}
