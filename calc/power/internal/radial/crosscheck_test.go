package radial

import (
	"bufio"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// The crosscheck compares random networks with the general-purpose circuit
// simulator ngspice, which forms and solves the equations in its own way.
//
//	GUARDWRIGHT_CROSSCHECK=1 go test -run Crosscheck ./calc/power/internal/radial
//
// runs networks 1 to 200. With GUARDWRIGHT_NETWORK=17 beside it, only network
// 17 is run, and its netlist is kept and its path printed.
const (
	crosscheckVariable = "GUARDWRIGHT_CROSSCHECK"
	networkVariable    = "GUARDWRIGHT_NETWORK"
	networkCount       = 200
)

// tight are the tolerances of the comparison. Rounding of voltages over small
// resistances makes smaller ones for currents unreachable for ngspice.
const tight = "reltol=1e-10 abstol=1e-9 vntol=1e-9 gmin=1e-15"

// crosscheckNetwork is the network of that number, always the same: up to 200
// nodes and every kind of load; every fourth one has its constant powers
// between half and 99 % of the collapse factor.
func crosscheckNetwork(t *testing.T, number uint64) (Source, []Node) {
	r := newRand(number)
	source, nodes := randomNodes(r, 1+r.IntN(200))
	if number%4 == 0 {
		tree, err := New(source, nodes)
		require.NoError(t, err)
		c, err := tree.Collapse()
		require.NoError(t, err)
		nodes = scalePower(nodes, c.Lower*(0.5+0.49*r.Float64()))
	}
	return source, nodes
}

func TestCrosscheckWithCircuitSimulator(t *testing.T) {
	if os.Getenv(crosscheckVariable) == "" {
		t.Skipf("set %s=1 to compare %d random networks with ngspice (must be installed); %s=n runs network n only",
			crosscheckVariable, networkCount, networkVariable)
	}
	program, err := exec.LookPath("ngspice")
	require.NoError(t, err, "the crosscheck needs the circuit simulator ngspice on the path")
	folder, first, last := t.TempDir(), uint64(1), uint64(networkCount)
	if text := os.Getenv(networkVariable); text != "" {
		first, err = strconv.ParseUint(text, 10, 64)
		require.NoError(t, err, "%s must be a network number", networkVariable)
		last = first
		folder, err = os.MkdirTemp("", "radial")
		require.NoError(t, err)
		t.Logf("netlist of network %d: %s", first, filepath.Join(folder, "network.cir"))
	}
	compared, worst := 0, 0.0
	for number := first; number <= last; number++ {
		t.Run(fmt.Sprintf("network %d", number), func(t *testing.T) {
			source, nodes := crosscheckNetwork(t, number)
			sol := mustSolve(t, source, nodes)
			simulated := simulate(t, program, folder, netlist(source, nodes, tight, 1))
			compare := func(got float64, name string) {
				want, ok := simulated[name]
				require.True(t, ok, "ngspice has no %s", name)
				worst = max(worst, math.Abs(got-want))
				require.InDelta(t, want, got, 1e-6, "%s; to keep the netlist, set %s=%d", name, networkVariable, number)
				compared++
			}
			for i := range nodes {
				compare(sol.Plus[i], fmt.Sprintf("v(p%d)", i))
				compare(sol.Minus[i], fmt.Sprintf("v(m%d)", i))
			}
			compare(-sol.SourceCurrent, "i(vs)") // counted into the plus terminal
		})
	}
	t.Logf("%d potentials and currents compared, largest difference %.2g V or A", compared, worst)
}

// netlist writes the network for ngspice: plus and return conductors apart, a
// conductor without resistance as a 0 V source, constant power as a behavioural
// current source. The node set at the source voltage leads to the upper
// solution. The analysis is made the given number of times.
func netlist(source Source, nodes []Node, options string, times int) string {
	var b strings.Builder
	fmt.Fprintf(&b, "radial network\nvs s 0 dc %.17g\n", source.Voltage)
	conductor := func(name string, i int, from, to string, r float64) {
		if r == 0 {
			fmt.Fprintf(&b, "v%s%d %s %s dc 0\n", name, i, from, to)
			return
		}
		fmt.Fprintf(&b, "r%s%d %s %s %.17g\n", name, i, from, to, r)
	}
	for i, node := range nodes {
		plus, minus := fmt.Sprintf("p%d", i), fmt.Sprintf("m%d", i)
		abovePlus, aboveMinus, series := "s", "0", source.Resistance
		if p := node.Parent; p >= 0 {
			abovePlus, aboveMinus, series = fmt.Sprintf("p%d", p), fmt.Sprintf("m%d", p), 0
		}
		conductor("p", i, abovePlus, plus, node.RPlus+series)
		conductor("m", i, minus, aboveMinus, node.RMinus)
		if node.Current > 0 {
			fmt.Fprintf(&b, "ic%d %s %s dc %.17g\n", i, plus, minus, node.Current)
		}
		if node.Power > 0 {
			fmt.Fprintf(&b, "bp%d %s %s i=%.17g/v(%s,%s)\n", i, plus, minus, node.Power, plus, minus)
		}
		if node.Conductance > 0 {
			fmt.Fprintf(&b, "rg%d %s %s %.17g\n", i, plus, minus, 1/node.Conductance)
		}
		fmt.Fprintf(&b, ".nodeset v(%s)=%.17g v(%s)=0\n", plus, source.Voltage, minus)
	}
	fmt.Fprintf(&b, ".options %s itl1=1000\n", options)
	fmt.Fprintf(&b, ".control\nset filetype=ascii\nrepeat %d\nop\nend\nwrite network.raw\nrusage all\nquit 0\n.endc\n.end\n", times)
	return b.String()
}

// simulate runs ngspice on a netlist and returns the vectors it wrote by name.
func simulate(t testing.TB, program, folder, netlist string) map[string]float64 {
	t.Helper()
	output := runSimulator(t, program, folder, netlist)
	file, err := os.Open(filepath.Join(folder, "network.raw"))
	require.NoError(t, err, "ngspice found no operating point:\n%s", output[:min(len(output), 3000)])
	defer file.Close()

	// Lines "index name type" up to "Values:", then the values in that order,
	// the first one preceded by the number of the point.
	var names []string
	values := map[string]float64{}
	inValues := false
	for lines := bufio.NewScanner(file); lines.Scan(); {
		fields := strings.Fields(lines.Text())
		switch {
		case len(fields) == 0:
		case fields[0] == "Values:":
			inValues = true
		case inValues && len(values) < len(names):
			v, err := strconv.ParseFloat(fields[len(fields)-1], 64)
			require.NoError(t, err)
			values[names[len(values)]] = v
		case !inValues && len(fields) == 3 && (fields[2] == "voltage" || fields[2] == "current"):
			names = append(names, fields[1])
		}
	}
	require.Len(t, values, len(names))
	require.NotEmpty(t, names)
	return values
}

// runSimulator runs ngspice in batch mode and returns what it printed. A
// result of an earlier run is removed first.
func runSimulator(t testing.TB, program, folder, netlist string) string {
	t.Helper()
	require.NoError(t, os.WriteFile(filepath.Join(folder, "network.cir"), []byte(netlist), 0o600))
	if err := os.Remove(filepath.Join(folder, "network.raw")); err != nil {
		require.ErrorIs(t, err, os.ErrNotExist)
	}
	command := exec.Command(program, "-b", "network.cir")
	command.Dir = folder
	output, err := command.CombinedOutput()
	require.NoError(t, err, "%s", output[max(0, len(output)-3000):])
	return string(output)
}

// BenchmarkSimulator200 runs ngspice on the network of BenchmarkSolve200, with
// the tolerances of the crosscheck and with its own. It reports, from one run,
// the time of a whole process and of one analysis by its own account, and how
// many plain solutions fit into each.
func BenchmarkSimulator200(b *testing.B) {
	program, err := exec.LookPath("ngspice")
	if err != nil {
		b.Skip("ngspice is not installed")
	}
	source, nodes := benchNodes(200)
	tree, err := New(source, nodes)
	if err != nil {
		b.Fatal(err)
	}
	for _, test := range []struct{ name, options string }{{"tight", tight}, {"default", ""}} {
		b.Run(test.name, func(b *testing.B) {
			solve := timeSolve(b, tree) / 1e6 // ms
			folder := b.TempDir()
			analysis := analysisTime(b, program, folder, source, nodes, test.options)
			one := netlist(source, nodes, test.options, 1)
			for b.Loop() {
				runSimulator(b, program, folder, one)
			}
			process := float64(b.Elapsed().Microseconds()) / 1000 / float64(b.N)
			b.ReportMetric(solve, "ms/solve")
			b.ReportMetric(analysis, "ms/analysis")
			b.ReportMetric(process, "ms/process")
			b.ReportMetric(analysis/solve, "solves/analysis")
			b.ReportMetric(process/solve, "solves/process")
		})
	}
}

// analysisTime returns the milliseconds of one analysis that ngspice reports.
// Its clock ticks about once a millisecond, so many analyses are made.
func analysisTime(b *testing.B, program, folder string, source Source, nodes []Node, options string) float64 {
	const times = 200
	output := runSimulator(b, program, folder, netlist(source, nodes, options, times))
	match := regexp.MustCompile(`Total analysis time \(seconds\) = ([0-9.e+-]+)`).FindStringSubmatch(output)
	if match == nil {
		b.Fatalf("no analysis time in the output of ngspice:\n%s", output[max(0, len(output)-3000):])
	}
	seconds, err := strconv.ParseFloat(match[1], 64)
	if err != nil {
		b.Fatal(err)
	}
	return seconds * 1000 / times
}
