package source_test

import (
	"fmt"
	"testing/fstest"

	"github.com/guardwright/guardwright/model/source"
)

func Example() {
	fsys := fstest.MapFS{"machine.yaml": {Data: []byte(`
machine: Tray washer
modules:
  m1: {type: io8, adress: 10.8.3.21}
  m2: {address: 10.8.3.22}
devices:
  g1: {kind: gaurd_switch}
`)}}
	var washer plant
	file, problems := source.Load(fsys, "machine.yaml", &washer, source.Limits{})
	fmt.Println(problems)
	fmt.Println("the washer has", len(washer.Modules), "modules, m2 stands at", file.Position("modules.m2"))
	// Output:
	// machine.yaml:4:19: modules.m1.adress: unknown key "adress": did you mean "address"? (known here: about, address, ports, type)
	// machine.yaml:5:3: modules.m2.type: required, but missing: wanted a text
	// machine.yaml:7:14: devices.g1.kind: unknown word "gaurd_switch": did you mean "guard_switch"? (wanted one of estop, guard_switch, light_curtain)
	// the washer has 2 modules, m2 stands at machine.yaml:5:3
}

func ExampleExpression_At() {
	file, problems := source.Parse("rules.yaml", []byte(`
rules:
  - require: >
      port.current <=
      port.fuse_hold
`), source.Limits{})
	var into struct {
		Rules []struct{ Require source.Expression }
	}
	problems = append(problems, file.Decode(&into)...)
	fmt.Println(problems.Err())
	require := into.Rules[0].Require
	fmt.Printf("%q\n", require.Text)
	// The compiler of the expression says: line 1, column 21 is not known.
	fmt.Println(require.At(1, 21))
	// Output:
	// <nil>
	// "port.current <= port.fuse_hold\n"
	// rules.yaml:5:12
}

func ExampleNearest() {
	fmt.Println(source.Nearest("load-gate", []string{"load_gate", "unload_gate"}))
	fmt.Println(source.Nearest("g2", []string{"g1", "g3"}))
	// Output:
	// load_gate true
	//  false
}

func ExampleMissing() {
	fmt.Println(source.Missing(module{}))
	// Output: type: required, but missing: wanted a text
}
