package rules

import (
	"slices"

	"github.com/guardwright/guardwright/model"
)

func functionKinds() []*kind {
	type d = *model.Drive
	drive := kindOf[d]("Safety functions", "drive", "A source of hazardous motion.", slices.Concat(
		originFields(func(o d) model.Origin { return o.Origin }),
		[]field{
			text("about", "Free text about the motion.", func(o d) string { return o.About }),
			object("zone", "zone", "Zone in which the motion is dangerous.", func(o d) *model.Zone { return o.Zone }),
			maybeCount("stop_category", "Stop category of IEC 60204-1:2016, 9.2.2: 0, 1 or 2.", func(o d) *int { return o.StopCategory }),
			statedAmount("stopping_time", "Time to standstill, worst case, from the moment at which the switching element has passed on the stop command.", func(o d) model.Duration { return o.StoppingTime }),
			amounts("measured", "Measured stopping times (ISO 13855:2010, annex D).", func(o d) []model.Duration { return o.Measured }),
			day("measured_on", "Day of the measurement, as 2031-12-31.", func(o d) model.Date { return o.MeasuredOn }),
			statedAmount("wear_allowance", "Share by which the stopping time may grow by wear.", func(o d) model.Ratio { return o.WearAllowance }),
			statedAmount("monitored_limit", "Stopping time at which a stopping performance monitor keeps the machine from running on.", func(o d) model.Duration { return o.MonitoredLimit }),
			statedAmount("ramp", "Stop categories 1 and 2: longest time of the controlled braking.", func(o d) model.Duration { return o.Ramp }),
			statedAmount("removal_delay", "Stop category 1: time from the stop command until the power is removed (the SS1 time of IEC 61800-5-2).", func(o d) model.Duration { return o.RemovalDelay }),
			statedAmount("run_down_time", "Time to standstill without braking.", func(o d) model.Duration { return o.RunDownTime }),
			statedAmount("restart_time", "Shortest time from a stop until the motion is started again, in any mode.", func(o d) model.Duration { return o.RestartTime }),
			object("standstill", "standstill", "What counts as standstill of the motion.", func(o d) *model.Standstill { return o.Standstill }),
			objects("switched_by", "device", "Devices that take the energy away.", func(o d) []*model.Device { return o.SwitchedBy }),
		},
		driveRelations(),
	)...)
	written[model.DriveSpec](drive)
	found(drive, func(w *world) []d { return w.machine.Drives }, func(o d) model.Origin { return o.Origin })

	type f = *model.Function
	function := kindOf[f]("Safety functions", "safety_function", "One safety function.", slices.Concat(
		originFields(func(o f) model.Origin { return o.Origin }),
		[]field{
			text("about", "Free text: what the function does.", func(o f) string { return o.About }),
			objects("demand", "device", "Devices whose demand triggers the function.", func(o f) []*model.Device { return o.Demand }),
			objects("stops", "drive", "Drives that the function stops.", func(o f) []*model.Drive { return o.Stops }),
			objects("outputs", "device", "Devices that carry the function out beside the drives' own.", func(o f) []*model.Device { return o.Outputs }),
			object("controller", "controller", "Controller that evaluates the function.", func(o f) *model.Controller { return o.Controller }),
			text("required", "Required level: PL a to PL e (ISO 13849-1) or SIL 1 to SIL 3 (IEC 62061).", func(o f) model.Level { return o.Required }),
			object("reset", "device", "Device for the manual reset.", func(o f) *model.Device { return o.Reset }),
			objects("approaches", "approach", "Ways to the hazard, one for each demand device whose approach is stated.", func(o f) []*model.Approach { return o.Approaches }),
			statedAmount("approach_distance", "Shortest of the stated distances from a protective device of the function to the hazard.", shortestApproach),
			statedAmount("unlock_delay", "Guard locks that are released by time: delay from the stop command to the release.", func(o f) model.Duration { return o.UnlockDelay }),
		})...)
	written[model.FunctionSpec](function)
	found(function, func(w *world) []f { return w.machine.Functions }, func(o f) model.Origin { return o.Origin })
	return []*kind{drive, standstillKind(), function, approachKind()}
}

// shortestApproach is zero when no distance is stated.
func shortestApproach(f *model.Function) model.Length {
	var shortest model.Length
	for _, a := range f.Approaches {
		if a.Distance != 0 && (shortest == 0 || a.Distance < shortest) {
			shortest = a.Distance
		}
	}
	return shortest
}

func standstillKind() *kind {
	type s = *model.Standstill
	k := kindOf[s]("Safety functions", "standstill", "What counts as standstill of a motion (safe operating stop of IEC 61800-5-2).",
		object("monitor", "device", "Device that monitors it; absent: none.", func(o s) *model.Device { return o.Monitor }),
		statedAmount("speed", "Speed below which the motion counts as standing still.", func(o s) model.Speed { return o.Speed }),
		statedAmount("time", "Time for which it has to be slower than that.", func(o s) model.Duration { return o.Time }),
		statedAmount("harmless_speed", "Highest speed that hurts nobody, by the risk assessment.", func(o s) model.Speed { return o.HarmlessSpeed }),
		maybeAmount("pause", "Longest time for which the motion is that slow without having ended; 0 s where it never is.", func(o s) *model.Duration { return o.Pause }),
	)
	return placed(k, func(o s) model.Origin { return o.Origin })
}

func approachKind() *kind {
	type a = *model.Approach
	k := kindOf[a]("Safety functions", "approach", "The way to the hazard past one demand device of a safety function.",
		named("path", "Place in the description.", func(o a) string { return o.Path }),
		part("device", "device", "The demand device.", func(o a) *model.Device { return o.Device }),
		objects("hazards", "drive", "Drives whose motion is dangerous there.", func(o a) []*model.Drive { return o.Hazards }),
		text("standard", "Standard, with its edition, by which the distance is computed; absent: as the calculation is told.", func(o a) model.DistanceStandard { return o.Standard }),
		text("arrangement", "What keeps the person away: as stated, or by the kind of the device.", func(o a) model.Arrangement { return o.Arrangement }),
		text("direction", "Direction of the approach (ISO 13855:2010, clause 6): orthogonal, parallel or angled.", func(o a) model.ApproachDirection { return o.Direction }),
		maybeAmount("angle", "Angle between the detection zone and the direction of approach.", func(o a) *model.Angle { return o.Angle }),
		statedAmount("distance", "Built distance from the protective device to the hazard.", func(o a) model.Length { return o.Distance }),
		statedAmount("supplement", "Length that is added to the computed distance.", func(o a) model.Length { return o.Supplement }),
		statedAmount("resolution", "Resolution as set; absent: that of the device type.", func(o a) model.Length { return o.Resolution }),
		amounts("beams", "Heights of the beams above the floor.", func(o a) []model.Length { return o.Beams }),
		maybeAmount("height", "Height of a parallel field, of the far beam of an angled field, or of the step of a mat, above the floor.", func(o a) *model.Length { return o.Height }),
		maybeAmount("lower_edge", "Height of the lower edge of the detection zone above the floor.", func(o a) *model.Length { return o.LowerEdge }),
		maybeAmount("upper_edge", "Height of the upper edge of the detection zone above the floor.", func(o a) *model.Length { return o.UpperEdge }),
		maybeAmount("hazard_height", "Height of the hazard zone above the floor.", func(o a) *model.Length { return o.HazardHeight }),
		statedTruth("reach_over", "False where reaching over is prevented by other means.", func(o a) *bool { return o.ReachOver }),
		statedAmount("width", "Width of a pressure-sensitive mat in the direction of approach.", func(o a) model.Length { return o.Width }),
		truth("shrouded", "Two-hand control: true when shrouds keep the hands from moving on.", func(o a) bool { return o.Shrouded }),
		statedAmount("opening", "Guard: opening that is already there when the stop is commanded.", func(o a) model.Length { return o.Opening }),
		text("opening_shape", "Guard: shape of the opening (ISO 13857).", func(o a) model.OpeningShape { return o.OpeningShape }),
		statedAmount("opening_length", "Guard: length of a slot.", func(o a) model.Length { return o.OpeningLength }),
		statedAmount("opening_time", "Guard: measured time to open it so far that the hazard can be reached.", func(o a) model.Duration { return o.OpeningTime }),
		truth("children", "True where children have access.", func(o a) bool { return o.Children }),
		statedCount("engaging_points", "Press with a full-revolution clutch: number of engaging points (29 CFR 1910.217).", func(o a) int { return o.EngagingPoints }),
		statedAmount("revolution_time", "Press with a full-revolution clutch: time of one revolution of the crankshaft.", func(o a) model.Duration { return o.RevolutionTime }),
	)
	written[model.ApproachSpec](k)
	return shown(found(k, func(w *world) []a {
		var out []a
		for _, f := range w.machine.Functions {
			out = append(out, f.Approaches...)
		}
		return out
	}, func(o a) model.Origin { return o.Origin }), func(o a) string { return "approach past " + o.Device.Name })
}
