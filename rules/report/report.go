package report

import (
	"github.com/guardwright/guardwright/calc"
	"github.com/guardwright/guardwright/model"
	"github.com/guardwright/guardwright/model/source"
	"github.com/guardwright/guardwright/rules"
)

// Format is the version of the JSON form of a report.
const Format = 1

// caution ends every report.
const caution = "This report supports, and does not replace, risk assessment, validation, the local codes and the " +
	"judgement of a competent person. Its numbers are as good as the data sheets behind the description."

// rounding says how the numbers of a report were rounded.
const rounding = "Numbers are shown with 4 significant digits, margins and shares with 3; they were judged unrounded."

// Report is all there is to print about one machine. Its JSON form is versioned. A list that is absent was not asked
// for; one that is empty was, and holds nothing.
type Report struct {
	// Version of the format of the report.
	Format int `json:"format"`
	// What the report does not replace.
	Caution string `json:"caution"`
	// How numbers were rounded.
	Rounding string `json:"rounding"`
	// The machine that was looked at.
	Machine Machine `json:"machine"`
	// How much was found, in numbers.
	Summary Summary `json:"summary"`
	// Objects that break a rule, the accepted ones included.
	Findings []Finding `json:"findings,omitzero"`
	// Rules that gave no answer at an object: neither passed nor broken.
	Unanswered []Unanswered `json:"unanswered,omitzero"`
	// Acceptances in the machine file that do not fit.
	Acceptances []AcceptanceProblem `json:"acceptance_problems,omitzero"`
	// Parts of the description that are read but not computed.
	NotComputed []NotComputed `json:"not_computed,omitzero"`
	// The interlock logic, with its blocks written out.
	Logic []LogicValue `json:"logic,omitzero"`
	// Assumptions about the world on which proofs rest: those that the machine file states, and those of the kinds of devices.
	Assumptions []Assumption `json:"assumptions,omitzero"`
	// Mistakes in the interlock logic; with any, nothing about it was proved.
	LogicProblems []Problem `json:"logic_problems,omitzero"`
	// Answers to the rules about the interlock logic.
	Proofs []Proof `json:"proofs,omitzero"`
	// What a recorded trace of the machine says; absent when none was given.
	Record *Record `json:"record,omitempty"`
	// What single faults do to the rules about the interlock logic.
	LogicFaults *LogicFaults `json:"logic_faults,omitempty"`
	// What became of each rule.
	Rules []RuleTally `json:"rules,omitzero"`
	// Supplies, protections, feeds, modules, ports and loads, each with its computed numbers.
	Places []Place `json:"places,omitzero"`
	// Parts of the 24 V supply whose voltages depend on each other.
	Networks []Network `json:"networks,omitzero"`
	// Pairs of protective devices in series.
	Selectivity []Selectivity `json:"selectivity,omitzero"`
	// Form of the safety network: line, star, ring, tree, mixed or parts.
	Shape string `json:"network_shape,omitempty"`
	// Nodes of the safety network with their addresses.
	Nodes []Node `json:"nodes,omitzero"`
	// What is wrong with the addresses of the network and of connections.
	AddressProblems []string `json:"address_problems,omitempty"`
	// Directions of the links with what they carry.
	Links []LinkLoad `json:"links,omitzero"`
	// Single faults of the network with what they cost.
	SingleFaults []SingleFault `json:"single_faults,omitzero"`
	// Double faults of rings with what they cost.
	DoubleFaults []DoubleFaults `json:"double_faults,omitzero"`
	// Safety connections with their time limits.
	Connections []Connection `json:"connections,omitzero"`
	// Safety functions with their reaction times.
	Reactions []Reaction `json:"reactions,omitzero"`
	// Drives with their stopping times.
	Stops []Stop `json:"stops,omitzero"`
	// Ways to the hazards with their separation distances.
	Distances []Distance `json:"distances,omitzero"`
	// Places that the method does not cover, or covers only with the stated assumption.
	Limits []Limit `json:"limits,omitzero"`
}

// Machine names the machine of a report.
type Machine struct {
	// Name of the machine.
	Name string `json:"name"`
	// Free text about the machine.
	About string `json:"about,omitempty"`
}

// Summary counts what a report holds, whichever of its parts were asked for.
type Summary struct {
	// The counts below in one sentence.
	Verdict string `json:"verdict"`
	// Findings of severity error that count.
	Errors int `json:"errors"`
	// Findings of severity warning that count.
	Warnings int `json:"warnings"`
	// Findings of severity advice that count.
	Advice int `json:"advice"`
	// Findings that were accepted and do not count.
	Accepted int `json:"accepted"`
	// Objects at which a rule could not be decided for want of data. They did not pass.
	Undecided int `json:"undecided"`
	// Objects at which a rule failed or was stopped. They did not pass.
	RuleErrors int `json:"rule_errors"`
	// Acceptances that do not fit.
	AcceptanceProblems int `json:"acceptance_problems"`
	// Mistakes in the interlock logic.
	LogicProblems int `json:"logic_problems"`
	// Rules that were asked.
	Rules int `json:"rules"`
	// Day by which acceptances were judged; absent when their expiry was not judged.
	Today string `json:"today,omitempty"`
	// Computed numbers of the 24 V supply by how they stand to their limits.
	Checks Counts `json:"checks"`
	// Parts of the 24 V supply without an operating point in one of the cases.
	Unsolved int `json:"unsolved_networks"`
	// Why the 24 V supply was not computed; absent when it was.
	PowerMissing string `json:"power_missing,omitempty"`
	// Why the network was not computed; absent when it was.
	NetworkMissing string `json:"network_missing,omitempty"`
	// Why the reaction times were not computed; absent when they were.
	TimingMissing string `json:"timing_missing,omitempty"`
	// Why the separation distances were not computed; absent when they were.
	DistanceMissing string `json:"distance_missing,omitempty"`
}

// Counts counts computed numbers by status.
type Counts struct {
	// Numbers that keep to their limit.
	Within int `json:"within"`
	// Numbers that violate their limit.
	Beyond int `json:"beyond"`
	// Numbers for which the description states no limit.
	NoLimit int `json:"no_limit"`
	// Numbers whose limit cannot be told.
	NotCovered int `json:"not_covered"`
	// Numbers that could not be computed.
	Unknown int `json:"unknown"`
}

// Position is a place in a file.
type Position struct {
	// File as it was named when it was read.
	File string `json:"file"`
	// Line, from 1.
	Line int `json:"line,omitempty"`
	// Column, from 1, in Unicode code points.
	Column int `json:"column,omitempty"`
}

func position(p source.Position) *Position {
	if p.IsZero() {
		return nil
	}
	return &Position{p.File, p.Line, p.Column}
}

// String returns file:line:column.
func (p *Position) String() string {
	if p == nil {
		return ""
	}
	return source.Position{File: p.File, Line: p.Line, Column: p.Column}.String()
}

// New makes the report of a result.
func New(r *rules.Result) *Report {
	out := &Report{Format: Format, Caution: caution, Rounding: rounding,
		Places: []Place{}, Networks: []Network{}, Selectivity: []Selectivity{}, Limits: []Limit{}}
	if r.Machine != nil {
		out.Machine = Machine{r.Machine.Name, r.Machine.About}
	}
	out.addRules(r)
	out.addLogic(r.Machine, r.Assumptions)
	switch {
	case r.Results == nil:
		out.Summary.PowerMissing = "nothing was computed"
	case r.Results.Power == nil:
		out.Summary.PowerMissing = r.Results.PowerMissing
	default:
		out.addPower(r.Results.Power)
	}
	if r.Results != nil {
		out.addOthers(r.Results)
	}
	out.addFaults(r.Faults)
	out.addRecord(r.Record)
	if r.Today != (model.Date{}) {
		out.Summary.Today = r.Today.String()
	}
	out.Summary.Verdict = out.Summary.verdict()
	return out
}

// addOthers takes over the network, the reaction times and the distances, or why they are missing.
func (r *Report) addOthers(from *calc.Results) {
	r.Summary.NetworkMissing, r.Summary.TimingMissing, r.Summary.DistanceMissing = from.NetworkMissing, from.TimingMissing, from.DistanceMissing
	if from.Network != nil {
		r.addNetwork(from.Network)
	}
	if from.Timing != nil {
		r.addTiming(from.Timing)
	}
	if from.Distance != nil {
		r.addDistances(from.Distance)
	}
}
