package model

import "github.com/guardwright/guardwright/model/source"

// Machine is a described machine in which every name has been resolved and every structural error found. It is
// made by [Load] or [Build], is not changed after that, and may be used from several goroutines at once; treat
// everything reached from it as read-only. Its lists are sorted by name, numbers within names by value (m2
// before m10), so that results do not depend on the order in a file.
type Machine struct {
	Name    string
	About   string
	Ambient AmbientRange

	Zones       []*Zone
	Devices     []*Device
	Modules     []*Module
	Controllers []*Controller
	Switches    []*Switch
	Power       PowerSystem
	Network     *Network // nil when the machine has none
	Drives      []*Drive
	Functions   []*Function
	Logic       *Logic // nil when the machine has none
	Accept      []Acceptance

	locate func(path string) source.Position
	spec   Description
}

// Position returns where a path, such as modules.m1.ports.3.cable.length, stands in the machine file or in one of its
// parts files: the place itself, or the nearest one around it. It is zero when the machine was built in Go.
func (m *Machine) Position(path string) source.Position { return m.locate(path) }

// Description returns a copy of the description that the machine was made from, with the component data of all parts
// files merged into it. Built again, it gives the same machine.
func (m *Machine) Description() Description { return clone(m.spec) }

// Origin is where an object comes from.
type Origin struct {
	// Name is the object's key in the description.
	Name string
	// Path is the object's place in the description, such as modules.m1.ports.3.
	Path string
	// Position is the object's place in a file; zero when the machine was built in Go.
	Position source.Position
}

// AmbientRange is a lowest and a highest air temperature, both known.
type AmbientRange struct{ Min, Max Temperature }

// Zone is a part of the machine that is entered, stopped or reset as one.
type Zone struct {
	Origin
	ZoneSpec
	Ambient AmbientRange
	NextTo  []*Zone
	Devices []*Device
	Modules []*Module
}

// Kind is a kind of device: the signals it gives to the logic and takes from it.
type Kind struct {
	Origin
	KindSpec
}

// Device is one device of the machine.
type Device struct {
	Origin
	DeviceSpec
	Type *ResolvedDeviceType
	// Zone is the device's own or that of its module; nil when neither states one.
	Zone *Zone
	// Port is where the device is plugged in; nil when it is fed directly or not connected.
	Port *Port
	// Loads are the device's loads in order of their names.
	Loads []*DeviceLoad
	// Feeds are the feeds that end at the device, by circuit; nil where there is none.
	Feeds FeedsByCircuit
	// Muting is how the load is let through; nil where it is not.
	Muting *Muting
	// ViewOf are the zones of which all can be seen from the device; nil when that is not stated.
	ViewOf []*Zone
}

// Muting is how a load is let through a protective device.
type Muting struct {
	Origin
	MutingSpec
	Sensors  []*Device
	Lamp     *Device // nil when there is none
	Override *Device // nil when there is none
}

// ResolvedDeviceType is a device type with its kind.
type ResolvedDeviceType struct {
	Origin
	DeviceType
	Kind *Kind
}

// DeviceLoad is one load with its defaults filled in.
type DeviceLoad struct {
	Origin
	LoadType
	Circuit   Circuit
	Permanent bool
}

// Module is one safety I/O module of the machine.
type Module struct {
	Origin
	ModuleSpec
	Type  *ResolvedModuleType
	Zone  *Zone // nil when not stated
	Ports []*Port
	Loads []*DeviceLoad
	// Feeds are the feeds that end at the module, by circuit; nil where there is none.
	Feeds FeedsByCircuit
	// Onward are the feeds that start at the module.
	Onward []*Feed
}

// ResolvedModuleType is a module type with its connectors.
type ResolvedModuleType struct {
	Origin
	ModuleType
	PowerIn, PowerOut *Connector // nil when not stated
	// NetworkConnector is the connector of the network ports; nil when not stated.
	NetworkConnector *Connector
}

// Port is one port of a module, used or free.
type Port struct {
	Origin
	PortSpec
	Module *Module
	Type   PortType
	// Connector is the port's connector; nil when not stated.
	Connector *Connector
	// Fuse and ActuatorFuse are the port's own protection; nil when not stated.
	Fuse, ActuatorFuse *ResolvedProtectionType
	// Device is what is plugged in; nil when the port is free.
	Device *Device
	// Cable is the run to the device; nil when the device is plugged on directly.
	Cable *CableRun
	// Set is the parameter set; nil when not stated.
	Set *NamedSet
}

// NamedSet is a parameter set with its name.
type NamedSet struct {
	Name string
	ParameterSet
}

// Connector is a connector type.
type Connector struct {
	Origin
	ConnectorType
}

// Cable is a cable type with its connectors.
type Cable struct {
	Origin
	CableType
	// Ends are the connectors at the ends that have one.
	Ends []*Connector
	// Insulation is the highest permitted conductor temperature.
	Insulation Temperature
}

// CableRun is one laid cable.
type CableRun struct {
	Origin
	CableRunSpec
	Cable   *Cable
	Joints  []*Connector
	Ambient AmbientRange
	Laying  LayingSpec
}

// Contacts lists the connectors that each conductor of the run passes: those at the ends and the joints.
func (r *CableRun) Contacts() []*Connector {
	out := make([]*Connector, 0, len(r.Cable.Ends)+len(r.Joints))
	return append(append(out, r.Cable.Ends...), r.Joints...)
}

// PowerSystem is the 24 V DC supply of a machine.
type PowerSystem struct {
	Ampacity      AmpacityStandard
	HotConductor  *Temperature // nil: the limit of each cable's insulation
	ColdConductor Temperature
	FaultTime     Duration
	Supplies      []*Supply
	Protections   []*Protection
	Feeds         []*Feed
}

// Supply is one 24 V supply.
type Supply struct {
	Origin
	SupplySpec
	Type    *ResolvedSupplyType
	Zone    *Zone // nil when not stated
	Ambient AmbientRange
	// Protections and Feeds are what the supply feeds directly.
	Protections []*Protection
	Feeds       []*FeedCircuit
}

// ResolvedSupplyType is a supply type with its defaults filled in.
type ResolvedSupplyType struct {
	Origin
	SupplyType
}

// ResolvedProtectionType is a type of protective device.
type ResolvedProtectionType struct {
	Origin
	ProtectionType
}

// Protection is one protective device between a supply and its feeds.
type Protection struct {
	Origin
	ProtectionSpec
	Type *ResolvedProtectionType
	// Supply is the supply at the top.
	Supply *Supply
	// Upstream is the protective device before this one; nil when the supply feeds it directly.
	Upstream *Protection
	// Cable is the wiring from upstream; nil when not stated.
	Cable   *CableRun
	Ambient AmbientRange
	// Protections and Feeds are what hangs behind the device.
	Protections []*Protection
	Feeds       []*FeedCircuit
}

// Feed is one supply cable with its circuits.
type Feed struct {
	Origin
	FeedSpec
	// From is the module that passes the supply on; nil when the circuits come from protective devices or supplies.
	From *Module
	// To is what is fed.
	To Consumer
	// Cable is the run; nil when the plugs meet directly.
	Cable *CableRun
	// Circuits are the circuits on the feed, sensor before actuator.
	Circuits []*FeedCircuit
}

// Circuit returns the feed's part of a circuit, or nil.
func (f *Feed) Circuit(c Circuit) *FeedCircuit {
	for _, fc := range f.Circuits {
		if fc.Circuit == c {
			return fc
		}
	}
	return nil
}

// FeedCircuit is one circuit on a feed.
type FeedCircuit struct {
	Feed    *Feed
	Circuit Circuit
	// Supply is the supply at the top of the circuit.
	Supply *Supply
	// Protection is the protective device that the circuit comes from on this feed; nil when it comes from a module
	// or straight from the supply.
	Protection *Protection
	// Upstream is the part of the feed before this one that ends at the module From; nil at the first feed.
	Upstream               *FeedCircuit
	PlusCores, ReturnCores int
}

// FeedsByCircuit holds the feed of each circuit; nil where there is none.
type FeedsByCircuit struct{ Sensor, Actuator *FeedCircuit }

// Of returns the feed of a circuit, or nil.
func (f FeedsByCircuit) Of(c Circuit) *FeedCircuit {
	if c == Actuator {
		return f.Actuator
	}
	return f.Sensor
}

// Consumer is what a feed ends at: exactly one of its fields is set.
type Consumer struct {
	Module     *Module
	Device     *Device
	Controller *Controller
	Switch     *Switch
}

// Origin returns the origin of the object that is fed.
func (c Consumer) Origin() Origin {
	switch {
	case c.Module != nil:
		return c.Module.Origin
	case c.Device != nil:
		return c.Device.Origin
	case c.Controller != nil:
		return c.Controller.Origin
	case c.Switch != nil:
		return c.Switch.Origin
	}
	return Origin{}
}

// Loads returns the loads of the object that is fed, without those at the ports of a module.
func (c Consumer) Loads() []*DeviceLoad {
	switch {
	case c.Module != nil:
		return c.Module.Loads
	case c.Device != nil:
		return c.Device.Loads
	case c.Controller != nil:
		return c.Controller.Loads
	case c.Switch != nil:
		return c.Switch.Loads
	}
	return nil
}

// Controller is one safety controller.
type Controller struct {
	Origin
	ControllerSpec
	Type  *ResolvedControllerType
	Zone  *Zone // nil when not stated
	Loads []*DeviceLoad
	Feeds FeedsByCircuit
}

// ResolvedControllerType is a controller type.
type ResolvedControllerType struct {
	Origin
	ControllerType
	// NetworkConnector is the connector of the network ports; nil when not stated.
	NetworkConnector *Connector
}

// Switch is one network switch.
type Switch struct {
	Origin
	SwitchSpec
	Type  *ResolvedSwitchType
	Zone  *Zone // nil when not stated
	Loads []*DeviceLoad
	Feeds FeedsByCircuit
}

// ResolvedSwitchType is a switch type.
type ResolvedSwitchType struct {
	Origin
	SwitchType
	// NetworkConnector is the connector of the network ports; nil when not stated.
	NetworkConnector *Connector
}

// Drive is a source of hazardous motion.
type Drive struct {
	Origin
	DriveSpec
	Zone       *Zone // nil when not stated
	SwitchedBy []*Device
	// Standstill says what counts as standstill; nil when it is not stated.
	Standstill *Standstill
}

// Standstill says when a motion counts as standing still.
type Standstill struct {
	Origin
	StandstillSpec
	Monitor *Device // nil when there is none
}

// Function is one safety function.
type Function struct {
	Origin
	FunctionSpec
	Demand     []*Device
	Stops      []*Drive
	Outputs    []*Device
	Controller *Controller // nil when the machine has none
	Reset      *Device     // nil when not stated
	// Approaches are the ways to the hazard, in the order of Demand. A demand device whose approach is not stated has none.
	Approaches []*Approach
}

// Approach is the way to the hazard past one demand device of a safety function.
type Approach struct {
	Origin
	ApproachSpec
	Device *Device
	// Arrangement is the stated one, or that of the kind of the device; empty when neither says.
	Arrangement Arrangement
	// Hazards are the drives whose motion is dangerous there.
	Hazards []*Drive
}

// ApproachOf returns the way to the hazard past a demand device, or nil.
func (f *Function) ApproachOf(d *Device) *Approach {
	for _, a := range f.Approaches {
		if a.Device == d {
			return a
		}
	}
	return nil
}

// Network is the safety network of a machine.
type Network struct {
	Origin
	NetworkSpec
	Controller *Controller // nil when the machine has none
	// PlantAt is the network port at which other networks are plugged in; the zero value when none is stated.
	PlantAt     LinkEnd
	Links       []*Link
	Rings       []*Ring
	Connections []*Connection
	Traffic     []*Flow
}

// UsedPorts lists the network ports into which something is plugged, each with the path of what says so.
func (n *Network) UsedPorts() map[LinkEnd]string {
	used := map[LinkEnd]string{}
	for _, l := range n.Links {
		used[l.From], used[l.To] = l.Path, l.Path
	}
	for _, f := range n.Traffic {
		for _, end := range []LinkEnd{f.From, f.To} {
			if end.Port != "" {
				used[end] = f.Path
			}
		}
	}
	if n.PlantAt.Port != "" {
		used[n.PlantAt] = n.Path + ".plant"
	}
	return used
}

// NetworkNode is a node of the network: exactly one of its fields is set.
type NetworkNode struct {
	Controller *Controller
	Module     *Module
	Switch     *Switch
}

// Origin returns the origin of the node.
func (n NetworkNode) Origin() Origin {
	switch {
	case n.Controller != nil:
		return n.Controller.Origin
	case n.Module != nil:
		return n.Module.Origin
	case n.Switch != nil:
		return n.Switch.Origin
	}
	return Origin{}
}

// Ports returns what the data of the node's type say of its network side; the zero value for no node.
func (n NetworkNode) Ports() NetworkPortsType {
	switch {
	case n.Controller != nil:
		return n.Controller.Type.NetworkPortsType
	case n.Module != nil:
		return n.Module.Type.NetworkPortsType
	case n.Switch != nil:
		return n.Switch.Type.NetworkPortsType
	}
	return NetworkPortsType{}
}

// Connector returns the connector of the node's network ports, or nil.
func (n NetworkNode) Connector() *Connector {
	switch {
	case n.Controller != nil:
		return n.Controller.Type.NetworkConnector
	case n.Module != nil:
		return n.Module.Type.NetworkConnector
	case n.Switch != nil:
		return n.Switch.Type.NetworkConnector
	}
	return nil
}

// Addresses returns the addresses of the node.
func (n NetworkNode) Addresses() AddressSpec {
	switch {
	case n.Controller != nil:
		return n.Controller.AddressSpec
	case n.Module != nil:
		return n.Module.AddressSpec
	case n.Switch != nil:
		return n.Switch.AddressSpec
	}
	return AddressSpec{}
}

// LinkEnd is one end of a link.
type LinkEnd struct {
	Node NetworkNode
	Port string
}

// Link is one cable between two network ports.
type Link struct {
	Origin
	LinkSpec
	From, To LinkEnd
	// Cable is the cable type; nil when not stated.
	Cable *Cable
}

// Ring is a ring with a ring protocol.
type Ring struct {
	Origin
	RingSpec
	Nodes      []NetworkNode
	Supervisor NetworkNode
	Backups    []NetworkNode
}

// Connection is one safety connection.
type Connection struct {
	Origin
	ConnectionSpec
	Module     *Module
	Controller *Controller // nil when the machine has none
}

// Flow is a stream of frames beside the safety connections. An end without a port is the node itself; one with a port
// is a station outside the description that is plugged in there.
type Flow struct {
	Origin
	FlowSpec
	From, To LinkEnd
}

// Acceptance is a finding that was judged and accepted.
type Acceptance struct {
	Origin
	AcceptSpec
}
