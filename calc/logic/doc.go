// Package logic proves properties of interlock logic over all reachable steps, or finds the shortest sequence of inputs that
// breaks them.
//
// A [System] is the logic as a transition system over one clock: inputs, latches, and expressions over the present and the
// past. One step is one scan of the controller: the inputs are read, then all expressions are computed from the inputs and
// the memories. Step 0 is the first scan after power-up. A [Property] must be true in every step of every run that the
// assumptions allow, or must be reachable. [Prove] answers many of them; [Result] tells each verdict, with a [Trace] from
// power-up that anybody can replay. [System.WithFault] asks the same questions of a system with single faults, [Monitor]
// judges a recorded run by the same properties, and [Explore] is a second, plain engine to check the first one with. Every proof
// carries a [Certificate], which [CheckProofs] checks without the engines that found it; every trace is confirmed by the plain
// interpreter. [System.Cone] tells which faults can matter to a property at all.
//
// # What to know
//
// Timers and windows ([System.OnDelay], [System.Within], ...) are better than counters of one's own: the prover knows that
// most properties don't depend on when exactly a long timer ends, and shares one counter among all windows over the same
// expression. [System.Group] tells which expressions belong to which zone; it never changes a verdict, but lets large
// machines be proved zone by zone.
//
// A fault, or a column of a recorded run, takes hold of a named signal. Where the property speaks of the world (the guard is
// open) and the logic of a reading of it (the contact is open), give the reading a name of its own with [System.Signal].
//
// The limits are counts, not times; what they cut off is [Undecided], never proved.
//
// # Caution
//
// A proof is about the equations and the assumptions given, not about the machine. It supports, and does not replace, risk
// assessment, validation of the built machine, local codes and a competent person's judgement. Read the assumptions printed
// with a verdict, and look at the vacuity and reachability answers beside it: logic that never runs satisfies nearly every
// stop property.
package logic
