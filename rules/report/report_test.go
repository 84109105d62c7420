package report_test

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"io/fs"
	"math"
	"os"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/guardwright/guardwright/calc"
	"github.com/guardwright/guardwright/calc/power"
	"github.com/guardwright/guardwright/model"
	"github.com/guardwright/guardwright/rules"
	"github.com/guardwright/guardwright/rules/report"
)

func textOf(t testing.TB, r *rules.Result, o report.TextOptions) string {
	t.Helper()
	var b strings.Builder
	require.NoError(t, report.New(r).Text(&b, o))
	return b.String()
}

func jsonOf(t testing.TB, r *rules.Result, parts ...report.Part) []byte {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, report.New(r).JSON(&b, parts...))
	return b.Bytes()
}

// demoFiles is the folder of the demo machine.
func demoFiles() fs.FS { return os.DirFS("../../examples/demo") }

func demoResult(t testing.TB) *rules.Result {
	t.Helper()
	m, err := model.Load(demoFiles(), "machine.yaml")
	require.NoError(t, err)
	set, err := rules.Parse("plant.yaml", []byte(`format: 1
pack: Plant rules
rules:
  short-cables:
    for: port
    when: has(port.cable)
    require: port.cable.length <= m(8)
    say: the cable of {port} is {port.cable.length} long
    severity: warning
    at: cable.length
`))
	require.NoError(t, err)
	r, err := rules.Check(context.Background(), m, set)
	require.NoError(t, err)
	return r
}

func TestText(t *testing.T) {
	golden(t, textOf(t, builtResult(), report.TextOptions{ReadFile: readMachine}))
}

func TestTextAll(t *testing.T) {
	golden(t, textOf(t, builtResult(), report.TextOptions{ReadFile: readMachine, Parts: report.Parts()}))
}

func TestTextColour(t *testing.T) {
	o := report.TextOptions{ReadFile: readMachine, Parts: []report.Part{report.SummaryPart, report.FindingsPart, report.LoadsPart}, Colour: true}
	golden(t, textOf(t, builtResult(), o))
}

func TestTextWide(t *testing.T) {
	golden(t, textOf(t, builtResult(), report.TextOptions{ReadFile: readMachine, Width: 140}))
}

func TestJSON(t *testing.T) { golden(t, string(jsonOf(t, builtResult()))) }

// What a machine without rules and without numbers prints must not look like a pass.
func TestNothingJudged(t *testing.T) {
	r := &rules.Result{Machine: &model.Machine{Name: "Bare"}, Results: &calc.Results{PowerMissing: "bare.yaml:3:4: types.cables.w: the resistance is missing"}}
	golden(t, textOf(t, r, report.TextOptions{}))
	assert.NotPanics(t, func() { textOf(t, &rules.Result{}, report.TextOptions{Parts: report.Parts()}) })
	assert.True(t, json.Valid(jsonOf(t, &rules.Result{})))
}

// Every line of every form keeps to the page and ends without blanks. The widths are those of a terminal.
func TestLinesFitThePage(t *testing.T) {
	demoOptions := report.TextOptions{ReadFile: func(name string) ([]byte, error) { return fs.ReadFile(demoFiles(), name) }}
	for _, test := range []struct {
		name   string
		result *rules.Result
		o      report.TextOptions
	}{
		{"built", builtResult(), report.TextOptions{ReadFile: readMachine}},
		{"demo", demoResult(t), demoOptions},
	} {
		for _, parts := range [][]report.Part{nil, report.Parts()} {
			for _, width := range []int{0, 120} {
				o := test.o
				o.Parts, o.Width = parts, width
				for i, line := range strings.Split(textOf(t, test.result, o), "\n") {
					assert.Equal(t, strings.TrimRightFunc(line, unicode.IsSpace), line, "%s: line %d ends in a blank", test.name, i+1)
					assert.LessOrEqual(t, utf8.RuneCountInString(line), max(width, 100), "%s: line %d is too long: %s", test.name, i+1, line)
				}
			}
		}
	}
}

func TestColoursAreOnlyAddedOnDemand(t *testing.T) {
	plain := textOf(t, builtResult(), report.TextOptions{ReadFile: readMachine})
	coloured := textOf(t, builtResult(), report.TextOptions{ReadFile: readMachine, Colour: true})
	assert.NotContains(t, plain, "\x1b")
	assert.Contains(t, coloured, "\x1b[")
	assert.Equal(t, plain, withoutColours(coloured))
}

func withoutColours(text string) string {
	var b strings.Builder
	for {
		before, after, found := strings.Cut(text, "\x1b[")
		b.WriteString(before)
		if !found {
			return b.String()
		}
		_, text, _ = strings.Cut(after, "m")
	}
}

func TestSameResultGivesSameBytes(t *testing.T) {
	for range 3 {
		assert.Equal(t, jsonOf(t, demoResult(t)), jsonOf(t, demoResult(t)))
		o := report.TextOptions{Parts: report.Parts()}
		assert.Equal(t, textOf(t, demoResult(t), o), textOf(t, demoResult(t), o))
	}
}

func TestJSONReadsBack(t *testing.T) {
	for _, r := range []*rules.Result{builtResult(), demoResult(t)} {
		var got report.Report
		d := json.NewDecoder(bytes.NewReader(jsonOf(t, r)))
		d.DisallowUnknownFields()
		require.NoError(t, d.Decode(&got))
		assert.Equal(t, report.New(r), &got)
	}
}

// A number that is not finite has no form in JSON: it is left out there and its text stays.
func TestJSONOfNumbersThatAreNotFinite(t *testing.T) {
	r := builtResult()
	r.Results.Power.Supplies[0].Current = decided(model.Current(math.Inf(1)), model.Amps(8), model.Current(math.Inf(-1)), "rated current")
	data := jsonOf(t, r)
	assert.True(t, json.Valid(data))
	assert.Contains(t, string(data), `"text": "+Inf A"`)
}

func TestParts(t *testing.T) {
	for _, p := range report.Parts() {
		got, err := report.ParseParts(string(p))
		require.NoError(t, err)
		assert.Equal(t, []report.Part{p}, got)
		only := textOf(t, builtResult(), report.TextOptions{Parts: got})
		assert.Contains(t, only, "Caution: ", "every report carries the caution")
		assert.Greater(t, strings.Count(only, "\n"), 3, "%s prints something", p)
		assert.True(t, json.Valid(jsonOf(t, builtResult(), got...)))
	}
	all, err := report.ParseParts("all")
	require.NoError(t, err)
	assert.Equal(t, report.Parts(), all)
	some, err := report.ParseParts("loads, summary,loads")
	require.NoError(t, err)
	assert.Equal(t, []report.Part{report.SummaryPart, report.LoadsPart}, some, "in the order of the print, each once")
	_, err = report.ParseParts("feds")
	assert.EqualError(t, err, `found "feds", which is no part of a report; did you mean "feeds"?`)
	_, err = report.ParseParts("")
	assert.ErrorContains(t, err, "there are summary, findings")
}

// A part that was not asked for is absent in JSON; one that holds nothing is an empty list.
func TestJSONParts(t *testing.T) {
	var got map[string]json.RawMessage
	require.NoError(t, json.Unmarshal(jsonOf(t, builtResult(), report.LoadsPart), &got))
	assert.NotContains(t, got, "findings")
	assert.Contains(t, got, "places")
	assert.Contains(t, got, "caution")
	got = nil
	require.NoError(t, json.Unmarshal(jsonOf(t, &rules.Result{}), &got))
	assert.JSONEq(t, "[]", string(got["findings"]))
}

// The counts of the summary are those of the lists, whichever parts are printed.
func TestSummaryCounts(t *testing.T) {
	for _, r := range []*rules.Result{builtResult(), demoResult(t)} {
		s := report.New(r).Summary
		assert.Equal(t, len(r.Findings), s.Errors+s.Warnings+s.Advice+s.Accepted)
		assert.Equal(t, len(r.Unanswered), s.Undecided+s.RuleErrors)
		counts := map[string]int{}
		for _, p := range report.New(r).Places {
			for _, c := range p.Checks {
				counts[c.Status]++
			}
		}
		for _, c := range r.Results.Power.Selectivity {
			counts[c.Status.String()]++
		}
		assert.Equal(t, counts["within"], s.Checks.Within)
		assert.Equal(t, counts["beyond"], s.Checks.Beyond)
		assert.Equal(t, counts["unknown"], s.Checks.Unknown)
		assert.Equal(t, counts["not covered"], s.Checks.NotCovered)
		assert.Equal(t, counts["no limit stated"], s.Checks.NoLimit)
	}
}

// Everything that is beyond its limit is marked in the full tables, or counted where a table is cut short.
func TestWhatIsBeyondIsSeen(t *testing.T) {
	r := demoResult(t)
	full := textOf(t, r, report.TextOptions{Parts: []report.Part{report.ChecksPart}})
	marked := 0
	for line := range strings.SplitSeq(full, "\n") {
		if strings.HasPrefix(line, "! ") {
			marked++
		}
	}
	beyond := 0
	for _, p := range report.New(r).Places {
		for _, c := range p.Checks {
			if c.Status == power.Beyond.String() {
				beyond++
			}
		}
	}
	assert.Equal(t, beyond, marked)
	assert.Positive(t, beyond, "the demo has honest mistakes")
}

// A file that is not trusted must not steer a terminal.
func TestControlCharactersAreTakenOut(t *testing.T) {
	r := builtResult()
	r.Findings[0].Summary = "red \x1b[31m alarm\a and\x00 nul\nsecond line"
	r.Machine.Name = "press \x1b]0;title\a"
	read := func(string) ([]byte, error) { return []byte(strings.Repeat("\x1b[2J\x9b\u202e\n", 9)), nil }
	for _, c := range textOf(t, r, report.TextOptions{ReadFile: read, Parts: report.Parts()}) {
		assert.True(t, c == '\n' || unicode.IsPrint(c), "%U", c)
	}
}

// The caret stands under the character that the position names, also in a line that is cut.
func TestCaret(t *testing.T) {
	lines := strings.Split(textOf(t, builtResult(), report.TextOptions{ReadFile: readMachine, Parts: []report.Part{report.FindingsPart}}), "\n")
	source := strings.Split(machineText, "\n")
	carets := 0
	for i, line := range lines {
		if column := strings.Index(line, "^"); column >= 0 && strings.TrimSpace(line[:column]) == "|" {
			carets++
			above := []rune(lines[i-1])
			want := []rune(source[3])[41]
			if carets == 2 {
				want = []rune(source[4])[137]
			}
			assert.Equal(t, string(want), string(above[utf8.RuneCountInString(line[:column])]))
		}
	}
	assert.Equal(t, 2, carets)
}

type failingWriter struct{}

func (failingWriter) Write([]byte) (int, error) { return 0, errors.New("the disk is full") }

func TestWriteErrorsAreTold(t *testing.T) {
	r := report.New(builtResult())
	assert.ErrorContains(t, r.Text(failingWriter{}, report.TextOptions{}), "the disk is full")
	assert.ErrorContains(t, r.JSON(failingWriter{}), "the disk is full")
}

// A bound: the default report of a large plant stays readable.
func TestLongListsAreCut(t *testing.T) {
	r := builtResult()
	for range 500 {
		r.Findings = append(r.Findings, r.Findings[0])
		r.Unanswered = append(r.Unanswered, r.Unanswered[0])
		r.Results.Power.Devices = append(r.Results.Power.Devices, r.Results.Power.Devices[0])
		r.Results.Power.Selectivity = append(r.Results.Power.Selectivity, r.Results.Power.Selectivity[1])
		r.Results.Power.Limits = append(r.Results.Power.Limits, r.Results.Power.Limits[0])
	}
	text := textOf(t, r, report.TextOptions{Ask: func(p report.Part) string { return "--show " + string(p) }})
	assert.Less(t, strings.Count(text, "\n"), 310)
	assert.Contains(t, text, "491 more of [cable-length]: --show findings")
	assert.Contains(t, text, "--show loads")
	full := textOf(t, r, report.TextOptions{Parts: []report.Part{report.FindingsPart}})
	assert.Equal(t, 501, strings.Count(full, "[cable-length]"))
}
