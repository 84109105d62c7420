package power

import (
	"fmt"

	"github.com/guardwright/guardwright/model"
	"github.com/guardwright/guardwright/model/source"
)

// plan is the supply of a machine laid out as trees: one node for each place, parents before children. All that the
// operating cases have in common is worked out once.
type plan struct {
	machine *model.Machine
	variant variant
	tables  *tables
	nodes   []node
	trees   []tree
	ways    []way // by node
	// loads holds the loads at all nodes; those of one node are next to each other.
	loads []*Load

	supplyNode     []int32 // by index of the machine's supplies
	protectionNode map[*model.Protection]int32
	feedNode       map[*model.FeedCircuit]int32

	protectives    []Protective
	protectiveNode []int32 // node behind each protective device
	curves         map[curveKey]*curve
	cables         map[*model.Cable]cableData
	problems       source.Problems
	unevenJoins    [][2]int32
	limits         []Limit
}

// none is the index of no node, tree or device.
const none int32 = -1

// node is one place of the supply with the conductors that lead to it.
type node struct {
	parent  int32 // node upstream; none at the terminals of a supply
	tree    int32 // tree that the node is solved in; none at terminals without source resistance
	supply  int32 // index of the supply at the top
	place   Place
	circuit model.Circuit
	run     *Run
	// device is the resistance of a protective device in plus, pass that of a module in each conductor.
	device, pass float64
	// upstream is the protective device in force over the conductors that lead here, behind the one in force from here
	// on: indices of protectives.
	upstream, behind int32
	firstLoad, loads int32
	// partner is the node of the other circuit with which the return conductor leading here is shared; joined is the
	// resistance of the shared return by temperature.
	partner int32
	joined  [numTemperatures]float64
	// unevenJoin is set where the returns of both circuits meet without being joined alike upstream.
	unevenJoin bool
}

// tree is a part of the supply with one source that is solved by package radial.
type tree struct {
	supply  int32
	nodes   []int32 // parents before children
	network *Network
}

// way is the resistance of the way from the source to a node and back.
type way struct {
	// hot is the sum with hot conductors, of which devices, conductors and contacts are parts and the rest is the source's.
	// Each circuit returns on its own conductors.
	hot, devices, conductors, contacts model.Resistance
	// coldPlus and coldReturn are the least resistances, with cold conductors; joined returns lie in parallel.
	coldPlus, coldReturn model.Resistance
}

func (w *way) cold() model.Resistance { return w.coldPlus + w.coldReturn }

type cableData struct {
	perLength model.ResistancePerLength
	from      string
}

// newPlan lays out the supplies, the protective devices and the feeds of a machine. Its problems list what has to be
// stated before anything can be computed.
func newPlan(m *model.Machine, t *tables, v variant) *plan {
	n := len(m.Power.Supplies) + len(m.Power.Protections) + 2*len(m.Power.Feeds) + 2*len(m.Devices)
	p := &plan{
		machine: m, tables: t, variant: v,
		nodes:          make([]node, 0, n),
		protectionNode: make(map[*model.Protection]int32, len(m.Power.Protections)),
		feedNode:       make(map[*model.FeedCircuit]int32, 2*len(m.Power.Feeds)),
		curves:         map[curveKey]*curve{},
		cables:         map[*model.Cable]cableData{},
	}
	p.addSupplies()
	for _, protection := range m.Power.Protections {
		p.addProtection(protection)
	}
	for _, feed := range m.Power.Feeds {
		for _, fc := range feed.Circuits {
			p.addFeed(fc)
		}
	}
	return p
}

// problem notes what has to be stated in the description.
func (p *plan) problem(at model.Origin, format string, args ...any) {
	p.problems = append(p.problems, source.Problem{Position: at.Position, Path: at.Path, Text: fmt.Sprintf(format, args...)})
}

// limit notes what the method does not cover at an object.
func (p *plan) limit(at model.Origin, c model.Circuit, format string, args ...any) {
	p.limits = append(p.limits, Limit{Place: at, Circuit: c, Text: fmt.Sprintf(format, args...)})
}

func (p *plan) addSupplies() {
	for i, supply := range p.machine.Power.Supplies {
		n := node{parent: none, tree: none, supply: int32(i), place: Place{Supply: supply}, upstream: none, behind: none, partner: none}
		switch {
		case supply.Type == nil:
			p.problem(supply.Origin, "the supply has no type")
			continue
		case !(supply.Type.Min > 0) || supply.Type.Max < supply.Type.Min:
			p.problem(supply.Origin, "the supply gives from %v to %v; state min and max, both above zero", supply.Type.Min, supply.Type.Max)
			continue
		}
		if supply.Type.SourceResistance > 0 {
			n.tree = p.newTree(int32(i))
		}
		p.supplyNode = append(p.supplyNode, p.add(n))
	}
}

func (p *plan) newTree(supply int32) int32 {
	p.trees = append(p.trees, tree{supply: supply})
	return int32(len(p.trees) - 1)
}

// add appends a node. A node without a tree below the terminals starts one.
func (p *plan) add(n node) int32 {
	if n.parent != none && n.tree == none {
		n.tree = p.newTree(n.supply)
	}
	index := int32(len(p.nodes))
	p.nodes = append(p.nodes, n)
	if n.tree != none {
		t := &p.trees[n.tree]
		t.nodes = append(t.nodes, index)
	}
	return index
}

// sumWays sums the resistances up to every node.
func (p *plan) sumWays() {
	p.ways = make([]way, len(p.nodes))
	for i := range p.nodes {
		n, w := &p.nodes[i], &p.ways[i]
		if n.parent == none {
			r := n.place.Supply.Type.SourceResistance
			w.hot, w.coldPlus = r, r
			continue
		}
		*w = p.ways[n.parent]
		devices, conductors, contacts := model.Resistance(n.device+2*n.pass), model.Resistance(0), model.Resistance(0)
		if n.run != nil {
			conductors, contacts = n.run.Plus.AtHot+n.run.Return.AtHot, n.run.Plus.Contacts+n.run.Return.Contacts
		}
		w.devices += devices
		w.conductors += conductors
		w.contacts += contacts
		w.hot += devices + conductors + contacts
		w.coldPlus += model.Resistance(n.plus(cold))
		w.coldReturn += model.Resistance(n.ret(cold))
		if n.unevenJoin {
			w.coldReturn = 0 // there are other ways back, which nothing bounds
		}
	}
}

// child starts a node below another.
func (p *plan) child(parent int32, place Place, circuit model.Circuit) node {
	above := &p.nodes[parent]
	return node{
		parent: parent, tree: above.tree, supply: above.supply, place: place, circuit: circuit,
		upstream: above.behind, behind: above.behind, partner: none,
	}
}

// addProtection adds the node behind a protective device, after those upstream of it.
func (p *plan) addProtection(protection *model.Protection) (int32, bool) {
	var pending []*model.Protection
	for at := protection; at != nil; at = at.Upstream {
		if _, done := p.protectionNode[at]; done {
			break
		}
		if pending = append(pending, at); len(pending) > len(p.machine.Power.Protections) {
			p.problem(protection.Origin, "the protective devices feed each other in a loop, or one is missing in the list of protections")
			return none, false
		}
	}
	for i := len(pending) - 1; i >= 0; i-- {
		if !p.addOneProtection(pending[i]) {
			return none, false
		}
	}
	index, ok := p.protectionNode[protection]
	return index, ok
}

func (p *plan) addOneProtection(protection *model.Protection) bool {
	parent, ok := none, false
	if protection.Upstream != nil {
		parent, ok = p.protectionNode[protection.Upstream]
	} else {
		parent, ok = p.terminals(protection.Supply)
	}
	if !ok || protection.Type == nil {
		p.problem(protection.Origin, "the protective device has no supply or no type")
		return false
	}
	n := p.child(parent, Place{Protection: protection}, "")
	n.device = float64(protection.Type.Resistance)
	n.run = p.newRun(protection.Cable, "", 1, 1, 2)
	n.behind = p.protective(Protective{Protection: protection, Type: protection.Type, Ambient: protection.Ambient})
	p.protectionNode[protection] = p.add(n)
	return true
}

func (p *plan) protective(device Protective) int32 {
	device.curve = p.curve(device.Type, device.Ambient)
	p.protectives = append(p.protectives, device)
	p.protectiveNode = append(p.protectiveNode, int32(len(p.nodes))) // which is added next
	return int32(len(p.protectives) - 1)
}

// terminals returns the node of a supply.
func (p *plan) terminals(supply *model.Supply) (int32, bool) {
	for i, at := range p.supplyNode {
		if p.machine.Power.Supplies[i] == supply {
			return at, true
		}
	}
	return none, false
}

// addFeed adds the node at the end of one circuit of a feed, after those upstream of it.
func (p *plan) addFeed(feed *model.FeedCircuit) {
	var pending []*model.FeedCircuit
	for at := feed; at != nil; at = at.Upstream {
		if _, done := p.feedNode[at]; done {
			break
		}
		if pending = append(pending, at); len(pending) > 2*len(p.machine.Power.Feeds) {
			p.problem(feed.Feed.Origin, "the feeds form a loop, or one is missing in the list of feeds")
			return
		}
	}
	for i := len(pending) - 1; i >= 0; i-- {
		if !p.addOneFeed(pending[i]) {
			return
		}
	}
}

func (p *plan) addOneFeed(feed *model.FeedCircuit) bool {
	parent, ok := none, false
	switch {
	case feed.Upstream != nil:
		parent, ok = p.feedNode[feed.Upstream]
	case feed.Protection != nil:
		parent, ok = p.protectionNode[feed.Protection]
	default:
		parent, ok = p.terminals(feed.Supply)
	}
	if !ok {
		p.problem(feed.Feed.Origin, "the %s circuit of the feed comes from nothing that is described", feed.Circuit)
		return false
	}
	n := p.child(parent, Place{Feed: feed, Circuit: feed.Circuit}, feed.Circuit)
	if from := feed.Feed.From; from != nil && from.Type != nil {
		n.pass = float64(from.Type.PassResistance)
	}
	cable := feed.Feed.Cable
	if p.variant.feed == feed.Feed && p.variant.cable != nil {
		cable = p.variant.cable
	}
	n.run = p.newRun(cable, feed.Circuit, feed.PlusCores, feed.ReturnCores, loadedCores(feed.Feed))
	p.feedNode[feed] = p.add(n)
	return true
}

// loadedCores counts the cores of a feed that carry supply current.
func loadedCores(feed *model.Feed) int {
	n := 0
	for _, c := range feed.Circuits {
		n += max(c.PlusCores, 1) + max(c.ReturnCores, 1)
	}
	return n
}

// newRun describes one circuit's part of a cable; nil only for a protective device without described wiring.
func (p *plan) newRun(cable *model.CableRun, circuit model.Circuit, plus, ret, loaded int) *Run {
	if cable == nil && circuit == "" {
		return nil
	}
	if cable != nil && cable.Cable == nil {
		p.problem(cable.Origin, "the cable has no type")
		cable = nil
	}
	r := &Run{Cable: cable, Circuit: circuit}
	r.Plus = p.conductor(cable, plus)
	r.Return = p.conductor(cable, ret)
	if cable != nil {
		r.Ampacity = p.tables.ampacity(p.machine.Power.Ampacity, cable, loaded)
	}
	return r
}

// cableData looks up the resistance of a cable type once; what is missing is a problem of the description.
func (p *plan) cableData(cable *model.Cable) cableData {
	if data, ok := p.cables[cable]; ok {
		return data
	}
	r, from, err := p.tables.resistancePerLength(cable)
	if err != nil {
		p.problem(cable.Origin, "%v", err)
	}
	data := cableData{r, from}
	p.cables[cable] = data
	return data
}

// plus and ret are the resistances of the conductors that lead to a node.
func (n *node) plus(t temperatureCase) float64 {
	r := n.device + n.pass
	if n.run != nil {
		r += n.run.Plus.at(t)
	}
	return r
}

func (n *node) ret(t temperatureCase) float64 {
	if n.partner != none {
		return n.joined[t]
	}
	return n.ownReturn(t)
}

func (n *node) ownReturn(t temperatureCase) float64 {
	r := n.pass
	if n.run != nil {
		r += n.run.Return.at(t)
	}
	return r
}
