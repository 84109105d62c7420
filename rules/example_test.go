package rules_test

import (
	"context"
	"fmt"
	"log"
	"os"

	"github.com/guardwright/guardwright/model"
	"github.com/guardwright/guardwright/rules"
)

func Example() {
	machine, err := model.Load(os.DirFS("../testdata/rules"), "small.yaml")
	if err != nil {
		log.Fatal(err)
	}
	set, err := rules.Parse("plant.yaml", []byte(`
format: 1
pack: Plant rules
rules:
  cable-length:
    for: port
    when: has(port.cable)
    require: port.cable.length <= m(20)
    say: the cable of {port} is {port.cable.length} long
    hint: move {port.device} to a nearer module
    severity: warning
    at: cable.length
`))
	if err != nil {
		log.Fatal(err)
	}
	result, err := rules.Check(context.Background(), machine, set)
	if err != nil {
		log.Fatal(err)
	}
	for _, f := range result.Findings {
		fmt.Println(f)
		for _, v := range f.Because {
			fmt.Println("  because", v)
		}
		fmt.Println("  fix:", f.Hint)
	}
	// Output:
	// small.yaml:32:40: warning: the cable of m1.2 is 30 m long [cable-length]
	//   because port.cable.length = 30 m
	//   fix: move g2 to a nearer module
}

func ExampleParse_errors() {
	_, err := rules.Parse("plant.yaml", []byte(`
format: 1
pack: Plant rules
rules:
  port-limit:
    for: port
    require: port.limit > V(24) && port.limt < A(2)
    say: wrong
    severity: error
`))
	fmt.Println(err)
	// Output:
	// plant.yaml:7:25: rules.port-limit.require: a current cannot be compared with a voltage
	// plant.yaml:7:40: rules.port-limit.require: a port has no field limt; did you mean limit?
}

func ExampleTestCases() {
	set, err := rules.Parse("plant.yaml", []byte(`
format: 1
pack: Plant rules
rules:
  zone-is-large:
    for: zone
    require: has(zone.whole_body)
    say: it is not stated whether a person can stand in {zone}
    severity: warning
    cases:
      - about: nothing is stated
        machine: |
          format: 1
          machine: Empty
          ambient: {min: 5 °C, max: 40 °C}
          zones: {left: {}, right: {whole_body: true}}
        finds: [zones.left]
`))
	if err != nil {
		log.Fatal(err)
	}
	results, err := rules.TestCases(context.Background(), set)
	if err != nil {
		log.Fatal(err)
	}
	for _, r := range results {
		fmt.Println(r)
	}
	// Output:
	// plant.yaml:11:9: rule zone-is-large, case 1 (nothing is stated): passed
}

func ExampleResult_Undecided() {
	machine, err := model.Load(os.DirFS("../testdata/rules"), "small.yaml")
	if err != nil {
		log.Fatal(err)
	}
	set, err := rules.Parse("plant.yaml", []byte(`
format: 1
pack: Plant rules
rules:
  quick-devices:
    for: device
    require: device.type.response <= ms(100)
    say: "{device} takes {device.type.response}"
    severity: warning
`))
	if err != nil {
		log.Fatal(err)
	}
	result, err := rules.Check(context.Background(), machine, set)
	if err != nil {
		log.Fatal(err)
	}
	for _, u := range result.Undecided() {
		fmt.Println(u)
	}
	// Output:
	// small.yaml:23:3: devices.g2: not decidable, because device_type.response of types.devices.lock is not stated [quick-devices]
}
