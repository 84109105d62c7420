package report

import (
	"math"
	"reflect"

	"github.com/guardwright/guardwright/calc/power"
	"github.com/guardwright/guardwright/model"
)

// Quantity is a computed quantity.
type Quantity struct {
	// The quantity rounded, with its unit.
	Text string `json:"text"`
	// The unrounded number in the unit below; absent when it is not finite.
	Value *float64 `json:"value,omitempty"`
	// Unit of the number.
	Unit string `json:"unit"`
}

// Digits that are shown.
const (
	valueDigits  = 4
	marginDigits = 3
)

// formatted is a quantity of package model.
type formatted interface {
	~float64
	Format(significant int) string
}

// units are the base units of the quantities by the name of their Go type.
type units map[string]string

func newUnits() units {
	u := units{}
	for _, q := range model.QuantityInfos() {
		u[q.Name] = q.BaseUnit
	}
	return u
}

// of rounds a quantity for print.
func of[Q formatted](u units, q Q, digits int) *Quantity {
	out := &Quantity{Text: q.Format(digits), Unit: u[reflect.TypeFor[Q]().Name()]}
	if x := float64(q); !math.IsNaN(x) && !math.IsInf(x, 0) {
		out.Value = &x
	}
	return out
}

// optional is of for a quantity that may be absent.
func optional[Q formatted](u units, q *Q) *Quantity {
	if q == nil {
		return nil
	}
	return of(u, *q, valueDigits)
}

// stated is of for a quantity that is absent when zero.
func stated[Q formatted](u units, q Q) *Quantity {
	if q == 0 {
		return nil
	}
	return of(u, q, valueDigits)
}

// Check is a computed number with its limit.
type Check struct {
	// What is checked, such as plus core or pull-in voltage.
	Check string `json:"check"`
	// Table to which the check belongs.
	Part Part `json:"part"`
	// How the number stands to its limit: within, beyond, no limit stated, not covered, not applicable or unknown.
	Status string `json:"status"`
	// The number; absent when it is unknown.
	Value *Quantity `json:"value,omitempty"`
	// The limit; absent when there is none or it is not covered.
	Limit *Quantity `json:"limit,omitempty"`
	// What is left to the limit; negative beyond it.
	Margin *Quantity `json:"margin,omitempty"`
	// The margin as a share of the limit; absent when the limit is zero.
	Share *Quantity `json:"margin_share,omitempty"`
	// Operating case that gave the number; absent where it does not depend on the operating point.
	Case string `json:"case,omitempty"`
	// What the limit is and where it comes from.
	Limits string `json:"limits,omitempty"`
	// What is missing, where there is no number or no limit.
	Why string `json:"why,omitempty"`
}

// The statuses in words, as package power prints them.
func (c Check) beyond() bool { return c.Status == power.Beyond.String() }

func (c Check) decided() bool { return c.Status == power.Within.String() || c.beyond() }

// open reports whether the check wants a decision that could not be made.
func (c Check) open() bool {
	return c.Status == power.Unknown.String() || c.Status == power.NotCovered.String()
}

// share is the margin as a share of the limit, for ordering; without a limit to divide by, a violated one comes first.
func (c Check) share() float64 {
	switch {
	case !c.decided():
		return math.Inf(1)
	case c.Share != nil && c.Share.Value != nil:
		return *c.Share.Value
	case c.beyond():
		return math.Inf(-1)
	}
	return math.MaxFloat64
}

// checked describes a check of package power.
func checked[Q formatted](u units, part Part, what string, c power.Check[Q]) Check {
	out := Check{Check: what, Part: part, Status: c.Status.String(), Case: c.Case.String(), Limits: c.Limits, Why: c.Why}
	if c.Status.HasValue() {
		out.Value = of(u, c.Value, valueDigits)
	} else {
		out.Case = ""
	}
	if c.Status.Decided() {
		out.Limit, out.Margin = of(u, c.Limit, valueDigits), of(u, c.Margin, marginDigits)
		if c.Limit != 0 {
			out.Share = of(u, model.Ratio(float64(c.Margin)/math.Abs(float64(c.Limit))), marginDigits)
		}
	}
	return out
}

// add counts a check.
func (n *Counts) add(c Check) {
	switch c.Status {
	case power.Within.String():
		n.Within++
	case power.Beyond.String():
		n.Beyond++
	case power.NoLimit.String():
		n.NoLimit++
	case power.NotCovered.String():
		n.NotCovered++
	case power.Unknown.String():
		n.Unknown++
	}
}

// total is the number of checks that were counted.
func (n Counts) total() int { return n.Within + n.Beyond + n.NoLimit + n.NotCovered + n.Unknown }
