package report_test

import (
	"context"
	"fmt"
	"os"

	"github.com/guardwright/guardwright/model"
	"github.com/guardwright/guardwright/rules"
	"github.com/guardwright/guardwright/rules/report"
)

// A machine that was built in Go has no file: findings name the object instead.
func ExampleReport_Text() {
	m, err := model.Build(model.Description{Format: 1, Machine: "Conveyor", Ambient: model.TemperatureRange{Min: ptr(model.Celsius(5)), Max: ptr(model.Celsius(40))},
		Zones: map[string]model.ZoneSpec{"loading": {}}})
	if err != nil {
		fmt.Println(err)
		return
	}
	set, err := rules.Parse("plant.yaml", []byte(`format: 1
pack: Plant rules
rules:
  zone-is-described:
    for: zone
    require: has(zone.about)
    say: nobody wrote what the zone {zone} is for
    severity: advice
`))
	if err != nil {
		fmt.Println(err)
		return
	}
	result, err := rules.Check(context.Background(), m, set)
	if err != nil {
		fmt.Println(err)
		return
	}
	if err := report.New(result).Text(os.Stdout, report.TextOptions{Parts: []report.Part{report.SummaryPart, report.FindingsPart}}); err != nil {
		fmt.Println(err)
	}
	// Output:
	// Conveyor
	// verdict: 0 errors, 0 warnings, 1 advice, 0 accepted, 0 not decidable, 0 rule errors (1 rule)
	// supply:  0 numbers of the 24 V supply: 0 within their limit, 0 beyond, 0 without a limit, 0 not
	//          covered, 0 unknown
	//
	// Findings
	// zones.loading: advice: nobody wrote what the zone loading is for [zone-is-described]
	//     because: has(zone.about) = false
	//
	// Caution: This report supports, and does not replace, risk assessment, validation, the local codes
	// and the judgement of a competent person. Its numbers are as good as the data sheets behind the
	// description.
}
