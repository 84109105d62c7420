package demo_test

import (
	"context"
	"fmt"
	"io/fs"
	"testing"
	"testing/fstest"

	"github.com/guardwright/guardwright/examples/demo"
	"github.com/guardwright/guardwright/model"
	"github.com/guardwright/guardwright/rules"
	"github.com/guardwright/guardwright/rules/packs"
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

// TestHonestMistakes: the demo machines have the mistakes that their makers left in them and no others, and lack no data.
func TestHonestMistakes(t *testing.T) {
	sets, err := packs.All()
	require.NoError(t, err)
	for name, want := range map[string][]string{
		demo.Machine: {
			"backup-supervisor network.rings.ring_1",
			"guard-without-lock-access-time functions.dry_doors.approaches.flap_3",
			"guard-without-lock-access-time functions.dry_doors.approaches.flap_4",
			"inrush power.protections.q3",
			"ossd-device-without-test-pulses modules.m6.ports.3",
			"supply-can-trip-breaker power.protections.q3",
			"unused-ports-capped modules.m3.ports.6",
			"voltage-at-last-device devices.valve_gripper.loads.coil",
		},
		demo.Packer:  {"reaction-time-fits-distance functions.exit.approach", "watchdog-maximum network.connections.con_m3"},
		demo.Wrapper: {"connection-id-unique network.connections.con_m5", "watchdog-minimum network.connections.con_m3"},
	} {
		m, err := model.Load(demo.Files(), name)
		require.NoError(t, err)
		r, err := rules.Check(context.Background(), m, sets...)
		require.NoError(t, err)
		var found []string
		for _, f := range r.Findings {
			found = append(found, f.Rule.ID+" "+f.Path)
		}
		assert.ElementsMatch(t, want, found, name)
		assert.Empty(t, r.Unanswered, name)
	}
}

// TestCells: of the cells all that the standards ask of interlock logic is proved, but for the door whose release was copied; the
// story of it is the shortest there is.
func TestCells(t *testing.T) {
	set, err := packs.Load("interlocks")
	require.NoError(t, err)
	m, err := model.Load(demo.Files(), demo.Cells)
	require.NoError(t, err)
	r, err := rules.Check(context.Background(), m, set)
	require.NoError(t, err)
	steps := map[string]int{}
	for _, f := range r.Findings {
		require.NotNil(t, f.Story)
		assert.True(t, f.Story.Shortest)
		steps[f.Rule.ID+" "+f.Path] = f.Story.Trace.Len()
	}
	assert.Equal(t, map[string]int{
		"locked-after-power-up devices.door_2":        4, // the 200 ms of its timer
		"standstill-failure-is-motion devices.door_2": 4,
		"unlock-only-at-standstill devices.door_2":    7, // a press of three cycles, its release, start, request
	}, steps)
	assert.Empty(t, r.Unanswered)
	assert.Greater(t, len(r.Proofs), 40)
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
	assert.Len(t, m.Devices, 203, "eight at each module, and a drive for each line")
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
