package rules

import (
	"github.com/guardwright/guardwright/calc/timing"
	"github.com/guardwright/guardwright/model"
)

// timingIndex finds the reaction times for the objects of the machine.
type timingIndex struct {
	functions   map[*model.Function]*timing.Function
	connections map[*model.Connection]*timing.Connection
	controllers map[*model.Controller]*timing.Controller
	drives      map[*model.Drive]*timing.Drive
	ports       map[*model.Port]*timing.Port
}

func indexTiming(r *timing.Result) timingIndex {
	x := timingIndex{map[*model.Function]*timing.Function{}, map[*model.Connection]*timing.Connection{},
		map[*model.Controller]*timing.Controller{}, map[*model.Drive]*timing.Drive{}, map[*model.Port]*timing.Port{}}
	if r == nil {
		return x
	}
	for _, f := range r.Functions {
		x.functions[f.Function] = f
	}
	for _, c := range r.Connections {
		x.connections[c.Connection] = c
	}
	for _, c := range r.Controllers {
		x.controllers[c.Controller] = c
	}
	for _, d := range r.Drives {
		x.drives[d.Drive] = d
	}
	for _, p := range r.Ports {
		x.ports[p.Port] = p
	}
	return x
}

func knownOf(t timing.Time) knownTime         { return knownTime{t.Known, t.Time, t.Why} }
func knownTotal(t timing.Total) knownTime     { return knownTime{t.Known, t.Time, t.Why} }
func atLeastOf(t timing.Total) model.Duration { return t.AtLeast }

// timingResults are the fields that the reaction times add to the kinds of the description.
func timingResults() map[string][]field {
	return map[string][]field{
		"safety_function": functionTimes(),
		"connection":      connectionTimes(),
		"controller":      controllerTimes(),
		"drive":           driveTimes(),
		"port":            portTimes(),
	}
}

func functionTimes() []field {
	x := resultOf[*model.Function, timing.Function]{timingCalculation, func(w *world, f *model.Function) *timing.Function { return w.timing.functions[f] }}
	return []field{
		x.many("demands", "demanded", "The function after the demand of each device.", func(r *timing.Function) []any {
			return anys(r.Demands, func(d *timing.Demanded) demandOf { return demandOf{d, r} })
		}),
		x.time("run_down", "Longest time from the stop command in the controller until everything that the function stops stands still without braking.",
			func(r *timing.Function) knownTime { return knownTotal(r.RunDown) }),
	}
}

func connectionTimes() []field {
	x := resultOf[*model.Connection, timing.Connection]{timingCalculation, func(w *world, c *model.Connection) *timing.Connection { return w.timing.connections[c] }}
	type r = *timing.Connection
	return []field{
		x.time("time_limit", "Time limit in force: the network time expectation of CIP Safety, the watchdog time of PROFIsafe and Safety over EtherCAT.", func(o r) knownTime { return knownOf(o.Limit) }),
		x.truth("limit_stated", "True when the description states the time limit; otherwise it is computed, and the connection has to be set so.", func(o r) bool { return o.Stated }),
		x.text("limit_from", "How the time limit is made, in words.", func(o r) string { return o.From }),
		x.time("time_to_controller", "Longest time of data on the network from the module, without any fault: the wait for the next packet and the delay.", func(o r) knownTime { return knownOf(o.ToController) }),
		x.time("time_from_controller", "The same to the module.", func(o r) knownTime { return knownOf(o.FromController) }),
		x.time("ordinary", "What the time limit has to cover in normal operation, without any margin.", func(o r) knownTime { return knownOf(o.Ordinary) }),
		x.time("smallest_limit", "Smallest time limit that does not trip in normal operation.", func(o r) knownTime { return knownOf(o.Smallest) }),
		x.text("smallest_from", "How that is made, in words.", func(o r) string { return o.SmallestFrom }),
		x.time("largest_limit", "Largest time limit with which every function keeps to its separation distance; absent when none has one.", func(o r) knownTime { return knownOf(o.Largest) }),
		x.one("largest_by", "stop_chain", "Chain that gives the largest time limit.", func(o r) (any, string) { return o.LargestBy, "is not there: no function has a distance" }),
		x.check("trips", "duration", "Time limit against the smallest that does not trip, a lower limit.", func(o r) any { return &o.Trips }),
		x.check("fits", "duration", "Time limit against the largest that the distances permit.", func(o r) any { return &o.Fits }),
		x.check("window", "duration", "Between the smallest and the largest time limit, its width as margin; beyond when no time limit serves both.", func(o r) any { return &o.Window }),
		x.many("openings", "opening", "Single changes each of which opens a closed window, best first.", func(o r) []any { return anys(pointers(o.Openings), same) }),
		x.check("lost_packets", "count", "Packets in a row that may be lost without a trip, against those that must be survived, a lower limit.", func(o r) any { return &o.Lost }),
		x.check("ring_margin", "duration", "Recovery of the rings on the way against what the time limit in force leaves beside normal operation.", func(o r) any { return &o.Ring }),
		x.check("interval_parts", "duration", "Longer packet interval against the safety cycle, of which it is a whole part.", func(o r) any { return &o.Interval }),
	}
}

func controllerTimes() []field {
	x := resultOf[*model.Controller, timing.Controller]{timingCalculation, func(w *world, c *model.Controller) *timing.Controller { return w.timing.controllers[c] }}
	return []field{
		x.check("cycle_use", "ratio", "Longest execution time as a share of the safety cycle, against all of it.", func(o *timing.Controller) any { return &o.Use }),
		x.check("cycle_overrun", "duration", "Cycle watchdog against the safety cycle, a lower limit.", func(o *timing.Controller) any { return &o.Watchdog }),
	}
}

func driveTimes() []field {
	x := resultOf[*model.Drive, timing.Drive]{timingCalculation, func(w *world, d *model.Drive) *timing.Drive { return w.timing.drives[d] }}
	type r = *timing.Drive
	measured := func(name, about string, pick func(*timing.Statistics) model.Duration) field {
		return x.time(name, about, func(o r) knownTime {
			if o.Measured == nil {
				return knownTime{why: "no stopping times are measured"}
			}
			return knownTime{known: true, time: pick(o.Measured)}
		})
	}
	return []field{
		x.time("stopping", "Longest time to standstill, wear allowance included.", func(o r) knownTime { return knownOf(o.Stopping) }),
		x.text("stopping_basis", "What the stopping time comes from.", func(o r) string { return o.Basis.String() }),
		x.text("stopping_from", "How it is made, in words.", func(o r) string { return o.From }),
		measured("measured_mean", "Mean of the measured stopping times.", func(s *timing.Statistics) model.Duration { return s.Mean }),
		measured("measured_deviation", "Standard deviation of the measured stopping times.", func(s *timing.Statistics) model.Duration { return s.Deviation }),
		measured("measured_highest", "Highest measured stopping time.", func(s *timing.Statistics) model.Duration { return s.Highest }),
		x.check("readings", "count", "Number of measured stopping times against the ten that are asked for, a lower limit.", func(o r) any { return &o.Readings }),
		x.check("monitor", "duration", "Stopping time without the monitor against the monitor's limit.", func(o r) any { return &o.Monitor }),
		x.check("removal", "duration", "Delay after which the power is removed against the time of the controlled braking, a lower limit.", func(o r) any { return &o.Removal }),
		x.time("run_down", "Longest time to standstill without braking.", func(o r) knownTime { return knownOf(o.RunDown) }),
	}
}

func portTimes() []field {
	x := resultOf[*model.Port, timing.Port]{timingCalculation, func(w *world, p *model.Port) *timing.Port { return w.timing.ports[p] }}
	type r = *timing.Port
	return []field{
		x.check("filter_time", "duration", "Filter of the input against the longest test pulse of the device's outputs, which it has to exceed.", func(o r) any { return &o.Filter }),
		x.check("pulse", "duration", "Longest test pulse that the port sends to an output device against the longest that the device ignores.", func(o r) any { return &o.Pulse }),
		x.check("sampling", "duration", "Shortest time for which the device's outputs stay off after a demand against the time for which they have to, a lower limit.", func(o r) any { return &o.Sampling }),
		x.check("differing", "duration", "Discrepancy time against the longest difference between the device's channels in normal use, a lower limit.", func(o r) any { return &o.Discrepancy }),
	}
}

// timingResultKinds are the kinds of objects that only the reaction times have.
func timingResultKinds() []*kind {
	return []*kind{demandedKind(), stopChainKind(), contributionKind(), openingKind()}
}

// demandOf is a safety function after the demand of one device.
type demandOf struct {
	*timing.Demanded
	function *timing.Function
}

func demandedKind() *kind {
	k := resultKind[demandOf](timingCalculation, "demanded", "A safety function after the demand of one device.",
		part("function", "safety_function", "The safety function.", func(o demandOf) *model.Function { return o.function.Function }),
		part("device", "device", "The demand device.", func(o demandOf) *model.Device { return o.Device }),
		object("approach", "approach", "The way to the hazard past the device; absent when none is described.", func(o demandOf) *model.Approach { return o.Approach }),
		subjects("chains", "stop_chain", "Chains from the device to everything that the function stops or switches.", func(o demandOf) []any { return anys(o.Chains, same) }),
		object("slowest", "stop_chain", "Chain that ends last with one communication fault; absent when there is none.", func(o demandOf) *timing.Chain { return o.Slowest }),
		timeOf("undisturbed", "Longest time until everything has stopped, without any fault.", func(o demandOf) knownTime { return knownTotal(o.Undisturbed) }),
		timeOf("one_fault", "Longest time until everything has stopped, with one communication fault: the overall stopping time T.", func(o demandOf) knownTime { return knownTotal(o.OneFault) }),
		amount("one_fault_at_least", "Sum of those of its parts that are known.", func(o demandOf) model.Duration { return atLeastOf(o.OneFault) }),
		timeOf("reaction", "Part of it before the drive starts to stop.", func(o demandOf) knownTime { return knownTotal(o.Reaction) }),
		verdictField("allowed", "duration", "Overall stopping time against the longest that the separation distance allows.", func(o demandOf) any { return &o.Allowed }),
	)
	return shown(found(k, func(w *world) []demandOf {
		var out []demandOf
		if w.results.Timing != nil {
			for _, f := range w.results.Timing.Functions {
				for _, d := range f.Demands {
					out = append(out, demandOf{d, f})
				}
			}
		}
		return out
	}, func(o demandOf) model.Origin { return o.function.Function.Origin }), func(o demandOf) string {
		return o.function.Function.Name + " on demand of " + o.Device.Name
	})
}

func stopChainKind() *kind {
	type c = *timing.Chain
	connection := func(x *model.Connection) *model.Connection { return x }
	k := resultKind[c](timingCalculation, "stop_chain", "The way from a demand device through controller and switching element to the stop of a drive, or to an output.",
		part("function", "safety_function", "The safety function.", func(o c) *model.Function { return o.Function }),
		part("demand", "device", "The demand device.", func(o c) *model.Device { return o.Demand }),
		object("drive", "drive", "Drive that is stopped; absent when the chain ends with an output.", func(o c) *model.Drive { return o.Drive }),
		object("switching", "device", "Switching element; absent when none is described.", func(o c) *model.Device { return o.Switch }),
		object("input", "connection", "Safety connection to the controller; absent where the device is wired to the controller itself.", func(o c) *model.Connection { return connection(o.Input) }),
		object("output", "connection", "Safety connection from the controller.", func(o c) *model.Connection { return connection(o.Output) }),
		subjects("steps", "contribution", "Contributions in the order of the way; they add up to the totals.", func(o c) []any { return anys(pointers(o.Steps), same) }),
		timeOf("undisturbed", "Longest time without any fault.", func(o c) knownTime { return knownTotal(o.Undisturbed) }),
		timeOf("one_fault", "Longest time with one communication fault, by the rule of the protocol.", func(o c) knownTime { return knownTotal(o.OneFault) }),
		timeOf("reaction", "The time with one communication fault without the stop of the drive.", func(o c) knownTime { return knownTotal(o.ReactionOneFault) }),
		named("rule", "How the time with one fault is made, in words.", func(o c) string { return o.Rule }),
	)
	return shown(k, func(o c) string {
		end := "nothing"
		switch {
		case o.Drive != nil:
			end = o.Drive.Name
		case o.Switch != nil:
			end = o.Switch.Name
		}
		return o.Demand.Name + " to " + end
	})
}

func contributionKind() *kind {
	type s = *timing.Step
	k := resultKind[s](timingCalculation, "contribution", "One contribution to a chain.",
		named("stage", "Stage on the way, in words.", func(o s) string { return o.Stage.String() }),
		named("at", "Path of what takes the time.", func(o s) string { return o.Place.Path }),
		named("name", "Name of what takes the time.", func(o s) string { return o.Place.Name }),
		timeOf("undisturbed", "Longest time without any fault.", func(o s) knownTime { return knownOf(o.Undisturbed) }),
		timeOf("one_fault", "What it contributes to the time with one communication fault.", func(o s) knownTime { return knownOf(o.OneFault) }),
		named("from", "Where the times come from, in words.", func(o s) string { return o.From }),
	)
	return shown(placed(k, func(o s) model.Origin { return o.Place }), func(o s) string { return o.Stage.String() + " at " + o.Place.Name })
}

func openingKind() *kind {
	type c = *timing.Opening
	k := resultKind[c](timingCalculation, "opening", "One change that opens a closed window, all else as described.",
		named("change", "What to change, in words.", func(o c) string { return o.Change.String() }),
		named("at", "Path of the object to change.", func(o c) string { return o.Place.Path }),
		amount("from", "The present value.", func(o c) model.Duration { return o.From }),
		amount("to", "A value with which the window is open.", func(o c) model.Duration { return o.To }),
	)
	return shown(k, func(o c) string {
		return o.Change.String() + " of " + o.Place.Name + " from " + o.From.Format(messageDigits) + " to " + o.To.Format(messageDigits)
	})
}
