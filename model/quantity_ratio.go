package model

// Ratio is a quotient of two quantities of the same kind, with the unit 1: a tolerance, a factor,
// a coverage. A text gives it in per cent, or as a bare number with a decimal point ("0.91", "1.0").
// A bare whole number is refused, as "5" may stand for 5 % or 500 %. A text gives a magnitude
// (a tolerance says by its name to which side it goes); a computed Ratio may be negative.
type Ratio float64

// Percent is a ratio of n per cent, the same float64 as the text "n %".
func Percent(n float64) Ratio { return Ratio(unitSpec{exp: -2}.of(n)) }

// ParseRatio reads a text such as "5 %" or "0.91". Its error is a [*QuantityError].
func ParseRatio(text string) (Ratio, error) { return parseQuantity[Ratio](ratioSpec(), text) }

// String is a text that [ParseRatio] reads as exactly x.
func (x Ratio) String() string { return printQuantity(ratioSpec(), x) }

// Format is x rounded to the given number of significant digits (1 to 17), with its unit.
func (x Ratio) Format(significant int) string { return roundQuantity(ratioSpec(), x, significant) }

// MarshalText is String; NaN and infinities are errors.
func (x Ratio) MarshalText() ([]byte, error) { return marshalQuantity(ratioSpec(), x) }

// UnmarshalText is [ParseRatio]; after an error x is unchanged.
func (x *Ratio) UnmarshalText(text []byte) error { return unmarshalQuantity(ratioSpec(), x, text) }

func ratioSpec() quantitySpec {
	return quantitySpec{
		name: "Ratio",
		noun: "ratio", base: "1",
		units: []unitSpec{{text: "%", exp: -2, words: "percent pct"}},
		shown: []shownUnit{{text: "%"}},
		bare:  true,
		refusals: []refusal{
			{text: "x", reason: "has an x where a unit stands; a factor is a bare number with a decimal point"},
			{text: "×", reason: "has an × where a unit stands; a factor is a bare number with a decimal point"},
		},
		examples: []string{"5 %", "99 %", "0.91"},
	}
}
