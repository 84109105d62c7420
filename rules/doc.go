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
// # Interlock logic
//
// A machine file may state its interlock logic: values in the same language, computed in each cycle of the controller. A
// rule says with always: what must hold in every cycle, for every sequence of inputs that the assumptions of the file
// allow, or with reach: what must be possible. Package logic proves it or finds the shortest run that breaks it:
//
//	unlock-only-at-standstill:
//	  for: drive
//	  always: implies(machine.devices.exists(d, d.kind == "guard-lock" && d.release), !drive.moving)
//	  say: a guard can be opened while {drive} moves
//	  severity: error
//
// Rules and assumptions speak of the world, the logic of what it reads. The two are the same, but where the logic or the
// rule speaks of the fault or passivated of a port, or of the alive of a connection: there ports and connections fail at any
// time, and the logic then reads the safe values, as [Vocabulary] tells.
//
// Some words are made of the signals of several devices, so that rules and logic need not know each kind: device.in_order,
// device.suspended, device.start, device.reset and safety_function.demanded. A rule that is about a word that nothing gives
// at an object, as by !has(zone.armed) || ..., does not apply to it.
//
// Some assumptions come from the kinds of devices: a guard stays closed while it is bolted, a demand opens every channel,
// enabled and squeezed exclude each other, a port with a fault is passivated. They are printed with the answers that rest on
// them like those that the machine file states. An assumption of the same name in the file takes the place of one, and
// off: true there, or [Options].Without, switches it off:
//
//	logic:
//	  assume:
//	    guard_stays_closed_while_bolted: {off: true}
//
// With [Options].Faults the rules with always: are asked again with one fault at a time: [FaultTable] says how, what is told of
// each fault, and what is left out.
//
// A rule that no run can break because what it speaks of never happens, and one that the limits of the proof left open,
// count as unanswered, never as passed. A proof is worth what the assumptions and the equations are worth.
//
// [Replay] asks the same rules, unchanged, of a recorded trace of the real machine, watches there what the proofs assume, and
// tells where the machine first did something else than its logic says. Package record reads the trace.
//
// # Caution
//
// Findings support, and do not replace, risk assessment, validation, the local codes and the judgement of a competent
// person. A machine without findings is not thereby safe: rules see only what is described.
package rules
