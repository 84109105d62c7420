package rules_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/guardwright/guardwright/model/source"
	"github.com/guardwright/guardwright/rules"
)

// ruleOf makes a rule file with one rule whose require: is an expression for ports.
func ruleOf(kind, require string) string {
	return fmt.Sprintf(`format: 1
pack: Test
rules:
  tested:
    for: %s
    severity: error
    say: wrong
    require: |-
      %s
`, kind, strings.ReplaceAll(require, "\n", "\n      "))
}

// TestGoodExpressions: each compiles, and each line says what it shows.
func TestGoodExpressions(t *testing.T) {
	for _, e := range []string{
		`port.limit <= A(1.5)`,
		`port.limit <= A(2) && port.limit >= mA(350)`, // int and double literals, other units
		`port.limit == A(1.5) || port.limit != mA(4)`,
		`port.limit + A(1) - mA(100) < 2 * port.limit`,
		`port.limit * 0.8 < port.limit / 2`,
		`0.8 * port.limit < A(1)`,
		`percent(80) * port.limit < A(1)`,
		`port.limit * percent(80) < port.limit / percent(50)`,
		`port.limit / A(1) < 1.5`, // quantity by quantity is a number
		`ratio(port.limit / A(2)) < percent(90)`,
		`V(24) * port.limit < W(40)`,
		`port.limit * V(24) < W(40)`,
		`W(40) / V(24) < port.limit && W(40) / port.limit < V(28)`,
		`port.limit * ohm(2) < V(5) && V(5) / ohm(2) < port.limit && V(5) / port.limit < mohm(20)`,
		`port.limit < A(4) && ohm_per_km(13.3) * m(100) < ohm(2) && ohm(2) / m(100) < ohm_per_m(1) && ohm(2) / ohm_per_m(1) < m(3)`,
		`port.limit < A(4) && m(1) / m_per_s(2) < s(1) && m_per_s(2) * ms(20) < mm(50) && m(1) / s(1) < m_per_s(2)`,
		`port.limit < A(4) && degC(45) - degC(40) < K(10) && degC(40) + K(5) <= degC(45) && degC(40) - K(5) < degC(40)`,
		`port.limit < A(4) && 1 / ms(20) == Hz(50) && 1.0 / Hz(50) == ms(20) && ms(20) * Hz(100) == 2.0`,
		`port.limit < A(4) && bytes(100) / Mbit_per_s(100) == us(8) && Mbit_per_s(100) * us(8) == bytes(100)`,
		`port.limit < A(4) && joule_integral(A(40), ms(100)) == A2s(160)`,
		`port.limit < A(4) && AWG(18) > mm2(0.8) && AWG(18) < mm2(0.83)`,
		`-port.limit < A(0) && abs(-port.limit) > A(0)`,
		`[port.limit, A(1)].max() <= A(2) && [port.limit, A(1)].min() < A(2)`,
		`[port.limit, A(1)].sum() < A(5) && [1, 2].sum() == 3 && [1.5, 2.0].max() == 2.0`,
		`port.module.ports.all(p, !has(p.limit) || p.limit <= A(2))`,
		`port.module.ports.exists(p, p == port) && port.module.ports.exists_one(p, p == port)`,
		`port.module.ports.filter(p, has(p.device)).map(p, p.device.name).join(", ") != ""`,
		`port.module.ports.map(p, has(p.device), p.device.name).size() > 0`,
		`has(port.device.port.module.zone)`, // any part may be absent
		`port.device.kind in ["guard-switch", "guard-lock"]`,
		`port.limit in [A(1), A(1.5)]`,
		`port.device.name.matches("^g[0-9]+$")`,
		`port.device.name.startsWith("g") && port.device.name.contains("1") && port.device.name.lower() == "g1"`,
		`machine.devices.size() > port.inputs`,
		`double(port.inputs) / 2 > 1.0 && 1 + 1.5 < double(port.inputs) && port.inputs < 2.5`,
		`machine.devices.map(d, d.name).distinct().size() == machine.devices.size() && machine.devices.map(d, d.name).repeated().size() == 0 && port.inputs > 0`,
		`port.module.address.in_subnet("10.8.3.0/24")`,
		`{"A": A(4), "T": A(12)}[port.connector.coding] >= port.limit`,
		`port.set.for == "ossd"`,
		`port.limit.digits(3) == "1.5 A"`,
		`port.sensor.current.within && port.sensor.points.lowest.voltage > V(20)`,
	} {
		_, err := rules.Parse("r.yaml", []byte(ruleOf("port", e)))
		assert.NoError(t, err, e)
	}
}

// TestBadExpressions gives the exact text and place for what does not compile. The expression starts at 9:7.
func TestBadExpressions(t *testing.T) {
	for _, c := range []struct{ expression, want string }{
		{`port.limit < V(24)`, `9:18: a current cannot be compared with a voltage`},
		{`port.limit < 1.5`, `9:18: a current cannot be compared with a number: write the number with its unit, as A(…), mA(…)`},
		{`3 < port.limit`, `9:9: a whole number cannot be compared with a current: write the number with its unit, as A(…), mA(…)`},
		{`port.limit == 1.5`, `9:18: a current cannot be compared with a number: write the number with its unit, as A(…), mA(…)`},
		{`port.limit + V(1) > A(2)`, `9:18: a current cannot be added to a voltage`},
		{`port.limit - V(1) > A(2)`, `9:18: a voltage cannot be subtracted from a current`},
		{`port.limit + 1 > A(2)`, `9:18: a current cannot be added to a whole number: write the number with its unit, as A(…), mA(…)`},
		{`port.limit * port.limit > A(2)`, `9:18: a current cannot be multiplied by a current`},
		{`degC(40) + degC(5) > degC(2)`, `9:16: a temperature cannot be added to a temperature`},
		{`2 * degC(40) > degC(2)`, `9:9: a whole number cannot be multiplied by a temperature`},
		{`port.inputs / 2 > 1`, `9:19: whole numbers are not divided, because the remainder would be dropped: write double(a) / b`},
		{"port.limit < A(4) &&\nport.limit > V(1)", `10:18: a current cannot be compared with a voltage`},
		{`port.limt < A(1)`, `9:11: a port has no field limt; did you mean limit?`},
		{`port.device.type.respons < ms(1)`, `9:23: a device_type has no field respons; did you mean response?`},
		{`port.module.ports.all(p, p.lim < A(1))`, `9:33: a port has no field lim`},
		{`prt.limit < A(1)`, `9:7: prt is not known here; did you mean port?`},
		{`device.name == "g1" && port.inputs > 1`, `9:7: device is not known here: the rule is for port, so it speaks of port and of the machine`},
		{`port.limit < Amp(1)`, `9:23: Amp is not known here`},
		{`port.limit <`, `9:19: the expression ends too early`},
		{`port.limit < A(1))`, `9:24: ) is not expected here`},
		{`port.limit < A(1) # wrong`, `9:25: # means nothing in an expression`},
		{`port{limit: A(1)}.limit < A(1)`, `9:11: a rule cannot make a port: it speaks about what the machine file describes`},
		{`[port.limit, 1].size() > 1`, `9:7: the elements of the list have different types`},
		{`[].size() < port.inputs`, `9:7: an empty list says nothing about the type of its elements: use size() == 0 instead`},
		{`{"a": 1, "b": A(1)}["a"] == port.inputs`, `9:7: the entries of the map have different types`},
		{`port.limit < (port.capped ? A(1) : V(1))`, `9:33: the two results of ? : must have the same type, and the condition must be true or false`},
		{`port.limit`, `9:7: this is a current, wanted a condition that is true or false`},
		{`port.limit.all(x, x > 1)`, `9:11: all(), exists(), map() and the like want a list, found a current`},
		{`has(port.name) && port.inputs > 1`, `9:15: the name of a port is always there: has() says nothing`},
		{`has(port.device.name) || port.inputs > 1`, `9:22: the name of a device is always there: has() says nothing`},
		{`has(port)`, `9:11: has() wants a field, as in has(port.device)`},
		{`port.name.limit > A(1)`, `9:16: a text has no fields`},
		{`port.module.ports.sum() > 1`, `9:28: sum() does not take list of port`},
		{`[degC(4), degC(5)].sum() > degC(1) && port.capped`, `9:29: sum() does not take list of temperature`},
		{`port.device && true`, `9:11: wanted a truth value, found a device`},
		{`A(1) < A(2)`, `9:7: this is always true, so the rule could never find anything`},
		{`port.limit < A(1) && false`, `9:7: this is never true, so the rule would find fault with every port`},
		{`machine.devices.size() > 3`, `9:7: this does not depend on the port: write for: machine, or name a field of port`},
		{`AWG(99) > mm2(1) || port.capped`, `9:10: cross-section "AWG 99" is not a gauge of ASTM B258, which has 4/0 (-3) to 56`},
		{`port.name.matches("(") `, `9:25: `},
		{`dyn(port.limit) < 1.5`, `9:10: dyn is not known here`},
		{`type(port) == type(port)`, `9:11: type is not known here`},
		{`duration("1s") < port.set.filter`, `9:15: duration is not known here`},
		{`port.name == r"\`, `9:21: "\ means nothing in an expression`},
		{`function.name == "a" && port.capped`, `9:7: function is a reserved word of the language and cannot be a name`},
	} {
		_, err := rules.Parse("r.yaml", []byte(ruleOf("port", c.expression)))
		if !assert.Error(t, err, c.expression) {
			continue
		}
		assert.Contains(t, err.Error(), "r.yaml:"+strings.Replace(c.want, ": ", ": rules.tested.require: ", 1), c.expression)
	}
}

// TestPlacesInScalars: the same mistake in every kind of scalar, at its own place.
func TestPlacesInScalars(t *testing.T) {
	for _, c := range []struct{ name, scalar, want string }{
		{"plain", "port.limit < V(24)", "8:25"},
		{"plain over two lines", "port.limit\n        < V(24)", "9:9"},
		{"single quotes", "'port.device.name != \"it''s\" && port.limit < V(24)'", "8:57"},
		{"double quotes", `"port.device.name != \"\u0041\" && port.limit < V(24)"`, "8:60"},
		{"literal", "|\n      port.capped ||\n        port.limit < V(24)", "10:20"},
		{"literal, kept breaks", "|+\n\n      port.limit < V(24)\n\n", "10:18"},
		{"folded", ">-\n      port.capped ||\n      port.limit < V(24)", "10:18"},
		{"behind letters of two bytes", `'port.name != "ÄÖ" && port.limit < V(24)'`, "8:47"},
	} {
		text := "format: 1\npack: Test\nrules:\n  tested:\n    for: port\n    severity: error\n    say: wrong\n    require: " + c.scalar + "\n"
		_, err := rules.Parse("r.yaml", []byte(text))
		var p source.Problem
		require.ErrorAs(t, err, &p, c.name)
		assert.Equal(t, "r.yaml:"+c.want, p.Position.String(), c.name)
		assert.Equal(t, "a current cannot be compared with a voltage", p.Text, c.name)
	}
}
