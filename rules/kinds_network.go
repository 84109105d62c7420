package rules

import (
	"fmt"
	"maps"
	"slices"

	"github.com/google/cel-go/common/types"
	"github.com/google/cel-go/common/types/ref"

	"github.com/guardwright/guardwright/model"
)

func networkKinds() []*kind {
	type n = *model.Network
	network := kindOf[n]("Network", "network", "The safety network of the machine.",
		named("protocol", "Safety protocol: cip-safety, profisafe or safety-over-ethercat (IEC 61784-3).", func(o n) model.Protocol { return o.Protocol }),
		text("subnet", "IPv4 subnet.", func(o n) string {
			if o.Subnet == nil {
				return ""
			}
			return o.Subnet.String()
		}),
		text("gateway", "IPv4 address of the gateway to other networks.", func(o n) string {
			if o.Gateway == nil {
				return ""
			}
			return o.Gateway.String()
		}),
		text("plant", "What stands between this network and those outside of the machine: none (they are not joined), firewall, router or direct; absent: not stated.", func(o n) model.PlantLink {
			if o.Plant == nil {
				return ""
			}
			return o.Plant.Through
		}),
		text("plant_at", "Network port at which other networks are plugged in, as node.port.", func(o n) string {
			if o.Plant == nil {
				return ""
			}
			return o.Plant.At
		}),
		statedAmount("cycle", "Cycle time (EtherCAT), or send clock (PROFINET).", func(o n) model.Duration { return o.Cycle }),
		statedAmount("process_data", "EtherCAT: cyclic data of one cycle beside the safety frames.", func(o n) model.DataSize { return o.ProcessData }),
		objects("traffic", "flow", "Other traffic on the same links.", func(o n) []*model.Flow { return o.Traffic }),
		object("controller", "controller", "Controller that owns the connections.", func(o n) *model.Controller { return o.Controller }),
		objects("links", "link", "Links between network ports.", func(o n) []*model.Link { return o.Links }),
		objects("rings", "ring", "Rings with a ring protocol.", func(o n) []*model.Ring { return o.Rings }),
		objects("connections", "connection", "Safety connections.", func(o n) []*model.Connection { return o.Connections }),
	)
	written[model.NetworkSpec](network)
	found(network, func(w *world) []n {
		if w.machine.Network == nil {
			return nil
		}
		return []n{w.machine.Network}
	}, func(o n) model.Origin { return o.Origin })

	type node = *model.NetworkNode
	nodeKind := kindOf[node]("Network", "node", "A node of the network: one of the three is there.",
		named("name", "Name of the node.", func(o node) string { return o.Origin().Name }),
		object("controller", "controller", "The controller.", func(o node) *model.Controller { return o.Controller }),
		object("module", "module", "The module.", func(o node) *model.Module { return o.Module }),
		object("switch", "switch", "The switch.", func(o node) *model.Switch { return o.Switch }),
		texts("ports", "Network ports of the node.", func(o node) []string { return o.Ports().NetworkPorts }),
		object("connector", "connector", "Connector of the network ports.", func(o node) *model.Connector { return o.Connector() }),
		texts("ring_protocols", "Ring protocols that the node takes part in; empty when not stated.", func(o node) []model.RingProtocol { return o.Ports().RingProtocols }),
		object("forwarding", "forwarding", "How the node passes frames on.", func(o node) *model.ForwardingType { return o.Ports().Forwarding }),
	)
	placed(nodeKind, func(o node) model.Origin { return o.Origin() })

	type l = *model.Link
	link := kindOf[l]("Network", "link", "One cable between two network ports.",
		named("path", "Place in the description.", func(o l) string { return o.Path }),
		part("from", "node", "Node at one end.", func(o l) *model.NetworkNode { return &o.From.Node }),
		named("from_port", "Network port at that end.", func(o l) string { return o.From.Port }),
		part("to", "node", "Node at the other end.", func(o l) *model.NetworkNode { return &o.To.Node }),
		named("to_port", "Network port at that end.", func(o l) string { return o.To.Port }),
		object("cable", "cable_type", "Type of the cable.", func(o l) *model.Cable { return o.Cable }),
		named("medium", "copper, optical or radio.", func(o l) model.Medium { return o.Medium }),
		statedAmount("length", "Length of the link.", func(o l) model.Length { return o.Length }),
		statedAmount("max_length", "Longest permitted length; absent: 100 m for copper (IEEE 802.3), not known for others.", func(o l) model.Length { return o.MaxLength }),
		statedAmount("rate", "Data rate.", func(o l) model.DataRate { return o.Rate }),
		maybeAmount("delay", "Longest time from one end to the other on an idle link.", func(o l) *model.Duration { return o.Delay }),
	)
	written[model.LinkSpec](link)
	shown(found(link, networkList(func(o n) []l { return o.Links }), func(o l) model.Origin { return o.Origin }),
		func(o l) string { return o.LinkSpec.From + " to " + o.LinkSpec.To })

	type r = *model.Ring
	ring := kindOf[r]("Network", "ring", "A ring with a ring protocol.", slices.Concat(
		originFields(func(o r) model.Origin { return o.Origin }),
		[]field{
			objects("nodes", "node", "Nodes of the ring in order.", func(o r) []*model.NetworkNode { return pointers(o.Nodes) }),
			text("protocol", "Ring protocol: dlr, mrp (IEC 62439-2), rstp (IEEE 802.1Q) or cable-redundancy of EtherCAT.", func(o r) model.RingProtocol { return o.Protocol }),
			object("supervisor", "node", "Active ring supervisor.", func(o r) *model.NetworkNode {
				if o.Supervisor == (model.NetworkNode{}) {
					return nil
				}
				return &o.Supervisor
			}),
			objects("backups", "node", "Backup supervisors, the first in rank first.", func(o r) []*model.NetworkNode { return pointers(o.Backups) }),
			statedAmount("recovery", "Longest time until the ring carries data again after a break.", func(o r) model.Duration { return o.Recovery }),
			statedCount("max_nodes", "Most nodes for which the recovery time holds.", func(o r) int { return o.MaxNodes }),
			statedAmount("beacon_interval", "Device level ring: interval between two beacon frames.", func(o r) model.Duration { return o.BeaconInterval }),
			statedAmount("beacon_timeout", "Device level ring: time without a beacon frame after which the ring is taken for broken.", func(o r) model.Duration { return o.BeaconTimeout }),
			statedAmount("test_interval", "Media redundancy protocol: interval between two test frames.", func(o r) model.Duration { return o.TestInterval }),
			statedCount("test_count", "Media redundancy protocol: test frames that may be missing before the ring is taken for broken.", func(o r) int { return o.TestCount }),
			objects("precedence", "precedence", "Stated precedence of supervisors, by node.", precedences),
		})...)
	written[model.RingSpec](ring)
	found(ring, networkList(func(o n) []r { return o.Rings }), func(o r) model.Origin { return o.Origin })

	type c = *model.Connection
	connection := kindOf[c]("Network", "connection", "One safety connection between the controller and a module.", slices.Concat(
		originFields(func(o c) model.Origin { return o.Origin }),
		[]field{
			part("module", "module", "Module at the far end.", func(o c) *model.Module { return o.Module }),
			object("controller", "controller", "Controller at the near end.", func(o c) *model.Controller { return o.Controller }),
			statedAmount("interval", "Packet interval.", func(o c) model.Duration { return o.Interval }),
			statedAmount("output_interval", "Packet interval of the data to the module; absent: as interval.", func(o c) model.Duration { return o.OutputInterval }),
			statedCount("reduction", "PROFINET: reduction ratio; absent: 1.", func(o c) int { return o.Reduction }),
			statedAmount("age_limit", "CIP Safety: largest age of the safety data that the consumer accepts.", func(o c) model.Duration { return o.AgeLimit }),
			statedCount("ping_multiplier", "CIP Safety: packets between two time coordination messages.", func(o c) int { return o.PingMultiplier }),
			text("format", "Format of the safety message, where the protocol has two: short or long.", func(o c) model.SafetyFormat { return o.Format }),
			maybeCount("priority", "Priority of the frames, 0 to 7 (IEEE 802.1Q).", func(o c) *int { return o.Priority }),
			statedCount("connection_id", "Connection ID of Safety over EtherCAT (IEC 61784-3-12).", func(o c) int { return o.ConnectionID }),
			statedAmount("input_beside", "Standard data in the same frame as the safety data from the module.", func(o c) model.DataSize { return o.InputBeside }),
			statedAmount("output_beside", "Standard data in the same frame as the safety data to the module.", func(o c) model.DataSize { return o.OutputBeside }),
			statedCount("multiplier", "Timeout multiplier of CIP Safety (IEC 61784-3-2).", func(o c) int { return o.Multiplier }),
			statedAmount("watchdog", "Watchdog time of PROFIsafe (IEC 61784-3-3) or Safety over EtherCAT (IEC 61784-3-12).", func(o c) model.Duration { return o.Watchdog }),
			statedAmount("input", "Safety data from the module to the controller.", func(o c) model.DataSize { return o.Input }),
			statedAmount("output", "Safety data from the controller to the module.", func(o c) model.DataSize { return o.Output }),
		})...)
	written[model.ConnectionSpec](connection)
	found(connection, networkList(func(o n) []c { return o.Connections }), func(o c) model.Origin { return o.Origin })
	return []*kind{network, nodeKind, link, ring, connection, precedenceKind(), flowKind(), forwardingKind()}
}

// precedence is the precedence of one node of a ring.
type precedence struct {
	node  string
	value int
}

func precedences(r *model.Ring) []*precedence {
	var out []*precedence
	for _, node := range slices.Sorted(maps.Keys(r.Precedence)) {
		out = append(out, &precedence{node, r.Precedence[node]})
	}
	return out
}

func precedenceKind() *kind {
	type p = *precedence
	return shown(kindOf[p]("Network", "precedence", "The precedence of a node as ring supervisor.",
		named("node", "Name of the node.", func(o p) string { return o.node }),
		count("value", "Its precedence: the highest is active.", func(o p) int { return o.value }),
	), func(o p) string { return fmt.Sprintf("%s: %d", o.node, o.value) })
}

func flowKind() *kind {
	type f = *model.Flow
	k := kindOf[f]("Network", "flow", "A stream of frames beside the safety connections.", slices.Concat(
		originFields(func(o f) model.Origin { return o.Origin }),
		[]field{
			text("about", "Free text about the traffic.", func(o f) string { return o.About }),
			part("from", "node", "Node where the frames come from, or into which their station is plugged.", func(o f) *model.NetworkNode { return &o.From.Node }),
			text("from_port", "Port into which a station outside of the description is plugged.", func(o f) string { return o.From.Port }),
			part("to", "node", "Node where the frames go to, or into which their station is plugged.", func(o f) *model.NetworkNode { return &o.To.Node }),
			text("to_port", "Port into which a station outside of the description is plugged.", func(o f) string { return o.To.Port }),
			statedAmount("frame", "Largest frame.", func(o f) model.DataSize { return o.Frame }),
			statedAmount("burst", "Most that is sent at once.", func(o f) model.DataSize { return o.Burst }),
			statedAmount("rate", "Highest rate in the long run.", func(o f) model.DataRate { return o.Rate }),
			statedAmount("interval", "Interval in which at most so many frames are sent as frames says.", func(o f) model.Duration { return o.Interval }),
			statedCount("frames", "Frames in each interval.", func(o f) int { return o.Frames }),
			maybeCount("priority", "Priority of the frames, 0 to 7 (IEEE 802.1Q).", func(o f) *int { return o.Priority }),
		})...)
	written[model.FlowSpec](k)
	return found(k, networkList(func(n *model.Network) []f { return n.Traffic }), func(o f) model.Origin { return o.Origin })
}

func forwardingKind() *kind {
	type f = *model.ForwardingType
	return shown(kindOf[f]("Component data", "forwarding", "How a node passes frames on between its network ports.",
		named("method", "store-and-forward, cut-through or on-the-fly.", func(o f) model.ForwardingMethod { return o.Method }),
		maybeAmount("latency", "Longest processing time of a frame without waiting for others.", func(o f) *model.Duration { return o.Latency }),
		counts("queues", "Queue of each of the priorities 0 to 7; empty: one queue for all.", func(o f) []int { return o.Queues }),
		text("order", "Order in which frames of one queue leave.", func(o f) model.ServiceOrder { return o.Order }),
		statedAmount("buffer", "Memory for frames that wait at one port.", func(o f) model.DataSize { return o.Buffer }),
		statedAmount("jitter", "Longest time by which a cyclic frame of the node's own leaves early or late.", func(o f) model.Duration { return o.Jitter }),
	), func(o f) string { return string(o.Method) })
}

// portsFields are the network side of a module, controller or switch.
func portsFields[T any](get func(T) *model.NetworkPortsType) []field {
	return []field{
		texts("network_ports", "Network ports.", func(o T) []string { return get(o).NetworkPorts }),
		amounts("network_rates", "Highest data rates that are stated for network ports, in the order of the ports' names.", func(o T) []model.DataRate {
			rates := get(o).NetworkRates
			var out []model.DataRate
			for _, port := range slices.Sorted(maps.Keys(rates)) {
				out = append(out, rates[port])
			}
			return out
		}),
		object("forwarding", "forwarding", "How frames are passed on.", func(o T) *model.ForwardingType { return get(o).Forwarding }),
		texts("ring_protocols", "Ring protocols that the node takes part in; empty when not stated.", func(o T) []model.RingProtocol { return get(o).RingProtocols }),
	}
}

// openPorts are the network ports of a node into which nothing is plugged and that are not closed.
func openPorts[T any](node func(T) model.NetworkNode) []field {
	f := texts("open_ports", "Network ports into which nothing is plugged and that are neither capped nor switched off.", func(T) []string { return nil })
	f.get = func(w *world, s any) ref.Val {
		n := node(s.(T))
		var open []ref.Val
		for _, port := range n.Ports().NetworkPorts {
			if w.usedPorts[model.LinkEnd{Node: n, Port: port}] == "" && !slices.Contains(n.Addresses().ClosedPorts, port) {
				open = append(open, types.String(port))
			}
		}
		return types.NewRefValList(types.DefaultTypeAdapter, open)
	}
	return []field{f, texts("closed_ports", "Network ports without a cable that are capped or switched off.", func(o T) []string { return node(o).Addresses().ClosedPorts })}
}

func networkList[T any](get func(*model.Network) []T) func(*world) []T {
	return func(w *world) []T {
		if w.machine.Network == nil {
			return nil
		}
		return get(w.machine.Network)
	}
}
