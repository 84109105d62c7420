package distance_test

import (
	"encoding/csv"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/guardwright/guardwright/calc/distance"
	"github.com/guardwright/guardwright/model"
	"github.com/stretchr/testify/require"
)

// rows reads a file of testdata/distance, each row by the names of its columns.
func rows(t *testing.T, name string) []map[string]string {
	t.Helper()
	f, err := os.Open("../../testdata/distance/" + name)
	require.NoError(t, err)
	defer f.Close()
	all, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	var out []map[string]string
	for _, record := range all[1:] {
		row := map[string]string{}
		for i, column := range all[0] {
			row[column] = record[i]
		}
		out = append(out, row)
	}
	require.NotEmpty(t, out)
	return out
}

// inputs are the arguments of a formula: name=value;name=value.
type inputs map[string]string

func inputsOf(text string) inputs {
	in := inputs{}
	for part := range strings.SplitSeq(text, ";") {
		name, value, _ := strings.Cut(part, "=")
		in[name] = value
	}
	return in
}

func (in inputs) length(t *testing.T, name string) model.Length {
	if in[name] == "" {
		return 0
	}
	v, err := model.ParseLength(in[name])
	require.NoError(t, err)
	return v
}

func (in inputs) time(t *testing.T, name string) model.Duration {
	v, err := model.ParseDuration(in[name])
	require.NoError(t, err)
	return v
}

func (in inputs) count(t *testing.T, name string) int {
	v, err := strconv.Atoi(in[name])
	require.NoError(t, err)
	return v
}

func (in inputs) standard() model.DistanceStandard { return model.DistanceStandard(in["standard"]) }

// law is the law that a row names.
func law(t *testing.T, formula string, in inputs) distance.Law {
	t.Helper()
	var l distance.Law
	var err error
	switch formula {
	case "orthogonal":
		l, err = distance.OrthogonalField(in.standard(), in.length(t, "d"))
	case "beams":
		l, err = distance.SeparateBeams(in.standard(), in.count(t, "n"))
	case "parallel":
		l, err = distance.ParallelField(in.standard(), in.length(t, "H"))
	case "mat":
		l, err = distance.PressureMat(in.standard(), in.length(t, "h"))
	case "two-hand", "full-revolution":
		l, err = distance.TwoHandControl(in.standard(), false)
	case "shrouded":
		l, err = distance.TwoHandControl(in.standard(), true)
	case "over":
		l, err = distance.ReachOver(in.standard(), in.length(t, "a"), in.length(t, "b"))
	case "guard":
		var opening model.Length
		if in["e"] != "" {
			opening, err = distance.OpeningDistance(in.length(t, "e"), model.SlotOpening, 0)
			require.NoError(t, err)
		}
		l, err = distance.InterlockedGuard(in.standard(), opening)
	default:
		t.Fatalf("unknown formula %q", formula)
	}
	require.NoError(t, err)
	return l
}
