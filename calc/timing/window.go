package timing

import (
	"slices"
	"sort"

	"github.com/guardwright/guardwright/model"
)

// byConnection lists the chains to hazards that use each connection.
func byConnection(functions []*Function) map[*model.Connection][]*Chain {
	out := map[*model.Connection][]*Chain{}
	for _, f := range functions {
		for _, d := range f.Demands {
			for _, c := range d.Chains {
				if !d.toHazard(c) {
					continue
				}
				for _, k := range []*model.Connection{c.Input, c.Output} {
					if k != nil && !slices.Contains(out[k], c) {
						out[k] = append(out[k], c)
					}
				}
			}
		}
	}
	return out
}

// window finds the largest limit of a connection, and whether there is one that neither trips nor comes too late.
func (w *whatIf) window(o *Connection, chains []*Chain) {
	o.Largest = missing("no separation distance limits a safety function that uses the connection")
	for _, c := range chains {
		allowed, ok := w.in.Allowed[Demand{c.Function.Name, c.Demand.Name}]
		if !ok {
			continue
		}
		t := w.largest(o.Connection, c, allowed)
		switch {
		case !t.Known && !o.Largest.Known:
			o.Largest = t
		case t.Known && (!o.Largest.Known || t.Time < o.Largest.Time):
			o.Largest, o.LargestBy = t, c
		}
	}
	switch {
	case !o.Limit.Known:
		o.Fits = unknown[model.Duration](o.Limit.Why)
	case !o.Largest.Known:
		o.Fits = Check[model.Duration]{Status: NoLimit, Value: o.Limit.Time, Why: o.Largest.Why}
	default:
		o.Fits = atMost(o.Limit.Time, o.Largest.Time, "largest time limit with which the safety functions keep to their distances")
	}
	switch {
	case !o.Smallest.Known:
		o.Window = unknown[model.Duration](o.Smallest.Why)
	case !o.Largest.Known:
		o.Window = Check[model.Duration]{Status: NoLimit, Value: o.Smallest.Time, Why: o.Largest.Why}
	default:
		o.Window = atMost(o.Smallest.Time, o.Largest.Time, "largest time limit with which the safety functions keep to their distances")
	}
	if o.Window.Status == Beyond {
		o.Openings = w.openings(o, chains)
	}
}

// largest is the largest limit of a connection with which a chain ends in the allowed time. The other connections keep theirs.
func (w *whatIf) largest(k *model.Connection, c *Chain, allowed model.Duration) Time {
	parts := w.parts(c)
	all := steps(w.protocol(), parts)
	var rest []Time
	uses, shortest := 0, model.Duration(0)
	for i, p := range parts {
		switch {
		case w.protocol() == model.PROFIsafe:
			// The limit takes the place of its own longest time, and no other margin counts beside it.
			rest = append(rest, all[i].Undisturbed)
			if p.connection == k && (uses == 0 || p.ordinary.Time < shortest) {
				uses, shortest = 1, p.ordinary.Time
			}
		case p.connection == k:
			uses++
		default:
			rest = append(rest, all[i].OneFault)
		}
	}
	end := sum(rest...)
	if !end.Known {
		return end.time()
	}
	return known((allowed - end.Time + shortest) / model.Duration(uses))
}

// openings looks for single changes that open a closed window: with each, all chains end in time.
func (w *whatIf) openings(o *Connection, chains []*Chain) []Opening {
	c := o.LargestBy
	var out []Opening
	try := func(change Change, place model.Origin, from, lowest model.Duration, set func(*whatIf, model.Duration)) {
		// A shorter interval can need a higher timeout multiplier of CIP Safety, and then a longer limit.
		scan := change == ChangeInterval
		if to, ok := w.reduce(o.Connection, chains, from, lowest, scan, set); ok {
			out = append(out, Opening{Change: change, Place: place, From: from, To: to})
		}
	}
	if other := c.other(o.Connection); other != nil {
		least := w.smallest(other).limit
		if now := w.limitOfConnection(other); now.Known && least.Known {
			try(ChangeOther, other.Origin, now.Time, least.Time, func(x *whatIf, t model.Duration) { x.otherOf, x.other = other, t })
		}
	}
	if in, outgoing := w.intervals(o.Connection); in.Known && outgoing.Known {
		try(ChangeInterval, o.Connection.Origin, max(in.Time, outgoing.Time), 0, func(x *whatIf, t model.Duration) { x.intervalOf, x.interval = o.Connection, t })
	}
	if controller := c.Function.Controller; controller != nil && controller.SafetyCycle > 0 {
		try(ChangeCycle, controller.Origin, controller.SafetyCycle, controller.ExecutionTime, func(x *whatIf, t model.Duration) { x.cycleOf, x.cycle = controller, t })
	}
	if p := c.Demand.Port; p != nil && p.Set != nil && p.Set.Filter > 0 {
		try(ChangeFilter, p.Origin, p.Set.Filter, filterFloor(c.Demand), func(x *whatIf, t model.Duration) { x.filterOf, x.filter = p, t })
	}
	if c.Drive != nil && w.drives[c.Drive].Stopping.Known {
		try(ChangeStopping, c.Drive.Origin, w.drives[c.Drive].Stopping.Time, 0, func(x *whatIf, t model.Duration) { x.stopOf, x.stop = c.Drive, t })
	}
	return append(out, w.distanceOpening(o.Connection, c, chains)...)
}

// distanceOpening is the time that the distance would have to allow; none where another function is too slow as well.
func (w *whatIf) distanceOpening(k *model.Connection, c *Chain, chains []*Chain) []Opening {
	key := Demand{c.Function.Name, c.Demand.Name}
	opening := Opening{Change: ChangeDistance, Place: c.Function.Origin, From: w.in.Allowed[key]}
	if a := c.Function.ApproachOf(c.Demand); a != nil {
		opening.Place = a.Origin
	}
	for _, other := range chains {
		allowed, limited := w.in.Allowed[Demand{other.Function.Name, other.Demand.Name}]
		t := w.atSmallest(k, other)
		switch {
		case !limited:
		case !t.Known:
			return nil
		case (Demand{other.Function.Name, other.Demand.Name}) == key:
			opening.To = max(opening.To, t.Time)
		case t.Time > allowed:
			return nil
		}
	}
	return []Opening{opening}
}

// filterFloor is the length of the test pulses that a filter has to outlast.
func filterFloor(d *model.Device) model.Duration {
	if d.Type.TestPulse == nil {
		return 0
	}
	return *d.Type.TestPulse
}

// other is the second connection of a chain, or nil.
func (c *Chain) other(k *model.Connection) *model.Connection {
	for _, other := range []*model.Connection{c.Input, c.Output} {
		if other != nil && other != k {
			return other
		}
	}
	return nil
}

// atSmallest is the time of a chain with one communication fault when a connection has its smallest limit.
func (w *whatIf) atSmallest(k *model.Connection, c *Chain) Time {
	least := w.smallest(k).limit
	if !least.Known {
		return least
	}
	trial := *w
	trial.limitOf, trial.limit = k, least.Time
	return total(steps(w.protocol(), trial.parts(c)), oneFault).time()
}

// inTime reports whether all chains end in the time that their distances allow, when a connection has its smallest limit.
func (w *whatIf) inTime(k *model.Connection, chains []*Chain) bool {
	for _, c := range chains {
		allowed, limited := w.in.Allowed[Demand{c.Function.Name, c.Demand.Name}]
		if !limited {
			continue
		}
		if t := w.atSmallest(k, c); !t.Known || t.Time > allowed {
			return false
		}
	}
	return true
}

// reduce looks for the largest value below the present one, and above the lowest, with which all chains end in time, in steps
// of half a per cent. Where a smaller value can never make a chain slower, halving finds the step; scan tries each.
func (w *whatIf) reduce(k *model.Connection, chains []*Chain, from, lowest model.Duration, scan bool, set func(*whatIf, model.Duration)) (model.Duration, bool) {
	const stepsOfFrom = 200
	value := func(down int) model.Duration {
		return model.Duration(float64(from) * float64(stepsOfFrom-down) / stepsOfFrom)
	}
	opens := func(down int) bool {
		if value(down) <= lowest {
			return false
		}
		trial := *w
		set(&trial, value(down))
		return trial.inTime(k, chains)
	}
	last := 1
	for last < stepsOfFrom-1 && value(last+1) > lowest {
		last++
	}
	first := last
	if scan {
		for first = 1; first < last && !opens(first); first++ {
		}
	} else if opens(last) {
		first = 1 + sort.Search(last-1, func(i int) bool { return opens(i + 1) })
	}
	return value(first), opens(first)
}
