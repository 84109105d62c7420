package rules_test

import (
	"context"
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/guardwright/guardwright/rules"
)

// value evaluates an expression by printing it in the message of a rule that the machine breaks.
func value(t *testing.T, expression string) string {
	t.Helper()
	set, err := rules.Parse("r.yaml", fmt.Appendf(nil, "format: 1\npack: Test\nrules:\n  tested: {for: machine, severity: error, require: machine.name == \"\", say: '{ %s }'}\n", expression))
	require.NoError(t, err, expression)
	r, err := rules.Check(context.Background(), small(t), set)
	require.NoError(t, err)
	require.Len(t, r.Findings, 1)
	return r.Findings[0].Summary
}

// TestCalculations checks what the operators give. The laws are those of physics (Ohm's law, P = U·I, v = s/t); the
// numbers were worked out by hand.
func TestCalculations(t *testing.T) {
	for _, c := range []struct{ expression, want string }{
		{"A(1.5) + mA(350)", "1.85 A"},
		{"A(1) - mA(350)", "650 mA"},
		{"2 * mA(350)", "700 mA"},
		{"mA(350) * 2.5", "875 mA"},
		{"A(7) / 2", "3.5 A"},
		{"-V(2)", "-2 V"},
		{"A(3) / A(2)", "1.5"},
		{"percent(80) * A(1.5)", "1.2 A"},
		{"A(1.2) / percent(80)", "1.5 A"},
		{"percent(50) * percent(50)", "25 %"},
		{"V(24) * A(1.5)", "36 W"},
		{"A(1.5) * V(24)", "36 W"},
		{"W(36) / V(24)", "1.5 A"},
		{"W(36) / A(1.5)", "24 V"},
		{"A(2) * mohm(250)", "500 mV"},
		{"V(0.5) / A(2)", "250 mΩ"},
		{"V(24) / ohm(12)", "2 A"},
		{"ohm_per_km(13.3) * m(100)", "1.33 Ω"},
		{"ohm(1.33) / m(100)", "13.3 Ω/km"},
		{"ohm(1.33) / ohm_per_km(13.3)", "100 m"},
		{"m_per_s(1.6) * ms(500)", "800 mm"},
		{"mm(800) / m_per_s(1.6)", "500 ms"},
		{"mm(800) / ms(500)", "1600 mm/s"}, // the unit in which approach speeds are given
		{"1 / ms(20)", "50 Hz"},
		{"1 / Hz(50)", "20 ms"},
		{"ms(20) * Hz(50)", "1"},
		{"bytes(1250) / ms(1)", "10 Mbit/s"},
		{"bytes(1250) / Mbit_per_s(10)", "1 ms"},
		{"Mbit_per_s(10) * ms(1)", "1250 B"},
		{"degC(45) - degC(40)", "5 K"},
		{"degC(40) + K(2.5)", "42.5 °C"},
		{"degC(40) - K(60)", "-20 °C"},
		{"joule_integral(A(40), ms(100))", "160 A²s"},
		{"abs(V(1) - V(3))", "2 V"},
		{"[mA(200), A(1), mA(900)].sum()", "2.1 A"},
		{"[mA(200), A(1), mA(900)].min()", "200 mA"},
		{"[mA(200), A(1), mA(900)].max()", "1 A"},
		{"machine.loads.filter(l, l.name == \"none\").map(l, l.min).sum()", "0 V"}, // the empty sum has its quantity
		{"[1, 2, 3].sum()", "6"},
		{"[1.5, 2.0].sum()", "3.5"},
		{"double(7) / 2", "3.5"},
		{"1 + 0.5", "1.5"},
		{"7 % 2", "1"},
		{"A(1.23456)", "1.235 A"}, // four digits in a message
		{"A(1.23456).digits(2)", "1.2 A"},
		{"A(0.1) + A(0.2) == A(0.3)", "true"}, // binary rounding decides nothing
		{"A(0.1) + A(0.2) <= A(0.3)", "true"},
		{"A(0.1) + A(0.2) > A(0.3)", "false"},
		{"A(1) < A(1.0001)", "true"},
		{"minutes(2) == s(120) && hours(2) == minutes(120) && days(1) == hours(24)", "true"},
		{"per_hour(3600) == Hz(1) && per_minute(60) == Hz(1)", "true"},
		{"bits(16) == bytes(2) && ratio(0.8) == percent(80) && us(1000) == ms(1)", "true"},
		{"[\"b\", \"a\", \"b\"].distinct()", "b, a"},
		{"[\"b\", \"a\", \"b\", \"b\"].repeated()", "b"},
		{"[\"b\", \"a\"].join(\" and \")", "b and a"},
		{"\"GATE\".lower()", "gate"},
		{"\"10.8.3.21\".in_subnet(\"10.8.3.0/24\")", "true"},
		{"\"10.8.4.21\".in_subnet(\"10.8.3.0/24\")", "false"},
		{"[1].filter(x, x > 1)", "none"},
	} {
		assert.Equal(t, c.want, value(t, c.expression), c.expression)
	}
}

// TestCalculationsThatFail: what has no value is an error of the rule, never a number.
func TestCalculationsThatFail(t *testing.T) {
	for _, c := range []struct{ expression, want string }{
		{"V(24) / (A(1) - A(1))", "division by zero"},
		{"A(1) / (A(1) - A(1))", "division by zero"},
		{"1.0 / (1.0 - 1.0)", "division by zero"},
		{"A(1) / (1 - 1)", "division by zero"},
		{"7 % (1 - 1)", "modulus by zero"},
		{"machine.loads.filter(l, l.name == \"none\").map(l, l.min).max()", "max() of an empty list: test size() first"},
		{"A(1e300) * 1e300", "the current is not a finite number"},
		{"1e300 * 1e300 * 1", "the result is not a finite number"},
		{"\"10.8.3\".in_subnet(\"10.8.3.0/24\")", `"10.8.3" is no IPv4 address such as 10.8.3.21`},
		{"A(1).digits(0 + 0)", "digits(0): wanted 1 to 15 significant digits"},
		{"[1][3]", "index out of bounds: 3"},
		{"{\"a\": 1}[\"b\"]", "no such key: b"},
	} {
		assert.Contains(t, value(t, c.expression), c.want, c.expression)
	}
}
