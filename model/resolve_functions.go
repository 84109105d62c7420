package model

import (
	"fmt"
	"slices"
)

func (r *resolver) resolveDrives() {
	r.drives = map[string]*Drive{}
	for _, name := range sortedNames(r.d.Drives) {
		spec := r.d.Drives[name]
		d := &Drive{Origin: r.origin("drives", name), DriveSpec: spec}
		d.Zone = r.zoneOf(d.Path+".zone", spec.Zone)
		d.SwitchedBy = r.deviceList(d.Path+".switched_by", spec.SwitchedBy)
		r.drives[name] = d
		r.m.Drives = append(r.m.Drives, d)
	}
}

// deviceList resolves a list of devices, each at most once.
func (r *resolver) deviceList(path string, names []string) []*Device {
	var out []*Device
	for i, name := range names {
		if d, ok := refer(r, index(path, i), "device", name, r.devices); ok {
			if slices.Contains(out, d) {
				r.problem(index(path, i), "%s is listed twice", name)
				continue
			}
			out = append(out, d)
		}
	}
	return out
}

func (r *resolver) resolveFunctions() {
	for _, name := range sortedNames(r.d.Functions) {
		spec := r.d.Functions[name]
		f := &Function{Origin: r.origin("functions", name), FunctionSpec: spec}
		f.Demand = r.deviceList(f.Path+".demand", spec.Demand)
		f.Outputs = r.deviceList(f.Path+".outputs", spec.Outputs)
		for i, drive := range spec.Stops {
			if d, ok := refer(r, index(f.Path+".stops", i), "drive", drive, r.drives); ok {
				f.Stops = append(f.Stops, d)
			}
		}
		f.Controller = r.controllerOf(f.Path+".controller", spec.Controller)
		f.Reset, _ = refer(r, f.Path+".reset", "device", spec.Reset, r.devices)
		r.m.Functions = append(r.m.Functions, f)
	}
}

func (r *resolver) resolveLogic() {
	l := r.d.Logic
	if l == nil {
		return
	}
	for _, name := range sortedNames(l.Values) {
		path := "logic.values." + name
		r.checkName(path, name)
		if d, taken := r.devices[name]; taken {
			r.problem(path, "the name %q is already that of %s; give the value its own name", name, d.Path)
		}
		if l.Values[name].Text == "" {
			r.problem(path, "the value has no expression")
		}
	}
	for _, name := range sortedNames(l.Initial) {
		refer(r, "logic.initial."+name, "value under logic.values", name, l.Values)
	}
}

func (r *resolver) resolveAccept() {
	for i, spec := range r.d.Accept {
		path := index("accept", i)
		r.m.Accept = append(r.m.Accept, Acceptance{Origin{Name: fmt.Sprintf("%s at %s", spec.Rule, spec.At), Path: path, Position: r.at(path)}, spec})
	}
}
