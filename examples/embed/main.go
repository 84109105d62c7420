// Embed is a small in-house program that knows its machine from its own data and not from a file: it builds the
// description from plain struct literals, computes it, prints the margins of every load, and asks one rule that it
// carries as a text.
//
//	go run ./examples/embed
//
// Component data and machine are invented.
//
// # Caution
//
// What it prints supports, and does not replace, risk assessment, validation, the local codes and the judgement of a
// competent person.
package main

import (
	"context"
	"fmt"
	"io"
	"os"

	"github.com/guardwright/guardwright/calc/power"
	"github.com/guardwright/guardwright/model"
	"github.com/guardwright/guardwright/rules"
)

func main() {
	if err := run(context.Background(), os.Stdout); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

// houseRules are rules of the house. They name objects and computed results in the words that
// go run ./examples/check --vocabulary lists.
const houseRules = `format: 1
pack: Rules of the house
rules:
  reserve-for-ageing-contacts:
    for: load
    when: has(load.min)
    require: load.lowest.margin >= V(1.5)
    say: "the {load} of {load.owner.name} has {load.lowest.margin} left to its least voltage, and the house wants 1.5 V"
    severity: warning
    source: rules of the house, 3.2
    hint: use a thicker or shorter cable, or feed the module from nearer to the supply
`

// run builds, computes, judges and prints.
func run(ctx context.Context, out io.Writer) error {
	m, err := model.Build(machine(), parts())
	if err != nil {
		return fmt.Errorf("the machine has problems:\n%w", err)
	}
	set, err := rules.Parse("house rules", []byte(houseRules))
	if err != nil {
		return fmt.Errorf("the rules have problems:\n%w", err)
	}
	result, err := rules.Check(ctx, m, set)
	if err != nil {
		return err
	}
	if result.Results.Power == nil {
		return fmt.Errorf("the supply could not be computed: %s", result.Results.PowerMissing)
	}
	fmt.Fprintln(out, m.Name)
	printMargins(out, result.Results.Power)
	for _, f := range result.Findings {
		fmt.Fprintln(out, f)
	}
	for _, u := range result.Unanswered {
		fmt.Fprintln(out, u) // not decided is not passed
	}
	return nil
}

// printMargins prints every load with its lowest voltage and what is left to the least at which it works. Whether there
// is a margin at all is the first thing to ask a check.
func printMargins(out io.Writer, r *power.Result) {
	for _, d := range r.Devices {
		for _, l := range d.Loads {
			c := l.Lowest
			if !c.Status.Decided() {
				fmt.Fprintf(out, "%s.%s: %v: %s\n", d.Device.Name, l.Load.Name, c.Status, c.Why)
				continue
			}
			fmt.Fprintf(out, "%s.%s: %s, needs %s, margin %s\n", d.Device.Name, l.Load.Name,
				c.Value.Format(4), c.Limit.Format(4), c.Margin.Format(3))
		}
	}
}
