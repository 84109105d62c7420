package main

import (
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"github.com/guardwright/guardwright/examples/internal/golden"
)

func onRecord(args ...string) answer {
	return command(world(), append([]string{"--packs", "none", "--rules", "testdata/belt_rules.yaml", "testdata/belt.yaml"}, args...)...)
}

// TestRecord: a trace of the machine is judged by the rules, and compared with the logic.
func TestRecord(t *testing.T) {
	got := onRecord("--record", "testdata/belt.csv", "--mapping", "testdata/belt_record.yaml", "--show", "record")
	assert.Equal(t, found, got.code)
	assert.Empty(t, got.errors)
	checkLines(t, got.out)
	golden.Equal(t, *update, got.out)
}

// TestRecordExitCodes: what is broken counts at its level, and what is not known is no pass.
func TestRecordExitCodes(t *testing.T) {
	head := "time [ms],es1.pressed,g1.closed,p1.reset,p1.start,p1.stop,cell.run\n"
	right := "0,0,1,1,0,0,0\n10,0,1,0,0,0,0\n20,0,1,0,1,0,1\n30,0,0,0,0,0,0\n"
	mapping := "format: 1\nrecord: Test\nrows: cycles\nstarts: power-up\n"
	for _, test := range []struct {
		reason, rows, mapping string
		args                  []string
		want                  int
	}{
		{"as described", head + right, mapping, nil, clean},
		{"a broken rule", strings.Replace(head+right, "30,0,0,0,0,0,0", "30,0,0,0,0,0,1", 1), mapping, nil, found},
		{"a value that differs", strings.Replace(head+right, "20,0,1,0,1,0,1", "20,0,1,0,1,0,0", 1), mapping, nil, found},
		{"a broken assumption", strings.Replace(head+right, "0,0,1,1,0,0,0", "0,0,1,1,1,0,0", 1), mapping, nil, found},
		{"a warning that is not known", head + right, strings.Replace(mapping, "starts: power-up\n", "", 1), nil, clean},
		{"counts for warnings", head + right, strings.Replace(mapping, "starts: power-up\n", "", 1), []string{"--fail-on", "warning"}, found},
		{"an error that is not known", strings.Replace(head+right, "30,0,0,0,0,0,0", "30,0,0,0,0,0,?", 1), mapping, nil, found},
		{"a value that can't be told is a warning", strings.Replace(head+right, "30,0,0", "30,0,?", 1), mapping, nil, clean},
		{"a mistake in the record", head + right + "40\n", mapping, nil, noVerdict},
		{"a mistake in the mapping", head + right, mapping + "row: x\n", nil, noVerdict},
		{"a record that is empty", "", mapping, nil, noVerdict},
		{"a record without rows", head, mapping, nil, noVerdict},
	} {
		dir := folder(t, "r.csv", test.rows, "m.yaml", test.mapping)
		got := onRecord(append([]string{"--record", filepath.Join(dir, "r.csv"), "--mapping", filepath.Join(dir, "m.yaml"), "--show", "record"}, test.args...)...)
		assert.Equal(t, test.want, got.code, "%s\n%s%s", test.reason, got.out, got.errors)
		assert.Equal(t, test.want == noVerdict, got.errors != "", test.reason)
		if test.want == noVerdict && strings.HasPrefix(test.reason, "a mistake") {
			assert.Regexp(t, `/(r\.csv|m\.yaml):\d+:\d+: \S`, got.errors)
		}
	}
	got := onRecord("--record", "testdata/none.csv")
	assert.Equal(t, noVerdict, got.code)
	assert.Contains(t, got.errors, "testdata/none.csv")
	got = onRecord("--mapping", "testdata/belt_record.yaml")
	assert.Contains(t, got.errors, "--mapping says how a record is to be read; add --record FILE")
}
