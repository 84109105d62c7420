package schema_test

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"pgregory.net/rapid"

	"github.com/guardwright/guardwright/model"
)

// quantity is a quantity type of package model by its functions.
type quantity struct {
	name   string
	print  func(x float64) string
	round  func(x float64, digits int) string
	parse  func(text string) error
	lowest float64
}

func quantityOf[T interface {
	~float64
	fmt.Stringer
	Format(digits int) string
}](parse func(string) (T, error)) quantity {
	return quantity{
		name:  strings.TrimPrefix(fmt.Sprintf("%T", T(0)), "model."),
		print: func(x float64) string { return T(x).String() },
		round: func(x float64, digits int) string { return T(x).Format(digits) },
		parse: func(text string) error {
			_, err := parse(text)
			return err
		},
	}
}

func quantities() []quantity {
	temperature := quantityOf(model.ParseTemperature)
	temperature.lowest = -273.15
	return []quantity{
		temperature,
		quantityOf(model.ParseAngle), quantityOf(model.ParseCapacitance), quantityOf(model.ParseCrossSection),
		quantityOf(model.ParseCurrent), quantityOf(model.ParseDataRate), quantityOf(model.ParseDataSize),
		quantityOf(model.ParseDuration), quantityOf(model.ParseForce), quantityOf(model.ParseFrequency),
		quantityOf(model.ParseJouleIntegral), quantityOf(model.ParseLength), quantityOf(model.ParsePower),
		quantityOf(model.ParseRatio), quantityOf(model.ParseResistance), quantityOf(model.ParseResistancePerLength),
		quantityOf(model.ParseSpeed), quantityOf(model.ParseVoltage),
	}
}

// TestQuantities: the list above is that of the model.
func TestQuantities(t *testing.T) {
	var known, want []string
	for _, q := range quantities() {
		known = append(known, q.name)
	}
	for _, info := range model.QuantityInfos() {
		want = append(want, info.Name)
	}
	if !slices.Equal(sorted(known), sorted(want)) {
		t.Errorf("the tests know %q, the model has %q", sorted(known), sorted(want))
	}
}

// forms are the validators of the quantities that the files use.
func forms(t *testing.T) map[string]*jsonschema.Schema {
	t.Helper()
	out := map[string]*jsonschema.Schema{}
	for _, text := range schemas() {
		document := parsed(t, text)
		c := compiler(t, text, draft2020)
		for name := range document["$defs"].(map[string]any) {
			if slices.ContainsFunc(quantities(), func(q quantity) bool { return q.name == name }) {
				s, err := c.Compile(document["$id"].(string) + "#/$defs/" + name)
				if err != nil {
					t.Fatal(err)
				}
				out[name] = s
			}
		}
	}
	return out
}

// TestPrintedQuantities: what the model prints, of any size and with any number of digits, the schema takes.
func TestPrintedQuantities(t *testing.T) {
	validators := forms(t)
	if len(validators) < 15 {
		t.Fatalf("the schemas define %d quantities only", len(validators))
	}
	for _, q := range quantities() {
		validator, ok := validators[q.name]
		if !ok {
			continue // no file has this quantity
		}
		t.Run(q.name, func(t *testing.T) {
			rapid.Check(t, func(t *rapid.T) {
				x := rapid.OneOf(rapid.Float64Range(q.lowest, 1e6), rapid.Float64Range(0, 1e-3), rapid.Float64Range(0, math.MaxFloat64/1e16)).Draw(t, "x")
				for _, text := range []string{q.print(x), q.round(x, rapid.IntRange(1, 17).Draw(t, "digits"))} {
					if err := validator.Validate(text); err != nil {
						t.Errorf("%q: %v", text, err)
					}
				}
			})
		})
	}
}

// TestOddSpellings: pattern and parser take and refuse the same texts, for numbers of every shape with the units of
// all quantities, right and wrong.
func TestOddSpellings(t *testing.T) {
	numbers := []string{
		"5", "0", "007", "+5", "-5", "\u22125", "\u20135", "--5", "5.25", "5.", ".5", "5..2", "5e3", "5E+3", "5e-3", "5e", "5e+", "5e1.5",
		"1,5", "1_000", "1 000", "1'000", "0x1F", "NaN", "Inf", "\u0665", "", "five",
	}
	blanks := []string{"", " ", "  ", "\u00a0", "\u202f", "\t", "\n"}
	units := []string{
		"", "ma", "MA", "Ohm", "OHM", "ohms", "uA", "\u03bcA", "\u2126", "mm2", "mm^2", "mm\u00b3", "AWG", "AWG 18", "degC", "C", "\u2103", "K", "percent",
		"s.", "m m", "mtr", "sec", "min", "hr", "Mbps", "MB/s", "kA\u00b2s", "A2s", "A^2s", "A\u00b2\u00b7s", "x", "h^-1", "1/h", "/h", "Nm", "\u00b0", "deg", "rad",
	}
	for _, info := range model.QuantityInfos() {
		units = append(units, info.Units...)
	}
	slices.Sort(units)
	units = slices.Compact(units)
	validators, defined := forms(t), definitions(t)
	var texts []string
	for _, unit := range units {
		for _, number := range numbers {
			texts = append(texts, number+" "+unit)
		}
		for _, blank := range blanks {
			texts = append(texts, "5"+blank+unit, blank+"-5.5 "+unit, "5.5e1"+unit+blank)
		}
	}
	for _, q := range quantities() {
		validator, ok := validators[q.name]
		if !ok {
			continue
		}
		form := regexp.MustCompile(defined[q.name]["pattern"].(string))
		good := 0
		for _, text := range texts {
			read := q.parse(text) == nil
			if read {
				good++
			}
			if form.MatchString(text) != read {
				t.Errorf("%s %q: the parser says %v, the pattern %v", q.name, text, read, !read)
			}
		}
		if good < 20 {
			t.Errorf("%s: only %d of the spellings are good", q.name, good)
		}
		for _, text := range []string{"AWG 4/0", "AWG 0000", "AWG 57", "AWG00", "4/0 AWG", "AWG 018", "5 V", "5.5 mm²", "20 °C"} {
			if (validator.Validate(text) == nil) != (q.parse(text) == nil) {
				t.Errorf("%s: parser and schema differ on %q", q.name, text)
			}
		}
	}
}

// definitions are those of all schemas. A scalar has the same definition in each.
func definitions(t *testing.T) map[string]map[string]any {
	t.Helper()
	out := map[string]map[string]any{}
	for _, text := range schemas() {
		for name, s := range parsed(t, text)["$defs"].(map[string]any) {
			out[name] = s.(map[string]any)
		}
	}
	return out
}

// TestExamplesOfQuantities: what an editor offers is right.
func TestExamplesOfQuantities(t *testing.T) {
	validators, defined := forms(t), definitions(t)
	for _, q := range quantities() {
		if validators[q.name] == nil {
			continue
		}
		examples, _ := defined[q.name]["examples"].([]any)
		if len(examples) == 0 {
			t.Errorf("%s has no example", q.name)
		}
		for _, example := range examples {
			if err := q.parse(example.(string)); err != nil {
				t.Error(err)
			}
			if err := validators[q.name].Validate(example); err != nil {
				t.Errorf("%s: %v", q.name, err)
			}
		}
	}
}

// TestOtherScalars: pattern and parser take and refuse the same texts.
func TestOtherScalars(t *testing.T) {
	type unmarshaler interface{ UnmarshalText([]byte) error }
	defined := definitions(t)
	for name, test := range map[string]struct {
		into  unmarshaler
		texts string // separated by |
	}{
		"IngressCode": {new(model.IngressCode), "IP00|IP67|IP69|IP69K|IP6X|IPX7|IP79|IP7|ip67|IP 67| IP67|IP67 |IP6\u0667|"},
		"Date":        {new(model.Date), "2031-12-31|2031-1-1|2031-01-01|31.12.2031|2031-00-10|2031-13-01|2031-10-00|2031-10-32|1899-12-31|1900-01-01|9999-12-31|10000-01-01|2031-12-31T00:00:00Z|2031/12/31|"},
		"IPAddress":   {new(model.IPAddress), "10.8.3.21|0.0.0.0|255.255.255.255|256.1.1.1|1.256.1.1|1.1.1|1.1.1.1.1|01.1.1.1|1.1.1.001|::1|1.1.1.1 |a.b.c.d|1.1.1.1%eth0|1.1.1.-1|99.199.200.249|"},
		"IPPrefix":    {new(model.IPPrefix), "10.8.3.0/24|0.0.0.0/0|10.8.3.4/32|10.8.3.0/33|10.8.3.0/024|10.8.3.0/|10.8.3.0|10.8.3.0/+4|::/0|10.0.0.0/8|10.128.0.0/9|10.8.3.0/24 |"},
	} {
		form := regexp.MustCompile(defined[name]["pattern"].(string))
		for text := range strings.SplitSeq(test.texts, "|") {
			if err := test.into.UnmarshalText([]byte(text)); (err == nil) != form.MatchString(text) {
				t.Errorf("%s %q: the parser says %v, the pattern %v", name, text, err, form.MatchString(text))
			}
		}
	}
}

// TestBuiltinKinds: the kinds that are offered are those of the model.
func TestBuiltinKinds(t *testing.T) {
	kind := definitions(t)["KindName"]
	offered, form := kind["examples"].([]any), regexp.MustCompile(kind["pattern"].(string))
	for name := range model.BuiltinKinds() {
		if !slices.Contains(offered, any(name)) || !form.MatchString(name) {
			t.Errorf("%s is not offered, or not taken", name)
		}
	}
	if len(offered) != len(model.BuiltinKinds()) {
		t.Errorf("%d kinds are offered, the model has %d", len(offered), len(model.BuiltinKinds()))
	}
}
