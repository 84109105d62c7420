// Plantrules is how a plant hands its own rules to its suppliers: a rule file with test cases beside each rule, tested
// first, and then asked about a supplier's machine.
//
//	go run ./examples/plantrules
//
// The same rule file serves the check command, see the head of plant.yaml. Plant, supplier and parts are invented.
//
// # Caution
//
// What it prints supports, and does not replace, risk assessment, validation, the local codes and the judgement of a
// competent person.
package main

import (
	"context"
	"embed"
	"fmt"
	"io"
	"io/fs"
	"os"

	"github.com/guardwright/guardwright/model"
	"github.com/guardwright/guardwright/rules"
	"github.com/guardwright/guardwright/rules/report"
)

//go:embed plant.yaml supplier.yaml
var files embed.FS

func main() {
	if err := run(context.Background(), os.Stdout); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

// run tests the rules, asks them about the machine, and prints the answer.
func run(ctx context.Context, out io.Writer) error {
	plant, err := rules.Load(files, "plant.yaml")
	if err != nil {
		return fmt.Errorf("the rule file has problems:\n%w", err)
	}
	if err := testRules(ctx, out, plant); err != nil {
		return err
	}
	m, err := model.Load(files, "supplier.yaml")
	if err != nil {
		return fmt.Errorf("the machine file has problems:\n%w", err)
	}
	result, err := rules.Check(ctx, m, plant)
	if err != nil {
		return err
	}
	return report.New(result).Text(out, report.TextOptions{
		Parts:    []report.Part{report.SummaryPart, report.FindingsPart, report.UndecidedPart, report.RulesPart},
		ReadFile: func(name string) ([]byte, error) { return fs.ReadFile(files, name) },
	})
}

// testRules runs the cases in the rule file: a rule that does not pass its own cases judges nobody's machine.
func testRules(ctx context.Context, out io.Writer, set *rules.Ruleset) error {
	results, err := rules.TestCases(ctx, set)
	if err != nil {
		return err
	}
	failed := 0
	for _, r := range results {
		fmt.Fprintln(out, r)
		if !r.Passed() {
			failed++
		}
	}
	if failed > 0 {
		return fmt.Errorf("%d of %d cases failed: the rules are not to be used before they are put right", failed, len(results))
	}
	fmt.Fprintln(out)
	return nil
}
