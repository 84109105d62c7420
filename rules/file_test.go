package rules_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/guardwright/guardwright/rules"
)

// TestBadFiles: every file under bad is refused with all its problems, in the order of the file.
func TestBadFiles(t *testing.T) {
	files, err := filepath.Glob("../testdata/rules/bad/*.yaml")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	var b strings.Builder
	for _, f := range files {
		data, err := os.ReadFile(f)
		require.NoError(t, err)
		_, err = rules.Parse(filepath.Base(f), data)
		require.Error(t, err, f)
		b.WriteString(err.Error() + "\n\n")
	}
	golden(t, "bad.txt", b.String())
}

func TestLoadNamesTheNearestFile(t *testing.T) {
	_, err := rules.Load(fstest.MapFS{"plant.yaml": {Data: []byte("x")}}, "plnat.yaml")
	assert.EqualError(t, err, "plnat.yaml: there is no such file: did you mean plant.yaml?")
}

func TestRulesDescribeThemselves(t *testing.T) {
	set := plant(t)
	assert.Equal(t, "Plant rules of the tests", set.Pack)
	require.Len(t, set.Rules(), 6)
	r := set.Rules()[0]
	assert.Equal(t, "port-current", r.ID)
	assert.Equal(t, "port", r.For)
	assert.Equal(t, rules.Error, r.Severity)
	assert.Equal(t, "data sheet of the module", r.Source)
	assert.Equal(t, "has(port.device)", r.When)
	assert.Equal(t, "plant.yaml:6:3", r.Position.String())
}
