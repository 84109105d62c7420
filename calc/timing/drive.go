package timing

import (
	"fmt"

	"github.com/guardwright/guardwright/model"
)

// driveOf computes the stopping time of a drive.
func driveOf(d *model.Drive) *Drive {
	out := &Drive{Drive: d, Readings: readings(d), Removal: removal(d)}
	if s, err := FromReadings(d.Measured); err == nil {
		out.Measured = &s
	}
	out.unmonitored()
	out.monitored()
	switch {
	case d.RunDownTime == 0:
		out.RunDown = missing("the run-down time of %s is not stated; say run_down_time", d.Name)
	case out.Stopping.Known:
		out.RunDown = known(max(d.RunDownTime, out.Stopping.Time))
	default:
		out.RunDown = known(d.RunDownTime)
	}
	return out
}

func readings(d *model.Drive) Count {
	c := Count{Number: len(d.Measured), Least: leastReadings}
	switch {
	case c.Number == 0:
		c.Status, c.Why = Unknown, "the stopping time is not measured; say measured"
	case c.Number < c.Least:
		c.Status, c.Why = Beyond, fmt.Sprintf("found %d measured stopping times, wanted at least %d (ISO 13855:2010, annex D)", c.Number, c.Least)
	default:
		c.Status = Within
	}
	return c
}

// unmonitored finds the longest of all that is said of the drive's stop, without its monitor.
func (o *Drive) unmonitored() {
	d := o.Drive
	o.Stopping = missing("the stopping time of %s is not stated; say stopping_time, measured or ramp", d.Name)
	take := func(t model.Duration, basis Basis, from string) {
		if t > 0 && (!o.Stopping.Known || t > o.Stopping.Time) {
			o.Stopping, o.Basis, o.From = known(t), basis, from
		}
	}
	take(o.worn(d.StoppingTime, StatedBasis, "stated stopping time"))
	if s := o.Measured; s != nil {
		take(o.worn(s.Value, MeasuredBasis, fmt.Sprintf("%d measured: highest %s, mean %s + 3 · %s", s.Count, s.Highest, s.Mean.Format(4), s.Deviation.Format(4))))
	} else if len(d.Measured) == 1 {
		take(o.worn(d.Measured[0], MeasuredBasis, "one measured stopping time"))
	}
	if !coasts(d) {
		take(d.Ramp, RampBasis, "time of the controlled braking")
		return
	}
	if d.RunDownTime == 0 {
		o.Basis = NoBasis
		o.Stopping = missing("the power of %s is removed after %s, before the controlled braking of %s has ended; say run_down_time", d.Name, d.RemovalDelay, d.Ramp)
		return
	}
	take(d.RemovalDelay+d.RunDownTime, CoastBasis, fmt.Sprintf("power removed after %s of %s of controlled braking, run-down %s", d.RemovalDelay, d.Ramp, d.RunDownTime))
}

// worn adds the wear allowance.
func (o *Drive) worn(t model.Duration, basis Basis, from string) (model.Duration, Basis, string) {
	allowance := o.Drive.WearAllowance
	if allowance == 0 {
		return t, basis, from
	}
	return model.Duration(float64(t) * (1 + float64(allowance))), basis, fmt.Sprintf("%s, and %s for wear", from, allowance)
}

// coasts reports whether the power goes before the controlled braking has ended.
func coasts(d *model.Drive) bool { return d.RemovalDelay > 0 && d.RemovalDelay < d.Ramp }

// monitored replaces the stopping time by the limit of the monitor: with a longer one the machine can't run.
func (o *Drive) monitored() {
	limit := o.Drive.MonitoredLimit
	switch {
	case limit == 0:
		o.Monitor = idle[model.Duration]("the stopping time is not monitored")
		return
	case !o.Stopping.Known:
		o.Monitor = unknown[model.Duration](o.Stopping.Why)
	default:
		o.Monitor = atMost(o.Stopping.Time, limit, "limit of the stopping performance monitor")
	}
	o.Stopping, o.Basis, o.From = known(limit), MonitorBasis, "limit of the stopping performance monitor"
}

// removal checks that a stop of category 1 removes the power only after the controlled braking.
func removal(d *model.Drive) Check[model.Duration] {
	switch {
	case d.StopCategory == nil:
		return unknown[model.Duration]("the stop category is not stated; say stop_category")
	case *d.StopCategory != 1:
		return idle[model.Duration]("only a stop of category 1 removes the power after a delay")
	case d.RemovalDelay == 0:
		return unknown[model.Duration]("the delay until the power is removed is not stated; say removal_delay")
	case d.Ramp == 0:
		return unknown[model.Duration]("the time of the controlled braking is not stated; say ramp")
	}
	return moreThan(d.RemovalDelay, d.Ramp, "time of the controlled braking (IEC 60204-1:2016, 9.2.2)")
}
