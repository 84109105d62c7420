// Package logic proves properties of interlock logic over all reachable steps, or finds the shortest sequence of inputs that
// breaks them.
//
// A [System] is the logic as a transition system over one clock: inputs, latches, and expressions over the present and the
// past. One step is one scan of the controller: the inputs are read, then all expressions are computed from the inputs and
// the memories. Step 0 is the first scan after power-up. A [Property] must be true in every step of every run that the
// assumptions allow, or must be reachable. [Prove] answers many of them; [Result] tells each verdict, with a [Trace] from
// power-up that anybody can replay.
//
// # Caution
//
// A proof is about the equations and the assumptions given, not about the machine. It supports, and does not replace, risk
// assessment, validation of the built machine, local codes and a competent person's judgement. Read the assumptions printed
// with a verdict, and look at the vacuity and reachability answers beside it: logic that never runs satisfies nearly every
// stop property.
package logic
