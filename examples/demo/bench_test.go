package demo_test

import (
	"context"
	"fmt"
	"runtime"
	"testing"

	"github.com/guardwright/guardwright/model"
	"github.com/guardwright/guardwright/rules"
	"github.com/guardwright/guardwright/rules/packs"
	"github.com/stretchr/testify/require"
)

// BenchmarkMainJob loads, resolves, computes and checks generated plants with all built-in rules, and shows that the
// work grows linearly with the number of modules. MB-from-system is what the process has taken.
func BenchmarkMainJob(b *testing.B) {
	sets, err := packs.All()
	require.NoError(b, err)
	for _, n := range []int{10, 100, 1000, 10000} {
		b.Run(fmt.Sprintf("modules=%d", n), func(b *testing.B) {
			files := plantFiles(b, n)
			var mem runtime.MemStats
			b.ReportAllocs()
			for b.Loop() {
				m, err := model.Load(files, "plant.yaml")
				require.NoError(b, err)
				result, err := rules.Check(context.Background(), m, sets...)
				require.NoError(b, err)
				require.NotNil(b, result)
				runtime.ReadMemStats(&mem)
			}
			b.ReportMetric(float64(mem.Sys>>20), "MB-from-system")
			b.ReportMetric(float64(b.Elapsed().Microseconds())/float64(b.N)/float64(n), "µs/module")
		})
	}
}
