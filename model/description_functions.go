package model

// DriveSpec is a source of hazardous motion.
type DriveSpec struct {
	// Zone in which the motion is dangerous.
	Zone string `yaml:"zone,omitempty"`
	// Free text about the motion.
	About string `yaml:"about,omitempty"`
	// Stop category of IEC 60204-1:2016 9.2.2: 0, 1 or 2.
	StopCategory *int `yaml:"stop_category,omitempty" jsonschema:"minimum=0,maximum=2"`
	// Time to standstill, worst case and with worn brakes, from the moment at which the switching element has passed on the stop command (its own response counts apart).
	StoppingTime Duration `yaml:"stopping_time,omitempty"`
	// Measured stopping times, at least ten, from the same moment, in the worst operating state (ISO 13855:2010 annex D).
	Measured []Duration `yaml:"measured,omitempty"`
	// Day of the measurement.
	MeasuredOn Date `yaml:"measured_on,omitempty"`
	// Share by which the stopping time may grow by wear before it is measured again. It is added to stopping_time and to what was measured. Absent: nothing is added.
	WearAllowance Ratio `yaml:"wear_allowance,omitempty"`
	// Stopping time at which a stopping performance monitor keeps the machine from running on. It counts instead of stopping_time with its allowance.
	MonitoredLimit Duration `yaml:"monitored_limit,omitempty"`
	// Stop categories 1 and 2: longest time of the controlled braking, from the stop command to standstill.
	Ramp Duration `yaml:"ramp,omitempty"`
	// Stop category 1: time from the stop command until the power is removed (the SS1 time of IEC 61800-5-2).
	RemovalDelay Duration `yaml:"removal_delay,omitempty"`
	// Time to standstill without braking, as after a loss of power.
	RunDownTime Duration `yaml:"run_down_time,omitempty"`
	// Devices (contactors, valves) that take the energy away.
	SwitchedBy []string `yaml:"switched_by,omitempty"`
	// Shortest time from a stop until the motion is started again, in any mode.
	RestartTime Duration `yaml:"restart_time,omitempty"`
	// What counts as standstill of the motion.
	Standstill *StandstillSpec `yaml:"standstill,omitempty"`
}

// StandstillSpec says when a motion counts as standing still (safe operating stop of IEC 61800-5-2).
type StandstillSpec struct {
	// Device that monitors it. Absent: none, such as where it is waited for by time.
	Monitor string `yaml:"monitor,omitempty"`
	// Speed below which the motion counts as standing still, at the place where a person can touch it.
	Speed Speed `yaml:"speed,omitempty"`
	// Time for which it has to be slower than that.
	Time Duration `yaml:"time,omitempty"`
	// Highest speed there that hurts nobody, by the risk assessment.
	HarmlessSpeed Speed `yaml:"harmless_speed,omitempty"`
	// Longest time for which the motion is that slow without having ended, as at a dead centre or where it reverses; 0 s where it never is.
	Pause *Duration `yaml:"pause,omitempty"`
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
	// How the hazard is approached, for every demand device that approaches: does not name.
	Approach *ApproachSpec `yaml:"approach,omitempty"`
	// How the hazard is approached past one demand device, by name of the device. It replaces approach: for that device.
	Approaches map[string]ApproachSpec `yaml:"approaches,omitempty"`
	// Guard locks that are released by time: delay from the stop command to the release.
	UnlockDelay Duration `yaml:"unlock_delay,omitempty"`
}

// ApproachSpec says how a person can come to the hazard past the protective device.
type ApproachSpec struct {
	// Standard, with its edition, by which the distance is computed. Absent: as the calculation is told.
	Standard DistanceStandard `yaml:"standard,omitempty"`
	// What keeps the person away. Absent: by the kind of the device.
	Arrangement Arrangement `yaml:"arrangement,omitempty"`
	// Direction of the approach to the detection zone (ISO 13855:2010 clause 6): orthogonal, parallel or angled.
	Direction ApproachDirection `yaml:"direction,omitempty"`
	// Angle between the detection zone and the direction of approach, for direction: angled.
	Angle *Angle `yaml:"angle,omitempty"`
	// Built distance from the protective device to the hazard.
	Distance Length `yaml:"distance,omitempty"`
	// Drives whose motion is dangerous there; absent: all that the function stops.
	Hazards []string `yaml:"hazards,omitempty"`
	// Added to the computed distance, such as the measuring tolerance of the device (the supplement Z of ISO 13855:2024). Absent: nothing is added.
	Supplement Length `yaml:"supplement,omitempty"`
	// Resolution (detection capability) as set; absent: that of the device type.
	Resolution Length `yaml:"resolution,omitempty"`
	// Heights of the beams above the floor, for separate beams.
	Beams []Length `yaml:"beams,omitempty"`
	// Height above the floor: of a parallel field, of the beam furthest from the hazard of an angled field, of the step on which a mat lies.
	Height *Length `yaml:"height,omitempty"`
	// Height of the lower edge of the detection zone above the floor.
	LowerEdge *Length `yaml:"lower_edge,omitempty"`
	// Height of the upper edge of the detection zone above the floor (b of ISO 13855:2010 table 1).
	UpperEdge *Length `yaml:"upper_edge,omitempty"`
	// Height of the hazard zone above the floor (a of ISO 13855:2010 table 1).
	HazardHeight *Length `yaml:"hazard_height,omitempty"`
	// False where reaching over is prevented by other means, such as a cover; absent: it has to be checked.
	ReachOver *bool `yaml:"reach_over,omitempty"`
	// Width of a pressure-sensitive mat in the direction of approach.
	Width Length `yaml:"width,omitempty"`
	// Two-hand control: true when shrouds keep the hands from moving on towards the hazard while the command lasts.
	Shrouded bool `yaml:"shrouded,omitempty"`
	// Guard: opening that is already there when the stop is commanded.
	Opening Length `yaml:"opening,omitempty"`
	// Guard: shape of the opening (ISO 13857). Absent: slot, the worst.
	OpeningShape OpeningShape `yaml:"opening_shape,omitempty"`
	// Guard: length of a slot.
	OpeningLength Length `yaml:"opening_length,omitempty"`
	// Guard: measured time to open it so far that the hazard can be reached. It counts only in whether guard locking is needed.
	OpeningTime Duration `yaml:"opening_time,omitempty"`
	// True where children have access.
	Children bool `yaml:"children,omitempty"`
	// Press with a full-revolution clutch: number of engaging points (29 CFR 1910.217).
	EngagingPoints int `yaml:"engaging_points,omitempty" jsonschema:"minimum=1"`
	// Press with a full-revolution clutch: time of one revolution of the crankshaft.
	RevolutionTime Duration `yaml:"revolution_time,omitempty"`
}
