package timing_test

import (
	"fmt"
	"testing"

	"github.com/guardwright/guardwright/calc/timing"
	"github.com/guardwright/guardwright/model"
)

// plant describes n machines like that of cip.yaml behind one controller.
func plant(b *testing.B, n int) (*model.Machine, timing.Input) {
	d := machine(b, "cip.yaml").Description()
	devices, modules, drives, functions := d.Devices, d.Modules, d.Drives, d.Functions
	connections, feeds := d.Network.Connections, d.Power.Feeds
	d.Devices, d.Modules, d.Drives, d.Functions = map[string]model.DeviceSpec{}, map[string]model.ModuleSpec{}, map[string]model.DriveSpec{}, map[string]model.FunctionSpec{}
	d.Network.Connections, d.Power.Feeds = map[string]model.ConnectionSpec{}, map[string]model.FeedSpec{}
	d.Network.Links, d.Network.Rings = nil, nil
	in := timing.Input{Delays: map[string]timing.Delays{}, Allowed: map[timing.Demand]model.Duration{}}
	for i := range n {
		name := func(s string) string { return fmt.Sprintf("%s_%d", s, i) }
		names := func(list []string) (out []string) {
			for _, s := range list {
				out = append(out, name(s))
			}
			return out
		}
		for key, v := range devices {
			d.Devices[name(key)] = v
		}
		for key, v := range modules {
			ports := map[string]model.PortSpec{}
			for port, spec := range v.Ports {
				spec.Device = name(spec.Device)
				ports[port] = spec
			}
			v.Ports = ports
			d.Modules[name(key)] = v
		}
		for key, v := range drives {
			v.SwitchedBy = names(v.SwitchedBy)
			d.Drives[name(key)] = v
		}
		for key, v := range functions {
			v.Demand, v.Stops, v.Outputs = names(v.Demand), names(v.Stops), names(v.Outputs)
			if v.Approach != nil {
				approach := *v.Approach
				approach.Hazards = names(approach.Hazards)
				v.Approach = &approach
			}
			d.Functions[name(key)] = v
		}
		for key, v := range connections {
			v.Module = name(v.Module)
			d.Network.Connections[name(key)] = v
			in.Delays[name(key)] = timing.Delays{ToController: model.Milliseconds(1), FromController: model.Milliseconds(1)}
		}
		for key, v := range feeds {
			v.To = name(v.To)
			d.Power.Feeds[name(key)] = v
		}
		// Less than the chain can do, so that the search for openings is measured as well.
		in.Allowed[timing.Demand{Function: name("access"), Device: name("curtain")}] = model.Milliseconds(300)
	}
	m, err := model.Build(d)
	if err != nil {
		b.Fatal(err)
	}
	return m, in
}

func BenchmarkPlantOf50(b *testing.B) {
	m, in := plant(b, 50)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := timing.Compute(b.Context(), m, in); err != nil {
			b.Fatal(err)
		}
	}
}
