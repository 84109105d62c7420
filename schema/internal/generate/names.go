package main

// nameFields are the texts, and lists of texts, that name something or are codes: by Go type and key, with the
// definition that they follow. All other texts are free.
func nameFields() map[string]string {
	fields := map[string]string{
		"LinkSpec.from":   linkEnd,
		"LinkSpec.to":     linkEnd,
		"FlowSpec.from":   flowEnd,
		"FlowSpec.to":     flowEnd,
		"PlantSpec.at":    linkEnd,
		"DeviceType.kind": kindName,
		"RuleSpec.for":    objectKind,

		"ModuleSpec.safety_network":     safetyNetwork,
		"ControllerSpec.safety_network": safetyNetwork,
		"SwitchSpec.safety_network":     safetyNetwork,
	}
	for _, field := range []string{
		"ZoneSpec.next_to",
		"DeviceSpec.type", "DeviceSpec.zone", "DeviceSpec.view_of",
		"MutingSpec.sensors", "MutingSpec.lamp", "MutingSpec.override", "StandstillSpec.monitor",
		"ModuleSpec.type", "ModuleSpec.zone",
		"PortSpec.device", "PortSpec.set",
		"CableRunSpec.type", "CableRunSpec.joints",
		"ControllerSpec.type", "ControllerSpec.zone",
		"SwitchSpec.type", "SwitchSpec.zone",
		"SupplySpec.type", "SupplySpec.zone",
		"ProtectionSpec.type", "ProtectionSpec.from",
		"FeedSpec.from", "FeedSpec.to", "FeedCircuitSpec.from",
		"DriveSpec.zone", "DriveSpec.switched_by",
		"FunctionSpec.demand", "FunctionSpec.stops", "FunctionSpec.outputs", "FunctionSpec.controller", "FunctionSpec.reset",
		"ApproachSpec.hazards",
		"LogicSpec.controller", "NetworkSpec.controller", "ConnectionSpec.module", "ConnectionSpec.controller",
		"LinkSpec.cable", "ModuleType.network_connector", "ControllerType.network_connector", "SwitchType.network_connector",
		"ModuleSpec.closed_ports", "ControllerSpec.closed_ports", "SwitchSpec.closed_ports",
		"RingSpec.nodes", "RingSpec.supervisor", "RingSpec.backups",
		"ModuleType.power_in", "ModuleType.power_out", "ModuleType.network_ports",
		"PortType.connector", "PortType.fuse", "PortType.actuator_fuse",
		"CableType.ends", "ControllerType.network_ports", "SwitchType.network_ports",
		"KindSpec.gives", "KindSpec.takes", "KindSpec.false_on_demand", "KindSpec.true_on_demand",
	} {
		fields[field] = name
	}
	return fields
}

// uniqueLists are the lists in which the loader refuses a second entry of the same name.
func uniqueLists() []string {
	return []string{
		"DriveSpec.switched_by", "FunctionSpec.demand", "FunctionSpec.stops", "FunctionSpec.outputs", "ApproachSpec.hazards", "RingSpec.nodes",
		"DeviceSpec.view_of", "MutingSpec.sensors",
		"ModuleType.network_ports", "ControllerType.network_ports", "SwitchType.network_ports",
		"ModuleType.ring_protocols", "ControllerType.ring_protocols", "SwitchType.ring_protocols",
		"KindSpec.gives", "KindSpec.takes",
		"LogicInputSpec.one_of", "StateSpec.one_of", "DeviceType.positions",
	}
}

// otherKeys are the mappings whose keys are not names for rules and logic, with the definition that their keys follow;
// nothing for keys that may be any text.
func otherKeys() map[string]string {
	return map[string]string{
		"Description.kinds":  kindName,
		"Parts.kinds":        kindName,
		"ModuleSpec.ports":   portName,
		"ModuleType.ports":   portKey,
		"PortType.pins":      contactNumber,
		"DeviceType.pins":    contactNumber,
		"NetworkSpec.rings":  "",
		"File.rules":         ruleID,
		"CaseSpec.replace":   "",
		"Mapping.signals":    "",
		"LogicSpec.values":   valueName,
		"LogicSpec.blocks":   valueName,
		"LogicSpec.counters": valueName,
		"LogicSpec.states":   valueName,
		"LogicSpec.initial":  valueName,
	}
}
