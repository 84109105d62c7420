package timing

import (
	"slices"

	"github.com/guardwright/guardwright/model"
)

// part is a contribution to a chain before the rule of the protocol is applied.
type part struct {
	stage    Stage
	place    model.Origin
	ordinary Time // longest time without a fault
	// watched is true for a part that has a limit of its own with one fault, and limit is that.
	watched bool
	limit   Time
	// connection is set for a part that is one.
	connection *model.Connection
	from       string
}

// parts follows a chain from the demand device to the stop.
func (w *whatIf) parts(c *Chain) []part {
	parts := w.inputParts(c)
	parts = append(parts, w.logicPart(c.Function.Controller))
	return append(parts, w.outputParts(c, w.stopPart(c))...)
}

// inputParts are those up to the controller.
func (w *whatIf) inputParts(c *Chain) []part {
	d := c.Demand
	parts := []part{{stage: Detection, place: d.Origin, from: "response of the device",
		ordinary: stated(d.Type.Response, "the response of device type %s is not stated; say response", d.Type.Name)}}
	if d.Port == nil {
		return append(parts, w.ownTerminal(InputModule, c.Function.Controller, d))
	}
	parts = append(parts, w.portParts(d.Port)...)
	module := d.Port.Module
	parts = append(parts, modulePart(InputModule, module, module.Type.InputResponse, module.Type.InputFaultResponse, "input_response"))
	to := missing("%s has no safety connection to the controller; describe one under network.connections", module.Name)
	if c.Input != nil {
		to, _ = w.transport(c.Input)
	}
	return append(parts, w.networkPart(InputNetwork, c.Input, module, to))
}

// portParts are the contributions of the parameter set of an input.
func (w *whatIf) portParts(p *model.Port) []part {
	if p.Set == nil {
		return []part{{stage: Filter, place: p.Origin, from: "filter of the input",
			ordinary: missing("%s has no parameter set, so its filter is not known; say set", p.Path)}}
	}
	var parts []part
	add := func(stage Stage, t model.Duration, from string) {
		if t > 0 {
			parts = append(parts, part{stage: stage, place: p.Origin, ordinary: known(t), from: from})
		}
	}
	filter := p.Set.Filter
	if p == w.filterOf {
		filter = w.filter
	}
	add(Filter, filter, "filter of parameter set "+p.Set.Name)
	if p.Set.TestPulses {
		add(Blanking, p.Set.TestPulse, "the input does not see its channel during its own test pulse")
	}
	if p.Set.HoldsWhileDiffering {
		add(Differing, p.Set.Discrepancy, "the input holds its value until the discrepancy time is over")
	}
	add(OffDelay, p.Set.OffDelay, "off-delay of parameter set "+p.Set.Name)
	return parts
}

func modulePart(stage Stage, m *model.Module, normal, fault model.Duration, key string) part {
	p := part{stage: stage, place: m.Origin, from: key + " of module type " + m.Type.Name,
		ordinary: stated(normal, "the response of module type %s is not stated; say %s", m.Type.Name, key)}
	if fault > 0 {
		p.watched, p.limit = true, known(fault)
	}
	return p
}

// ownTerminal is an input or output of the controller's own, for devices that are at no port.
func (w *whatIf) ownTerminal(stage Stage, c *model.Controller, d *model.Device) part {
	p := part{stage: stage, place: d.Origin, from: "terminal of the controller's own"}
	key := "input_response"
	if stage == OutputModule {
		key = "output_response"
	}
	if c == nil || c.Type == nil {
		p.ordinary = missing("%s is at no port, and the machine has no controller", d.Name)
		return p
	}
	p.place = c.Origin
	t := c.Type.InputResponse
	if stage == OutputModule {
		t = c.Type.OutputResponse
	}
	p.ordinary = stated(t, "%s is at no port; if it is wired to the controller itself, say %s at controller type %s", d.Name, key, c.Type.Name)
	return p
}

func (w *whatIf) networkPart(stage Stage, c *model.Connection, m *model.Module, ordinary Time) part {
	p := part{stage: stage, place: m.Origin, ordinary: ordinary, watched: true, limit: ordinary, from: "wait for the next packet, and its delay"}
	if c == nil {
		return p
	}
	p.place, p.connection = c.Origin, c
	p.limit = w.limitOfConnection(c)
	return p
}

func (w *whatIf) logicPart(c *model.Controller) part {
	p := part{stage: Logic, from: "one safety cycle just missed and one to run", ordinary: w.twoCycles(c)}
	if c != nil {
		p.place = c.Origin
	}
	if t := w.cycleWithFault(c); t > 0 {
		p.watched, p.limit = true, known(t)
	}
	return p
}

// outputParts are those from the controller on; last is the stop.
func (w *whatIf) outputParts(c *Chain, last []part) []part {
	s := c.Switch
	if s == nil {
		none := part{stage: Switching, place: c.Drive.Origin, from: "response of the switching element",
			ordinary: missing("what switches %s is not stated; say switched_by", c.Drive.Name)}
		return append([]part{none}, last...)
	}
	var parts []part
	if s.Port == nil {
		parts = append(parts, w.ownTerminal(OutputModule, c.Function.Controller, s))
	} else {
		module := s.Port.Module
		from := missing("%s has no safety connection from the controller; describe one under network.connections", module.Name)
		if c.Output != nil {
			_, from = w.transport(c.Output)
		}
		parts = append(parts, w.networkPart(OutputNetwork, c.Output, module, from),
			modulePart(OutputModule, module, module.Type.OutputResponse, module.Type.OutputFaultResponse, "output_response"))
		if s.Port.Set != nil && s.Port.Set.OffDelay > 0 {
			parts = append(parts, part{stage: OutputDelay, place: s.Port.Origin, ordinary: known(s.Port.Set.OffDelay), from: "off-delay of parameter set " + s.Port.Set.Name})
		}
	}
	parts = append(parts, part{stage: Switching, place: s.Origin, from: "response of the device",
		ordinary: stated(s.Type.Response, "the response of device type %s is not stated; say response", s.Type.Name)})
	return append(parts, last...)
}

// stopPart is the stop of the drive; nothing for a chain that ends with the switching element.
func (w *whatIf) stopPart(c *Chain) []part {
	switch {
	case c.Drive == nil:
		return nil
	case c.Drive == w.stopOf:
		return []part{{stage: Stopping, place: c.Drive.Origin, ordinary: known(w.stop)}}
	}
	d := w.drives[c.Drive]
	return []part{{stage: Stopping, place: c.Drive.Origin, ordinary: d.Stopping, from: d.From}}
}

// connectionTo finds the safety connection between a module and a controller that carries data in one direction.
func (w *whatIf) connectionTo(m *model.Module, c *model.Controller, carries func(*model.Connection) bool) *model.Connection {
	if m == nil {
		return nil
	}
	var all []*model.Connection
	for _, k := range w.connections[m] {
		if k.Controller == c {
			all = append(all, k)
		}
	}
	if i := slices.IndexFunc(all, carries); i >= 0 {
		return all[i]
	}
	// Sizes need not be stated: a single connection without any carries both directions.
	if len(all) == 1 && all[0].Input == 0 && all[0].Output == 0 {
		return all[0]
	}
	return nil
}
