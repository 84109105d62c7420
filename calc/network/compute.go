package network

import (
	"context"
	"fmt"

	"github.com/guardwright/guardwright/model"
)

// Options are the assumptions that a network is computed with. The zero value serves.
type Options struct {
	// CopperDelay is the longest propagation delay of one metre of twisted pairs. Zero: 5.7 ns, the most that the formula of
	// TIA-568 and ISO/IEC 11801 for category 5, 534 + 36/√f(MHz) ns for 100 m, gives from 1 MHz on (from memory).
	CopperDelay model.Duration
	// OpticalDelay is the longest propagation delay of one metre of optical fibre. Zero: 5.01 ns, for a refractive index of
	// 1.5 (common practice).
	OpticalDelay model.Duration
	// Work is the most passages of flows through ports, the open positions of rings told apart, for which delays are
	// computed. Zero: 20 million, which takes some seconds and about 1 GB. Double faults of a loop that is more than one ring
	// are looked at in as many steps.
	Work int
}

// defaults of Options
const (
	copperDelay  = 5.7e-9
	opticalDelay = 5.01e-9
	defaultWork  = 20_000_000
)

func (o Options) work() int {
	if o.Work == 0 {
		return defaultWork
	}
	return o.Work
}

// check refuses options that make no sense.
func (o Options) check() error {
	switch {
	case o.CopperDelay < 0 || o.OpticalDelay < 0 || !(o.CopperDelay <= 1) || !(o.OpticalDelay <= 1):
		return fmt.Errorf("network: found propagation delays of %s and %s a metre, wanted some ns, such as 5 ns", o.CopperDelay, o.OpticalDelay)
	case o.Work < 0:
		return fmt.Errorf("network: found Options.Work %d, wanted 0 for the default or more", o.Work)
	}
	return nil
}

// propagation is the longest time along a link.
func (o Options) propagation(l *model.Link) Check[model.Duration] {
	const why = "it is part of the delay"
	perMetre := o.CopperDelay
	if perMetre == 0 {
		perMetre = copperDelay
	}
	if l.Medium == model.Optical {
		perMetre = o.OpticalDelay
		if perMetre == 0 {
			perMetre = opticalDelay
		}
	}
	switch {
	case l.Delay != nil:
		return unlimited(*l.Delay, why)
	case l.Medium == model.Radio:
		return unknown[model.Duration](l.Path + " is a radio link that does not state its delay")
	case l.Length == 0:
		return unknown[model.Duration](l.Path + " states neither length nor delay")
	}
	return unlimited(perMetre*model.Duration(l.Length), why)
}

// Compute computes the network of a machine. A machine without a network gives an empty result. The error is that of
// ctx, or says what is wrong with the options; what can't be computed stands in the result with its reason.
func Compute(ctx context.Context, m *model.Machine, options Options) (*Result, error) {
	if err := options.check(); err != nil {
		return nil, err
	}
	r := &Result{Machine: m, Network: m.Network}
	if err := ctx.Err(); err != nil || m.Network == nil {
		return r, err
	}
	t := newTopology(r)
	t.findRings()
	t.describe()
	for _, ring := range r.Rings {
		ring.hear()
	}
	b := newBuilder(t, options)
	if b.protocol == nil {
		return nil, fmt.Errorf("network: found the protocol %q, which this version does not know", m.Network.Protocol)
	}
	b.makeFlows()
	if b.protocol.switched() {
		b.checkLoads()
		if err := b.checkDelays(ctx); err != nil {
			return nil, err
		}
	}
	b.protocol.cycle(b)
	b.checkConnections()
	b.countConnections()
	b.checkAddresses()
	if err := t.reach(ctx, options.work()); err != nil {
		return nil, err
	}
	return r, nil
}

// noCycle notes why there is no cycle.
func (b *builder) noCycle(why string) {
	none := unknown[model.Duration](why)
	b.Cycle = Cycle{Time: none, Wire: none, Forwarding: none, Used: none, Devices: unknown[int](why)}
}

// countConnections compares the connections of each controller with the most that its data permit. A CIP Safety
// connection carries data one way, so one with both counts twice.
func (b *builder) countConnections() {
	for _, c := range b.Machine.Controllers {
		count := 0
		for _, x := range b.Network.Connections {
			if x.Controller != c {
				continue
			}
			count++
			if b.Network.Protocol == model.CIPSafety && x.Input != 0 && x.Output != 0 {
				count++
			}
		}
		check := unlimited(count, "controller type "+c.Type.Name+" does not state max_connections")
		if c.Type.MaxConnections != 0 {
			check = atMost(count, c.Type.MaxConnections, "max_connections of controller type "+c.Type.Name)
		}
		b.Controllers = append(b.Controllers, &Controller{c, check})
	}
}
