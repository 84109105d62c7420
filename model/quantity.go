package model

import (
	"math"
	"strconv"
	"strings"
)

// quantitySpec describes one quantity type: everything that differs between Current,
// Length and the others stands in its table, the code below is the same for all.
type quantitySpec struct {
	name     string // the Go type
	noun     string // the same in words, for messages
	base     string // what the float64 of the Go type counts
	units    []unitSpec
	shown    []shownUnit // how String chooses; empty: every decimal unit from 1 of it upwards
	refusals []refusal
	examples []string
	signed   bool // a text may carry a minus sign
	bare     bool // a number with a decimal point needs no unit
	gauge    bool // American wire gauge is read and printed
	lowest   float64
	tooLow   string // the reason for refusing less than lowest
}

// shownUnit is one step of String's choice; the first step that fits is taken.
type shownUnit struct {
	text string
	from float64 // in base units
	when shownWhen
}

type shownWhen int

const (
	shownAlways         shownWhen = iota
	shownWhole                    // only for a whole number of the unit
	shownWholeOrRounded           // in String only for a whole number, in Format always
)

// refusal explains a unit that is refused on purpose.
type refusal struct {
	text   string
	reason string
	unit   string // what to suggest instead; may be empty
}

// longestText bounds the work a text can cause; 17 digits and a unit need far less.
const longestText = 128

// blanks may surround a number and its unit; U+00A0 is the no-break space.
const blanks = " \u00a0"

// unit finds the unit that found spells.
func (q *quantitySpec) unit(found string) (unitSpec, bool) {
	for _, u := range q.units {
		if u.text == found {
			return u, true
		}
	}
	for _, u := range q.units {
		if u.spelled(found) {
			return u, true
		}
	}
	return unitSpec{}, false
}

// parseQuantity reads text as a quantity of the type that q describes.
func parseQuantity[T ~float64](q quantitySpec, text string) (T, error) {
	x, reason := q.read(text)
	if reason == "" {
		return T(x), nil
	}
	return 0, q.refuse(text, reason)
}

func unmarshalQuantity[T ~float64](q quantitySpec, target *T, text []byte) error {
	x, err := parseQuantity[T](q, string(text))
	if err == nil {
		*target = x
	}
	return err
}

func printQuantity[T ~float64](q quantitySpec, x T) string { return q.print(float64(x)) }

// roundQuantity writes x with so many significant digits.
func roundQuantity[T ~float64](q quantitySpec, x T, significant int) string {
	return q.printDigits(float64(x), min(max(significant, 1), 17))
}

func marshalQuantity[T ~float64](q quantitySpec, x T) ([]byte, error) {
	text := q.print(float64(x))
	if math.IsNaN(float64(x)) || math.IsInf(float64(x), 0) {
		return nil, &QuantityError{
			Text: text, Quantity: q.noun,
			Reason: "is not a finite number and has no text form",
		}
	}
	return []byte(text), nil
}

// misspelled is read's reason for a text whose form is wrong; refuse finds a better one.
const misspelled = "is not a number followed by a unit"

// read returns the value in base units, or the reason why there is none.
func (q *quantitySpec) read(text string) (x float64, reason string) {
	if len(text) > longestText {
		return 0, "is longer than " + strconv.Itoa(longestText) + " bytes"
	}
	text = strings.Trim(text, blanks)
	if q.gauge && strings.Contains(text, gaugeWord) {
		return readGauge(text)
	}
	number, rest, ok := scanDecimal(text)
	if !ok {
		return 0, misspelled
	}
	rest = strings.TrimLeft(rest, blanks)
	unit, ok := q.unit(rest)
	if !ok && !(rest == "" && q.bare && number.point) {
		return 0, misspelled
	}
	if number.neg && !q.signed {
		return 0, "has a minus sign, but a " + q.noun + " is given as a magnitude"
	}
	x = unit.toBase(number)
	switch {
	case math.IsInf(x, 0):
		return 0, "is too large for a number of " + q.base
	case x == 0 && !number.zero():
		return 0, "is too small for a number of " + q.base
	case q.signed && x < q.lowest:
		return 0, q.tooLow
	}
	return x, ""
}

// print writes a text that reads back as exactly x.
func (q *quantitySpec) print(x float64) string {
	if q.gauge {
		if n, ok := gaugeOf(CrossSection(x)); ok {
			return gaugeText(n)
		}
	}
	return q.printDigits(x, 0)
}

// printDigits writes x with so many significant digits, or with 0 as many as it takes.
func (q *quantitySpec) printDigits(x float64, significant int) string {
	switch {
	case math.IsNaN(x) || math.IsInf(x, 0):
		return strconv.FormatFloat(x, 'g', -1, 64) + " " + q.zeroUnit()
	case x == 0:
		return "0 " + q.zeroUnit()
	}
	d, unit := q.choose(math.Abs(x), significant)
	d.neg = x < 0
	return d.text() + " " + unit
}

// choose picks the unit to print a positive x with. The last step of every table fits any x.
func (q *quantitySpec) choose(x float64, significant int) (d decimal, unit string) {
	size := x
	if significant > 0 { // 999.7 mA in three digits is 1 A
		size = decimalOf(x, significant).float64()
	}
	for _, step := range q.steps() {
		if size < step.from {
			continue
		}
		u, _ := q.unit(step.text)
		if step.when == shownAlways || step.when == shownWholeOrRounded && significant > 0 || u.whole(x) {
			return u.fromBase(x, significant), u.text
		}
	}
	return decimalOf(x, significant), q.base
}

// whole reports whether x is exactly a whole number of the unit, from 1 up to 999999.
func (u unitSpec) whole(x float64) bool {
	d := u.fromBase(x, 15)
	point := len(d.digits) + d.exp
	return d.exp >= 0 && 1 <= point && point <= 6 && u.toBase(d) == x
}

func (q *quantitySpec) steps() []shownUnit {
	if len(q.shown) > 0 {
		return q.shown
	}
	var steps []shownUnit
	for i := len(q.units) - 1; i >= 0; i-- {
		if u := q.units[i]; u.decimal() {
			steps = append(steps, shownUnit{text: u.text, from: math.Pow10(u.exp)})
		}
	}
	steps[len(steps)-1].from = 0
	return steps
}

// zeroUnit is the base unit, or where that is never printed the last step's.
func (q *quantitySpec) zeroUnit() string {
	steps := q.steps()
	for _, step := range steps {
		if step.text == q.base {
			return q.base
		}
	}
	return steps[len(steps)-1].text
}
