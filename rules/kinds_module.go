package rules

import (
	"maps"
	"slices"

	"github.com/guardwright/guardwright/model"
)

func moduleKinds() []*kind {
	module := kindOf[*model.Module]("Devices and modules", "module", "One safety I/O module.", slices.Concat(
		originFields(moduleOrigin),
		[]field{
			text("about", "Free text about the module.", func(m *model.Module) string { return m.About }),
			text("label", "Label on the module and on the drawing (IEC 81346).", func(m *model.Module) string { return m.Label }),
			part("type", "module_type", "Data sheet of the module.", func(m *model.Module) *model.ResolvedModuleType { return m.Type }),
			maybeCount("address_switch", "What the address switches on the module are set to.", func(m *model.Module) *int { return m.AddressSwitch }),
			texts("sets", "Names of the parameter sets that its ports can be given.", func(m *model.Module) []string { return slices.Sorted(maps.Keys(m.Type.Sets)) }),
			object("zone", "zone", "Zone in which the module stands.", func(m *model.Module) *model.Zone { return m.Zone }),
			objects("ports", "port", "Ports, used and free.", func(m *model.Module) []*model.Port { return m.Ports }),
			objects("loads", "load", "The module's own loads on the 24 V supply.", func(m *model.Module) []*model.DeviceLoad { return m.Loads }),
			object("sensor_feed", "feed_circuit", "Feed that ends at the module, sensor circuit.", func(m *model.Module) *model.FeedCircuit { return m.Feeds.Sensor }),
			object("actuator_feed", "feed_circuit", "Feed that ends at the module, actuator circuit.", func(m *model.Module) *model.FeedCircuit { return m.Feeds.Actuator }),
			objects("onward", "feed", "Feeds that start at the module.", func(m *model.Module) []*model.Feed { return m.Onward }),
		},
		addressFields(func(m *model.Module) *model.AddressSpec { return &m.AddressSpec }),
		openPorts(func(m *model.Module) model.NetworkNode { return model.NetworkNode{Module: m} }),
		surroundings(func(m *model.Module) *model.Zone { return m.Zone }),
		moduleResults(),
	)...)
	written[model.ModuleSpec](module)
	found(module, func(w *world) []*model.Module { return w.machine.Modules }, moduleOrigin)

	port := kindOf[*model.Port]("Devices and modules", "port", "One port of a module, used or free.", slices.Concat(
		originFields(portOrigin),
		[]field{
			text("about", "Free text about the port.", func(p *model.Port) string { return p.About }),
			part("module", "module", "Module of the port.", func(p *model.Port) *model.Module { return p.Module }),
			object("device", "device", "Device at the port; absent: the port is free.", func(p *model.Port) *model.Device { return p.Device }),
			object("cable", "cable", "Cable to the device; absent: the device is plugged on directly, or the port is free.", func(p *model.Port) *model.CableRun { return p.Cable }),
			object("connector", "connector", "Connector of the port.", func(p *model.Port) *model.Connector { return p.Connector }),
			object("set", "parameter_set", "Parameter set of the port.", func(p *model.Port) *model.NamedSet { return p.Set }),
			truth("capped", "True when a free port is closed with a cap.", func(p *model.Port) bool { return p.Capped }),
			statedCount("contacts", "Number of contacts of the port's connector.", func(p *model.Port) int { return p.Type.Contacts }),
			count("inputs", "Number of safe input channels.", func(p *model.Port) int { return p.Type.Inputs }),
			count("outputs", "Number of safe output channels.", func(p *model.Port) int { return p.Type.Outputs }),
			object("fuse", "protection_type", "Protective device of the port's sensor supply.", func(p *model.Port) *model.ResolvedProtectionType { return p.Fuse }),
			object("actuator_fuse", "protection_type", "Protective device of the port's actuator supply or output.", func(p *model.Port) *model.ResolvedProtectionType { return p.ActuatorFuse }),
			statedAmount("limit", "Highest current of the port's sensor supply.", func(p *model.Port) model.Current { return p.Type.Limit }),
			statedAmount("actuator_limit", "Highest current of the port's actuator supply or output.", func(p *model.Port) model.Current { return p.Type.ActuatorLimit }),
			objects("pins", "pin", "Contacts of the port; empty when not stated.", func(p *model.Port) []*pin { return pinsOf(p.Type.Pins) }),
			truth("shared_return", "True when one contact carries the 0 V of both circuits to the device.", func(p *model.Port) bool { return p.Type.SharedReturn }),
		},
		portResults(),
	)...)
	written[model.PortSpec](port)
	shown(found(port, func(w *world) []*model.Port { return allPorts(w.machine) }, portOrigin),
		func(p *model.Port) string { return p.Module.Name + "." + p.Name })

	set := kindOf[*model.NamedSet]("Devices and modules", "parameter_set", "What a port is set to.",
		named("name", "Name of the set.", func(s *model.NamedSet) string { return s.Name }),
		text("about", "Free text about the set.", func(s *model.NamedSet) string { return s.About }),
		text("for", "Kind of outputs that the set is for: ossd or contacts; absent: it is not for inputs.", func(s *model.NamedSet) model.OutputKind { return s.For }),
		count("channels", "Number of channels that are evaluated together.", func(s *model.NamedSet) int { return s.Channels }),
		truth("antivalent", "True when the channels must have opposite states.", func(s *model.NamedSet) bool { return s.Antivalent }),
		truth("test_pulses", "True when the port sends test pulses, a different one on each channel.", func(s *model.NamedSet) bool { return s.TestPulses }),
		statedAmount("filter", "Input filter: shorter pulses are ignored.", func(s *model.NamedSet) model.Duration { return s.Filter }),
		statedAmount("discrepancy", "Discrepancy time: longest difference between the channels that is not a fault.", func(s *model.NamedSet) model.Duration { return s.Discrepancy }),
		truth("holds_while_differing", "True when the port keeps the last agreed value while the channels differ.", func(s *model.NamedSet) bool { return s.HoldsWhileDiffering }),
		statedAmount("test_pulse", "Longest test pulse that the port sends.", func(s *model.NamedSet) model.Duration { return s.TestPulse }),
		statedAmount("off_delay", "Delay with which the port passes on that a channel is off.", func(s *model.NamedSet) model.Duration { return s.OffDelay }),
	)
	shown(set, func(s *model.NamedSet) string { return s.Name })

	controller := kindOf[*model.Controller]("Devices and modules", "controller", "One safety controller.", slices.Concat(
		originFields(func(c *model.Controller) model.Origin { return c.Origin }),
		[]field{
			text("about", "Free text about the controller.", func(c *model.Controller) string { return c.About }),
			part("type", "controller_type", "Data sheet of the controller.", func(c *model.Controller) *model.ResolvedControllerType { return c.Type }),
			object("zone", "zone", "Zone in which the controller stands.", func(c *model.Controller) *model.Zone { return c.Zone }),
			statedAmount("safety_cycle", "Period of the safety task.", func(c *model.Controller) model.Duration { return c.SafetyCycle }),
			statedAmount("cycle_watchdog", "Time after which the controller switches off when a safety cycle has not ended.", func(c *model.Controller) model.Duration { return c.CycleWatchdog }),
			statedAmount("execution_time", "Longest execution time of the safety program in one cycle.", func(c *model.Controller) model.Duration { return c.ExecutionTime }),
			objects("loads", "load", "Loads on the 24 V supply.", func(c *model.Controller) []*model.DeviceLoad { return c.Loads }),
			object("sensor_feed", "feed_circuit", "Feed that ends at the controller, sensor circuit.", func(c *model.Controller) *model.FeedCircuit { return c.Feeds.Sensor }),
			object("actuator_feed", "feed_circuit", "Feed that ends at the controller, actuator circuit.", func(c *model.Controller) *model.FeedCircuit { return c.Feeds.Actuator }),
		},
		addressFields(func(c *model.Controller) *model.AddressSpec { return &c.AddressSpec }),
		openPorts(func(c *model.Controller) model.NetworkNode { return model.NetworkNode{Controller: c} }),
		surroundings(func(c *model.Controller) *model.Zone { return c.Zone }),
	)...)
	written[model.ControllerSpec](controller)
	found(controller, func(w *world) []*model.Controller { return w.machine.Controllers }, func(c *model.Controller) model.Origin { return c.Origin })

	sw := kindOf[*model.Switch]("Devices and modules", "switch", "One network switch that stands alone.", slices.Concat(
		originFields(func(s *model.Switch) model.Origin { return s.Origin }),
		[]field{
			text("about", "Free text about the switch.", func(s *model.Switch) string { return s.About }),
			part("type", "switch_type", "Data sheet of the switch.", func(s *model.Switch) *model.ResolvedSwitchType { return s.Type }),
			object("zone", "zone", "Zone in which the switch stands.", func(s *model.Switch) *model.Zone { return s.Zone }),
			objects("loads", "load", "Loads on the 24 V supply.", func(s *model.Switch) []*model.DeviceLoad { return s.Loads }),
			object("sensor_feed", "feed_circuit", "Feed that ends at the switch, sensor circuit.", func(s *model.Switch) *model.FeedCircuit { return s.Feeds.Sensor }),
			object("actuator_feed", "feed_circuit", "Feed that ends at the switch, actuator circuit.", func(s *model.Switch) *model.FeedCircuit { return s.Feeds.Actuator }),
		},
		addressFields(func(s *model.Switch) *model.AddressSpec { return &s.AddressSpec }),
		openPorts(func(s *model.Switch) model.NetworkNode { return model.NetworkNode{Switch: s} }),
		surroundings(func(s *model.Switch) *model.Zone { return s.Zone }),
	)...)
	written[model.SwitchSpec](sw)
	found(sw, func(w *world) []*model.Switch { return w.machine.Switches }, func(s *model.Switch) model.Origin { return s.Origin })
	return []*kind{module, port, set, controller, sw}
}

func moduleOrigin(m *model.Module) model.Origin { return m.Origin }
func portOrigin(p *model.Port) model.Origin     { return p.Origin }
