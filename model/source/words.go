package source

import (
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

const (
	longestQuoted = 60  // characters of a found text that are shown
	longestList   = 160 // bytes of a list of what serves
)

// quote returns a found text in quotes, shortened so that a line stays a line.
func quote(s string) string {
	start := s[:min(len(s), utf8.UTFMax*(longestQuoted+1))]
	if runes := []rune(start); len(runes) > longestQuoted {
		return strconv.Quote(string(runes[:longestQuoted])) + "..."
	}
	return strconv.Quote(s)
}

// describe says what was found.
func describe(n *node) string {
	switch {
	case n.kind == list:
		return "a list"
	case n.kind == mapping:
		return "a mapping"
	case n.null:
		return "nothing"
	case n.kind == scalar:
		return quote(n.text)
	}
	return "a value that can't be used"
}

// listed joins names for "wanted one of ...", and shortens a long list.
func listed(names []string) string {
	var b strings.Builder
	for i, name := range names {
		if i > 0 {
			b.WriteString(", ")
		}
		if b.Len()+len(name) > longestList {
			b.WriteString("and " + strconv.Itoa(len(names)-i) + " more")
			break
		}
		b.WriteString(name)
	}
	return b.String()
}

// spaced turns the name of a Go type into words: CableLength is cable length.
func spaced(name string) string {
	var b strings.Builder
	for i, r := range name {
		if unicode.IsUpper(r) && i > 0 {
			b.WriteByte(' ')
		}
		b.WriteRune(unicode.ToLower(r))
	}
	return b.String()
}
