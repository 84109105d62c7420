// Package golden compares what an example prints with a text kept in its testdata folder.
package golden

import (
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// Flag declares the flag -update of a test program, which writes the kept texts anew.
func Flag() *bool { return flag.Bool("update", false, "write the texts that the tests compare with") }

// Equal compares a text with testdata/NAME.txt, NAME being that of the test, or writes that file.
func Equal(t *testing.T, update bool, got string) {
	t.Helper()
	name := filepath.Join("testdata", strings.ReplaceAll(t.Name(), "/", "_")+".txt")
	if update {
		if err := os.MkdirAll("testdata", 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(name, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(name)
	if err != nil {
		t.Fatalf("run the test with -update once, and read what it wrote: %v", err)
	}
	gotLines, wantLines := strings.Split(got, "\n"), strings.Split(string(want), "\n")
	for i := range max(len(gotLines), len(wantLines)) {
		if g, w := line(gotLines, i), line(wantLines, i); g != w {
			t.Fatalf("%s:%d differs (-update writes it anew)\ngot:  %s\nwant: %s", name, i+1, g, w)
		}
	}
}

// line is a line, or a word for the end.
func line(lines []string, i int) string {
	if i < len(lines) {
		return lines[i]
	}
	return "(end)"
}
