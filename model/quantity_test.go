package model

import (
	"encoding"
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"
)

// quantityType lets a test treat every quantity type alike through its exported API.
type quantityType struct {
	parse     func(text string) (float64, error)
	text      func(x float64) string
	format    func(x float64, significant int) string
	marshal   func(x float64) ([]byte, error)
	unmarshal func(before float64, text string) (float64, error)
}

type quantityValue interface {
	~float64
	fmt.Stringer
	encoding.TextMarshaler
	Format(significant int) string
}

func quantityTypeOf[T quantityValue, P interface {
	*T
	encoding.TextUnmarshaler
}](parse func(string) (T, error)) quantityType {
	return quantityType{
		parse:   func(text string) (float64, error) { x, err := parse(text); return float64(x), err },
		text:    func(x float64) string { return T(x).String() },
		format:  func(x float64, significant int) string { return T(x).Format(significant) },
		marshal: func(x float64) ([]byte, error) { return T(x).MarshalText() },
		unmarshal: func(before float64, text string) (float64, error) {
			x := T(before)
			err := P(&x).UnmarshalText([]byte(text))
			return float64(x), err
		},
	}
}

func quantityTypes() map[string]quantityType {
	return map[string]quantityType{
		"Length":              quantityTypeOf(ParseLength),
		"CrossSection":        quantityTypeOf(ParseCrossSection),
		"Resistance":          quantityTypeOf(ParseResistance),
		"ResistancePerLength": quantityTypeOf(ParseResistancePerLength),
		"Current":             quantityTypeOf(ParseCurrent),
		"Voltage":             quantityTypeOf(ParseVoltage),
		"Power":               quantityTypeOf(ParsePower),
		"Capacitance":         quantityTypeOf(ParseCapacitance),
		"JouleIntegral":       quantityTypeOf(ParseJouleIntegral),
		"Duration":            quantityTypeOf(ParseDuration),
		"Frequency":           quantityTypeOf(ParseFrequency),
		"Speed":               quantityTypeOf(ParseSpeed),
		"Force":               quantityTypeOf(ParseForce),
		"Temperature":         quantityTypeOf(ParseTemperature),
		"Ratio":               quantityTypeOf(ParseRatio),
		"DataRate":            quantityTypeOf(ParseDataRate),
		"DataSize":            quantityTypeOf(ParseDataSize),
		"Angle":               quantityTypeOf(ParseAngle),
	}
}

// TestQuantityRead has one row per way of writing; want is a Go constant, so the compiler's
// exact arithmetic and correct rounding are the independent check.
func TestQuantityRead(t *testing.T) {
	tests := []struct {
		typ, text string
		want      float64
		reason    string
	}{
		{"Current", "350 mA", 0.35, "the nearest float64 of 0.35, not of 350*0.001"},
		{"Current", "350mA", 0.35, "the space is optional"},
		{"Current", "  350   mA ", 0.35, "blanks around number and unit do not matter"},
		{"Current", "350\u00a0mA", 0.35, "no-break space, as word processors put it"},
		{"Current", "1.5 A", 1.5, "base unit"},
		{"Current", "+1.5 A", 1.5, "a plus sign is harmless"},
		{"Current", "001.50 A", 1.5, "leading and trailing zeros are harmless"},
		{"Current", "6 kA", 6000, "kilo"},
		{"Current", "10 uA", 10e-6, "u for micro"},
		{"Current", "10 \u00b5A", 10e-6, "micro sign"},
		{"Current", "10 \u03bcA", 10e-6, "Greek mu"},
		{"Current", "1e3 A", 1000, "exponent"},
		{"Current", "1.2E-3 A", 0.0012, "capital exponent"},
		{"Current", "1e+3 mA", 1, "exponent and prefix"},
		{"Current", "0 A", 0, "zero is a quantity"},
		{"Current", "0e999 A", 0, "zero stays zero at any exponent"},
		{"Current", "4.9e-324 A", 5e-324, "smallest subnormal"},
		{"Current", "1.7976931348623157e308 A", math.MaxFloat64, "largest float64"},
		{"Current", "1.7976931348623157e311 mA", math.MaxFloat64, "no overflow on the way"},
		{"Voltage", "24V", 24, ""},
		{"Voltage", "20.4 V", 20.4, ""},
		{"Voltage", "300 mV", 0.3, "300*0.001 would round differently"},
		{"Power", "8 mW", 0.008, "case matters: milli"},
		{"Power", "8 MW", 8e6, "case matters: mega"},
		{"Resistance", "20 mohm", 0.02, "plain letters"},
		{"Resistance", "20 m\u03a9", 0.02, "Greek omega"},
		{"Resistance", "20 m\u2126", 0.02, "ohm sign"},
		{"Resistance", "4.7 kohm", 4700, ""},
		{"Resistance", "1 Mohm", 1e6, ""},
		{"ResistancePerLength", "13.3 ohm/km", 0.0133, "IEC 60228 Table 3, 1.5 mm²"},
		{"ResistancePerLength", "13.3 Ω/km", 0.0133, ""},
		{"ResistancePerLength", "13.3 mΩ/m", 0.0133, "the same unit in other words"},
		{"ResistancePerLength", "0.0133 ohm/m", 0.0133, ""},
		{"ResistancePerLength", "7.77 ohm/kft", 7.77 / 304.8, "NEC chapter 9 Table 8"},
		{"Length", "6 m", 6, ""},
		{"Length", "85 cm", 0.85, ""},
		{"Length", "850 mm", 0.85, ""},
		{"Length", "1.2 km", 1200, ""},
		{"Length", "0.1 ft", 0.03048, "0.1*0.3048 would round differently"},
		{"Length", "7 in", 0.1778, ""},
		{"CrossSection", "0.34 mm2", 0.34, ""},
		{"CrossSection", "0.34 mm²", 0.34, ""},
		{"CrossSection", "0.34 mm^2", 0.34, ""},
		{"Duration", "20 ms", 0.02, ""},
		{"Duration", "100 us", 100e-6, ""},
		{"Duration", "2.5 min", 150, ""},
		{"Duration", "0.1 h", 360, "exact although 0.1 is not a float64"},
		{"Duration", "20 a", 20 * 8760 * 3600, "mission time of ISO 13849-1"},
		{"Frequency", "10 1/h", 10.0 / 3600, ""},
		{"Frequency", "10/h", 10.0 / 3600, "a bare slash reads the same"},
		{"Frequency", "101/h", 101.0 / 3600, "the number takes every digit it can"},
		{"Frequency", "5e-8 1/h", 5e-8 / 3600, "PFHd"},
		{"Frequency", "50 FIT", 5e-8 / 3600, "the same rate"},
		{"Frequency", "2 1/s", 2, ""},
		{"Frequency", "4 1/a", 4.0 / 31536000, ""},
		{"Speed", "1600 mm/s", 1.6, "ISO 13855 walking speed"},
		{"Speed", "3.6 km/h", 1, ""},
		{"Force", "1.5 kN", 1500, ""},
		{"Temperature", "40 °C", 40, ""},
		{"Temperature", "40 degC", 40, ""},
		{"Temperature", "-25°C", -25, ""},
		{"Temperature", "\u221225 °C", -25, "minus sign U+2212"},
		{"Temperature", "-273.15 °C", -273.15, "absolute zero itself"},
		{"Angle", "30°", 30, "the sign stands at the number, as printed"},
		{"Angle", "12.5 deg", 12.5, "letters that every keyboard has"},
		{"Ratio", "5 %", 0.05, ""},
		{"Ratio", "0.07%", 0.0007, "0.07/100 would round differently"},
		{"Ratio", "0.91", 0.91, "a factor needs no unit, but a point"},
		{"Ratio", "1.0", 1, ""},
		{"Ratio", "125 %", 1.25, ""},
		{"Capacitance", "1000 µF", 1e-3, ""},
		{"Capacitance", "100 nF", 1e-7, ""},
		{"JouleIntegral", "300 A²s", 300, ""},
		{"JouleIntegral", "300 A2s", 300, ""},
		{"JouleIntegral", "300 A²·s", 300, ""},
		{"DataRate", "100 Mbit/s", 1e8, ""},
		{"DataSize", "64 byte", 64, ""},
		{"DataSize", "16 bit", 2, ""},
		{"DataSize", "1.5 kB", 1500, ""},
	}
	types := quantityTypes()
	for _, tt := range tests {
		got, err := types[tt.typ].parse(tt.text)
		if err != nil || got != tt.want {
			t.Errorf("%s %q = %v, %v; want %v (%s)", tt.typ, tt.text, got, err, tt.want, tt.reason)
		}
	}
}

func TestQuantityRefused(t *testing.T) {
	tests := []struct {
		typ, text string
		want      string // part of Reason
		nearest   string
	}{
		{"Current", "", "is empty", ""},
		{"Current", "   ", "is empty", ""},
		{"Current", "350", "has no unit", ""},
		{"Current", "A", "does not start with a decimal number", ""},
		{"Current", "mA 350", "does not start with a decimal number", ""},
		{"Current", "350 ma", `unknown unit "ma"`, "350 mA"},
		{"Current", "350 m A", `unknown unit "m A"`, "350 mA"},
		{"Current", "350 UA", `unknown unit "UA"`, "350 uA"},
		{"Current", "1.5 amps", `unknown unit "amps"`, "1.5 A"},
		{"Current", "24 V", "has a unit of voltage", ""},
		{"Current", "20 a", "has a unit of duration", "20 A"},
		{"Current", "5 A foo", `has "foo" after the unit`, "5 A"},
		{"Current", "5 A.", `unknown unit "A."`, ""},
		{"Current", "-1.5 A", "has a minus sign", ""},
		{"Current", "-0 A", "has a minus sign", ""},
		{"Current", "1,5 A", "decimal comma", "1.5 A"},
		{"Current", "1,500 A", "may divide thousands or be a decimal comma", ""},
		{"Current", "1,500.5 A", "commas between digits", "1500.5 A"},
		{"Current", "1,000,000 A", "commas between digits", "1000000 A"},
		{"Current", "1.500,5 A", "comma after a decimal point", ""},
		{"Current", "1.000.000 A", "more than one decimal point", ""},
		{"Current", "1 500 A", `has " " between digits`, "1500 A"},
		{"Current", "1 500 000 A", `has " " between digits`, "1500000 A"},
		{"Current", "1'500 A", `has "'" between digits`, "1500 A"},
		{"Current", "1_500 A", `has "_" between digits`, "1500 A"},
		{"Current", ".5 A", "no digit before the decimal point", "0.5 A"},
		{"Current", "5. A", "no digit after the decimal point", "5 A"},
		{"Current", "0x1p-2 A", "hexadecimal", ""},
		{"Current", "0xA", "hexadecimal", ""},
		{"Current", "NaN A", "is not a finite number", ""},
		{"Current", "Inf A", "is not a finite number", ""},
		{"Current", "-infinity", "is not a finite number", ""},
		{"Current", ".nan", "is not a finite number", ""},
		{"Current", "1e999 A", "is too large", ""},
		{"Current", "1e-999 A", "is too small", ""},
		{"Current", "1e99999999999999999999 A", "is too large", ""},
		{"Current", "1e-99999999999999999999 A", "is too small", ""},
		{"Duration", "1e99999999999999999999 h", "is too large", ""},
		{"Duration", "1e-99999999999999999999 h", "is too small", ""},
		{"Duration", "1e308 h", "is too large", ""},
		{"Frequency", "4.9e-324 1/a", "is too small", ""},
		{"Current", "1e A", "unknown unit", ""},
		{"Current", "--1 A", "does not start", ""},
		{"Current", "1.5 A\n", "white space other than blanks", "1.5 A"},
		{"Current", "-1.5\tA", "has a minus sign", ""},
		{"Current", "1.5\tA", "white space other than blanks", "1.5 A"},
		{"Current", "1.5\u202fA", "white space other than blanks", "1.5 A"},
		{"Current", strings.Repeat("9", 200) + " A", "is longer than 128 bytes", ""},
		{"Current", "1 \xff\xfe", "unknown unit", ""},
		{"Power", "5 Mw", "may be mW or MW", ""},
		{"Power", "5 VA", "apparent power", ""},
		{"Power", "5 KW", `unknown unit "KW"`, "5 kW"},
		{"Resistance", "5 Ohm", `unknown unit "Ohm"`, "5 ohm"},
		{"Resistance", "-5 ohm", "has a minus sign", ""},
		{"Length", "-6 m", "has a minus sign", ""},
		{"Length", "6", "has no unit", ""},
		{"Length", "6 M", `unknown unit "M"`, "6 m"},
		{"CrossSection", "-1 mm2", "has a minus sign", ""},
		{"CrossSection", "1.5 mm", "has a unit of length", ""}, // it may be a diameter
		{"CrossSection", "awg 18", "not spelled AWG", "AWG 18"},
		{"CrossSection", "18 awg", `unknown unit "awg"`, "18 AWG"},
		{"CrossSection", "AWG 18.5", "is not a gauge", ""},
		{"CrossSection", "AWG -1", "is not a gauge", ""},
		{"CrossSection", "AWG 57", "is not a gauge", ""},
		{"CrossSection", "AWG 5/0", "is not a gauge", ""},
		{"CrossSection", "AWG 08", "is not a gauge", ""},
		{"CrossSection", "AWG", "is not a gauge", ""},
		{"CrossSection", "AWG 18 AWG", "is not a gauge", ""},
		{"Duration", "-20 ms", "has a minus sign", ""},
		{"Duration", "5 m", "which is the metre", "5 min"},
		{"Duration", "5 sec", `unknown unit "sec"`, "5 s"},
		{"Duration", "20 years", `unknown unit "years"`, "20 a"},
		{"Duration", "3 months", "no fixed length", ""},
		{"Duration", "20 MS", `unknown unit "MS"`, "20 ms"},
		{"Angle", "0.5 rad", "is in radian", ""},
		{"Angle", "58 %", "is a slope", ""},
		{"Temperature", "300 K", "is in kelvin", ""},
		{"Temperature", "104 °F", "Fahrenheit", ""},
		{"Temperature", "104 degF", "Fahrenheit", ""},
		{"Temperature", "45 C", "coulomb", "45 °C"},
		{"Temperature", "45", "has no unit", ""},
		{"Temperature", "-300 °C", "below absolute zero", ""},
		{"Temperature", "\u20135 °C", "dash that is not a minus sign", "-5 °C"},
		{"Ratio", "5", "write 5 % or, as a factor, 5.0", ""},
		{"Ratio", "1.25 x", "has an x", "1.25"},
		{"Ratio", "-5 %", "has a minus sign", ""},
		{"Ratio", "-0.05", "has a minus sign", ""},
		{"JouleIntegral", "1.8 kA²s", "10⁶ A²s", ""},
		{"JouleIntegral", "1.8 kA2s", "10⁶ A²s", ""},
		{"Speed", "5 kmh", `unknown unit "kmh"`, "5 km/h"},
		{"Frequency", "10 1/x", `unknown unit "1/x"`, ""},
		{"Frequency", "10 h", "has a unit of duration", ""},
		{"DataRate", "100 Mbps", `unknown unit "Mbps"`, "100 Mbit/s"},
		{"DataRate", "100 MBps", `unknown unit "MBps"`, ""},
		{"DataSize", "64 KB", `unknown unit "KB"`, "64 kB"},
	}
	types := quantityTypes()
	for _, tt := range tests {
		x, err := types[tt.typ].parse(tt.text)
		var quantity *QuantityError
		if !errors.As(err, &quantity) {
			t.Errorf("%s %q = %v, %v; want a *QuantityError", tt.typ, tt.text, x, err)
			continue
		}
		if x != 0 || quantity.Text != tt.text || !strings.Contains(quantity.Reason, tt.want) || quantity.Nearest != tt.nearest {
			t.Errorf("%s %q: %v\n  reason %q, want %q\n  nearest %q, want %q",
				tt.typ, tt.text, err, quantity.Reason, tt.want, quantity.Nearest, tt.nearest)
		}
		if len(quantity.Units) == 0 {
			t.Errorf("%s %q names no units", tt.typ, tt.text)
		}
		if quantity.Nearest != "" {
			if _, err := types[tt.typ].parse(quantity.Nearest); err != nil {
				t.Errorf("%s: the suggestion %q is refused: %v", tt.typ, quantity.Nearest, err)
			}
		}
	}
}

func TestQuantityErrorText(t *testing.T) {
	_, err := ParseCurrent("350 ma")
	want := `current "350 ma" has the unknown unit "ma"; units are µA, mA, A, kA; did you mean "350 mA"?`
	if err.Error() != want {
		t.Errorf("got  %s\nwant %s", err, want)
	}
	_, err = ParseCurrent(strings.Repeat("x", 100))
	if len(err.Error()) > 200 {
		t.Errorf("an error line should stay short: %s", err)
	}
}

func TestQuantityText(t *testing.T) {
	tests := []struct {
		text, rounded string // rounded to three digits
		value         fmt.Stringer
		format        func(int) string
	}{
		{"350 mA", "350 mA", MilliAmps(350), MilliAmps(350).Format},
		{"1.5 A", "1.5 A", Amps(1.5), Amps(1.5).Format},
		{"0 A", "0 A", Amps(0), Amps(0).Format},
		{"0 A", "0 A", Current(math.Copysign(0, -1)), Current(math.Copysign(0, -1)).Format},
		{"999.96 mA", "1 A", MilliAmps(999.96), MilliAmps(999.96).Format},
		{"-350 mA", "-350 mA", MilliAmps(-350), MilliAmps(-350).Format},
		{"0.1 µA", "0.1 µA", Current(1e-7), Current(1e-7).Format},
		{"1e300 kA", "1e300 kA", Current(1e303), Current(1e303).Format},
		{"NaN A", "NaN A", Current(math.NaN()), Current(math.NaN()).Format},
		{"+Inf A", "+Inf A", Current(math.Inf(1)), Current(math.Inf(1)).Format},
		{"24 V", "24 V", Volts(24), Volts(24).Format},
		{"22.40412345 V", "22.4 V", Volts(22.40412345), Volts(22.40412345).Format},
		{"8 W", "8 W", Watts(8), Watts(8).Format},
		{"20 mΩ", "20 mΩ", MilliOhms(20), MilliOhms(20).Format},
		{"13.3 Ω/km", "13.3 Ω/km", OhmsPerKilometre(13.3), OhmsPerKilometre(13.3).Format},
		{"0 Ω/km", "0 Ω/km", OhmsPerKilometre(0), OhmsPerKilometre(0).Format},
		{"6 m", "6 m", Metres(6), Metres(6).Format},
		{"850 mm", "850 mm", Millimetres(850), Millimetres(850).Format},
		{"0.34 mm²", "0.34 mm²", SquareMillimetres(0.34), SquareMillimetres(0.34).Format},
		{"20 ms", "20 ms", Milliseconds(20), Milliseconds(20).Format},
		{"90 s", "1.5 min", Seconds(90), Seconds(90).Format},
		{"90 min", "1.5 h", Minutes(90), Minutes(90).Format},
		{"8 h", "8 h", Hours(8), Hours(8).Format},
		{"20 a", "20 a", Years(20), Years(20).Format},
		{"1000000000.5 s", "31.7 a", Seconds(1000000000.5), Seconds(1000000000.5).Format},
		{"50 Hz", "50 Hz", Hertz(50), Hertz(50).Format},
		{"3 1/min", "3 1/min", PerMinute(3), PerMinute(3).Format},
		{"12 1/h", "12 1/h", PerHour(12), PerHour(12).Format},
		{"5e-8 1/h", "5e-8 1/h", PerHour(5e-8), PerHour(5e-8).Format},
		{"4 1/a", "4 1/a", PerYear(4), PerYear(4).Format},
		{"0 Hz", "0 Hz", Hertz(0), Hertz(0).Format},
		{"1600 mm/s", "1600 mm/s", MetresPerSecond(1.6), MetresPerSecond(1.6).Format},
		{"1500 N", "1500 N", Newtons(1500), Newtons(1500).Format},
		{"45 °C", "45 °C", Celsius(45), Celsius(45).Format},
		{"-25 °C", "-25 °C", Celsius(-25), Celsius(-25).Format},
		{"5 %", "5 %", Percent(5), Percent(5).Format},
		{"125 %", "125 %", Ratio(1.25), Ratio(1.25).Format},
		{"NaN %", "NaN %", Ratio(math.NaN()), Ratio(math.NaN()).Format},
		{"0 %", "0 %", Ratio(0), Ratio(0).Format},
		{"1000 µF", "1000 µF", Microfarads(1000), Microfarads(1000).Format},
		{"22 mF", "22 mF", Microfarads(22000), Microfarads(22000).Format},
		{"300 A²s", "300 A²s", AmpereSquaredSeconds(300), AmpereSquaredSeconds(300).Format},
		{"29756.25 A²s", "29800 A²s", AmpereSquaredSeconds(29756.25), AmpereSquaredSeconds(29756.25).Format},
		{"100 Mbit/s", "100 Mbit/s", MegabitsPerSecond(100), MegabitsPerSecond(100).Format},
		{"1500 B", "1500 B", Bytes(1500), Bytes(1500).Format},
	}
	for _, tt := range tests {
		if got := tt.value.String(); got != tt.text {
			t.Errorf("String of %T is %q, want %q", tt.value, got, tt.text)
		}
		if got := tt.format(3); got != tt.rounded {
			t.Errorf("Format(3) of %T %s is %q, want %q", tt.value, tt.text, got, tt.rounded)
		}
	}
}
