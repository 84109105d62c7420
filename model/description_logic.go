package model

// LogicSpec is the interlock logic: named values in CEL that the controller computes once in each safety cycle, from
// top to bottom.
type LogicSpec struct {
	// Controller that runs the logic; its safety cycle is the time of one step. Absent: the only one.
	Controller string `yaml:"controller,omitempty"`
	// Signals that no device of the machine gives, by name: what the plant does, a person, another controller.
	Inputs map[string]LogicInputSpec `yaml:"inputs,omitempty"`
	// Values by name: each a CEL expression over signals, over values above it, and over pre(...) of any. A name such as g1.release is the signal that the device g1 takes; a name such as load_side.run is what run means for the zone, drive or safety function load_side.
	Values map[string]Expression `yaml:"values,omitempty"`
	// Usual parts of interlock logic, by the name of the value that each gives.
	Blocks map[string]BlockSpec `yaml:"blocks,omitempty"`
	// Bounds of the values that are whole numbers, by name of the value.
	Counters map[string]CounterSpec `yaml:"counters,omitempty"`
	// Words of the values that are one of several words, by name of the value.
	States map[string]StateSpec `yaml:"states,omitempty"`
	// Value before the first cycle of the values that are true or false, by name; absent: false.
	Initial map[string]bool `yaml:"initial,omitempty"`
	// Assumptions about the world, by name. A proof holds only where they do.
	Assume map[string]AssumeSpec `yaml:"assume,omitempty"`
}

// LogicInputSpec is a signal from outside: true or false, a whole number within max and min, or one of several words.
type LogicInputSpec struct {
	// Free text: what the signal says.
	About string `yaml:"about,omitempty"`
	// Smallest value of a whole number. Absent: 0.
	Min *int `yaml:"min,omitempty" jsonschema:"minimum=-1000000,maximum=1000000"`
	// Greatest value of a whole number. Absent: the signal is no number.
	Max *int `yaml:"max,omitempty" jsonschema:"minimum=-1000000,maximum=1000000"`
	// Words of which the signal is one.
	OneOf []string `yaml:"one_of,omitempty"`
}

// CounterSpec bounds a value that is a whole number.
type CounterSpec struct {
	// Smallest value. Absent: 0.
	Min *int `yaml:"min,omitempty" jsonschema:"minimum=-1000000,maximum=1000000"`
	// Greatest value.
	Max *int `yaml:"max" jsonschema:"required,minimum=-1000000,maximum=1000000"`
	// Value before the first cycle. Absent: 0, or the nearest value within the bounds.
	Initial *int `yaml:"initial,omitempty" jsonschema:"minimum=-1000000,maximum=1000000"`
}

// StateSpec says of which words a value is one.
type StateSpec struct {
	// The words.
	OneOf []string `yaml:"one_of" jsonschema:"required"`
	// Word before the first cycle. Absent: the first.
	Initial string `yaml:"initial,omitempty"`
}

// AssumeSpec is an assumption about the world.
type AssumeSpec struct {
	// Free text: why it may be assumed, and who sees to it.
	About string `yaml:"about,omitempty"`
	// What holds in every cycle, in CEL. Where an assumption of this name comes from the kinds of devices, this one takes its place. Absent: off must be true.
	Holds Expression `yaml:"holds,omitempty"`
	// True switches the assumption off, also one that comes from the kinds of devices: proofs are made without it.
	Off bool `yaml:"off,omitempty"`
}
