package power

import (
	"context"
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/guardwright/guardwright/model"
	"github.com/stretchr/testify/require"
)

// load makes a machine from the text of a machine file.
func load(t testing.TB, text string) *model.Machine {
	t.Helper()
	m, err := model.Load(fstest.MapFS{"machine.yaml": {Data: []byte(text)}}, "machine.yaml")
	require.NoError(t, err)
	return m
}

// compute is Compute that must succeed.
func compute(t testing.TB, m *model.Machine) *Result {
	t.Helper()
	r, err := Compute(context.Background(), m, Options{})
	require.NoError(t, err)
	return r
}

// feed finds one circuit of a feed.
func (r *Result) feed(t testing.TB, name string, c model.Circuit) *FeedCircuit {
	t.Helper()
	for _, f := range r.Feeds {
		for _, fc := range f.Circuits {
			if f.Feed.Name == name && fc.Circuit.Circuit == c {
				return fc
			}
		}
	}
	t.Fatalf("no %s circuit of feed %s", c, name)
	return nil
}

// load finds the load of a device or module by the last two parts of its path.
func (r *Result) load(t testing.TB, owner, name string) *Load {
	t.Helper()
	var all []*Load
	for _, d := range r.Devices {
		all = append(all, d.Loads...)
	}
	for _, m := range r.Modules {
		all = append(all, m.Loads...)
	}
	for _, c := range r.Controllers {
		all = append(all, c.Loads...)
	}
	for _, s := range r.Switches {
		all = append(all, s.Loads...)
	}
	for _, l := range all {
		if l.Owner.Origin().Name == owner && l.Load.Name == name {
			return l
		}
	}
	t.Fatalf("no load %s of %s", name, owner)
	return nil
}

// circuit finds one circuit of a port.
func (r *Result) port(t testing.TB, module, port string, c model.Circuit) *PortCircuit {
	t.Helper()
	for _, m := range r.Modules {
		for _, p := range m.Ports {
			for _, pc := range p.Circuits {
				if m.Module.Name == module && p.Port.Name == port && pc.Circuit == c {
					return pc
				}
			}
		}
	}
	t.Fatalf("no %s circuit at port %s of %s", c, port, module)
	return nil
}

// table reads a file of check values: every row by the names of its columns.
func table(t testing.TB, name string) []map[string]string {
	t.Helper()
	file, err := os.Open(filepath.Join("../../testdata/power", name))
	require.NoError(t, err)
	defer file.Close()
	reader := csv.NewReader(file)
	reader.Comment = '#'
	records, err := reader.ReadAll()
	require.NoError(t, err)
	var rows []map[string]string
	for _, record := range records[1:] {
		row := map[string]string{}
		for i, field := range record {
			row[records[0][i]] = field
		}
		require.NotEmpty(t, row["source"], "every check value says where it comes from")
		require.NotEmpty(t, row["how_known"], "every check value says how it is known")
		rows = append(rows, row)
	}
	require.NotEmpty(t, rows)
	return rows
}

// number reads a field.
func number(t testing.TB, row map[string]string, column string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(row[column], 64)
	require.NoError(t, err, "column %s of %v", column, row)
	return x
}

// agrees compares a figure with the row's value within the row's tolerance, which is absolute.
func agrees(t testing.TB, row map[string]string, got float64) {
	t.Helper()
	want, tolerance := number(t, row, "value"), number(t, row, "tolerance")
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%v: got %.9g, want %g within %g (%s)", row, got, want, tolerance, row["why_tolerance"])
	}
}

// network is a tree of testdata/power/networks.
type network struct {
	voltage, source float64
	nodes           []networkNode
	results         map[string]float64
	none            bool
}

type networkNode struct {
	name, parent               string
	plus, ret                  float64
	current, power, resistance float64
	across, toPlus, toReturn   string // as written, to know the last digit
}

// readNetwork reads a file that its README describes.
func readNetwork(t testing.TB, name string) *network {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("../../testdata/power/networks", name))
	require.NoError(t, err)
	n := &network{results: map[string]float64{}}
	float := func(s string) float64 {
		if s == "" {
			return 0
		}
		x, err := strconv.ParseFloat(s, 64)
		require.NoError(t, err)
		return x
	}
	for line := range strings.Lines(string(data)) {
		f := strings.Split(strings.TrimSpace(line), ",")
		switch {
		case strings.HasPrefix(line, "#") || f[0] == "":
		case f[0] == "source":
			n.voltage, n.source = float(f[1]), float(f[2])
		case f[0] == "node":
			n.nodes = append(n.nodes, networkNode{f[1], f[2], float(f[3]), float(f[4]), float(f[5]), float(f[6]), float(f[7]), f[8], f[9], f[10]})
		case f[0] == "result":
			n.results[f[1]] = float(f[2])
		case f[0] == "none":
			n.none = true
		}
	}
	return n
}

// machine describes the network as a machine: every node a module with loads of its own, every branch a feed of 1 m at
// 20 °C. Cores in parallel make the ratio of the plus to the return conductor.
func (n *network) machine(t testing.TB) *model.Machine {
	t.Helper()
	var types, cables, modules, feeds strings.Builder
	for i, node := range n.nodes {
		var loads []string
		if node.current > 0 {
			loads = append(loads, fmt.Sprintf("i: {current: %v A}", node.current))
		}
		if node.power > 0 {
			loads = append(loads, fmt.Sprintf("p: {power: %v W}", node.power))
		}
		if node.resistance > 0 {
			loads = append(loads, fmt.Sprintf("r: {resistance: %v ohm}", node.resistance))
		}
		fmt.Fprintf(&types, "    t%d: {power_in: plug, power_out: plug, loads: {%s}}\n", i, strings.Join(loads, ", "))
		plus, ret := cores(node.plus, node.ret)
		fmt.Fprintf(&cables, "    c%d: {cores: %d, section: 16 mm2, resistance: %v ohm/km}\n", i, plus+ret, max(1e-9, node.plus*float64(plus)*1000))
		fmt.Fprintf(&modules, "  %s: {type: t%d}\n", node.name, i)
		cable := fmt.Sprintf("cable: {type: c%d, length: 1 m}", i)
		if node.parent == "" {
			fmt.Fprintf(&feeds, "    f_%s: {to: %s, %s, sensor: {from: ps, plus_cores: %d, return_cores: %d}}\n", node.name, node.name, cable, plus, ret)
		} else {
			fmt.Fprintf(&feeds, "    f_%s: {from: %s, to: %s, %s, sensor: {plus_cores: %d, return_cores: %d}}\n", node.name, node.parent, node.name, cable, plus, ret)
		}
	}
	source := ""
	if n.source > 0 {
		source = fmt.Sprintf(", source_resistance: %v ohm", n.source)
	}
	return load(t, fmt.Sprintf(`
format: 1
machine: Network
ambient: {min: 20 °C, max: 20 °C}
types:
  connectors:
    plug: {contacts: 5, rating: 1000 A}
  supplies:
    ideal: {nominal: %v V, min: %v V, max: %v V, rated: 1000 A%s}
  modules:
%s  cables:
%s
modules:
%spower:
  hot_conductor: 20 °C
  cold_conductor: 20 °C
  supplies:
    ps: {type: ideal}
  feeds:
%s`, n.voltage, n.voltage, n.voltage, source, types.String(), cables.String(), modules.String(), feeds.String()))
}

// cores finds small numbers of cores whose ratio is that of two resistances.
func cores(plus, ret float64) (p, r int) {
	for p = 1; p < 10; p++ {
		for r = 1; r < 10; r++ {
			if math.Abs(plus*float64(p)-ret*float64(r)) <= 1e-12*plus {
				return p, r
			}
		}
	}
	return 1, 1
}

// halfDigit is half a unit of the last digit of a number as written.
func halfDigit(text string) float64 {
	_, fraction, _ := strings.Cut(text, ".")
	return 0.5 * math.Pow10(-len(fraction)) * (1 + 1e-9)
}
