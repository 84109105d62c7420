package distance

import (
	"fmt"
	"slices"

	"github.com/guardwright/guardwright/model"
)

const noStandard = "no standard is stated; say standard, such as ISO 13855:2010"

// conditions checks what a standard asks of an arrangement beside its distance.
func (a *Approach) conditions() {
	const none = "the arrangement has no such limit"
	a.FieldResolution, a.FieldHeight = idle[model.Length](none), idle[model.Length](none)
	a.Beneath, a.UpperEdge, a.MatWidth = idle[model.Length](none), idle[model.Length](none), idle[model.Length](none)
	a.Beams = BeamHeights{Status: NotApplicable, Why: none}
	a.Locking.Overall = idle[model.Duration](none)
	spec := a.Approach
	switch spec.Arrangement {
	case model.DetectionField:
		a.fieldConditions()
	case model.SeparateBeams:
		a.Beams = beamHeights(a.Standard, spec.Beams)
	case model.PressureMat:
		a.MatWidth = a.matWidth()
	case model.InterlockedGuard:
		a.Locking = a.locking()
	}
}

// fieldConditions are those of a detection zone. A parallel field and an angled one below 30° have to detect a leg at
// their height.
func (a *Approach) fieldConditions() {
	spec := a.Approach
	lower := spec.LowerEdge
	along := spec.Direction == model.Parallel || spec.Direction == model.Angled && spec.Angle != nil && *spec.Angle <= 30
	if spec.Direction == model.Parallel && lower == nil {
		lower = spec.Height
	}
	if along {
		a.FieldHeight = a.by2010(spec.Height, "height", func(h model.Length) Check[model.Length] {
			return atMost(h, mm(1000), "highest parallel field (ISO 13855:2010, 6.3, 6.4)")
		})
		a.FieldResolution = a.by2010(lower, "lower_edge", func(h model.Length) Check[model.Length] {
			if a.Resolution == 0 {
				return unknown[model.Length]("the resolution is not stated")
			}
			return atMost(a.Resolution, LargestResolution(h), "H/15 + 50 mm (ISO 13855:2010, 6.3)")
		})
	}
	if spec.Direction == model.Orthogonal || spec.Direction == model.Angled && !along {
		a.UpperEdge = a.by2010(spec.UpperEdge, "upper_edge", func(h model.Length) Check[model.Length] {
			return atLeast(h, mm(900), "lowest upper edge (ISO 13855:2010, 6.5)")
		})
		a.FieldResolution = a.orthogonalResolution()
	}
	a.Beneath = a.beneath(lower)
}

// by2010 makes a check that only the 2010 edition is known for, of a height that may not be stated.
func (a *Approach) by2010(height *model.Length, key string, make func(model.Length) Check[model.Length]) Check[model.Length] {
	switch {
	case a.Standard == "":
		return unknown[model.Length](noStandard)
	case height == nil:
		return unknown[model.Length](fmt.Sprintf("the height is not stated; say %s", key))
	case a.Standard != model.ISO13855Edition2010:
		return Check[model.Length]{Status: NotCovered, Value: *height, Why: string(a.Standard) + ": the limit is not known for certain"}
	}
	return make(*height)
}

func (a *Approach) orthogonalResolution() Check[model.Length] {
	limits := map[model.DistanceStandard]model.Length{
		model.ISO13855Edition2010: mm(70), model.ISO13855Edition2024: mm(40),
	}
	limit, ok := limits[a.Standard]
	switch {
	case a.Resolution == 0:
		return unknown[model.Length]("the resolution is not stated")
	case a.Standard == "":
		return unknown[model.Length](noStandard)
	case !ok || a.Standard == model.ISO13855Edition2024 && a.Resolution > limit:
		return Check[model.Length]{Status: NotCovered, Value: a.Resolution, Why: fmt.Sprintf("%s: the largest resolution is not known for certain", a.Standard)}
	}
	return atMost(a.Resolution, limit, "largest resolution for which there is a distance")
}

// beneath checks whether a person can get beneath the field.
func (a *Approach) beneath(lower *model.Length) Check[model.Length] {
	limit, err := CrawlHeight(a.Standard, a.Approach.Children)
	switch {
	case lower == nil:
		return unknown[model.Length]("the height of the lower edge is not stated; say lower_edge")
	case a.Standard == "":
		return unknown[model.Length](noStandard)
	case err != nil:
		return Check[model.Length]{Status: NotCovered, Value: *lower, Why: err.Error()}
	}
	return atMost(*lower, limit, "height from which a person can crawl beneath ("+string(a.Standard)+")")
}

func (a *Approach) matWidth() Check[model.Length] {
	width := a.Approach.Width
	if width == 0 {
		return unknown[model.Length]("the width of the mat is not stated; say width")
	}
	return a.by2010(&width, "width", func(w model.Length) Check[model.Length] {
		return atLeast(w, mm(750), "least width in the direction of approach (ISO 13855:2010, clause 7)")
	})
}

// beamHeights compares the built heights with those of the standard.
func beamHeights(standard model.DistanceStandard, built []model.Length) BeamHeights {
	b := BeamHeights{Built: built, Wanted: BeamHeightsFor(len(built))}
	switch {
	case len(built) == 0:
		b.Why = "the heights of the beams are not stated; say beams"
	case standard == "":
		b.Why = noStandard
	case standard != model.ISO13855Edition2010 || b.Wanted == nil:
		b.Status, b.Why = NotCovered, string(standard)+": the heights of so many beams are not known for certain"
	case slices.Equal(built, b.Wanted):
		b.Status = Within
	default:
		b.Status, b.Why = Beyond, fmt.Sprintf("found %v, wanted %v", built, b.Wanted)
	}
	return b
}

// locking checks whether a person who opens the guard reaches the hazard before it has ended.
func (a *Approach) locking() Locking {
	spec := a.Approach
	l := Locking{Opening: spec.OpeningTime, Locked: locked(spec.Device)}
	switch {
	case spec.Distance == 0:
		l.Overall = unknown[model.Duration]("the built distance is not stated; say distance")
		return l
	case !a.Times.Overall.Known:
		l.Overall = unknown[model.Duration](a.Times.Overall.Why)
		return l
	}
	l.Walk = model.Duration(float64(spec.Distance) / float64(walkingSpeed()))
	l.Access = l.Walk + l.Opening
	l.Overall = atMost(a.Times.Overall.Time, l.Access, "time in which a person reaches the hazard at 1600 mm/s; a guard that can be passed sooner needs guard locking (ISO 14119:2024, 5.2)")
	if l.Overall.Margin == 0 {
		l.Overall.Status = Beyond
	}
	return l
}
