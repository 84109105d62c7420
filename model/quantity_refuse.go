package model

import (
	"strconv"
	"strings"
)

// refuse makes the error for a text that read refused with the given reason.
func (q *quantitySpec) refuse(text, reason string) *QuantityError {
	err := &QuantityError{Text: text, Quantity: q.noun, Reason: reason, Units: q.unitTexts()}
	if reason != misspelled {
		return err
	}
	trimmed := strings.Join(strings.Fields(text), " ")
	switch _, reason = q.read(trimmed); reason {
	case "":
		err.Reason, err.Nearest = "has white space other than blanks in it", trimmed
	case misspelled:
		var candidates []string
		err.Reason, candidates = q.formFault(trimmed)
		err.Nearest = q.onlyValid(candidates)
	default:
		err.Reason = reason
	}
	return err
}

// formFault finds what keeps text from being a number followed by a unit, and texts that
// may have been meant.
func (q *quantitySpec) formFault(text string) (reason string, candidates []string) {
	number, rest, ok := scanDecimal(text)
	if !ok {
		return q.startFault(text)
	}
	written := text[:len(text)-len(rest)]
	if reason, candidates = separatorFault(written, rest); reason != "" {
		return reason, candidates
	}
	return q.unitFault(written, number, strings.TrimLeft(rest, blanks))
}

// onlyValid is the one candidate that can be read. Where two can, as for "5 Mw",
// suggesting either could be wrong by nine decades, so there is no suggestion.
func (q *quantitySpec) onlyValid(candidates []string) string {
	valid := ""
	for _, candidate := range candidates {
		if _, reason := q.read(candidate); reason != "" || candidate == valid {
			continue
		}
		if valid != "" {
			return ""
		}
		valid = candidate
	}
	return valid
}

func (q *quantitySpec) unitTexts() []string {
	var texts []string
	for _, u := range q.units {
		texts = append(texts, u.text)
	}
	if q.gauge {
		texts = append(texts, gaugeWord)
	}
	return texts
}

// startFault explains a text that does not start with a number.
func (q *quantitySpec) startFault(text string) (reason string, candidates []string) {
	if text == "" {
		return "is empty", nil
	}
	unsigned := strings.TrimLeft(text, "+-\u2212")
	switch lower := strings.ToLower(unsigned); {
	case strings.HasPrefix(lower, "nan"), strings.HasPrefix(lower, "inf"), strings.HasPrefix(lower, ".inf"), strings.HasPrefix(lower, ".nan"):
		return "is not a finite number", nil
	case q.gauge && strings.HasPrefix(lower, "awg"):
		return "has a gauge that is not spelled AWG", []string{gaugeWord + unsigned[len(gaugeWord):]}
	case len(unsigned) > 1 && unsigned[0] == '.' && isDecimalDigit(unsigned[1]):
		sign := text[:len(text)-len(unsigned)]
		return "has no digit before the decimal point", []string{sign + "0" + unsigned}
	}
	for _, dash := range [...]string{"\u2013", "\u2014", "\u2010", "\u2011"} {
		if rest, ok := strings.CutPrefix(text, dash); ok {
			return "starts with a dash that is not a minus sign", []string{"-" + rest}
		}
	}
	return "does not start with a decimal number", nil
}

// separatorFault explains digits that are divided by anything but one decimal point.
// An empty reason means that the number is well written.
func separatorFault(written, rest string) (reason string, candidates []string) {
	switch {
	case rest == "":
		return "", nil
	case (rest[0] == 'x' || rest[0] == 'X') && strings.TrimLeft(written, "+-0") == "" && len(rest) > 1 && isHexDigit(rest[1]):
		return "looks like a hexadecimal number; only decimal numbers are read", nil
	case rest[0] == '.' && !startsWithDigit(rest[1:]) && !strings.Contains(written, "."):
		return "has no digit after the decimal point", []string{written + rest[1:]}
	case rest[0] == '.':
		return "has more than one decimal point, or a stray one", nil
	}
	separator := leadingSeparator(rest)
	if separator == "" || !startsWithDigit(rest[len(separator):]) {
		return "", nil
	}
	if separator == "," {
		return commaFault(written, rest)
	}
	if strings.Trim(separator, blanks) == "" && !startsWithGroup(rest[len(separator):]) {
		return "", nil // "10 1/x" has a wrong unit rather than a divided number
	}
	return "has " + strconv.Quote(separator) + " between digits; write them without separators",
		[]string{written + withoutSeparator(rest, separator)}
}

// leadingSeparator is what people put between groups of three digits.
func leadingSeparator(text string) string {
	for _, separator := range [...]string{",", "_", "'", "\u2019", " ", "\u00a0", "\u202f", "\u2009"} {
		if strings.HasPrefix(text, separator) {
			return separator
		}
	}
	return ""
}

// withoutSeparator removes the separator wherever a digit follows it.
func withoutSeparator(text, separator string) string {
	parts := strings.Split(text, separator)
	joined := parts[0]
	for _, part := range parts[1:] {
		if !startsWithDigit(part) {
			joined += separator
		}
		joined += part
	}
	return joined
}

// commaFault: "1,5 A" can only be a decimal comma, "1,500.5 A" and "1,000,000 A" only
// separators of thousands, but "1,500 A" may be either.
func commaFault(written, rest string) (reason string, candidates []string) {
	const rule = "write a decimal point, and thousands without separators"
	groups := strings.Split(rest, ",")[1:]
	switch digits, after := cutDigits(groups[0]); {
	case strings.Contains(written, "."):
		return "has a comma after a decimal point; " + rule, nil
	case len(groups) == 1 && len(digits) != 3:
		return "has a decimal comma; " + rule, []string{written + "." + rest[1:]}
	case len(groups) == 1 && !strings.HasPrefix(after, "."):
		return "has a comma that may divide thousands or be a decimal comma; " + rule, nil
	}
	return "has commas between digits; " + rule, []string{written + withoutSeparator(rest, ",")}
}

func startsWithDigit(text string) bool { return text != "" && isDecimalDigit(text[0]) }

// startsWithGroup reports whether text starts with exactly three digits.
func startsWithGroup(text string) bool {
	digits, _ := cutDigits(text)
	return len(digits) == 3
}

func isHexDigit(c byte) bool {
	return isDecimalDigit(c) || 'a' <= c|0x20 && c|0x20 <= 'f' || c == '.'
}

// unitFault explains what is wrong with the unit after a well written number.
func (q *quantitySpec) unitFault(written string, number decimal, found string) (reason string, candidates []string) {
	if found == "" {
		if q.bare {
			return "has no unit; write " + written + " % or, as a factor, " + number.text() + ".0", nil
		}
		return "has no unit", nil
	}
	with := func(units ...string) (texts []string) {
		for _, unit := range units {
			texts = append(texts, strings.TrimSpace(written+" "+unit))
		}
		return texts
	}
	for _, r := range q.refusals {
		if sameSpelling(r.text, found) {
			return r.reason, with(r.unit)
		}
	}
	if unit, extra, ok := q.unitThenMore(found); ok {
		return "has " + strconv.Quote(extra) + " after the unit", with(unit)
	}
	reason = "has the unknown unit " + strconv.Quote(shortened(found))
	if other := otherQuantity(found, q.name); other != "" {
		reason = "has a unit of " + other
	}
	if reads := q.readingsOf(found); len(reads) > 1 {
		return reason + ", which may be " + strings.Join(reads, " or "), nil
	} else {
		return reason, with(reads...)
	}
}

// unitThenMore splits "A foo" into the unit A and what should not be there.
func (q *quantitySpec) unitThenMore(found string) (unit, extra string, ok bool) {
	unit, extra, ok = strings.Cut(found, " ")
	if ok {
		_, ok = q.unit(unit)
	}
	return unit, strings.TrimSpace(extra), ok
}

// otherQuantity names the quantity, other than the one called except, that the unit belongs to.
func otherQuantity(found, except string) string {
	for _, q := range quantitySpecs() {
		if _, ok := q.unit(found); ok && q.name != except {
			return q.noun
		}
	}
	return ""
}

// readingsOf lists the units that found may have been meant for, by the first test that finds
// any: a word for the unit, wrong upper or lower case, one wrong letter in a longer unit.
func (q *quantitySpec) readingsOf(found string) []string {
	plain := plainSpelling(found)
	tests := [...]func(u unitSpec) bool{
		func(u unitSpec) bool { return hasWord(u.words, found) },
		func(u unitSpec) bool { return u.spelled(withoutInnerBlanks(found)) },
		func(u unitSpec) bool { return strings.EqualFold(plainSpelling(u.text), plain) },
		func(u unitSpec) bool { return len(plain) > 2 && oneEditApart(plainSpelling(u.text), plain) },
	}
	var texts []string
	for _, test := range tests {
		for _, u := range q.units {
			if test(u) {
				texts = append(texts, spelledLike(u.text, found))
			}
		}
		if q.gauge && strings.EqualFold(found, gaugeWord) {
			return []string{gaugeWord}
		}
		if len(texts) > 0 {
			break
		}
	}
	return texts
}

// spelledLike writes the unit in plain letters where the found text was in such letters
// and had a symbol to spell: 350 UA is answered with uA, 5 mm with nothing to spell.
func spelledLike(text, found string) string {
	if plain := plainSpelling(text); plainSpelling(found) == found && !strings.HasPrefix(text, "°") {
		return plain
	}
	return text
}

func withoutInnerBlanks(text string) string { return strings.Join(strings.Fields(text), "") }

// hasWord reports whether found is one of the words, which may start with a capital.
func hasWord(words, found string) bool {
	lowered := strings.ToLower(found[:1]) + found[1:]
	for word := range strings.FieldsSeq(words) {
		if word == found || word == lowered {
			return true
		}
	}
	return false
}

// oneEditApart reports whether one letter added, dropped or replaced turns a into b.
func oneEditApart(a, b string) bool {
	if len(a) > len(b) {
		a, b = b, a
	}
	if len(b)-len(a) > 1 {
		return false
	}
	same := 0
	for same < len(a) && a[same] == b[same] {
		same++
	}
	if len(a) == len(b) {
		return same < len(a) && a[same+1:] == b[same+1:]
	}
	return a[same:] == b[same+1:]
}
