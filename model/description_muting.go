package model

// MutingSpec says how a load is let through a protective device that is suspended for it, as it is designed. The logic
// that does so stands under logic.
type MutingSpec struct {
	// Muting sensors, in the order in which the load reaches them.
	Sensors []string `yaml:"sensors" jsonschema:"required"`
	// Lamp that shows the muting. Absent: there is none.
	Lamp string `yaml:"lamp,omitempty"`
	// Longest time between the first two sensors with which muting still begins.
	Synchronous Duration `yaml:"synchronous,omitempty"`
	// Longest time for which muting lasts.
	Limit Duration `yaml:"limit,omitempty"`
	// Slowest speed of the load.
	LoadSpeed Speed `yaml:"load_speed,omitempty"`
	// Length of the longest load in the direction of travel.
	LoadLength Length `yaml:"load_length,omitempty"`
	// How far the load travels from the first sensor to the second.
	SensorDistance Length `yaml:"sensor_distance,omitempty"`
	// How far the load travels from the first sensor to the last. Absent where there are two sensors: sensor_distance.
	Travel Length `yaml:"travel,omitempty"`
	// Hold-to-run device with which a load that is stuck is driven out while the protective device is overridden. Absent: there is none.
	Override string `yaml:"override,omitempty"`
	// Longest time for which it may be overridden.
	OverrideLimit Duration `yaml:"override_limit,omitempty"`
}
