package rules

import (
	"fmt"
	"slices"
	"strings"

	"github.com/google/cel-go/cel"
	"github.com/google/cel-go/common"
	"github.com/google/cel-go/common/operators"

	"github.com/guardwright/guardwright/model/source"
)

// This file says in a plant engineer's words what CEL reports about an expression.

// syntaxErrors words the errors of the parser.
func (c *compiler) syntaxErrors(issues *cel.Issues) []exprError {
	var errs []exprError
	for _, err := range issues.Errors() {
		errs = append(errs, located(err, syntaxText(err.Message)))
	}
	return sorted(errs)
}

func syntaxText(message string) string {
	if m, ok := inside(message, "Syntax error: token recognition error at: '", "'"); ok {
		return fmt.Sprintf("%s means nothing in an expression", shortText(m[0]))
	}
	if m, ok := inside(message, "reserved identifier: ", ""); ok {
		return fmt.Sprintf("%s is a reserved word of the language and cannot be a name", m[0])
	}
	for _, start := range []string{"mismatched input '", "extraneous input '", "no viable alternative at input '"} {
		if m, ok := inside(message, "Syntax error: "+start, "'"); ok {
			return unexpected(m[0])
		}
	}
	if m, ok := inside(message, "Syntax error: missing ", " at '", "'"); ok {
		return unexpected(m[1])
	}
	return shortMessage(message)
}

func unexpected(token string) string {
	if strings.HasPrefix(token, "<EOF>") {
		return "the expression ends too early"
	}
	return fmt.Sprintf("%s is not expected here", shortText(token))
}

// inside returns what stands between the parts of a message; an empty last part is the end. What follows the last
// part is left out.
func inside(message string, parts ...string) ([]string, bool) {
	rest, ok := strings.CutPrefix(message, parts[0])
	if !ok {
		return nil, false
	}
	var found []string
	for _, part := range parts[1:] {
		if part == "" {
			return append(found, rest), true
		}
		before, after, ok := strings.Cut(rest, part)
		if !ok {
			return nil, false
		}
		found, rest = append(found, before), after
	}
	return found, true
}

func shortMessage(message string) string {
	const longest = 300
	if r := []rune(message); len(r) > longest {
		return string(r[:longest]) + "…"
	}
	return message
}

// typeErrors words the errors of the type check. Fields that do not exist are looked up again, because CEL does not
// say on which kind they were asked for.
func (c *compiler) typeErrors(k *kind, env *cel.Env, parsed *cel.Ast, issues *cel.Issues) []exprError {
	missed := c.missedFields(env, parsed)
	var errs []exprError
	for _, err := range issues.Errors() {
		errs = append(errs, located(err, c.typeText(k, err, missed)))
	}
	return sorted(errs)
}

// missedFields checks once more with a provider that notes the kinds on which a field was asked for in vain.
func (c *compiler) missedFields(env *cel.Env, parsed *cel.Ast) map[string][]string {
	missed := map[string][]string{}
	note := func(kind, field string) {
		if !slices.Contains(missed[field], kind) {
			missed[field] = append(missed[field], kind)
		}
	}
	asking, err := env.Extend(cel.CustomTypeProvider(provider{Provider: env.CELTypeProvider(), language: c.language, missed: note}))
	if err == nil {
		asking.Check(parsed)
	}
	return missed
}

func (c *compiler) typeText(k *kind, err *common.Error, missed map[string][]string) string {
	if m, ok := inside(err.Message, "undefined field '", "'"); ok {
		return c.fieldText(m[0], missed[m[0]])
	}
	if m, ok := inside(err.Message, "undeclared reference to '", "'"); ok {
		return c.nameText(k, m[0])
	}
	if m, ok := inside(err.Message, "found no matching overload for '", "' applied to '", "'"); ok {
		return c.overloadText(m[0], m[1])
	}
	if m, ok := inside(err.Message, "type '", "' does not support field selection"); ok {
		return fmt.Sprintf("a %s has no fields", c.typeName(m[0]))
	}
	if m, ok := inside(err.Message, "expression of type '", "' cannot be range of a comprehension"); ok {
		return fmt.Sprintf("all(), exists(), map() and the like want a list, found a %s", c.typeName(m[0]))
	}
	if m, ok := inside(err.Message, "expected type '", "' but found '", "'"); ok {
		return fmt.Sprintf("wanted a %s, found a %s", c.typeName(m[0]), c.typeName(m[1]))
	}
	return shortMessage(err.Message)
}

func (c *compiler) fieldText(field string, kinds []string) string {
	if len(kinds) != 1 {
		return fmt.Sprintf("%s has no field %s", strings.Join(kinds, " or "), field)
	}
	k := c.language.kinds[kinds[0]]
	text := fmt.Sprintf("a %s has no field %s", k.name, field)
	if near, ok := source.Nearest(field, k.fieldNames()); ok {
		return text + fmt.Sprintf("; did you mean %s?", near)
	}
	return text + "; it has " + strings.Join(k.fieldNames(), ", ")
}

func (c *compiler) nameText(k *kind, name string) string {
	known := []string{k.name, machineName}
	var functions []string
	for _, f := range c.language.functions {
		functions = append(functions, f.name)
	}
	if _, kind := c.language.kinds[name]; kind {
		return fmt.Sprintf("%s is not known here: the rule is for %s, so it speaks of %s and of the machine", name, k.name, k.name)
	}
	text := fmt.Sprintf("%s is not known here", name)
	if near, ok := source.Nearest(name, append(known, functions...)); ok {
		return text + fmt.Sprintf("; did you mean %s?", near)
	}
	return text + fmt.Sprintf(": the rule speaks of %s and machine", k.name)
}

// overloadText words a call that no meaning is known for. Signature is (a, b), or a.(b) for a member call.
func (c *compiler) overloadText(function, signature string) string {
	args := splitTypes(signature)
	words := make([]string, len(args))
	for i, a := range args {
		words[i] = c.typeName(a)
	}
	if verb, ok := operatorVerbs()[function]; ok && len(words) == 2 {
		return c.operatorText(function, verb, args, words)
	}
	if function == operators.Negate || function == operators.LogicalNot {
		return fmt.Sprintf("%s does not take a %s", strings.Trim(function, "_"), strings.Join(words, ", "))
	}
	if function == operators.Conditional {
		return "the two results of ? : must have the same type, and the condition must be true or false"
	}
	if function == operators.LogicalAnd || function == operators.LogicalOr {
		return fmt.Sprintf("%s joins conditions, found %s", strings.Trim(function, "_"), strings.Join(words, " and "))
	}
	if len(words) == 0 {
		return fmt.Sprintf("%s() wants something to work on", function)
	}
	return fmt.Sprintf("%s() does not take %s", function, strings.Join(words, ", "))
}

func operatorVerbs() map[string]string {
	return map[string]string{
		operators.Less: "compared with", operators.LessEquals: "compared with", operators.Greater: "compared with",
		operators.GreaterEquals: "compared with", operators.Equals: "compared with", operators.NotEquals: "compared with",
		operators.Add: "added to", operators.Subtract: "subtracted from", operators.Multiply: "multiplied by",
		operators.Divide: "divided by", operators.Modulo: "divided by", operators.In: "looked up in", operators.Index: "looked up by",
	}
}

func (c *compiler) operatorText(function, verb string, args, words []string) string {
	if function == operators.Divide && args[0] == "int" && args[1] == "int" {
		return "whole numbers are not divided, because the remainder would be dropped: write double(a) / b"
	}
	a, b := words[0], words[1]
	if function == operators.Subtract {
		a, b = b, a
	}
	text := fmt.Sprintf("a %s cannot be %s a %s", a, verb, b)
	multiplicative := function == operators.Multiply || function == operators.Divide
	for i, other := range []int{1, 0} {
		if unit := c.literalsOf(args[i]); unit != "" && (args[other] == "int" || args[other] == "double") && !multiplicative {
			return text + ": write the number with its unit, as " + unit
		}
	}
	return text
}

// literalsOf lists the functions that make a quantity; empty for what is no quantity.
func (c *compiler) literalsOf(typeName string) string {
	var names []string
	for _, f := range literals(c.language.quantities) {
		if f.operations[0].result.TypeName() == typeName {
			names = append(names, f.name+"(…)")
		}
	}
	return strings.Join(names, ", ")
}

// typeName is a type of CEL in words.
func (c *compiler) typeName(t string) string {
	switch t {
	case "int":
		return "whole number"
	case "double":
		return "number"
	case "string":
		return "text"
	case "bool":
		return "truth value"
	case "dyn":
		return "signal"
	}
	if inner, ok := strings.CutPrefix(t, "list("); ok {
		return "list of " + c.typeName(strings.TrimSuffix(inner, ")"))
	}
	for _, q := range c.language.quantities.all() {
		if q.cel.TypeName() == t {
			return q.noun
		}
	}
	return strings.TrimPrefix(t, typeMark)
}

// splitTypes takes a signature apart: (a, list(b)) or a.(b).
func splitTypes(signature string) []string {
	receiver, inner, _ := strings.Cut(signature, "(")
	if strings.HasPrefix(receiver, "list") || strings.HasPrefix(receiver, "map") {
		if at := strings.LastIndex(signature, ".("); at >= 0 {
			receiver, inner = signature[:at+1], signature[at+2:]
		}
	}
	inner = strings.TrimSuffix(inner, ")")
	var args []string
	if r := strings.TrimSuffix(receiver, "."); r != "" {
		args = append(args, r)
	}
	depth, start := 0, 0
	for i, r := range inner {
		switch {
		case r == '(':
			depth++
		case r == ')':
			depth--
		case r == ',' && depth == 0:
			args = append(args, strings.TrimSpace(inner[start:i]))
			start = i + 1
		}
	}
	if last := strings.TrimSpace(inner[start:]); last != "" {
		args = append(args, last)
	}
	return args
}
