package model

import (
	"encoding/csv"
	"encoding/json"
	"errors"
	"math"
	"math/big"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// anyFloat draws from all finite float64 of either sign, with the rare kinds as likely as the usual.
func anyFloat() *rapid.Generator[float64] {
	bits := rapid.Custom(func(t *rapid.T) float64 {
		return math.Float64frombits(rapid.Uint64().Draw(t, "bits"))
	}).Filter(func(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) })
	subnormal := rapid.Map(rapid.Uint64Range(1, 1<<52-1), math.Float64frombits)
	decimals := rapid.Custom(func(t *rapid.T) float64 {
		n, exp := rapid.IntRange(0, 99999).Draw(t, "n"), rapid.IntRange(-15, 6).Draw(t, "exp")
		x, _ := strconv.ParseFloat(strconv.Itoa(n)+"e"+strconv.Itoa(exp), 64)
		return x
	})
	whole := rapid.Map(rapid.IntRange(0, 1<<40), func(n int) float64 { return float64(n) })
	edges := rapid.SampledFrom([]float64{math.MaxFloat64, math.SmallestNonzeroFloat64, 0x1p-1022, 1, 60, 3600, 86400, 31536000, 1.0 / 3600})
	return rapid.OneOf(bits, subnormal, decimals, whole, edges)
}

// readSigned reads a computed value's text, whose sign a described value may not have.
func readSigned(t *rapid.T, typ quantityType, text string) float64 {
	magnitude, negative := strings.CutPrefix(text, "-")
	x, err := typ.parse(magnitude)
	if err != nil {
		t.Fatalf("%q is not read: %v", text, err)
	}
	if negative {
		return -x
	}
	return x
}

func TestQuantityRoundTrip(t *testing.T) {
	for name, typ := range quantityTypes() {
		t.Run(name, rapid.MakeCheck(func(t *rapid.T) {
			x := anyFloat().Draw(t, "x")
			text := typ.text(x)
			if got := readSigned(t, typ, text); got != x {
				t.Fatalf("%v prints as %q, which reads as %v", x, text, got)
			}
			if x < 0 {
				return
			}
			marshalled, err := typ.marshal(x)
			if err != nil || string(marshalled) != text {
				t.Fatalf("MarshalText(%v) = %q, %v; String is %q", x, marshalled, err, text)
			}
			if got, err := typ.unmarshal(7, text); err != nil || got != x {
				t.Fatalf("UnmarshalText(%q) = %v, %v; want %v", text, got, err, x)
			}
		}))
	}
}

// TestQuantityFormatRounds: at most half a unit in the last digit is lost, seen from outside.
func TestQuantityFormatRounds(t *testing.T) {
	for name, typ := range quantityTypes() {
		t.Run(name, rapid.MakeCheck(func(t *rapid.T) {
			x := rapid.Float64Range(1e-12, 1e12).Draw(t, "x")
			significant := rapid.IntRange(-2, 20).Draw(t, "significant")
			digits := min(max(significant, 1), 17)
			got := readSigned(t, typ, typ.format(x, significant))
			limit := 0.5*math.Pow10(1-digits) + 0x1p-52 // and one rounding to float64
			if math.Abs(got-x) > limit*x*(1+1e-9) {
				t.Fatalf("%v with %d digits is %q", x, digits, typ.format(x, significant))
			}
		}))
	}
}

// TestQuantityCorrectlyRounded compares every unit with exact rational arithmetic of math/big.
func TestQuantityCorrectlyRounded(t *testing.T) {
	for _, q := range quantitySpecs() {
		t.Run(q.name, rapid.MakeCheck(func(t *rapid.T) {
			u := rapid.SampledFrom(q.units).Draw(t, "unit")
			number := rapid.StringMatching(`[0-9]{1,18}(\.[0-9]{1,18})?(e-?[0-9]{1,2})?`).Draw(t, "number")
			exact, ok := new(big.Rat).SetString(number)
			if !ok {
				t.Fatalf("big.Rat does not read %q", number)
			}
			factor, _ := new(big.Rat).SetString("1e" + strconv.Itoa(u.exp))
			exact.Mul(exact, factor)
			exact.Mul(exact, big.NewRat(u.factor(), u.divisor()))
			want, _ := exact.Float64()
			if got, err := quantityTypes()[q.name].parse(number + " " + u.text); err != nil || got != want {
				t.Fatalf("%s %s = %v, %v; want %v", number, u.text, got, err, want)
			}
		}))
	}
}

// TestConstructorsEqualText: a machine built in Go and one read from text have the same numbers.
func TestConstructorsEqualText(t *testing.T) {
	type constructor struct {
		typ, unit string
		make      func(n float64) float64
	}
	tests := []constructor{
		{"Current", "A", func(n float64) float64 { return float64(Amps(n)) }},
		{"Current", "mA", func(n float64) float64 { return float64(MilliAmps(n)) }},
		{"Voltage", "V", func(n float64) float64 { return float64(Volts(n)) }},
		{"Voltage", "mV", func(n float64) float64 { return float64(MilliVolts(n)) }},
		{"Power", "W", func(n float64) float64 { return float64(Watts(n)) }},
		{"Power", "mW", func(n float64) float64 { return float64(MilliWatts(n)) }},
		{"Power", "kW", func(n float64) float64 { return float64(KiloWatts(n)) }},
		{"Resistance", "ohm", func(n float64) float64 { return float64(Ohms(n)) }},
		{"Resistance", "mohm", func(n float64) float64 { return float64(MilliOhms(n)) }},
		{"ResistancePerLength", "ohm/m", func(n float64) float64 { return float64(OhmsPerMetre(n)) }},
		{"ResistancePerLength", "ohm/km", func(n float64) float64 { return float64(OhmsPerKilometre(n)) }},
		{"ResistancePerLength", "ohm/kft", func(n float64) float64 { return float64(OhmsPerKilofoot(n)) }},
		{"Capacitance", "F", func(n float64) float64 { return float64(Farads(n)) }},
		{"Capacitance", "uF", func(n float64) float64 { return float64(Microfarads(n)) }},
		{"JouleIntegral", "A2s", func(n float64) float64 { return float64(AmpereSquaredSeconds(n)) }},
		{"Length", "m", func(n float64) float64 { return float64(Metres(n)) }},
		{"Length", "mm", func(n float64) float64 { return float64(Millimetres(n)) }},
		{"Length", "ft", func(n float64) float64 { return float64(Feet(n)) }},
		{"CrossSection", "mm2", func(n float64) float64 { return float64(SquareMillimetres(n)) }},
		{"Speed", "m/s", func(n float64) float64 { return float64(MetresPerSecond(n)) }},
		{"Speed", "mm/s", func(n float64) float64 { return float64(MillimetresPerSecond(n)) }},
		{"Force", "N", func(n float64) float64 { return float64(Newtons(n)) }},
		{"Temperature", "°C", func(n float64) float64 { return float64(Celsius(n)) }},
		{"Angle", "deg", func(n float64) float64 { return float64(Degrees(n)) }},
		{"Ratio", "%", func(n float64) float64 { return float64(Percent(n)) }},
		{"Duration", "s", func(n float64) float64 { return float64(Seconds(n)) }},
		{"Duration", "ms", func(n float64) float64 { return float64(Milliseconds(n)) }},
		{"Duration", "us", func(n float64) float64 { return float64(Microseconds(n)) }},
		{"Duration", "min", func(n float64) float64 { return float64(Minutes(n)) }},
		{"Duration", "h", func(n float64) float64 { return float64(Hours(n)) }},
		{"Duration", "d", func(n float64) float64 { return float64(Days(n)) }},
		{"Duration", "a", func(n float64) float64 { return float64(Years(n)) }},
		{"Frequency", "Hz", func(n float64) float64 { return float64(Hertz(n)) }},
		{"Frequency", "1/min", func(n float64) float64 { return float64(PerMinute(n)) }},
		{"Frequency", "1/h", func(n float64) float64 { return float64(PerHour(n)) }},
		{"Frequency", "1/d", func(n float64) float64 { return float64(PerDay(n)) }},
		{"Frequency", "1/a", func(n float64) float64 { return float64(PerYear(n)) }},
		{"DataRate", "bit/s", func(n float64) float64 { return float64(BitsPerSecond(n)) }},
		{"DataRate", "Mbit/s", func(n float64) float64 { return float64(MegabitsPerSecond(n)) }},
		{"DataSize", "B", func(n float64) float64 { return float64(Bytes(n)) }},
	}
	types := quantityTypes()
	rapid.Check(t, func(t *rapid.T) {
		tt := rapid.SampledFrom(tests).Draw(t, "constructor")
		n := rapid.Float64Range(0, 1e15).Draw(t, "n")
		text := strconv.FormatFloat(n, 'g', -1, 64) + " " + tt.unit
		want, err := types[tt.typ].parse(text)
		if errorIsTooSmall(err) {
			return
		}
		if got := tt.make(n); err != nil || got != want {
			t.Fatalf("%v of %s is %v; the text %q is %v, %v", n, tt.unit, got, text, want, err)
		}
	})
	for _, tt := range tests {
		if !math.IsNaN(tt.make(math.NaN())) || !math.IsInf(tt.make(math.Inf(-1)), -1) || tt.make(-3) != -tt.make(3) {
			t.Errorf("%s does not keep NaN, infinity or sign", tt.unit)
		}
	}
}

func errorIsTooSmall(err error) bool {
	var quantity *QuantityError
	return errors.As(err, &quantity) && strings.Contains(quantity.Reason, "too small")
}

func TestMarshalTextRefusesWhatIsNotFinite(t *testing.T) {
	for name, typ := range quantityTypes() {
		for _, x := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
			if text, err := typ.marshal(x); err == nil {
				t.Errorf("%s %v marshals as %q", name, x, text)
			}
		}
	}
}

func TestUnmarshalTextKeepsValueOnError(t *testing.T) {
	for name, typ := range quantityTypes() {
		if x, err := typ.unmarshal(7, "rubbish"); err == nil || x != 7 {
			t.Errorf("%s is %v after %v, want 7 and an error", name, x, err)
		}
	}
}

func TestQuantityJSON(t *testing.T) {
	type cable struct {
		Length  Length
		Section CrossSection
		Loss    map[Current]Power
	}
	in := cable{Metres(6), SquareMillimetres(0.34), map[Current]Power{Amps(2): MilliWatts(350)}}
	text, err := json.Marshal(in)
	want := `{"Length":"6 m","Section":"0.34 mm²","Loss":{"2 A":"350 mW"}}`
	if err != nil || string(text) != want {
		t.Fatalf("got %s, %v; want %s", text, err, want)
	}
	var out cable
	if err := json.Unmarshal(text, &out); err != nil || out.Length != in.Length || out.Loss[Amps(2)] != MilliWatts(350) {
		t.Fatalf("read back %v, %v", out, err)
	}
	if err := json.Unmarshal([]byte(`{"Length": 6}`), &out); err == nil {
		t.Error("a bare number must not be read as a length")
	}
}

// quantityRows reads a table of check values by column name.
func quantityRows(t testing.TB, name string) []map[string]string {
	t.Helper()
	file, err := os.Open(filepath.Join("..", "testdata", "quantity", name))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	records, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var rows []map[string]string
	for _, record := range records[1:] {
		row := map[string]string{}
		for i, column := range records[0] {
			row[column] = record[i]
		}
		rows = append(rows, row)
	}
	if len(rows) == 0 {
		t.Fatalf("%s has no rows", name)
	}
	return rows
}

func quantityNumber(t testing.TB, text string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

func TestUnitsAgainstPublishedDefinitions(t *testing.T) {
	types := quantityTypes()
	for _, row := range quantityRows(t, "units.csv") {
		got, err := types[row["type"]].parse(row["text"])
		if want := quantityNumber(t, row["base_value"]); err != nil || got != want {
			t.Errorf("%s %s = %v, %v; want %v (%s)", row["type"], row["text"], got, err, want, row["source"])
		}
	}
}

// TestKilofootAgainstNEC: the table prints both units, each rounded to three digits.
func TestKilofootAgainstNEC(t *testing.T) {
	for _, row := range quantityRows(t, "nec.csv") {
		got, err := ParseResistancePerLength(row["ohm_per_kft"] + " ohm/kft")
		if err != nil {
			t.Fatal(err)
		}
		if text := got.Format(3); text != row["ohm_per_km"]+" Ω/km" {
			t.Errorf("%s ohm/kft is %s, want %s Ω/km (%s)", row["ohm_per_kft"], text, row["ohm_per_km"], row["source"])
		}
	}
}

func TestQuantityInfos(t *testing.T) {
	types := quantityTypes()
	infos := QuantityInfos()
	if len(infos) != len(types) {
		t.Fatalf("%d infos for %d types", len(infos), len(types))
	}
	for _, info := range infos {
		typ, ok := types[info.Name]
		if !ok {
			t.Errorf("no type %s", info.Name)
			continue
		}
		pattern := regexp.MustCompile(info.Pattern)
		if len(info.Examples) < 2 || info.BaseUnit == "" || info.Quantity == "" {
			t.Errorf("%s is not described", info.Name)
		}
		for _, example := range info.Examples {
			if _, err := typ.parse(example); err != nil || !pattern.MatchString(example) {
				t.Errorf("example %q of %s: %v, pattern %v", example, info.Name, err, pattern.MatchString(example))
			}
		}
		for _, unit := range info.Units {
			if text := "1 " + unit; !pattern.MatchString(text) {
				t.Errorf("%s pattern does not match %q", info.Name, text)
			}
		}
		if x := 12.5; !pattern.MatchString(typ.text(x)) {
			t.Errorf("%s pattern does not match what String prints: %q", info.Name, typ.text(x))
		}
	}
}

// TestQuantityTables: no spelling belongs to two units of a type, and the printing steps end with a catch-all.
func TestQuantityTables(t *testing.T) {
	for _, q := range quantitySpecs() {
		for _, u := range q.units {
			for spelling := range strings.FieldsSeq(u.text + " " + u.also + " " + plainSpelling(u.text)) {
				if found, ok := q.unit(spelling); !ok || found.text != u.text {
					t.Errorf("%s: %q finds %q, want %q", q.name, spelling, found.text, u.text)
				}
			}
			for word := range strings.FieldsSeq(u.words) {
				if found, ok := q.unit(word); ok {
					t.Errorf("%s: the refused word %q is read as %s", q.name, word, found.text)
				}
			}
		}
		for i, step := range q.steps() {
			if _, ok := q.unit(step.text); !ok {
				t.Errorf("%s prints the unknown unit %q", q.name, step.text)
			}
			if last := i == len(q.steps())-1; last && (step.from != 0 || step.when != shownAlways) {
				t.Errorf("%s: the last step %v does not take every value", q.name, step)
			}
		}
	}
}

// quantityTexts draws texts that are nearly quantities.
func quantityTexts() *rapid.Generator[string] {
	return rapid.Custom(func(t *rapid.T) string {
		q := rapid.SampledFrom(quantitySpecs()).Draw(t, "type")
		parts := []*rapid.Generator[string]{
			rapid.SampledFrom([]string{"", " ", "\u00a0", "AWG", "AWG "}),
			rapid.SampledFrom([]string{"", "", "+", "-", "\u2212"}),
			rapid.StringMatching(`[0-9]{1,3}((\.|,|_| )[0-9]{1,3})?([eE][+-]?[0-9]{1,3})?(/0)?`),
			rapid.SampledFrom([]string{"", " ", "  ", "\u00a0", "\t"}),
			rapid.SampledFrom(append(q.unitTexts(), "", "ohm", "uA", "A2s", "mm^2", "degC", "byte", "/h", "m", "x")),
			rapid.SampledFrom([]string{"", "", " ", ".", " m"}),
		}
		text := ""
		for _, part := range parts {
			text += part.Draw(t, "part")
		}
		return text
	})
}

// TestPatternAgreesWithParse: the schema lets through what the parser reads, and nothing else
// but numbers that are out of range.
func TestPatternAgreesWithParse(t *testing.T) {
	patterns := map[string]*regexp.Regexp{}
	for _, info := range QuantityInfos() {
		patterns[info.Name] = regexp.MustCompile(info.Pattern)
	}
	types := quantityTypes()
	rapid.Check(t, func(t *rapid.T) {
		text := quantityTexts().Draw(t, "text")
		for name, typ := range types {
			_, err := typ.parse(text)
			outOfRange := err != nil && (strings.Contains(err.Error(), "is too") || strings.Contains(err.Error(), "absolute zero"))
			if matched := patterns[name].MatchString(text); err == nil && !matched || matched && err != nil && !outOfRange {
				t.Fatalf("%s %q: matched %v, error %v", name, text, matched, err)
			}
		}
	})
}

func FuzzParseQuantity(f *testing.F) {
	for _, info := range QuantityInfos() {
		for _, example := range info.Examples {
			f.Add(example)
		}
	}
	for _, text := range []string{
		"", "350", "350 ma", "1,500 A", "1 500 A", "-5 °C", "\u20135 °C", "AWG 00000", "4/0 AWG", "awg", ".5 A", "5. A",
		"0x1p-2 A", "NaN", "1e999 A", "1e-999 1/a", "5 \xff", "1e9999999999999999999 h", "5 M", "10 1/x", "5 A foo", ",", "1,", "1_", "+", "\u2212",
	} {
		f.Add(text)
	}
	types := quantityTypes()
	f.Fuzz(func(t *testing.T, text string) {
		for name, typ := range types {
			x, err := typ.parse(text)
			if err == nil {
				if again, err := typ.parse(typ.text(x)); err != nil || again != x {
					t.Fatalf("%s %q is %v, prints %q, which reads %v, %v", name, text, x, typ.text(x), again, err)
				}
				continue
			}
			var quantity *QuantityError
			if !errors.As(err, &quantity) || quantity.Error() == "" {
				t.Fatalf("%s %q: %v is no QuantityError", name, text, err)
			}
			if quantity.Nearest != "" {
				if _, err := typ.parse(quantity.Nearest); err != nil {
					t.Fatalf("%s %q: the suggestion %q is refused: %v", name, text, quantity.Nearest, err)
				}
			}
		}
	})
}
