package rules_test

import (
	"context"
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/guardwright/guardwright/model"
	"github.com/guardwright/guardwright/rules"
)

func small(t testing.TB) *model.Machine {
	t.Helper()
	m, err := model.Load(os.DirFS("../testdata/rules"), "small.yaml")
	require.NoError(t, err)
	return m
}

const plant = `format: 1
pack: Plant rules
rules:
  port-current:
    for: port
    when: has(port.device)
    require: port.device.loads.filter(l, has(l.current)).map(l, l.current).sum() <= port.limit
    say: "port {port} feeds {port.device} with {port.device.loads.map(l, l.current).sum()}, and {port.limit} are allowed"
    severity: error
    source: data sheet of the module
    hint: use a port with a higher limit than {port.limit}
    related: [port.device, port.device.loads]
  cable-length:
    for: port
    when: has(port.cable)
    require: port.cable.length <= m(20)
    say: the cable of {port} is {port.cable.length} long
    severity: warning
    at: cable.length
`

func TestSmoke(t *testing.T) {
	set, err := rules.Parse("plant.yaml", []byte(plant))
	require.NoError(t, err)
	r, err := rules.Check(context.Background(), small(t), set)
	require.NoError(t, err)
	var b strings.Builder
	for _, f := range r.Findings {
		fmt.Fprintln(&b, f)
		for _, v := range f.Because {
			fmt.Fprintln(&b, "  because", v)
		}
		fmt.Fprintln(&b, "  hint", f.Hint)
		for _, v := range f.Related {
			fmt.Fprintln(&b, "  see", v)
		}
	}
	for _, u := range r.Unanswered {
		fmt.Fprintln(&b, u, u.RulePosition)
	}
	fmt.Print(b.String())
	fmt.Printf("%+v\n", r.NotComputed)
}
