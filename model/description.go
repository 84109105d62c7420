package model

// Format is the newest version of the file format of machine and parts files that this library reads.
const Format = 1

// Description is a machine as a file or a program states it: names are text and nothing has been checked.
// [Build] turns it into a [Machine].
type Description struct {
	// Version of the file format; 1 is the newest.
	Format int `yaml:"format" jsonschema:"required"`
	// Name of the machine, as it stands on its papers.
	Machine string `yaml:"machine" jsonschema:"required"`
	// Free text about the machine.
	About string `yaml:"about,omitempty"`
	// Parts files with component data, relative to this file.
	Use []string `yaml:"use,omitempty"`
	// Air temperature around the machine, unless a zone says otherwise.
	Ambient TemperatureRange `yaml:"ambient" jsonschema:"required"`
	// Zones of the machine, by name.
	Zones map[string]ZoneSpec `yaml:"zones,omitempty"`
	// Kinds of devices beyond the built-in ones, by name.
	Kinds map[string]KindSpec `yaml:"kinds,omitempty"`
	// Component data by name.
	Types Types `yaml:"types,omitempty"`
	// Devices: what a person or a guard acts on, and what the safety outputs act on.
	Devices map[string]DeviceSpec `yaml:"devices,omitempty"`
	// Safety I/O modules on the machine.
	Modules map[string]ModuleSpec `yaml:"modules,omitempty"`
	// Safety controllers.
	Controllers map[string]ControllerSpec `yaml:"controllers,omitempty"`
	// Network switches that stand alone (a module's own two ports are not listed here).
	Switches map[string]SwitchSpec `yaml:"switches,omitempty"`
	// The 24 V DC supply of the machine.
	Power PowerSpec `yaml:"power,omitempty"`
	// The safety network.
	Network *NetworkSpec `yaml:"network,omitempty"`
	// Drives and other sources of hazardous motion, by name.
	Drives map[string]DriveSpec `yaml:"drives,omitempty"`
	// Safety functions, by name.
	Functions map[string]FunctionSpec `yaml:"functions,omitempty"`
	// Interlock logic.
	Logic *LogicSpec `yaml:"logic,omitempty"`
	// Findings that were judged and accepted, each with its reason.
	Accept []AcceptSpec `yaml:"accept,omitempty"`
}

// Parts is a parts file: component data that several machines share.
type Parts struct {
	// Version of the file format; 1 is the newest.
	Format int `yaml:"format" jsonschema:"required"`
	// What this collection of component data is.
	Parts string `yaml:"parts" jsonschema:"required"`
	// Free text about the collection: where the data come from, and of what date.
	About string `yaml:"about,omitempty"`
	// Further parts files that this one builds on, relative to this file.
	Use []string `yaml:"use,omitempty"`
	// Kinds of devices beyond the built-in ones, by name.
	Kinds map[string]KindSpec `yaml:"kinds,omitempty"`
	// Component data by name.
	Types Types `yaml:"types,omitempty"`
}

// Types is component data by group and name.
type Types struct {
	// Devices by name of the type.
	Devices map[string]DeviceType `yaml:"devices,omitempty"`
	// Safety I/O modules by name of the type.
	Modules map[string]ModuleType `yaml:"modules,omitempty"`
	// Cables by name of the type.
	Cables map[string]CableType `yaml:"cables,omitempty"`
	// Connectors by name of the type.
	Connectors map[string]ConnectorType `yaml:"connectors,omitempty"`
	// 24 V supplies by name of the type.
	Supplies map[string]SupplyType `yaml:"supplies,omitempty"`
	// Overcurrent protective devices, port fuses included, by name of the type.
	Protections map[string]ProtectionType `yaml:"protections,omitempty"`
	// Safety controllers by name of the type.
	Controllers map[string]ControllerType `yaml:"controllers,omitempty"`
	// Network switches by name of the type.
	Switches map[string]SwitchType `yaml:"switches,omitempty"`
}

// TemperatureRange is a lowest and a highest temperature. Nil means not stated.
type TemperatureRange struct {
	// Lowest temperature.
	Min *Temperature `yaml:"min,omitempty"`
	// Highest temperature.
	Max *Temperature `yaml:"max,omitempty"`
}

// ZoneSpec is a part of the machine that is entered, stopped or reset as one.
type ZoneSpec struct {
	// Free text about the zone.
	About string `yaml:"about,omitempty"`
	// Air temperature in the zone, where it differs from the machine's.
	Ambient *TemperatureRange `yaml:"ambient,omitempty"`
	// Degree of protection that the surroundings ask for (IEC 60529), such as IP67. Empty: inside a cabinet or not stated.
	Ingress IngressCode `yaml:"ingress,omitempty"`
	// True where a person can stand inside with the guards closed.
	WholeBody *bool `yaml:"whole_body,omitempty"`
	// Neighbouring zones that can be reached from this one.
	NextTo []string `yaml:"next_to,omitempty"`
	// Number of persons who work in reach of the hazards of the zone at the same time.
	Persons int `yaml:"persons,omitempty" jsonschema:"minimum=1"`
	// Cleaning agents, oils and coolants that come onto what stands in the zone, each in a word of your own such as cutting_oil. Absent: none.
	Agents []string `yaml:"agents,omitempty"`
}

// DeviceSpec is one device of the machine.
type DeviceSpec struct {
	// Name of the device type.
	Type string `yaml:"type" jsonschema:"required"`
	// Zone in which the device stands; absent: the zone of the module it is plugged into.
	Zone string `yaml:"zone,omitempty"`
	// Free text: what the device is for.
	About string `yaml:"about,omitempty"`
	// Label on the device and on the drawing (IEC 81346).
	Label string `yaml:"label,omitempty"`
	// Light curtain or laser scanner: how the load is let through (IEC 62046).
	Muting *MutingSpec `yaml:"muting,omitempty"`
	// Two-hand control: longest time between the two hands with which a stroke still begins (ISO 13851:2019, 5.8).
	Synchronous Duration `yaml:"synchronous,omitempty"`
	// Contactor or valve: time after its command has gone, at which a feedback that is still missing counts as a fault.
	FeedbackTime Duration `yaml:"feedback_time,omitempty"`
	// True when it stands outside of the zones that it acts on, out of reach of a person inside (ISO 13849-1:2015, 5.2.2).
	Outside *bool `yaml:"outside,omitempty"`
	// Zones of which all can be seen from the device; [] for none. Absent: not stated.
	ViewOf []string `yaml:"view_of,omitempty"`
	// Emergency stop: true when it is marked at the device what it stops (ISO 13850:2015, 4.1.2).
	SpanMarked *bool `yaml:"span_marked,omitempty"`
	// Lamp: what its light means.
	Meaning LightMeaning `yaml:"meaning,omitempty"`
	// Guard: true where somebody has a reason to defeat the interlocking device, such as a quicker work (ISO 14119:2024, annex H).
	DefeatIncentive *bool `yaml:"defeat_incentive,omitempty"`
	// Guard: true when the interlocking device is mounted hidden or out of reach against defeat.
	Hidden bool `yaml:"hidden,omitempty"`
	// Guard lock: greatest force with which a person can act on the guard, by direction and posture (ISO 14119:2024, annex on static action forces).
	ActionForce Force `yaml:"action_force,omitempty"`
}

// ModuleSpec is one safety I/O module of the machine.
type ModuleSpec struct {
	// Name of the module type.
	Type string `yaml:"type" jsonschema:"required"`
	// Zone in which the module stands.
	Zone string `yaml:"zone,omitempty"`
	// Free text about the module.
	About string `yaml:"about,omitempty"`
	// Label on the module and on the drawing (IEC 81346).
	Label string `yaml:"label,omitempty"`
	// What is plugged into the ports, by name of the port.
	Ports map[string]PortSpec `yaml:"ports,omitempty"`
	// Network and safety addresses.
	AddressSpec `yaml:",inline"`
	// What the address switches on the module are set to.
	AddressSwitch *int `yaml:"address_switch,omitempty" jsonschema:"minimum=0,maximum=65535"`
}

// PortSpec says what is plugged into one port of a module.
type PortSpec struct {
	// Name of the device at the port; absent: the port is free.
	Device string `yaml:"device,omitempty"`
	// The cable from the port to the device; absent: the device is plugged on directly.
	Cable *CableRunSpec `yaml:"cable,omitempty"`
	// Name of the parameter set of the port, out of those of the module type.
	Set string `yaml:"set,omitempty"`
	// True when a free port is closed with a cap.
	Capped bool `yaml:"capped,omitempty"`
	// Free text.
	About string `yaml:"about,omitempty"`
}

// CableRunSpec is one laid cable.
type CableRunSpec struct {
	// Name of the cable type.
	Type string `yaml:"type" jsonschema:"required"`
	// Length, one way.
	Length Length `yaml:"length" jsonschema:"required"`
	// Further connectors within the run (bulkheads, extensions), by name of the connector type.
	Joints []string `yaml:"joints,omitempty"`
	// Air temperature along the run, where it differs from the zone's or the machine's.
	Ambient *TemperatureRange `yaml:"ambient,omitempty"`
	// How the cable is laid; absent: as the power section says.
	Laying *LayingSpec `yaml:"laying,omitempty"`
	// Label at both ends of the cable and on the drawing (IEC 81346).
	Label string `yaml:"label,omitempty"`
	// True when the cores of the two channels are laid apart and so protected that a short circuit between them need not be expected (ISO 13849-2:2012, table D.4).
	ChannelsApart bool `yaml:"channels_apart,omitempty"`
	// Cable that moves: smallest radius to which it is bent. Absent: the cable lies still.
	BendRadius Length `yaml:"bend_radius,omitempty"`
	// Cable that moves: number of bends in its life.
	BendCycles int `yaml:"bend_cycles,omitempty" jsonschema:"minimum=1"`
}

// LayingSpec says how a cable is laid, as far as its ampacity depends on it.
type LayingSpec struct {
	// Method of installation, IEC 60204-1:2016 D.1.2: B1, B2, C or E.
	Method LayingMethod `yaml:"method,omitempty"`
	// Number of loaded circuits or cables laid together, this one included. Absent: 1.
	Grouped int `yaml:"grouped,omitempty" jsonschema:"minimum=1"`
}

// AddressSpec holds what a module, controller or switch is as a node of the network: its addresses and closed ports.
type AddressSpec struct {
	// IPv4 address.
	Address *IPAddress `yaml:"address,omitempty"`
	// Safety network number of CIP Safety (IEC 61784-3-2), such as 1234_5678_9abc.
	SafetyNetwork string `yaml:"safety_network,omitempty"`
	// Safety address: F-address of PROFIsafe (IEC 61784-3-3), device address of Safety over EtherCAT (IEC 61784-3-12).
	SafetyAddress int `yaml:"safety_address,omitempty" jsonschema:"minimum=1,maximum=65535"`
	// Network ports without a cable that are capped or switched off.
	ClosedPorts []string `yaml:"closed_ports,omitempty"`
}

// ControllerSpec is one safety controller.
type ControllerSpec struct {
	// Name of the controller type.
	Type string `yaml:"type" jsonschema:"required"`
	// Zone in which the controller stands.
	Zone string `yaml:"zone,omitempty"`
	// Free text about the controller.
	About string `yaml:"about,omitempty"`
	// Period of the safety task.
	SafetyCycle Duration `yaml:"safety_cycle,omitempty"`
	// Time after which the controller switches off when a safety cycle has not ended.
	CycleWatchdog Duration `yaml:"cycle_watchdog,omitempty"`
	// Longest execution time of the safety program in one cycle.
	ExecutionTime Duration `yaml:"execution_time,omitempty"`
	// Network and safety addresses.
	AddressSpec `yaml:",inline"`
}

// SwitchSpec is one network switch.
type SwitchSpec struct {
	// Name of the switch type.
	Type string `yaml:"type" jsonschema:"required"`
	// Zone in which the switch stands.
	Zone string `yaml:"zone,omitempty"`
	// Free text about the switch.
	About string `yaml:"about,omitempty"`
	// Network address.
	AddressSpec `yaml:",inline"`
}

// AcceptSpec is a finding that was judged by a person and accepted.
type AcceptSpec struct {
	// Id of the rule.
	Rule string `yaml:"rule" jsonschema:"required"`
	// Path of the object, as the finding prints it.
	At string `yaml:"at" jsonschema:"required"`
	// Why the finding is acceptable here.
	Reason string `yaml:"reason" jsonschema:"required"`
	// Who decided.
	Who string `yaml:"who" jsonschema:"required"`
	// Last day on which the acceptance holds.
	Until Date `yaml:"until" jsonschema:"required"`
}
