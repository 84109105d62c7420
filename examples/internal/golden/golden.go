// Package golden compares what an example prints with a text kept in its testdata folder.
package golden

import (
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Flag declares the flag -update of a test program, which writes the kept texts anew.
func Flag() *bool { return flag.Bool("update", false, "write the texts that the tests compare with") }

// Equal compares a text with testdata/NAME.txt, NAME being that of the test, or writes that file.
func Equal(t *testing.T, update bool, got string) {
	t.Helper()
	name := filepath.Join("testdata", strings.ReplaceAll(t.Name(), "/", "_")+".txt")
	if update {
		require.NoError(t, os.MkdirAll("testdata", 0o755))
		require.NoError(t, os.WriteFile(name, []byte(got), 0o644))
		return
	}
	want, err := os.ReadFile(name)
	require.NoError(t, err, "run the test with -update once, and read what it wrote")
	assert.Equal(t, string(want), got)
}
