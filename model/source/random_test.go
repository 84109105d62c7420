package source_test

import (
	"math/rand/v2"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/guardwright/guardwright/model/source"
)

// Scalars of all styles, made of the pieces that matter, in surroundings of
// all kinds. The places of each must be known and true.
func TestExpressionPlacesAtRandom(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	pick := func(from ...string) string { return from[random.IntN(len(from))] }
	pieces := func(n int, from ...string) string {
		var b strings.Builder
		for range 1 + random.IntN(n) {
			b.WriteString(pick(from...))
		}
		return b.String()
	}
	const blank = "\n        "
	tried, known := 0, 0
	for range 10_000 {
		var scalar string
		switch random.IntN(5) {
		case 0:
			scalar = "p" + pieces(12, "a", "é", " ", "  ", "\U0001F512", blank, "\n"+blank, " "+blank, "\n \n"+blank, "<", "'", "\"")
		case 1:
			scalar = "'" + pieces(12, "a", "é", " ", "''", "\t", blank, "\n"+blank, " "+blank, ": ", "#") + "'"
		case 2:
			scalar = `"` + pieces(12, "a", "é", " ", `\"`, `\n`, `\u00e9`, `\x41`, `\\`, blank, "\n"+blank, `\`+blank, `\`+"\n"+blank, `\ `, ": ") + `"`
		default:
			indent := strings.Repeat(" ", 3+random.IntN(6))
			scalar = pick("|", ">") + pick("", "-", "+") + pick("", "", " ", " # comment")
			if random.IntN(3) == 0 {
				scalar = pick("|", ">") + pick("2", "2-", "+2", "3")
				indent = strings.Repeat(" ", 4+random.IntN(3))
			}
			for range 1 + random.IntN(6) {
				scalar += pick("\n", "\n"+indent, "\n"+indent+" ", "\n"+indent+"\t", "\n   ") + pick("", indent+"a", "x") + pieces(5, "a", "é", " ", "<", "\t")
			}
			scalar += pick("", "\n", "\n\n", "\n\n  \n")
		}
		content := "rules:\n" + pick("", "\n# é\n") + "  - " + pick("require: ", "say: é\n    require: ", "require: &x ", "require:\n        ") + scalar + pick("", "\n    say: x\n")
		content = pick(content, content, strings.ReplaceAll(content, "\n", "\r\n"))
		file, problems := source.Parse("f", []byte(content), source.Limits{})
		if len(problems) > 0 {
			continue
		}
		var got plant
		file.Decode(&got)
		if len(got.Rules) == 0 || strings.TrimSpace(strings.SplitN(got.Rules[0].Require.Text, "\n", 2)[0]) == "" {
			continue
		}
		tried++
		if checkPlaces(t, content, got.Rules[0].Require, true) {
			known++
		}
		if t.Failed() {
			return
		}
	}
	require.Equal(t, tried, known)
	require.Greater(t, tried, 2_500, "most of them are YAML")
}

func TestFileServesManyGoroutines(t *testing.T) {
	file, problems := source.Parse("f", manyModules(200), source.Limits{})
	require.Empty(t, problems)
	var group sync.WaitGroup
	for range 8 {
		group.Go(func() {
			var got plant
			if problems := file.Decode(&got); len(problems) > 0 || len(got.Modules) != 200 {
				t.Error(problems)
			}
			if file.Position("modules.m199.type").Line != 4+3*199 {
				t.Error("wrong position")
			}
		})
	}
	group.Wait()
}

func TestDecodeIsDeterministic(t *testing.T) {
	content := "modules: {b: {x: 1, y: 2}, a: {z: 3}}\nnotes: {a: b}\nfoo: 1\n"
	var first string
	for i := range 20 {
		var got plant
		file, problems := source.Parse("f", []byte(content), source.Limits{})
		text := append(problems, file.Decode(&got)...).Error()
		if i == 0 {
			first = text
		}
		require.Equal(t, first, text)
	}
}
