package timing

import "github.com/guardwright/guardwright/model"

// steps applies the rule of a protocol to the parts of a chain.
func steps(p model.Protocol, parts []part) []Step {
	out := make([]Step, len(parts))
	for i, part := range parts {
		out[i] = Step{Stage: part.stage, Place: part.place, Undisturbed: part.ordinary, OneFault: part.ordinary, From: part.from}
	}
	if p == model.PROFIsafe {
		largestMargin(out, parts)
		return out
	}
	for i, part := range parts {
		switch {
		case !part.watched:
		case part.stage == Logic:
			// A controller that is not stuck takes two cycles, whatever its watchdog.
			out[i].OneFault.Time = max(part.ordinary.Time, part.limit.Time)
		case part.stage == InputNetwork || part.stage == OutputNetwork:
			out[i].OneFault = part.limit
			if part.limit.Known && part.ordinary.Known {
				out[i].OneFault.Time = max(part.limit.Time, part.ordinary.Time)
			}
		}
	}
	return out
}

// largestMargin gives the one part with the largest margin its limit (IEC 61784-3-3, 9.3). A margin that is not known could be
// the largest, so it leaves the sum unknown.
func largestMargin(out []Step, parts []part) {
	largest, at := model.Duration(0), -1
	for i, part := range parts {
		switch {
		case !part.watched:
		case !part.limit.Known:
			out[i].OneFault = part.limit
		case part.ordinary.Known && part.limit.Time-part.ordinary.Time > largest:
			largest, at = part.limit.Time-part.ordinary.Time, i
		}
	}
	if at >= 0 {
		out[at].OneFault = parts[at].limit
	}
}

// ruleOf says in words how the time with one communication fault is made.
func ruleOf(p model.Protocol) string {
	switch p {
	case model.CIPSafety:
		return "each connection counts with the largest age of data that its consumer accepts, the controller with its cycle and its watchdog"
	case model.PROFIsafe:
		return "longest times without a fault, and once the largest margin of a watchdog over the time that it watches; faults of modules count where their one fault delay times are stated"
	case model.SafetyOverEtherCAT:
		return "each connection counts with its watchdog time, the controller with its cycle and its watchdog"
	}
	return "no network: the controller counts with its cycle and its watchdog"
}

// total adds up one column of the steps.
func total(steps []Step, column func(Step) Time) Total {
	times := make([]Time, len(steps))
	for i, s := range steps {
		times[i] = column(s)
	}
	return sum(times...)
}

func undisturbed(s Step) Time { return s.Undisturbed }
func oneFault(s Step) Time    { return s.OneFault }
