package rules

import (
	"slices"

	"github.com/google/cel-go/common/types/ref"

	"github.com/guardwright/guardwright/model"
)

// related is a list of objects that the description states at the other objects.
func related[T, U any](name, kind, about string, find func(m *model.Machine, of T) []*U) field {
	return field{name: name, about: about, typ: fieldType{kind: kind, list: true},
		get: func(w *world, s any) ref.Val { return objectList(w, kind, find(w.machine, s.(T))) }}
}

// zoneRelations are what of the machine belongs to a zone without being stated there.
func zoneRelations() []field {
	return []field{
		related("drives", "drive", "Drives whose motion is dangerous in the zone.", drivesIn),
		related("functions", "safety_function", "Safety functions that stop a drive of the zone.", functionsOfZone),
		related("resets", "device", "Devices that reset the zone: those with a reset button that belong to it, and those that a safety function names as its reset that stops drives of this zone only.", resetsOf),
	}
}

// driveRelations are what of the machine belongs to a drive without being stated there.
func driveRelations() []field {
	return []field{
		related("functions", "safety_function", "Safety functions that stop the drive.", func(m *model.Machine, d *model.Drive) []*model.Function {
			return choose(m.Functions, func(f *model.Function) bool { return slices.Contains(f.Stops, d) })
		}),
	}
}

func drivesIn(m *model.Machine, z *model.Zone) []*model.Drive {
	return choose(m.Drives, func(d *model.Drive) bool { return d.Zone == z })
}

func functionsOfZone(m *model.Machine, z *model.Zone) []*model.Function {
	return choose(m.Functions, func(f *model.Function) bool {
		return slices.ContainsFunc(f.Stops, func(d *model.Drive) bool { return d.Zone == z })
	})
}

func resetsOf(m *model.Machine, z *model.Zone) []*model.Device {
	out := choose(z.Devices, func(d *model.Device) bool { return slices.Contains(d.Type.Kind.Gives, resetWord) })
	for _, f := range functionsOfZone(m, z) {
		elsewhere := slices.ContainsFunc(f.Stops, func(d *model.Drive) bool { return d.Zone != z })
		if f.Reset != nil && !elsewhere && !slices.Contains(out, f.Reset) {
			out = append(out, f.Reset)
		}
	}
	return out
}

func choose[T any](list []T, wanted func(T) bool) []T {
	var out []T
	for _, x := range list {
		if wanted(x) {
			out = append(out, x)
		}
	}
	return out
}
