package rules_test

import (
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "write the golden files anew; review the difference")

// golden compares a text with the file of that name under testdata/rules/golden.
func golden(t *testing.T, name, got string) {
	t.Helper()
	file := filepath.Join("..", "testdata", "rules", "golden", name)
	if *update {
		require.NoError(t, os.MkdirAll(filepath.Dir(file), 0o755))
		require.NoError(t, os.WriteFile(file, []byte(got), 0o644))
	}
	want, err := os.ReadFile(file)
	require.NoError(t, err)
	wanted, found := strings.Split(string(want), "\n"), strings.Split(got, "\n")
	for i := range max(len(wanted), len(found)) {
		if i >= len(wanted) || i >= len(found) || wanted[i] != found[i] {
			assert.Fail(t, "the text differs", "%s, line %d\nwant: %s\ngot:  %s\nrun the test with -update and review the difference",
				name, i+1, strings.Join(wanted[min(i, len(wanted)):min(i+2, len(wanted))], "\n      "), strings.Join(found[min(i, len(found)):min(i+2, len(found))], "\n      "))
			return
		}
	}
}
