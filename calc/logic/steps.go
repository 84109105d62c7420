package logic

import (
	"fmt"
	"time"
)

// Cycle is the time of one step of the controller.
type Cycle time.Duration

// Steps is a time turned into steps, with how it was rounded.
type Steps struct {
	// N is the number of steps.
	N int
	// Asked is the time that was to be kept, and Real the time of N steps.
	Asked, Real time.Duration
	// Lower tells that Asked is a lower limit, rounded up; otherwise it is an upper limit, rounded down.
	Lower bool
}

// AtLeast turns a lower limit (must have lasted, locked for at least) into steps, rounded up: N steps last no shorter. A time
// that is negative, a cycle that is not positive, and more steps than a window can have are errors.
func (c Cycle) AtLeast(t time.Duration) (Steps, error) { return c.steps(t, true) }

// AtMost turns an upper limit (must happen within, pulse at most) into steps, rounded down: N steps last no longer. An upper
// limit shorter than the cycle gives no step and is an error: no step of this controller can keep it.
func (c Cycle) AtMost(t time.Duration) (Steps, error) {
	s, err := c.steps(t, false)
	if err == nil && s.N == 0 {
		return Steps{}, fmt.Errorf("upper limit %v is shorter than one cycle of %v; the controller can't see it", t, time.Duration(c))
	}
	return s, err
}

func (c Cycle) steps(t time.Duration, lower bool) (Steps, error) {
	switch {
	case c <= 0:
		return Steps{}, fmt.Errorf("cycle %v is not positive; give the time of one scan", time.Duration(c))
	case t < 0:
		return Steps{}, fmt.Errorf("time %v is negative", t)
	}
	n := t / time.Duration(c)
	if lower && t%time.Duration(c) != 0 {
		n++
	}
	if n >= maxWindow {
		return Steps{}, fmt.Errorf("time %v is %d cycles of %v, more than %d", t, n, time.Duration(c), maxWindow-1)
	}
	return Steps{N: int(n), Asked: t, Real: n * time.Duration(c), Lower: lower}, nil
}

// String tells the rounding, as "at least 50ms = 13 steps (52ms)".
func (s Steps) String() string {
	limit := "at most"
	if s.Lower {
		limit = "at least"
	}
	return fmt.Sprintf("%s %v = %d steps (%v)", limit, s.Asked, s.N, s.Real)
}
