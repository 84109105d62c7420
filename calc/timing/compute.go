package timing

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/guardwright/guardwright/model"
)

// Compute computes the reaction times of every safety function of a machine, and what its connections, controllers, drives and ports
// ask for. The error is about the context or the input; what can't be computed about the machine stands in the result.
func Compute(ctx context.Context, m *model.Machine, in Input) (*Result, error) {
	if err := in.check(m); err != nil {
		return nil, err
	}
	w := &whatIf{m: m, in: in, drives: map[*model.Drive]*Drive{}, connections: map[*model.Module][]*model.Connection{}}
	if m.Network != nil {
		for _, k := range m.Network.Connections {
			w.connections[k.Module] = append(w.connections[k.Module], k)
		}
	}
	r := &Result{Machine: m}
	for _, d := range m.Drives {
		w.drives[d] = driveOf(d)
		r.Drives = append(r.Drives, w.drives[d])
	}
	for _, c := range m.Controllers {
		r.Controllers = append(r.Controllers, controllerOf(c))
	}
	for _, f := range m.Functions {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		r.Functions = append(r.Functions, w.function(f))
	}
	if m.Network != nil {
		chains := byConnection(r.Functions)
		for _, c := range m.Network.Connections {
			if err := ctx.Err(); err != nil {
				return nil, err
			}
			out := w.connectionOf(c)
			w.window(out, chains[c])
			r.Connections = append(r.Connections, out)
		}
	}
	r.Ports = w.ports()
	return r, nil
}

// check finds inputs that belong to nothing, and numbers that are none.
func (in Input) check(m *model.Machine) error {
	var wrong []string
	bad := func(format string, args ...any) { wrong = append(wrong, fmt.Sprintf(format, args...)) }
	usable := func(d model.Duration) bool { return d >= 0 && !math.IsInf(float64(d), 0) }
	connections := map[string]bool{}
	if m.Network != nil {
		for _, c := range m.Network.Connections {
			connections[c.Name] = true
		}
	}
	demands := map[Demand]bool{}
	for _, f := range m.Functions {
		for _, d := range f.Demand {
			demands[Demand{f.Name, d.Name}] = true
		}
	}
	for name, d := range in.Delays {
		if !connections[name] {
			bad("delays of %s: the machine has no such safety connection", name)
		}
		if !usable(d.ToController) || !usable(d.FromController) || !usable(d.InputInterval) || !usable(d.OutputInterval) || d.Recovery != nil && !usable(*d.Recovery) {
			bad("delays of %s: found a time that is below 0 s, infinite or not a number", name)
		}
	}
	for key, t := range in.Allowed {
		if !demands[key] {
			bad("allowed time of %s on demand of %s: the machine has no such safety function with that demand device", key.Function, key.Device)
		}
		if !usable(t) {
			bad("allowed time of %s on demand of %s: found %s, wanted a time from 0 s on", key.Function, key.Device, t)
		}
	}
	if in.Margin != nil && !(*in.Margin >= 0 && *in.Margin <= 10) {
		bad("found a margin of %s, wanted 0 %% to 1000 %%", *in.Margin)
	}
	if in.Lost != nil && *in.Lost < 0 {
		bad("found %d lost packets to survive, wanted 0 or more", *in.Lost)
	}
	if in.Ping < 0 || in.Ping > 999 {
		bad("found a ping interval multiplier of %d, wanted 1 to 999", in.Ping)
	}
	if in.CoordinationMinimum < 0 || in.CoordinationMinimum > 7813 {
		bad("found a time coordination minimum multiplier of %d, wanted 0 to 7813", in.CoordinationMinimum)
	}
	if len(wrong) == 0 {
		return nil
	}
	slices.Sort(wrong)
	return errors.New(strings.Join(wrong, "\n"))
}

// function computes one safety function.
func (w *whatIf) function(f *model.Function) *Function {
	out := &Function{Function: f}
	for _, d := range f.Demand {
		out.Demands = append(out.Demands, w.demanded(f, d))
	}
	out.RunDown = w.runDown(f)
	return out
}

// ends are what a chain of a function can lead to: each switching element of each drive, and each output that stops
// no drive of the function but takes energy away.
func ends(f *model.Function) []Chain {
	var out []Chain
	switching := map[*model.Device]bool{}
	for _, drive := range f.Stops {
		if len(drive.SwitchedBy) == 0 {
			out = append(out, Chain{Drive: drive})
		}
		for _, s := range drive.SwitchedBy {
			switching[s] = true
			out = append(out, Chain{Drive: drive, Switch: s})
		}
	}
	for _, o := range f.Outputs {
		if !switching[o] && takesEnergy(o) {
			out = append(out, Chain{Switch: o})
		}
	}
	return out
}

// takesEnergy is false for outputs that only show or hold something: their time is no part of a stop.
func takesEnergy(d *model.Device) bool {
	switch d.Type.Kind.Name {
	case "guard-lock", "lamp", "sounder", "panel":
		return false
	}
	return true
}

func (w *whatIf) demanded(f *model.Function, d *model.Device) *Demanded {
	out := &Demanded{Device: d, Approach: f.ApproachOf(d)}
	for _, end := range ends(f) {
		c := &Chain{Function: f, Demand: d, Drive: end.Drive, Switch: end.Switch, Rule: ruleOf(w.protocol())}
		w.route(c)
		c.Steps = steps(w.protocol(), w.parts(c))
		beforeStop := c.Steps
		if n := len(c.Steps); c.Drive != nil && c.Steps[n-1].Stage == Stopping {
			beforeStop = c.Steps[:n-1]
		}
		c.Undisturbed, c.OneFault = total(c.Steps, undisturbed), total(c.Steps, oneFault)
		c.Reaction, c.ReactionOneFault = total(beforeStop, undisturbed), total(beforeStop, oneFault)
		out.Chains = append(out.Chains, c)
	}
	out.slowest()
	out.Allowed = w.allowed(f, out)
	return out
}

func (w *whatIf) protocol() model.Protocol {
	if w.m.Network == nil {
		return ""
	}
	return w.m.Network.Protocol
}

// route finds the safety connections of a chain.
func (w *whatIf) route(c *Chain) {
	if p := c.Demand.Port; p != nil {
		c.Input = w.connectionTo(p.Module, c.Function.Controller, func(k *model.Connection) bool { return k.Input > 0 })
	}
	if c.Switch != nil && c.Switch.Port != nil {
		c.Output = w.connectionTo(c.Switch.Port.Module, c.Function.Controller, func(k *model.Connection) bool { return k.Output > 0 })
	}
}

// toHazard reports whether a chain leads to what is dangerous on the way past the device.
func (o *Demanded) toHazard(c *Chain) bool {
	if o.Approach == nil || len(o.Approach.ApproachSpec.Hazards) == 0 {
		return true
	}
	return c.Drive != nil && slices.Contains(o.Approach.Hazards, c.Drive)
}

// slowest finds the chain that ends last, and the times until all have ended.
func (o *Demanded) slowest() {
	none := Total{Why: "the function stops no drive and switches no output"}
	o.Undisturbed, o.OneFault, o.Reaction = none, none, none
	for _, c := range o.Chains {
		if !o.toHazard(c) {
			continue
		}
		if o.Slowest == nil {
			o.Slowest, o.Undisturbed, o.OneFault = c, c.Undisturbed, c.OneFault
			continue
		}
		if later(c.OneFault, o.Slowest.OneFault) {
			o.Slowest = c
		}
		o.Undisturbed, o.OneFault = latest(o.Undisturbed, c.Undisturbed), latest(o.OneFault, c.OneFault)
	}
	if o.Slowest != nil {
		o.Reaction = o.Slowest.ReactionOneFault
	}
}

// later reports whether a counts as slower than b: what is not known does, then what takes longer.
func later(a, b Total) bool {
	if a.Known != b.Known {
		return !a.Known
	}
	return a.AtLeast > b.AtLeast
}

// latest is the time until both have ended.
func latest(a, b Total) Total {
	out := Total{Known: a.Known && b.Known, AtLeast: max(a.AtLeast, b.AtLeast), Why: a.Why}
	if a.Known {
		out.Why = b.Why
	}
	if out.Known {
		out.Time = out.AtLeast
	}
	return out
}

// allowed compares a function with what its distance allows. A time that is not fully known can already be too long.
func (w *whatIf) allowed(f *model.Function, o *Demanded) Check[model.Duration] {
	const limits = "longest overall stopping time that the separation distance allows"
	limit, ok := w.in.Allowed[Demand{f.Name, o.Device.Name}]
	switch {
	case !ok && o.OneFault.Known:
		return Check[model.Duration]{Status: NoLimit, Value: o.OneFault.Time, Why: "no time that a separation distance allows was given to the calculation"}
	case ok && o.OneFault.Known:
		return atMost(o.OneFault.Time, limit, limits)
	case ok && o.OneFault.AtLeast > limit:
		return atMost(o.OneFault.AtLeast, limit, limits+"; the known part alone exceeds it")
	}
	return unknown[model.Duration](o.OneFault.Why)
}

// runDown is the time from the stop command in the controller until everything stands still without braking.
func (w *whatIf) runDown(f *model.Function) Total {
	out := Total{Why: "the function stops no drive"}
	first := true
	for _, end := range ends(f) {
		if end.Drive == nil {
			continue
		}
		c := &Chain{Function: f, Drive: end.Drive, Switch: end.Switch}
		if c.Switch != nil && c.Switch.Port != nil {
			c.Output = w.connectionTo(c.Switch.Port.Module, f.Controller, func(k *model.Connection) bool { return k.Output > 0 })
		}
		last := []part{{stage: Stopping, place: c.Drive.Origin, ordinary: w.drives[c.Drive].RunDown}}
		t := total(steps(w.protocol(), w.outputParts(c, last)), oneFault)
		if first {
			out, first = t, false
			continue
		}
		out = latest(out, t)
	}
	return out
}

// controllerOf computes the safety cycle of a controller.
func controllerOf(c *model.Controller) *Controller {
	out := &Controller{Controller: c}
	switch {
	case c.SafetyCycle == 0:
		out.Use = unknown[model.Ratio]("the safety cycle is not stated; say safety_cycle")
		out.Watchdog = unknown[model.Duration]("the safety cycle is not stated; say safety_cycle")
		return out
	case c.ExecutionTime == 0:
		out.Use = unknown[model.Ratio]("the execution time is not stated; say execution_time")
	default:
		out.Use = atMost(model.Ratio(float64(c.ExecutionTime)/float64(c.SafetyCycle)), 1, "the whole safety cycle")
	}
	if c.CycleWatchdog == 0 {
		out.Watchdog = unknown[model.Duration]("the watchdog of the safety cycle is not stated; say cycle_watchdog")
	} else {
		out.Watchdog = atLeast(c.CycleWatchdog, c.SafetyCycle, "safety cycle")
	}
	return out
}
