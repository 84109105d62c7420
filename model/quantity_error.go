package model

import (
	"fmt"
	"strings"
)

// QuantityError says why a text is not a quantity of the wanted type, and what would be one.
// ParseCurrent and its like, and the UnmarshalText methods, return a *QuantityError;
// MarshalText returns one for NaN and infinities.
type QuantityError struct {
	Text     string   // the text as found
	Quantity string   // what was wanted, such as "current" or "resistance per length"
	Reason   string   // what is wrong with the text, as the end of a sentence that starts with it
	Units    []string // the units that serve, from small to large
	Nearest  string   // the text that was probably meant; it is valid; empty if there is no clear one
}

// Error gives all of it on one line, the text shortened if it is very long.
func (e *QuantityError) Error() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s %q %s", e.Quantity, shortened(e.Text), e.Reason)
	switch len(e.Units) {
	case 0:
	case 1:
		fmt.Fprintf(&b, "; the unit is %s", e.Units[0])
	default:
		fmt.Fprintf(&b, "; units are %s", strings.Join(e.Units, ", "))
	}
	if e.Nearest != "" {
		fmt.Fprintf(&b, "; did you mean %q?", e.Nearest)
	}
	return b.String()
}

// shortened keeps an error line readable whatever was found.
func shortened(text string) string {
	const longest = 40
	count := 0
	for i := range text {
		if count == longest {
			return text[:i] + "…"
		}
		count++
	}
	return text
}
