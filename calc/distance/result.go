package distance

import "github.com/guardwright/guardwright/model"

// Input is what the calculation takes beside the machine.
type Input struct {
	// Standard for approaches that state none. Empty: those are not computed, and say so.
	Standard model.DistanceStandard
	// Times of safety functions, by function and demand device. Without an entry there is no distance, but the longest
	// time that a built distance allows is still computed.
	Times map[Demand]Times
	// RunDown is, by function, the longest time from the stop command in the controller until everything that the
	// function stops stands still without braking.
	RunDown map[string]Time
}

// Demand names a safety function and the device whose demand triggers it.
type Demand struct{ Function, Device string }

// Time is a time that may be unknown.
type Time struct {
	Known bool
	// Time is meaningful when Known.
	Time model.Duration
	// Why says what is missing when the time is not known.
	Why string
}

// Times are the times of one safety function after the demand of one device.
type Times struct {
	// Overall is the overall system stopping performance T of ISO 13855: the longest time from the demand until the
	// hazard has ended.
	Overall Time
	// Reaction is the part of it before the drive starts to stop.
	Reaction Time
}

// Result is every separation distance of one machine. It is not changed after [Compute] returns it and may be shared
// between goroutines. Nothing in it is silently absent: a [Check] has a [Status], a pointer is nil where its comment says so.
type Result struct {
	Machine *model.Machine
	// Functions belong to Machine.Functions.
	Functions []*Function
}

// Function is one safety function with the ways to its hazard.
type Function struct {
	Function *model.Function
	// Approaches belong to Function.Approaches.
	Approaches []*Approach
	// Unlock is the delay after which guard locks are released by time, against the longest run-down.
	Unlock Check[model.Duration]
}

// Approach is the way to the hazard past one protective device.
type Approach struct {
	Approach *model.Approach
	// Standard by which the distance is computed; empty when none is stated.
	Standard model.DistanceStandard
	// Times of the safety function; unknown where the input has none.
	Times Times
	// Resolution is the effective detection capability d; zero when it has no meaning here or is not stated.
	Resolution model.Length
	// Reaches are the ways in which the hazard can be reached, each with its distance.
	Reaches []*Reach
	// Governing is the reach with the largest distance; nil when no distance is known.
	Governing *Reach
	// Required is the distance of Governing; zero when there is none.
	Required model.Length
	// Complete is true when the laws of all reaches are known. Otherwise Required is only a lower bound, and Longest only
	// an upper one.
	Complete bool
	// Distance is the built distance against Required. It is NotCovered when the built distance keeps to the reaches that
	// are known, but others are not.
	Distance Check[model.Length]
	// Longest is the longest overall stopping time that the built distance allows, over all known reaches; not known
	// when the distance is not stated, and zero, with Why, when it is too short for any time.
	Longest Time
	// Overall is T against Longest.
	Overall Check[model.Duration]
	// LeftForDrive is what Longest leaves for the stopping of the drive, after the reaction; negative when nothing is left.
	LeftForDrive Time

	// FieldResolution is the resolution against the largest that serves: 40 mm or 70 mm for an orthogonal field, H/15 + 50 mm
	// for a parallel one.
	FieldResolution Check[model.Length]
	// FieldHeight is the height of a parallel field, or of the furthest beam of an angled one, against 1000 mm.
	FieldHeight Check[model.Length]
	// Beneath is the height of the lower edge of the field against the height at which a person can crawl beneath.
	Beneath Check[model.Length]
	// UpperEdge is the height of the upper edge of an orthogonal field against the least height, 900 mm.
	UpperEdge Check[model.Length]
	// MatWidth is the width of a pressure-sensitive mat against the least, 750 mm.
	MatWidth Check[model.Length]
	// Beams are the heights of separate beams against those of the standard.
	Beams BeamHeights
	// Locking says whether an interlocked guard needs guard locking.
	Locking Locking
}

// Way is a way in which a hazard can be reached.
type Way uint8

// The ways to a hazard.
const (
	// Through the detection zone or between beams, at a right angle to it.
	Through Way = iota
	// Over the upper edge of the detection zone.
	Over
	// Along the detection zone, parallel to it.
	Along
	// FromMat, by a step off a pressure-sensitive mat.
	FromMat
	// FromControl, after a two-hand control has been let go.
	FromControl
	// PastGuard, by opening an interlocked guard.
	PastGuard
)

// String returns the way in words.
func (w Way) String() string {
	switch w {
	case Over:
		return "over the detection zone"
	case Along:
		return "along the detection zone"
	case FromMat:
		return "off the mat"
	case FromControl:
		return "from the two-hand control"
	case PastGuard:
		return "past the opened guard"
	}
	return "through the detection zone"
}

// Reach is one way to the hazard with its distance.
type Reach struct {
	Way Way
	// Status is Within when Law holds; NotApplicable when the way is closed by other means; NotCovered when the standard is
	// not certain here; Unknown when data are missing.
	Status Status
	// Law is how the distance depends on the overall stopping time.
	Law Law
	// Distance that the way needs, and Term, what made it; meaningful when HasDistance.
	Distance    model.Length
	HasDistance bool
	Term        Term
	// Longest time that the built distance allows on this way; not known when the distance is not stated, and zero, with
	// Why, when it is too short for any time.
	Longest Time
	// Derivation is the distance with its numbers, as a person would write it down.
	Derivation string
	// Why says what is missing or not certain.
	Why string
}

// BeamHeights compares the heights of separate beams with those of the standard.
type BeamHeights struct {
	// Status is Within when every beam stands at its height.
	Status Status
	// Wanted are the heights of the standard for the number of beams.
	Wanted []model.Length
	// Built are the stated ones.
	Built []model.Length
	Why   string
}

// Locking says whether a guard needs guard locking: it does when a person can reach the hazard before it has ended
// (ISO 14119:2024, 5.2).
type Locking struct {
	// Overall stopping time against Access. Beyond: the guard needs guard locking.
	Overall Check[model.Duration]
	// Access is the time in which a person reaches the hazard: Walk and Opening together; meaningful when Overall is decided.
	Access model.Duration
	// Walk is the built distance at 1600 mm/s.
	Walk model.Duration
	// Opening is the measured time to open the guard; zero when not stated.
	Opening model.Duration
	// Locked is true when the guard has guard locking.
	Locked bool
}
