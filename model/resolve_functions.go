package model

import (
	"fmt"
	"slices"

	"github.com/guardwright/guardwright/model/source"
)

func (r *resolver) resolveDrives() {
	r.drives = map[string]*Drive{}
	for _, name := range sortedNames(r.d.Drives) {
		spec := r.d.Drives[name]
		d := &Drive{Origin: r.origin("drives", name), DriveSpec: spec}
		d.Zone = r.zoneOf(d.Path+".zone", spec.Zone)
		d.SwitchedBy = r.deviceList(d.Path+".switched_by", spec.SwitchedBy)
		r.checkStop(d)
		r.resolveStandstill(d)
		r.drives[name] = d
		r.m.Drives = append(r.m.Drives, d)
	}
}

// checkStop checks that what is said of a drive's stop fits its stop category.
func (r *resolver) checkStop(d *Drive) {
	category := d.StopCategory
	switch {
	case d.Ramp == 0:
	case category == nil:
		r.problem(d.Path+".ramp", "a braking ramp belongs to a stop of category 1 or 2; say stop_category: 1 or 2")
	case *category == 0:
		r.problem(d.Path+".ramp", "a stop of category 0 takes the power away at once and has no controlled ramp")
	}
	if d.RemovalDelay != 0 && (category == nil || *category != 1) {
		r.problem(d.Path+".removal_delay", "only a stop of category 1 removes the power after a delay; say stop_category: 1 or leave the delay out")
	}
	for i, t := range d.Measured {
		if t == 0 {
			r.problem(index(d.Path+".measured", i), "found a stopping time of 0 s; leave out readings that failed")
		}
	}
	if d.MeasuredOn != (Date{}) && len(d.Measured) == 0 {
		r.problem(d.Path+".measured_on", "there is a day of measurement but nothing measured; list the readings under measured")
	}
}

// resolveStandstill resolves what counts as standstill of a drive.
func (r *resolver) resolveStandstill(d *Drive) {
	spec := d.DriveSpec.Standstill
	if spec == nil {
		return
	}
	path := d.Path + ".standstill"
	s := &Standstill{Origin: Origin{Name: d.Name, Path: path, Position: r.at(path)}, StandstillSpec: *spec}
	var ok bool
	if s.Monitor, ok = refer(r, path+".monitor", "device", spec.Monitor, r.devices); ok && kindOf(s.Monitor) != "" &&
		!slices.Contains(s.Monitor.Type.Kind.Gives, "standstill") {
		r.problem(path+".monitor", "%s is a %s, which does not give the signal standstill; wanted a standstill-monitor", s.Monitor.Name, kindOf(s.Monitor))
	}
	d.Standstill = s
}

// deviceList resolves a list of devices, each at most once.
func (r *resolver) deviceList(path string, names []string) []*Device {
	return listOf(r, path, "device", names, r.devices)
}

// listOf resolves a list of names, each at most once.
func listOf[T comparable](r *resolver, path, what string, names []string, known map[string]T) []T {
	var out []T
	for i, name := range names {
		if v, ok := refer(r, index(path, i), what, name, known); ok {
			if slices.Contains(out, v) {
				r.problem(index(path, i), "%s is listed twice", name)
				continue
			}
			out = append(out, v)
		}
	}
	return out
}

func (r *resolver) resolveFunctions() {
	r.checkTimes()
	for _, name := range sortedNames(r.d.Functions) {
		spec := r.d.Functions[name]
		f := &Function{Origin: r.origin("functions", name), FunctionSpec: spec}
		f.Demand = r.deviceList(f.Path+".demand", spec.Demand)
		f.Outputs = r.deviceList(f.Path+".outputs", spec.Outputs)
		f.Stops = listOf(r, f.Path+".stops", "drive", spec.Stops, r.drives)
		f.Controller = r.controllerOf(f.Path+".controller", spec.Controller)
		f.Reset, _ = refer(r, f.Path+".reset", "device", spec.Reset, r.devices)
		r.resolveApproaches(f)
		if isLock := func(d *Device) bool { return kindOf(d) == "guard-lock" }; spec.UnlockDelay != 0 &&
			!slices.ContainsFunc(f.Demand, isLock) && !slices.ContainsFunc(f.Outputs, isLock) {
			r.problem(f.Path+".unlock_delay", "the function has no guard lock, neither under demand nor under outputs")
		}
		r.m.Functions = append(r.m.Functions, f)
	}
}

// checkTimes checks the times of component data and of controllers against each other.
func (r *resolver) checkTimes() {
	for _, c := range r.m.Controllers {
		if c.CycleWatchdog != 0 && c.CycleWatchdog < c.SafetyCycle {
			r.problem(c.Path+".cycle_watchdog", "found %s, which is shorter than the safety cycle %s: the controller would switch off in every cycle", c.CycleWatchdog, c.SafetyCycle)
		}
		if c.ExecutionTime != 0 && c.SafetyCycle == 0 {
			r.problem(c.Path+".execution_time", "there is an execution time but no safety_cycle to compare it with")
		}
	}
	for _, name := range sortedNames(r.d.Types.Modules) {
		t := r.d.Types.Modules[name]
		path := source.Join("types.modules", name)
		faultAbove := func(key string, normal, fault Duration) {
			if fault != 0 && fault < normal {
				r.problem(path+"."+key, "found %s with a fault, which is shorter than %s without one", fault, normal)
			}
		}
		faultAbove("input_fault_response", t.InputResponse, t.InputFaultResponse)
		faultAbove("output_fault_response", t.OutputResponse, t.OutputFaultResponse)
		for _, set := range sortedNames(t.Sets) {
			if s := t.Sets[set]; s.HoldsWhileDiffering && s.Discrepancy == 0 {
				r.problem(source.Join(path, "sets", set)+".holds_while_differing", "the port holds a value until the discrepancy time is over, so state discrepancy")
			}
		}
	}
}

func (r *resolver) resolveAccept() {
	for i, spec := range r.d.Accept {
		path := index("accept", i)
		r.m.Accept = append(r.m.Accept, Acceptance{Origin{Name: fmt.Sprintf("%s at %s", spec.Rule, spec.At), Path: path, Position: r.at(path)}, spec})
	}
}
