package model

// NetworkSpec is the safety network of a machine.
type NetworkSpec struct {
	// Safety protocol on the network.
	Protocol Protocol `yaml:"protocol" jsonschema:"required"`
	// IPv4 subnet, such as 10.8.3.0/24.
	Subnet *IPPrefix `yaml:"subnet,omitempty"`
	// Controller that owns the connections; absent: the only one.
	Controller string `yaml:"controller,omitempty"`
	// Links between network ports.
	Links []LinkSpec `yaml:"links,omitempty"`
	// Rings with a ring protocol, by name.
	Rings map[string]RingSpec `yaml:"rings,omitempty"`
	// Safety connections by name.
	Connections map[string]ConnectionSpec `yaml:"connections,omitempty"`
}

// LinkSpec is one cable between two network ports.
type LinkSpec struct {
	// One end, as node.port, such as c1.p1.
	From string `yaml:"from" jsonschema:"required"`
	// The other end, as node.port.
	To string `yaml:"to" jsonschema:"required"`
	// What the link is made of. Absent: copper.
	Medium Medium `yaml:"medium,omitempty"`
	// Length of the link.
	Length Length `yaml:"length,omitempty"`
	// Data rate. Absent: 100 Mbit/s.
	Rate DataRate `yaml:"rate,omitempty"`
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
	// Longest time until the ring carries data again after a break.
	Recovery Duration `yaml:"recovery,omitempty"`
}

// ConnectionSpec is one safety connection between the controller and a module.
type ConnectionSpec struct {
	// Module at the far end.
	Module string `yaml:"module" jsonschema:"required"`
	// Controller at the near end; absent: the network's.
	Controller string `yaml:"controller,omitempty"`
	// Packet interval.
	Interval Duration `yaml:"interval,omitempty"`
	// Timeout multiplier of CIP Safety (IEC 61784-3-2).
	Multiplier int `yaml:"multiplier,omitempty" jsonschema:"minimum=1"`
	// Watchdog time of PROFIsafe (IEC 61784-3-3) or Safety over EtherCAT (IEC 61784-3-12).
	Watchdog Duration `yaml:"watchdog,omitempty"`
	// Safety data from the module to the controller.
	Input DataSize `yaml:"input,omitempty"`
	// Safety data from the controller to the module.
	Output DataSize `yaml:"output,omitempty"`
}
