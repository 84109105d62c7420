package power

import (
	"context"
	"errors"
	"slices"

	"github.com/guardwright/guardwright/model"
)

// Options selects what [Compute] does. The zero value computes everything.
type Options struct {
	// Cases to compute; empty: all of [AllCases]. Without Lowest there are no lowest voltages, without Highest no
	// highest ones, and currents against limits need both Lowest and HighestLoaded.
	Cases []Case

	variant variant
}

// variant replaces the cable of one feed, for the questions on sizes.
type variant struct {
	feed  *model.Feed
	cable *model.CableRun
}

// Compute computes the 24 V DC supply of a machine. The machine is not changed. The error is a
// [github.com/guardwright/guardwright/model/source.Problems] when the description lacks something without which there
// is no number, such as the resistance of a cable, or the error of ctx when that ends first. A network without an
// operating point is not an error: its [Operation] says so, and everything else is still computed.
func Compute(ctx context.Context, m *model.Machine, opts Options) (*Result, error) {
	if m == nil {
		return nil, errors.New("there is no machine to compute")
	}
	t, err := loadTables()
	if err != nil {
		return nil, err
	}
	r := &Result{Machine: m, Cases: selected(opts.Cases)}
	p := newPlan(m, t, opts.variant)
	if err := p.problems.Err(); err != nil {
		return nil, err
	}
	p.joinReturns()
	p.attach(r)
	if err := p.problems.Err(); err != nil {
		return nil, err
	}
	p.sumWays()
	s, err := p.solve(ctx, r)
	if err != nil {
		return nil, err
	}
	f := p.newFlow(r, s)
	p.noteUnevenJoins(s)
	for _, step := range []func(){
		f.fillLoads, f.fillNodes, f.fillModules, f.fillSupplies, f.fillInrush, f.fillFaults, f.fillSelectivity,
	} {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		step()
	}
	r.Limits = p.limits
	return r, nil
}

// selected lists the cases asked for once each, in their fixed order.
func selected(cases []Case) []Case {
	if len(cases) == 0 {
		return AllCases()
	}
	var out []Case
	for _, c := range AllCases() {
		if slices.Contains(cases, c) {
			out = append(out, c)
		}
	}
	return out
}
