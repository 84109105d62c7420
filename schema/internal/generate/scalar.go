package main

import (
	"regexp"
	"strings"

	"github.com/invopop/jsonschema"

	"github.com/guardwright/guardwright/model"
	"github.com/guardwright/guardwright/rules"
)

// Names of definitions that have no Go type of their own.
const (
	text      = "Text"      // free text
	name      = "Name"      // what rules and logic can name
	kindName  = "KindName"  // a kind of device
	linkEnd   = "LinkEnd"   // node.port
	flowEnd   = "FlowEnd"   // a node, or node.port
	valueName = "ValueName" // a value of the logic, or object.word
	portName  = "PortName"  // one port of a module
	portKey   = "PortKey"   // one port or several

	contactNumber = "ContactNumber" // of a plug

	safetyNetwork = "SafetyNetworkNumber"
	ruleID        = "RuleID"
	objectKind    = "ObjectKind" // what a rule can be for
)

const (
	identifier = `[A-Za-z_][A-Za-z0-9_]*`
	kebab      = `[a-z][a-z0-9]*(?:-[a-z0-9]+)*`
	portNumber = `(?:0|[1-9][0-9]*)`
	octet      = `(?:25[0-5]|2[0-4][0-9]|1[0-9]{2}|[1-9]?[0-9])`
	ipv4       = `(?:` + octet + `\.){3}` + octet
)

// words defines the scalars that are a plain string in Go.
func words() jsonschema.Definitions {
	ports := `[ \t]*(?:` + identifier + `|` + portNumber + `|` + `[0-9]+-[0-9]+)[ \t]*`
	n := pattern("A name that rules and logic can use: letters, digits and _, not starting with a digit.", "^"+identifier+"$")
	n.Not = &jsonschema.Schema{Enum: anyList(reserved())}
	return jsonschema.Definitions{
		text: anyScalar("A text. It is read as it is written, also where it looks like a number."),
		name: n,
		kindName: pattern("A kind of device: small letters, digits and hyphens.", "^"+kebab+"$",
			sortedKeys(model.BuiltinKinds())...),
		linkEnd:   pattern("A network port, as node.port.", "^"+identifier+`\.`+identifier+"$", "c1.p1"),
		flowEnd:   pattern("A node, or a network port as node.port.", "^"+identifier+`(?:\.`+identifier+")?$", "m1", "s1.p5"),
		valueName: pattern("A value of the interlock logic by a name of its own, or as object.word.", "^"+identifier+`(?:\.`+identifier+")?$", "run", "g1.release"),
		portName:  pattern("A port: its number or name.", "^(?:"+identifier+"|"+portNumber+")$"),
		portKey:   pattern("A port (3 or x1), or several ports (1-4 or 5,7) with the same data.", "^"+ports+"(?:,"+ports+")*$"),

		contactNumber: pattern("A contact of a plug: its number.", "^[1-9][0-9]*$"),

		safetyNetwork: pattern("A safety network number: 6 byte as three groups of four hexadecimal digits.",
			"^[0-9a-fA-F]{4}(?:_[0-9a-fA-F]{4}){2}$", "1234_5678_9abc"),

		ruleID:     pattern("The id of a rule: small letters, digits and hyphens.", "^"+kebab+"$", "port-current-limit"),
		objectKind: enumeration("A kind of object that a rule can be for.", objectKinds()),
	}
}

func objectKinds() []string {
	var out []string
	for _, kind := range rules.Vocabulary().Kinds {
		if kind.For {
			out = append(out, kind.Name)
		}
	}
	return out
}

// reserved are the words of CEL (language definition, section on syntax) that cannot be names in rules and logic.
func reserved() []string {
	return strings.Fields("as break const continue else false for function if import in let loop namespace null package return true var void while")
}

// expression: true and 5 are expressions too, and YAML has types of their own for them.
func expression() *jsonschema.Schema {
	s := anyScalar("An expression of the rule language (CEL).")
	s.MinLength = number(1)
	return s
}

// anyScalar serves for what the loader takes as written, whatever YAML makes of it: 007, true, 3.10.
func anyScalar(description string) *jsonschema.Schema {
	return &jsonschema.Schema{
		Description: description,
		Extras:      map[string]any{"type": []string{"string", "number", "boolean"}},
	}
}

func pattern(description, pattern string, examples ...string) *jsonschema.Schema {
	return &jsonschema.Schema{Type: "string", Description: description, Pattern: pattern, Examples: anyList(examples)}
}

func enumeration(description string, values []string) *jsonschema.Schema {
	return &jsonschema.Schema{Type: "string", Description: description, Enum: anyList(values)}
}

func quantity(info model.QuantityInfo) *jsonschema.Schema {
	s := pattern("A "+info.Quantity+": a number and its unit ("+strings.Join(info.Units, ", ")+").", info.Pattern, info.Examples...)
	// A text without a unit is a number to YAML. That it needs a decimal point (0.5, not 5) cannot be told from a
	// number: to a schema 1.0 and 1 are the same.
	if form := regexp.MustCompile(info.Pattern); form.MatchString("0.5") {
		s.Type = ""
		s.Extras = map[string]any{"type": []string{"string", "number"}}
		if !form.MatchString("-0.5") {
			s.Minimum = "0"
		}
	}
	return s
}

func anyList(values []string) []any {
	var out []any
	for _, v := range values {
		out = append(out, v)
	}
	return out
}

func number(n uint64) *uint64 { return &n }
