package network

// Status says how a computed value stands to its limit, and which fields of a [Check] hold something. The zero
// value is Unknown, so that a check that nobody made can't be taken for a passed one.
type Status uint8

// The statuses. Why is set for all but Within and Beyond.
const (
	// Unknown: the value could not be computed. Value, Limit and Margin are meaningless.
	Unknown Status = iota
	// Unbounded: there is no finite value, such as the delay at a port that gets more than it can send. Value and
	// Margin are meaningless.
	Unbounded
	// NotCovered: Value is computed, but the limit depends on data that the description does not state.
	// Limit and Margin are meaningless.
	NotCovered
	// NoLimit: Value is computed, and nothing states a limit for it. Limit and Margin are meaningless.
	NoLimit
	// Within: Value keeps to Limit; Margin is zero or more.
	Within
	// Beyond: Value violates Limit; Margin is negative.
	Beyond
)

// String returns the status in words.
func (s Status) String() string {
	switch s {
	case Unbounded:
		return "unbounded"
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

// HasValue reports whether a check with this status has a computed value.
func (s Status) HasValue() bool { return s > Unbounded }

// Decided reports whether a check with this status has a value, a limit and a margin.
func (s Status) Decided() bool { return s == Within || s == Beyond }

// Number is what a [Check] can hold: a count or a quantity of package model.
type Number interface{ ~int | ~float64 }

// Check is a computed number with the limit that applies to it. Which fields hold something depends on Status.
type Check[Q Number] struct {
	Status Status
	// Value is the computed number, in the state of the network that is worst for this check.
	Value Q
	// Limit is the highest permitted value.
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
func atMost[Q Number](value, limit Q, limits string) Check[Q] {
	c := Check[Q]{Status: Beyond, Value: value, Limit: limit, Margin: limit - value, Limits: limits}
	if c.Margin >= 0 {
		c.Status = Within
	}
	return c
}

// below checks value against an upper limit that it must not reach.
func below[Q Number](value, limit Q, limits string) Check[Q] {
	c := atMost(value, limit, limits)
	if c.Margin == 0 {
		c.Status = Beyond
	}
	return c
}

// unlimited is a value for which no limit is stated.
func unlimited[Q Number](value Q, why string) Check[Q] {
	return Check[Q]{Status: NoLimit, Value: value, Why: why}
}

// uncovered is a value whose limit can't be told.
func uncovered[Q Number](value Q, why string) Check[Q] {
	return Check[Q]{Status: NotCovered, Value: value, Why: why}
}

// unbounded is a check of what grows without end.
func unbounded[Q Number](why string) Check[Q] { return Check[Q]{Status: Unbounded, Why: why} }

// unknown is a check without a value.
func unknown[Q Number](why string) Check[Q] { return Check[Q]{Why: why} }
