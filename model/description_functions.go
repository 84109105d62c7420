package model

// DriveSpec is a source of hazardous motion.
type DriveSpec struct {
	// Zone in which the motion is dangerous.
	Zone string `yaml:"zone,omitempty"`
	// Free text about the motion.
	About string `yaml:"about,omitempty"`
	// Stop category of IEC 60204-1:2016 9.2.2: 0, 1 or 2.
	StopCategory *int `yaml:"stop_category,omitempty" jsonschema:"minimum=0,maximum=2"`
	// Time from the stop command at the switching element to standstill, worst case and with worn brakes.
	StoppingTime Duration `yaml:"stopping_time,omitempty"`
	// Time to standstill without braking, as after a loss of power.
	RunDownTime Duration `yaml:"run_down_time,omitempty"`
	// Devices (contactors, valves) that take the energy away.
	SwitchedBy []string `yaml:"switched_by,omitempty"`
}

// FunctionSpec is one safety function.
type FunctionSpec struct {
	// Free text: what the function does, in a sentence.
	About string `yaml:"about,omitempty"`
	// Devices whose demand triggers the function.
	Demand []string `yaml:"demand" jsonschema:"required"`
	// Drives that the function stops.
	Stops []string `yaml:"stops,omitempty"`
	// Devices that carry the function out beside the drives' own (locks, valves, contactors).
	Outputs []string `yaml:"outputs,omitempty"`
	// Controller that evaluates the function; absent: the only one.
	Controller string `yaml:"controller,omitempty"`
	// Required performance level (ISO 13849-1), PL a to PL e, or safety integrity level (IEC 62061), SIL 1 to SIL 3.
	Required Level `yaml:"required,omitempty"`
	// Device for the manual reset of the function.
	Reset string `yaml:"reset,omitempty"`
	// How the hazard is approached.
	Approach *ApproachSpec `yaml:"approach,omitempty"`
}

// ApproachSpec says how a person can come to the hazard past the protective device.
type ApproachSpec struct {
	// Direction of the approach to the detection zone (ISO 13855:2010 clause 6): orthogonal, parallel or angled.
	Direction ApproachDirection `yaml:"direction,omitempty"`
	// Built distance from the protective device to the hazard.
	Distance Length `yaml:"distance,omitempty"`
}
