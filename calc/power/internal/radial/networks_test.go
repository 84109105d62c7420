package radial

import (
	"encoding/csv"
	"errors"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// network is a file of testdata/power/networks; the README there has the
// format and each file its source.
type network struct {
	source  Source
	nodes   []Node
	names   map[string]int
	expect  []expectation
	results []expectation
	none    bool
}

type expectation struct {
	what string
	node int
	text string
}

func readNetwork(t *testing.T, path string) network {
	t.Helper()
	file, err := os.Open(path)
	require.NoError(t, err)
	defer file.Close()
	reader := csv.NewReader(file)
	reader.Comment = '#'
	reader.FieldsPerRecord = -1
	records, err := reader.ReadAll()
	require.NoError(t, err)

	number := func(s string) float64 {
		if s == "" {
			return 0
		}
		v, err := strconv.ParseFloat(s, 64)
		require.NoError(t, err)
		return v
	}
	n := network{names: map[string]int{}}
	for _, r := range records {
		switch r[0] {
		case "source":
			n.source = Source{number(r[1]), number(r[2])}
		case "node":
			require.Len(t, r, 11)
			node := Node{Parent: Root, RPlus: number(r[3]), RMinus: number(r[4]),
				Current: number(r[5]), Power: number(r[6])}
			if r[2] != "" {
				require.Contains(t, n.names, r[2])
				node.Parent = n.names[r[2]]
			}
			if r[7] != "" {
				node.Conductance = 1 / number(r[7])
			}
			n.names[r[1]] = len(n.nodes)
			for c, what := range map[int]string{8: "voltage", 9: "plus", 10: "return"} {
				if r[c] != "" {
					n.expect = append(n.expect, expectation{what, len(n.nodes), r[c]})
				}
			}
			n.nodes = append(n.nodes, node)
		case "result":
			n.results = append(n.results, expectation{what: r[1], text: r[2]})
		case "none":
			n.none = true
		default:
			t.Fatalf("%s: unknown line %v", path, r)
		}
	}
	return n
}

// requirePrinted demands agreement to half a unit of the last digit written.
func requirePrinted(t *testing.T, what, text string, got float64) {
	t.Helper()
	want, err := strconv.ParseFloat(text, 64)
	require.NoError(t, err)
	decimals := 0
	if dot := strings.IndexByte(text, '.'); dot >= 0 {
		decimals = len(text) - dot - 1
	}
	unit := math.Pow10(-decimals)
	require.InDelta(t, want, got, 0.5*unit*(1+1e-9), what)
}

func TestPublishedNetworks(t *testing.T) {
	paths, err := filepath.Glob("../../../../testdata/power/networks/*.csv")
	require.NoError(t, err)
	require.GreaterOrEqual(t, len(paths), 12)
	for _, path := range paths {
		t.Run(strings.TrimSuffix(filepath.Base(path), ".csv"), func(t *testing.T) {
			n := readNetwork(t, path)
			require.True(t, n.none || len(n.expect) > 0)
			checkNetwork(t, n)
		})
	}
}

func checkNetwork(t *testing.T, n network) {
	tree, err := New(n.source, n.nodes)
	require.NoError(t, err)
	sol, err := tree.Solve()
	if n.none {
		var none *NoSolutionError
		require.True(t, errors.As(err, &none), "%v", err)
		require.False(t, none.WithoutPower)
	} else {
		require.NoError(t, err)
		require.Less(t, sol.Residual, 1e-9)
		for _, e := range n.expect {
			column := map[string][]float64{"voltage": sol.Voltage, "plus": sol.Plus, "return": sol.Minus}[e.what]
			requirePrinted(t, e.what+" at node "+strconv.Itoa(e.node), e.text, column[e.node])
		}
	}
	for _, e := range n.results {
		switch {
		case e.what == "source_current":
			requirePrinted(t, e.what, e.text, sol.SourceCurrent)
		case e.what == "collapse_factor":
			c, err := tree.Collapse()
			require.NoError(t, err)
			requirePrinted(t, e.what, e.text, c.Lower)
			requirePrinted(t, e.what, e.text, c.Upper)
		default:
			name := strings.TrimPrefix(e.what, "branch ")
			require.Contains(t, n.names, name)
			requirePrinted(t, e.what, e.text, sol.Branch[n.names[name]])
		}
	}
}

// TestRingByCut finds the currents of the ring main W16 itself: the ring is cut
// at B and the load there divided so that both cut ends have the same voltage.
func TestRingByCut(t *testing.T) {
	n := readNetwork(t, "../../../../testdata/power/networks/W16.csv")
	b1, b2 := n.names["B1"], n.names["B2"]
	gap := func(share float64) float64 {
		n.nodes[b1].Current, n.nodes[b2].Current = share, 120-share
		tree, err := New(n.source, n.nodes)
		require.NoError(t, err)
		sol, err := tree.Solve()
		require.NoError(t, err)
		return sol.Voltage[b1] - sol.Voltage[b2]
	}
	at0, at120 := gap(0), gap(120) // the gap is linear in the share
	share := 120 * at0 / (at0 - at120)
	require.InDelta(t, 0, gap(share), 1e-12)
	requirePrinted(t, "current from A to B", "86.66667", share)
}
