package rules_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/guardwright/guardwright/calc/logic"
	"github.com/guardwright/guardwright/rules"
)

// TestNarrowedNumbers: a condition narrows a number in its branches, so that counters need no min(); each is compared with one
// that has it. What a temporal function or a loop looks at is not narrowed.
func TestNarrowedNumbers(t *testing.T) {
	for _, test := range []struct{ counter, same string }{
		{"pre(n) < 5 ? pre(n) + 1 : 5", "[pre(m) + 1, 5].min()"},
		{"pre(n) >= 5 ? 5 : pre(n) + 1", "[pre(m) + 1, 5].min()"},
		{"5 > pre(n) ? pre(n) + 1 : 5", "[pre(m) + 1, 5].min()"},
		{"pre(n) != 0 && g1.closed ? pre(n) - 1 : 5", "pre(m) != 0 && g1.closed ? [pre(m) - 1, 0].max() : 5"},
		{"!(pre(n) == 0) && g1.closed ? pre(n) - 1 : 5", "pre(m) != 0 && g1.closed ? [pre(m) - 1, 0].max() : 5"},
		{"g1.closed && pre(n) <= 4 ? pre(n) + 1 : 0", "g1.closed && pre(m) != 5 ? [pre(m) + 1, 5].min() : 0"},
		{"!g1.closed || pre(n) > 4 ? 0 : pre(n) + 1", "g1.closed && pre(m) != 5 ? [pre(m) + 1, 5].min() : 0"},
		{"pre(n) > 3 ? pre(n) - (g1.closed ? 4 : 3) : pre(n) + 2", "pre(m) > 3 ? [pre(m) - (g1.closed ? 4 : 3), 0].max() : [pre(m) + 2, 5].min()"},
	} {
		text := smallLogic + "  counters: {n: {max: 5}, m: {max: 5}}\n"
		text = replaceOnce(t, text, "    cell.run: run\n", "    cell.run: run\n    n: \""+test.counter+"\"\n    m: \""+test.same+"\"\n")
		r := checkSmall(t, text, "machine", "always: n == m", rules.Options{})
		require.Len(t, r.Proofs, 1, test.counter)
		assert.Equal(t, logic.Proved, r.Proofs[0].Result.Verdict, test.counter)
	}
}

// TestNotNarrowed: where the number is another one in the same words, its range stays.
func TestNotNarrowed(t *testing.T) {
	text := smallLogic + "  counters: {n: {max: 5}, m: {max: 8}}\n"
	text = replaceOnce(t, text, "    cell.run: run\n", "    cell.run: run\n    n: \"pre(n) < 5 ? pre(n) + 1 : 0\"\n    m: \"n == 3 ? pre(n) : 7\"\n")
	r := checkSmall(t, text, "machine", "always: 'm == 7 || m == 2'", rules.Options{})
	assert.Equal(t, logic.Proved, r.Proofs[0].Result.Verdict, "the value of the cycle before 3 is 2")
	r = checkSmall(t, text, "machine", "always: 'n > 3 ? [1, 2].exists(n, n == 1) && [n].all(k, k > 3) : n <= 3'", rules.Options{})
	assert.Equal(t, logic.Proved, r.Proofs[0].Result.Verdict, "the n of the loop is another one")
}

func replaceOnce(t *testing.T, text, old, now string) string {
	t.Helper()
	require.Equal(t, 1, strings.Count(text, old))
	return strings.Replace(text, old, now, 1)
}
