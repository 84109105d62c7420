package distance

import (
	"math"

	"github.com/guardwright/guardwright/model"
)

// Law is how a separation distance S depends on the overall stopping time T:
//
//	S = max(Least, Speed·T + Supplement) + Extra
//
// With a Near speed there are two steps: S = max(Least, Near·T + Supplement) holds while it does not exceed Change; beyond
// that S = max(Change, Speed·T + Supplement). Extra is always added last. The zero value is no law.
type Law struct {
	// Speed is the approach speed K, of the second step where there are two.
	Speed model.Speed
	// Near is the approach speed of the first step; zero where there is only one.
	Near model.Speed
	// Change is the distance up to which the first step holds.
	Change model.Length
	// Supplement is C of ISO 13855:2010, D_DS of the 2024 edition, D_pf of ANSI B11.19.
	Supplement model.Length
	// Least is the smallest permitted distance.
	Least model.Length
	// Extra is what is added whatever the time, Z of ISO 13855:2024.
	Extra model.Length
	// Source is the standard and clause that the law comes from.
	Source string
}

// Term is the part of a [Law] that made a distance.
type Term uint8

// The terms.
const (
	// NoTerm: there is no distance.
	NoTerm Term = iota
	// LeastTerm: the smallest permitted distance.
	LeastTerm
	// NearTerm: the first step, with the higher approach speed.
	NearTerm
	// ChangeTerm: the first step is past its end, and the second still below it.
	ChangeTerm
	// SpeedTerm: the only step, or the second.
	SpeedTerm
)

// String returns the term in words.
func (t Term) String() string {
	switch t {
	case LeastTerm:
		return "smallest permitted distance"
	case NearTerm:
		return "first step"
	case ChangeTerm:
		return "change-over between the steps"
	case SpeedTerm:
		return "approach speed"
	}
	return "none"
}

// at is speed·t + Supplement.
func (l Law) at(speed model.Speed, t model.Duration) model.Length {
	return model.Length(float64(speed)*float64(t)) + l.Supplement
}

// Distance returns the separation distance for an overall stopping time, and what made it. It never falls when t grows.
func (l Law) Distance(t model.Duration) (model.Length, Term) {
	s, term := l.at(l.Speed, t), SpeedTerm
	if l.Near > 0 {
		if near := l.at(l.Near, t); near <= l.Change {
			s, term = near, NearTerm
		} else if s < l.Change {
			s, term = l.Change, ChangeTerm
		}
	}
	if s < l.Least {
		s, term = l.Least, LeastTerm
	}
	return s + l.Extra, term
}

// Longest returns the longest overall stopping time for which a distance suffices; false when it suffices for none, and
// infinite for a law without a speed. In a
// law with two steps it jumps where the distance reaches Change, because every time of the change-over gives the same
// distance there: for 14 mm resolution from 0.25 s just below 500 mm to 0.3125 s at 500 mm.
func (l Law) Longest(s model.Length) (model.Duration, bool) {
	s -= l.Extra
	speed := l.Speed
	if l.Near > 0 && s < l.Change {
		speed = l.Near
	}
	switch {
	case s < l.Least || s < l.Supplement:
		return 0, false
	case speed <= 0:
		return model.Duration(math.Inf(1)), true
	}
	return model.Duration(float64(s-l.Supplement) / float64(speed)), true
}
