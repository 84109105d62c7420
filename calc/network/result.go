package network

import "github.com/guardwright/guardwright/model"

// Result is everything computed about the safety network of one machine. It is not changed after [Compute] returns
// it and may be shared between goroutines. Its lists stand in the order of the machine's lists: Links[i] belongs to
// machine.Network.Links[i], Rings[i] to machine.Network.Rings[i], Connections[i] to machine.Network.Connections[i];
// Nodes are the controllers, then the switches, then the modules, each in the machine's order.
//
// Nothing in it is silently absent: a [Check] has a [Status], a pointer is nil where its comment says so.
type Result struct {
	Machine *model.Machine
	// Network is nil when the machine describes none; everything else is empty then.
	Network *model.Network
	// Shape of the whole network.
	Shape Shape
	// Nodes, Links and Rings of the network.
	Nodes []*Node
	Links []*Link
	Rings []*Ring
	// Lines are the chains of nodes with two links or one that are in no ring.
	Lines []*Line
	// Loops are parts of the network in which frames could circle because no ring protocol keeps them open.
	Loops []*Loop
	// Reach says for each controller that owns a connection, and for the network's own, what single faults cost it, and double
	// faults of rings.
	Reach []*Reach
	// Connections are the safety connections.
	Connections []*Connection
	// Flows are all streams of frames: those of the connections, then the other traffic, then the ring protocols'.
	Flows []*Flow
	// Ports are the directions of the links, and the ports to stations outside the description, that carry a flow.
	Ports []*Port
	// Controllers count the connections of each controller.
	Controllers []*Controller
	// Cycle is the arithmetic of the protocol's cycle; its checks are Unknown for a protocol without one.
	Cycle Cycle
	// Addresses are the network and safety addresses.
	Addresses Addresses
	// Limits are places that the method does not cover, or covers only with the stated assumption.
	Limits []Limit
}

// Limit is a place at which there is no result, or only one with an assumption.
type Limit struct {
	// Place is the object concerned.
	Place model.Origin
	// Text says what is not covered or what was assumed, and on which side the numbers lie then.
	Text string
}

// Shape is the form of a network.
type Shape string

// The forms of a network. The zero value is a network without links.
const (
	NoShape Shape = ""
	LineOf  Shape = "line"  // every node has at most two links, and there is no loop
	StarOf  Shape = "star"  // all links meet at one node
	RingOf  Shape = "ring"  // one ring that all nodes are in
	TreeOf  Shape = "tree"  // no loop
	MixedOf Shape = "mixed" // rings with something else
	PartsOf Shape = "parts" // the nodes do not all hang together
)

// Node is one controller, switch or module in the network.
type Node struct {
	Node model.NetworkNode
	// Links at the node.
	Links []*Link
	// Rings that the node is in.
	Rings []*Ring
	// Line that the node is in; nil when it is in none.
	Line *Line
	// Reachable is true when the network's controller reaches the node.
	Reachable bool
	// Hops is the number of links between the network's controller and the node on the shortest way, and Longest that
	// on the way that is left at the worst open position of the rings. Both are Unknown for a node out of reach.
	Hops, Longest Check[int]
	// Before is the last node on the shortest way from the controller; nil at the controller and out of reach.
	Before *Node
	// Free are the network ports without a link or a station.
	Free []string
	// Articulation is true when the loss of the node parts the rest of the network.
	Articulation bool
}

// Origin returns the origin of the node.
func (n *Node) Origin() model.Origin { return n.Node.Origin() }

// Link is one cable between two network ports.
type Link struct {
	Link     *model.Link
	From, To *Node
	// Ring that the link is in; nil when it is in none.
	Ring *Ring
	// Bridge is true when the loss of the link parts the network.
	Bridge bool
	// Length against what the medium permits.
	Length Check[model.Length]
	// Rate against the highest of the slower of the two ports.
	Rate Check[model.DataRate]
	// Propagation is the longest time from one end to the other; Unknown for a radio link that does not state it.
	Propagation Check[model.Duration]
}

// Ring is a ring with a ring protocol.
type Ring struct {
	Ring *model.Ring
	// Closed is true when the ring's links make one round through all its nodes. Nodes and Links are in the stated
	// order then: Links[i] is between Nodes[i] and Nodes[i+1], the last back to Nodes[0]. Otherwise Links are those found.
	Closed bool
	Nodes  []*Node
	Links  []*Link
	// Gaps are the neighbours in the stated order that no link joins.
	Gaps []Gap
	// InOrder is true when the ring is closed in the stated order. A ring that is closed in another order has Closed true
	// and InOrder false; Nodes are then in the order of the links.
	InOrder bool
	// Active are the nodes that would be supervisor at the same time: one when all is well, none when nobody is
	// supervisor, several when they have the same precedence.
	Active []*Node
	// Backups are the nodes that take the active supervisor's place, the first in rank first.
	Backups []*Node
	// Deaf are the nodes whose data say that they do not take part in the ring's protocol, and Unstated those whose data
	// say nothing of it.
	Deaf, Unstated []*Node
	// Members is the number of nodes against the most for which the recovery time holds.
	Members Check[int]
	// Modules is the number of modules against the least of what the modules' data permit in one ring.
	Modules Check[int]
	// Detection is the longest time until the supervisor has noticed a break.
	Detection Check[model.Duration]
	// Recovery is the longest time until the ring carries data again, without a limit of its own: see [Connection].
	Recovery Check[model.Duration]
	// Connections that cross the ring.
	Connections []*Connection
	// Trips are those of them that a single break of the ring stops, or may stop because it can't be told.
	Trips []*Connection
}

// Gap is a pair of neighbours in the stated order of a ring that no link joins.
type Gap struct{ From, To *Node }

// Line is a chain of nodes, one behind the other, in no ring.
type Line struct {
	// From is the node that the line hangs from; nil for a line that neither the controller nor anything branched is at.
	From *Node
	// Nodes in order, the nearest to From first.
	Nodes []*Node
	// Modules is the number of modules in the line against the least of what the modules' data permit in one line.
	Modules Check[int]
}

// Loop is a part of the network in which no node and no link alone can be cut out to leave two parts, and which is not
// exactly one declared ring.
type Loop struct {
	Nodes []*Node
	Links []*Link
	// Rings are the declared rings that have links in it: rings that share links, or a ring with a further link across.
	Rings []*Ring
}

// Reach says what one controller loses by single faults, and by double faults of rings.
type Reach struct {
	Controller *model.Controller
	// Modules that the controller has to reach: those of its connections, and for the network's own controller also those
	// without a connection.
	Modules []*model.Module
	// Unreached are those that it does not reach even without a fault.
	Unreached []*model.Module
	// Faults are all single faults of what hangs together with the controller, the links first, then the nodes, then the
	// shared causes. What is apart from it costs it nothing.
	Faults []*Fault
	// Pairs are the double faults of each closed ring that hangs together with the controller: two links, a link and a node,
	// two nodes.
	Pairs []*Pairs
}

// FaultKind is the kind of a single fault.
type FaultKind string

// The kinds of single faults.
const (
	LinkFault   FaultKind = "link"   // a cable is cut or unplugged
	NodeFault   FaultKind = "node"   // a controller, switch or module is dead
	SharedFault FaultKind = "shared" // several nodes lose their supply together
)

// Fault is one single fault with what it costs.
type Fault struct {
	Kind FaultKind
	// Link is set for a LinkFault, Node for a NodeFault, Cause for a SharedFault.
	Link  *Link
	Node  *Node
	Cause *Cause
	// Lost are the modules that the controller does not reach any more, those without supply included.
	Lost ModuleSet
	// Functions that are lost: a device of theirs for demand, output or reset, or one that switches a drive that they stop,
	// is at a lost module. They go to the safe state; the machine stops.
	Functions []*model.Function
	// Ring that the fault opens; nil when it opens none. A shared fault can open several: see Rings.
	Ring *Ring
	// Rings that the fault opens.
	Rings []*Ring
	// Trips are the connections across these rings that may not survive their recovery, those to lost modules among them.
	Trips []*Connection
}

// Origin returns the origin of what fails.
func (f *Fault) Origin() model.Origin {
	switch {
	case f.Link != nil:
		return f.Link.Link.Origin
	case f.Node != nil:
		return f.Node.Origin()
	case f.Cause != nil:
		return f.Cause.Origin
	}
	return model.Origin{}
}

// PairKind says which two parts of a ring fail at the same time.
type PairKind string

// The kinds of pairs.
const (
	TwoLinks    PairKind = "links"
	LinkAndNode PairKind = "link-and-node"
	TwoNodes    PairKind = "nodes"
)

// Pairs counts what the pairs of one kind cost one controller that none of their two faults alone costs. A ring is made for one
// fault at a time: two links of a ring always part it, two nodes do unless they are neighbours.
type Pairs struct {
	Ring *Ring
	Kind PairKind
	// Count is the number of pairs among the links and nodes of the ring. The node by which the controller comes into the ring
	// is in none of them: its loss takes away all behind it, whatever else fails. Links at a node that fails count.
	Count int
	// Parting is how many of them take a further node of the ring, or of the loop that it shares with other rings, away from the
	// controller: one that has not failed and that neither fault alone takes away. It has no limit.
	Parting Check[int]
	// Losing is how many take a further module away that the controller has to reach, in the loop or behind it. It has no limit.
	Losing Check[int]
	// Worst is the pair that takes most modules away, those that have failed included; nil when no pair takes any, or when it is
	// not known, as Losing says.
	Worst *DoubleFault
}

// DoubleFault is one pair of faults with what it costs.
type DoubleFault struct {
	// Links and Nodes that fail, two together.
	Links []*Link
	Nodes []*Node
	// Lost are the modules that the controller does not reach any more.
	Lost ModuleSet
	// Functions that are lost and go to the safe state; see [Fault].
	Functions []*model.Function
}

// Origins returns the origins of what fails.
func (d *DoubleFault) Origins() []model.Origin {
	var out []model.Origin
	for _, l := range d.Links {
		out = append(out, l.Link.Origin)
	}
	for _, n := range d.Nodes {
		out = append(out, n.Origin())
	}
	return out
}

// Cause is something in the power tree whose loss takes the supply of several nodes, or of one, away.
type Cause struct {
	// Origin of the supply, protective device or feed.
	model.Origin
	// Dead are the nodes without supply for their electronics, sorted as Result.Nodes.
	Dead []*Node
}

// Controller counts the connections of a controller.
type Controller struct {
	Controller *model.Controller
	// Connections against the highest number in the controller's data.
	Connections Check[int]
}

// Connection is one safety connection.
type Connection struct {
	Connection *model.Connection
	// Input is the interval of the data from the module, Output that of the data to it; zero when there are none.
	Input, Output model.Duration
	// TimeLimit is the time after which the consumer takes the connection for lost; Unknown when it is not stated. Its
	// value has no limit.
	TimeLimit Check[model.Duration]
	// Flows are the streams of frames of the connection; empty when their sizes or ways can't be told, see Why.
	Flows []*Flow
	// ToController and FromController are the bounds of the delay of the safety data from and to the module, at any open
	// position of the rings, from the moment its frame is sent, with EtherCAT from the start of the cycle that carries it;
	// Unknown for a direction without data. The wait for that moment, of at most one interval, is not in them. They have no
	// limit of their own.
	ToController, FromController Check[model.Duration]
	// Delay is the longer of both, against the time limit less one interval.
	Delay Check[model.Duration]
	// Rings that the connection crosses.
	Rings []*Ring
	// Ordinary is the longest time that passes without a fault, and with one lost message, between two messages that
	// count for the time limit. Its value has no limit.
	Ordinary Check[model.Duration]
	// Recovery is the longest recovery time of the rings on the way against the time limit less Ordinary; NoLimit when the
	// connection crosses no ring.
	Recovery Check[model.Duration]
	// Why says what is missing when there are no flows.
	Why string
}

// FlowKind is what a flow carries.
type FlowKind string

// The kinds of flows.
const (
	InputData    FlowKind = "input"        // safety data from the module
	OutputData   FlowKind = "output"       // safety data to the module
	Coordination FlowKind = "coordination" // answers of the consumer of a time-stamped connection
	OtherTraffic FlowKind = "other"        // what the description states as traffic
	RingTraffic  FlowKind = "ring"         // frames of a ring protocol
)

// Flow is one stream of frames from one node to another.
type Flow struct {
	Kind FlowKind
	// Connection is set for the first three kinds, Traffic for OtherTraffic, Ring for RingTraffic.
	Connection *Connection
	Traffic    *model.Flow
	Ring       *Ring
	From, To   *Node
	// Message is the safety message with its data: nothing for other traffic.
	Message model.DataSize
	// Frame is the largest frame, from the destination address to the check sequence; Wire is the same with preamble and
	// gap, as it fills the link.
	Frame, Wire model.DataSize
	// Interval between frames; zero when only burst and rate are known.
	Interval model.Duration
	// Priority of the frames, 0 to 7 (IEEE 802.1Q).
	Priority int
	// Burst and Rate bound what the source sends: at most Burst + Rate·t in any time t, preamble and gap included.
	Burst model.DataSize
	Rate  model.DataRate
	// Hops is the way with the rings open at their supervisors; with delays of that state. Empty when the way can't be told.
	Hops []Hop
	// Delay is the bound from the moment the frame is ready at the source, with EtherCAT from the start of its cycle, until its
	// last bit is in at the destination, at any open position of the rings. It has no limit of its own.
	Delay Check[model.Duration]
	// Normal is the same with the rings open at their supervisors (at the worse of the supervisor's two ports).
	Normal Check[model.Duration]
	// Open is the link whose break gives Delay; nil when the normal state is the worst or the flow crosses no ring.
	Open *Link
	// Worst is the hop of Hops that adds most to Normal; nil without hops or without a bound.
	Worst *Hop
}

// Hop is the passage of a flow through one output port and along its link.
type Hop struct {
	Port *Port
	// Delay is the share of the delay bound that the hop adds: processing in the node before the port, waiting, sending,
	// and the way along the link. Meaningful when the flow's Normal has a value.
	Delay model.Duration
}

// Port is an output port that carries flows.
type Port struct {
	Node *Node
	// Port is the name of the port.
	Port string
	// Link at the port; nil for a port to a station outside the description.
	Link *Link
	// To is the node at the far end; nil for a station outside the description.
	To *Node
	// Rate of the link.
	Rate model.DataRate
	// Flows through the port with the rings open at their supervisors.
	Flows []*Flow
	// Normal is the share of the rate that is used with the rings open at their supervisors.
	Normal Check[model.Ratio]
	// Load is the share at the worst open position, against all of the rate, and Open that position; nil when it is the
	// normal one or the link is in no ring.
	Load Check[model.Ratio]
	Open *Link
	// Delay is the bound of waiting and sending for the slowest frame at the port, at any open position. It has no limit.
	Delay Check[model.Duration]
	// Backlog is the bound of what waits at the port, preamble and gap included, at any open position, against the port's
	// buffer.
	Backlog Check[model.DataSize]

	hops int // of all flows, through the port
}

// Cycle is the arithmetic of a protocol with a cycle (EtherCAT) or a send clock (PROFINET).
type Cycle struct {
	// Time is the cycle time or the send clock; Unknown when it is not stated or the protocol has none.
	Time Check[model.Duration]
	// Data is the cyclic data of all frames of one cycle, safety and other data together; EtherCAT only.
	Data model.DataSize
	// Frames in one cycle; EtherCAT only.
	Frames int
	// Wire is the time that the frames of one cycle fill the link: for PROFINET the link direction with the most.
	Wire Check[model.Duration]
	// Forwarding is the time in the devices and along the cables, there and back; EtherCAT only.
	Forwarding Check[model.Duration]
	// Used is the time from the first bit sent to the last bit back (EtherCAT), or Wire (PROFINET), against Time.
	Used Check[model.Duration]
	// At is the port with the most; PROFINET only.
	At *Port
	// Devices in the segment against the most that the protocol permits; EtherCAT only.
	Devices Check[int]
}

// AddressFault is what is wrong with an address.
type AddressFault string

// What can be wrong with an address. Those marked as advice are no faults of the network.
const (
	AddressMissing      AddressFault = "address-missing"       // no IPv4 address where the protocol needs one
	AddressTwice        AddressFault = "address-twice"         // two nodes with one IPv4 address
	OutsideSubnet       AddressFault = "outside-subnet"        // not in the network's subnet
	SubnetItself        AddressFault = "subnet-itself"         // the address of the subnet, all host bits zero (RFC 1122, 3.2.1.3)
	BroadcastAddress    AddressFault = "broadcast-address"     // all host bits one (RFC 1122, 3.2.1.3)
	NotAHost            AddressFault = "not-a-host"            // loopback, multicast, reserved or unspecified
	LinkLocal           AddressFault = "link-local"            // advice: 169.254.0.0/16 (RFC 3927)
	NotPrivate          AddressFault = "not-private"           // advice: outside the ranges of RFC 1918
	GatewayTaken        AddressFault = "gateway-taken"         // the address of the gateway
	GatewayOutside      AddressFault = "gateway-outside"       // the gateway is not a host of the subnet
	SubnetMissing       AddressFault = "subnet-missing"        // addresses, but no subnet to check them against
	SafetyMissing       AddressFault = "safety-missing"        // no safety address where the protocol needs one
	SafetyTwice         AddressFault = "safety-twice"          // a safety address that must be unique and is not
	SafetyRange         AddressFault = "safety-range"          // a safety address outside the protocol's range
	SafetyNetworksMixed AddressFault = "safety-networks-mixed" // several safety network numbers in one subnet
	NotOfProtocol       AddressFault = "not-of-protocol"       // advice: a safety address that the protocol does not use
)

// Addresses are the addresses of a network.
type Addresses struct {
	// Hosts is the number of nodes with or needing an IPv4 address, and the gateway, against what the subnet holds.
	Hosts Check[int]
	// Problems, in the order of Result.Nodes, those of the network first and those of connections last.
	Problems []AddressProblem
}

// AddressProblem is one thing that is wrong with an address.
type AddressProblem struct {
	Fault AddressFault
	// At is the node, connection or network concerned.
	At model.Origin
	// Others are what it collides with.
	Others []model.Origin
	// Advice is true for what is no fault of the network.
	Advice bool
	// Text says what was found and what to do.
	Text string
}
