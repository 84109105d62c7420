package rules_test

import (
	"flag"
	"os"
	"path/filepath"
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
	assert.Equal(t, string(want), got, "%s; run the test with -update and review the difference", name)
}
