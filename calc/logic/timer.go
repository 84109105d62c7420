package logic

// Timers of the interlock logic, in steps. Times become steps by [Steps.AtLeast] and [Steps.AtMost]. All on-delays,
// off-delays, Within and Held over the same expression share one saturating counter in a proof, whatever their lengths.
// On- and off-delay follow the timers of IEC 61131-3 (TON, TOF; from memory) sampled once a step; the pulse follows TP there
// except at power-up, where an input that is true already starts no pulse.

// OnDelay is true when x is true now and has been for the n steps before: it follows a rise of x by n steps and a fall at
// once. OnDelay(0, x) is x. It equals Held(n+1, x).
func (s *System) OnDelay(n int, x Bool) Bool {
	return s.window(opHeld, n+1, x, "OnDelay (n+1 steps)")
}

// OffDelay is true when x is true now or was in one of the n steps before: it follows a rise of x at once and a fall by n
// steps. OffDelay(0, x) is x. It equals Within(n+1, x).
func (s *System) OffDelay(n int, x Bool) Bool {
	return s.window(opWithin, n+1, x, "OffDelay (n+1 steps)")
}

// Pulse is true for n steps from each rise of x (see [System.Rose]) that happens while no pulse is running; n must be at
// least 1. A longer or shorter x changes nothing, and a rise during the pulse is not remembered.
func (s *System) Pulse(n int, x Bool) Bool { return s.window(opPulse, n, x, "Pulse") }
