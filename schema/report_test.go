package schema_test

import (
	"bytes"
	"context"
	"os"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"github.com/guardwright/guardwright/model"
	"github.com/guardwright/guardwright/rules"
	"github.com/guardwright/guardwright/rules/report"
	"github.com/guardwright/guardwright/schema"
)

// builtReport is the report with one entry of every kind that the tests of package report compare with.
func builtReport(t *testing.T) []byte {
	t.Helper()
	text, err := os.ReadFile("../testdata/report/TestJSON.txt")
	if err != nil {
		t.Fatal(err)
	}
	return text
}

// TestReports: what package report writes satisfies the schema, as a whole and part by part, of nothing, of a machine
// and with an entry of every kind.
func TestReports(t *testing.T) {
	machine, err := model.LoadFile("../examples/demo/machine.yaml")
	if err != nil {
		t.Fatal(err)
	}
	set, err := rules.Parse("rules.yaml", base(t, "rules.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	checked, err := rules.Check(context.Background(), machine, set)
	if err != nil {
		t.Fatal(err)
	}
	texts := [][]byte{builtReport(t)}
	for _, result := range []*rules.Result{{}, checked} {
		for _, parts := range append([][]report.Part{nil}, single(report.Parts())...) {
			var out bytes.Buffer
			if err := report.New(result).JSON(&out, parts...); err != nil {
				t.Fatal(err)
			}
			texts = append(texts, out.Bytes())
		}
	}
	for _, draft := range []string{draft2020, draft07} {
		validator := compile(t, schema.Report(), draft)
		for _, text := range texts {
			v, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
			if err != nil {
				t.Fatal(err)
			}
			if err := validator.Validate(v); err != nil {
				t.Errorf("%v\n%.500s", err, text)
			}
		}
	}
}

func single(parts []report.Part) [][]report.Part {
	var out [][]report.Part
	for _, p := range parts {
		out = append(out, []report.Part{p})
	}
	return out
}

// TestReportIsClosed: the schema refuses what is no report.
func TestReportIsClosed(t *testing.T) {
	validator := compile(t, schema.Report(), draft2020)
	for _, change := range [][2]string{
		{`"format": 1`, `"format": 2`},
		{`"format": 1`, `"format": "1"`},
		{`"caution":`, `"notice":`},
		{`"errors":`, `"error":`},
		{`"findings": [`, `"findings": [{}, `},
	} {
		if !bytes.Contains(builtReport(t), []byte(change[0])) {
			t.Fatalf("the report has no %s", change[0])
		}
		v, err := jsonschema.UnmarshalJSON(bytes.NewReader(bytes.Replace(builtReport(t), []byte(change[0]), []byte(change[1]), 1)))
		if err != nil {
			t.Fatal(err)
		}
		if validator.Validate(v) == nil {
			t.Errorf("%s for %s is taken", change[1], change[0])
		}
	}
}
