package model

import (
	"strings"
	"unicode/utf8"
)

// unitSpec is one unit of a quantity. One of it is mul·10^exp/div base units;
// mul and div are whole numbers, so a conversion can be done without rounding
// until its very end. Zero mul or div means 1.
type unitSpec struct {
	text     string // the spelling that is printed
	exp      int
	mul, div int64
	also     string // further spellings that are read, separated by blanks
	words    string // spellings that are refused, but for which this unit is suggested
}

// decimal reports whether the unit differs from the base unit by a power of ten only.
func (u unitSpec) decimal() bool { return u.factor() == 1 && u.divisor() == 1 }

func (u unitSpec) factor() int64  { return max(u.mul, 1) }
func (u unitSpec) divisor() int64 { return max(u.div, 1) }

// spelled reports whether found is a spelling of u that is read.
func (u unitSpec) spelled(found string) bool {
	if sameSpelling(u.text, found) {
		return true
	}
	for also := range strings.FieldsSeq(u.also) {
		if sameSpelling(also, found) {
			return true
		}
	}
	return false
}

// symbolSpellings returns the ways in which a symbol that many keyboards lack may be
// written, the printed one first; ok is false for any other symbol.
func symbolSpellings(symbol rune) (spellings [3]string, ok bool) {
	switch symbol {
	case 'µ': // U+00B5 micro sign, U+03BC Greek mu
		return [3]string{"\u00b5", "\u03bc", "u"}, true
	case 'Ω': // U+03A9 Greek omega, U+2126 ohm sign
		return [3]string{"\u03a9", "\u2126", "ohm"}, true
	case '²':
		return [3]string{"²", "2", "^2"}, true
	case '°':
		return [3]string{"°", "deg", "deg"}, true
	}
	return spellings, false
}

// sameSpelling reports whether found spells the unit text, allowing the
// alternatives of symbolSpellings and no others: case matters, mW is not MW.
func sameSpelling(text, found string) bool {
	for _, symbol := range text {
		spellings, ok := symbolSpellings(symbol)
		if !ok {
			r, size := utf8.DecodeRuneInString(found)
			if r != symbol || size == 0 {
				return false
			}
			found = found[size:]
			continue
		}
		if found, ok = cutAnyPrefix(found, spellings); !ok {
			return false
		}
	}
	return found == ""
}

func cutAnyPrefix(text string, prefixes [3]string) (string, bool) {
	for _, prefix := range prefixes {
		if rest, ok := strings.CutPrefix(text, prefix); ok {
			return rest, true
		}
	}
	return text, false
}

// plainSpelling writes a unit with the letters every keyboard has.
func plainSpelling(text string) string {
	return strings.NewReplacer(
		"\u00b5", "u", "\u03bc", "u",
		"\u03a9", "ohm", "\u2126", "ohm",
		"²", "2", "^2", "2",
		"°", "deg",
	).Replace(text)
}

// spellingPattern is a regular expression for exactly the spellings of text that
// sameSpelling allows. Unit texts hold no characters that are special in one.
func spellingPattern(text string) string {
	var b strings.Builder
	for _, symbol := range text {
		switch symbol {
		case 'µ':
			b.WriteString("[\u00b5\u03bcu]")
		case 'Ω':
			b.WriteString("(?:[\u03a9\u2126]|ohm)")
		case '²':
			b.WriteString(`(?:²|\^?2)`)
		case '°':
			b.WriteString("(?:°|deg)")
		default:
			b.WriteRune(symbol)
		}
	}
	return b.String()
}
