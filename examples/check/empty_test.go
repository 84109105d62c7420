package main

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestNothingToJudge: a machine file that describes nothing has no findings and has not passed.
func TestNothingToJudge(t *testing.T) {
	file := filepath.Join(t.TempDir(), "m.yaml")
	require.NoError(t, os.WriteFile(file, []byte("format: 1\nmachine: Empty\nambient: {min: 5 °C, max: 40 °C}\n"), 0o600))
	var out, errs strings.Builder
	code := run(context.Background(), []string{file}, &out, &errs, environment{getenv: func(string) string { return "" }})
	assert.Equal(t, found, code)
	assert.Contains(t, errs.String(), "nothing was judged")
}
