package timing

import (
	"fmt"

	"github.com/guardwright/guardwright/model"
)

// ports computes what the times of the ports with a device ask for.
func (w *whatIf) ports() []*Port {
	demands := map[*model.Device][]*model.Controller{}
	for _, f := range w.m.Functions {
		for _, d := range f.Demand {
			demands[d] = append(demands[d], f.Controller)
		}
	}
	var out []*Port
	for _, m := range w.m.Modules {
		for _, p := range m.Ports {
			if p.Device != nil {
				out = append(out, w.portOf(p, demands[p.Device]))
			}
		}
	}
	return out
}

func (w *whatIf) portOf(p *model.Port, controllers []*model.Controller) *Port {
	return &Port{
		Port:        p,
		Filter:      filterCheck(p),
		Pulse:       pulseCheck(p),
		Sampling:    w.samplingCheck(p, controllers),
		Discrepancy: discrepancyCheck(p),
	}
}

// noSet says that a port has no parameter set.
func noSet(p *model.Port) string { return fmt.Sprintf("%s has no parameter set; say set", p.Path) }

func filterCheck(p *model.Port) Check[model.Duration] {
	t := p.Device.Type
	switch {
	case t.Outputs != model.OSSD:
		return idle[model.Duration]("only semiconductor outputs send test pulses")
	case t.TestPulse == nil:
		return unknown[model.Duration](fmt.Sprintf("the test pulse of device type %s is not stated; say test_pulse", t.Name))
	case p.Set == nil:
		return unknown[model.Duration](noSet(p))
	}
	return moreThan(p.Set.Filter, *t.TestPulse, "longest test pulse of the device")
}

func pulseCheck(p *model.Port) Check[model.Duration] {
	switch {
	case p.Device.Type.Outputs != "":
		return idle[model.Duration]("the device gives signals; test pulses on volt-free contacts disturb nothing")
	case p.Set == nil:
		return idle[model.Duration]("the port has no parameter set, so it sends no test pulses")
	case !p.Set.TestPulses:
		return idle[model.Duration]("the port sends no test pulses")
	case p.Set.TestPulse == 0:
		return unknown[model.Duration](fmt.Sprintf("the test pulse of parameter set %s is not stated; say test_pulse", p.Set.Name))
	case p.Device.Type.IgnoredPulse == 0:
		return Check[model.Duration]{Status: NoLimit, Value: p.Set.TestPulse, Why: fmt.Sprintf("what device type %s ignores is not stated; say ignored_pulse", p.Device.Type.Name)}
	}
	return atMost(p.Set.TestPulse, p.Device.Type.IgnoredPulse, "longest test pulse that the device ignores")
}

// samplingCheck checks that a short demand is seen: what is off has to last for the filter, for one packet and for one safety
// cycle, both unsynchronised; a packet interval counts as a cycle where it is shorter (common practice, no source).
func (w *whatIf) samplingCheck(p *model.Port, controllers []*model.Controller) Check[model.Duration] {
	t := p.Device.Type
	switch {
	case len(controllers) == 0:
		return idle[model.Duration]("no safety function is triggered by the device")
	case t.Latching != nil && *t.Latching:
		return idle[model.Duration]("the device stays off until it is reset by hand")
	case t.OffTime == 0:
		return unknown[model.Duration](fmt.Sprintf("how long the outputs of device type %s stay off is not stated; say off_time", t.Name))
	case p.Set == nil:
		return Check[model.Duration]{Status: NotCovered, Value: t.OffTime, Why: noSet(p)}
	}
	var longest Check[model.Duration]
	for i, c := range controllers {
		check := w.samplingBy(p, c)
		if i == 0 || check.Status == NotCovered || longest.Status.Decided() && check.Margin < longest.Margin {
			longest = check
		}
		if longest.Status == NotCovered {
			break
		}
	}
	return longest
}

func (w *whatIf) samplingBy(p *model.Port, c *model.Controller) Check[model.Duration] {
	off := p.Device.Type.OffTime
	cycle := w.safetyCycle(c)
	interval := missing("%s has no safety connection to the controller", p.Module.Name)
	if k := w.connectionTo(p.Module, c, func(k *model.Connection) bool { return k.Input > 0 }); k != nil {
		interval, _ = w.intervals(k)
	}
	need := sum(cycle, interval)
	if !need.Known {
		return Check[model.Duration]{Status: NotCovered, Value: off, Why: need.Why}
	}
	return moreThan(off, p.Set.Filter+cycle.Time+max(cycle.Time, interval.Time), "filter, packet interval (at least a safety cycle) and safety cycle")
}

func discrepancyCheck(p *model.Port) Check[model.Duration] {
	t := p.Device.Type
	switch {
	case t.Channels != 2 || t.Outputs == "":
		return idle[model.Duration]("the device has no two channels")
	case p.Set == nil:
		return unknown[model.Duration](noSet(p))
	case p.Set.Discrepancy == 0:
		return unknown[model.Duration](fmt.Sprintf("parameter set %s states no discrepancy time; say discrepancy", p.Set.Name))
	case t.Discrepancy == nil:
		return Check[model.Duration]{Status: NoLimit, Value: p.Set.Discrepancy, Why: fmt.Sprintf("the difference of the channels of device type %s is not stated; say discrepancy", t.Name)}
	}
	return atLeast(p.Set.Discrepancy, *t.Discrepancy, "longest difference of the device's channels in normal use")
}
