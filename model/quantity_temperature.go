package model

// Temperature is a temperature on the Celsius scale, in degree Celsius; not a difference of two.
// It may be negative down to absolute zero, -273.15 °C. Kelvin and degrees Fahrenheit are refused.
type Temperature float64

// Celsius is a temperature of n degree Celsius.
func Celsius(n float64) Temperature { return Temperature(n) }

// ParseTemperature reads a text such as "40 °C" or "-25 degC". Its error is a [*QuantityError].
func ParseTemperature(text string) (Temperature, error) {
	return parseQuantity[Temperature](temperatureSpec(), text)
}

// String is a text that [ParseTemperature] reads as exactly x.
func (x Temperature) String() string { return printQuantity(temperatureSpec(), x) }

// Format is x rounded to the given number of significant digits (1 to 17), with its unit.
func (x Temperature) Format(significant int) string {
	return roundQuantity(temperatureSpec(), x, significant)
}

// MarshalText is String; NaN and infinities are errors.
func (x Temperature) MarshalText() ([]byte, error) { return marshalQuantity(temperatureSpec(), x) }

// UnmarshalText is [ParseTemperature]; after an error x is unchanged.
func (x *Temperature) UnmarshalText(text []byte) error {
	return unmarshalQuantity(temperatureSpec(), x, text)
}

// ZeroCounts says that 0 °C is a temperature like any other, so that a zero is not taken for absent.
func (x Temperature) ZeroCounts() bool { return true }

func temperatureSpec() quantitySpec {
	return quantitySpec{
		name: "Temperature",
		noun: "temperature", base: "°C",
		units:  []unitSpec{{text: "°C", words: "celsius Celsius c ℃ ºC ˚C"}},
		signed: true, lowest: -273.15, tooLow: "is below absolute zero, -273.15 °C",
		refusals: []refusal{
			{text: "C", reason: "has the unit C, which is the coulomb", unit: "°C"},
			{text: "K", reason: "is in kelvin; subtract 273.15 and write °C"},
			{text: "°F", reason: "is in degrees Fahrenheit; write degrees Celsius, (F - 32)/1.8"},
			{text: "F", reason: "is in farad or degrees Fahrenheit; write degrees Celsius, (F - 32)/1.8"},
		},
		examples: []string{"40 °C", "-25 °C", "70 degC"},
	}
}
