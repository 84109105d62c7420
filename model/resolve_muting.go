package model

import "slices"

// resolveMuting resolves how the load is let through a protective device, once all devices are known.
func (r *resolver) resolveMuting(d *Device) {
	spec := d.DeviceSpec.Muting
	if spec == nil {
		return
	}
	path := d.Path + ".muting"
	m := &Muting{Origin: Origin{Name: d.Name, Path: path, Position: r.at(path)}, MutingSpec: *spec}
	if d.Type != nil && d.Type.Kind != nil && !slices.Contains(d.Type.Kind.Takes, "muted") {
		r.problem(path, "a %s is not muted; muting belongs to light curtains and laser scanners", d.Type.Kind.Name)
	}
	m.Sensors = r.deviceList(path+".sensors", spec.Sensors)
	for i, s := range spec.Sensors {
		if sensor := r.devices[s]; sensor != nil && kindOf(sensor) != "" && !slices.Contains(sensor.Type.Kind.Gives, "covered") {
			r.problem(index(path+".sensors", i), "%s is a %s, which does not give the signal covered; wanted a muting-sensor", s, kindOf(sensor))
		}
	}
	if len(spec.Sensors) == 1 {
		r.problem(path+".sensors", "found one sensor; muting needs two at least (IEC 62046)")
	}
	if spec.Travel != 0 && spec.Travel < spec.SensorDistance {
		r.problem(path+".travel", "found %s to the last sensor, which is shorter than %s to the second", spec.Travel, spec.SensorDistance)
	}
	m.Lamp, _ = refer(r, path+".lamp", "device", spec.Lamp, r.devices)
	m.Override, _ = refer(r, path+".override", "device", spec.Override, r.devices)
	if spec.OverrideLimit != 0 && spec.Override == "" {
		r.problem(path+".override_limit", "there is a limit but nothing that overrides; say override: with the hold-to-run device")
	}
	d.Muting = m
}
