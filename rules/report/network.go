package report

import (
	"math"
	"strconv"
	"strings"

	"github.com/guardwright/guardwright/calc/network"
	"github.com/guardwright/guardwright/model"
)

// Node is a node of the safety network with its addresses: a line of the address plan.
type Node struct {
	// Name of the node.
	Name string `json:"name"`
	// What it is: controller, switch or module.
	Kind string `json:"kind"`
	// Place of the node in the description.
	Path string `json:"path"`
	// Place of the node in a file.
	Position *Position `json:"position,omitempty"`
	// IPv4 address; absent when none is stated.
	Address string `json:"address,omitempty"`
	// Safety network number of CIP Safety.
	SafetyNetwork string `json:"safety_network,omitempty"`
	// Safety address of PROFIsafe or Safety over EtherCAT.
	SafetyAddress int `json:"safety_address,omitempty"`
	// Links to the network's controller on the shortest way, and at the worst open position of the rings; absent out of reach.
	Hops *int `json:"hops,omitempty"`
	// The same at the worst open position of the rings.
	Longest *int `json:"longest,omitempty"`
	// Rings that the node is in.
	Rings []string `json:"rings,omitempty"`
	// Network ports without a link.
	Free []string `json:"free_ports,omitempty"`
	// What is wrong with the addresses.
	Problems []string `json:"problems,omitempty"`
}

// LinkLoad is one direction of a link, or a port to a station outside of the description, with what it carries.
type LinkLoad struct {
	// Node and port that send.
	Port string `json:"port"`
	// Node at the far end; absent for a station outside of the description.
	To string `json:"to,omitempty"`
	// Place of the sending node in the description.
	Path string `json:"path"`
	// Streams of frames, with the rings open at their supervisors.
	Flows int `json:"flows"`
	// Rate of the link.
	Rate *Quantity `json:"rate"`
	// Share of the rate that is used with the rings open at their supervisors.
	Normal Check `json:"normal"`
	// Share of the rate at the worst open position.
	Load Check `json:"load"`
	// Bound of waiting and sending.
	Delay Check `json:"delay"`
	// Bound of what waits against the port's memory.
	Backlog Check `json:"backlog"`
}

// SingleFault is one single fault of the network with what it costs a controller.
type SingleFault struct {
	// What fails.
	Name string `json:"name"`
	// Kind of the fault: link, node or shared.
	Kind string `json:"kind"`
	// Controller that loses something.
	Controller string `json:"controller"`
	// Place in the description of what fails.
	Path string `json:"path"`
	// Number of modules that are not reached any more.
	Lost int `json:"lost"`
	// Names of the first of them.
	Names []string `json:"lost_modules"`
	// Number of safety functions that are lost and go to the safe state.
	Functions int `json:"functions"`
	// Names of the first of them.
	FunctionNames []string `json:"lost_functions"`
	// Connections that may not survive the recovery of a ring.
	Trips []string `json:"trips,omitempty"`
}

// DoubleFaults are the pairs of one kind of faults in one ring, with what they cost a controller that neither fault alone costs.
type DoubleFaults struct {
	// Ring in which two things fail at once.
	Ring string `json:"ring"`
	// Which two fail: links, link-and-node or nodes.
	Kind string `json:"kind"`
	// Controller that loses something.
	Controller string `json:"controller"`
	// Place of the ring in the description.
	Path string `json:"path"`
	// Number of pairs, without the node by which the controller comes into the ring.
	Pairs int `json:"pairs"`
	// Pairs that take away a further node of the ring, which has not failed; absent when it is not known.
	Parting *int `json:"parting,omitempty"`
	// Pairs that take away a further module that the controller has to reach; absent when it is not known.
	Losing *int `json:"losing,omitempty"`
	// Why the numbers are not known.
	Why string `json:"why,omitempty"`
	// The pair that takes most modules away; absent when none takes any.
	Worst []string `json:"worst,omitempty"`
	// Number of modules that the worst pair takes away, those that have failed included.
	Lost int `json:"lost"`
	// Names of the first of them.
	Names []string `json:"lost_modules"`
	// Number of safety functions that are lost by the worst pair and go to the safe state.
	Functions int `json:"functions"`
	// Names of the first of them.
	FunctionNames []string `json:"lost_functions"`
}

// mostNames is how many modules or functions a fault names: a plant with a thousand modules in a row would
// otherwise fill a book.
const mostNames = 20

// addNetwork takes over what was computed about the network.
func (r *Report) addNetwork(from *network.Result) {
	u := newUnits()
	problems := map[string][]string{}
	for _, p := range from.Addresses.Problems {
		problems[p.At.Path] = append(problems[p.At.Path], p.Text)
	}
	r.Nodes, r.Links, r.SingleFaults, r.DoubleFaults = []Node{}, []LinkLoad{}, []SingleFault{}, []DoubleFaults{}
	r.Shape = string(from.Shape)
	for _, n := range from.Nodes {
		if from.Network != nil {
			r.Nodes = append(r.Nodes, node(n, problems[n.Origin().Path]))
		}
	}
	for _, p := range from.Ports {
		r.Links = append(r.Links, linkLoad(u, p))
	}
	for _, reach := range from.Reach {
		for _, f := range reach.Faults {
			r.SingleFaults = append(r.SingleFaults, singleFault(reach, f))
		}
		for _, p := range reach.Pairs {
			r.DoubleFaults = append(r.DoubleFaults, pairsOf(reach, p))
		}
	}
	if from.Network != nil {
		for _, p := range from.Addresses.Problems {
			if p.At.Path == from.Network.Path || strings.HasPrefix(p.At.Path, from.Network.Path+".") {
				r.AddressProblems = append(r.AddressProblems, p.At.Path+": "+p.Text)
			}
		}
	}
	for _, l := range from.Limits {
		r.Limits = append(r.Limits, Limit{l.Place.Name, "", l.Place.Path, position(l.Place.Position), l.Text})
	}
}

func node(n *network.Node, problems []string) Node {
	o, a := n.Origin(), n.Node.Addresses()
	out := Node{Name: o.Name, Kind: kindOfNode(n.Node), Path: o.Path, Position: position(o.Position), SafetyNetwork: a.SafetyNetwork,
		SafetyAddress: a.SafetyAddress, Hops: number(n.Hops), Longest: number(n.Longest), Free: n.Free, Problems: problems}
	if a.Address != nil {
		out.Address = a.Address.String()
	}
	for _, g := range n.Rings {
		out.Rings = append(out.Rings, g.Ring.Name)
	}
	return out
}

func kindOfNode(n model.NetworkNode) string {
	switch {
	case n.Controller != nil:
		return "controller"
	case n.Switch != nil:
		return "switch"
	}
	return "module"
}

func number(c network.Check[int]) *int {
	if !c.Status.HasValue() {
		return nil
	}
	return &c.Value
}

func linkLoad(u units, p *network.Port) LinkLoad {
	out := LinkLoad{Port: p.Node.Origin().Name + "." + p.Port, Path: p.Node.Origin().Path, Flows: len(p.Flows), Rate: of(u, p.Rate, valueDigits),
		Normal: networkCheck(u, LinksPart, "normal load", p.Normal), Load: networkCheck(u, LinksPart, "load", p.Load),
		Delay: networkCheck(u, LinksPart, "delay", p.Delay), Backlog: networkCheck(u, LinksPart, "backlog", p.Backlog)}
	if p.To != nil {
		out.To = p.To.Origin().Name
	}
	return out
}

func singleFault(reach *network.Reach, f *network.Fault) SingleFault {
	out := SingleFault{Name: faultName(f), Kind: string(f.Kind), Controller: reach.Controller.Name, Path: f.Origin().Path,
		Lost: f.Lost.Len(), Names: firstModules(f.Lost), Functions: len(f.Functions), FunctionNames: firstFunctions(f.Functions)}
	for _, c := range f.Trips[:min(len(f.Trips), mostNames)] {
		out.Trips = append(out.Trips, c.Connection.Name)
	}
	return out
}

// pairsOf takes over the double faults of one kind.
func pairsOf(reach *network.Reach, p *network.Pairs) DoubleFaults {
	ring := p.Ring.Ring
	out := DoubleFaults{Ring: ring.Name, Kind: string(p.Kind), Controller: reach.Controller.Name, Path: ring.Path, Pairs: p.Count,
		Parting: number(p.Parting), Losing: number(p.Losing), Names: []string{}, FunctionNames: []string{}}
	if !p.Losing.Status.HasValue() {
		out.Why = p.Losing.Why
	}
	if w := p.Worst; w != nil {
		for _, l := range w.Links {
			out.Worst = append(out.Worst, linkName(l))
		}
		for _, n := range w.Nodes {
			out.Worst = append(out.Worst, n.Origin().Name)
		}
		out.Lost, out.Names = w.Lost.Len(), firstModules(w.Lost)
		out.Functions, out.FunctionNames = len(w.Functions), firstFunctions(w.Functions)
	}
	return out
}

func firstModules(s network.ModuleSet) []string {
	out := []string{}
	for m := range s.All() {
		if len(out) == mostNames {
			break
		}
		out = append(out, m.Name)
	}
	return out
}

func firstFunctions(list []*model.Function) []string {
	out := []string{}
	for _, fn := range list[:min(len(list), mostNames)] {
		out = append(out, fn.Name)
	}
	return out
}

func linkName(l *network.Link) string { return l.Link.LinkSpec.From + " to " + l.Link.LinkSpec.To }

// faultName says what fails.
func faultName(f *network.Fault) string {
	switch f.Kind {
	case network.LinkFault:
		return linkName(f.Link)
	case network.SharedFault:
		return "supply by " + f.Origin().Name
	}
	return f.Origin().Name
}

// networkCheck describes a check of package network.
func networkCheck[Q formatted](u units, part Part, what string, c network.Check[Q]) Check {
	return judged(u, part, what, verdict{c.Status.String(), c.Status.HasValue(), c.Status.Decided(), c.Limits, c.Why}, c.Value, c.Limit, c.Margin)
}

// verdict is how a check of any calculation stands to its limit.
type verdict struct {
	status            string
	hasValue, decided bool
	limits, why       string
}

// judged describes a check of any calculation.
func judged[Q formatted](u units, part Part, what string, v verdict, value, limit, margin Q) Check {
	out := Check{Check: what, Part: part, Status: v.status, Limits: v.limits, Why: v.why}
	if v.hasValue {
		out.Value = of(u, value, valueDigits)
	}
	if v.decided {
		out.Limit, out.Margin = of(u, limit, valueDigits), of(u, margin, marginDigits)
		if limit != 0 {
			out.Share = of(u, model.Ratio(float64(margin)/math.Abs(float64(limit))), marginDigits)
		}
	}
	return out
}

// wholeNumber is an optional number as a text.
func wholeNumber(n *int) string {
	if n == nil {
		return "-"
	}
	return strconv.Itoa(*n)
}
