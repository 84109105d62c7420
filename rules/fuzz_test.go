package rules_test

import (
	"context"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/guardwright/guardwright/rules"
)

// FuzzRuleFile: no rule file makes the library panic or hang, and one that compiles can be evaluated.
func FuzzRuleFile(f *testing.F) {
	for _, pattern := range []string{"../testdata/rules/*.yaml", "../testdata/rules/bad/*.yaml"} {
		files, err := filepath.Glob(pattern)
		if err != nil {
			f.Fatal(err)
		}
		for _, name := range files {
			data, err := os.ReadFile(name)
			if err != nil {
				f.Fatal(err)
			}
			f.Add(data)
		}
	}
	f.Add([]byte(ruleOf("port", `port.name.matches("(a+)+$") || port.limit.digits(99) == ""`)))
	f.Add([]byte(ruleOf("machine", tripleLoop)))
	m := small(f)
	f.Fuzz(func(t *testing.T, data []byte) {
		set, err := rules.Parse("fuzz.yaml", data)
		if err != nil {
			if err.Error() == "" {
				t.Fatal("an error without a text")
			}
			return
		}
		ctx, cancel := context.WithTimeout(context.Background(), 10*time.Second)
		defer cancel()
		r, err := rules.CheckWith(ctx, m, rules.Options{Steps: 100_000}, set)
		if err != nil {
			t.Fatalf("%v", err)
		}
		_ = print(r)
	})
}
