package distance

import (
	"fmt"

	"github.com/guardwright/guardwright/model"
)

// OrthogonalField is the law for a detection zone at a right angle to the approach, by its resolution d.
//
//   - ISO 13855:2010, 6.2: up to 40 mm S = 2000 mm/s·T + 8·(d - 14 mm) while that is up to 500 mm, beyond it
//     S = 1600 mm/s·T + 8·(d - 14 mm) but not less than 500 mm; at least 100 mm; above 40 mm up to 70 mm
//     S = 1600 mm/s·T + 850 mm. From memory.
//   - ISO 13855:2024: up to 40 mm the same, as far as known. Above that a [NotCoveredError].
//   - 29 CFR 1910.217(c)(3)(iii)(e): S = 63 in/s·T whatever the resolution (read). The regulation means the stopping time of the
//     press at about 90° of the crank; the overall stopping time is longer and on the safe side.
//   - ANSI B11.19, annex D: below 64 mm S = 1600 mm/s·T + 3.4·(d - 7 mm). From memory.
func OrthogonalField(standard model.DistanceStandard, resolution model.Length) (Law, error) {
	if standard == model.CFR1910217 {
		return Law{Speed: pressHandSpeed(), Source: "29 CFR 1910.217(c)(3)(iii)(e)"}, nil
	}
	if !(resolution > 0) {
		return Law{}, fmt.Errorf("found a resolution of %s, wanted one above 0 mm", resolution)
	}
	switch standard {
	case model.ISO13855Edition2010:
		return orthogonal2010(resolution)
	case model.ISO13855Edition2024:
		if resolution > mm(40) {
			return Law{}, notCovered(standard, fmt.Sprintf("the resolution is %s; above 40 mm the 2024 edition has new formulas (one of them for 40 mm to 55 mm) that are not known for certain", resolution))
		}
		law := hands(intrusion(resolution), "ISO 13855:2024, S = K·T + D_DS + Z")
		law.Least = mm(100)
		return law, nil
	case model.ANSIB1119:
		if resolution >= mm(64) {
			return Law{}, notCovered(standard, fmt.Sprintf("the resolution is %s; 3.4·(S - 7 mm) holds below 64 mm", resolution))
		}
		return body(max(0, 3.4*(resolution-mm(7))), "ANSI B11.19, annex D"), nil
	}
	return Law{}, unknownStandard(standard)
}

func orthogonal2010(resolution model.Length) (Law, error) {
	switch {
	case resolution <= mm(40):
		law := hands(intrusion(resolution), "ISO 13855:2010, 6.2")
		law.Least = mm(100)
		return law, nil
	case resolution <= mm(70):
		return body(mm(850), "ISO 13855:2010, 6.2"), nil
	}
	return Law{}, notCovered(model.ISO13855Edition2010, fmt.Sprintf("the resolution is %s; above 70 mm there are only separate beams", resolution))
}

// intrusion is how far a hand gets into a field of resolution d before it is detected: 8·(d - 14 mm), never negative.
func intrusion(resolution model.Length) model.Length { return max(0, 8*(resolution-mm(14))) }

// ParallelField is the law for a detection zone parallel to the approach, at a height H above the floor.
//
//   - ISO 13855:2010, 6.3: S = 1600 mm/s·T + (1200 mm - 0.4·H), bracket at least 850 mm, H from 0 to 1000 mm. From memory.
//   - ISO 13855:2024: S = 1600 mm/s·T + 1200 mm (read in a secondary text).
//
// Whether the resolution suits the height is another question, see [LargestResolution].
func ParallelField(standard model.DistanceStandard, height model.Length) (Law, error) {
	if !(height >= 0) {
		return Law{}, fmt.Errorf("found a height of %s, wanted one from 0 mm on", height)
	}
	switch standard {
	case model.ISO13855Edition2010:
		if height > mm(1000) {
			return Law{}, notCovered(standard, fmt.Sprintf("a parallel field at %s is above 1000 mm", height))
		}
		return body(max(mm(850), mm(1200)-0.4*height), "ISO 13855:2010, 6.3"), nil
	case model.ISO13855Edition2024:
		return body(mm(1200), "ISO 13855:2024, S = K·T + D_DS + Z"), nil
	case model.ANSIB1119, model.CFR1910217:
		return Law{}, notCovered(standard, "the distance of a detection zone parallel to the approach is not known for certain")
	}
	return Law{}, unknownStandard(standard)
}

// LargestResolution is the largest resolution with which a field parallel to the approach still detects a person at a
// height: H/15 + 50 mm (ISO 13855:2010, 6.3, from memory).
func LargestResolution(height model.Length) model.Length { return height/15 + mm(50) }

// AngledField are the laws for a detection zone at an angle to the direction of approach (ISO 13855:2010, 6.4, from memory):
// above 30° that of [OrthogonalField]; below 30° that of [ParallelField] at the height of the beam furthest from the
// hazard. At 30° texts differ, so both hold and the larger distance counts.
func AngledField(standard model.DistanceStandard, angle model.Angle, resolution, furthest model.Length) ([]Law, error) {
	if !(angle >= 0 && angle <= 90) {
		return nil, fmt.Errorf("found an angle of %s, wanted 0° to 90°", angle)
	}
	if standard != model.ISO13855Edition2010 {
		return nil, notCovered(standard, "how the angle of approach counts is not known for certain; an angle of 90° is direction: orthogonal, one of 0° is direction: parallel")
	}
	var laws []Law
	if angle >= 30 {
		law, err := OrthogonalField(standard, resolution)
		if err != nil {
			return nil, err
		}
		laws = append(laws, law)
	}
	if angle <= 30 {
		law, err := ParallelField(standard, furthest)
		if err != nil {
			return nil, err
		}
		laws = append(laws, law)
	}
	return laws, nil
}

// SeparateBeams is the law for separate beams at a right angle to the approach: with two to four
// S = 1600 mm/s·T + 850 mm, with one S = 1600 mm/s·T + 1200 mm (ISO 13855:2010, 6.2, from memory). Other standards are a
// [NotCoveredError].
func SeparateBeams(standard model.DistanceStandard, count int) (Law, error) {
	if standard != model.ISO13855Edition2010 {
		return Law{}, notCovered(standard, "the distance of separate beams is not known for certain")
	}
	switch {
	case count == 1:
		return body(mm(1200), "ISO 13855:2010, 6.2"), nil
	case count >= 2 && count <= 4:
		return body(mm(850), "ISO 13855:2010, 6.2"), nil
	}
	return Law{}, notCovered(standard, fmt.Sprintf("found %d beams; there are formulas for 1 to 4", count))
}

// BeamHeightsFor are the heights of separate beams above the floor for a number of beams from 1 to 4, lowest first; nil for
// other numbers (ISO 13855:2010, annex E; one beam: 6.2; from memory).
func BeamHeightsFor(count int) []model.Length {
	switch count {
	case 1:
		return []model.Length{mm(750)}
	case 2:
		return []model.Length{mm(400), mm(900)}
	case 3:
		return []model.Length{mm(300), mm(700), mm(1100)}
	case 4:
		return []model.Length{mm(300), mm(600), mm(900), mm(1200)}
	}
	return nil
}

// CrawlHeight is the height above which a person can get beneath a detection zone: 300 mm, 200 mm where children have
// access (ISO 13855:2010, 6.3, from memory); 200 mm for ISO 13855:2024 (read in a secondary text).
func CrawlHeight(standard model.DistanceStandard, children bool) (model.Length, error) {
	switch {
	case standard == model.ISO13855Edition2010 && !children:
		return mm(300), nil
	case standard == model.ISO13855Edition2010, standard == model.ISO13855Edition2024 && !children:
		return mm(200), nil
	}
	return 0, notCovered(standard, "the height above which a person can crawl beneath is not known for certain")
}

func unknownStandard(standard model.DistanceStandard) error {
	return fmt.Errorf("found the standard %q, wanted one of %q", standard, standard.Values())
}
