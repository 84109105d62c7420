package logic

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"github.com/guardwright/guardwright/calc/logic/internal/aig"
	"github.com/guardwright/guardwright/calc/logic/internal/certify"
)

// Certificate is what a proof rests on: values that memories never leave, as lists of all states that some of them can have
// together, and as clauses over them. [CheckProofs] checks it without the engines that found it.
type Certificate struct {
	claims []claim
	// noFirst: the assumptions allow not even a first step.
	noFirst bool
}

// claim is the proof that the property is never broken, the goal never reached, or a precondition never met.
type claim struct {
	cover int // number of the precondition, or noCover
	proof proof
}

// proof is an invariant of the gates; in says of which gates, nil of those of the call.
type proof struct {
	in      *setting
	regions []certify.Region
	clauses [][]aig.Lit
}

// String tells the size of the certificate.
func (c *Certificate) String() string {
	if c == nil {
		return "no certificate"
	}
	if c.noFirst {
		return "no first step"
	}
	sets, states, clauses := 0, 0, 0
	for _, cl := range c.claims {
		sets += len(cl.proof.regions)
		clauses += len(cl.proof.clauses)
		for _, r := range cl.proof.regions {
			states += len(r.States)
		}
	}
	return fmt.Sprintf("%d sets with %d states, %d clauses", sets, states, clauses)
}

// add joins another proof to p; what is there already is not added again.
func (p *proof) add(o proof) {
	p.in = o.in
next:
	for _, r := range o.regions {
		for _, old := range p.regions {
			if &old.Latches[0] == &r.Latches[0] {
				continue next
			}
		}
		p.regions = append(p.regions, r)
	}
	p.clauses = append(p.clauses, o.clauses...)
}

// certificate puts together what the answers to the questions about property i rest on.
func (p *prover) certificate(i int, verdict Verdict) *Certificate {
	switch verdict {
	case Proved, Vacuous, Unreachable:
	default:
		return nil
	}
	if p.noFirst {
		return &Certificate{noFirst: true}
	}
	all := claim{cover: noCover}
	c := &Certificate{}
	for _, at := range p.byProp[i] {
		switch q := &p.questions[at]; {
		case q.cover == noCover:
			all.proof.add(q.proof)
		case verdict == Vacuous && q.state == never:
			c.claims = append(c.claims, claim{q.cover, q.proof})
		}
	}
	c.claims = append(c.claims, all)
	return c
}

// regionOf is the region of a cone's latches in so many states.
func regionOf(c *aig.Cone, states []uint64) []certify.Region {
	if len(c.Latches) == 0 {
		return nil
	}
	return []certify.Region{{Latches: c.Latches, States: states}}
}

// regionsWithin returns the regions that have a latch in common with the cone.
func regionsWithin(c *aig.Cone, regions []certify.Region) []certify.Region {
	in := make(map[uint32]bool, len(c.Latches))
	for _, n := range c.Latches {
		in[n] = true
	}
	var out []certify.Region
	for _, r := range regions {
		for _, n := range r.Latches {
			if in[n] {
				out = append(out, r)
				break
			}
		}
	}
	return out
}

// CheckProofs checks the certificate of every result that says Proved, Vacuous or Unreachable, with a small checker of its own:
// it translates the system into gates once more and asks a satisfiability solver, in one question for each claim, whether any
// step from the states that the certificate allows leads out of them or does what the result says never happens. properties and
// options must be those that the results were found with. It returns nil where all certificates hold, and otherwise what is
// wrong, property by property. Traces are no matter of this check: see [System.Confirm].
//
// What is trusted is the translation of expressions into gates; it is compared with the plain interpreter in this package's
// tests, by searching random systems with both.
func CheckProofs(ctx context.Context, s *System, properties []Property, results []Result, options Options) error {
	p, err := newProver(ctx, s, properties, options)
	if err != nil {
		return err
	}
	if len(results) != len(properties) {
		return fmt.Errorf("%d results for %d properties", len(results), len(properties))
	}
	c := &proofChecker{p: p, graphs: map[*setting]*prover{}}
	var errs []error
	for i := range results {
		if err := c.check(i, &results[i]); err != nil {
			errs = append(errs, fmt.Errorf("property %q, %v: %w", properties[i].Name, results[i].Verdict, err))
		}
	}
	return errors.Join(errs...)
}

// proofChecker keeps the gates by what they were made for.
type proofChecker struct {
	p      *prover
	graphs map[*setting]*prover
}

func (c *proofChecker) gates(in *setting) (*prover, error) {
	if g := c.graphs[in]; g != nil {
		return g, nil
	}
	g := &prover{s: c.p.s, props: c.p.props, as: c.p.as}
	if in != nil {
		if slices.Max(in.props) >= len(c.p.props) || len(in.as) > 0 && slices.Max(in.as) >= len(c.p.as) {
			return nil, errors.New("the certificate was made for other properties or assumptions")
		}
		g = c.p.sub(in.props, in.as, in.early, in.near)
	}
	g.compile()
	c.graphs[in] = g
	return g, nil
}

func (c *proofChecker) check(i int, r *Result) error {
	prop := c.p.props[i]
	switch r.Verdict {
	case Proved, Vacuous, Unreachable:
	default:
		return nil
	}
	if prop.kind == reachProperty != (r.Verdict == Unreachable) {
		return errors.New("the verdict is none that the property can have")
	}
	if r.Certificate == nil {
		return errors.New("no certificate")
	}
	if r.Certificate.noFirst {
		g, err := c.gates(nil)
		if err != nil {
			return err
		}
		return certify.Impossible(c.p.ctx, g.c.a, g.constraints())
	}
	whole, covers := false, 0
	for _, cl := range r.Certificate.claims {
		g, err := c.gates(cl.proof.in)
		if err != nil {
			return err
		}
		if !slices.ContainsFunc(g.props, func(p Property) bool { return p == prop }) {
			return errors.New("the certificate speaks of another property")
		}
		root := g.target(prop)
		if cl.cover == noCover {
			whole = true
		} else {
			pre := prop.preconditions(g.s.g)
			if cl.cover < 0 || cl.cover >= len(pre) {
				return fmt.Errorf("the property has no precondition %d", cl.cover+1)
			}
			root = g.c.lits[pre[cl.cover]]
			covers++
		}
		claims := certify.Claim{Regions: cl.proof.regions, Clauses: cl.proof.clauses}
		if err := certify.Check(c.p.ctx, g.c.a, g.constraints(), []aig.Lit{root}, claims); err != nil {
			return err
		}
	}
	if !whole || r.Verdict == Vacuous && covers == 0 {
		return errors.New("the certificate doesn't speak of what the verdict says")
	}
	return nil
}

// constraints are the assumptions in force.
func (p *prover) constraints() []aig.Lit {
	var out []aig.Lit
	for _, a := range p.as {
		out = append(out, p.c.lits[a.expr])
	}
	return out
}
