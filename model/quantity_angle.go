package model

// Angle is a plane angle in degree, such as the angle between a detection zone and the direction of approach.
type Angle float64

// Degrees is an angle of n degree.
func Degrees(n float64) Angle { return Angle(n) }

// ParseAngle reads a text such as "30°" or "12.5 deg". Its error is a [*QuantityError].
func ParseAngle(text string) (Angle, error) { return parseQuantity[Angle](angleSpec(), text) }

// String is a text that [ParseAngle] reads as exactly x.
func (x Angle) String() string { return printQuantity(angleSpec(), x) }

// Format is x rounded to the given number of significant digits (1 to 17), with its unit.
func (x Angle) Format(significant int) string { return roundQuantity(angleSpec(), x, significant) }

// MarshalText is String; NaN and infinities are errors.
func (x Angle) MarshalText() ([]byte, error) { return marshalQuantity(angleSpec(), x) }

// UnmarshalText is [ParseAngle]; after an error x is unchanged.
func (x *Angle) UnmarshalText(text []byte) error { return unmarshalQuantity(angleSpec(), x, text) }

func angleSpec() quantitySpec {
	return quantitySpec{
		name: "Angle",
		noun: "angle", base: "°",
		units: []unitSpec{{text: "°", words: "degree degrees º ˚"}},
		refusals: []refusal{
			{text: "rad", reason: "is in radian; multiply by 57.2958 and write °"},
			{text: "%", reason: "is a slope; write the angle in °"},
		},
		examples: []string{"30°", "12.5 deg"},
	}
}
