package model

// BlockKind is a usual part of interlock logic.
type BlockKind string

// The kinds of blocks.
const (
	ManualResetBlock BlockKind = "manual-reset" // true from an accepted reset until something is not in order
	StartBlock       BlockKind = "start"        // true from the start button to the stop or the end of the permit
	GuardLockBlock   BlockKind = "guard-lock"   // release of a guard lock
	TwoHandBlock     BlockKind = "two-hand"     // two-hand control, ISO 13851
	EnablingBlock    BlockKind = "enabling"     // three-position enabling device, IEC 60947-5-8
	MutingBlock      BlockKind = "muting"       // muting by two sensors, IEC 62046
)

// Values lists the kinds of blocks.
func (BlockKind) Values() []string {
	return []string{string(ManualResetBlock), string(StartBlock), string(GuardLockBlock), string(TwoHandBlock), string(EnablingBlock), string(MutingBlock)}
}

// BlockSpec is a usual part of interlock logic. It stands for plain values, which a report can print.
type BlockSpec struct {
	// What the block does.
	Kind BlockKind `yaml:"kind" jsonschema:"required"`
	// Free text about the block.
	About string `yaml:"about,omitempty"`
	// Manual reset and start: the button is pressed.
	Button Expression `yaml:"button,omitempty"`
	// Manual reset: all protective devices are in order.
	InOrder Expression `yaml:"in_order,omitempty"`
	// Manual reset: the button must be pressed for at least this time. Absent: for one cycle.
	ShortestPress Duration `yaml:"shortest_press,omitempty"`
	// Manual reset: the button must be let go after this time at the latest. Absent: any time.
	LongestPress Duration `yaml:"longest_press,omitempty"`
	// Start: starting is permitted, now and in the cycle before.
	Permit Expression `yaml:"permit,omitempty"`
	// Start: the stop button is pressed.
	Stop Expression `yaml:"stop,omitempty"`
	// Guard lock: opening is asked for.
	Request Expression `yaml:"request,omitempty"`
	// Guard lock: the motion is permitted.
	Running Expression `yaml:"running,omitempty"`
	// Guard lock: standstill is seen.
	Standstill Expression `yaml:"standstill,omitempty"`
	// Guard lock: the motion must not have been permitted for at least this time.
	After Duration `yaml:"after,omitempty"`
	// Two-hand control: the left button is pressed.
	Left Expression `yaml:"left,omitempty"`
	// Two-hand control: the right button is pressed.
	Right Expression `yaml:"right,omitempty"`
	// Two-hand control: both buttons; muting: both sensors, at most this time one after the other.
	Synchronous Duration `yaml:"synchronous,omitempty"`
	// Enabling device: middle position.
	Middle Expression `yaml:"middle,omitempty"`
	// Enabling device: pressed through.
	Squeezed Expression `yaml:"squeezed,omitempty"`
	// Muting: the first sensor is covered.
	SensorOne Expression `yaml:"sensor_1,omitempty"`
	// Muting: the second sensor is covered.
	SensorTwo Expression `yaml:"sensor_2,omitempty"`
	// Muting: the light curtain is free.
	Clear Expression `yaml:"clear,omitempty"`
	// Muting: the lamp is in order. Absent: there is none.
	Lamp Expression `yaml:"lamp,omitempty"`
	// Muting: longest time.
	Limit Duration `yaml:"limit,omitempty"`
}
