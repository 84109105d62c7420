package distance

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/guardwright/guardwright/model"
)

// Compute computes the separation distance of every approach of a machine. The error is about the context or the input;
// what can't be computed about the machine stands in the result.
func Compute(ctx context.Context, m *model.Machine, in Input) (*Result, error) {
	if err := in.check(m); err != nil {
		return nil, err
	}
	r := &Result{Machine: m}
	for _, f := range m.Functions {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		out := &Function{Function: f, Unlock: unlock(f, in)}
		for _, a := range f.Approaches {
			out.Approaches = append(out.Approaches, compute(f, a, in))
		}
		r.Functions = append(r.Functions, out)
	}
	return r, nil
}

// check finds times that belong to nothing and times that are none.
func (in Input) check(m *model.Machine) error {
	if in.Standard != "" && !slices.Contains(in.Standard.Values(), string(in.Standard)) {
		return unknownStandard(in.Standard)
	}
	known := map[Demand]bool{}
	functions := map[string]bool{}
	for _, f := range m.Functions {
		functions[f.Name] = true
		for _, d := range f.Demand {
			known[Demand{f.Name, d.Name}] = true
		}
	}
	var wrong []string
	for key, t := range in.Times {
		switch {
		case !known[key]:
			wrong = append(wrong, fmt.Sprintf("times of %s on demand of %s: the machine has no such safety function with that demand device", key.Function, key.Device))
		case !t.Overall.usable() || !t.Reaction.usable():
			wrong = append(wrong, fmt.Sprintf("times of %s on demand of %s: found %s and %s, wanted times from 0 s on", key.Function, key.Device, t.Overall.Time, t.Reaction.Time))
		}
	}
	for name, t := range in.RunDown {
		switch {
		case !functions[name]:
			wrong = append(wrong, fmt.Sprintf("run-down of %s: the machine has no such safety function", name))
		case !t.usable():
			wrong = append(wrong, fmt.Sprintf("run-down of %s: found %s, wanted a time from 0 s on", name, t.Time))
		}
	}
	if len(wrong) > 0 {
		slices.Sort(wrong)
		return errors.New(strings.Join(wrong, "\n"))
	}
	return nil
}

// usable reports whether a known time is a number from zero on.
func (t Time) usable() bool {
	return !t.Known || t.Time >= 0 && !math.IsInf(float64(t.Time), 0)
}

// compute computes one approach.
func compute(f *model.Function, a *model.Approach, in Input) *Approach {
	out := &Approach{Approach: a, Standard: a.Standard, Resolution: resolutionOf(a)}
	if out.Standard == "" {
		out.Standard = in.Standard
	}
	out.Times = timesOf(f, a, out.Standard, in)
	out.Reaches = reaches(out)
	for _, reach := range out.Reaches {
		reach.evaluate(out)
	}
	out.govern()
	out.compare()
	out.conditions()
	return out
}

// resolutionOf is the resolution as set, or that of the device type, for arrangements that have one.
func resolutionOf(a *model.Approach) model.Length {
	switch {
	case a.Arrangement != model.DetectionField:
		return 0
	case a.Resolution != 0:
		return a.Resolution
	case a.Device.Type != nil:
		return a.Device.Type.Resolution
	}
	return 0
}

// timesOf finds the times. A full-revolution clutch can't be stopped, so there the time is that of the press itself.
func timesOf(f *model.Function, a *model.Approach, standard model.DistanceStandard, in Input) Times {
	t, ok := in.Times[Demand{f.Name, a.Device.Name}]
	if !ok {
		const why = "no reaction time was given to the calculation"
		t = Times{Overall: Time{Why: why}, Reaction: Time{Why: why}}
	}
	if standard == model.CFR1910217 && a.Arrangement == model.TwoHandControl && a.EngagingPoints > 0 {
		closing, err := FullRevolutionTime(a.EngagingPoints, a.RevolutionTime)
		if err != nil {
			t.Overall = Time{Why: err.Error()}
		} else {
			t.Overall = Time{Known: true, Time: closing}
		}
		t.Reaction = Time{Why: "a full-revolution clutch runs to the end: no stop follows a reaction"}
	}
	return t
}

// evaluate computes the distance of a reach, and the time that the built distance allows.
func (r *Reach) evaluate(a *Approach) {
	r.Longest = Time{Why: r.Why}
	if r.Status != Within {
		return
	}
	r.Law.Extra += a.Approach.Supplement
	switch {
	case a.Times.Overall.Known:
		r.Distance, r.Term = r.Law.Distance(a.Times.Overall.Time)
		r.HasDistance = true
	case r.Law.Speed == 0:
		r.Distance, r.Term = r.Law.Distance(0)
		r.HasDistance = true
	default:
		r.Why = a.Times.Overall.Why
	}
	if r.HasDistance {
		r.Derivation = r.Law.Derivation(a.Times.Overall.Time)
	}
	built := a.Approach.Distance
	longest, ok := r.Law.Longest(built)
	switch {
	case built == 0:
		r.Longest = Time{Why: "the built distance is not stated; say distance"}
	case !ok:
		least, _ := r.Law.Distance(0)
		r.Longest = Time{Known: true, Why: fmt.Sprintf("the built distance %s is too short for any time: at least %s is needed", built, least.Format(6))}
	case math.IsInf(float64(longest), 0):
		r.Longest = Time{Why: "the distance does not depend on the time"}
	default:
		r.Longest = Time{Known: true, Time: longest}
	}
}

// govern finds the reach with the largest distance and the shortest time.
func (a *Approach) govern() {
	a.Complete = len(a.Reaches) > 0
	a.Longest = Time{Why: "no way to the hazard could be computed"}
	for _, r := range a.Reaches {
		if r.Status != NotApplicable && r.Status != Within {
			a.Complete = false
		}
		if r.HasDistance && (a.Governing == nil || r.Distance > a.Required) {
			a.Governing, a.Required = r, r.Distance
		}
		switch {
		case r.Longest.Known && (!a.Longest.Known || r.Longest.Time < a.Longest.Time):
			a.Longest = r.Longest
		case !a.Longest.Known && r.Longest.Why != "":
			a.Longest.Why = r.Longest.Why
		}
	}
}

// compare checks what is built against what is needed.
func (a *Approach) compare() {
	built := a.Approach.Distance
	missing := a.missing()
	switch {
	case !slices.ContainsFunc(a.Reaches, func(r *Reach) bool { return r.Status != NotApplicable }):
		a.Distance = idle[model.Length](missing)
	case a.Governing == nil && built > 0 && slices.ContainsFunc(a.Reaches, func(r *Reach) bool { return r.Status == NotCovered }):
		a.Distance = Check[model.Length]{Status: NotCovered, Value: built, Why: missing}
	case a.Governing == nil:
		a.Distance = unknown[model.Length](missing)
	case built == 0:
		a.Distance = unknown[model.Length](fmt.Sprintf("the built distance is not stated; say distance, at least %s", a.Required.Format(6)))
	default:
		a.Distance = atLeast(built, a.Required, "separation distance, "+a.Governing.Way.String()+": "+a.Governing.Derivation)
		if a.Distance.Status == Within && !a.Complete {
			a.Distance = Check[model.Length]{Status: NotCovered, Value: built, Why: missing}
		}
	}

	overall := a.Times.Overall
	switch {
	case a.Distance.Status == NotApplicable:
		a.Overall = idle[model.Duration](missing)
	case !overall.Known:
		a.Overall = unknown[model.Duration](overall.Why)
	case !a.Longest.Known:
		a.Overall = Check[model.Duration]{Status: NoLimit, Value: overall.Time, Why: a.Longest.Why}
	default:
		a.Overall = atMost(overall.Time, a.Longest.Time, "longest overall stopping time that the built distance "+built.String()+" allows")
		if a.Overall.Status == Within && !a.Complete {
			a.Overall = Check[model.Duration]{Status: NotCovered, Value: overall.Time, Why: missing}
		}
	}

	switch reaction := a.Times.Reaction; {
	case !a.Longest.Known:
		a.LeftForDrive = Time{Why: a.Longest.Why}
	case !reaction.Known:
		a.LeftForDrive = Time{Why: reaction.Why}
	default:
		a.LeftForDrive = Time{Known: true, Time: a.Longest.Time - reaction.Time, Why: a.Longest.Why}
	}
}

// missing says for which ways there is no distance, and why.
func (a *Approach) missing() string {
	var text string
	for _, r := range a.Reaches {
		if r.HasDistance {
			continue
		}
		if text != "" {
			text += "; "
		}
		text += r.Way.String() + ": " + r.Why
	}
	return text
}

// unlock checks the delay of locks that are released by time.
func unlock(f *model.Function, in Input) Check[model.Duration] {
	if f.UnlockDelay == 0 {
		return idle[model.Duration]("the function releases no guard lock by time")
	}
	down, ok := in.RunDown[f.Name]
	switch {
	case !ok:
		return unknown[model.Duration]("no run-down time was given to the calculation")
	case !down.Known:
		return unknown[model.Duration](down.Why)
	}
	return moreThan(f.UnlockDelay, down.Time, "longest time until everything that the function stops stands still without braking")
}
