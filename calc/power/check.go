package power

import "github.com/guardwright/guardwright/model"

// Status says how a computed value stands to its limit, and which fields of a [Check] hold something. The zero
// value is Unknown, so that a check that nobody made can't be taken for a passed one.
type Status uint8

// The statuses. Why is set for all but Within and Beyond.
const (
	// Unknown: the value could not be computed. Value, Limit and Margin are meaningless.
	Unknown Status = iota
	// NotCovered: Value is computed, but the limit depends on data or on a table that does not reach this far.
	// Limit and Margin are meaningless.
	NotCovered
	// NoLimit: Value is computed, and the description states no limit for it. Limit and Margin are meaningless.
	NoLimit
	// Within: Value keeps to Limit; Margin is zero or more.
	Within
	// Beyond: Value violates Limit; Margin is negative.
	Beyond
	// NotApplicable: there is nothing to check, see Why. Value, Limit and Margin are meaningless.
	NotApplicable
)

// String returns the status in words.
func (s Status) String() string {
	switch s {
	case NotCovered:
		return "not covered"
	case NoLimit:
		return "no limit stated"
	case Within:
		return "within"
	case Beyond:
		return "beyond"
	case NotApplicable:
		return "not applicable"
	}
	return "unknown"
}

// HasValue reports whether a check with this status has a computed value.
func (s Status) HasValue() bool { return s != Unknown && s != NotApplicable }

// Decided reports whether a check with this status has a value, a limit and a margin.
func (s Status) Decided() bool { return s == Within || s == Beyond }

// Check is a computed quantity with the limit that applies to it. Which fields hold something depends on Status.
type Check[Q ~float64] struct {
	Status Status
	// Value is the computed quantity, at the case that is worst for this check.
	Value Q
	// Limit is the highest, or for a check of a lower limit the lowest, permitted value.
	Limit Q
	// Margin is what is left to the limit, in the unit of Value: positive inside, negative beyond it.
	Margin Q
	// Case is the operating case that gave Value; NoCase where it does not depend on the operating point.
	Case Case
	// Limits says in words what Limit is and where it comes from.
	Limits string
	// Why says, where there is no limit or no value, what is missing and what to state.
	Why string
}

// OK reports whether the check is decided and passed.
func (c Check[Q]) OK() bool { return c.Status == Within }

// atMost checks value against an upper limit.
func atMost[Q ~float64](value, limit Q, at Case, limits string) Check[Q] {
	return decided(value, limit, limit-value, at, limits)
}

// atLeast checks value against a lower limit.
func atLeast[Q ~float64](value, limit Q, at Case, limits string) Check[Q] {
	return decided(value, limit, value-limit, at, limits)
}

func decided[Q ~float64](value, limit, margin Q, at Case, limits string) Check[Q] {
	c := Check[Q]{Status: Beyond, Value: value, Limit: limit, Margin: margin, Case: at, Limits: limits}
	if margin >= 0 {
		c.Status = Within
	}
	return c
}

// unlimited is a value for which no limit is stated.
func unlimited[Q ~float64](value Q, at Case, why string) Check[Q] {
	return Check[Q]{Status: NoLimit, Value: value, Case: at, Why: why}
}

// uncovered is a value whose limit can't be told.
func uncovered[Q ~float64](value Q, at Case, why string) Check[Q] {
	return Check[Q]{Status: NotCovered, Value: value, Case: at, Why: why}
}

// unknown is a check without a value.
func unknown[Q ~float64](why string) Check[Q] { return Check[Q]{Why: why, Case: NoCase} }

// inapplicable is a check of something that is not there.
func inapplicable[Q ~float64](why string) Check[Q] {
	return Check[Q]{Status: NotApplicable, Why: why, Case: NoCase}
}

// Case is an operating case of the supply: which voltage, which conductor temperature and which loads.
type Case uint8

// The operating cases.
const (
	// Lowest: supplies at their lowest voltage, hot conductors, all loads on.
	Lowest Case = iota
	// Highest: supplies at their highest voltage, cold conductors, only permanent loads on.
	Highest
	// HighestLoaded: supplies at their highest voltage, cold conductors, all loads on. Resistive loads draw most here.
	HighestLoaded
	// Nominal: supplies at their nominal voltage, conductors at 20 °C, all loads on.
	Nominal
	// Pulling: as Lowest, with every magnet that has a pull-in voltage drawing its inrush current.
	Pulling

	// NoCase marks a value that does not belong to an operating case.
	NoCase Case = 255
)

const numCases = 5

// AllCases lists the operating cases in their fixed order.
func AllCases() []Case { return []Case{Lowest, Highest, HighestLoaded, Nominal, Pulling} }

// String returns the name of the case.
func (c Case) String() string {
	switch c {
	case Lowest:
		return "lowest"
	case Highest:
		return "highest"
	case HighestLoaded:
		return "highest, all loads"
	case Nominal:
		return "nominal"
	case Pulling:
		return "magnets pulling"
	}
	return ""
}

// About returns a sentence on the supply voltage, the conductor temperature and the loads of the case.
func (c Case) About() string {
	switch c {
	case Lowest:
		return "supplies at their lowest voltage, hot conductors, all loads on"
	case Highest:
		return "supplies at their highest voltage, cold conductors, only permanent loads on"
	case HighestLoaded:
		return "supplies at their highest voltage, cold conductors, all loads on"
	case Nominal:
		return "supplies at nominal voltage, conductors at 20 °C, all loads on"
	case Pulling:
		return "supplies at their lowest voltage, hot conductors, all loads on and the magnets pulling"
	}
	return "does not depend on the operating point"
}

// ByCase holds one value for each operating case, indexed by [Case].
type ByCase[T any] [numCases]T

// Point is the state of one place of a circuit in one case. Voltage and Current are meaningless unless Solved.
type Point struct {
	// Solved is false when the case was not asked for or its network has no operating point in it.
	Solved bool
	// Voltage across plus and return at the place.
	Voltage model.Voltage
	// Current into the place: what its own loads draw and what goes on from it.
	Current model.Current
	// Return is the potential of the return conductor at the place, above the supply's 0 V.
	Return model.Voltage
}
