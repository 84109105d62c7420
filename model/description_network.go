package model

// NetworkSpec is the safety network of a machine.
type NetworkSpec struct {
	// Safety protocol on the network.
	Protocol Protocol `yaml:"protocol" jsonschema:"required"`
	// IPv4 subnet, such as 10.8.3.0/24.
	Subnet *IPPrefix `yaml:"subnet,omitempty"`
	// IPv4 address of the gateway to other networks.
	Gateway *IPAddress `yaml:"gateway,omitempty"`
	// How this network is joined to those outside of the machine. Absent: not stated.
	Plant *PlantSpec `yaml:"plant,omitempty"`
	// Controller that owns the connections; absent: the only one.
	Controller string `yaml:"controller,omitempty"`
	// Cycle time (EtherCAT), or send clock (PROFINET: 31.25 µs times 1 to 128).
	Cycle Duration `yaml:"cycle,omitempty"`
	// EtherCAT: cyclic data of one cycle beside the safety frames (standard I/O, drives), both directions together.
	ProcessData DataSize `yaml:"process_data,omitempty"`
	// Links between network ports.
	Links []LinkSpec `yaml:"links,omitempty"`
	// Rings with a ring protocol, by name.
	Rings map[string]RingSpec `yaml:"rings,omitempty"`
	// Safety connections by name.
	Connections map[string]ConnectionSpec `yaml:"connections,omitempty"`
	// Other traffic on the same links (cameras, standard I/O, service), by name.
	Traffic map[string]FlowSpec `yaml:"traffic,omitempty"`
}

// LinkSpec is one cable between two network ports.
type LinkSpec struct {
	// One end, as node.port, such as c1.p1.
	From string `yaml:"from" jsonschema:"required"`
	// The other end, as node.port.
	To string `yaml:"to" jsonschema:"required"`
	// Name of the cable type. Absent: not stated.
	Cable string `yaml:"cable,omitempty"`
	// What the link is made of. Absent: copper.
	Medium Medium `yaml:"medium,omitempty"`
	// Length of the link.
	Length Length `yaml:"length,omitempty"`
	// Longest permitted length, from the data of cable and transceivers. Absent: 100 m for copper (IEEE 802.3), not known for others.
	MaxLength Length `yaml:"max_length,omitempty"`
	// Data rate. Absent: 100 Mbit/s.
	Rate DataRate `yaml:"rate,omitempty"`
	// Longest time from one end to the other on an idle link, converters included. Absent: by the length; a radio link has to state it.
	Delay *Duration `yaml:"delay,omitempty"`
}

// PlantSpec says how the network of the machine is joined to those outside of it.
type PlantSpec struct {
	// What stands between them.
	Through PlantLink `yaml:"through" jsonschema:"required"`
	// Network port at which it is plugged in, as node.port.
	At string `yaml:"at,omitempty"`
}

// RingSpec is a ring with a ring protocol.
type RingSpec struct {
	// Nodes of the ring in order.
	Nodes []string `yaml:"nodes" jsonschema:"required"`
	// Ring protocol.
	Protocol RingProtocol `yaml:"protocol,omitempty"`
	// Active ring supervisor.
	Supervisor string `yaml:"supervisor,omitempty"`
	// Backup supervisors, the first in rank first.
	Backups []string `yaml:"backups,omitempty"`
	// Precedence of supervisor and backups by node: the highest is active. Absent: in the order of the list, supervisor first.
	Precedence map[string]int `yaml:"precedence,omitempty"`
	// Longest time until the ring carries data again after a break.
	Recovery Duration `yaml:"recovery,omitempty"`
	// Most nodes for which the recovery time holds. Absent: not known.
	MaxNodes int `yaml:"max_nodes,omitempty" jsonschema:"minimum=3"`
	// Device level ring: interval between two beacon frames. Absent: 400 µs.
	BeaconInterval Duration `yaml:"beacon_interval,omitempty"`
	// Device level ring: time without a beacon frame after which the ring is taken for broken.
	BeaconTimeout Duration `yaml:"beacon_timeout,omitempty"`
	// Media redundancy protocol: interval between two test frames. Absent: not known, and so load and delay in the ring are not.
	TestInterval Duration `yaml:"test_interval,omitempty"`
	// Media redundancy protocol: test frames that may be missing before the ring is taken for broken.
	TestCount int `yaml:"test_count,omitempty" jsonschema:"minimum=1"`
}

// ConnectionSpec is one safety connection between the controller and a module.
type ConnectionSpec struct {
	// Module at the far end.
	Module string `yaml:"module" jsonschema:"required"`
	// Controller at the near end; absent: the network's.
	Controller string `yaml:"controller,omitempty"`
	// Packet interval. PROFINET and EtherCAT: absent: the cycle times the reduction.
	Interval Duration `yaml:"interval,omitempty"`
	// Packet interval of the data to the module; absent: as interval.
	OutputInterval Duration `yaml:"output_interval,omitempty"`
	// PROFINET: reduction ratio, a power of two up to 512: the data go out once in so many send clocks. Absent: 1.
	Reduction int `yaml:"reduction,omitempty" jsonschema:"minimum=1,maximum=512"`
	// Timeout multiplier of CIP Safety (IEC 61784-3-2).
	Multiplier int `yaml:"multiplier,omitempty" jsonschema:"minimum=1"`
	// CIP Safety: largest age of the safety data that the consumer accepts (network time expectation). Absent: interval times multiplier, which is less.
	AgeLimit Duration `yaml:"age_limit,omitempty"`
	// CIP Safety: packets between two time coordination messages of the consumer. Absent: 1, which is the most load.
	PingMultiplier int `yaml:"ping_multiplier,omitempty" jsonschema:"minimum=1"`
	// Watchdog time of PROFIsafe (IEC 61784-3-3) or Safety over EtherCAT (IEC 61784-3-12).
	Watchdog Duration `yaml:"watchdog,omitempty"`
	// Safety data from the module to the controller.
	Input DataSize `yaml:"input,omitempty"`
	// Safety data from the controller to the module.
	Output DataSize `yaml:"output,omitempty"`
	// Standard data that travel in the same frame as the safety data from the module (PROFINET).
	InputBeside DataSize `yaml:"input_beside,omitempty"`
	// Standard data that travel in the same frame as the safety data to the module (PROFINET).
	OutputBeside DataSize `yaml:"output_beside,omitempty"`
	// Format of the safety message, where the protocol has two. Absent: the shortest that holds the data.
	Format SafetyFormat `yaml:"format,omitempty"`
	// Priority of the frames, 0 to 7 (IEEE 802.1Q). Absent: 6 on PROFINET, 0 on others (frames without a tag).
	Priority *int `yaml:"priority,omitempty" jsonschema:"minimum=0,maximum=7"`
	// Connection ID of Safety over EtherCAT (IEC 61784-3-12).
	ConnectionID int `yaml:"connection_id,omitempty" jsonschema:"minimum=1,maximum=65535"`
}

// FlowSpec is a stream of frames beside the safety connections. It is bounded either by burst and rate, or by a number
// of frames in each interval.
type FlowSpec struct {
	// Where the frames come from: a node, or node.port for a station outside the description that is plugged in there.
	From string `yaml:"from" jsonschema:"required"`
	// Where the frames go to: a node, or node.port for a station outside the description that is plugged in there.
	To string `yaml:"to" jsonschema:"required"`
	// Free text about the traffic.
	About string `yaml:"about,omitempty"`
	// Largest frame, from the destination address to the check sequence. Absent: 1522 B.
	Frame DataSize `yaml:"frame,omitempty"`
	// Most that is sent at once, preambles and gaps included (20 B for each frame).
	Burst DataSize `yaml:"burst,omitempty"`
	// Highest rate in the long run, preambles and gaps included.
	Rate DataRate `yaml:"rate,omitempty"`
	// Interval in which at most so many frames are sent as frames says.
	Interval Duration `yaml:"interval,omitempty"`
	// Frames in each interval. Absent: 1.
	Frames int `yaml:"frames,omitempty" jsonschema:"minimum=1"`
	// Priority of the frames, 0 to 7 (IEEE 802.1Q). Absent: 0 (frames without a tag).
	Priority *int `yaml:"priority,omitempty" jsonschema:"minimum=0,maximum=7"`
}

// ForwardingType says how a node passes frames on between its network ports and sends its own.
type ForwardingType struct {
	// When a frame is passed on: whole, from its header on, or while it runs through.
	Method ForwardingMethod `yaml:"method" jsonschema:"required"`
	// Longest processing time of a frame without waiting for others: from its last bit (store-and-forward) or the end of its header (cut-through) until it could be sent on; for on-the-fly the delay of the device, there and back together.
	Latency *Duration `yaml:"latency" jsonschema:"required"`
	// Queue of each of the priorities 0 to 7, in this order, the higher queue first served. Absent: one queue for all.
	Queues []int `yaml:"queues,omitempty" jsonschema:"maxItems=8"`
	// Order in which frames of one queue leave. Absent: unknown, which gives the larger bounds.
	Order ServiceOrder `yaml:"order,omitempty"`
	// Memory for frames that wait at one port.
	Buffer DataSize `yaml:"buffer,omitempty"`
	// Longest time by which a cyclic frame of the node's own leaves early or late. Absent: 0.
	Jitter Duration `yaml:"jitter,omitempty"`
}

// NetworkPortsType is what a data sheet says of the network side of a controller, a module or a switch.
type NetworkPortsType struct {
	// Network ports by name.
	NetworkPorts []string `yaml:"network_ports,omitempty"`
	// Highest data rate of network ports, by name of the port.
	NetworkRates map[string]DataRate `yaml:"network_rates,omitempty"`
	// Connector of the network ports, by name of the connector type.
	NetworkConnector string `yaml:"network_connector,omitempty"`
	// How frames are passed on.
	Forwarding *ForwardingType `yaml:"forwarding,omitempty"`
	// Ring protocols that the node takes part in. Absent: not known.
	RingProtocols []RingProtocol `yaml:"ring_protocols,omitempty"`
}

// ForwardingMethod is when a node passes a frame on.
type ForwardingMethod string

// The methods of forwarding.
const (
	StoreAndForward ForwardingMethod = "store-and-forward" // when the whole frame has arrived
	CutThrough      ForwardingMethod = "cut-through"       // from its header on, where the way out is free and no faster
	OnTheFly        ForwardingMethod = "on-the-fly"        // while it runs through (EtherCAT)
)

// Values lists the methods of forwarding.
func (ForwardingMethod) Values() []string {
	return []string{string(StoreAndForward), string(CutThrough), string(OnTheFly)}
}

// ServiceOrder is the order in which frames of one queue leave.
type ServiceOrder string

// The orders of service.
const (
	FirstInFirstOut ServiceOrder = "first-in-first-out"
	UnknownOrder    ServiceOrder = "unknown"
)

// Values lists the orders of service.
func (ServiceOrder) Values() []string { return []string{string(FirstInFirstOut), string(UnknownOrder)} }

// SafetyFormat is the format of a safety message, where a protocol has two: CIP Safety (short up to 2 byte of data,
// long from 3 byte on) and PROFIsafe (check sequence of 3 or 4 byte).
type SafetyFormat string

// The formats of safety messages.
const (
	ShortFormat SafetyFormat = "short"
	LongFormat  SafetyFormat = "long"
)

// Values lists the formats of safety messages.
func (SafetyFormat) Values() []string { return []string{string(ShortFormat), string(LongFormat)} }
