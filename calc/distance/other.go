package distance

import (
	"fmt"

	"github.com/guardwright/guardwright/model"
)

// PressureMat is the law for a pressure-sensitive mat or floor on a step of the given height, zero on the floor itself:
// S = 1600 mm/s·T + (1200 mm - 0.4·h), for h up to 1000 mm (ISO 13855:2010, clause 7, from memory). The bracket is not taken below the
// 850 mm of a parallel field. Other standards are a [NotCoveredError].
func PressureMat(standard model.DistanceStandard, step model.Length) (Law, error) {
	switch {
	case !(step >= 0):
		return Law{}, fmt.Errorf("found a step of %s, wanted a height from 0 mm on", step)
	case standard != model.ISO13855Edition2010:
		return Law{}, notCovered(standard, "the distance of pressure-sensitive mats is not known for certain")
	case step > mm(1000):
		return Law{}, notCovered(standard, fmt.Sprintf("a step of %s is above 1000 mm", step))
	}
	return body(max(mm(850), mm(1200)-0.4*step), "ISO 13855:2010, clause 7"), nil
}

// TwoHandControl is the law for a two-hand control device.
//
//   - ISO 13855:2010, clause 8: S = 1600 mm/s·T + 250 mm; with shrouds that keep the hands from moving on while the command
//     lasts, S = 1600 mm/s·T, at least 100 mm. From memory.
//   - ISO 13855:2024: S = 1600 mm/s·T + 550 mm (read in a secondary text). With shrouds a [NotCoveredError].
//   - 29 CFR 1910.217(c)(3)(vii)(c) and (viii)(c): S = 63 in/s·T (read), shrouds or not. For a full-revolution clutch T is
//     [FullRevolutionTime].
func TwoHandControl(standard model.DistanceStandard, shrouded bool) (Law, error) {
	switch standard {
	case model.ISO13855Edition2010:
		if shrouded {
			return Law{Speed: walkingSpeed(), Least: mm(100), Source: "ISO 13855:2010, clause 8"}, nil
		}
		return body(mm(250), "ISO 13855:2010, clause 8"), nil
	case model.ISO13855Edition2024:
		if shrouded {
			return Law{}, notCovered(standard, "how shrouds of a two-hand control count is not known for certain; without shrouded the supplement is 550 mm")
		}
		return body(mm(550), "ISO 13855:2024, S = K·T + D_DS + Z"), nil
	case model.CFR1910217:
		return Law{Speed: pressHandSpeed(), Source: "29 CFR 1910.217(c)(3)(vii)(c) and (viii)(c)"}, nil
	case model.ANSIB1119:
		return Law{}, notCovered(standard, "the supplement of two-hand controls is not known for certain")
	}
	return Law{}, unknownStandard(standard)
}

// InterlockedGuard is the law for an interlocked guard without guard locking: S = 1600 mm/s·T + C, C being the safety distance
// of the opening that is there when the stop is commanded, see [OpeningDistance], or zero (ISO 13855:2010, clause 9, from memory).
// The time to open the guard is not taken off T: readings of the clause differ. Other standards are a [NotCoveredError].
func InterlockedGuard(standard model.DistanceStandard, opening model.Length) (Law, error) {
	switch {
	case !(opening >= 0):
		return Law{}, fmt.Errorf("found a safety distance of %s, wanted one from 0 mm on", opening)
	case standard != model.ISO13855Edition2010:
		return Law{}, notCovered(standard, "the distance of interlocked guards is not known for certain")
	}
	return body(opening, "ISO 13855:2010, clause 9"), nil
}

// FullRevolutionTime is the longest time T_m in which a press with a full-revolution clutch closes after it has been tripped:
// (1/2 + 1/N)·t, N being the number of engaging points and t the time of one revolution (29 CFR 1910.217(c)(3)(viii)(c), read).
func FullRevolutionTime(engagingPoints int, revolution model.Duration) (model.Duration, error) {
	if engagingPoints < 1 || !(revolution > 0) {
		return 0, fmt.Errorf("found %d engaging points and a revolution in %s, wanted at least 1 point and a time above 0 s", engagingPoints, revolution)
	}
	return model.Duration((0.5 + 1/float64(engagingPoints)) * float64(revolution)), nil
}

// PresenceSensingInitiation is the safety distance of a press that a presence sensing device starts:
// 63 in/s·(Ts + Tp + Tr + 2·Tm) + Dp, of the stopping time, the response of the press control, the response of the device, the increase
// of the stopping time that the brake monitor allows, and the penetration (29 CFR 1910.217(h)(9)(v); the factor 2 read, the rest from memory).
func PresenceSensingInitiation(stopping, control, device, monitor model.Duration, penetration model.Length) model.Length {
	return model.Length(float64(pressHandSpeed())*float64(stopping+control+device+2*monitor)) + penetration
}
