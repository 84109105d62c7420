package model

// secondsPerYear is 8760 h.
const secondsPerYear = 8760 * 3600

// Duration is a span of time in second: reaction and response times, but also mission times and
// MTTFd. A minute is 60 s, an hour 3600 s, a day 24 h, and a year (a) 8760 h = 365 d, the year
// of the reliability standards.
type Duration float64

// Seconds is a duration of n second.
func Seconds(n float64) Duration { return Duration(n) }

// Milliseconds is a duration of n millisecond, the same float64 as the text "n ms".
func Milliseconds(n float64) Duration { return Duration(unitSpec{exp: -3}.of(n)) }

// Microseconds is a duration of n microsecond, the same float64 as the text "n µs".
func Microseconds(n float64) Duration { return Duration(unitSpec{exp: -6}.of(n)) }

// Minutes is a duration of n minute, the same float64 as the text "n min".
func Minutes(n float64) Duration { return Duration(unitSpec{mul: 60}.of(n)) }

// Hours is a duration of n hour, the same float64 as the text "n h".
func Hours(n float64) Duration { return Duration(unitSpec{mul: 3600}.of(n)) }

// Days is a duration of n day, the same float64 as the text "n d".
func Days(n float64) Duration { return Duration(unitSpec{mul: 86400}.of(n)) }

// Years is a duration of n year of 8760 h, the same float64 as the text "n a".
func Years(n float64) Duration { return Duration(unitSpec{mul: secondsPerYear}.of(n)) }

// ParseDuration reads a text such as "20 ms", "1.5 s" or "20 a". Its error is a [*QuantityError].
func ParseDuration(text string) (Duration, error) {
	return parseQuantity[Duration](durationSpec(), text)
}

// String is a text that [ParseDuration] reads as exactly x.
func (x Duration) String() string { return printQuantity(durationSpec(), x) }

// Format is x rounded to the given number of significant digits (1 to 17), with its unit.
func (x Duration) Format(significant int) string {
	return roundQuantity(durationSpec(), x, significant)
}

// MarshalText is String; NaN and infinities are errors.
func (x Duration) MarshalText() ([]byte, error) { return marshalQuantity(durationSpec(), x) }

// UnmarshalText is [ParseDuration]; after an error x is unchanged.
func (x *Duration) UnmarshalText(text []byte) error {
	return unmarshalQuantity(durationSpec(), x, text)
}

func durationSpec() quantitySpec {
	return quantitySpec{
		name: "Duration",
		noun: "duration", base: "s",
		units: []unitSpec{
			{text: "ns", exp: -9, words: "nsec nanosecond nanoseconds"},
			{text: "µs", exp: -6, words: "usec microsecond microseconds"},
			{text: "ms", exp: -3, words: "msec millisecond milliseconds"},
			{text: "s", words: "sec secs second seconds"},
			{text: "min", mul: 60, words: "mins minute minutes"},
			{text: "h", mul: 3600, words: "hr hrs hour hours"},
			{text: "d", mul: 86400, words: "day days"},
			{text: "a", mul: secondsPerYear, words: "y yr yrs year years"},
		},
		shown: []shownUnit{
			{text: "a", from: secondsPerYear, when: shownWholeOrRounded},
			{text: "d", from: 86400, when: shownWholeOrRounded},
			{text: "h", from: 3600, when: shownWholeOrRounded},
			{text: "min", from: 60, when: shownWholeOrRounded},
			{text: "s", from: 1}, {text: "ms", from: 1e-3}, {text: "µs", from: 1e-6}, {text: "ns"},
		},
		refusals: []refusal{
			{text: "m", reason: "has the unit m, which is the metre", unit: "min"},
			{text: "month", reason: "is in months, which have no fixed length"},
			{text: "months", reason: "is in months, which have no fixed length"},
		},
		examples: []string{"20 ms", "1.5 s", "8 h", "20 a"},
	}
}

// Frequency is a frequency or a rate in 1/s: of a signal, of demands and operations, of dangerous
// failures (PFHd, in 1/h). 1 FIT is 10⁻⁹ 1/h; a year is 8760 h as for [Duration].
type Frequency float64

// Hertz is a frequency of n hertz.
func Hertz(n float64) Frequency { return Frequency(n) }

// PerMinute is a rate of n per minute, the same float64 as the text "n 1/min".
func PerMinute(n float64) Frequency { return Frequency(unitSpec{div: 60}.of(n)) }

// PerHour is a rate of n per hour, the same float64 as the text "n 1/h".
func PerHour(n float64) Frequency { return Frequency(unitSpec{div: 3600}.of(n)) }

// PerDay is a rate of n per day, the same float64 as the text "n 1/d".
func PerDay(n float64) Frequency { return Frequency(unitSpec{div: 86400}.of(n)) }

// PerYear is a rate of n per year of 8760 h, the same float64 as the text "n 1/a".
func PerYear(n float64) Frequency { return Frequency(unitSpec{div: secondsPerYear}.of(n)) }

// ParseFrequency reads a text such as "50 Hz", "12 1/h", "5e-8/h" or "100 FIT". Its error is a [*QuantityError].
func ParseFrequency(text string) (Frequency, error) {
	return parseQuantity[Frequency](frequencySpec(), text)
}

// String is a text that [ParseFrequency] reads as exactly x.
func (x Frequency) String() string { return printQuantity(frequencySpec(), x) }

// Format is x rounded to the given number of significant digits (1 to 17), with its unit.
func (x Frequency) Format(significant int) string {
	return roundQuantity(frequencySpec(), x, significant)
}

// MarshalText is String; NaN and infinities are errors.
func (x Frequency) MarshalText() ([]byte, error) { return marshalQuantity(frequencySpec(), x) }

// UnmarshalText is [ParseFrequency]; after an error x is unchanged.
func (x *Frequency) UnmarshalText(text []byte) error {
	return unmarshalQuantity(frequencySpec(), x, text)
}

func frequencySpec() quantitySpec {
	return quantitySpec{
		name: "Frequency",
		noun: "frequency", base: "Hz",
		units: []unitSpec{
			{text: "FIT", exp: -9, div: 3600, words: "fit"},
			{text: "1/a", also: "/a", div: secondsPerYear, words: "1/y 1/yr 1/year /y /yr /year"},
			{text: "1/d", also: "/d", div: 86400, words: "1/day /day"},
			{text: "1/h", also: "/h", div: 3600, words: "h^-1 h-1 h⁻¹ 1/hr 1/hour /hr /hour"},
			{text: "1/min", also: "/min", div: 60, words: "min^-1 min-1 min⁻¹ 1/minute /minute rpm"},
			{text: "Hz", also: "1/s /s", words: "hertz s^-1 s-1 s⁻¹ 1/sec /sec cps"},
			{text: "kHz", exp: 3, words: "kilohertz"},
			{text: "MHz", exp: 6, words: "megahertz"},
			{text: "GHz", exp: 9, words: "gigahertz"},
		},
		shown: []shownUnit{
			{text: "GHz", from: 1e9}, {text: "MHz", from: 1e6}, {text: "kHz", from: 1e3}, {text: "Hz", from: 0.1},
			{text: "1/min", when: shownWhole}, {text: "1/h", when: shownWhole},
			{text: "1/d", when: shownWhole}, {text: "1/a", when: shownWhole}, {text: "1/h"},
		},
		examples: []string{"50 Hz", "12 1/h", "5e-8/h", "4 1/a"},
	}
}
