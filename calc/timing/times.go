package timing

import (
	"fmt"
	"slices"
	"strings"

	"github.com/guardwright/guardwright/model"
)

func known(t model.Duration) Time { return Time{Known: true, Time: t} }

func missing(format string, args ...any) Time { return Time{Why: fmt.Sprintf(format, args...)} }

// stated is a time that a description states, or the reason why it is not known.
func stated(t model.Duration, format string, args ...any) Time {
	if t > 0 {
		return known(t)
	}
	return missing(format, args...)
}

// plus adds two times.
func (t Time) plus(u Time) Time { return sum(t, u).time() }

// sum adds times; what is missing is listed once each, in order.
func sum(times ...Time) Total {
	out := Total{Known: true}
	var why []string
	for _, t := range times {
		if t.Known {
			out.AtLeast += t.Time
			continue
		}
		out.Known = false
		if !slices.Contains(why, t.Why) {
			why = append(why, t.Why)
		}
	}
	if out.Known {
		out.Time = out.AtLeast
	}
	out.Why = strings.Join(why, "; ")
	return out
}

func (t Total) time() Time {
	if t.Known {
		return known(t.Time)
	}
	return Time{Why: t.Why}
}
