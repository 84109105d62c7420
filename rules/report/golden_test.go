package report_test

import (
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "write the texts that the tests compare with")

// golden compares a text with the one kept under the name of the test.
func golden(t *testing.T, got string) {
	t.Helper()
	name := filepath.Join("..", "..", "testdata", "report", strings.ReplaceAll(t.Name(), "/", "_")+".txt")
	if *update {
		require.NoError(t, os.WriteFile(name, []byte(got), 0o644))
		return
	}
	want, err := os.ReadFile(name)
	require.NoError(t, err, "run the test with -update once, and read what it wrote")
	assert.Equal(t, string(want), got)
}
