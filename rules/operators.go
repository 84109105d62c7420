package rules

import (
	"math"

	"github.com/google/cel-go/common/operators"
	"github.com/google/cel-go/common/overloads"
	"github.com/google/cel-go/common/types"
	"github.com/google/cel-go/common/types/ref"
)

// operatorTable lists what the operators mean for quantities, and for whole numbers beside numbers with a fraction.
// What is not listed does not compile: amperes and volts cannot be compared, nor a current with a bare number.
func operatorTable(q *quantityTypes) []operation {
	var ops []operation
	for _, t := range q.all() {
		ops = append(ops, comparisons(t)...)
		if t != q.temperature {
			ops = append(ops, linear(t)...)
		}
		if t != q.temperature && t != q.ratio && t != q.temperatureDifference {
			ops = append(ops, shares(t, q.ratio)...)
		}
	}
	ops = append(ops, temperatures(q)...)
	for _, p := range products(q) {
		ops = append(ops, p.operations()...)
	}
	ops = append(ops, reciprocals(q)...)
	return append(ops, numbers()...)
}

// comparisons are < <= > >=; == and != are CEL's own and ask the quantity.
func comparisons(t *quantityType) []operation {
	against := func(operator string, holds func(order int) bool) operation {
		return operation{
			function: operator, args: []*types.Type{t.cel, t.cel}, result: types.BoolType,
			binary: func(x, y ref.Val) ref.Val { return types.Bool(holds(x.(quantity).compare(y.(quantity)))) },
		}
	}
	return []operation{
		against(operators.Less, func(o int) bool { return o < 0 }),
		against(operators.LessEquals, func(o int) bool { return o <= 0 }),
		against(operators.Greater, func(o int) bool { return o > 0 }),
		against(operators.GreaterEquals, func(o int) bool { return o >= 0 }),
	}
}

// linear are the operations of a quantity that has a true zero.
func linear(t *quantityType) []operation {
	ops := []operation{
		calculated(operators.Add, t, t, t, func(x, y float64) float64 { return x + y }),
		calculated(operators.Subtract, t, t, t, func(x, y float64) float64 { return x - y }),
		{
			function: operators.Negate, args: []*types.Type{t.cel}, result: t.cel,
			unary: func(x ref.Val) ref.Val { return quantity{t, -x.(quantity).x} },
		},
		{
			function: operators.Divide, args: []*types.Type{t.cel, t.cel}, result: types.DoubleType,
			binary: func(x, y ref.Val) ref.Val { return divided(x.(quantity).x, y.(quantity).x) },
		},
	}
	for _, n := range numberTypes() {
		ops = append(ops,
			operation{
				function: operators.Multiply, args: []*types.Type{t.cel, n}, result: t.cel,
				binary: func(x, y ref.Val) ref.Val { return t.of(x.(quantity).x * number(y)) },
			},
			operation{
				function: operators.Multiply, args: []*types.Type{n, t.cel}, result: t.cel,
				binary: func(x, y ref.Val) ref.Val { return t.of(number(x) * y.(quantity).x) },
			},
			operation{
				function: operators.Divide, args: []*types.Type{t.cel, n}, result: t.cel,
				binary: func(x, y ref.Val) ref.Val {
					if number(y) == 0 {
						return divisionByZero()
					}
					return t.of(x.(quantity).x / number(y))
				},
			})
	}
	return ops
}

// shares are a quantity times or divided by a ratio: 80 % of a limit.
func shares(t, ratio *quantityType) []operation {
	return []operation{
		calculated(operators.Multiply, t, ratio, t, func(x, y float64) float64 { return x * y }),
		calculated(operators.Multiply, ratio, t, t, func(x, y float64) float64 { return x * y }),
		calculated(operators.Divide, t, ratio, t, func(x, y float64) float64 { return x / y }),
	}
}

// temperatures have no true zero in °C: they can be compared and subtracted, and a difference in kelvin can be added.
func temperatures(q *quantityTypes) []operation {
	t, d := q.temperature, q.temperatureDifference
	plus := func(x, y float64) float64 { return x + y }
	minus := func(x, y float64) float64 { return x - y }
	return []operation{
		calculated(operators.Subtract, t, t, d, minus),
		calculated(operators.Add, t, d, t, plus),
		calculated(operators.Add, d, t, t, plus),
		calculated(operators.Subtract, t, d, t, minus),
		calculated(operators.Multiply, d, q.ratio, d, func(x, y float64) float64 { return x * y }),
		calculated(operators.Multiply, q.ratio, d, d, func(x, y float64) float64 { return x * y }),
		calculated(operators.Multiply, q.ratio, q.ratio, q.ratio, func(x, y float64) float64 { return x * y }),
	}
}

// product is a law of the form a · b = factor · c, in the base units of package model.
type product struct {
	a, b, c *quantityType
	factor  float64
}

func products(q *quantityTypes) []product {
	return []product{
		{q.voltage, q.current, q.power, 1},
		{q.current, q.resistance, q.voltage, 1},
		{q.resistancePerLength, q.length, q.resistance, 1},
		{q.speed, q.duration, q.length, 1},
		{q.dataRate, q.duration, q.dataSize, 8}, // a rate counts bits, a size bytes
	}
}

// operations are a·b, b·a, c/a and c/b.
func (p product) operations() []operation {
	times := func(x, y float64) float64 { return x * y / p.factor }
	by := func(x, y float64) float64 { return p.factor * x / y }
	return []operation{
		calculated(operators.Multiply, p.a, p.b, p.c, times),
		calculated(operators.Multiply, p.b, p.a, p.c, times),
		calculated(operators.Divide, p.c, p.a, p.b, by),
		calculated(operators.Divide, p.c, p.b, p.a, by),
	}
}

// reciprocals join durations and frequencies.
func reciprocals(q *quantityTypes) []operation {
	count := func(x, y ref.Val) ref.Val { return finite(x.(quantity).x * y.(quantity).x) }
	ops := []operation{
		{function: operators.Multiply, args: []*types.Type{q.duration.cel, q.frequency.cel}, result: types.DoubleType, binary: count},
		{function: operators.Multiply, args: []*types.Type{q.frequency.cel, q.duration.cel}, result: types.DoubleType, binary: count},
	}
	for _, n := range numberTypes() {
		for _, pair := range [][2]*quantityType{{q.duration, q.frequency}, {q.frequency, q.duration}} {
			ops = append(ops, operation{
				function: operators.Divide, args: []*types.Type{n, pair[0].cel}, result: pair[1].cel,
				binary: func(x, y ref.Val) ref.Val {
					if y.(quantity).x == 0 {
						return divisionByZero()
					}
					return pair[1].of(number(x) / y.(quantity).x)
				},
			})
		}
	}
	return ops
}

// numbers lets whole numbers and numbers with a fraction stand in one calculation, and makes a division by zero an
// error where CEL would go on with an infinity.
func numbers() []operation {
	mixed := func(operator string, apply func(x, y float64) ref.Val) []operation {
		binary := func(x, y ref.Val) ref.Val { return apply(number(x), number(y)) }
		return []operation{
			{function: operator, args: []*types.Type{types.DoubleType, types.IntType}, result: types.DoubleType, binary: binary},
			{function: operator, args: []*types.Type{types.IntType, types.DoubleType}, result: types.DoubleType, binary: binary},
		}
	}
	var ops []operation
	ops = append(ops, mixed(operators.Add, func(x, y float64) ref.Val { return finite(x + y) })...)
	ops = append(ops, mixed(operators.Subtract, func(x, y float64) ref.Val { return finite(x - y) })...)
	ops = append(ops, mixed(operators.Multiply, func(x, y float64) ref.Val { return finite(x * y) })...)
	ops = append(ops, mixed(operators.Divide, divided)...)
	return append(ops, operation{
		function: operators.Divide, replaces: overloads.DivideDouble,
		args: []*types.Type{types.DoubleType, types.DoubleType}, result: types.DoubleType,
		binary: func(x, y ref.Val) ref.Val { return divided(number(x), number(y)) },
	})
}

// calculated is an operation on two quantities that gives a third.
func calculated(operator string, a, b, c *quantityType, f func(x, y float64) float64) operation {
	division := operator == operators.Divide
	return operation{
		function: operator, args: []*types.Type{a.cel, b.cel}, result: c.cel,
		binary: func(x, y ref.Val) ref.Val {
			if division && y.(quantity).x == 0 {
				return divisionByZero()
			}
			return c.of(f(x.(quantity).x, y.(quantity).x))
		},
	}
}

func numberTypes() []*types.Type { return []*types.Type{types.DoubleType, types.IntType} }

// number is the value of an int or double.
func number(v ref.Val) float64 {
	switch n := v.(type) {
	case types.Int:
		return float64(n)
	case types.Double:
		return float64(n)
	}
	return math.NaN()
}

func divided(x, y float64) ref.Val {
	if y == 0 {
		return divisionByZero()
	}
	return finite(x / y)
}

func finite(x float64) ref.Val {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return types.NewErr("the result is not a finite number")
	}
	return types.Double(x)
}

func divisionByZero() ref.Val { return types.NewErr("division by zero") }
