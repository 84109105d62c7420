package model

// Length is a length or distance in metre.
type Length float64

// Metres is a length of n metre.
func Metres(n float64) Length { return Length(n) }

// Millimetres is a length of n millimetre, the same float64 as the text "n mm".
func Millimetres(n float64) Length { return Length(unitSpec{exp: -3}.of(n)) }

// Feet is a length of n foot (0.3048 m), the same float64 as the text "n ft".
func Feet(n float64) Length { return Length(unitSpec{exp: -4, mul: 3048}.of(n)) }

// ParseLength reads a text such as "6 m", "850 mm" or "20 ft". Its error is a [*QuantityError].
func ParseLength(text string) (Length, error) { return parseQuantity[Length](lengthSpec(), text) }

// String is a text that [ParseLength] reads as exactly x.
func (x Length) String() string { return printQuantity(lengthSpec(), x) }

// Format is x rounded to the given number of significant digits (1 to 17), with its unit.
func (x Length) Format(significant int) string { return roundQuantity(lengthSpec(), x, significant) }

// MarshalText is String; NaN and infinities are errors.
func (x Length) MarshalText() ([]byte, error) { return marshalQuantity(lengthSpec(), x) }

// UnmarshalText is [ParseLength]; after an error x is unchanged.
func (x *Length) UnmarshalText(text []byte) error { return unmarshalQuantity(lengthSpec(), x, text) }

func lengthSpec() quantitySpec {
	return quantitySpec{
		name: "Length",
		noun: "length", base: "m",
		units: []unitSpec{
			{text: "mm", exp: -3, words: "millimetre millimetres millimeter millimeters"},
			{text: "cm", exp: -2, words: "centimetre centimetres centimeter centimeters"},
			{text: "in", exp: -4, mul: 254, words: "inch inches"}, // 1 in = 25.4 mm
			{text: "ft", exp: -4, mul: 3048, words: "foot feet"},  // 1 ft = 0.3048 m
			{text: "m", words: "metre metres meter meters"},
			{text: "km", exp: 3, words: "kilometre kilometres kilometer kilometers"},
		},
		shown:    []shownUnit{{text: "km", from: 1e3}, {text: "m", from: 1}, {text: "mm"}},
		examples: []string{"6 m", "850 mm", "20 ft"},
	}
}

// CrossSection is the cross-section of a conductor in square millimetre. American wire gauges are
// read as [AWG] computes them, and printed for exactly those values.
type CrossSection float64

// SquareMillimetres is a cross-section of n square millimetre.
func SquareMillimetres(n float64) CrossSection { return CrossSection(n) }

// ParseCrossSection reads a text such as "0.34 mm²", "1.5 mm2", "AWG 18" or "AWG 4/0". Its error is a [*QuantityError].
func ParseCrossSection(text string) (CrossSection, error) {
	return parseQuantity[CrossSection](crossSectionSpec(), text)
}

// String is a text that [ParseCrossSection] reads as exactly x.
func (x CrossSection) String() string { return printQuantity(crossSectionSpec(), x) }

// Format is x rounded to the given number of significant digits (1 to 17), with its unit.
func (x CrossSection) Format(significant int) string {
	return roundQuantity(crossSectionSpec(), x, significant)
}

// MarshalText is String; NaN and infinities are errors.
func (x CrossSection) MarshalText() ([]byte, error) { return marshalQuantity(crossSectionSpec(), x) }

// UnmarshalText is [ParseCrossSection]; after an error x is unchanged.
func (x *CrossSection) UnmarshalText(text []byte) error {
	return unmarshalQuantity(crossSectionSpec(), x, text)
}

func crossSectionSpec() quantitySpec {
	return quantitySpec{
		name: "CrossSection",
		noun: "cross-section", base: "mm²",
		units:    []unitSpec{{text: "mm²", words: "sqmm qmm mmq"}},
		gauge:    true,
		examples: []string{"0.34 mm²", "1.5 mm2", "AWG 18", "AWG 4/0"},
	}
}

// Speed is a speed in metre per second, such as the approach speed K of ISO 13855.
type Speed float64

// MetresPerSecond is a speed of n metre per second.
func MetresPerSecond(n float64) Speed { return Speed(n) }

// MillimetresPerSecond is a speed of n millimetre per second, the same float64 as the text
// "n mm/s".
func MillimetresPerSecond(n float64) Speed { return Speed(unitSpec{exp: -3}.of(n)) }

// ParseSpeed reads a text such as "1600 mm/s" or "0.25 m/s". Its error is a [*QuantityError].
func ParseSpeed(text string) (Speed, error) { return parseQuantity[Speed](speedSpec(), text) }

// String is a text that [ParseSpeed] reads as exactly x.
func (x Speed) String() string { return printQuantity(speedSpec(), x) }

// Format is x rounded to the given number of significant digits (1 to 17), with its unit.
func (x Speed) Format(significant int) string { return roundQuantity(speedSpec(), x, significant) }

// MarshalText is String; NaN and infinities are errors.
func (x Speed) MarshalText() ([]byte, error) { return marshalQuantity(speedSpec(), x) }

// UnmarshalText is [ParseSpeed]; after an error x is unchanged.
func (x *Speed) UnmarshalText(text []byte) error { return unmarshalQuantity(speedSpec(), x, text) }

func speedSpec() quantitySpec {
	return quantitySpec{
		name: "Speed",
		noun: "speed", base: "m/s",
		units: []unitSpec{
			{text: "mm/s", exp: -3, words: "mm/sec mmps"},
			{text: "m/min", div: 60},
			{text: "in/s", exp: -4, mul: 254, words: "in/sec ips"},
			{text: "km/h", exp: 1, div: 36, words: "kmh kph"}, // 3.6 km/h = 1 m/s
			{text: "m/s", words: "m/sec mps"},
		},
		shown:    []shownUnit{{text: "m/s", from: 10}, {text: "mm/s"}},
		examples: []string{"1600 mm/s", "0.25 m/s", "30 m/min"},
	}
}

// Force is a force in newton, such as the holding force of a guard lock.
type Force float64

// Newtons is a force of n newton.
func Newtons(n float64) Force { return Force(n) }

// ParseForce reads a text such as "1500 N" or "1.5 kN". Its error is a [*QuantityError].
func ParseForce(text string) (Force, error) { return parseQuantity[Force](forceSpec(), text) }

// String is a text that [ParseForce] reads as exactly x.
func (x Force) String() string { return printQuantity(forceSpec(), x) }

// Format is x rounded to the given number of significant digits (1 to 17), with its unit.
func (x Force) Format(significant int) string { return roundQuantity(forceSpec(), x, significant) }

// MarshalText is String; NaN and infinities are errors.
func (x Force) MarshalText() ([]byte, error) { return marshalQuantity(forceSpec(), x) }

// UnmarshalText is [ParseForce]; after an error x is unchanged.
func (x *Force) UnmarshalText(text []byte) error { return unmarshalQuantity(forceSpec(), x, text) }

func forceSpec() quantitySpec {
	return quantitySpec{
		name: "Force",
		noun: "force", base: "N",
		units: []unitSpec{
			{text: "mN", exp: -3, words: "millinewton millinewtons"},
			{text: "N", words: "newton newtons"},
			{text: "kN", exp: 3, words: "kilonewton kilonewtons"},
			{text: "MN", exp: 6, words: "meganewton meganewtons"},
		},
		shown: []shownUnit{ // holding forces are given as 1500 N or 2600 N
			{text: "MN", from: 1e6}, {text: "kN", from: 1e4}, {text: "N", from: 1}, {text: "mN"},
		},
		examples: []string{"1500 N", "2.6 kN"},
	}
}
