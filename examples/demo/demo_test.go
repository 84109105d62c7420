package demo_test

import (
	"fmt"
	"io/fs"
	"testing"
	"testing/fstest"

	"github.com/guardwright/guardwright/examples/demo"
	"github.com/guardwright/guardwright/model"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestDemoMachineIsOfBelievableSize(t *testing.T) {
	m, err := model.Load(demo.Files(), demo.Machine)
	require.NoError(t, err)
	assert.GreaterOrEqual(t, len(m.Modules), 6)
	assert.GreaterOrEqual(t, len(m.Devices), 30)
	assert.Len(t, m.Power.Supplies, 2)
	assert.GreaterOrEqual(t, len(m.Zones), 3)
	assert.NotEmpty(t, m.Functions)
}

// plantFiles is a generated plant beside the demo's parts file.
func plantFiles(tb testing.TB, modules int) fs.FS {
	parts, err := fs.ReadFile(demo.Files(), "parts.yaml")
	require.NoError(tb, err)
	return fstest.MapFS{"plant.yaml": {Data: demo.Plant(modules)}, "parts.yaml": {Data: parts}}
}

func TestPlant(t *testing.T) {
	m, err := model.Load(plantFiles(t, 25), "plant.yaml")
	require.NoError(t, err)
	assert.Len(t, m.Modules, 25)
	assert.Len(t, m.Devices, 200)
}

// BenchmarkLoad shows that loading is linear in the size of the plant.
func BenchmarkLoad(b *testing.B) {
	for _, n := range []int{10, 100, 1000, 10000} {
		b.Run(fmt.Sprintf("modules=%d", n), func(b *testing.B) {
			files := plantFiles(b, n)
			b.ReportAllocs()
			for b.Loop() {
				_, err := model.Load(files, "plant.yaml")
				require.NoError(b, err)
			}
			b.ReportMetric(float64(b.Elapsed().Microseconds())/float64(b.N)/float64(n), "µs/module")
		})
	}
}
