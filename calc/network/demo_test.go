package network_test

import (
	"context"
	"fmt"
	"io/fs"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/guardwright/guardwright/calc/network"
	"github.com/guardwright/guardwright/examples/demo"
	"github.com/guardwright/guardwright/model"
)

// TestDemo computes the demo machine: one ring of a controller and nine modules.
func TestDemo(t *testing.T) {
	m, err := model.Load(demo.Files(), demo.Machine)
	require.NoError(t, err)
	r, err := network.Compute(context.Background(), m, network.Options{})
	require.NoError(t, err)
	assert.Equal(t, network.RingOf, r.Shape)
	require.Len(t, r.Rings, 1)
	ring := r.Rings[0]
	assert.True(t, ring.Closed && ring.InOrder)
	assert.Len(t, ring.Links, 10)
	assert.Empty(t, r.Loops)
	assert.Empty(t, r.Addresses.Problems)
	require.Len(t, r.Reach, 1)
	require.Len(t, r.Reach[0].Pairs, 3)
	for i, want := range []struct{ count, losing int }{
		{45, 45},        // each pair of ten links
		{9 * 10, 9 * 8}, // a module and a link that is not at it
		{36, 36 - 8},    // two of nine modules in a row that are no neighbours
	} {
		pairs := r.Reach[0].Pairs[i]
		assert.Equal(t, want.count, pairs.Count)
		assert.Equal(t, want.losing, pairs.Losing.Value)
		assert.Equal(t, 9, pairs.Worst.Lost.Len())
	}
	for _, f := range r.Reach[0].Faults {
		t.Log(f.Kind, f.Origin().Path, f.Lost.Len(), len(f.Functions), len(f.Trips))
	}
	for _, c := range r.Connections {
		t.Logf("%s %+v %+v", c.Connection.Name, c.Delay, c.Recovery)
	}
	for _, p := range r.Ports {
		t.Logf("%s.%s %v %v %v", p.Node.Origin().Name, p.Port, p.Normal, p.Load, p.Backlog)
	}
	t.Log(r.Limits)
}

// TestOtherDemos: the packer is a star of two lines, the wrapper a star of two junctions with a line.
func TestOtherDemos(t *testing.T) {
	for file, lines := range map[string][]int{demo.Packer: {2, 2}, demo.Wrapper: {3, 1, 1, 1}} {
		m, err := model.Load(demo.Files(), file)
		require.NoError(t, err)
		r, err := network.Compute(context.Background(), m, network.Options{})
		require.NoError(t, err)
		assert.Equal(t, network.TreeOf, r.Shape, file)
		var found []int
		for _, l := range r.Lines {
			found = append(found, len(l.Nodes))
		}
		assert.Equal(t, lines, found, file)
		assert.Empty(t, r.Limits, file)
		for _, c := range r.Connections {
			assert.True(t, c.Delay.Status.HasValue(), "%s: %s", file, c.Delay.Why)
		}
	}
}

// BenchmarkLines computes the networks of generated plants, each line of ten modules a ring with a controller of its own, and
// shows that the work grows with the number of modules.
func BenchmarkLines(b *testing.B) {
	parts, err := fs.ReadFile(demo.Files(), "parts.yaml")
	require.NoError(b, err)
	for _, n := range []int{100, 1000, 10000} {
		b.Run(fmt.Sprintf("modules=%d", n), func(b *testing.B) {
			m, err := model.Load(fstest.MapFS{"plant.yaml": {Data: demo.Plant(n)}, "parts.yaml": {Data: parts}}, "plant.yaml")
			require.NoError(b, err)
			for b.Loop() {
				_, err := network.Compute(context.Background(), m, network.Options{})
				require.NoError(b, err)
			}
			b.ReportMetric(float64(b.Elapsed().Microseconds())/float64(b.N)/float64(n), "µs/module")
		})
	}
}
