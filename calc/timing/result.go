package timing

import "github.com/guardwright/guardwright/model"

// Input is what the calculation takes beside the machine.
type Input struct {
	// Delays of safety connections, by name of the connection. Where there is none, the times of the connection are not
	// known, and say so.
	Delays map[string]Delays
	// Allowed is, by function and demand device, the longest overall stopping time that the separation distance allows.
	// Without it a watchdog has no largest value.
	Allowed map[Demand]model.Duration
	// Margin is added to the smallest watchdog of PROFIsafe and Safety over EtherCAT, as a share of it. Nil: 30 %, which is
	// common practice.
	Margin *model.Ratio
	// Lost is the number of packets in a row that a connection must survive. Nil: 1. With CIP Safety it counts in the smallest
	// time limit.
	Lost *int
	// Ping is the ping interval multiplier of CIP Safety, at most 999, for connections that state none. Zero: 100.
	Ping int
	// CoordinationMinimum is the time coordination minimum multiplier of CIP Safety, in steps of 128 µs, at most 7813.
	// Zero is on the safe side: it makes the smallest network time expectation largest.
	CoordinationMinimum int
}

// Demand names a safety function and the device whose demand triggers it.
type Demand struct{ Function, Device string }

// Delays are bounds on the delays of the messages of one safety connection, without any fault.
type Delays struct {
	// InputInterval is the time between two messages from the module, OutputInterval that between two messages to it. Zero: as the
	// description of the connection states.
	InputInterval, OutputInterval model.Duration
	// ToController bounds the time of a message from the module to the controller, from its sending on.
	ToController model.Duration
	// FromController bounds the time of a message from the controller to the module.
	FromController model.Duration
	// Recovery is the longest interruption that the connection must ride through, such as the recovery of a ring. Nil: the
	// longest recovery of any ring of the network.
	Recovery *model.Duration
	// Why says why the bounds are not known. With it ToController and FromController are meaningless, and the times of the
	// connection are not known either.
	Why string
}

// Result is every reaction time of one machine. It is not changed after [Compute] returns it and may be shared between
// goroutines. Nothing in it is silently absent: a [Check] has a [Status], a [Total] says what is missing, a pointer is nil
// where its comment says so.
type Result struct {
	Machine *model.Machine
	// Functions belong to Machine.Functions.
	Functions []*Function
	// Connections belong to Machine.Network.Connections.
	Connections []*Connection
	// Controllers belong to Machine.Controllers.
	Controllers []*Controller
	// Drives belong to Machine.Drives.
	Drives []*Drive
	// Ports are the ports with a device, in the order of Machine.Modules and their ports.
	Ports []*Port
}

// Time is a time that may be unknown.
type Time struct {
	Known bool
	// Time is meaningful when Known.
	Time model.Duration
	// Why says what to state when the time is not known.
	Why string
}

// Total is a sum of times, some of which may be unknown.
type Total struct {
	// Known is true when every part is known.
	Known bool
	// Time is the sum; meaningful when Known.
	Time model.Duration
	// AtLeast is the sum of the parts that are known, and so never more than the whole.
	AtLeast model.Duration
	// Why says what is missing when the sum is not known.
	Why string
}

// Function is one safety function.
type Function struct {
	Function *model.Function
	// Demands belong to Function.Demand.
	Demands []*Demanded
	// RunDown is the longest time from the stop command in the controller until everything that the function stops stands
	// still without braking: output, network, switching element and run-down time of the slowest drive.
	RunDown Total
}

// Demanded is a safety function after the demand of one device.
type Demanded struct {
	Device *model.Device
	// Approach is the way to the hazard past the device; nil when none is described.
	Approach *model.Approach
	// Chains lead from the device to everything that the function stops or switches.
	Chains []*Chain
	// Slowest is the chain that ends last with one communication fault, among those to the hazards of Approach; nil when
	// there are no chains. Where a chain is not fully known, it is one of those.
	Slowest *Chain
	// Undisturbed is the longest time until every one of those chains has ended, without any fault.
	Undisturbed Total
	// OneFault is the same with one communication fault: the overall stopping time T.
	OneFault Total
	// Reaction is the part of Slowest before the drive starts to stop, with one communication fault.
	Reaction Total
	// Allowed is OneFault against the longest time that the separation distance allows; NoLimit when there is none.
	Allowed Check[model.Duration]
}

// Chain leads from a demand device through controller and switching element to the stop of a drive, or to the switching of
// an output that stops no drive.
type Chain struct {
	Function *model.Function
	Demand   *model.Device
	// Drive that is stopped; nil when the chain ends with Switch.
	Drive *model.Drive
	// Switch is the switching element; nil when none is described.
	Switch *model.Device
	// Input and Output are the safety connections on the way; nil where the device is wired to the controller itself, or
	// where the way is not described.
	Input, Output *model.Connection
	// Steps are the contributions in the order of the way. Their columns add up to the totals.
	Steps []Step
	// Undisturbed is the longest time without any fault.
	Undisturbed Total
	// OneFault is the longest time with one communication fault, by the rule of the protocol.
	OneFault Total
	// Reaction and ReactionOneFault are the same without the stop of the drive.
	Reaction, ReactionOneFault Total
	// Rule says in words how OneFault is made.
	Rule string
}

// Step is one contribution to a chain.
type Step struct {
	Stage Stage
	// Place is the object that takes the time.
	Place model.Origin
	// Undisturbed is the longest time without any fault.
	Undisturbed Time
	// OneFault is what the step contributes to the longest time with one communication fault.
	OneFault Time
	// From says in words where the times come from.
	From string
}

// Stage is a place in the chain from demand to stop.
type Stage uint8

// The stages, in the order of the way.
const (
	// Detection: response of the demand device.
	Detection Stage = iota
	// Filter of the input.
	Filter
	// Blanking: time for which the input does not see its channel, because of its own test pulse.
	Blanking
	// Differing: time for which the input holds its value while the channels differ.
	Differing
	// OffDelay of the input.
	OffDelay
	// InputModule: response of the module or of the controller's own input.
	InputModule
	// InputNetwork: safety connection to the controller.
	InputNetwork
	// Logic: safety cycles of the controller.
	Logic
	// OutputNetwork: safety connection from the controller.
	OutputNetwork
	// OutputModule: response of the module or of the controller's own output.
	OutputModule
	// OutputDelay: off-delay of the output.
	OutputDelay
	// Switching: response of the switching element.
	Switching
	// Stopping of the drive.
	Stopping
)

// String returns the stage in words.
func (s Stage) String() string {
	words := [...]string{"detection", "input filter", "test pulse of the input", "differing channels", "off-delay of the input",
		"input module", "network to the controller", "logic", "network from the controller", "output module",
		"off-delay of the output", "switching element", "stopping"}
	if int(s) < len(words) {
		return words[s]
	}
	return "unknown stage"
}

// Connection is one safety connection with the time limit in force and the values that it may take.
//
// The time limit is, by protocol: the network time expectation of CIP Safety (the largest age of data that a consumer
// accepts), the watchdog time of PROFIsafe, the watchdog time of Safety over EtherCAT.
type Connection struct {
	Connection *model.Connection
	Protocol   model.Protocol
	// Limit is the time limit in force; not known when neither stated nor computable.
	Limit Time
	// Stated is true when the description states the limit. Otherwise it is the smallest that serves, and the connection
	// has to be set so.
	Stated bool
	// Multiplier is the network time expectation multiplier of CIP Safety, in steps of 128 µs; zero for other protocols.
	Multiplier int
	// From says in words how Limit is made.
	From string
	// ToController and FromController are the longest times of data on the network, without any fault: the wait for the
	// next packet and the delay of the message.
	ToController, FromController Time
	// Ordinary is what the limit has to cover in normal operation, without any margin: the round trip from a message to
	// its answer, or with CIP Safety the age of data when no packet is lost.
	Ordinary Time
	// Recovery is the longest interruption that has to be ridden through; zero when there is no ring.
	Recovery model.Duration
	// Smallest is the smallest limit with which the connection does not trip in normal operation.
	Smallest Time
	// SmallestFrom says in words how Smallest is made.
	SmallestFrom string
	// Largest is the largest limit with which every function that uses the connection keeps to its separation distance;
	// not known when no such function has a distance, see Why. It can be negative: then no limit serves.
	Largest Time
	// LargestBy is the chain that gives Largest; nil when it is not known.
	LargestBy *Chain
	// Trips is Limit against Smallest, a lower limit.
	Trips Check[model.Duration]
	// Fits is Limit against Largest, an upper limit.
	Fits Check[model.Duration]
	// Window is between Smallest and Largest: its width as Margin. Beyond: no limit serves both.
	Window Check[model.Duration]
	// Openings are single changes each of which opens a closed window, best first; empty when the window is open or
	// when no single change opens it.
	Openings []Opening
	// Lost is the number of packets in a row that may be lost without a trip, against the number that must be survived.
	Lost Count
	// Ring is the recovery of the ring against what the limit leaves beside normal operation.
	Ring Check[model.Duration]
	// Interval is the longer packet interval against the safety cycle of the controller: Within when it equals the cycle or is a
	// whole part of it. Margin is what is left of the cycle after whole intervals, negative, and zero when nothing is.
	Interval Check[model.Duration]
}

// Change is a quantity of the description that can be changed to open a window.
type Change uint8

// The changes.
const (
	// ChangeOther: the time limit of the other connection of the chain.
	ChangeOther Change = iota
	// ChangeInterval: the packet interval of the connection.
	ChangeInterval
	// ChangeCycle: the safety cycle of the controller.
	ChangeCycle
	// ChangeFilter: the filter of the input.
	ChangeFilter
	// ChangeStopping: the stopping time of the drive.
	ChangeStopping
	// ChangeDistance: the time that the separation distance allows.
	ChangeDistance
)

// String returns the change in words.
func (c Change) String() string {
	words := [...]string{"time limit of the other connection", "packet interval", "safety cycle", "input filter",
		"stopping time", "time allowed by the distance"}
	if int(c) < len(words) {
		return words[c]
	}
	return "unknown change"
}

// Opening is one change that opens a closed window, all else as described.
type Opening struct {
	Change Change
	// Place is the object to change.
	Place model.Origin
	// From is the present value.
	From model.Duration
	// To is a value near to it with which the window is open, in steps of half a per cent of From; for ChangeDistance it
	// is the smallest such value.
	To model.Duration
}

// Controller is the safety cycle of one controller.
type Controller struct {
	Controller *model.Controller
	// Use is the longest execution time as a share of the safety cycle, against 100 %.
	Use Check[model.Ratio]
	// Watchdog is the cycle watchdog against the safety cycle, a lower limit.
	Watchdog Check[model.Duration]
}

// Port is what the times of one port ask for.
type Port struct {
	Port *model.Port
	// Filter of the input against the longest test pulse of the device's outputs, a lower limit that has to be exceeded.
	Filter Check[model.Duration]
	// Pulse is the longest test pulse that the port sends to an output device against the longest that the device ignores.
	Pulse Check[model.Duration]
	// Sampling is the shortest time for which the device's outputs stay off after a demand, against the time for which they
	// have to, a lower limit that has to be exceeded: filter, packet interval and safety cycle.
	Sampling Check[model.Duration]
	// Discrepancy is the discrepancy time against the longest difference between the device's channels in normal use, a
	// lower limit.
	Discrepancy Check[model.Duration]
}

// Basis is what the stopping time of a drive comes from.
type Basis uint8

// The bases of a stopping time.
const (
	// NoBasis: the stopping time is not known.
	NoBasis Basis = iota
	// StatedBasis: the stated stopping time.
	StatedBasis
	// MeasuredBasis: the measured stopping times.
	MeasuredBasis
	// RampBasis: the controlled braking.
	RampBasis
	// CoastBasis: the power is removed before the controlled braking has ended, and the drive runs down.
	CoastBasis
	// MonitorBasis: the limit of the stopping performance monitor.
	MonitorBasis
)

// String returns the basis in words.
func (b Basis) String() string {
	words := [...]string{"not known", "stated", "measured", "controlled braking", "run-down after the power is removed",
		"limit of the stopping performance monitor"}
	if int(b) < len(words) {
		return words[b]
	}
	return "unknown basis"
}

// Drive is the stopping time of one drive.
type Drive struct {
	Drive *model.Drive
	// Stopping is the longest time to standstill, wear allowance included.
	Stopping Time
	Basis    Basis
	// From says in words how Stopping is made.
	From string
	// Measured are the statistics of the measured stopping times; nil when nothing is measured.
	Measured *Statistics
	// Readings is the number of measured stopping times against the ten that are asked for.
	Readings Count
	// Monitor is the stopping time without the monitor, allowance included, against the monitor's limit: Beyond when the monitor will
	// keep the machine from running.
	Monitor Check[model.Duration]
	// Removal is the delay after which the power is removed, against the time of the controlled braking, a lower limit.
	Removal Check[model.Duration]
	// RunDown is the longest time to standstill without braking: the run-down time, or the stopping time where that is longer.
	RunDown Time
}

// Count is a number against the least that is asked for.
type Count struct {
	// Status is Within when Number is at least Least.
	Status Status
	Number int
	Least  int
	Why    string
}
