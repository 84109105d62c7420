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
			nonNegative("stop_category", "Stop category of IEC 60204-1:2016, 9.2.2: 0, 1 or 2.", func(o d) int {
				if o.StopCategory == nil {
					return -1
				}
				return *o.StopCategory
			}),
			statedAmount("stopping_time", "Time from the stop command at the switching element to standstill, worst case.", func(o d) model.Duration { return o.StoppingTime }),
			statedAmount("run_down_time", "Time to standstill without braking.", func(o d) model.Duration { return o.RunDownTime }),
			objects("switched_by", "device", "Devices that take the energy away.", func(o d) []*model.Device { return o.SwitchedBy }),
		})...)
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
			text("approach_direction", "Direction of the approach (ISO 13855:2010, clause 6): orthogonal, parallel or angled.", func(o f) model.ApproachDirection {
				if o.Approach == nil {
					return ""
				}
				return o.Approach.Direction
			}),
			statedAmount("approach_distance", "Built distance from the protective device to the hazard.", func(o f) model.Length {
				if o.Approach == nil {
					return 0
				}
				return o.Approach.Distance
			}),
		})...)
	written[model.FunctionSpec](function)
	found(function, func(w *world) []f { return w.machine.Functions }, func(o f) model.Origin { return o.Origin })
	return []*kind{drive, function}
}
