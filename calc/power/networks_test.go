package power

import (
	"os"
	"strconv"
	"testing"

	"github.com/guardwright/guardwright/model"
	"github.com/stretchr/testify/require"
)

// The networks of testdata/power/networks, described as machines: published examples, closed forms and networks solved
// with a circuit simulator; each file says which.
func TestNetworks(t *testing.T) {
	files, err := os.ReadDir("../../testdata/power/networks")
	require.NoError(t, err)
	count := 0
	for _, file := range files {
		name := file.Name()
		if len(name) < 4 || name[len(name)-4:] != ".csv" {
			continue
		}
		count++
		t.Run(name, func(t *testing.T) { checkNetwork(t, readNetwork(t, name)) })
	}
	require.GreaterOrEqual(t, count, 10, "the networks are there")
}

func checkNetwork(t *testing.T, n *network) {
	r := compute(t, n.machine(t))
	require.Len(t, r.Networks, 1)
	operation := r.Networks[0].Operation[Lowest]
	if n.none {
		require.Equal(t, NoOperatingPoint, operation.Status)
		require.NotNil(t, operation.Collapse)
		require.Less(t, operation.Collapse.Upper, model.Ratio(1))
		require.Greater(t, operation.Collapse.Excess, model.Power(0))
		require.NotEmpty(t, operation.Why)
		return
	}
	require.Equal(t, Solved, operation.Status)
	for _, node := range n.nodes {
		point := r.feed(t, "f_"+node.name, model.Sensor).Points[Lowest]
		require.True(t, point.Solved)
		digits(t, node.name+" across", node.across, float64(point.Voltage))
		digits(t, node.name+" plus", node.toPlus, float64(point.Voltage+point.Return))
		digits(t, node.name+" return", node.toReturn, float64(point.Return))
		if want, ok := n.results["branch "+node.name]; ok {
			require.InDelta(t, want, float64(point.Current), 1e-6*want) // written to seven digits
		}
	}
	if want, ok := n.results["source_current"]; ok {
		require.InEpsilon(t, want, float64(r.Supplies[0].Points[Lowest].Current), 1e-5)
	}
	if want, ok := n.results["collapse_factor"]; ok {
		require.InEpsilon(t, want, float64(operation.Collapse.Lower), 1e-5)
		require.InEpsilon(t, want, float64(operation.Collapse.Upper), 1e-5)
	}
}

// digits compares with a number as written, to half a unit of its last digit.
func digits(t *testing.T, what, want string, got float64) {
	t.Helper()
	if want == "" {
		return
	}
	x, err := strconv.ParseFloat(want, 64)
	require.NoError(t, err)
	require.InDelta(t, x, got, halfDigit(want)+1e-9, what)
}
