package timing

import "math"

// Status says how a computed value stands to its limit, and which fields of a [Check] hold something. The zero
// value is Unknown, so that a check that nobody made can't be taken for a passed one.
type Status uint8

// The statuses. Why is set for all but Within and Beyond.
const (
	// Unknown: data are missing. Value, Limit and Margin are meaningless.
	Unknown Status = iota
	// NotApplicable: there is nothing to check here. Value, Limit and Margin are meaningless.
	NotApplicable
	// NotCovered: Value is computed or stated, but the limit depends on something that the method does not cover, or
	// for which the text of a standard is not certain. Limit and Margin are meaningless.
	NotCovered
	// NoLimit: Value is computed or stated, and the description states no limit for it. Limit and Margin are meaningless.
	NoLimit
	// Within: Value keeps to Limit; Margin is zero or more.
	Within
	// Beyond: Value violates Limit; Margin is negative, or zero where Value has to differ from Limit.
	Beyond
)

// String returns the status in words.
func (s Status) String() string {
	switch s {
	case NotApplicable:
		return "not applicable"
	case NotCovered:
		return "not covered"
	case NoLimit:
		return "no limit stated"
	case Within:
		return "within"
	case Beyond:
		return "beyond"
	}
	return "unknown"
}

// HasValue reports whether a check with this status has a value.
func (s Status) HasValue() bool { return s >= NotCovered }

// Decided reports whether a check with this status has a value, a limit and a margin.
func (s Status) Decided() bool { return s == Within || s == Beyond }

// Check is a computed or stated quantity with the limit that applies to it. Which fields hold something depends on Status.
type Check[Q ~float64] struct {
	Status Status
	// Value is the quantity that is checked.
	Value Q
	// Limit is the highest, or for a check of a lower limit the lowest, permitted value.
	Limit Q
	// Margin is what is left to the limit, in the unit of Value: positive inside, negative beyond it.
	Margin Q
	// Limits says in words what Limit is and where it comes from.
	Limits string
	// Why says, where there is no limit or no value, what is missing and what to state.
	Why string
}

// OK reports whether the check is decided and passed.
func (c Check[Q]) OK() bool { return c.Status == Within }

// atMost checks value against an upper limit.
func atMost[Q ~float64](value, limit Q, limits string) Check[Q] {
	return decided(value, limit, limit-value, limits)
}

// atLeast checks value against a lower limit.
func atLeast[Q ~float64](value, limit Q, limits string) Check[Q] {
	return decided(value, limit, value-limit, limits)
}

// decided makes a check that has a margin. A margin that only comes from rounding in a sum of float64 numbers is zero, so
// that what was built exactly to its limit passes.
func decided[Q ~float64](value, limit, margin Q, limits string) Check[Q] {
	const rounding = 1e-12
	if math.Abs(float64(margin)) <= rounding*max(math.Abs(float64(value)), math.Abs(float64(limit))) {
		margin = 0
	}
	c := Check[Q]{Status: Beyond, Value: value, Limit: limit, Margin: margin, Limits: limits}
	if margin >= 0 {
		c.Status = Within
	}
	return c
}

// unknown is a check for which data are missing.
func unknown[Q ~float64](why string) Check[Q] { return Check[Q]{Why: why} }

// idle is a check that has no meaning here.
func idle[Q ~float64](why string) Check[Q] { return Check[Q]{Status: NotApplicable, Why: why} }

// moreThan checks value against a lower limit that it has to exceed.
func moreThan[Q ~float64](value, limit Q, limits string) Check[Q] {
	c := decided(value, limit, value-limit, limits)
	if c.Margin == 0 {
		c.Status = Beyond
	}
	return c
}
