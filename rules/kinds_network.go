package rules

import (
	"slices"

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
	)
	placed(nodeKind, func(o node) model.Origin { return o.Origin() })

	type l = *model.Link
	link := kindOf[l]("Network", "link", "One cable between two network ports.",
		named("path", "Place in the description.", func(o l) string { return o.Path }),
		part("from", "node", "Node at one end.", func(o l) *model.NetworkNode { return &o.From.Node }),
		named("from_port", "Network port at that end.", func(o l) string { return o.From.Port }),
		part("to", "node", "Node at the other end.", func(o l) *model.NetworkNode { return &o.To.Node }),
		named("to_port", "Network port at that end.", func(o l) string { return o.To.Port }),
		named("medium", "copper, optical or radio.", func(o l) model.Medium { return o.Medium }),
		statedAmount("length", "Length of the link.", func(o l) model.Length { return o.Length }),
		statedAmount("rate", "Data rate.", func(o l) model.DataRate { return o.Rate }),
	)
	written[model.LinkSpec](link)
	shown(found(link, networkList(func(o n) []l { return o.Links }), func(o l) model.Origin { return o.Origin }),
		func(o l) string { return o.LinkSpec.From + " to " + o.LinkSpec.To })

	type r = *model.Ring
	ring := kindOf[r]("Network", "ring", "A ring with a ring protocol.", slices.Concat(
		originFields(func(o r) model.Origin { return o.Origin }),
		[]field{
			objects("nodes", "node", "Nodes of the ring in order.", func(o r) []*model.NetworkNode { return pointers(o.Nodes) }),
			text("protocol", "Ring protocol: dlr or mrp (IEC 62439-2).", func(o r) model.RingProtocol { return o.Protocol }),
			object("supervisor", "node", "Active ring supervisor.", func(o r) *model.NetworkNode {
				if o.Supervisor == (model.NetworkNode{}) {
					return nil
				}
				return &o.Supervisor
			}),
			objects("backups", "node", "Backup supervisors, the first in rank first.", func(o r) []*model.NetworkNode { return pointers(o.Backups) }),
			statedAmount("recovery", "Longest time until the ring carries data again after a break.", func(o r) model.Duration { return o.Recovery }),
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
			statedCount("multiplier", "Timeout multiplier of CIP Safety (IEC 61784-3-2).", func(o c) int { return o.Multiplier }),
			statedAmount("watchdog", "Watchdog time of PROFIsafe (IEC 61784-3-3) or Safety over EtherCAT (IEC 61784-3-12).", func(o c) model.Duration { return o.Watchdog }),
			statedAmount("input", "Safety data from the module to the controller.", func(o c) model.DataSize { return o.Input }),
			statedAmount("output", "Safety data from the controller to the module.", func(o c) model.DataSize { return o.Output }),
		})...)
	written[model.ConnectionSpec](connection)
	found(connection, networkList(func(o n) []c { return o.Connections }), func(o c) model.Origin { return o.Origin })
	return []*kind{network, nodeKind, link, ring, connection}
}

func networkList[T any](get func(*model.Network) []T) func(*world) []T {
	return func(w *world) []T {
		if w.machine.Network == nil {
			return nil
		}
		return get(w.machine.Network)
	}
}
