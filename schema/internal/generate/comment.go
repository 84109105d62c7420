package main

import (
	"regexp"
	"strings"
	"unicode"
	"unicode/utf8"
)

// plain makes one line of a doc comment, without the brackets of its links.
func plain(comment string) string {
	line := strings.Join(strings.Fields(comment), " ")
	return regexp.MustCompile(`\[([A-Za-z.]+)\]`).ReplaceAllString(line, "$1")
}

// ofType makes a description of a type's doc comment: the name of a Go type means nothing to who writes a file.
func ofType(name, comment string) string {
	line := plain(comment)
	if rest, ok := strings.CutPrefix(line, name+" "); ok {
		line = strings.TrimPrefix(rest, "is ")
	}
	first, size := utf8.DecodeRuneInString(line)
	if size == 0 {
		return ""
	}
	return string(unicode.ToUpper(first)) + line[size:]
}
