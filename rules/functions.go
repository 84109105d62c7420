package rules

import (
	"fmt"
	"net/netip"
	"strings"

	"github.com/google/cel-go/common/types"
	"github.com/google/cel-go/common/types/ref"
	"github.com/google/cel-go/common/types/traits"

	"github.com/guardwright/guardwright/model"
)

// function is a function of the rule language with all its meanings and its documentation.
type function struct {
	name, about, example string
	operations           []operation
}

// functionTable lists the functions that rules have beyond CEL's own.
func functionTable(q *quantityTypes) []function {
	fs := literals(q)
	fs = append(fs, aggregates(q)...)
	return append(fs, helpers(q)...)
}

// literals make quantities from numbers. The factors are those of package model, so that mA(350) is the very float64
// that a file's 350 mA is.
func literals(q *quantityTypes) []function {
	return []function{
		literal("A", "current in ampere", q.current, of(model.Amps)),
		literal("mA", "current in milliampere", q.current, of(model.MilliAmps)),
		literal("V", "voltage in volt", q.voltage, of(model.Volts)),
		literal("mV", "voltage in millivolt", q.voltage, of(model.MilliVolts)),
		literal("W", "power in watt", q.power, of(model.Watts)),
		literal("mW", "power in milliwatt", q.power, of(model.MilliWatts)),
		literal("kW", "power in kilowatt", q.power, of(model.KiloWatts)),
		literal("ohm", "resistance in ohm", q.resistance, of(model.Ohms)),
		literal("mohm", "resistance in milliohm", q.resistance, of(model.MilliOhms)),
		literal("ohm_per_m", "resistance per length in ohm per metre", q.resistancePerLength, of(model.OhmsPerMetre)),
		literal("ohm_per_km", "resistance per length in ohm per kilometre", q.resistancePerLength, of(model.OhmsPerKilometre)),
		literal("F", "capacitance in farad", q.capacitance, of(model.Farads)),
		literal("uF", "capacitance in microfarad", q.capacitance, of(model.Microfarads)),
		literal("A2s", "joule integral in ampere squared seconds", q.jouleIntegral, of(model.AmpereSquaredSeconds)),
		literal("m", "length in metre", q.length, of(model.Metres)),
		literal("mm", "length in millimetre", q.length, of(model.Millimetres)),
		literal("mm2", "cross-section in square millimetre", q.crossSection, of(model.SquareMillimetres)),
		gauge(q.crossSection),
		literal("m_per_s", "speed in metre per second", q.speed, of(model.MetresPerSecond)),
		literal("mm_per_s", "speed in millimetre per second", q.speed, of(model.MillimetresPerSecond)),
		literal("N", "force in newton", q.force, of(model.Newtons)),
		literal("us", "duration in microseconds", q.duration, of(model.Microseconds)),
		literal("ms", "duration in milliseconds", q.duration, of(model.Milliseconds)),
		literal("s", "duration in seconds", q.duration, of(model.Seconds)),
		literal("minutes", "duration in minutes", q.duration, of(model.Minutes)),
		literal("hours", "duration in hours", q.duration, of(model.Hours)),
		literal("days", "duration in days", q.duration, of(model.Days)),
		literal("years", "duration in years", q.duration, of(model.Years)),
		literal("Hz", "frequency in hertz", q.frequency, of(model.Hertz)),
		literal("per_minute", "frequency per minute", q.frequency, of(model.PerMinute)),
		literal("per_hour", "frequency per hour", q.frequency, of(model.PerHour)),
		literal("per_year", "frequency per year", q.frequency, of(model.PerYear)),
		literal("degC", "temperature in degrees Celsius", q.temperature, of(model.Celsius)),
		literal("K", "difference of two temperatures in kelvin", q.temperatureDifference, func(x float64) float64 { return x }),
		literal("deg", "angle in degrees", q.angle, of(model.Degrees)),
		literal("percent", "ratio in per cent", q.ratio, of(model.Percent)),
		literal("ratio", "ratio as a number: ratio(0.8) is 80 %", q.ratio, func(x float64) float64 { return x }),
		literal("Mbit_per_s", "data rate in megabit per second", q.dataRate, of(model.MegabitsPerSecond)),
		literal("bytes", "data size in bytes", q.dataSize, of(model.Bytes)),
		literal("bits", "data size in bits", q.dataSize, func(x float64) float64 { return x / 8 }),
	}
}

func of[Q ~float64](make func(float64) Q) func(float64) float64 {
	return func(x float64) float64 { return float64(make(x)) }
}

func literal(name, about string, t *quantityType, base func(float64) float64) function {
	f := function{name: name, about: about, example: name + "(1.5)"}
	for _, n := range numberTypes() {
		f.operations = append(f.operations, operation{
			function: name, args: []*types.Type{n}, result: t.cel,
			unary: func(x ref.Val) ref.Val { return t.of(base(number(x))) },
		})
	}
	return f
}

func gauge(t *quantityType) function {
	return function{
		name: "AWG", about: "cross-section of an American wire gauge (ASTM B258); 0 is 1/0, -3 is 4/0", example: "AWG(18)",
		operations: []operation{{
			function: "AWG", args: []*types.Type{types.IntType}, result: t.cel,
			unary: func(x ref.Val) ref.Val {
				section, err := model.AWG(int(max(min(x.(types.Int), 1000), -1000)))
				if err != nil {
					return types.WrapErr(err)
				}
				return t.of(float64(section))
			},
		}},
	}
}

// aggregates reduce a list of quantities or numbers to one.
func aggregates(q *quantityTypes) []function {
	sum := function{name: "sum", about: "sum of a list; that of an empty list is zero of the list's quantity",
		example: "port.device.loads.filter(l, has(l.current)).map(l, l.current).sum()"}
	least := function{name: "min", about: "smallest element of a list; an empty list has none, which is an error of the rule", example: "[V(24), supply.type.min].min()"}
	greatest := function{name: "max", about: "largest element of a list; an empty list has none, which is an error of the rule", example: "[mA(20), mA(30)].max()"}
	for _, t := range q.all() {
		plus := func(a, b ref.Val) ref.Val { return t.of(a.(quantity).x + b.(quantity).x) }
		order := func(a, b ref.Val) int { return a.(quantity).compare(b.(quantity)) }
		if t != q.temperature {
			sum.operations = append(sum.operations, reduction("sum", t.cel, t.of(0), plus))
		}
		least.operations = append(least.operations, extreme("min", t.cel, func(a, b ref.Val) bool { return order(a, b) < 0 }))
		greatest.operations = append(greatest.operations, extreme("max", t.cel, func(a, b ref.Val) bool { return order(a, b) > 0 }))
	}
	sum.operations = append(sum.operations,
		reduction("sum", types.IntType, types.IntZero, func(a, b ref.Val) ref.Val { return a.(types.Int).Add(b) }),
		reduction("sum", types.DoubleType, types.Double(0), func(a, b ref.Val) ref.Val { return finite(number(a) + number(b)) }))
	for _, n := range numberTypes() {
		least.operations = append(least.operations, extreme("min", n, func(a, b ref.Val) bool { return number(a) < number(b) }))
		greatest.operations = append(greatest.operations, extreme("max", n, func(a, b ref.Val) bool { return number(a) > number(b) }))
	}
	return []function{sum, least, greatest}
}

func reduction(name string, element *types.Type, zero ref.Val, plus func(a, b ref.Val) ref.Val) operation {
	return operation{
		function: name, member: true, args: []*types.Type{types.NewListType(element)}, result: element,
		unary: func(x ref.Val) ref.Val {
			total := zero
			for v := range elements(x) {
				if total = plus(total, v); types.IsError(total) {
					return total
				}
			}
			return total
		},
	}
}

func extreme(name string, element *types.Type, better func(a, b ref.Val) bool) operation {
	return operation{
		function: name, member: true, args: []*types.Type{types.NewListType(element)}, result: element,
		unary: func(x ref.Val) ref.Val {
			var best ref.Val
			for v := range elements(x) {
				if best == nil || better(v, best) {
					best = v
				}
			}
			if best == nil {
				return types.NewErr("%s() of an empty list: test size() first", name)
			}
			return best
		},
	}
}

// elements iterates over a CEL list.
func elements(list ref.Val) func(yield func(ref.Val) bool) {
	return func(yield func(ref.Val) bool) {
		for it := list.(traits.Lister).Iterator(); it.HasNext() == types.True; {
			if !yield(it.Next()) {
				return
			}
		}
	}
}

// helpers are functions for messages, names and addresses.
func helpers(q *quantityTypes) []function {
	abs := function{name: "abs", about: "magnitude of a quantity or number", example: "abs(a.voltage - b.voltage) < V(1)"}
	digits := function{name: "digits", about: "text of a quantity or number with so many significant digits, 1 to 15", example: "{port.current.digits(2)}"}
	for _, t := range q.all() {
		if t != q.temperature {
			abs.operations = append(abs.operations, operation{
				function: "abs", args: []*types.Type{t.cel}, result: t.cel,
				unary: func(x ref.Val) ref.Val { return quantity{t, max(x.(quantity).x, -x.(quantity).x)} },
			})
		}
		digits.operations = append(digits.operations, withDigits(t.cel, func(x ref.Val, n int) string { return x.(quantity).text(n) }))
	}
	abs.operations = append(abs.operations,
		operation{function: "abs", args: []*types.Type{types.DoubleType}, result: types.DoubleType,
			unary: func(x ref.Val) ref.Val { return finite(max(number(x), -number(x))) }},
		operation{function: "abs", args: []*types.Type{types.IntType}, result: types.IntType,
			unary: func(x ref.Val) ref.Val {
				if x.(types.Int) < 0 {
					return x.(types.Int).Negate()
				}
				return x
			}})
	digits.operations = append(digits.operations, withDigits(types.DoubleType, func(x ref.Val, n int) string { return numberText(number(x), n) }))
	return []function{abs, digits, jouleIntegralOf(q), inSubnet(), covers(), joined(), lower(), undecided(),
		filtered("distinct", "elements of a list without repetitions, in their order", func(count int) bool { return count == 1 }),
		filtered("repeated", "elements that occur more than once in a list, each once", func(count int) bool { return count == 2 }),
	}
}

func withDigits(t *types.Type, text func(x ref.Val, n int) string) operation {
	return operation{
		function: "digits", member: true, args: []*types.Type{t, types.IntType}, result: types.StringType,
		binary: func(x, n ref.Val) ref.Val {
			if n.(types.Int) < 1 || n.(types.Int) > 15 {
				return types.NewErr("digits(%d): wanted 1 to 15 significant digits", n.(types.Int))
			}
			return types.String(text(x, int(n.(types.Int))))
		},
	}
}

func jouleIntegralOf(q *quantityTypes) function {
	return function{
		name: "joule_integral", about: "I²t of a current that flows for a time", example: "joule_integral(A(40), ms(100))",
		operations: []operation{{
			function: "joule_integral", args: []*types.Type{q.current.cel, q.duration.cel}, result: q.jouleIntegral.cel,
			binary: func(i, t ref.Val) ref.Val {
				return q.jouleIntegral.of(i.(quantity).x * i.(quantity).x * t.(quantity).x)
			},
		}},
	}
}

func inSubnet() function {
	return function{
		name: "in_subnet", about: "true when an IPv4 address lies in a subnet", example: `module.address.in_subnet("10.8.3.0/24")`,
		operations: []operation{{
			function: "in_subnet", member: true, args: []*types.Type{types.StringType, types.StringType}, result: types.BoolType,
			binary: func(a, p ref.Val) ref.Val {
				addr, err := netip.ParseAddr(string(a.(types.String)))
				if err != nil {
					return types.NewErr("%q is no IPv4 address such as 10.8.3.21", shortText(string(a.(types.String))))
				}
				prefix, err := netip.ParsePrefix(string(p.(types.String)))
				if err != nil {
					return types.NewErr("%q is no IPv4 subnet such as 10.8.3.0/24", shortText(string(p.(types.String))))
				}
				return types.Bool(prefix.Contains(addr))
			},
		}},
	}
}

func covers() function {
	return function{
		name: "covers", about: "true when a degree of protection includes another (IEC 60529: immersion does not include jets, nor jets immersion)",
		example: "device.type.ingress.covers(device.zone.ingress)",
		operations: []operation{{
			function: "covers", member: true, args: []*types.Type{types.StringType, types.StringType}, result: types.BoolType,
			binary: func(have, want ref.Val) ref.Val {
				codes := [2]model.IngressCode{}
				for i, v := range []ref.Val{have, want} {
					code, err := model.ParseIngressCode(shortText(string(v.(types.String))))
					if err != nil {
						return types.NewErr("%v", err)
					}
					codes[i] = code
				}
				return types.Bool(codes[0].Covers(codes[1]))
			},
		}},
	}
}

func joined() function {
	return function{
		name: "join", about: "the texts of a list in one, with a text between them", example: `machine.modules.map(m, m.name).join(", ")`,
		operations: []operation{{
			function: "join", member: true, args: []*types.Type{types.NewListType(types.StringType), types.StringType}, result: types.StringType,
			binary: func(list, between ref.Val) ref.Val {
				var b strings.Builder
				for v := range elements(list) {
					if b.Len() > 0 {
						b.WriteString(string(between.(types.String)))
					}
					b.WriteString(string(v.(types.String)))
					if b.Len() > longestText {
						return types.NewErr("join() made a text of more than %d bytes", longestText)
					}
				}
				return types.String(b.String())
			},
		}},
	}
}

// undecided lets a rule say itself that data are missing where no field is absent.
func undecided() function {
	return function{
		name: "undecided", about: "makes the rule not decidable at the object, for the reason given", example: `list.size() > 0 || undecided("the list is not stated")`,
		operations: []operation{{
			// apply and not unary: the compiler tries unary functions on constants, and this one always fails.
			function: "undecided", args: []*types.Type{types.StringType}, result: types.BoolType,
			apply: func(args []ref.Val) ref.Val { return types.WrapErr(&absentError{why: string(args[0].(types.String))}) },
		}},
	}
}

func lower() function {
	return function{
		name: "lower", about: "a text in lower case", example: "device.label.lower()",
		operations: []operation{{
			function: "lower", member: true, args: []*types.Type{types.StringType}, result: types.StringType,
			unary: func(x ref.Val) ref.Val { return types.String(strings.ToLower(string(x.(types.String)))) },
		}},
	}
}

// filtered keeps an element of a list of texts or whole numbers when its count so far says so.
func filtered(name, about string, keep func(count int) bool) function {
	f := function{name: name, about: about, example: "machine.modules.map(m, m.label)." + name + "()"}
	for _, t := range []*types.Type{types.StringType, types.IntType} {
		list := types.NewListType(t)
		f.operations = append(f.operations, operation{
			function: name, member: true, args: []*types.Type{list}, result: list,
			unary: func(x ref.Val) ref.Val {
				count := map[ref.Val]int{}
				kept := []ref.Val{}
				for v := range elements(x) {
					if count[v]++; keep(count[v]) {
						kept = append(kept, v)
					}
				}
				return types.NewRefValList(types.DefaultTypeAdapter, kept)
			},
		})
	}
	return f
}

// longestText bounds the texts that a rule may make.
const longestText = 1 << 20

// shortText keeps an error readable whatever was found.
func shortText(s string) string {
	const longest = 60
	if r := []rune(s); len(r) > longest {
		return string(r[:longest]) + "…"
	}
	return s
}

// numberText prints a number with significant digits and without trailing zeros.
func numberText(x float64, significant int) string { return fmt.Sprintf("%.*g", significant, x) }
