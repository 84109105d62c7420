package power

import "github.com/guardwright/guardwright/model"

// Result is everything computed about the 24 V DC supply of one machine. It is not changed after [Compute] returns
// it and may be shared between goroutines. Its lists stand in the order of the machine's lists, and one entry
// belongs to one object: Supplies[i] to machine.Power.Supplies[i], Modules[i] to machine.Modules[i], and so on.
//
// Nothing in it is silently absent: a [Check] has a [Status], a pointer is nil where its comment says so.
type Result struct {
	Machine *model.Machine
	// Cases are the operating cases that were computed, in their fixed order.
	Cases []Case
	// Networks are the parts of the supply whose voltages depend on each other, each solved as one.
	Networks    []*Network
	Supplies    []*Supply
	Protections []*Protection
	Feeds       []*Feed
	Modules     []*Module
	Devices     []*Device
	Controllers []*Controller
	Switches    []*Switch
	// Selectivity are the pairs of protective devices in series, downstream before upstream.
	Selectivity []*Selectivity
	// Limits are places that the method does not cover, or covers only with the stated assumption.
	Limits []Limit
}

// Limit is a place at which the result is not exact, or at which there is none.
type Limit struct {
	// Place is the object concerned.
	Place model.Origin
	// Circuit concerned; empty when both are.
	Circuit model.Circuit
	// Text says what is not covered, what was assumed instead and on which side the numbers lie then.
	Text string
}

// Network is a part of the supply whose voltages depend on each other: everything behind one supply that has a
// source resistance, or one branch at the terminals of a supply that has none, and further branches with which
// return conductors are shared.
type Network struct {
	// Supplies that feed the network.
	Supplies []*model.Supply
	// Feeds are the circuits of feeds in the network, in the order of the machine.
	Feeds []*model.FeedCircuit
	// Operation is the operating point in each case.
	Operation ByCase[Operation]
}

// OperationStatus says whether a network has an operating point.
type OperationStatus uint8

// The statuses of an operating point.
const (
	// NotComputed: the case was not asked for.
	NotComputed OperationStatus = iota
	// Solved: the voltages and currents of the case are the operating point.
	Solved
	// NoOperatingPoint: the loads can't be fed at any voltage. The case has no voltages and no currents.
	NoOperatingPoint
	// NotConverged: the iteration over shared return conductors did not settle. The case has no voltages and no currents.
	NotConverged
)

// String returns the status in words.
func (s OperationStatus) String() string {
	switch s {
	case Solved:
		return "solved"
	case NoOperatingPoint:
		return "no operating point"
	case NotConverged:
		return "not converged"
	}
	return "not computed"
}

// Operation is the operating point of a network in one case.
type Operation struct {
	Status OperationStatus
	// Collapse is the limit of the constant-power loads; nil when it was not computed (cases other than Lowest that
	// are solved) or when no factor on the constant-power loads is too large.
	Collapse *Collapse
	// Why explains a status other than Solved, with the place and the numbers.
	Why string
}

// Collapse is the limit of the constant-power loads of a network: with all of them multiplied by more than the
// collapse factor there is no operating point.
type Collapse struct {
	// Lower and Upper enclose the collapse factor: to rounding, or within a tenth where the circuits of the network
	// share return conductors. Below 1: there is no operating point. Both are zero when already the constant currents
	// alone are too large.
	Lower, Upper model.Ratio
	// At is the place whose voltage is lowest at the limit.
	At Place
	// Voltage at that place at the limit; zero or less when the constant currents alone are too large.
	Voltage model.Voltage
	// Edge is the place at which the conductors end in which most voltage is lost on the way to At.
	Edge Place
	// Drop is the voltage lost there, in both conductors.
	Drop model.Voltage
	// Power is the sum of all constant-power loads of the network as described.
	Power model.Power
	// Excess is the part of Power that can't be fed: zero when there is an operating point.
	Excess model.Power
}

// Place is a place in the supply: exactly one of its pointers is set, or none for the zero value.
type Place struct {
	Supply     *model.Supply
	Protection *model.Protection
	Feed       *model.FeedCircuit
	Port       *model.Port
	// Circuit is the circuit at a feed or port.
	Circuit model.Circuit
}

// Origin returns the origin of the object at the place.
func (p Place) Origin() model.Origin {
	switch {
	case p.Supply != nil:
		return p.Supply.Origin
	case p.Protection != nil:
		return p.Protection.Origin
	case p.Feed != nil:
		return p.Feed.Feed.Origin
	case p.Port != nil:
		return p.Port.Origin
	}
	return model.Origin{}
}

// Protective is an overcurrent protective device in force at some place: one of Protection and Port is set.
type Protective struct {
	// Protection is a device between the supply and the feeds.
	Protection *model.Protection
	// Port is the port whose own fuse it is, and Circuit the circuit of that fuse.
	Port    *model.Port
	Circuit model.Circuit
	Type    *model.ResolvedProtectionType
	// Ambient is the air temperature at the device.
	Ambient model.AmbientRange

	curve *curve
}

// Origin returns the origin of the device: that of the protection or of the port.
func (p *Protective) Origin() model.Origin {
	if p.Port != nil {
		return p.Port.Origin
	}
	return p.Protection.Origin
}

// Supply is one 24 V supply with what hangs on it.
type Supply struct {
	Supply *model.Supply
	// Points is the state of the supply's terminals.
	Points ByCase[Point]
	// Current drawn from the supply against its rated current, derated at the highest air temperature.
	Current Check[model.Current]
	// Rated current, Temperature at which it is derated, and Derating, the share that is left there. Derating is 1
	// where the supply has no table: its rating is then taken to hold over its whole range.
	Rated       model.Current
	Temperature model.Temperature
	Derating    model.Ratio
	// Spare is the margin of Current as a share of its limit; meaningful when Current is decided.
	Spare model.Ratio
	// Inrush is the switching on of everything on the supply at once.
	Inrush Inrush
}

// Protection is one protective device between a supply and its feeds.
type Protection struct {
	Protection *model.Protection
	Network    *Network
	// Points is the state behind the device.
	Points ByCase[Point]
	// Current through the device against what it holds for ever at its highest air temperature.
	Current Check[model.Current]
	// Run is the wiring to the device; nil when it is not described.
	Run *Run
	// Fault is a short circuit right behind the device: whether the supply can feed enough to open it.
	Fault Fault
	// Inrush is the switching on of everything behind the device at once.
	Inrush Inrush
}

// Feed is one supply cable.
type Feed struct {
	Feed *model.Feed
	// Circuits are the circuits on the feed, in the order of Feed.Circuits.
	Circuits []*FeedCircuit
}

// FeedCircuit is one circuit on a feed.
type FeedCircuit struct {
	Circuit *model.FeedCircuit
	Network *Network
	// Points is the state at the end of the feed.
	Points ByCase[Point]
	// Run is the circuit's part of the cable; without a cable (the plugs meet directly) it has no conductors.
	Run *Run
}

// Run is one circuit's part of a laid cable: its conductors, its contacts, its protection.
type Run struct {
	// Cable is nil when the plugs meet directly.
	Cable        *model.CableRun
	Circuit      model.Circuit
	Plus, Return Conductor
	// Ampacity of one core; meaningless without a cable.
	Ampacity Ampacity
	// Current and ReturnCurrent are the currents in one core of plus and of the return against the ampacity.
	Current, ReturnCurrent Check[model.Current]
	// Contacts are the connectors on the way, plus and return apart.
	Contacts []Contact
	// Protective is the device in force over the run; nil when there is none upstream.
	Protective *Protective
	// Overload is the rated current of Protective against the ampacity of the cores in parallel (IEC 60364-4-43:2008,
	// 433.1). For a self-resetting fuse it is the current that the fuse holds at its coldest.
	Overload Check[model.Current]
	// Fault is a short circuit between plus and return at the end of the run.
	Fault Fault
	// Withstand is the Joule integral of the worst short circuit on the run, until it is opened, against k²S² of one
	// conductor.
	Withstand Check[model.JouleIntegral]
}

// Conductor is one conductor of a run: its cores in parallel.
type Conductor struct {
	// Cores in parallel.
	Cores int
	// Section of one core.
	Section model.CrossSection
	// Length, one way.
	Length model.Length
	// PerLength is the resistance of one core at 20 °C, and From says where it comes from.
	PerLength model.ResistancePerLength
	From      string
	// Hot and Cold are the conductor temperatures of the cases.
	Hot, Cold model.Temperature
	// At20, AtHot and AtCold are the resistances of the conductor, cores in parallel, without contacts.
	At20, AtHot, AtCold model.Resistance
	// Contacts is the resistance of all contacts on the way, cores in parallel.
	Contacts model.Resistance
}

// Ampacity is the permitted current of one core with its derivation: Value = Base·Ambient·Grouping·Loaded.
type Ampacity struct {
	// Known is false when the tables do not cover the conductor or how it is laid, see Why; the rest is then incomplete.
	Known bool
	Value model.Current
	// Base is the current of the table row Row, or of the cable's data sheet when Row is zero.
	Base     model.Current
	Row      model.CrossSection
	Method   model.LayingMethod
	Standard model.AmpacityStandard
	// Ambient is the factor for the air temperature Temperature.
	Ambient     model.Ratio
	Temperature model.Temperature
	// Grouping is the factor for Grouped circuits laid together.
	Grouping model.Ratio
	Grouped  int
	// Loaded is the factor for LoadedCores current-carrying cores in the cable.
	Loaded      model.Ratio
	LoadedCores int
	// Why says what is not covered, or remarks on how the row was chosen.
	Why string
}

// Contact is one connector on a conductor.
type Contact struct {
	Connector *model.Connector
	// Return is true for the contacts of the return.
	Return bool
	// Current in one contact against what it carries at Temperature.
	Current Check[model.Current]
	// Rating of one contact, and Curve, the share of its base curve that is permitted at Temperature; Curve is nil
	// when the connector has no curve.
	Rating      model.Current
	Curve       *model.Current
	Temperature model.Temperature
}

// Fault is a short circuit between plus and return at the end of a run.
type Fault struct {
	// Known is false when there is no smallest fault current to be told, see Why. Voltage, the resistances and Ohmic
	// hold nevertheless.
	Known bool
	// Voltage of the supply, Source its resistance, Devices those of the protective devices and modules on the way,
	// Conductors and Contacts those of both conductors, Loop the sum. For the smallest fault current: lowest supply
	// voltage, hot conductors, all contacts.
	Voltage                                     model.Voltage
	Source, Devices, Conductors, Contacts, Loop model.Resistance
	// Ohmic is Voltage/Loop; nil when Loop is zero.
	Ohmic *model.Current
	// SupplyLimit is the current that the supply gives for ever, and Boost that for BoostTime; Boost is zero when the
	// supply has none.
	SupplyLimit model.Current
	Boost       model.Current
	BoostTime   model.Duration
	// Current is the smallest fault current, the lower of Ohmic and SupplyLimit, without any other load.
	Current model.Current
	// Assured is the smallest fault current while all loads go on drawing the currents of the case Lowest; nil when
	// that case is not solved. It is never larger than Current.
	Assured *model.Current
	// Protective is the device that has to open; nil when there is none.
	Protective *Protective
	// Trip is the fault current against the current at which Protective opens within the permitted time: Assured where
	// it is known, else Current; where only the supply's boost opens it in time, the current during the boost.
	Trip Check[model.Current]
	// Opens is the latest time at which Protective has opened against the permitted time.
	Opens Check[model.Duration]
	// Largest is the largest fault current at the start of the run: highest supply voltage, cold conductors; nil when
	// neither a limit nor a resistance bounds it.
	Largest *model.Current
	// Why says what is missing.
	Why string
}

// Inrush is the switching on of everything behind a place at once, with the supply at its highest voltage and cold
// conductors.
type Inrush struct {
	// Stated and Unstated count the loads behind the place that state an inrush and those that do not; the latter are
	// taken to have none.
	Stated, Unstated int
	// Capacitance is the sum of the input capacitances.
	Capacitance model.Capacitance
	// Voltage of the supply.
	Voltage model.Voltage
	// Resistance that the empty capacitors present at the first moment, from the supply on.
	Resistance model.Resistance
	// Currents is the sum of the stated peak currents, and Duration the longest time of one of them.
	Currents model.Current
	Duration model.Duration
	// Peak is Voltage/Resistance plus Currents; nil when no resistance bounds it and no supply limit does.
	Peak *model.Current
	// JouleIntegral is an upper bound of that of the charging current, Peak·C·V/2: exact for one capacitor behind one
	// resistance.
	JouleIntegral model.JouleIntegral
	// Steady is the current of all loads in operation, which flows beside; nil when it is not known.
	Steady *model.Current
	// Decay is the time in which the whole current has fallen to what the protective device holds for ever, or to the
	// limit of the supply, at the latest; nil when that is not told.
	Decay *model.Duration
	// Hold is Peak and Steady together against the current that the protective device stands for that time; at a supply
	// against its limit, or its boost while that lasts, and NotCovered above it: Capacity then tells whether it starts.
	Hold Check[model.Current]
	// Capacity is Capacitance against the largest that the supply starts with; NotApplicable at a protective device.
	Capacity Check[model.Capacitance]
}

// Module is one safety I/O module.
type Module struct {
	Module *model.Module
	// Circuits are the circuits that the module is fed with, sensor before actuator.
	Circuits []*ModuleCircuit
	// Ports belong to Module.Ports.
	Ports []*Port
	// Free is the number of ports without a device.
	Free int
	// Loads are the module's own.
	Loads []*Load
}

// ModuleCircuit is one circuit at a module.
type ModuleCircuit struct {
	Circuit model.Circuit
	Feed    *model.FeedCircuit
	Network *Network
	// Points is the state at the module's connector.
	Points ByCase[Point]
	// Own is the current of the module and its ports against the module's limit for the circuit.
	Own Check[model.Current]
	// Through is the current into the module, what goes on included, against its pass-through limit.
	Through Check[model.Current]
	// In and Out are the power connectors, plus and return; nil when not stated. At Out the current is that of the
	// onward feed with the most.
	In, Out []Contact
}

// Port is one port of a module.
type Port struct {
	Port *model.Port
	// Circuits are the circuits from which the port's device draws, sensor before actuator; empty for a free port.
	Circuits []*PortCircuit
}

// PortCircuit is one circuit at a port.
type PortCircuit struct {
	Circuit model.Circuit
	// Network is nil when the module is not fed with the circuit.
	Network *Network
	// Points is the state at the device.
	Points ByCase[Point]
	// Current of the device against the limit of the port.
	Current Check[model.Current]
	// Hold is the same current against what the port's fuse holds for ever at its highest air temperature.
	Hold Check[model.Current]
	// Contacts are the port's own connector, plus and return.
	Contacts []Contact
	// Run is the circuit's part of the cable to the device; it has no conductors when the device is plugged on directly.
	Run *Run
	// Inrush is the switching on of the device.
	Inrush Inrush

	at int32 // node of the plan plus 1; 0 when nothing feeds the circuit
}

// Device is one device with its loads.
type Device struct {
	Device *model.Device
	Loads  []*Load
}

// Controller is one safety controller with its loads.
type Controller struct {
	Controller *model.Controller
	Loads      []*Load
}

// Switch is one network switch with its loads.
type Switch struct {
	Switch *model.Switch
	Loads  []*Load
}

// Load is one consumer on the supply.
type Load struct {
	Load *model.DeviceLoad
	// Owner is what the load belongs to.
	Owner model.Consumer
	// Port is where the owner is plugged in; nil for an owner that is fed directly.
	Port *model.Port
	// Network is nil when nothing feeds the load; the checks are then Unknown.
	Network *Network
	// Points is voltage at and current of the load. A load that is off in a case has no current.
	Points ByCase[Point]
	// Lowest voltage at the load against the least voltage at which it works.
	Lowest Check[model.Voltage]
	// Highest voltage at the load against the highest that it permits.
	Highest Check[model.Voltage]
	// PullIn is the voltage at the load while all magnets pull against the least voltage at which it pulls; NoLimit for
	// a load without a pull-in voltage.
	PullIn Check[model.Voltage]
	// Drop is the voltage lost between the supply and the load as a share of the supply's nominal voltage, in the case
	// Lowest: against the 5 % of IEC 60204-1:2016 12.5 where the load states no least voltage, NoLimit where Lowest is
	// decided.
	Drop Check[model.Ratio]

	at int32 // node of the plan plus 1; 0 when nothing feeds the load
}

// Selectivity says whether a short circuit behind Downstream opens it before Upstream can open.
type Selectivity struct {
	Downstream, Upstream *Protective
	// Status is Within when it is selective over the whole range, Beyond when there is a current at which it need not
	// be, NotCovered when data are missing.
	Status Status
	// From and To are the smallest and the largest fault current behind Downstream.
	From, To model.Current
	// At is the current at which selectivity is lost or weakest, DownstreamOpens the latest time there at which
	// Downstream has opened, and UpstreamHolds the time for which Upstream stays closed at least, with the load
	// current Beside flowing through it as well. Meaningful when Status is decided.
	// DownstreamOpens is nil when it need not open at all, UpstreamHolds when it stays closed for ever.
	At              model.Current
	DownstreamOpens *model.Duration
	UpstreamHolds   *model.Duration
	Beside          model.Current
	// Why says what is missing.
	Why string
}
