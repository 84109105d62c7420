// Package calc joins everything that is computed about one machine.
//
// # Caution
//
// The results support, and do not replace, risk assessment, validation, the local codes and the judgement of a
// competent person.
package calc

import (
	"context"
	"errors"

	"github.com/guardwright/guardwright/calc/power"
	"github.com/guardwright/guardwright/model"
)

// Results are all results of one machine. They are not changed after [Compute] returns them and may be shared
// between goroutines. A result that could not be computed is nil, and the reason stands beside it.
type Results struct {
	// Power is the 24 V supply; nil when it was not computed.
	Power *power.Result
	// PowerMissing says why Power is nil.
	PowerMissing string
}

// Compute computes all results of a machine. The error says that the context ended; a calculation that gives no result
// leaves its reason in the results.
func Compute(ctx context.Context, m *model.Machine) (*Results, error) {
	if m == nil {
		return nil, errors.New("there is no machine to compute")
	}
	r := &Results{}
	p, err := power.Compute(ctx, m, power.Options{})
	switch {
	case ctx.Err() != nil:
		return nil, ctx.Err()
	case err != nil:
		r.PowerMissing = err.Error()
	default:
		r.Power = p
	}
	return r, nil
}
