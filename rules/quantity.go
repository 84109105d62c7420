package rules

import (
	"fmt"
	"math"
	"reflect"

	"github.com/google/cel-go/common/types"
	"github.com/google/cel-go/common/types/ref"

	"github.com/guardwright/guardwright/model"
)

// quantityType is one quantity as a type of the rule language.
type quantityType struct {
	name   string // in the rule language
	noun   string // in words
	cel    *types.Type
	format func(x float64, significant int) string
	// goType is model's type; nil for a quantity that only the rule language has.
	goType reflect.Type
}

// quantity is a value of a quantity type, in the base unit of model's type.
type quantity struct {
	t *quantityType
	x float64
}

var _ ref.Val = quantity{}

// sameWithin is the relative difference below which two quantities are the same. Binary rounding in a sum of a
// hundred decimal values stays below 1e-13; no physical quantity is known to 1e-12.
const sameWithin = 1e-12

// compare orders two values of one quantity type.
func (q quantity) compare(other quantity) int {
	switch d := q.x - other.x; {
	case math.Abs(d) <= sameWithin*max(math.Abs(q.x), math.Abs(other.x)):
		return 0
	case d < 0:
		return -1
	}
	return 1
}

// ConvertToNative serves callers of cel-go that want a Go number.
func (q quantity) ConvertToNative(t reflect.Type) (any, error) {
	if t.Kind() == reflect.Float64 {
		return reflect.ValueOf(q.x).Convert(t).Interface(), nil
	}
	return nil, fmt.Errorf("a %s is not a %s", q.t.noun, t)
}

// ConvertToType knows no conversion but to itself and to text.
func (q quantity) ConvertToType(t ref.Type) ref.Val {
	switch t {
	case q.t.cel:
		return q
	case types.StringType:
		return types.String(q.text(messageDigits))
	case types.TypeType:
		return q.t.cel
	}
	return types.NewErr("a %s cannot become a %s", q.t.noun, t.TypeName())
}

// Equal is true for the same quantity within rounding.
func (q quantity) Equal(other ref.Val) ref.Val {
	o, ok := other.(quantity)
	return types.Bool(ok && o.t.name == q.t.name && q.compare(o) == 0)
}

// Type returns the quantity's type.
func (q quantity) Type() ref.Type { return q.t.cel }

// Value returns the quantity itself: nothing outside of this package looks into it.
func (q quantity) Value() any { return q }

func (q quantity) text(significant int) string { return q.t.format(q.x, significant) }

// Significant digits of a quantity in a message, and in the values that explain a finding.
const (
	messageDigits = 4
	becauseDigits = 6
)

// of makes a value, or an error where the calculation left the numbers.
func (t *quantityType) of(x float64) ref.Val {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return types.NewErr("the %s is not a finite number", t.noun)
	}
	return quantity{t, x}
}

// modelQuantity is a quantity type of package model.
type modelQuantity interface {
	~float64
	Format(significant int) string
}

// quantityTypes holds the quantity types of the rule language by name and by Go type.
type quantityTypes struct {
	current, voltage, power, resistance, resistancePerLength, length, crossSection, duration, temperature,
	temperatureDifference, ratio, capacitance, jouleIntegral, speed, force, frequency, dataRate, dataSize, angle *quantityType
	byGoType map[reflect.Type]*quantityType
}

func newQuantityTypes() *quantityTypes {
	q := &quantityTypes{
		current:             quantityTypeOf[model.Current]("current", "current"),
		voltage:             quantityTypeOf[model.Voltage]("voltage", "voltage"),
		power:               quantityTypeOf[model.Power]("power", "power"),
		resistance:          quantityTypeOf[model.Resistance]("resistance", "resistance"),
		resistancePerLength: quantityTypeOf[model.ResistancePerLength]("resistance_per_length", "resistance per length"),
		length:              quantityTypeOf[model.Length]("length", "length"),
		crossSection:        quantityTypeOf[model.CrossSection]("cross_section", "cross-section"),
		duration:            quantityTypeOf[model.Duration]("duration", "duration"),
		temperature:         quantityTypeOf[model.Temperature]("temperature", "temperature"),
		temperatureDifference: newQuantityType("temperature_difference", "temperature difference", nil,
			func(x float64, significant int) string {
				return types.Double(roundTo(x, significant)).ConvertToType(types.StringType).Value().(string) + " K"
			}),
		ratio:         quantityTypeOf[model.Ratio]("ratio", "ratio"),
		capacitance:   quantityTypeOf[model.Capacitance]("capacitance", "capacitance"),
		jouleIntegral: quantityTypeOf[model.JouleIntegral]("joule_integral", "joule integral"),
		speed:         quantityTypeOf[model.Speed]("speed", "speed"),
		force:         quantityTypeOf[model.Force]("force", "force"),
		frequency:     quantityTypeOf[model.Frequency]("frequency", "frequency"),
		dataRate:      quantityTypeOf[model.DataRate]("data_rate", "data rate"),
		dataSize:      quantityTypeOf[model.DataSize]("data_size", "data size"),
		angle:         quantityTypeOf[model.Angle]("angle", "angle"),
		byGoType:      map[reflect.Type]*quantityType{},
	}
	for _, t := range q.all() {
		if t.goType != nil {
			q.byGoType[t.goType] = t
		}
	}
	return q
}

func quantityTypeOf[Q modelQuantity](name, noun string) *quantityType {
	return newQuantityType(name, noun, reflect.TypeFor[Q](), func(x float64, significant int) string {
		return Q(x).Format(significant)
	})
}

func newQuantityType(name, noun string, goType reflect.Type, format func(float64, int) string) *quantityType {
	return &quantityType{name: name, noun: noun, cel: types.NewObjectType(typeMark + name), format: format, goType: goType}
}

// all lists the quantity types in the order of the documentation.
func (q *quantityTypes) all() []*quantityType {
	return []*quantityType{
		q.current, q.voltage, q.power, q.resistance, q.resistancePerLength, q.capacitance, q.jouleIntegral,
		q.length, q.crossSection, q.speed, q.force, q.duration, q.frequency, q.temperature, q.temperatureDifference,
		q.ratio, q.dataRate, q.dataSize, q.angle,
	}
}

// of finds the type of the rule language for a quantity of package model.
func (q *quantityTypes) of(goType reflect.Type) *quantityType { return q.byGoType[goType] }

// roundTo rounds to significant digits.
func roundTo(x float64, significant int) float64 {
	if x == 0 || math.IsNaN(x) || math.IsInf(x, 0) {
		return x
	}
	scale := math.Pow10(significant - 1 - int(math.Floor(math.Log10(math.Abs(x)))))
	if math.IsInf(scale, 0) || scale == 0 {
		return x
	}
	return math.Round(x*scale) / scale
}
