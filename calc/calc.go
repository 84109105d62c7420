// Package calc joins everything that is computed about one machine.
//
// # How the calculations feed each other
//
// The network bounds the delays of the messages of each safety connection. With them the reaction times follow, and with
// these the separation distances. Two things go the other way: the longest time that a built distance allows gives each
// watchdog its largest value. It depends on no reaction time, so the distances are computed twice: without times for
// that, and then with them.
//
// # Caution
//
// The results support, and do not replace, risk assessment, validation, the local codes and the judgement of a
// competent person.
package calc

import (
	"context"
	"errors"
	"sync"

	"github.com/guardwright/guardwright/calc/distance"
	"github.com/guardwright/guardwright/calc/network"
	"github.com/guardwright/guardwright/calc/power"
	"github.com/guardwright/guardwright/calc/timing"
	"github.com/guardwright/guardwright/model"
)

// Results are all results of one machine. They are not changed after [Compute] returns them and may be shared
// between goroutines. A result that could not be computed is nil, and the reason stands beside it.
type Results struct {
	// Power is the 24 V supply; nil when it was not computed.
	Power *power.Result
	// PowerMissing says why Power is nil.
	PowerMissing string
	// Network is the safety network; nil when it was not computed. A machine without a network has an empty one.
	Network *network.Result
	// NetworkMissing says why Network is nil.
	NetworkMissing string
	// Timing are the reaction times and the time limits of the connections; nil when they were not computed.
	Timing *timing.Result
	// TimingMissing says why Timing is nil.
	TimingMissing string
	// Distance are the separation distances; nil when they were not computed.
	Distance *distance.Result
	// DistanceMissing says why Distance is nil.
	DistanceMissing string
}

// Compute computes all results of a machine. The error says that the context ended; a calculation that gives no result
// leaves its reason in the results.
func Compute(ctx context.Context, m *model.Machine) (*Results, error) {
	if m == nil {
		return nil, errors.New("there is no machine to compute")
	}
	r := &Results{}
	var supply sync.WaitGroup // the supply depends on nothing else, and nothing else on it
	supply.Go(func() { r.computePower(ctx, m) })
	for _, step := range []func(context.Context, *model.Machine){r.computeNetwork, r.computeTiming, r.computeDistance} {
		if ctx.Err() == nil {
			step(ctx, m)
		}
	}
	supply.Wait()
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	return r, nil
}

func (r *Results) computePower(ctx context.Context, m *model.Machine) {
	r.Power, r.PowerMissing = outcome(power.Compute(ctx, m, power.Options{}))
}

func (r *Results) computeNetwork(ctx context.Context, m *model.Machine) {
	r.Network, r.NetworkMissing = outcome(network.Compute(ctx, m, network.Options{}))
}

// computeTiming computes the reaction times from the network's delays and the times that the distances allow.
func (r *Results) computeTiming(ctx context.Context, m *model.Machine) {
	first, why := outcome(distance.Compute(ctx, m, distance.Input{}))
	if first == nil {
		r.TimingMissing = why
		return
	}
	r.Timing, r.TimingMissing = outcome(timing.Compute(ctx, m, timing.Input{Delays: delays(r.Network), Allowed: allowed(first)}))
}

// computeDistance computes the separation distances from the reaction times.
func (r *Results) computeDistance(ctx context.Context, m *model.Machine) {
	in := distance.Input{}
	if r.Timing != nil {
		in.Times, in.RunDown = times(r.Timing), runDowns(r.Timing)
	}
	r.Distance, r.DistanceMissing = outcome(distance.Compute(ctx, m, in))
}

// outcome is a result, or the reason why there is none.
func outcome[T any](r *T, err error) (*T, string) {
	if err != nil {
		return nil, err.Error()
	}
	return r, ""
}
