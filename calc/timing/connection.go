package timing

import (
	"fmt"
	"math"

	"github.com/guardwright/guardwright/model"
)

// computed is a time limit that follows from the other times of a connection.
type computed struct {
	limit      Time
	multiplier int // of 128 µs; zero for protocols other than CIP Safety
	words      func() string
}

// from says in words how the limit is made. What is only tried out is never put into words.
func (c computed) from() string {
	if c.words == nil {
		return ""
	}
	return c.words()
}

// computedLimit is the limit of a connection that states none. With CIP Safety it follows from the stated timeout
// multiplier, where there is one; otherwise it is the smallest that serves, rounded up to what can be set.
func (w *whatIf) computedLimit(c *model.Connection) computed {
	if w.m.Network.Protocol == model.CIPSafety {
		if c.Multiplier > 0 {
			return w.expectation(c, c.Multiplier)
		}
		return w.smallest(c)
	}
	s := w.smallest(c)
	if s.limit.Known {
		s.limit.Time = wholeMilliseconds(s.limit.Time)
	}
	return s
}

// smallest is the smallest limit with which a connection does not trip in normal operation, and rides through the recovery of a ring.
func (w *whatIf) smallest(c *model.Connection) computed {
	if w.m.Network.Protocol == model.CIPSafety {
		multiplier, why := w.timeoutMultiplier(c)
		if !why.Known {
			return computed{limit: why}
		}
		return w.expectation(c, multiplier)
	}
	trip := w.ordinary(c)
	if !trip.Known {
		return computed{limit: trip}
	}
	margin := w.margin()
	recovery := w.recovery(c)
	t := RoundTrip{There: trip.Time}.SmallestWatchdog(margin) + recovery
	words := func() string {
		text := fmt.Sprintf("round trip %s and %s of margin", trip.Time.Format(6), margin)
		if recovery > 0 {
			text += fmt.Sprintf(", and %s of recovery", recovery)
		}
		return text
	}
	if lowest, highest, err := WatchdogRange(w.m.Network.Protocol); err == nil {
		if t > highest {
			return computed{limit: missing("%s would need a watchdog of %s, more than the highest, %s", c.Name, t.Format(6), highest)}
		}
		t = max(t, lowest)
	}
	return computed{limit: known(t), words: words}
}

func (w *whatIf) margin() model.Ratio {
	if w.in.Margin != nil {
		return *w.in.Margin
	}
	return model.Percent(30)
}

func (w *whatIf) lost() int {
	if w.in.Lost != nil {
		return *w.in.Lost
	}
	return 1
}

// timeoutMultiplier is the smallest timeout multiplier of CIP Safety that survives the lost packets and the recovery of a ring:
// an interruption of R costs the packets of R, started intervals counted whole.
func (w *whatIf) timeoutMultiplier(c *model.Connection) (int, Time) {
	in, out := w.intervals(c)
	if all := in.plus(out); !all.Known {
		return 0, all
	}
	shortest := min(in.Time, out.Time)
	recovery := w.recovery(c)
	packets := math.Ceil(float64(recovery)/float64(shortest) - 1e-9)
	multiplier := max(float64(w.lost()), packets) + 1
	if multiplier > highestTimeoutMultiplier {
		return 0, missing("%s would need a timeout multiplier of %.0f to lose %d packets and to ride through %s; the highest is %d: lengthen interval", c.Name, multiplier, w.lost(), recovery, highestTimeoutMultiplier)
	}
	return int(multiplier), known(0)
}

// expectation is the smallest network time expectation of a connection for a timeout multiplier: one setting for both
// directions that carry data, so the longer of the two.
func (w *whatIf) expectation(c *model.Connection, multiplier int) computed {
	in, out := w.intervals(c)
	to, from := w.delays(c)
	if all := sum(in, out, to, from); !all.Known {
		return computed{limit: all.time()}
	}
	n := NetworkTimeExpectation{TimeoutMultiplier: multiplier, PingMultiplier: w.ping(c), CoordinationMinimum: w.in.CoordinationMinimum}
	best := 0
	var words func() string
	for _, way := range []struct {
		used                            bool
		interval, message, coordination model.Duration
	}{
		{c.Input > 0 || c.Output == 0, in.Time, to.Time, from.Time}, {c.Output > 0 || c.Input == 0, out.Time, from.Time, to.Time},
	} {
		if !way.used {
			continue
		}
		n.Interval, n.Message, n.Coordination = way.interval, way.message, way.coordination
		ticks, err := n.Smallest()
		if err != nil {
			return computed{limit: missing("%s: %s", c.Name, err)}
		}
		if ticks > best {
			best = ticks
			words = n.words(ticks)
		}
	}
	return computed{limit: known(model.Duration(best) * tick()), multiplier: best, words: words}
}

// words writes out how the smallest expectation is made.
func (n NetworkTimeExpectation) words(ticks int) func() string {
	return func() string {
		return fmt.Sprintf("%d · 128 µs, the next above %d · %s + %s + %s + %d · 128 µs", ticks, n.TimeoutMultiplier, n.Interval, n.Message.Format(6), n.Coordination.Format(6), n.Correction())
	}
}

func (w *whatIf) ping(c *model.Connection) int {
	switch {
	case c.PingMultiplier > 0:
		return c.PingMultiplier
	case w.in.Ping > 0:
		return w.in.Ping
	}
	return 100
}

// ordinary is what a limit has to cover in normal operation, without any margin.
func (w *whatIf) ordinary(c *model.Connection) Time {
	if w.m.Network.Protocol == model.CIPSafety {
		return w.expectation(c, 1).limit
	}
	to, from := w.transport(c)
	return sum(from, w.deviceAcknowledge(c), to, w.hostAcknowledge(c)).time()
}

func (w *whatIf) deviceAcknowledge(c *model.Connection) Time {
	if c.Module == nil || c.Module.Type == nil {
		return missing("the module of %s is not known", c.Name)
	}
	return stated(c.Module.Type.AcknowledgeTime, "the acknowledgement time of module type %s is not stated; say acknowledge_time", c.Module.Type.Name)
}

func (w *whatIf) hostAcknowledge(c *model.Connection) Time {
	if c.Controller != nil && c.Controller.Type != nil && c.Controller.Type.AcknowledgeTime > 0 {
		return known(c.Controller.Type.AcknowledgeTime)
	}
	return w.twoCycles(c.Controller)
}

// connectionOf computes one safety connection, all but its largest limit.
func (w *whatIf) connectionOf(c *model.Connection) *Connection {
	out := &Connection{Connection: c, Protocol: w.m.Network.Protocol, Ordinary: w.ordinary(c), Recovery: w.recovery(c)}
	out.ToController, out.FromController = w.transport(c)
	smallest := w.smallest(c)
	out.Smallest, out.SmallestFrom = smallest.limit, smallest.from()
	if t := statedLimit(c, out.Protocol); t > 0 {
		out.Limit, out.Stated, out.From = known(t), true, "as stated"
		if out.Protocol == model.CIPSafety {
			// The setting is a whole number of ticks, and has to stay within what is stated.
			out.Multiplier = int(math.Floor(float64(t)/float64(tick()) + ageRounding))
		}
	} else {
		l := w.computedLimit(c)
		out.Limit, out.Multiplier, out.From = l.limit, l.multiplier, l.from()
	}
	out.Trips = out.trips()
	out.Lost = w.lostPackets(out)
	out.Ring = out.ring()
	out.Interval = w.intervalCheck(c)
	return out
}

// set is the limit as it can be set: with CIP Safety a whole number of ticks.
func (o *Connection) set() model.Duration {
	if o.Multiplier > 0 {
		return model.Duration(o.Multiplier) * tick()
	}
	return o.Limit.Time
}

func (o *Connection) trips() Check[model.Duration] {
	switch {
	case !o.Limit.Known:
		return unknown[model.Duration](o.Limit.Why)
	case !o.Smallest.Known:
		return Check[model.Duration]{Status: NotCovered, Value: o.Limit.Time, Why: o.Smallest.Why}
	}
	return atLeast(o.set(), o.Smallest.Time, "smallest time limit that does not trip in normal operation: "+o.SmallestFrom)
}

// lostPackets counts the packets in a row that may be lost.
func (w *whatIf) lostPackets(o *Connection) Count {
	in, out := w.intervals(o.Connection)
	need := sum(in, out, o.Limit, o.Ordinary)
	count := Count{Least: w.lost()}
	if !need.Known {
		count.Why = need.Why
		return count
	}
	count.Number = int(math.Floor(float64(o.Limit.Time-o.Ordinary.Time)/float64(max(in.Time, out.Time)) + 1e-9))
	if o.Protocol == model.CIPSafety {
		count.Number = -1
		for multiplier := 1; multiplier <= highestTimeoutMultiplier; multiplier++ {
			if t := w.expectation(o.Connection, multiplier).limit; t.Known && t.Time <= o.set()+1e-12 {
				count.Number = multiplier - 1
			}
		}
	}
	switch {
	case count.Number < 0:
		count.Number, count.Status, count.Why = 0, Beyond, "the time limit trips in normal operation"
	case count.Number < count.Least:
		count.Status, count.Why = Beyond, fmt.Sprintf("found room for %d lost packets, wanted %d", count.Number, count.Least)
	default:
		count.Status = Within
	}
	return count
}

// ring checks that the recovery of a ring fits beside normal operation. It decides about availability, not safety.
func (o *Connection) ring() Check[model.Duration] {
	need := sum(o.Limit, o.Ordinary)
	switch {
	case o.Recovery == 0:
		return idle[model.Duration]("no ring with a stated recovery time is on the way")
	case !need.Known:
		return Check[model.Duration]{Status: NotCovered, Value: o.Recovery, Why: need.Why}
	}
	return atMost(o.Recovery, max(0, o.Limit.Time-o.Ordinary.Time), "what the time limit leaves beside normal operation")
}

// intervalCheck checks that the packet interval is the safety cycle or a whole part of it (common practice, no source).
func (w *whatIf) intervalCheck(c *model.Connection) Check[model.Duration] {
	in, out := w.intervals(c)
	cycle := w.safetyCycle(c.Controller)
	if all := sum(in, out); !all.Known {
		return unknown[model.Duration](all.Why)
	}
	interval := max(in.Time, out.Time)
	if !cycle.Known {
		return Check[model.Duration]{Status: NoLimit, Value: interval, Why: cycle.Why}
	}
	check := Check[model.Duration]{Status: Within, Value: interval, Limit: cycle.Time, Limits: "safety cycle, or a whole part of it (common practice)"}
	for _, t := range []model.Duration{in.Time, out.Time} {
		parts := math.Round(float64(cycle.Time) / float64(t))
		if off := math.Abs(float64(cycle.Time) - parts*float64(t)); parts < 1 || off > 1e-9*float64(cycle.Time) {
			check.Status = Beyond
			rest := cycle.Time - t
			if t < cycle.Time {
				rest = -model.Duration(math.Mod(float64(cycle.Time), float64(t)))
			}
			check.Margin = min(check.Margin, rest)
		}
	}
	return check
}
