package model

// PowerSpec is the 24 V DC supply of a machine.
type PowerSpec struct {
	// Standard, with its edition, whose ampacity tables are used. Absent: IEC 60204-1:2016.
	Ampacity AmpacityStandard `yaml:"ampacity,omitempty"`
	// How cables are laid, unless a cable says otherwise. Absent: method B2, one circuit (the least of the tables).
	Laying *LayingSpec `yaml:"laying,omitempty"`
	// Conductor temperature for the lowest voltage and the smallest fault current. Absent: the limit of the cable's insulation.
	HotConductor *Temperature `yaml:"hot_conductor,omitempty"`
	// Conductor temperature for the highest voltage. Absent: the lowest ambient temperature.
	ColdConductor *Temperature `yaml:"cold_conductor,omitempty"`
	// Longest time in which a short circuit must be switched off. Absent: 5 s (IEC 60364-4-41:2017, 411.3.2.3, for distribution circuits).
	FaultTime Duration `yaml:"fault_time,omitempty"`
	// 24 V supplies by name.
	Supplies map[string]SupplySpec `yaml:"supplies,omitempty"`
	// Protective devices between the supplies and the feeds, by name.
	Protections map[string]ProtectionSpec `yaml:"protections,omitempty"`
	// Feeds: cables that bring the supply to modules and from module to module, by name.
	Feeds map[string]FeedSpec `yaml:"feeds,omitempty"`
}

// SupplySpec is one 24 V supply.
type SupplySpec struct {
	// Name of the supply type.
	Type string `yaml:"type" jsonschema:"required"`
	// Zone in which the supply stands.
	Zone string `yaml:"zone,omitempty"`
	// Air temperature at the supply, where it differs from the zone's or the machine's.
	Ambient *TemperatureRange `yaml:"ambient,omitempty"`
	// Free text about the supply.
	About string `yaml:"about,omitempty"`
}

// ProtectionSpec is one overcurrent protective device between a supply and its feeds.
type ProtectionSpec struct {
	// Name of the protection type.
	Type string `yaml:"type" jsonschema:"required"`
	// Supply, or protective device upstream, that feeds this one.
	From string `yaml:"from" jsonschema:"required"`
	// Wiring from there; absent: its resistance is neglected and its conductors are not checked.
	Cable *CableRunSpec `yaml:"cable,omitempty"`
	// Air temperature at the device, where it differs from that at the supply.
	Ambient *TemperatureRange `yaml:"ambient,omitempty"`
	// Free text about the device.
	About string `yaml:"about,omitempty"`
}

// FeedSpec is one supply cable: from protective devices or supplies to the first module, or from module to module.
// It carries one or two circuits, each on conductors of its own.
type FeedSpec struct {
	// Module that passes the supply on; absent when the circuits come from protective devices or supplies.
	From string `yaml:"from,omitempty"`
	// Module, device, controller or switch that is fed.
	To string `yaml:"to" jsonschema:"required"`
	// The cable; absent: the plugs meet directly and have no resistance.
	Cable *CableRunSpec `yaml:"cable,omitempty"`
	// The sensor and logic supply on this feed. Absent on both circuits of a feed from a module: all circuits of that module go on.
	Sensor *FeedCircuitSpec `yaml:"sensor,omitempty"`
	// The actuator supply on this feed.
	Actuator *FeedCircuitSpec `yaml:"actuator,omitempty"`
	// Free text about the feed.
	About string `yaml:"about,omitempty"`
}

// FeedCircuitSpec is one circuit on a feed.
type FeedCircuitSpec struct {
	// Protective device or supply that feeds the circuit; absent on a feed from a module.
	From string `yaml:"from,omitempty"`
	// Cores in parallel that carry plus. Absent: 1.
	PlusCores int `yaml:"plus_cores,omitempty" jsonschema:"minimum=1"`
	// Cores in parallel that carry the return. Absent: 1.
	ReturnCores int `yaml:"return_cores,omitempty" jsonschema:"minimum=1"`
}
