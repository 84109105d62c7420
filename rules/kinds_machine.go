package rules

import (
	"slices"

	"github.com/guardwright/guardwright/model"
)

// everything is the list of all objects of a kind that the machine holds.
func everything[T any](name, kind, about string, get func(*model.Machine) []*T) field {
	return objects(name, kind, about, get)
}

func machineKinds() []*kind {
	machine := kindOf[*model.Machine]("Machine", "machine", "The whole machine, and all that it consists of.", slices.Concat(
		[]field{
			named("name", "Name of the machine, as it stands on its papers.", func(m *model.Machine) string { return m.Name }),
			text("about", "Free text about the machine.", func(m *model.Machine) string { return m.About }),
		},
		ambientFields(func(m *model.Machine) model.AmbientRange { return m.Ambient }),
		[]field{
			everything("zones", "zone", "Zones.", func(m *model.Machine) []*model.Zone { return m.Zones }),
			everything("devices", "device", "Devices.", func(m *model.Machine) []*model.Device { return m.Devices }),
			everything("modules", "module", "Safety I/O modules.", func(m *model.Machine) []*model.Module { return m.Modules }),
			everything("ports", "port", "Ports of all modules, used and free.", allPorts),
			everything("controllers", "controller", "Safety controllers.", func(m *model.Machine) []*model.Controller { return m.Controllers }),
			everything("switches", "switch", "Network switches that stand alone.", func(m *model.Machine) []*model.Switch { return m.Switches }),
			everything("supplies", "supply", "24 V supplies.", func(m *model.Machine) []*model.Supply { return m.Power.Supplies }),
			everything("protections", "protection", "Protective devices between supplies and feeds.", func(m *model.Machine) []*model.Protection { return m.Power.Protections }),
			everything("feeds", "feed", "Feeds.", func(m *model.Machine) []*model.Feed { return m.Power.Feeds }),
			everything("cables", "cable", "Laid cables: at ports, in feeds and before protective devices.", allCables),
			everything("loads", "load", "Loads on the 24 V supply.", allLoads),
			everything("drives", "drive", "Drives and other sources of hazardous motion.", func(m *model.Machine) []*model.Drive { return m.Drives }),
			everything("functions", "safety_function", "Safety functions.", func(m *model.Machine) []*model.Function { return m.Functions }),
			object("network", "network", "The safety network.", func(m *model.Machine) *model.Network { return m.Network }),
			named("ampacity_standard", "Standard, with its edition, whose ampacity tables are used.", func(m *model.Machine) model.AmpacityStandard { return m.Power.Ampacity }),
			amount("fault_time", "Longest time in which a short circuit must be switched off.", func(m *model.Machine) model.Duration { return m.Power.FaultTime }),
			maybeAmount("hot_conductor", "Conductor temperature for the lowest voltage and the smallest fault current; absent: the limit of each cable's insulation.", func(m *model.Machine) *model.Temperature { return m.Power.HotConductor }),
			amount("cold_conductor", "Conductor temperature for the highest voltage.", func(m *model.Machine) model.Temperature { return m.Power.ColdConductor }),
			truth("has_logic", "True when the description holds interlock logic.", func(m *model.Machine) bool { return m.Logic != nil }),
		},
		machineResults(),
	)...)
	written[model.Description](machine)
	found(machine, func(w *world) []*model.Machine { return []*model.Machine{w.machine} },
		machineOrigin)

	zone := kindOf[*model.Zone]("Machine", "zone", "A part of the machine that is entered, stopped or reset as one.", slices.Concat(
		originFields(zoneOrigin),
		[]field{text("about", "Free text about the zone.", func(z *model.Zone) string { return z.About })},
		ambientFields(func(z *model.Zone) model.AmbientRange { return z.Ambient }),
		ingressFields(func(z *model.Zone) model.IngressCode { return z.Ingress }),
		[]field{
			statedTruth("whole_body", "True where a person can stand inside with the guards closed.", func(z *model.Zone) *bool { return z.WholeBody }),
			objects("next_to", "zone", "Neighbouring zones that can be reached from this one.", func(z *model.Zone) []*model.Zone { return z.NextTo }),
			statedCount("persons", "Number of persons who work in reach of the hazards of the zone at the same time.", func(z *model.Zone) int { return z.Persons }),
			texts("agents", "Cleaning agents, oils and coolants that come onto what stands in the zone.", func(z *model.Zone) []string { return z.Agents }),
			objects("devices", "device", "Devices in the zone.", func(z *model.Zone) []*model.Device { return z.Devices }),
			objects("modules", "module", "Modules in the zone.", func(z *model.Zone) []*model.Module { return z.Modules }),
		},
		zoneRelations(),
	)...)
	written[model.ZoneSpec](zone)
	found(zone, func(w *world) []*model.Zone { return w.machine.Zones }, zoneOrigin)
	return []*kind{machine, zone}
}

// machineOrigin is the line of the machine's name.
func machineOrigin(m *model.Machine) model.Origin {
	return model.Origin{Name: m.Name, Path: "machine", Position: m.Position("machine")}
}

func zoneOrigin(z *model.Zone) model.Origin { return z.Origin }

func allPorts(m *model.Machine) []*model.Port {
	var out []*model.Port
	for _, module := range m.Modules {
		out = append(out, module.Ports...)
	}
	return out
}

// allCables lists the cables at the ports, in the feeds and before the protective devices.
func allCables(m *model.Machine) []*model.CableRun {
	var out []*model.CableRun
	add := func(c *model.CableRun) {
		if c != nil {
			out = append(out, c)
		}
	}
	for _, p := range allPorts(m) {
		add(p.Cable)
	}
	for _, f := range m.Power.Feeds {
		add(f.Cable)
	}
	for _, p := range m.Power.Protections {
		add(p.Cable)
	}
	return out
}

// allLoads lists the loads of modules, devices, controllers and switches.
func allLoads(m *model.Machine) []*model.DeviceLoad {
	var out []*model.DeviceLoad
	for _, o := range m.Modules {
		out = append(out, o.Loads...)
	}
	for _, o := range m.Devices {
		out = append(out, o.Loads...)
	}
	for _, o := range m.Controllers {
		out = append(out, o.Loads...)
	}
	for _, o := range m.Switches {
		out = append(out, o.Loads...)
	}
	return out
}
