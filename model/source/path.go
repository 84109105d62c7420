package source

import (
	"strconv"
	"strings"
	"unicode"
)

// Join appends keys to a path: Join("modules.m1", "ports", "1") is
// modules.m1.ports.1. An empty path is the top of the file. A key with a dot,
// a quote or a blank in it, and an empty one, is written in quotes, so that
// every path leads to one place.
func Join(path string, keys ...string) string {
	var b strings.Builder
	b.WriteString(path)
	for _, key := range keys {
		if b.Len() > 0 {
			b.WriteByte('.')
		}
		if needsQuotes(key) {
			b.WriteString(strconv.Quote(key))
		} else {
			b.WriteString(key)
		}
	}
	return b.String()
}

func needsQuotes(key string) bool {
	return key == "" || strings.ContainsFunc(key, func(r rune) bool {
		return r == '.' || r == '"' || unicode.IsSpace(r) || !unicode.IsPrint(r)
	})
}

// nextKey splits the first key off a path. A quote that does not close is
// taken as it stands.
func nextKey(path string) (key, rest string) {
	if strings.HasPrefix(path, `"`) {
		if quoted, err := strconv.QuotedPrefix(path); err == nil {
			if key, err := strconv.Unquote(quoted); err == nil {
				return key, strings.TrimPrefix(path[len(quoted):], ".")
			}
		}
	}
	key, rest, _ = strings.Cut(path, ".")
	return key, rest
}

// trail is a path while walking: it becomes text only for a problem.
type trail []step

type step struct {
	key   string
	named bool
	index int // of a list item, if not named
}

func (t trail) String() string {
	keys := make([]string, len(t))
	for i, s := range t {
		keys[i] = s.key
		if !s.named {
			keys[i] = strconv.Itoa(s.index)
		}
	}
	return Join("", keys...)
}
