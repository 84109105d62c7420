package report

import (
	"strings"

	"github.com/guardwright/guardwright/calc/distance"
	"github.com/guardwright/guardwright/calc/timing"
	"github.com/guardwright/guardwright/model"
)

// Time is a time that may not be known.
type Time struct {
	// The time; absent when it is not known.
	Value *Quantity `json:"value,omitempty"`
	// Sum of the parts that are known, where the whole is not.
	AtLeast *Quantity `json:"at_least,omitempty"`
	// What is missing.
	Why string `json:"why,omitempty"`
}

// Connection is a safety connection with the time limit in force and the values that it may take.
type Connection struct {
	// Name of the connection.
	Name string `json:"name"`
	// Module at its far end.
	Module string `json:"module"`
	// Place of the connection in the description.
	Path string `json:"path"`
	// Place of the connection in a file.
	Position *Position `json:"position,omitempty"`
	// Time limit in force.
	Limit Time `json:"time_limit"`
	// True when the description states it; otherwise it is computed, and the connection has to be set so.
	Stated bool `json:"stated"`
	// How it is made.
	From string `json:"from,omitempty"`
	// Longest time of data to the controller, without any fault.
	ToController Time `json:"to_controller"`
	// Longest time of data from the controller, without any fault.
	FromController Time `json:"from_controller"`
	// What the limit has to cover in normal operation.
	Ordinary Time `json:"ordinary"`
	// Smallest limit that does not trip.
	Smallest Time `json:"smallest"`
	// Largest limit with which every function keeps to its distance.
	Largest Time `json:"largest"`
	// Limit against the smallest.
	Trips Check `json:"trips"`
	// Limit against the largest.
	Fits Check `json:"fits"`
	// Changes each of which opens a closed window.
	Openings []string `json:"openings,omitempty"`
}

// Reaction is a safety function after the demand of one device.
type Reaction struct {
	// Safety function.
	Function string `json:"function"`
	// Demand device.
	Device string `json:"device"`
	// Place of the function in the description.
	Path string `json:"path"`
	// Place of the function in a file.
	Position *Position `json:"position,omitempty"`
	// Longest time until everything has stopped, without any fault.
	Undisturbed Time `json:"undisturbed"`
	// The same with one communication fault.
	OneFault Time `json:"one_fault"`
	// Part of it before the drive starts to stop.
	Reaction Time `json:"reaction"`
	// Time with one fault against the longest that the separation distance allows.
	Allowed Check `json:"allowed"`
	// What is stopped last; absent when nothing is stopped.
	Last string `json:"last,omitempty"`
	// How the time with one fault is made, in words.
	Rule string `json:"rule,omitempty"`
	// Contributions of the chain that ends last with one fault.
	Steps []Step `json:"steps"`
	// Their sum without any fault. Another chain can be the slower one then.
	SumUndisturbed Time `json:"steps_undisturbed"`
	// Their sum with one communication fault.
	SumOneFault Time `json:"steps_one_fault"`
}

// Step is one contribution to a reaction time.
type Step struct {
	// Stage on the way.
	Stage string `json:"stage"`
	// What takes the time.
	Name string `json:"name"`
	// Its place in the description.
	Path string `json:"path"`
	// Longest time without any fault.
	Undisturbed Time `json:"undisturbed"`
	// Contribution to the time with one communication fault.
	OneFault Time `json:"one_fault"`
	// Where the times come from.
	From string `json:"from,omitempty"`
}

// Stop is the stopping of a drive.
type Stop struct {
	// Name of the drive.
	Name string `json:"name"`
	// Place of the drive in the description.
	Path string `json:"path"`
	// Longest time to standstill.
	Stopping Time `json:"stopping"`
	// How it is made.
	From string `json:"from,omitempty"`
	// Longest time to standstill without braking.
	RunDown Time `json:"run_down"`
}

// Distance is the way to the hazard past one protective device.
type Distance struct {
	// Safety function.
	Function string `json:"function"`
	// Protective device.
	Device string `json:"device"`
	// Place of the approach in the description.
	Path string `json:"path"`
	// Place of the approach in a file.
	Position *Position `json:"position,omitempty"`
	// Standard, with its edition.
	Standard string `json:"standard,omitempty"`
	// Overall stopping time T.
	Overall Time `json:"overall"`
	// Built distance against the required one.
	Separation Check `json:"separation"`
	// Way that needs the largest distance.
	Way string `json:"way,omitempty"`
	// Required distance with its numbers.
	Derivation string `json:"derivation,omitempty"`
	// Longest overall stopping time that the built distance allows.
	Longest Time `json:"longest"`
	// What that leaves for the stopping of the drive.
	LeftForDrive Time `json:"left_for_drive"`
	// Stopping time against the time in which a person reaches the hazard past an opened guard.
	Locking Check `json:"locking"`
	// Every way to the hazard.
	Ways []Way `json:"ways"`
}

// Way is one way to the hazard.
type Way struct {
	// The way in words.
	Way string `json:"way"`
	// within when its law is known, not applicable when it is closed by other means, not covered or unknown.
	Status string `json:"status"`
	// Distance that it needs.
	Distance *Quantity `json:"distance,omitempty"`
	// Standard and clause of the law.
	Source string `json:"source,omitempty"`
	// The distance with its numbers.
	Derivation string `json:"derivation,omitempty"`
	// What is missing or not certain.
	Why string `json:"why,omitempty"`
}

func timeOf(u units, known bool, t model.Duration, why string) Time {
	if !known {
		return Time{Why: why}
	}
	return Time{Value: of(u, t, valueDigits)}
}

func timingTime(u units, t timing.Time) Time { return timeOf(u, t.Known, t.Time, t.Why) }

func distanceTime(u units, t distance.Time) Time { return timeOf(u, t.Known, t.Time, t.Why) }

func totalOf(u units, t timing.Total) Time {
	out := timeOf(u, t.Known, t.Time, t.Why)
	if !t.Known && t.AtLeast > 0 {
		out.AtLeast = of(u, t.AtLeast, valueDigits)
	}
	return out
}

func timingCheck[Q formatted](u units, part Part, what string, c timing.Check[Q]) Check {
	return judged(u, part, what, verdict{c.Status.String(), c.Status.HasValue(), c.Status.Decided(), c.Limits, c.Why}, c.Value, c.Limit, c.Margin)
}

func distanceCheck[Q formatted](u units, part Part, what string, c distance.Check[Q]) Check {
	return judged(u, part, what, verdict{c.Status.String(), c.Status.HasValue(), c.Status.Decided(), c.Limits, c.Why}, c.Value, c.Limit, c.Margin)
}

// addTiming takes over the reaction times.
func (r *Report) addTiming(from *timing.Result) {
	u := newUnits()
	r.Connections, r.Reactions, r.Stops = []Connection{}, []Reaction{}, []Stop{}
	for _, c := range from.Connections {
		r.Connections = append(r.Connections, connection(u, c))
	}
	for _, f := range from.Functions {
		for _, d := range f.Demands {
			r.Reactions = append(r.Reactions, reaction(u, f, d))
		}
	}
	for _, d := range from.Drives {
		r.Stops = append(r.Stops, Stop{d.Drive.Name, d.Drive.Path, timingTime(u, d.Stopping), d.From, timingTime(u, d.RunDown)})
	}
}

func connection(u units, c *timing.Connection) Connection {
	o := c.Connection
	out := Connection{Name: o.Name, Module: o.Module.Name, Path: o.Path, Position: position(o.Position), Limit: timingTime(u, c.Limit), Stated: c.Stated,
		From: c.From, ToController: timingTime(u, c.ToController), FromController: timingTime(u, c.FromController), Ordinary: timingTime(u, c.Ordinary),
		Smallest: timingTime(u, c.Smallest), Largest: timingTime(u, c.Largest),
		Trips: timingCheck(u, ConnectionsPart, "trips", c.Trips), Fits: timingCheck(u, ConnectionsPart, "fits", c.Fits)}
	for _, x := range c.Openings {
		out.Openings = append(out.Openings, x.Change.String()+" of "+x.Place.Name+": "+x.From.Format(valueDigits)+" to "+x.To.Format(valueDigits))
	}
	return out
}

func reaction(u units, f *timing.Function, d *timing.Demanded) Reaction {
	o := f.Function.Origin
	out := Reaction{Function: o.Name, Device: d.Device.Name, Path: o.Path, Position: position(o.Position), Undisturbed: totalOf(u, d.Undisturbed),
		OneFault: totalOf(u, d.OneFault), Reaction: totalOf(u, d.Reaction), Allowed: timingCheck(u, ReactionsPart, "overall stopping time", d.Allowed), Steps: []Step{}}
	c := d.Slowest
	if c == nil {
		return out
	}
	out.Rule, out.SumUndisturbed, out.SumOneFault = c.Rule, totalOf(u, c.Undisturbed), totalOf(u, c.OneFault)
	switch {
	case c.Drive != nil:
		out.Last = c.Drive.Name
	case c.Switch != nil:
		out.Last = c.Switch.Name
	}
	for _, s := range c.Steps {
		out.Steps = append(out.Steps, Step{s.Stage.String(), placeLabel(s.Place), s.Place.Path, timingTime(u, s.Undisturbed), timingTime(u, s.OneFault), s.From})
	}
	return out
}

// placeLabel names an object; a port by its module and its number.
func placeLabel(o model.Origin) string {
	if parts := strings.Split(o.Path, "."); len(parts) == 4 && parts[2] == "ports" {
		return parts[1] + "." + parts[3]
	}
	return o.Name
}

// addDistances takes over the separation distances.
func (r *Report) addDistances(from *distance.Result) {
	u := newUnits()
	r.Distances = []Distance{}
	for _, f := range from.Functions {
		for _, a := range f.Approaches {
			r.Distances = append(r.Distances, approach(u, f, a))
		}
	}
}

func approach(u units, f *distance.Function, a *distance.Approach) Distance {
	o := a.Approach.Origin
	out := Distance{Function: f.Function.Name, Device: a.Approach.Device.Name, Path: o.Path, Position: position(o.Position), Standard: string(a.Standard),
		Overall: distanceTime(u, a.Times.Overall), Separation: distanceCheck(u, DistancesPart, "separation distance", a.Distance),
		Longest: distanceTime(u, a.Longest), LeftForDrive: distanceTime(u, a.LeftForDrive),
		Locking: distanceCheck(u, DistancesPart, "access time", a.Locking.Overall), Ways: []Way{}}
	if a.Governing != nil {
		out.Way, out.Derivation = a.Governing.Way.String(), a.Governing.Derivation
	}
	for _, w := range a.Reaches {
		way := Way{Way: w.Way.String(), Status: w.Status.String(), Source: w.Law.Source, Derivation: w.Derivation, Why: w.Why}
		if w.HasDistance {
			way.Distance = of(u, w.Distance, valueDigits)
		}
		out.Ways = append(out.Ways, way)
	}
	return out
}
