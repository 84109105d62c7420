package demo_test

import (
	"context"
	"fmt"
	"runtime"
	"testing"

	"github.com/guardwright/guardwright/calc"
	"github.com/guardwright/guardwright/calc/power"
	"github.com/guardwright/guardwright/model"
	"github.com/guardwright/guardwright/rules"
	"github.com/guardwright/guardwright/rules/packs"
	"github.com/stretchr/testify/require"
)

// BenchmarkSupplyJob is the part of the work that the 24 V supply is: load, resolve, compute the supply, and check it with
// the rules about supply and structure.
func BenchmarkSupplyJob(b *testing.B) {
	var sets []*rules.Ruleset
	for _, name := range []string{"power", "structure"} {
		set, err := packs.Load(name)
		require.NoError(b, err)
		sets = append(sets, set)
	}
	grow(b, func(m *model.Machine) (*rules.Result, error) {
		supply, err := power.Compute(context.Background(), m, power.Options{})
		require.NoError(b, err)
		return rules.CheckWith(context.Background(), m, rules.Options{Results: &calc.Results{Power: supply}}, sets...)
	})
}

// BenchmarkMainJob loads, resolves, computes and checks generated plants with all built-in rules, and shows that the
// work grows linearly with the number of modules. MB-from-system is what the process has taken.
func BenchmarkMainJob(b *testing.B) {
	sets, err := packs.All()
	require.NoError(b, err)
	grow(b, func(m *model.Machine) (*rules.Result, error) { return rules.Check(context.Background(), m, sets...) })
}

// grow loads and checks plants of growing size; 500 modules are a plant of fifty machines of ten modules each.
func grow(b *testing.B, check func(*model.Machine) (*rules.Result, error)) {
	for _, n := range []int{10, 100, 500, 1000, 10000} {
		b.Run(fmt.Sprintf("modules=%d", n), func(b *testing.B) {
			files := plantFiles(b, n)
			var mem runtime.MemStats
			b.ReportAllocs()
			for b.Loop() {
				m, err := model.Load(files, "plant.yaml")
				require.NoError(b, err)
				result, err := check(m)
				require.NoError(b, err)
				require.NotNil(b, result)
				runtime.ReadMemStats(&mem)
			}
			b.ReportMetric(float64(mem.Sys>>20), "MB-from-system")
			b.ReportMetric(float64(b.Elapsed().Microseconds())/float64(b.N)/float64(n), "µs/module")
		})
	}
}
