package rules

import "github.com/guardwright/guardwright/model/source"

// Format is the newest version of the format of rule files that this library reads.
const Format = 1

// File is a rule file as it is written: a pack of rules.
type File struct {
	// Version of the file format; 1 is the newest.
	Format int `yaml:"format" jsonschema:"required"`
	// Title of the pack.
	Pack string `yaml:"pack" jsonschema:"required"`
	// Free text: what the pack is for and whose rules it holds.
	About string `yaml:"about,omitempty"`
	// Rules by id. An id is in lower case with hyphens and says what is right, such as port-current-limit.
	Rules map[string]RuleSpec `yaml:"rules" jsonschema:"required"`
}

// RuleSpec is one rule as it is written.
type RuleSpec struct {
	// Kind of object that the rule is for, such as port; each object of the kind is looked at.
	For string `yaml:"for" jsonschema:"required"`
	// Free text: what the rule asks for, and why.
	About string `yaml:"about,omitempty"`
	// Condition (CEL) under which the rule applies to an object. Absent: always.
	When source.Expression `yaml:"when,omitempty"`
	// Condition (CEL) that must be true.
	Require source.Expression `yaml:"require,omitempty"`
	// Message for an object that breaks the rule, with CEL expressions in braces; {{ and }} are braces.
	Say source.Expression `yaml:"say,omitempty"`
	// How grave it is: error, warning or advice.
	Severity Severity `yaml:"severity" jsonschema:"required"`
	// Where the rule comes from: standard, edition and clause, or the plant's own document.
	Source string `yaml:"source,omitempty"`
	// What to change, with CEL expressions in braces.
	Hint source.Expression `yaml:"hint,omitempty"`
	// Entry of the object's description to point at, such as cable.length. Absent: the object.
	At string `yaml:"at,omitempty"`
	// Further objects to point at (CEL), such as port.device.
	Related []source.Expression `yaml:"related,omitempty"`
	// Property of the interlock logic that must hold at every step (CEL with pre, rose, fell, began, once, hist, since, within, held). It is proved for every sequence of inputs, or refuted.
	Always source.Expression `yaml:"always,omitempty"`
	// State of the interlock logic that must be reachable (CEL as in always).
	Reach source.Expression `yaml:"reach,omitempty"`
	// Test cases of the rule: small machines with the findings that they must give.
	Cases []CaseSpec `yaml:"cases,omitempty"`
}

// CaseSpec is a test case of a rule. One of File and Machine gives the machine.
type CaseSpec struct {
	// What the case shows.
	About string `yaml:"about,omitempty"`
	// Machine file, relative to the rule file.
	File string `yaml:"file,omitempty"`
	// Texts of the machine file, each with the text that takes its place. Each must occur in the file exactly once.
	Replace map[string]string `yaml:"replace,omitempty"`
	// Machine file as a text.
	Machine source.Expression `yaml:"machine,omitempty"`
	// Paths of the objects at which the rule must report a finding, no more and no fewer.
	Finds []string `yaml:"finds,omitempty"`
	// Paths of the objects at which the rule must not be decidable, not be proved within the limits, or say nothing.
	Undecided []string `yaml:"undecided,omitempty"`
	// Texts that must occur in the messages, each in at least one.
	Says []string `yaml:"says,omitempty"`
}

// Severity is how grave a finding is.
type Severity string

// The severities, the gravest first.
const (
	Error   Severity = "error"   // the machine must not be built so
	Warning Severity = "warning" // needs a reason
	Advice  Severity = "advice"  // better otherwise
)

// Values lists the severities, the gravest first.
func (Severity) Values() []string { return []string{string(Error), string(Warning), string(Advice)} }

// rank orders the severities, the gravest first.
func (s Severity) rank() int {
	switch s {
	case Error:
		return 0
	case Warning:
		return 1
	}
	return 2
}
