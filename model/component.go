package model

// DeviceType is the data of a kind of device, as a data sheet gives it.
type DeviceType struct {
	// Kind of device: a built-in one (see [BuiltinKinds]) or one of the file's own kinds.
	Kind string `yaml:"kind" jsonschema:"required"`
	// Free text about the type.
	About string `yaml:"about,omitempty"`
	// What the device puts on its signal cores: semiconductor outputs that test themselves, or volt-free contacts.
	Outputs OutputKind `yaml:"outputs,omitempty"`
	// Number of signal channels that the device gives.
	Channels int `yaml:"channels,omitempty" jsonschema:"minimum=0"`
	// True when the two channels have opposite states (antivalent); absent: equivalent.
	Antivalent bool `yaml:"antivalent,omitempty"`
	// Cores that the device needs in its cable, supply cores included.
	Cores int `yaml:"cores,omitempty" jsonschema:"minimum=0"`
	// Loads on the 24 V supply by name (electronics, coil, lamp ...).
	Loads map[string]LoadType `yaml:"loads,omitempty"`
	// Longest time from the demand to the change of the outputs; of what switches (contactor, valve, drive input): from the loss of its command to the end of the energy.
	Response Duration `yaml:"response,omitempty"`
	// Shortest time for which the outputs stay off after a demand, however short the demand is.
	OffTime Duration `yaml:"off_time,omitempty"`
	// Longest test pulse of a safe output at which the device's own inputs do not react.
	IgnoredPulse Duration `yaml:"ignored_pulse,omitempty"`
	// Longest test pulse that the device's own outputs send.
	TestPulse *Duration `yaml:"test_pulse,omitempty"`
	// Longest difference between the two channels in normal use.
	Discrepancy *Duration `yaml:"discrepancy,omitempty"`
	// Longest cable from the port that the device allows.
	MaxCable Length `yaml:"max_cable,omitempty"`
	// Permitted air temperature.
	Temperature *TemperatureRange `yaml:"temperature,omitempty"`
	// Degree of protection (IEC 60529).
	Ingress IngressCode `yaml:"ingress,omitempty"`
	// True when the device latches mechanically until it is reset by hand (ISO 13850:2015, 4.4).
	Latching *bool `yaml:"latching,omitempty"`
	// Guard lock: what holds the bolt and what frees it.
	Locking LockPrinciple `yaml:"locking,omitempty"`
	// Guard lock: true when the bolt's position is read apart from the guard's.
	BoltMonitored *bool `yaml:"bolt_monitored,omitempty"`
	// Guard lock: true when a person inside can open it without tools.
	EscapeRelease *bool `yaml:"escape_release,omitempty"`
	// Guard lock: holding force F_Zh.
	HoldingForce Force `yaml:"holding_force,omitempty"`
	// Coding level of the actuator (ISO 14119).
	Coding CodingLevel `yaml:"coding,omitempty"`
	// Light curtain: type of IEC 61496-1, 2, 3 or 4.
	CurtainType int `yaml:"curtain_type,omitempty" jsonschema:"minimum=2,maximum=4"`
	// Light curtain: resolution (detection capability).
	Resolution Length `yaml:"resolution,omitempty"`
	// Contactor: true when it has mirror contacts (IEC 60947-4-1, annex F).
	MirrorContacts *bool `yaml:"mirror_contacts,omitempty"`
	// Two-hand control: type of ISO 13851.
	TwoHandType TwoHandType `yaml:"two_hand_type,omitempty"`
	// Colours of push-buttons and lights, by name of the signal that they give or take, such as reset or reset_lamp; background: what is behind the actuator of an emergency stop.
	Colours map[string]Colour `yaml:"colours,omitempty"`
	// Emergency stop: true when its station can be unplugged or switched off while the machine runs. Absent: it cannot.
	Pluggable bool `yaml:"pluggable,omitempty"`
	// Emergency stop that can be unplugged: true when one sees whether it is live, as by an actuator that lights up only then (ISO 13850:2015, 4.3.8).
	ShowsLive *bool `yaml:"shows_live,omitempty"`
	// Use of the contacts of its plug, by their number; the cable joins contacts of the same number.
	Pins map[string]PinUse `yaml:"pins,omitempty"`
	// Cleaning agents, oils and coolants that its housing stands, in the words of the zones. Absent: not known.
	Resists []string `yaml:"resists,omitempty"`
	// Mode selector: names of its positions, at least two.
	Positions []string `yaml:"positions,omitempty"`
}

// LoadType is one consumer on the 24 V supply. Exactly one of Current, Power and Resistance says what it draws.
type LoadType struct {
	// Circuit that feeds the load. Absent: sensor.
	Circuit Circuit `yaml:"circuit,omitempty"`
	// Current at any voltage in the range: a load with constant current.
	Current *Current `yaml:"current,omitempty"`
	// Power at any voltage in the range: a load with constant power (switching converter).
	Power *Power `yaml:"power,omitempty"`
	// Resistance: a load that follows Ohm's law (coil, lamp, heater).
	Resistance *Resistance `yaml:"resistance,omitempty"`
	// Lowest voltage at which the load works.
	Min Voltage `yaml:"min,omitempty"`
	// Highest voltage that the load permits.
	Max Voltage `yaml:"max,omitempty"`
	// Lowest voltage at which a magnet pulls, where it is higher than the lowest voltage at which it holds.
	PullIn Voltage `yaml:"pull_in,omitempty"`
	// True when the load is on whenever the supply is. Absent: true on the sensor circuit, false on the actuator circuit.
	Permanent *bool `yaml:"permanent,omitempty"`
	// Current when the load is switched on, above that in operation.
	Inrush *Inrush `yaml:"inrush,omitempty"`
}

// Inrush is what a load draws when it is switched on: a capacitor that is charged, or a current for a time, or nothing
// beyond its operating current.
type Inrush struct {
	// True when the load draws no more on being switched on than in operation, as the coil of a DC contactor does.
	None bool `yaml:"none,omitempty"`
	// Capacitance at the load's input.
	Capacitance Capacitance `yaml:"capacitance,omitempty"`
	// Peak current, where the data sheet gives it.
	Current Current `yaml:"current,omitempty"`
	// How long the peak current flows.
	Duration Duration `yaml:"duration,omitempty"`
}

// ModuleType is the data of a safety I/O module.
type ModuleType struct {
	// Free text about the type.
	About string `yaml:"about,omitempty"`
	// Ports by name. A key such as 1-4 or 5,7 states several numbered ports at once.
	Ports map[string]PortType `yaml:"ports,omitempty"`
	// Parameter sets that a port can be given, by name.
	Sets map[string]ParameterSet `yaml:"sets,omitempty"`
	// The module's own consumption.
	Loads map[string]LoadType `yaml:"loads,omitempty"`
	// Connector at which the supply comes in.
	PowerIn string `yaml:"power_in,omitempty"`
	// Connector at which the supply goes on to the next module; absent: it does not.
	PowerOut string `yaml:"power_out,omitempty"`
	// Resistance of each conductor between the supply's connectors inside the module, plus and return each.
	PassResistance Resistance `yaml:"pass_resistance,omitempty"`
	// Highest current into the module, what goes on to the next modules included, for each circuit.
	PassLimit Current `yaml:"pass_limit,omitempty"`
	// Highest current of the sensor circuit for the module itself and its ports.
	SensorLimit Current `yaml:"sensor_limit,omitempty"`
	// Highest current of the actuator circuit for the module itself and its ports.
	ActuatorLimit Current `yaml:"actuator_limit,omitempty"`
	// True when the 0 V of the two circuits are joined inside the module.
	CommonZeroVolt *bool `yaml:"common_zero_volt,omitempty"`
	// Network ports and how frames are passed between them.
	NetworkPortsType `yaml:",inline"`
	// Permitted air temperature.
	Temperature *TemperatureRange `yaml:"temperature,omitempty"`
	// Degree of protection (IEC 60529).
	Ingress IngressCode `yaml:"ingress,omitempty"`
	// Longest cable to a device.
	MaxCable Length `yaml:"max_cable,omitempty"`
	// Longest time from a change at an input to the safety message that carries it, without the filter of the port.
	InputResponse Duration `yaml:"input_response,omitempty"`
	// Longest time from a safety message to the change of the output.
	OutputResponse Duration `yaml:"output_response,omitempty"`
	// The same as input_response with one fault inside the module (one fault delay time, IEC 61784-3-3).
	InputFaultResponse Duration `yaml:"input_fault_response,omitempty"`
	// The same as output_response with one fault inside the module (one fault delay time, IEC 61784-3-3).
	OutputFaultResponse Duration `yaml:"output_fault_response,omitempty"`
	// Longest time from a safety message to the answer that acknowledges it (device acknowledgement time, IEC 61784-3-3).
	AcknowledgeTime Duration `yaml:"acknowledge_time,omitempty"`
	// Most modules of a line or ring in which this module may be, itself included. Absent: not stated.
	MaxInLine int `yaml:"max_in_line,omitempty" jsonschema:"minimum=1"`
	// What is set by switches on the module. Absent: not known.
	AddressSwitches AddressSwitches `yaml:"address_switches,omitempty"`
	// Cleaning agents, oils and coolants that its housing stands, in the words of the zones. Absent: not known.
	Resists []string `yaml:"resists,omitempty"`
}

// PortType is the data of a port of a module.
type PortType struct {
	// Number of contacts of the port's connector.
	Contacts int `yaml:"contacts,omitempty" jsonschema:"minimum=1"`
	// Connector of the port.
	Connector string `yaml:"connector,omitempty"`
	// Number of safe input channels at the port.
	Inputs int `yaml:"inputs,omitempty" jsonschema:"minimum=0"`
	// Number of safe output channels at the port.
	Outputs int `yaml:"outputs,omitempty" jsonschema:"minimum=0"`
	// Protective device of the port's sensor supply, by name of the protection type.
	Fuse string `yaml:"fuse,omitempty"`
	// Protective device of the port's actuator supply or output, by name of the protection type.
	ActuatorFuse string `yaml:"actuator_fuse,omitempty"`
	// Highest current of the port's sensor supply.
	Limit Current `yaml:"limit,omitempty"`
	// Highest current of the port's actuator supply or output.
	ActuatorLimit Current `yaml:"actuator_limit,omitempty"`
	// True when one contact carries the 0 V of both circuits to the device.
	SharedReturn bool `yaml:"shared_return,omitempty"`
	// Use of the port's contacts, by their number.
	Pins map[string]PinUse `yaml:"pins,omitempty"`
}

// ParameterSet is what a port can be set to.
type ParameterSet struct {
	// Free text about the set.
	About string `yaml:"about,omitempty"`
	// What kind of outputs the set is for. Absent: it is not for inputs.
	For OutputKind `yaml:"for,omitempty"`
	// Number of channels evaluated together.
	Channels int `yaml:"channels,omitempty" jsonschema:"minimum=0"`
	// True when the channels must have opposite states (antivalent).
	Antivalent bool `yaml:"antivalent,omitempty"`
	// True when the port sends test pulses, a different one on each channel.
	TestPulses bool `yaml:"test_pulses,omitempty"`
	// Input filter: shorter pulses are ignored. Absent: none.
	Filter Duration `yaml:"filter,omitempty"`
	// Discrepancy time: longest difference between the channels that is not a fault.
	Discrepancy Duration `yaml:"discrepancy,omitempty"`
	// True when the port keeps the last agreed value while the channels differ, until the discrepancy time is over. Absent: one channel that is off counts at once.
	HoldsWhileDiffering bool `yaml:"holds_while_differing,omitempty"`
	// Longest test pulse that the port sends.
	TestPulse Duration `yaml:"test_pulse,omitempty"`
	// Delay with which the port passes on that a channel is off.
	OffDelay Duration `yaml:"off_delay,omitempty"`
}

// CableType is the data of a cable.
type CableType struct {
	// Free text about the type.
	About string `yaml:"about,omitempty"`
	// Number of cores that can carry current or signals.
	Cores int `yaml:"cores" jsonschema:"required,minimum=1"`
	// Cross-section of a core.
	Section CrossSection `yaml:"section" jsonschema:"required"`
	// Direct current resistance of a core at 20 °C. Absent: the maximum of IEC 60228 class 5 where it has the cross-section, or of solid copper for an AWG size.
	Resistance ResistancePerLength `yaml:"resistance,omitempty"`
	// Connectors at the two ends, by name of the connector type; one name: the other end is wired to terminals.
	Ends []string `yaml:"ends,omitempty" jsonschema:"maxItems=2"`
	// Highest permitted conductor temperature. Absent: 70 °C (PVC).
	Insulation *Temperature `yaml:"insulation,omitempty"`
	// Ampacity of a core in 40 °C air with all current-carrying cores loaded, from the cable's data sheet. Absent: by the tables of the ampacity standard.
	Ampacity Current `yaml:"ampacity,omitempty"`
	// Permitted air temperature.
	Temperature *TemperatureRange `yaml:"temperature,omitempty"`
	// Degree of protection of the mated ends (IEC 60529).
	Ingress IngressCode `yaml:"ingress,omitempty"`
	// Cable made to move: smallest radius to which it may be bent. Absent: not known.
	BendRadius Length `yaml:"bend_radius,omitempty"`
	// Cable made to move: number of bends that it stands.
	BendCycles int `yaml:"bend_cycles,omitempty" jsonschema:"minimum=1"`
	// Cleaning agents, oils and coolants that its sheath stands, in the words of the zones. Absent: not known.
	Resists []string `yaml:"resists,omitempty"`
}

// ConnectorType is the data of a connector pair.
type ConnectorType struct {
	// Free text about the type.
	About string `yaml:"about,omitempty"`
	// Number of contacts.
	Contacts int `yaml:"contacts" jsonschema:"required,minimum=1"`
	// Coding letter of the IEC 61076-2 series, such as A, D, L, T or X; empty for others.
	Coding string `yaml:"coding,omitempty"`
	// Rated current of a contact.
	Rating Current `yaml:"rating" jsonschema:"required"`
	// Rated voltage.
	Voltage Voltage `yaml:"voltage,omitempty"`
	// Resistance of one mated contact.
	ContactResistance Resistance `yaml:"contact_resistance,omitempty"`
	// Base curve of IEC 60512-5-2: current that heats the contact to its limit, by air temperature.
	BaseCurve []CurrentAt `yaml:"base_curve,omitempty"`
	// Share of the base curve that is permitted. Absent: 80 % (IEC 60512-5-2).
	Derating *Ratio `yaml:"derating,omitempty"`
}

// CurrentAt is a current at an air temperature.
type CurrentAt struct {
	// Air temperature.
	At Temperature `yaml:"at" jsonschema:"required"`
	// Current.
	Current Current `yaml:"current" jsonschema:"required"`
}

// RatioAt is a ratio to the rated value at an air temperature.
type RatioAt struct {
	// Air temperature.
	At Temperature `yaml:"at" jsonschema:"required"`
	// Share of the rated value.
	Ratio Ratio `yaml:"ratio" jsonschema:"required"`
}

// SupplyType is the data of a 24 V supply.
type SupplyType struct {
	// Free text about the type.
	About string `yaml:"about,omitempty"`
	// Voltage with which the nominal case is computed and of which drops are shares: the setting, or the nominal voltage of the system. Absent: 24 V.
	Nominal Voltage `yaml:"nominal,omitempty"`
	// Lowest output voltage: setting, tolerance and load regulation together.
	Min Voltage `yaml:"min" jsonschema:"required"`
	// Highest output voltage, ripple included.
	Max Voltage `yaml:"max" jsonschema:"required"`
	// Rated output current.
	Rated Current `yaml:"rated" jsonschema:"required"`
	// Share of the rated current by air temperature.
	DeratingTable []RatioAt `yaml:"derating_table,omitempty"`
	// Current at which the output is limited, for as long as it is overloaded or shorted. Absent: unknown, so no fault current can be claimed.
	Limit Current `yaml:"limit,omitempty"`
	// Higher current for a short time, for tripping protective devices.
	Boost *Boost `yaml:"boost,omitempty"`
	// Resistance of the output, wiring to the terminals included.
	SourceResistance Resistance `yaml:"source_resistance,omitempty"`
	// Time for which the output holds after the mains fail, at rated load.
	HoldUp Duration `yaml:"hold_up,omitempty"`
	// How the output is separated from the mains (IEC 61140): PELV, SELV or none.
	Separation Separation `yaml:"separation,omitempty"`
	// Largest capacitance at the output with which the supply starts.
	MaxCapacitance Capacitance `yaml:"max_capacitance,omitempty"`
}

// Boost is a current that a supply gives for a short time.
type Boost struct {
	// Current.
	Current Current `yaml:"current" jsonschema:"required"`
	// How long it is given.
	Duration Duration `yaml:"duration" jsonschema:"required"`
}

// ProtectionType is the data of an overcurrent protective device.
type ProtectionType struct {
	// Free text about the type.
	About string `yaml:"about,omitempty"`
	// Principle: electronic, breaker, melting-fuse or self-resetting.
	Kind ProtectionKind `yaml:"kind" jsonschema:"required"`
	// Rated current; for a self-resetting fuse the hold current at 25 °C.
	Rated Current `yaml:"rated" jsonschema:"required"`
	// Breaker: instantaneous trip band B, C or D of IEC 60898-1.
	Characteristic Characteristic `yaml:"characteristic,omitempty"`
	// Breaker: factor on the instantaneous band for direct current; 100 % for a breaker whose data are for DC. There is no default: sources disagree.
	DCFactor *Ratio `yaml:"dc_factor,omitempty"`
	// Points of the slowest curve: at this current or more the device has opened within this time.
	Trip []TripPoint `yaml:"trip,omitempty"`
	// Points of the fastest curve: at this current or less the device stays closed for at least this time.
	Hold []TripPoint `yaml:"hold,omitempty"`
	// Melting fuse: least pre-arcing Joule integral.
	MeltMin JouleIntegral `yaml:"melt_min,omitempty"`
	// Melting fuse: greatest operating Joule integral.
	MeltMax JouleIntegral `yaml:"melt_max,omitempty"`
	// Share of the rated current by air temperature. A self-resetting fuse needs it.
	TemperatureTable []RatioAt `yaml:"temperature_table,omitempty"`
	// Resistance of the device at its rated current.
	Resistance Resistance `yaml:"resistance,omitempty"`
}

// TripPoint is a point of a time-current curve.
type TripPoint struct {
	// Current.
	Current Current `yaml:"current" jsonschema:"required"`
	// Time.
	Time Duration `yaml:"time" jsonschema:"required"`
}

// ControllerType is the data of a safety controller.
type ControllerType struct {
	// Free text about the type.
	About string `yaml:"about,omitempty"`
	// Consumption on the 24 V supply.
	Loads map[string]LoadType `yaml:"loads,omitempty"`
	// Network ports and how frames are passed between them.
	NetworkPortsType `yaml:",inline"`
	// Longest time from a change at an input of the controller's own to the value in its logic, up to the start of a safety cycle.
	InputResponse Duration `yaml:"input_response,omitempty"`
	// Longest time from the end of a safety cycle to the change of an output of the controller's own.
	OutputResponse Duration `yaml:"output_response,omitempty"`
	// Longest time from a safety message to the answer (host acknowledgement time, IEC 61784-3-3). Absent: two safety cycles.
	AcknowledgeTime Duration `yaml:"acknowledge_time,omitempty"`
	// Highest number of safety connections.
	MaxConnections int `yaml:"max_connections,omitempty" jsonschema:"minimum=1"`
	// Permitted air temperature.
	Temperature *TemperatureRange `yaml:"temperature,omitempty"`
}

// SwitchType is the data of a network switch.
type SwitchType struct {
	// Free text about the type.
	About string `yaml:"about,omitempty"`
	// Consumption on the 24 V supply.
	Loads map[string]LoadType `yaml:"loads,omitempty"`
	// Network ports and how frames are passed between them.
	NetworkPortsType `yaml:",inline"`
	// True when the switch takes part in ring protocols.
	Managed *bool `yaml:"managed,omitempty"`
	// Permitted air temperature.
	Temperature *TemperatureRange `yaml:"temperature,omitempty"`
}
