package record

import (
	"cmp"
	"maps"
	"slices"
	"strconv"
	"strings"

	"github.com/guardwright/guardwright/model/source"
)

// mostQuoted bounds what is shown of a cell.
const mostQuoted = 60

// quoted is a found text in quotes, shortened so that a line stays a line.
func quoted(text string) string {
	if len(text) > 4*mostQuoted {
		text = text[:4*mostQuoted]
	}
	if runes := []rune(text); len(runes) > mostQuoted {
		return strconv.Quote(string(runes[:mostQuoted])) + "..."
	}
	return strconv.Quote(text)
}

// listed joins words, and shortens a long list.
func listed(words []string) string {
	const most = 12
	more := ""
	if len(words) > most {
		words, more = words[:most], ", ..."
	}
	shown := make([]string, len(words))
	for i, w := range words {
		shown[i] = w
		if len(w) > mostQuoted || strconv.Quote(w) != `"`+w+`"` {
			shown[i] = quoted(w)
		}
	}
	return strings.Join(shown, ", ") + more
}

// nearestOf words a suggestion.
func nearestOf(word string, words []string) string {
	if near, ok := source.Nearest(word, words); ok {
		return "; did you mean " + quoted(near) + "?"
	}
	if len(words) == 0 {
		return ""
	}
	return "; there are " + listed(words)
}

// fold makes words comparable without their case and the blanks around them.
func fold(word string) string { return strings.ToLower(strings.TrimSpace(word)) }

func sortedKeys[K cmp.Ordered, V any](m map[K]V) []K { return slices.Sorted(maps.Keys(m)) }
