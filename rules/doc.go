// Package rules evaluates rules about machines: CEL expressions over the described machine and all that was computed
// about it.
//
// One call checks a machine:
//
//	set, err := rules.Load(os.DirFS("."), "plant.yaml")
//	...
//	result, err := rules.Check(ctx, machine, set)
//
// A rule file is YAML. Each rule is for one kind of object and is asked about each object of the kind:
//
//	format: 1
//	pack: Plant rules
//	rules:
//	  cable-length:
//	    for: port
//	    when: has(port.cable)
//	    require: port.cable.length <= m(20)
//	    say: the cable of {port} is {port.cable.length} long
//	    severity: warning
//
// # The language
//
// The language is CEL (cel.dev) with kinds of objects and quantities of its own; [Vocabulary] lists them with their
// fields, and the functions. A quantity is written with its unit as a function: A(1.5), mA(350), m(6). Quantities are
// compared, added, multiplied and divided as physics permits; anything else, such as comparing amperes with volts or
// with a bare number, is an error of the rule file with its line and column. Two values of a quantity that differ by
// less than one part in 10^12 are equal, so that binary rounding decides nothing. Whole numbers are not divided, and a
// division by zero is an error of the rule, never an infinity.
//
// # What is absent
//
// What the description does not state is absent and never zero. has(port.limit) tells; using it nevertheless makes the
// rule not decidable at that object, which the result shows apart from findings: it is neither passed nor broken. The
// same holds for what could not be computed.
//
// # Caution
//
// Findings support, and do not replace, risk assessment, validation, the local codes and the judgement of a competent
// person. A machine without findings is not thereby safe: rules see only what is described.
package rules
