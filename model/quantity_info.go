package model

import "strings"

// QuantityInfo describes the text form of one quantity type, for schemas and documentation.
type QuantityInfo struct {
	Name     string   // the Go type, such as "Current"
	Quantity string   // in words, such as "current"
	BaseUnit string   // what the float64 of the type counts
	Units    []string // the units of a text as String spells them, in the order of the table
	Examples []string // valid texts

	// Pattern is a regular expression for the texts that are read, anchored, in the common
	// part of Go's syntax and that of ECMA 262 (JSON Schema). It checks the form only: a text
	// that matches can still be out of range, as "1e999 A" or "-300 °C", or longer than 128 bytes.
	Pattern string
}

// QuantityInfos describes every quantity type, in a fixed order.
func QuantityInfos() []QuantityInfo {
	var infos []QuantityInfo
	for _, q := range quantitySpecs() {
		infos = append(infos, QuantityInfo{
			Name: q.name, Quantity: q.noun, BaseUnit: q.base,
			Units: q.unitTexts(), Examples: q.examples, Pattern: q.pattern(),
		})
	}
	return infos
}

func quantitySpecs() []quantitySpec {
	return []quantitySpec{
		lengthSpec(), crossSectionSpec(), resistanceSpec(), resistancePerLengthSpec(),
		currentSpec(), voltageSpec(), powerSpec(), capacitanceSpec(), jouleIntegralSpec(),
		durationSpec(), frequencySpec(), speedSpec(), forceSpec(), temperatureSpec(),
		ratioSpec(), dataRateSpec(), dataSizeSpec(), angleSpec(),
	}
}

// pattern is built from the same table that read uses.
func (q *quantitySpec) pattern() string {
	const blank, exponent = `[ \xA0]*`, `(?:[eE][+-]?[0-9]+)?`
	sign := `\+?`
	if q.signed {
		sign = "[+\\-\u2212]?"
	}
	var units []string
	for _, u := range q.units {
		units = append(units, spellingPattern(u.text))
		for also := range strings.FieldsSeq(u.also) {
			units = append(units, spellingPattern(also))
		}
	}
	forms := []string{sign + `[0-9]+(?:\.[0-9]+)?` + exponent + blank + "(?:" + strings.Join(units, "|") + ")"}
	if q.bare {
		forms = append(forms, sign+`[0-9]+\.[0-9]+`+exponent)
	}
	if q.gauge {
		forms = append(forms, gaugeWord+blank+gaugePattern, gaugePattern+blank+gaugeWord)
	}
	return "^" + blank + "(?:" + strings.Join(forms, "|") + ")" + blank + "$"
}
