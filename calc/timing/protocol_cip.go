package timing

import (
	"fmt"
	"math"

	"github.com/guardwright/guardwright/model"
)

// tick is the unit of all times of CIP Safety, 128 µs (read in public protocol implementations).
func tick() model.Duration { return 128e-6 }

// driftUnit is 128 µs over 400 ppm: the time after which two clocks of ±200 ppm differ by one tick.
func driftUnit() model.Duration { return 0.32 }

// highestTimeoutMultiplier of CIP Safety (read in public protocol implementations).
const highestTimeoutMultiplier = 4

// ageRounding is a part of a tick that only comes from rounding in a sum of float64 numbers.
const ageRounding = 1e-9

// NetworkTimeExpectation are the quantities that the smallest network time expectation of a CIP Safety connection follows from.
type NetworkTimeExpectation struct {
	// Interval is the packet interval, 100 µs to 1 s.
	Interval model.Duration
	// TimeoutMultiplier is 1 to 4.
	TimeoutMultiplier int
	// PingMultiplier is the number of packet intervals between time coordinations, 1 to 999.
	PingMultiplier int
	// Message is the longest time of a data message.
	Message model.Duration
	// Coordination is the longest time of a time coordination message.
	Coordination model.Duration
	// CoordinationMinimum is the time coordination minimum multiplier, 0 to 7813.
	CoordinationMinimum int
}

// Drift is the time drift constant in ticks: (TM + 1)·EPI·P / 320 ms, rounded up, at least 1 (read in comments of public protocol
// implementations).
func (n NetworkTimeExpectation) Drift() int {
	ticks := float64(n.TimeoutMultiplier+1) * float64(n.Interval) * float64(n.PingMultiplier) / float64(driftUnit())
	return max(1, int(math.Ceil(ticks-ageRounding)))
}

// Correction is the connection correction constant in ticks: the drift, one more, less the coordination minimum (read in the same place).
func (n NetworkTimeExpectation) Correction() int { return n.Drift() + 1 - n.CoordinationMinimum }

// Smallest is the smallest multiplier of 128 µs for the network time expectation: the next whole number above
// (EPI·TM + message + coordination) / 128 µs + Correction. The condition is from memory, its parts are read. An input or a result outside
// of the legal range is an error.
func (n NetworkTimeExpectation) Smallest() (int, error) {
	if err := n.check(); err != nil {
		return 0, err
	}
	age := float64(n.Interval)*float64(n.TimeoutMultiplier) + float64(n.Message) + float64(n.Coordination)
	bound := age/float64(tick()) + float64(n.Correction())
	// The expectation has to be more than the bound, so a whole bound is not enough.
	multiplier := max(1, math.Floor(bound+ageRounding)+1)
	if multiplier > 45313 {
		return 0, fmt.Errorf("the network time expectation would be %s, wanted at most 45313 steps of 128 µs (5.8 s): shorten the packet interval", (model.Duration(multiplier) * tick()).Format(4))
	}
	return int(multiplier), nil
}

func (n NetworkTimeExpectation) check() error {
	finite := func(d model.Duration) bool { return d >= 0 && !math.IsInf(float64(d), 0) }
	switch {
	case !(n.Interval >= 100e-6 && n.Interval <= 1):
		return fmt.Errorf("found a packet interval of %s, wanted 100 µs to 1 s", n.Interval)
	case n.TimeoutMultiplier < 1 || n.TimeoutMultiplier > highestTimeoutMultiplier:
		return fmt.Errorf("found a timeout multiplier of %d, wanted 1 to %d", n.TimeoutMultiplier, highestTimeoutMultiplier)
	case n.PingMultiplier < 1 || n.PingMultiplier > 999:
		return fmt.Errorf("found a ping interval multiplier of %d, wanted 1 to 999", n.PingMultiplier)
	case n.CoordinationMinimum < 0 || n.CoordinationMinimum > 7813:
		return fmt.Errorf("found a time coordination minimum multiplier of %d, wanted 0 to 7813", n.CoordinationMinimum)
	case !finite(n.Message) || !finite(n.Coordination):
		return fmt.Errorf("found message times of %s and %s, wanted times from 0 s on", n.Message, n.Coordination)
	}
	return nil
}

// DefaultReactionLimit is the connection reaction limit that is usual without a setting of its own: 4 packet intervals
// to the controller, 3 from it (common practice, no source). Nothing here is computed from it.
func DefaultReactionLimit(interval model.Duration, toController bool) model.Duration {
	if toController {
		return 4 * interval
	}
	return 3 * interval
}
