package model

import (
	"slices"

	"github.com/guardwright/guardwright/model/source"
)

// resolveApproaches makes the ways to the hazard, one for each demand device that has one.
func (r *resolver) resolveApproaches(f *Function) {
	if f.FunctionSpec.Approach != nil {
		r.checkApproach(f, f.Path+".approach", f.FunctionSpec.Approach)
	}
	for _, name := range sortedNames(f.FunctionSpec.Approaches) {
		path, spec := source.Join(f.Path, "approaches", name), f.FunctionSpec.Approaches[name]
		if !slices.Contains(f.FunctionSpec.Demand, name) {
			r.problem(path, "%s", unknown("demand device of "+f.Name, name, f.FunctionSpec.Demand))
		}
		r.checkApproach(f, path, &spec)
	}
	for _, d := range f.Demand {
		path := source.Join(f.Path, "approaches", d.Name)
		spec, own := f.FunctionSpec.Approaches[d.Name]
		if !own {
			if f.FunctionSpec.Approach == nil || !keepsAway(d) {
				continue
			}
			path, spec = f.Path+".approach", *f.FunctionSpec.Approach
		}
		a := &Approach{Origin: Origin{Name: d.Name, Path: path, Position: r.at(path)}, ApproachSpec: spec, Device: d}
		a.Arrangement = spec.Arrangement
		if a.Arrangement == "" {
			a.Arrangement = arrangementOf(d, spec)
		}
		a.Hazards = f.Stops
		if len(spec.Hazards) > 0 {
			a.Hazards = nil
			for _, name := range spec.Hazards {
				if h, ok := r.drives[name]; ok && slices.Contains(f.Stops, h) {
					a.Hazards = append(a.Hazards, h)
				}
			}
		}
		f.Approaches = append(f.Approaches, a)
	}
}

func kindOf(d *Device) string {
	if d.Type == nil || d.Type.Kind == nil {
		return ""
	}
	return d.Type.Kind.Name
}

// keepsAway reports whether an approach that is stated for the whole function concerns a device: one of a built-in kind
// that keeps nobody away, such as an emergency stop, it does not.
func keepsAway(d *Device) bool {
	_, builtin := BuiltinKinds()[kindOf(d)]
	return !builtin || arrangementOf(d, ApproachSpec{}) != ""
}

// arrangementOf is what a device of a built-in kind does; empty for other kinds.
func arrangementOf(d *Device, spec ApproachSpec) Arrangement {
	switch kindOf(d) {
	case "light-curtain":
		if len(spec.Beams) > 0 {
			return SeparateBeams
		}
		return DetectionField
	case "laser-scanner":
		return DetectionField
	case "pressure-mat":
		return PressureMat
	case "two-hand-control":
		return TwoHandControl
	case "guard-switch", "guard-lock":
		return InterlockedGuard
	}
	return ""
}

// checkApproach checks what is wrong whatever the standard.
func (r *resolver) checkApproach(f *Function, path string, a *ApproachSpec) {
	switch {
	case a.Angle == nil && a.Direction == Angled:
		r.problem(path, "an angled approach needs its angle, such as 45°")
	case a.Angle != nil && a.Direction != Angled:
		r.problem(path+".angle", "an angle belongs to direction: angled")
	case a.Angle != nil && *a.Angle > 90:
		r.problem(path+".angle", "found %s, wanted the angle between the field and the direction of approach, 0° to 90°", *a.Angle)
	}
	if a.LowerEdge != nil && a.UpperEdge != nil && *a.LowerEdge > *a.UpperEdge {
		r.problem(path+".lower_edge", "found %s, which is above the upper edge at %s", *a.LowerEdge, *a.UpperEdge)
	}
	for i := 1; i < len(a.Beams); i++ {
		if a.Beams[i] <= a.Beams[i-1] {
			r.problem(index(path+".beams", i), "the height %s is not above the one before, %s; list the beams from the floor up", a.Beams[i], a.Beams[i-1])
		}
	}
	r.checkOpening(path, a)
	if (a.EngagingPoints != 0) != (a.RevolutionTime != 0) {
		r.problem(path, "engaging_points and revolution_time belong together: both describe a full-revolution clutch")
	}
	listOf(r, path+".hazards", "drive", a.Hazards, r.drives)
	for i, name := range a.Hazards {
		if h, ok := r.drives[name]; ok && !slices.Contains(f.Stops, h) {
			r.problem(index(path+".hazards", i), "%s is not among the drives that %s stops", name, f.Name)
		}
	}
}

func (r *resolver) checkOpening(path string, a *ApproachSpec) {
	if a.Opening == 0 {
		if a.OpeningShape != "" || a.OpeningLength != 0 {
			r.problem(path, "there is a shape or a length of an opening but no opening; say opening, its width")
		}
		return
	}
	switch {
	case a.OpeningLength == 0:
	case a.OpeningShape == SquareOpening || a.OpeningShape == RoundOpening:
		r.problem(path+".opening_length", "only a slot has a length; this opening is %s", a.OpeningShape)
	case a.OpeningLength < a.Opening:
		r.problem(path+".opening_length", "found %s, which is shorter than the slot is wide, %s", a.OpeningLength, a.Opening)
	}
}
