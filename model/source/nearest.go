package source

import "strings"

// longestCompared bounds the words that are compared: nobody misspells a name
// of more characters than that, and the comparison takes the square of it.
const longestCompared = 64

// Nearest returns the candidate that word is most likely a misspelling of, and
// false if none is near. Upper and lower case, and a hyphen or a blank for an
// underscore, count as no difference. Of candidates that are equally near, the
// first in alphabetical order is taken, so that the answer does not depend on
// the order of the candidates.
func Nearest(word string, candidates []string) (string, bool) {
	folded := fold(word)
	best, bestDistance := "", nearLimit(len(folded))+1
	for _, candidate := range candidates {
		if len(candidate) > 4*longestCompared {
			continue
		}
		d := distance(folded, fold(candidate), bestDistance)
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

// fold takes away the differences that never tell two names apart.
func fold(s string) []rune {
	if len(s) > 4*longestCompared {
		s = s[:4*longestCompared]
	}
	return []rune(strings.NewReplacer("-", "_", " ", "_").Replace(strings.ToLower(s)))
}

// distance returns the number of inserted, deleted, replaced and swapped
// neighbouring characters between a and b (the optimal string alignment
// distance), or more than limit as soon as it is known to be more.
func distance(a, b []rune, limit int) int {
	if d := len(a) - len(b); d > limit || -d > limit {
		return limit + 1
	}
	// Three rows of the table suffice: a swap reaches back by two.
	before, previous, row := make([]int, len(b)+1), make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range row {
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
