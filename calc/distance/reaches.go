package distance

import (
	"errors"
	"fmt"

	"github.com/guardwright/guardwright/model"
)

// reaches are the ways to the hazard, each with its law or with the reason why there is none.
func reaches(a *Approach) []*Reach {
	spec := a.Approach
	if spec.Arrangement == "" {
		return []*Reach{{Why: "the kind of the device does not say what keeps a person away; say arrangement"}}
	}
	if a.Standard == "" {
		return []*Reach{{Why: noStandard}}
	}
	switch spec.Arrangement {
	case model.DetectionField:
		return fieldReaches(a)
	case model.SeparateBeams:
		return beamReaches(a)
	case model.PressureMat:
		law, err := PressureMat(a.Standard, heightOf(spec.Height))
		return []*Reach{reach(FromMat, law, err)}
	case model.TwoHandControl:
		law, err := TwoHandControl(a.Standard, spec.Shrouded)
		return []*Reach{reach(FromControl, law, err)}
	}
	return []*Reach{guardReach(a)}
}

// reach makes a way from a law.
func reach(way Way, law Law, err error) *Reach {
	r := &Reach{Way: way, Status: Within, Law: law}
	if err == nil {
		return r
	}
	r.Status, r.Law, r.Why = Unknown, Law{}, err.Error()
	if _, ok := errors.AsType[*NotCoveredError](err); ok {
		r.Status = NotCovered
	}
	return r
}

func heightOf(h *model.Length) model.Length {
	if h == nil {
		return 0
	}
	return *h
}

// beamReaches are the ways past separate beams.
func beamReaches(a *Approach) []*Reach {
	beams := a.Approach.Beams
	if len(beams) == 0 {
		return []*Reach{{Way: Through, Why: "the heights of the beams are not stated; say beams"}}
	}
	law, err := SeparateBeams(a.Standard, len(beams))
	through := reach(Through, law, err)
	if len(beams) == 1 {
		return []*Reach{through, {Way: Over, Status: NotApplicable, Why: "the 1200 mm of a single beam cover reaching over, which takes 1200 mm at most"}}
	}
	return []*Reach{through, overReach(a)}
}

// fieldReaches are the ways past a detection zone.
func fieldReaches(a *Approach) []*Reach {
	spec := a.Approach
	switch spec.Direction {
	case model.Orthogonal:
		return []*Reach{throughReach(a), overReach(a)}
	case model.Parallel:
		if spec.Height == nil && a.Standard == model.ISO13855Edition2010 {
			return []*Reach{{Way: Along, Why: "the height of the field is not stated; say height"}}
		}
		law, err := ParallelField(a.Standard, heightOf(spec.Height))
		return []*Reach{reach(Along, law, err)}
	case model.Angled:
		return angledReaches(a)
	}
	return []*Reach{{Why: "the direction of approach is not stated; say direction: orthogonal, parallel or angled"}}
}

func throughReach(a *Approach) *Reach {
	if a.Resolution == 0 && a.Standard != model.CFR1910217 {
		return &Reach{Way: Through, Why: fmt.Sprintf("the resolution is not stated; say resolution at the type of %s", a.Approach.Device.Name)}
	}
	law, err := OrthogonalField(a.Standard, a.Resolution)
	return reach(Through, law, err)
}

func angledReaches(a *Approach) []*Reach {
	spec := a.Approach
	if *spec.Angle <= 30 && spec.Height == nil {
		return []*Reach{{Way: Along, Why: "the height of the beam furthest from the hazard is not stated; say height"}}
	}
	if *spec.Angle >= 30 && a.Resolution == 0 {
		return []*Reach{throughReach(a)}
	}
	laws, err := AngledField(a.Standard, *spec.Angle, a.Resolution, heightOf(spec.Height))
	if err != nil {
		return []*Reach{reach(Through, Law{}, err)}
	}
	var out []*Reach
	if *spec.Angle >= 30 {
		out = append(out, reach(Through, laws[0], nil), overReach(a))
		laws = laws[1:]
	}
	for _, law := range laws {
		out = append(out, reach(Along, law, nil))
	}
	return out
}

// overReach is reaching over the upper edge; that of separate beams is the highest beam.
func overReach(a *Approach) *Reach {
	spec := a.Approach
	edge := upperEdgeOf(spec)
	switch {
	case spec.ReachOver != nil && !*spec.ReachOver:
		return &Reach{Way: Over, Status: NotApplicable, Why: "reaching over is prevented by other means"}
	case spec.HazardHeight == nil || edge == nil:
		return &Reach{Way: Over, Why: "reaching over was not checked: say hazard_height and upper_edge, or reach_over: false where it is prevented by other means"}
	}
	law, err := ReachOver(a.Standard, *spec.HazardHeight, *edge)
	return reach(Over, law, err)
}

func upperEdgeOf(spec *model.Approach) *model.Length {
	if spec.UpperEdge == nil && spec.Arrangement == model.SeparateBeams && len(spec.Beams) > 0 {
		return &spec.Beams[len(spec.Beams)-1]
	}
	return spec.UpperEdge
}

// guardReach is the way past an interlocked guard. Guard locking holds the guard until the hazard has ended, so that
// only the opening that is always there counts, whatever the time.
func guardReach(a *Approach) *Reach {
	spec := a.Approach
	var opening model.Length
	if spec.Opening != 0 {
		if spec.Children {
			return reach(PastGuard, Law{}, notCovered(iso13857, "the distances behind openings for children are not known for certain"))
		}
		var err error
		if opening, err = OpeningDistance(spec.Opening, spec.OpeningShape, spec.OpeningLength); err != nil {
			return reach(PastGuard, Law{}, err)
		}
	}
	if locked(spec.Device) {
		if opening == 0 {
			return &Reach{Way: PastGuard, Status: NotApplicable, Why: "guard locking keeps the guard closed until it is released"}
		}
		return reach(PastGuard, Law{Supplement: opening, Source: iso13857 + ", table 4"}, nil)
	}
	law, err := InterlockedGuard(a.Standard, opening)
	return reach(PastGuard, law, err)
}

func locked(d *model.Device) bool {
	return d.Type != nil && d.Type.Kind != nil && d.Type.Kind.Name == "guard-lock"
}
