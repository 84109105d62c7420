package model

import (
	"math"
	"math/big"
	"strconv"
	"strings"
)

// decimal is the number ±digits·10^exp as it stands in a text. Conversions between
// units that differ by a power of ten change exp only, so nothing is rounded before
// the one correctly rounded step to float64.
type decimal struct {
	digits string // '0' to '9' only, not empty; leading zeros are harmless
	exp    int
	neg    bool // a minus sign was written
	point  bool // a decimal point was written
}

// exponentLimit bounds exponents far outside those of float64 (-324 to 308) while
// sums of a few of them stay far inside int.
const exponentLimit = 100_000

// scanDecimal reads the decimal number at the start of text and returns what follows it.
// It wants digits before, and after, a decimal point: ".5" and "5." are easily misread.
func scanDecimal(text string) (d decimal, rest string, ok bool) {
	d.neg, rest = cutSign(text)
	whole, rest := cutDigits(rest)
	if whole == "" {
		return d, text, false
	}
	d.digits = whole
	if after, found := strings.CutPrefix(rest, "."); found {
		if fraction, after := cutDigits(after); fraction != "" {
			d.digits, d.exp, d.point, rest = whole+fraction, -len(fraction), true, after
		}
	}
	exp, rest := cutExponent(rest)
	d.exp += exp
	return d, rest, true
}

// cutSign takes a plus, hyphen-minus or minus sign (U+2212) off the text.
func cutSign(text string) (neg bool, rest string) {
	for _, minus := range [...]string{"-", "\u2212"} {
		if rest, ok := strings.CutPrefix(text, minus); ok {
			return true, rest
		}
	}
	return false, strings.TrimPrefix(text, "+")
}

func cutDigits(text string) (digits, rest string) {
	n := 0
	for n < len(text) && isDecimalDigit(text[n]) {
		n++
	}
	return text[:n], text[n:]
}

func isDecimalDigit(c byte) bool { return '0' <= c && c <= '9' }

// cutExponent takes an exponent such as e3, E+3 or e-3 off the text, if there is one.
func cutExponent(text string) (exp int, rest string) {
	if text == "" || text[0] != 'e' && text[0] != 'E' {
		return 0, text
	}
	after, sign := text[1:], 1
	if after != "" && (after[0] == '+' || after[0] == '-') {
		if after[0] == '-' {
			sign = -1
		}
		after = after[1:]
	}
	digits, after := cutDigits(after)
	if digits == "" {
		return 0, text
	}
	for i := range len(digits) {
		exp = min(exp*10+int(digits[i]-'0'), exponentLimit)
	}
	return sign * exp, after
}

// decimalOf returns a finite x with the given number of significant digits, or with the
// fewest that identify x if significant is 0. Trailing zeros are dropped.
func decimalOf(x float64, significant int) decimal {
	var buf [32]byte
	return mustDecimal(string(strconv.AppendFloat(buf[:0], x, 'e', significant-1, 64)))
}

// mustDecimal reads a text that strconv or math/big wrote.
func mustDecimal(text string) decimal {
	d, _, _ := scanDecimal(text)
	trimmed := strings.TrimRight(d.digits, "0")
	if trimmed == "" {
		return decimal{digits: "0"}
	}
	d.exp += len(d.digits) - len(trimmed)
	d.digits = trimmed
	return d
}

func (d decimal) zero() bool { return strings.Trim(d.digits, "0") == "" }

// float64 is the float64 nearest to d: ±Inf above the range and 0 below it.
func (d decimal) float64() float64 {
	buf := make([]byte, 0, 64)
	if d.neg {
		buf = append(buf, '-')
	}
	buf = append(buf, d.digits...)
	buf = append(buf, 'e')
	buf = strconv.AppendInt(buf, int64(d.exp), 10)
	x, _ := strconv.ParseFloat(string(buf), 64) // the only error left is the range, which x shows
	return x
}

// text writes d without an exponent where that is easy to read.
func (d decimal) text() string {
	sign := ""
	if d.neg {
		sign = "-"
	}
	const longest, deepest = 12, -3
	point := len(d.digits) + d.exp // where the decimal point stands, from the first digit
	switch {
	case d.zero():
		return "0"
	case point > longest || point < deepest:
		mantissa := d.digits[:1]
		if len(d.digits) > 1 {
			mantissa += "." + d.digits[1:]
		}
		return sign + mantissa + "e" + strconv.Itoa(point-1)
	case point <= 0:
		return sign + "0." + strings.Repeat("0", -point) + d.digits
	case d.exp >= 0:
		return sign + d.digits + strings.Repeat("0", d.exp)
	}
	return sign + d.digits[:point] + "." + d.digits[point:]
}

// toBase converts d of the unit to the nearest float64 of the base unit.
func (u unitSpec) toBase(d decimal) float64 {
	d.exp += u.exp
	if d.zero() {
		return 0
	}
	if u.decimal() {
		return d.float64()
	}
	// Far out of range, powers of ten would only cost memory. A factor or divisor is below 10^15.
	const limit = 400
	if point := len(strings.TrimLeft(d.digits, "0")) + d.exp; point > limit || point < -limit {
		return d.float64()
	}
	exact, _ := new(big.Int).SetString(d.digits, 10)
	ratio := new(big.Rat).SetFrac(
		exact.Mul(exact, scaledInt(u.factor(), d.exp)),
		scaledInt(u.divisor(), -d.exp),
	)
	if d.neg {
		ratio.Neg(ratio)
	}
	x, _ := ratio.Float64() // nearest, ties to even
	return x
}

// scaledInt is n·10^exp for a positive exp and n otherwise.
func scaledInt(n int64, exp int) *big.Int {
	z := big.NewInt(n)
	if exp > 0 {
		z.Mul(z, new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(exp)), nil))
	}
	return z
}

// fromBase converts a finite x of the base unit to a decimal of the unit with the given
// number of significant digits. With significant 0 it takes as many as toBase needs to
// give x again; 17 always suffice, as their spacing is finer than that of float64.
func (u unitSpec) fromBase(x float64, significant int) decimal {
	if u.decimal() {
		d := decimalOf(x, significant)
		d.exp -= u.exp
		return d
	}
	const bits = 256 // far more than 17 digits of the quotient need
	number := new(big.Float).SetPrec(bits).SetFloat64(x)
	number.Mul(number, new(big.Float).SetInt(scaledInt(u.divisor(), -u.exp)))
	number.Quo(number, new(big.Float).SetInt(scaledInt(u.factor(), u.exp)))
	if significant > 0 {
		return mustDecimal(number.Text('e', significant-1))
	}
	var d decimal
	for significant = 15; significant <= 17; significant++ {
		d = mustDecimal(number.Text('e', significant-1))
		if u.toBase(d) == x {
			break
		}
	}
	return d
}

// of is n of the unit in base units: the same float64 that reading the shortest
// text of n with this unit gives. NaN and infinities stay what they are.
func (u unitSpec) of(n float64) float64 {
	if n == 0 || math.IsNaN(n) || math.IsInf(n, 0) {
		return n
	}
	return u.toBase(decimalOf(n, 0))
}
