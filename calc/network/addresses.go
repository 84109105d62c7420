package network

import (
	"fmt"
	"net/netip"
	"slices"
	"strings"

	"github.com/guardwright/guardwright/model"
)

// addressBook checks the addresses of a network and notes what is wrong.
type addressBook struct {
	t     *topology
	nodes []*Node
	found []AddressProblem
}

// checkAddresses checks the addresses of all nodes.
func (b *builder) checkAddresses() {
	a := &addressBook{t: b.topology, nodes: b.Nodes}
	if b.protocol.needs().internet {
		a.subnet()
		a.hosts()
	} else {
		a.t.Addresses.Hosts = unknown[int]("the protocol needs no IPv4 addresses")
	}
	b.protocol.safetyAddresses(a)
	a.sort()
	a.t.Addresses.Problems = a.found
}

// sort orders problems: the network's, then the nodes', then the connections'.
func (a *addressBook) sort() {
	rank := map[string]int{a.t.Network.Path: -1}
	for i, n := range a.nodes {
		rank[n.Origin().Path] = i
	}
	of := func(p AddressProblem) int {
		if i, ok := rank[p.At.Path]; ok {
			return i
		}
		return len(a.nodes)
	}
	slices.SortStableFunc(a.found, func(x, y AddressProblem) int { return of(x) - of(y) })
}

// advice lists what is no fault of the network.
func advice(f AddressFault) bool { return f == LinkLocal || f == NotPrivate || f == NotOfProtocol }

func (a *addressBook) report(f AddressFault, at model.Origin, others []model.Origin, text string) {
	a.found = append(a.found, AddressProblem{Fault: f, At: at, Others: others, Advice: advice(f), Text: text})
}

func origins(nodes []*Node) []model.Origin {
	var out []model.Origin
	for _, n := range nodes {
		out = append(out, n.Origin())
	}
	return out
}

// subnet checks the subnet and the gateway, and that there is room.
func (a *addressBook) subnet() {
	n := a.t.Network
	count := 0
	for _, x := range a.nodes {
		if x.Node.Switch == nil || x.Node.Addresses().Address != nil {
			count++
		}
	}
	if n.Gateway != nil {
		count++
	}
	if n.Subnet == nil {
		a.t.Addresses.Hosts = uncovered(count, "the network states no subnet")
		if count > 0 {
			a.report(SubnetMissing, n.Origin, nil, "the network states no subnet, so addresses can't be checked against it; state one, such as 10.8.3.0/24")
		}
		return
	}
	a.t.Addresses.Hosts = atMost(count, usableHosts(n.Subnet.Prefix), "the hosts of subnet "+n.Subnet.String())
	if n.Gateway != nil {
		if text := notAHost(n.Subnet.Prefix, n.Gateway.Addr); text != "" {
			a.report(GatewayOutside, n.Origin, nil, fmt.Sprintf("the gateway %s %s", n.Gateway, text))
		}
	}
	if p := n.Subnet.Prefix; !private(p.Addr()) && !p.Addr().IsLinkLocalUnicast() {
		a.report(NotPrivate, n.Origin, nil, fmt.Sprintf("the subnet %s is not in the private ranges 10.0.0.0/8, 172.16.0.0/12, 192.168.0.0/16 (RFC 1918)", p))
	}
}

// usableHosts is the number of hosts that a subnet holds: all but the subnet itself and its broadcast address (RFC 1122);
// two for a link between two nodes (RFC 3021, from memory).
func usableHosts(p netip.Prefix) int {
	switch bits := 32 - p.Bits(); {
	case bits == 0:
		return 1
	case bits == 1:
		return 2
	default:
		return 1<<bits - 2
	}
}

// private reports whether an address is in the ranges of RFC 1918.
func private(a netip.Addr) bool { return a.IsPrivate() }

// broadcast is the last address of a subnet.
func broadcast(p netip.Prefix) netip.Addr {
	b := p.Masked().Addr().As4()
	for i := p.Bits(); i < 32; i++ {
		b[i/8] |= 1 << (7 - i%8)
	}
	return netip.AddrFrom4(b)
}

// notAHost says why an address can't be that of a host in a subnet; empty when it can.
func notAHost(p netip.Prefix, a netip.Addr) string {
	switch {
	case !p.Contains(a):
		return fmt.Sprintf("is outside the subnet %s", p)
	case p.Bits() < 31 && a == p.Masked().Addr():
		return fmt.Sprintf("is the address of the subnet %s itself", p)
	case p.Bits() < 31 && a == broadcast(p):
		return fmt.Sprintf("is the broadcast address of the subnet %s", p)
	}
	return ""
}

// hosts checks the IPv4 address of each node.
func (a *addressBook) hosts() {
	taken := map[netip.Addr][]*Node{}
	for _, n := range a.nodes {
		if address := n.Node.Addresses().Address; address != nil {
			taken[address.Addr] = append(taken[address.Addr], n)
		}
	}
	for _, n := range a.nodes {
		address := n.Node.Addresses().Address
		if address == nil {
			if n.Node.Switch == nil {
				a.report(AddressMissing, n.Origin(), nil, "the node states no address; the protocol needs an IPv4 address")
			}
			continue
		}
		a.host(n, address.Addr, taken[address.Addr])
	}
}

func (a *addressBook) host(n *Node, address netip.Addr, all []*Node) {
	network := a.t.Network
	if len(all) > 1 && all[0] == n {
		a.report(AddressTwice, n.Origin(), origins(all[1:]), fmt.Sprintf("%d nodes have the address %s; each needs its own (RFC 5227)", len(all), address))
	}
	if network.Gateway != nil && network.Gateway.Addr == address {
		a.report(GatewayTaken, n.Origin(), []model.Origin{network.Origin}, fmt.Sprintf("found the address %s, which is that of the gateway", address))
	}
	if address.IsLoopback() || address.IsMulticast() || address.IsUnspecified() || address.As4()[0] >= 240 || address.As4()[0] == 0 {
		a.report(NotAHost, n.Origin(), nil, fmt.Sprintf("found the address %s, which no host can have", address))
		return
	}
	if address.IsLinkLocalUnicast() {
		a.report(LinkLocal, n.Origin(), nil, fmt.Sprintf("found the address %s in 169.254.0.0/16, where a node puts itself when nobody gave it an address (RFC 3927)", address))
	}
	if network.Subnet == nil {
		return
	}
	switch p := network.Subnet.Prefix; {
	case !p.Contains(address):
		a.report(OutsideSubnet, n.Origin(), nil, fmt.Sprintf("found the address %s, which is outside the subnet %s", address, p))
	case p.Bits() < 31 && address == p.Addr():
		a.report(SubnetItself, n.Origin(), nil, fmt.Sprintf("found the address %s, which is that of the subnet itself", address))
	case p.Bits() < 31 && address == broadcast(p):
		a.report(BroadcastAddress, n.Origin(), nil, fmt.Sprintf("found the address %s, which is the broadcast address of the subnet %s", address, p))
	}
}

// addressRule says how a protocol numbers its safety devices.
type addressRule struct {
	what        string
	largest     int
	missing     string
	twice       string
	modulesOnly bool
}

// numbers checks safety addresses that are numbers.
func (a *addressBook) numbers(rule addressRule) {
	taken := map[int][]*Node{}
	for _, n := range a.nodes {
		if number := n.Node.Addresses().SafetyAddress; number != 0 && n.Node.Switch == nil {
			taken[number] = append(taken[number], n)
		}
	}
	for _, n := range a.nodes {
		number := n.Node.Addresses().SafetyAddress
		switch {
		case n.Node.Switch != nil:
			a.unused(n, number != 0, "safety_address", "a switch takes no part in the safety protocol")
		case number == 0:
			if n.Node.Module != nil || !rule.modulesOnly {
				a.report(SafetyMissing, n.Origin(), nil, rule.missing)
			}
		case number > rule.largest:
			a.report(SafetyRange, n.Origin(), nil, fmt.Sprintf("found the %s %d, wanted 1 to %d", rule.what, number, rule.largest))
		case len(taken[number]) > 1 && taken[number][0] == n:
			a.report(SafetyTwice, n.Origin(), origins(taken[number][1:]), fmt.Sprintf("%d nodes have the %s %d; %s", len(taken[number]), rule.what, number, rule.twice))
		}
	}
}

// withoutNumbers notes safety network numbers that the protocol does not use.
func (a *addressBook) withoutNumbers(why string) {
	for _, n := range a.nodes {
		a.unused(n, n.Node.Addresses().SafetyNetwork != "", "safety_network", why)
	}
}

func (a *addressBook) unused(n *Node, stated bool, key, why string) {
	if stated {
		a.report(NotOfProtocol, n.Origin(), nil, fmt.Sprintf("the node states %s, but %s", key, why))
	}
}

// connectionIDs checks that each connection has an ID of its own.
func (a *addressBook) connectionIDs() {
	taken := map[int][]model.Origin{}
	for _, c := range a.t.Network.Connections {
		taken[c.ConnectionID] = append(taken[c.ConnectionID], c.Origin)
	}
	for _, c := range a.t.Network.Connections {
		switch all := taken[c.ConnectionID]; {
		case c.ConnectionID == 0:
			a.report(SafetyMissing, c.Origin, nil, "Safety over EtherCAT needs a connection ID for each connection: state connection_id")
		case len(all) > 1 && all[0].Path == c.Path:
			a.report(SafetyTwice, c.Origin, all[1:], fmt.Sprintf("%d connections have the connection ID %d; each needs its own", len(all), c.ConnectionID))
		}
	}
}

// fold writes a safety network number in one way.
func fold(number string) string { return strings.ToLower(number) }
