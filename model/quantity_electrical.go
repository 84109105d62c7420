package model

// Current is an electric current in ampere. A text gives a magnitude; a computed Current may be
// negative (against the direction counted as positive) and prints with its sign.
type Current float64

// Amps is a current of n ampere.
func Amps(n float64) Current { return Current(n) }

// MilliAmps is a current of n milliampere, the same float64 as the text "n mA".
func MilliAmps(n float64) Current { return Current(unitSpec{exp: -3}.of(n)) }

// ParseCurrent reads a text such as "350 mA" or "1.5 A". Its error is a [*QuantityError].
func ParseCurrent(text string) (Current, error) { return parseQuantity[Current](currentSpec(), text) }

// String is a text that [ParseCurrent] reads as exactly x.
func (x Current) String() string { return printQuantity(currentSpec(), x) }

// Format is x rounded to the given number of significant digits (1 to 17), with its unit.
func (x Current) Format(significant int) string { return roundQuantity(currentSpec(), x, significant) }

// MarshalText is String; NaN and infinities are errors.
func (x Current) MarshalText() ([]byte, error) { return marshalQuantity(currentSpec(), x) }

// UnmarshalText is [ParseCurrent]; after an error x is unchanged.
func (x *Current) UnmarshalText(text []byte) error { return unmarshalQuantity(currentSpec(), x, text) }

func currentSpec() quantitySpec {
	return quantitySpec{
		name: "Current",
		noun: "current", base: "A",
		units: []unitSpec{
			{text: "µA", exp: -6, words: "microamp microamps microampere microamperes"},
			{text: "mA", exp: -3, words: "milliamp milliamps milliampere milliamperes"},
			{text: "A", words: "amp amps ampere amperes Amp Amps"},
			{text: "kA", exp: 3, words: "kiloamp kiloamps kiloampere kiloamperes"},
		},
		examples: []string{"350 mA", "1.5 A", "6 kA"},
	}
}

// Voltage is a voltage in volt. A text gives a magnitude; a computed Voltage (a margin, say) may be
// negative and prints with its sign.
type Voltage float64

// Volts is a voltage of n volt.
func Volts(n float64) Voltage { return Voltage(n) }

// MilliVolts is a voltage of n millivolt, the same float64 as the text "n mV".
func MilliVolts(n float64) Voltage { return Voltage(unitSpec{exp: -3}.of(n)) }

// ParseVoltage reads a text such as "24 V" or "500 mV". Its error is a [*QuantityError].
func ParseVoltage(text string) (Voltage, error) { return parseQuantity[Voltage](voltageSpec(), text) }

// String is a text that [ParseVoltage] reads as exactly x.
func (x Voltage) String() string { return printQuantity(voltageSpec(), x) }

// Format is x rounded to the given number of significant digits (1 to 17), with its unit.
func (x Voltage) Format(significant int) string { return roundQuantity(voltageSpec(), x, significant) }

// MarshalText is String; NaN and infinities are errors.
func (x Voltage) MarshalText() ([]byte, error) { return marshalQuantity(voltageSpec(), x) }

// UnmarshalText is [ParseVoltage]; after an error x is unchanged.
func (x *Voltage) UnmarshalText(text []byte) error { return unmarshalQuantity(voltageSpec(), x, text) }

func voltageSpec() quantitySpec {
	return quantitySpec{
		name: "Voltage",
		noun: "voltage", base: "V",
		units: []unitSpec{
			{text: "µV", exp: -6, words: "microvolt microvolts"},
			{text: "mV", exp: -3, words: "millivolt millivolts"},
			{text: "V", words: "volt volts VDC Vdc V="},
			{text: "kV", exp: 3, words: "kilovolt kilovolts"},
		},
		examples: []string{"24 V", "20.4 V", "500 mV"},
	}
}

// Power is a power in watt. A text gives a magnitude; a computed Power may be negative.
type Power float64

// Watts is a power of n watt.
func Watts(n float64) Power { return Power(n) }

// MilliWatts is a power of n milliwatt, the same float64 as the text "n mW".
func MilliWatts(n float64) Power { return Power(unitSpec{exp: -3}.of(n)) }

// KiloWatts is a power of n kilowatt, the same float64 as the text "n kW".
func KiloWatts(n float64) Power { return Power(unitSpec{exp: 3}.of(n)) }

// ParsePower reads a text such as "8 W" or "1.2 kW". Its error is a [*QuantityError].
func ParsePower(text string) (Power, error) { return parseQuantity[Power](powerSpec(), text) }

// String is a text that [ParsePower] reads as exactly x.
func (x Power) String() string { return printQuantity(powerSpec(), x) }

// Format is x rounded to the given number of significant digits (1 to 17), with its unit.
func (x Power) Format(significant int) string { return roundQuantity(powerSpec(), x, significant) }

// MarshalText is String; NaN and infinities are errors.
func (x Power) MarshalText() ([]byte, error) { return marshalQuantity(powerSpec(), x) }

// UnmarshalText is [ParsePower]; after an error x is unchanged.
func (x *Power) UnmarshalText(text []byte) error { return unmarshalQuantity(powerSpec(), x, text) }

func powerSpec() quantitySpec {
	return quantitySpec{
		name: "Power",
		noun: "power", base: "W",
		units: []unitSpec{
			{text: "µW", exp: -6, words: "microwatt microwatts"},
			{text: "mW", exp: -3, words: "milliwatt milliwatts"},
			{text: "W", words: "watt watts"},
			{text: "kW", exp: 3, words: "kilowatt kilowatts"},
			{text: "MW", exp: 6, words: "megawatt megawatts"},
		},
		refusals: []refusal{
			{text: "VA", reason: "is an apparent power; write the active power in watt"},
		},
		examples: []string{"8 W", "350 mW", "1.2 kW"},
	}
}

// Resistance is an electric resistance in ohm.
type Resistance float64

// Ohms is a resistance of n ohm.
func Ohms(n float64) Resistance { return Resistance(n) }

// MilliOhms is a resistance of n milliohm, the same float64 as the text "n mΩ".
func MilliOhms(n float64) Resistance { return Resistance(unitSpec{exp: -3}.of(n)) }

// ParseResistance reads a text such as "20 mΩ", "20 mohm" or "4.7 kΩ". Its error is a [*QuantityError].
func ParseResistance(text string) (Resistance, error) {
	return parseQuantity[Resistance](resistanceSpec(), text)
}

// String is a text that [ParseResistance] reads as exactly x.
func (x Resistance) String() string { return printQuantity(resistanceSpec(), x) }

// Format is x rounded to the given number of significant digits (1 to 17), with its unit.
func (x Resistance) Format(significant int) string {
	return roundQuantity(resistanceSpec(), x, significant)
}

// MarshalText is String; NaN and infinities are errors.
func (x Resistance) MarshalText() ([]byte, error) { return marshalQuantity(resistanceSpec(), x) }

// UnmarshalText is [ParseResistance]; after an error x is unchanged.
func (x *Resistance) UnmarshalText(text []byte) error {
	return unmarshalQuantity(resistanceSpec(), x, text)
}

func resistanceSpec() quantitySpec {
	return quantitySpec{
		name: "Resistance",
		noun: "resistance", base: "Ω",
		units: []unitSpec{
			{text: "µΩ", exp: -6, words: "microohm microohms"},
			{text: "mΩ", exp: -3, words: "milliohm milliohms"},
			{text: "Ω", words: "ohms R"},
			{text: "kΩ", exp: 3, words: "kiloohm kiloohms kilohm kilohms k"},
			{text: "MΩ", exp: 6, words: "megaohm megaohms megohm megohms"},
		},
		examples: []string{"20 mΩ", "0.8 ohm", "4.7 kΩ"},
	}
}

// ResistancePerLength is the resistance of a conductor by its length, in ohm per metre. Tables give
// it in ohm per kilometre (IEC 60228) or ohm per 1000 ft (NEC chapter 9), which are both read.
type ResistancePerLength float64

// OhmsPerMetre is a resistance per length of n ohm per metre.
func OhmsPerMetre(n float64) ResistancePerLength { return ResistancePerLength(n) }

// OhmsPerKilometre is a resistance per length of n ohm per kilometre, the same float64 as the
// text "n Ω/km".
func OhmsPerKilometre(n float64) ResistancePerLength {
	return ResistancePerLength(unitSpec{exp: -3}.of(n))
}

// OhmsPerKilofoot is a resistance per length of n ohm per 1000 ft, the same float64 as the text
// "n Ω/kft".
func OhmsPerKilofoot(n float64) ResistancePerLength {
	return ResistancePerLength(unitSpec{exp: 1, div: 3048}.of(n))
}

// ParseResistancePerLength reads a text such as "13.3 Ω/km" or "7.77 ohm/kft". Its error is a [*QuantityError].
func ParseResistancePerLength(text string) (ResistancePerLength, error) {
	return parseQuantity[ResistancePerLength](resistancePerLengthSpec(), text)
}

// String is a text that [ParseResistancePerLength] reads as exactly x.
func (x ResistancePerLength) String() string { return printQuantity(resistancePerLengthSpec(), x) }

// Format is x rounded to the given number of significant digits (1 to 17), with its unit.
func (x ResistancePerLength) Format(significant int) string {
	return roundQuantity(resistancePerLengthSpec(), x, significant)
}

// MarshalText is String; NaN and infinities are errors.
func (x ResistancePerLength) MarshalText() ([]byte, error) {
	return marshalQuantity(resistancePerLengthSpec(), x)
}

// UnmarshalText is [ParseResistancePerLength]; after an error x is unchanged.
func (x *ResistancePerLength) UnmarshalText(text []byte) error {
	return unmarshalQuantity(resistancePerLengthSpec(), x, text)
}

func resistancePerLengthSpec() quantitySpec {
	return quantitySpec{
		name: "ResistancePerLength",
		noun: "resistance per length", base: "Ω/m",
		units: []unitSpec{
			{text: "Ω/km", exp: -3, words: "ohms/km R/km"},
			{text: "mΩ/m", exp: -3, words: "mohms/m"},
			{text: "Ω/kft", exp: 1, div: 3048, words: "ohms/kft"}, // 1000 ft = 304.8 m
			{text: "Ω/m", words: "ohms/m R/m"},
		},
		shown:    []shownUnit{{text: "Ω/km"}},
		examples: []string{"13.3 Ω/km", "13.3 ohm/km", "7.77 Ω/kft"},
	}
}

// Capacitance is a capacitance in farad.
type Capacitance float64

// Farads is a capacitance of n farad.
func Farads(n float64) Capacitance { return Capacitance(n) }

// Microfarads is a capacitance of n microfarad, the same float64 as the text "n µF".
func Microfarads(n float64) Capacitance { return Capacitance(unitSpec{exp: -6}.of(n)) }

// ParseCapacitance reads a text such as "1000 µF" or "100 nF". Its error is a [*QuantityError].
func ParseCapacitance(text string) (Capacitance, error) {
	return parseQuantity[Capacitance](capacitanceSpec(), text)
}

// String is a text that [ParseCapacitance] reads as exactly x.
func (x Capacitance) String() string { return printQuantity(capacitanceSpec(), x) }

// Format is x rounded to the given number of significant digits (1 to 17), with its unit.
func (x Capacitance) Format(significant int) string {
	return roundQuantity(capacitanceSpec(), x, significant)
}

// MarshalText is String; NaN and infinities are errors.
func (x Capacitance) MarshalText() ([]byte, error) { return marshalQuantity(capacitanceSpec(), x) }

// UnmarshalText is [ParseCapacitance]; after an error x is unchanged.
func (x *Capacitance) UnmarshalText(text []byte) error {
	return unmarshalQuantity(capacitanceSpec(), x, text)
}

func capacitanceSpec() quantitySpec {
	return quantitySpec{
		name: "Capacitance",
		noun: "capacitance", base: "F",
		units: []unitSpec{
			{text: "pF", exp: -12, words: "picofarad picofarads"},
			{text: "nF", exp: -9, words: "nanofarad nanofarads"},
			{text: "µF", exp: -6, words: "microfarad microfarads mfd MFD"},
			{text: "mF", exp: -3, words: "millifarad millifarads"},
			{text: "F", words: "farad farads"},
		},
		shown: []shownUnit{ // 4700 µF is how capacitors are marked
			{text: "F", from: 1}, {text: "mF", from: 1e-2}, {text: "µF", from: 1e-6},
			{text: "nF", from: 1e-9}, {text: "pF"},
		},
		examples: []string{"1000 µF", "470 uF", "100 nF"},
	}
}

// JouleIntegral is the joule integral I²t of IEC 60269-1 and IEC 60127-1 in ampere squared seconds.
// The text "kA²s" is refused: by the rules of the SI it is 10⁶ A²s, but data sheets also mean 10³ A²s by it.
type JouleIntegral float64

// AmpereSquaredSeconds is a joule integral of n A²s.
func AmpereSquaredSeconds(n float64) JouleIntegral { return JouleIntegral(n) }

// ParseJouleIntegral reads a text such as "300 A²s" or "1.8e3 A2s". Its error is a [*QuantityError].
func ParseJouleIntegral(text string) (JouleIntegral, error) {
	return parseQuantity[JouleIntegral](jouleIntegralSpec(), text)
}

// String is a text that [ParseJouleIntegral] reads as exactly x.
func (x JouleIntegral) String() string { return printQuantity(jouleIntegralSpec(), x) }

// Format is x rounded to the given number of significant digits (1 to 17), with its unit.
func (x JouleIntegral) Format(significant int) string {
	return roundQuantity(jouleIntegralSpec(), x, significant)
}

// MarshalText is String; NaN and infinities are errors.
func (x JouleIntegral) MarshalText() ([]byte, error) { return marshalQuantity(jouleIntegralSpec(), x) }

// UnmarshalText is [ParseJouleIntegral]; after an error x is unchanged.
func (x *JouleIntegral) UnmarshalText(text []byte) error {
	return unmarshalQuantity(jouleIntegralSpec(), x, text)
}

func jouleIntegralSpec() quantitySpec {
	return quantitySpec{
		name: "JouleIntegral",
		noun: "joule integral", base: "A²s",
		units: []unitSpec{{text: "A²s", also: "A²·s"}},
		refusals: []refusal{
			{text: "kA²s", reason: "is 10⁶ A²s by the rules of the SI, but is often meant as 10³ A²s; write it in A²s"},
			{text: "kA²·s", reason: "is 10⁶ A²s by the rules of the SI, but is often meant as 10³ A²s; write it in A²s"},
		},
		examples: []string{"300 A²s", "0.36 A²s", "1.8e3 A2s"},
	}
}
