package model

import (
	"math"
	"slices"
	"strings"

	"github.com/guardwright/guardwright/model/source"
)

// The frame sizes of IEEE 802.3, with one tag of IEEE 802.1Q, and what preamble and gap add on the wire.
const (
	smallestFrame DataSize = 64
	largestFrame  DataSize = 1522
	betweenFrames DataSize = 20
)

// sendClockUnit is the step of the PROFINET send clock (IEC 61158-6-10, from memory).
const sendClockUnit Duration = 31.25e-6

// resolveTraffic resolves the traffic beside the safety connections.
func (r *resolver) resolveTraffic(n *Network, used map[string]string) {
	for _, name := range sortedNames(n.NetworkSpec.Traffic) {
		spec := n.NetworkSpec.Traffic[name]
		f := &Flow{Origin: r.origin("network.traffic", name), FlowSpec: spec}
		r.checkName(f.Path, name)
		if n.Protocol == SafetyOverEtherCAT {
			r.problem(f.Path, "an EtherCAT segment carries no frames but its controller's; state standard data as process_data")
			continue
		}
		r.checkFlow(f.Path, &f.FlowSpec)
		var okFrom, okTo bool
		f.From, okFrom = r.flowEnd(f.Path+".from", spec.From, used)
		f.To, okTo = r.flowEnd(f.Path+".to", spec.To, used)
		if okFrom && okTo {
			if f.From == f.To {
				r.problem(f.Path+".to", "the traffic goes back to where it comes from, %s", spec.To)
			}
			n.Traffic = append(n.Traffic, f)
		}
	}
}

// flowEnd reads a node, or node.port for a port that no link uses.
func (r *resolver) flowEnd(path, text string, used map[string]string) (LinkEnd, bool) {
	if text == "" {
		return LinkEnd{}, false // reported as missing
	}
	name, port, station := strings.Cut(text, ".")
	node, ports, ok := r.node(path, name)
	switch {
	case !ok:
		return LinkEnd{}, false
	case station && !slices.Contains(ports, port):
		r.problem(path, "%s", unknown("network port of "+name, port, ports))
		return LinkEnd{}, false
	case station && used[text] != "":
		r.problem(path, "the port %s has a link, %s; a station outside the description needs a port of its own", text, used[text])
		return LinkEnd{}, false
	}
	return LinkEnd{node, port}, true
}

// checkFlow checks that the traffic is bounded in one way, and fills in its defaults.
func (r *resolver) checkFlow(path string, f *FlowSpec) {
	if f.Frame == 0 {
		f.Frame = largestFrame
	}
	if f.Frame < smallestFrame || f.Frame > largestFrame {
		r.problem(path+".frame", "found %s, wanted a frame of %s to %s", f.Frame, smallestFrame, largestFrame)
	}
	curve := f.Burst != 0 || f.Rate != 0
	switch {
	case curve && (f.Interval != 0 || f.Frames != 0):
		r.problem(path, "the traffic is bounded by burst and rate or by frames in an interval, not by both")
	case curve && (f.Burst == 0 || f.Rate == 0):
		r.problem(path, "burst and rate belong together; state both, such as {burst: 4 kB, rate: 20 Mbit/s}")
	case curve && f.Burst < f.Frame+betweenFrames:
		r.problem(path+".burst", "found %s, which is less than one largest frame with preamble and gap, %s", f.Burst, f.Frame+betweenFrames)
	case !curve && f.Interval == 0:
		r.problem(path, "the traffic has no bound: state burst and rate, or frame, frames and interval")
	}
	f.Frames = max(1, f.Frames)
}

// checkCycle checks the cycle and what only a protocol with one has.
func (r *resolver) checkCycle(n *NetworkSpec) {
	if n.ProcessData != 0 && n.Protocol != SafetyOverEtherCAT {
		r.problem("network.process_data", "only an EtherCAT network has process_data; this is %s: state the data as traffic", n.Protocol)
	}
	if n.Cycle == 0 {
		return
	}
	switch n.Protocol {
	case CIPSafety:
		r.problem("network.cycle", "%s has no cycle; each connection has its interval", n.Protocol)
	case PROFIsafe:
		steps := float64(n.Cycle / sendClockUnit)
		if near := math.Round(steps); math.Abs(steps-near) > 1e-6 || near < 1 || near > 128 {
			r.problem("network.cycle", "found a send clock of %s, wanted 31.25 µs times 1 to 128, such as 1 ms", n.Cycle)
		}
	}
}

// checkConnection checks what belongs to one protocol only.
func (r *resolver) checkConnection(path string, c ConnectionSpec) {
	protocol := r.d.Network.Protocol
	only := func(p Protocol, key string, stated bool) {
		if stated && protocol != p && protocol != "" {
			r.problem(path+"."+key, "only a connection of %s has %s; this network is %s", p, key, protocol)
		}
	}
	only(PROFIsafe, "reduction", c.Reduction != 0)
	only(PROFIsafe, "input_beside", c.InputBeside != 0)
	only(PROFIsafe, "output_beside", c.OutputBeside != 0)
	only(CIPSafety, "age_limit", c.AgeLimit != 0)
	only(CIPSafety, "ping_multiplier", c.PingMultiplier != 0)
	only(SafetyOverEtherCAT, "connection_id", c.ConnectionID != 0)
	if c.Format != "" && protocol == SafetyOverEtherCAT {
		r.problem(path+".format", "%s has one format", protocol)
	}
	if c.Reduction > 0 && c.Reduction&(c.Reduction-1) != 0 {
		r.problem(path+".reduction", "found %d, wanted a power of two: 1, 2, 4 up to 512", c.Reduction)
	}
	cycle := r.d.Network.Cycle * Duration(max(1, c.Reduction))
	if protocol == PROFIsafe && c.Interval != 0 && cycle != 0 && math.Abs(float64(c.Interval/cycle-1)) > 1e-6 {
		r.problem(path+".interval", "found %s, but send clock and reduction make %s; leave the interval out", c.Interval, cycle)
	}
}

// checkRing checks what belongs to one ring protocol only, and the precedence.
func (r *resolver) checkRing(path string, s RingSpec) {
	if s.Nodes != nil && len(s.Nodes) < 2 {
		r.problem(path+".nodes", "found %d nodes, wanted at least 2: a ring comes back to where it starts", len(s.Nodes))
	}
	only := func(p RingProtocol, key string, stated bool) {
		if stated && s.Protocol != p {
			r.problem(path+"."+key, "only a ring with protocol %s has %s", p, key)
		}
	}
	only(DLR, "beacon_interval", s.BeaconInterval != 0)
	only(DLR, "beacon_timeout", s.BeaconTimeout != 0)
	only(MRP, "test_interval", s.TestInterval != 0)
	only(MRP, "test_count", s.TestCount != 0)
	if s.BeaconTimeout != 0 && s.BeaconTimeout <= s.BeaconInterval {
		r.problem(path+".beacon_timeout", "found %s, wanted more than the beacon interval, %s", s.BeaconTimeout, s.BeaconInterval)
	}
	for _, name := range sortedNames(s.Precedence) {
		at := source.Join(path, "precedence", name)
		if name != s.Supervisor && !slices.Contains(s.Backups, name) {
			r.problem(at, "%s is neither supervisor nor backup of the ring", name)
		}
		if p := s.Precedence[name]; p < 0 || p > 255 {
			r.problem(at, "found %d, wanted a precedence of 0 to 255", p)
		}
	}
}

// networkPorts checks the network side of a type.
func (r *resolver) networkPorts(path string, t NetworkPortsType) {
	r.checkList(path+".network_ports", t.NetworkPorts)
	for _, port := range sortedNames(t.NetworkRates) {
		if !slices.Contains(t.NetworkPorts, port) {
			r.problem(source.Join(path, "network_rates", port), "%s", unknown("network port of the type", port, t.NetworkPorts))
		}
	}
	seen := map[RingProtocol]bool{}
	for i, p := range t.RingProtocols {
		if seen[p] {
			r.problem(index(path+".ring_protocols", i), "%s is listed twice", p)
		}
		seen[p] = true
	}
	if f := t.Forwarding; f != nil {
		r.checkForwarding(path+".forwarding", f)
	}
}

func (r *resolver) checkForwarding(path string, f *ForwardingType) {
	if f.Method == OnTheFly && (f.Queues != nil || f.Order != "" || f.Buffer != 0) {
		r.problem(path, "a node that passes frames on while they run through has no queues: leave queues, order and buffer out")
	}
	if f.Queues != nil && len(f.Queues) != 8 {
		r.problem(path+".queues", "found %d queues, wanted one for each of the 8 priorities, such as [0, 0, 0, 0, 1, 1, 1, 1]", len(f.Queues))
	}
	for i, q := range f.Queues {
		if q < 0 || q > 7 {
			r.problem(index(path+".queues", i), "found queue %d, wanted 0 to 7, the higher first served", q)
		}
	}
}

// checkSafetyNetwork checks the form of a safety network number: 6 byte, as three groups of four hexadecimal digits.
func (r *resolver) checkSafetyNetwork(path, text string) {
	if text == "" {
		return
	}
	groups := strings.Split(text, "_")
	good := len(groups) == 3
	for _, g := range groups {
		good = good && len(g) == 4 && strings.Trim(g, "0123456789abcdefABCDEF") == ""
	}
	if !good {
		r.problem(path+".safety_network", "found %q, wanted 6 byte as three groups of four hexadecimal digits, such as 1234_5678_9abc", text)
	}
}

// checkAddresses checks the form of all safety network numbers.
func (r *resolver) checkAddresses() {
	for _, m := range r.m.Modules {
		r.checkSafetyNetwork(m.Path, m.SafetyNetwork)
	}
	for _, c := range r.m.Controllers {
		r.checkSafetyNetwork(c.Path, c.SafetyNetwork)
	}
	for _, s := range r.m.Switches {
		r.checkSafetyNetwork(s.Path, s.SafetyNetwork)
	}
}
