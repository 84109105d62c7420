package model

// BlockKind is a usual part of interlock logic.
type BlockKind string

// The kinds of blocks.
const (
	ManualResetBlock    BlockKind = "manual-reset"          // true from an accepted reset until something is not in order, ISO 13849-1
	TwoStageResetBlock  BlockKind = "two-stage-reset"       // the same, with a first button inside the zone, IEC 62046
	EscapeReleaseBlock  BlockKind = "escape-release"        // true until the escape release of a guard lock is used, and again from a reset on, ISO 14119
	AcknowledgeBlock    BlockKind = "fault-acknowledgement" // true until a fault is present, and again from its acknowledgement on, IEC 61784-3-3
	ResetLampBlock      BlockKind = "reset-lamp"            // the word off, steady or flash
	StartBlock          BlockKind = "start"                 // true from the start button to the stop or the end of the permit
	StartWarningBlock   BlockKind = "start-warning"         // the same, with a warning between a first and a second press, ISO 12100
	SafeStopBlock       BlockKind = "safe-stop-1"           // torque is permitted; the drive brakes before the torque is taken away, IEC 61800-5-2 (SS1-t)
	FeedbackBlock       BlockKind = "contactor-feedback"    // contactors are switched on, and off if their feedback contradicts
	SpanBlock           BlockKind = "span-of-control"       // every protective device that stops a drive of a zone is in order, ISO 11161
	GuardLockBlock      BlockKind = "guard-lock"            // release of a guard lock, ISO 14119
	MutingBlock         BlockKind = "muting"                // muting by two sensors, IEC 62046
	MutingOverrideBlock BlockKind = "muting-override"       // moving a load out of a light curtain by hand, IEC 62046
	TwoHandBlock        BlockKind = "two-hand"              // two-hand control, ISO 13851
	EnablingBlock       BlockKind = "enabling"              // three-position enabling device, IEC 60947-5-8
	HoldToRunBlock      BlockKind = "hold-to-run"           // true while a button is held, IEC 60204-1
	ModeSelectionBlock  BlockKind = "mode-selection"        // one of the modes or the word none, IEC 60204-1
)

// Values lists the kinds of blocks.
func (BlockKind) Values() []string {
	var names []string
	for _, k := range blockKinds() {
		names = append(names, string(k.kind))
	}
	return names
}

// BlockSpec is a usual part of interlock logic. It stands for plain values, which a report can print. The value of the
// block has the block's name; its other values have names that begin with it, such as armed_press.
type BlockSpec struct {
	// What the block does.
	Kind BlockKind `yaml:"kind" jsonschema:"required"`
	// Free text about the block.
	About string `yaml:"about,omitempty"`
	// The button is pressed. Manual reset, escape release and contactor feedback: the reset button; two-stage reset: the one outside the zone; fault acknowledgement: the one that acknowledges.
	Button Expression `yaml:"button,omitempty"`
	// Blocks with buttons or sensors: their signals arrive, so that the loss of a connection is not taken for letting go, nor its return for a press; such as !m1.1.passivated && con_m1.alive.
	Valid Expression `yaml:"valid,omitempty"`
	// Resets and reset lamp: all protective devices are in order. Two-stage reset: all but the guard.
	InOrder Expression `yaml:"in_order,omitempty"`
	// Blocks with a reset button: it must be pressed for at least this time. Absent: for one cycle.
	ShortestPress Duration `yaml:"shortest_press,omitempty"`
	// Blocks with a reset button: it must be let go after this time at the latest. Absent: any time.
	LongestPress Duration `yaml:"longest_press,omitempty"`
	// Two-stage reset: the button inside the zone is pressed; it counts when it is let go with the guard open.
	Inside Expression `yaml:"inside,omitempty"`
	// Two-stage reset: the guard is closed.
	Closed Expression `yaml:"closed,omitempty"`
	// Escape release: it is actuated. Guard lock: the escape release is actuated, which frees the guard at all times.
	Escape Expression `yaml:"escape,omitempty"`
	// Fault acknowledgement: a fault is present.
	Fault Expression `yaml:"fault,omitempty"`
	// Reset lamp: the reset was accepted.
	Armed Expression `yaml:"armed,omitempty"`
	// Reset lamp: flashing, the lamp is lit for this time and dark for this time; the value that ends in _lit is its signal. Absent: there is no such value.
	Flash Duration `yaml:"flash,omitempty"`
	// Starts, hold-to-run: motion is permitted, now and in the cycle before. Safe stop 1: motion is permitted.
	Permit Expression `yaml:"permit,omitempty"`
	// Starts: the stop button is pressed.
	Stop Expression `yaml:"stop,omitempty"`
	// Start warning: the warning is on for at least this time before a second press starts; the value that ends in _sounds is its signal.
	Warning Duration `yaml:"warning,omitempty"`
	// Contactor feedback: the contactors are to be switched on.
	Command Expression `yaml:"command,omitempty"`
	// Contactor feedback: all contactors are seen dropped out.
	Feedback Expression `yaml:"feedback,omitempty"`
	// Span of control: devices that it leaves out, because the condition under and says when they are in order.
	Except []string `yaml:"except,omitempty"`
	// Span of control: a condition beside those of the devices.
	And Expression `yaml:"and,omitempty"`
	// Guard lock: opening is asked for.
	Request Expression `yaml:"request,omitempty"`
	// Guard lock: the motion is permitted.
	Running Expression `yaml:"running,omitempty"`
	// Guard lock and safe stop 1: standstill is seen.
	Standstill Expression `yaml:"standstill,omitempty"`
	// Guard lock: the motion must not have been permitted for at least this time.
	After Duration `yaml:"after,omitempty"`
	// Muting: the first sensor is covered.
	SensorOne Expression `yaml:"sensor_1,omitempty"`
	// Muting: the second sensor is covered.
	SensorTwo Expression `yaml:"sensor_2,omitempty"`
	// Muting: the light curtain is free.
	Clear Expression `yaml:"clear,omitempty"`
	// Muting: the lamp is in order. Absent: there is none.
	Lamp Expression `yaml:"lamp,omitempty"`
	// Muting override: muting is active.
	Muting Expression `yaml:"muting,omitempty"`
	// Longest time. Muting, override, hold-to-run: of the block's value; two-stage reset: from letting go of the first button to letting go of the second; start warning: from the first press to the second; contactor feedback: of a contradiction; safe stop 1: from the end of the permit to the end of the torque.
	Limit Duration `yaml:"limit,omitempty"`
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
	// Mode selection: for each mode, the selector is at it.
	Modes map[string]Expression `yaml:"modes,omitempty"`
}
