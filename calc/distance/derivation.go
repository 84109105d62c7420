package distance

import (
	"fmt"

	"github.com/guardwright/guardwright/model"
)

// Derivation writes out how the law makes a distance from a time, such as
// "1600 mm/s · 320 ms + 128 mm = 640 mm".
func (l Law) Derivation(t model.Duration) string {
	s, term := l.Distance(t)
	text := ""
	switch term {
	case NearTerm:
		text = l.product(l.Near, t)
	case SpeedTerm:
		text = l.product(l.Speed, t)
		if l.Near > 0 {
			text += fmt.Sprintf(" (at %s more than %s)", l.Near, l.Change)
		}
	case ChangeTerm:
		text = fmt.Sprintf("%s, as %s is more and %s less", l.Change, l.product(l.Near, t), l.product(l.Speed, t))
	case LeastTerm:
		speed := l.Speed
		if l.Near > 0 {
			speed = l.Near
		}
		text = fmt.Sprintf("%s, the least, as %s", l.Least, l.product(speed, t))
	}
	if l.Extra != 0 {
		text += fmt.Sprintf("; + %s = %s", l.Extra, s.Format(6))
	}
	return text + "; " + l.Source
}

// product is speed·t + Supplement with its value.
func (l Law) product(speed model.Speed, t model.Duration) string {
	value := l.at(speed, t).Format(6)
	if speed == 0 {
		return value
	}
	text := fmt.Sprintf("%s · %s", speed.Format(6), t.Format(6))
	if l.Supplement != 0 {
		text += " + " + l.Supplement.Format(6)
	}
	return text + " = " + value
}
