package report

import (
	"fmt"
	"slices"
	"strings"

	"github.com/guardwright/guardwright/model/source"
)

// Part is a part of a report that can be asked for by itself.
type Part string

// The parts, in the order in which they are printed.
const (
	SummaryPart      Part = "summary"       // how much was found, in numbers
	FindingsPart     Part = "findings"      // objects that break a rule
	UndecidedPart    Part = "undecided"     // rules that gave no answer at an object
	AcceptedPart     Part = "accepted"      // accepted findings, and acceptances that do not fit
	ProofsPart       Part = "proofs"        // answers about the interlock logic, and mistakes in it
	StoryPart        Part = "story"         // runs that break a rule or reach what must be reachable, told cycle by cycle
	LogicPart        Part = "logic"         // the interlock logic with its blocks written out
	LogicFaultsPart  Part = "logic-faults"  // what single faults do to the rules about the interlock logic
	RecordPart       Part = "record"        // what a recorded trace of the machine says
	NetworksPart     Part = "networks"      // operating points, and how far the loads may grow
	SuppliesPart     Part = "supplies"      // 24 V supplies
	ProtectionsPart  Part = "protections"   // protective devices between supplies and feeds
	FeedsPart        Part = "feeds"         // supply cables
	ModulesPart      Part = "modules"       // I/O modules
	PortsPart        Part = "ports"         // ports of modules with their cables
	LoadsPart        Part = "loads"         // voltages at the loads
	FaultsPart       Part = "faults"        // short circuits and overload
	SelectivityPart  Part = "selectivity"   // which of two protective devices opens first
	InrushPart       Part = "inrush"        // switching on
	AddressesPart    Part = "addresses"     // nodes of the network with their addresses
	LinksPart        Part = "links"         // load of the links
	SingleFaultsPart Part = "single-faults" // what single faults of the network cost, and double faults of rings
	ConnectionsPart  Part = "connections"   // time limits of the safety connections
	ReactionsPart    Part = "reactions"     // reaction times with their contributions, and stopping times
	DistancesPart    Part = "distances"     // separation distances
	ChecksPart       Part = "checks"        // every computed number of the 24 V supply with its limit, one by one
	LimitsPart       Part = "limits"        // what the method does not cover
	NotComputedPart  Part = "not-computed"  // what is described but not computed
	RulesPart        Part = "rules"         // what became of each rule
)

// Two words stand for several parts.
const (
	NumbersParts Part = "numbers" // all tables of numbers
	AllParts     Part = "all"     // everything
)

// Parts lists the parts in the order in which they are printed.
func Parts() []Part {
	return []Part{SummaryPart, FindingsPart, UndecidedPart, AcceptedPart, ProofsPart, StoryPart, LogicPart, LogicFaultsPart, RecordPart, NetworksPart, SuppliesPart, ProtectionsPart,
		FeedsPart, ModulesPart, PortsPart, LoadsPart, FaultsPart, SelectivityPart, InrushPart,
		AddressesPart, LinksPart, SingleFaultsPart, ConnectionsPart, ReactionsPart, DistancesPart, ChecksPart, LimitsPart,
		NotComputedPart, RulesPart}
}

// ParseParts reads a list of parts with commas between them, such as "summary,feeds". The words numbers and all stand
// for several parts. The parts come in the order in which they are printed, each once.
func ParseParts(text string) ([]Part, error) {
	wanted := map[Part]bool{}
	for word := range strings.SplitSeq(text, ",") {
		p := Part(strings.TrimSpace(word))
		switch {
		case p == AllParts:
			return Parts(), nil
		case p == NumbersParts:
			for _, n := range numberParts() {
				wanted[n] = true
			}
		case slices.Contains(Parts(), p):
			wanted[p] = true
		default:
			return nil, unknownPart(string(p))
		}
	}
	return slices.DeleteFunc(Parts(), func(p Part) bool { return !wanted[p] }), nil
}

// numberParts are the parts that NumbersParts stands for.
func numberParts() []Part {
	return []Part{NetworksPart, SuppliesPart, ProtectionsPart, FeedsPart, ModulesPart, PortsPart, LoadsPart, FaultsPart,
		SelectivityPart, InrushPart, AddressesPart, LinksPart, SingleFaultsPart, ConnectionsPart, ReactionsPart, DistancesPart}
}

func unknownPart(found string) error {
	var words []string
	for _, p := range append(Parts(), NumbersParts, AllParts) {
		words = append(words, string(p))
	}
	if near, ok := source.Nearest(found, words); ok {
		return fmt.Errorf("found %q, which is no part of a report; did you mean %q?", found, near)
	}
	return fmt.Errorf("found %q, which is no part of a report; there are %s", found, strings.Join(words, ", "))
}
