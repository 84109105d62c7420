package timing

import "github.com/guardwright/guardwright/model"

// whatIf is the machine as described, with at most a few times replaced. It answers what a connection, a controller or a
// chain would take then; the zero value of its fields replaces nothing.
type whatIf struct {
	m      *model.Machine
	in     Input
	drives map[*model.Drive]*Drive
	// connections are the safety connections of a module, in the order of the machine.
	connections map[*model.Module][]*model.Connection

	intervalOf *model.Connection // whose packet intervals are replaced
	interval   model.Duration
	limitOf    *model.Connection // whose time limit is replaced
	limit      model.Duration
	otherOf    *model.Connection // the same for a second connection
	other      model.Duration
	cycleOf    *model.Controller
	cycle      model.Duration
	filterOf   *model.Port
	filter     model.Duration
	stopOf     *model.Drive
	stop       model.Duration
}

func (w *whatIf) safetyCycle(c *model.Controller) Time {
	switch {
	case c == nil:
		return missing("the machine has no controller; describe it under controllers")
	case c == w.cycleOf:
		return known(w.cycle)
	}
	return stated(c.SafetyCycle, "the safety cycle of %s is not stated; say safety_cycle", c.Name)
}

// twoCycles is the longest time in an unsynchronised controller: one cycle just missed and one to run (common practice, no
// source).
func (w *whatIf) twoCycles(c *model.Controller) Time {
	t := w.safetyCycle(c)
	t.Time *= 2
	return t
}

// cycleWithFault is the longest time in a controller that gets stuck: one cycle just missed, and its watchdog (common practice, no
// source). It is zero when no watchdog is stated.
func (w *whatIf) cycleWithFault(c *model.Controller) model.Duration {
	if c == nil || c.CycleWatchdog == 0 {
		return 0
	}
	return w.safetyCycle(c).Time + c.CycleWatchdog
}

// intervals are the packet intervals of a connection: from the module and to it.
func (w *whatIf) intervals(c *model.Connection) (in, out Time) {
	if c == w.intervalOf {
		return known(w.interval), known(w.interval)
	}
	d := w.in.Delays[c.Name]
	first := func(times ...model.Duration) Time {
		for _, t := range times {
			if t > 0 {
				return known(t)
			}
		}
		return missing("the packet interval of %s is not stated; say interval", c.Name)
	}
	clock := w.m.Network.Cycle * model.Duration(max(1, c.Reduction))
	return first(d.InputInterval, c.Interval, clock), first(d.OutputInterval, c.OutputInterval, c.Interval, clock)
}

// delays are the bounds on the delays of a connection's messages.
func (w *whatIf) delays(c *model.Connection) (to, from Time) {
	d, ok := w.in.Delays[c.Name]
	switch {
	case !ok:
		none := missing("no delay of the messages of %s was given to the calculation", c.Name)
		return none, none
	case d.Why != "":
		none := missing("the delay of the messages of %s is not known: %s", c.Name, d.Why)
		return none, none
	}
	return known(d.ToController), known(d.FromController)
}

// recovery is the interruption that a connection has to ride through.
func (w *whatIf) recovery(c *model.Connection) model.Duration {
	if d, ok := w.in.Delays[c.Name]; ok && d.Recovery != nil {
		return *d.Recovery
	}
	var longest model.Duration
	for _, r := range w.m.Network.Rings {
		longest = max(longest, r.Recovery)
	}
	return longest
}

// transport is the longest time of data on the network without any fault: the wait for the next packet, and its delay.
func (w *whatIf) transport(c *model.Connection) (to, from Time) {
	in, out := w.intervals(c)
	forth, back := w.delays(c)
	return in.plus(forth), out.plus(back)
}

// limitOfConnection is the time limit in force: as replaced, as stated, or the smallest that serves.
func (w *whatIf) limitOfConnection(c *model.Connection) Time {
	switch {
	case c == w.limitOf:
		return known(w.limit)
	case c == w.otherOf:
		return known(w.other)
	}
	if t := statedLimit(c, w.m.Network.Protocol); t > 0 {
		return known(t)
	}
	return w.computedLimit(c).limit
}

// statedLimit is the time limit that a description states; zero when it states none.
func statedLimit(c *model.Connection, p model.Protocol) model.Duration {
	if p == model.CIPSafety {
		return c.AgeLimit
	}
	return c.Watchdog
}
