package network

import (
	"fmt"
	"net/netip"

	"github.com/guardwright/guardwright/model"
)

// PlanOptions say how an address plan fills gaps. The zero value serves.
type PlanOptions struct {
	// First is the lowest host number in the subnet that the plan gives, counted from the address of the subnet. Zero: 1.
	First int
	// FirstSafety is the lowest safety address or connection ID that the plan gives. Zero: 1.
	FirstSafety int
	// SafetyNetwork is the safety network number for a CIP Safety network in which no node states one.
	SafetyNetwork string
}

// Plan is an address plan: what to give to those nodes and connections that lack an address.
type Plan struct {
	// Given are the addresses, in the order of Result.Nodes, connections last.
	Given []Given
}

// Given is what a plan gives to one node or connection. Fields of what it has already, or does not need, are zero.
type Given struct {
	// At is the node or connection.
	At model.Origin
	// Address is an IPv4 address of the subnet.
	Address *model.IPAddress
	// SafetyAddress is a free safety address.
	SafetyAddress int
	// SafetyNetwork is the safety network number of the subnet.
	SafetyNetwork string
	// ConnectionID is a free connection ID.
	ConnectionID int
}

// PlanAddresses fills the gaps in the addresses of a network, the lowest free number first, and leaves alone what is
// stated, right or wrong. The same machine and options give the same plan. The error says what is missing, or that the
// subnet is full.
func PlanAddresses(m *model.Machine, options PlanOptions) (*Plan, error) {
	if m.Network == nil {
		return nil, fmt.Errorf("network: the machine has no network, so there are no addresses to plan")
	}
	if options.First < 0 || options.FirstSafety < 0 {
		return nil, fmt.Errorf("network: found first numbers %d and %d, wanted 0 for the default or more", options.First, options.FirstSafety)
	}
	protocol := protocolOf(m.Network.Protocol)
	if protocol == nil {
		return nil, fmt.Errorf("network: found the protocol %q, which this version does not know", m.Network.Protocol)
	}
	p := planner{m: m, options: options, needs: protocol.needs(), plan: &Plan{}}
	return p.run()
}

// planned is what a protocol's nodes need.
type planned struct {
	internet, safetyNetwork, connectionIDs bool
	controllers, modules                   bool // need a safety address
	largest                                int
}

type planner struct {
	m       *model.Machine
	options PlanOptions
	needs   planned
	plan    *Plan
	nodes   []model.NetworkNode
	next    netip.Addr
	hosts   map[netip.Addr]bool
	number  int
	numbers map[int]bool
	network string
}

func (p *planner) run() (*Plan, error) {
	for _, c := range p.m.Controllers {
		p.nodes = append(p.nodes, model.NetworkNode{Controller: c})
	}
	for _, s := range p.m.Switches {
		p.nodes = append(p.nodes, model.NetworkNode{Switch: s})
	}
	for _, x := range p.m.Modules {
		p.nodes = append(p.nodes, model.NetworkNode{Module: x})
	}
	if err := p.prepare(); err != nil {
		return nil, err
	}
	for _, n := range p.nodes {
		given, err := p.give(n)
		if err != nil {
			return nil, err
		}
		if given != (Given{At: given.At}) {
			p.plan.Given = append(p.plan.Given, given)
		}
	}
	if p.needs.connectionIDs {
		if err := p.giveIDs(); err != nil {
			return nil, err
		}
	}
	return p.plan, nil
}

// prepare notes what is taken.
func (p *planner) prepare() error {
	p.hosts, p.numbers = map[netip.Addr]bool{}, map[int]bool{}
	var networks []string
	for _, n := range p.nodes {
		a := n.Addresses()
		if a.Address != nil {
			p.hosts[a.Address.Addr] = true
		}
		p.numbers[a.SafetyAddress] = true
		if s := fold(a.SafetyNetwork); s != "" && p.network == "" {
			p.network = a.SafetyNetwork
			networks = append(networks, s)
		} else if s != "" && s != networks[0] {
			return fmt.Errorf("network: %s has safety network number %s and another node has %s; a subnet has one, so settle which before planning", n.Origin().Path, a.SafetyNetwork, p.network)
		}
	}
	p.number = max(1, p.options.FirstSafety)
	if p.network == "" {
		p.network = p.options.SafetyNetwork
	}
	if p.needs.safetyNetwork && p.network == "" {
		return fmt.Errorf("network: no node states a safety_network; give one in PlanOptions.SafetyNetwork, such as 1234_5678_9abc")
	}
	if !p.needs.internet {
		return nil
	}
	if p.m.Network.Subnet == nil {
		return fmt.Errorf("network: the network states no subnet to take addresses from; state one, such as 10.8.3.0/24")
	}
	if g := p.m.Network.Gateway; g != nil {
		p.hosts[g.Addr] = true
	}
	p.next = p.m.Network.Subnet.Prefix.Addr()
	for range max(1, p.options.First) {
		if p.next = p.next.Next(); !p.m.Network.Subnet.Contains(p.next) {
			return fmt.Errorf("network: host number %d is outside the subnet %s", p.options.First, p.m.Network.Subnet)
		}
	}
	return nil
}

// give fills the gaps of one node.
func (p *planner) give(n model.NetworkNode) (Given, error) {
	a, out := n.Addresses(), Given{At: n.Origin()}
	unmanaged := n.Switch != nil && n.Switch.Type.Managed != nil && !*n.Switch.Type.Managed
	if p.needs.internet && a.Address == nil && !unmanaged {
		address, err := p.host()
		if err != nil {
			return out, err
		}
		out.Address = &model.IPAddress{Addr: address}
	}
	if n.Switch != nil {
		return out, nil
	}
	if p.needs.safetyNetwork && a.SafetyNetwork == "" {
		out.SafetyNetwork = p.network
	}
	if a.SafetyAddress == 0 && (n.Controller != nil && p.needs.controllers || n.Module != nil && p.needs.modules) {
		number := free(p.numbers, &p.number)
		if number > p.needs.largest {
			return out, fmt.Errorf("network: there is no safety address left up to %d", p.needs.largest)
		}
		out.SafetyAddress = number
	}
	return out, nil
}

// host takes the next free host address.
func (p *planner) host() (netip.Addr, error) {
	subnet := p.m.Network.Subnet.Prefix
	for ; subnet.Contains(p.next); p.next = p.next.Next() {
		if !p.hosts[p.next] && notAHost(subnet, p.next) == "" {
			p.hosts[p.next] = true
			return p.next, nil
		}
	}
	return netip.Addr{}, fmt.Errorf("network: the subnet %s has no free address left; take a larger one", p.m.Network.Subnet)
}

// free takes the next number that is not taken.
func free(taken map[int]bool, next *int) int {
	for taken[*next] {
		*next++
	}
	taken[*next] = true
	return *next
}

// largestID is the largest connection ID, of 16 bit.
const largestID = 65535

func (p *planner) giveIDs() error {
	taken, next := map[int]bool{}, max(1, p.options.FirstSafety)
	for _, c := range p.m.Network.Connections {
		taken[c.ConnectionID] = true
	}
	for _, c := range p.m.Network.Connections {
		if c.ConnectionID != 0 {
			continue
		}
		id := free(taken, &next)
		if id > largestID {
			return fmt.Errorf("network: there is no connection ID left up to %d", largestID)
		}
		p.plan.Given = append(p.plan.Given, Given{At: c.Origin, ConnectionID: id})
	}
	return nil
}
