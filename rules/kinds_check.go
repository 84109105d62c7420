package rules

import (
	"fmt"
	"reflect"

	"github.com/google/cel-go/common/types"
	"github.com/google/cel-go/common/types/ref"

	"github.com/guardwright/guardwright/calc/power"
	"github.com/guardwright/guardwright/model"
)

// checkKinds are the checks of computed values against their limits, one kind for each quantity, and the operating points.
func checkKinds() []*kind {
	return []*kind{
		checkKind[model.Current]("current"), checkKind[model.Voltage]("voltage"), checkKind[model.Ratio]("ratio"),
		checkKind[model.Duration]("duration"), checkKind[model.Capacitance]("capacitance"),
		checkKind[model.JouleIntegral]("joule_integral"), pointsKind(), pointKind(),
	}
}

// checkKind is a computed value with its limit and its margin. What is not decided is absent, with the reason.
func checkKind[Q modelQuantity](quantity string) *kind {
	typ := fieldType{quantity: reflect.TypeFor[Q]()}
	when := func(decided func(power.Status) bool, value func(w *world, c *power.Check[Q]) ref.Val) func(*world, *power.Check[Q]) (ref.Val, string) {
		return func(w *world, c *power.Check[Q]) (ref.Val, string) {
			if decided(c.Status) {
				return value(w, c), ""
			}
			return nil, "is " + c.Status.String() + because(c.Why)
		}
	}
	k := kindOf[*power.Check[Q]](resultsGroup, quantity+"_check", "A computed "+quantity+" with the limit that applies to it and the margin that is left.",
		result("value", "The computed value, at the operating case that is worst for the check.", typ,
			when(power.Status.HasValue, func(w *world, c *power.Check[Q]) ref.Val { return quantityValue(w, c.Value) })),
		result("limit", "The highest, or for a lower limit the lowest, permitted value.", typ,
			when(power.Status.Decided, func(w *world, c *power.Check[Q]) ref.Val { return quantityValue(w, c.Limit) })),
		result("margin", "What is left to the limit: positive inside, negative beyond it.", typ,
			when(power.Status.Decided, func(w *world, c *power.Check[Q]) ref.Val { return quantityValue(w, c.Margin) })),
		result("within", "True when the value keeps to the limit, false when it is beyond it; absent when that is not decided.", fieldType{basic: types.BoolType},
			when(power.Status.Decided, func(_ *world, c *power.Check[Q]) ref.Val { return types.Bool(c.OK()) })),
		computedField(named("status", "unknown, not covered, no limit stated, within or beyond.", func(c *power.Check[Q]) string { return c.Status.String() })),
		computedField(text("case", "Operating case that gave the value.", func(c *power.Check[Q]) string { return c.Case.String() })),
		computedField(text("limits", "What the limit is and where it comes from, in words.", func(c *power.Check[Q]) string { return c.Limits })),
		computedField(text("why", "What is missing, where there is no value or no limit.", func(c *power.Check[Q]) string { return c.Why })),
	)
	return shown(k, checkText[Q])
}

// checkText is a check in one line.
func checkText[Q modelQuantity](c *power.Check[Q]) string {
	switch {
	case c.Status.Decided():
		t := fmt.Sprintf("%s, limit %s, margin %s", c.Value.Format(becauseDigits), c.Limit.Format(becauseDigits), c.Margin.Format(becauseDigits))
		if c.Limits != "" {
			t += " (" + c.Limits + ")"
		}
		if at := c.Case.String(); at != "" {
			t += ", case " + at
		}
		return t
	case c.Status.HasValue():
		return c.Value.Format(becauseDigits) + ", " + c.Status.String() + because(c.Why)
	}
	return c.Status.String() + because(c.Why)
}

// because adds a reason to a sentence, if there is one.
func because(why string) string {
	if why == "" {
		return ""
	}
	return ": " + why
}

func computedField(f field) field {
	f.computed = true
	return f
}

// points are the states of one place in all operating cases.
type points struct {
	*power.ByCase[power.Point]
	network *power.Network
}

// point is the state of one place in one operating case.
type point struct {
	*power.Point
	at power.Case
}

func pointsKind() *kind {
	var fields []field
	for _, c := range power.AllCases() {
		fields = append(fields, result(caseName(c), "The state in the case "+c.String()+": "+c.About()+".", fieldType{kind: "point"},
			func(w *world, p points) (ref.Val, string) {
				at := &p.ByCase[c]
				if at.Solved {
					return w.object("point", point{Point: at, at: c}), ""
				}
				return nil, unsolved(p.network, c)
			}))
	}
	return kindOf[points](resultsGroup, "points", "The states of one place of a circuit in the operating cases.", fields...)
}

// caseName is an operating case as the name of a field.
func caseName(c power.Case) string {
	switch c {
	case power.Lowest:
		return "lowest"
	case power.Highest:
		return "highest"
	case power.HighestLoaded:
		return "highest_loaded"
	case power.Nominal:
		return "nominal"
	}
	return "pulling"
}

func unsolved(n *power.Network, c power.Case) string {
	if n == nil {
		return "is not computed: nothing feeds the place"
	}
	op := n.Operation[c]
	return "is not computed: " + op.Status.String() + because(op.Why)
}

func pointKind() *kind {
	return shown(kindOf[point](resultsGroup, "point", "The state of one place of a circuit in one operating case.", computed(
		amount("voltage", "Voltage across plus and return at the place.", func(p point) model.Voltage { return p.Voltage }),
		amount("current", "Current into the place: what its own loads draw and what goes on from it.", func(p point) model.Current { return p.Current }),
		amount("return_potential", "Potential of the return conductor at the place, above the supply's 0 V.", func(p point) model.Voltage { return p.Return }),
	)...), func(p point) string {
		return fmt.Sprintf("%s, %s, case %s", p.Voltage.Format(becauseDigits), p.Current.Format(becauseDigits), p.at)
	})
}
