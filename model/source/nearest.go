package source

import (
	"unicode"
	"unicode/utf8"
)

// longestCompared bounds the words that are compared: nobody misspells a name
// of more characters than that, and the comparison takes the square of it.
const longestCompared = 64

// Nearest returns the candidate that word is most likely a misspelling of, and
// false if none is near. Upper and lower case, and a hyphen or a blank for an
// underscore, count as no difference. Of candidates that are equally near, the
// first in alphabetical order is taken, so that the answer does not depend on
// the order of the candidates.
func Nearest(word string, candidates []string) (string, bool) {
	var c comparison
	c.word = fold(nil, word)
	best, bestDistance := "", nearLimit(len(c.word))+1
	for _, candidate := range candidates {
		if len(candidate) > utf8.UTFMax*longestCompared {
			continue
		}
		d := c.distance(candidate, bestDistance)
		if d < bestDistance || d == bestDistance && best != "" && candidate < best {
			best, bestDistance = candidate, d
		}
	}
	return best, best != ""
}

// nearLimit returns how many edits still count as a misspelling of a word of n
// characters: one in three, and three at most. Found by trial on names of
// machine parts: with one edit in a word of two characters g1 would be offered
// for g2, which is another device and not a misspelling.
func nearLimit(n int) int {
	if n > longestCompared {
		return -1
	}
	return min(n/3, 3)
}

// fold appends a word to buffer without the differences that never tell two
// names apart. It stops when the word is too long to be compared.
func fold(buffer []rune, word string) []rune {
	for _, r := range word {
		if r == '-' || r == ' ' {
			r = '_'
		}
		buffer = append(buffer, unicode.ToLower(r))
		if len(buffer) > longestCompared {
			break
		}
	}
	return buffer
}

// comparison compares one word with many and keeps its memory for the next.
type comparison struct {
	word, other           []rune
	before, previous, row []int // of the table of distances
}

// distance returns the number of inserted, deleted, replaced and swapped
// neighbouring characters between the word and a candidate (the optimal string
// alignment distance), or more than limit as soon as it is known to be more.
func (c *comparison) distance(candidate string, limit int) int {
	c.other = fold(c.other[:0], candidate)
	a, b := c.word, c.other
	if d := len(a) - len(b); d > limit || -d > limit {
		return limit + 1
	}
	// Three rows of the table suffice: a swap reaches back by two.
	for len(c.row) <= len(b) {
		c.before, c.previous, c.row = append(c.before, 0), append(c.previous, 0), append(c.row, 0)
	}
	before, previous, row := c.before, c.previous, c.row
	for j := range len(b) + 1 {
		previous[j] = j
	}
	for i := 1; i <= len(a); i++ {
		row[0] = i
		least := i
		for j := 1; j <= len(b); j++ {
			replace := previous[j-1]
			if a[i-1] != b[j-1] {
				replace++
			}
			row[j] = min(replace, previous[j]+1, row[j-1]+1)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
			least = min(least, row[j])
		}
		if least > limit {
			return limit + 1
		}
		before, previous, row = previous, row, before
	}
	return previous[len(b)]
}
