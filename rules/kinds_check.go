package rules

import (
	"fmt"
	"reflect"
	"strconv"
	"strings"

	"github.com/google/cel-go/common/types"
	"github.com/google/cel-go/common/types/ref"

	"github.com/guardwright/guardwright/calc/distance"
	"github.com/guardwright/guardwright/calc/network"
	"github.com/guardwright/guardwright/calc/power"
	"github.com/guardwright/guardwright/calc/timing"
	"github.com/guardwright/guardwright/model"
)

// checkKinds are the checks of computed values against their limits, one kind for each quantity, and the operating points.
func checkKinds() []*kind {
	return []*kind{
		checkKind[model.Current]("current"), checkKind[model.Voltage]("voltage"), checkKind[model.Ratio]("ratio"),
		checkKind[model.Duration]("duration"), checkKind[model.Length]("length"), checkKind[model.Capacitance]("capacitance"),
		checkKind[model.JouleIntegral]("joule_integral"), checkKind[model.DataRate]("data_rate"), checkKind[model.DataSize]("data_size"),
		countCheckKind(), pointsKind(), pointKind(),
	}
}

// verdict is a check of any calculation. Each calculation has a type of its own for it, with the same meaning; rules see
// one.
type verdict[Q any] struct {
	status                    string
	hasValue, decided, within bool
	value, limit, margin      Q
	at, limits, why           string
}

// verdictOf reads a check of a quantity.
func verdictOf[Q modelQuantity](check any) verdict[Q] {
	switch c := check.(type) {
	case *power.Check[Q]:
		return verdict[Q]{c.Status.String(), c.Status.HasValue(), c.Status.Decided(), c.OK(), c.Value, c.Limit, c.Margin, c.Case.String(), c.Limits, c.Why}
	case *network.Check[Q]:
		return verdict[Q]{c.Status.String(), c.Status.HasValue(), c.Status.Decided(), c.OK(), c.Value, c.Limit, c.Margin, "", c.Limits, c.Why}
	case *timing.Check[Q]:
		return verdict[Q]{c.Status.String(), c.Status.HasValue(), c.Status.Decided(), c.OK(), c.Value, c.Limit, c.Margin, "", c.Limits, c.Why}
	case *distance.Check[Q]:
		return verdict[Q]{c.Status.String(), c.Status.HasValue(), c.Status.Decided(), c.OK(), c.Value, c.Limit, c.Margin, "", c.Limits, c.Why}
	}
	return verdict[Q]{status: "unknown"}
}

// countVerdict reads a check of a number.
func countVerdict(check any) verdict[int] {
	switch c := check.(type) {
	case *network.Check[int]:
		return verdict[int]{c.Status.String(), c.Status.HasValue(), c.Status.Decided(), c.OK(), c.Value, c.Limit, c.Margin, "", c.Limits, c.Why}
	case *timing.Count:
		return verdict[int]{c.Status.String(), c.Status.HasValue(), c.Status.Decided(), c.Status == timing.Within, c.Number, c.Least, c.Number - c.Least, "", "", c.Why}
	}
	return verdict[int]{status: "unknown"}
}

// checkKind is a computed quantity with its limit and its margin. What is not decided is absent, with the reason.
func checkKind[Q modelQuantity](quantity string) *kind {
	return verdictKind(quantity, "A computed "+strings.ReplaceAll(quantity, "_", " ")+" with the limit that applies to it and the margin that is left.",
		fieldType{quantity: reflect.TypeFor[Q]()}, verdictOf[Q], quantityValue[Q], func(x Q) string { return x.Format(becauseDigits) })
}

func countCheckKind() *kind {
	return verdictKind("count", "A number with the limit that applies to it and the margin that is left.", fieldType{basic: types.IntType},
		countVerdict, func(_ *world, x int) ref.Val { return types.Int(x) }, strconv.Itoa)
}

func verdictKind[Q any](quantity, about string, typ fieldType, read func(any) verdict[Q], val func(*world, Q) ref.Val, show func(Q) string) *kind {
	when := func(there func(verdict[Q]) bool, get func(w *world, v verdict[Q]) ref.Val) func(*world, any) (ref.Val, string) {
		return func(w *world, c any) (ref.Val, string) {
			v := read(c)
			if there(v) {
				return get(w, v), ""
			}
			return nil, "is " + v.status + because(v.why)
		}
	}
	valued := func(v verdict[Q]) bool { return v.hasValue }
	decided := func(v verdict[Q]) bool { return v.decided }
	k := kindOf[any](resultsGroup, quantity+"_check", about,
		result("value", "The computed value, at the operating case that is worst for the check.", typ,
			when(valued, func(w *world, v verdict[Q]) ref.Val { return val(w, v.value) })),
		result("limit", "The highest, or for a lower limit the lowest, permitted value.", typ,
			when(decided, func(w *world, v verdict[Q]) ref.Val { return val(w, v.limit) })),
		result("margin", "What is left to the limit: positive inside, negative beyond it.", typ,
			when(decided, func(w *world, v verdict[Q]) ref.Val { return val(w, v.margin) })),
		result("within", "True when the value keeps to the limit, false when it is beyond it; absent when that is not decided.", fieldType{basic: types.BoolType},
			when(decided, func(_ *world, v verdict[Q]) ref.Val { return types.Bool(v.within) })),
		computedField(named("status", "unknown, not applicable, not covered, unbounded, no limit stated, within or beyond.", func(c any) string { return read(c).status })),
		computedField(text("case", "Operating case that gave the value.", func(c any) string { return read(c).at })),
		computedField(text("limits", "What the limit is and where it comes from, in words.", func(c any) string { return read(c).limits })),
		computedField(text("why", "What is missing, where there is no value or no limit.", func(c any) string { return read(c).why })),
	)
	return partOnly(shown(k, func(c any) string { return verdictText(read(c), show) }))
}

// verdictText is a check in one line.
func verdictText[Q any](v verdict[Q], show func(Q) string) string {
	switch {
	case v.decided:
		t := fmt.Sprintf("%s, limit %s, margin %s", show(v.value), show(v.limit), show(v.margin))
		if v.limits != "" {
			t += " (" + v.limits + ")"
		}
		if v.at != "" {
			t += ", case " + v.at
		}
		return t
	case v.hasValue:
		return show(v.value) + ", " + v.status + because(v.why)
	}
	return v.status + because(v.why)
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
