package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"flag"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/guardwright/guardwright/examples/internal/golden"
	"github.com/guardwright/guardwright/model"
)

var update = golden.Flag()

// answer is what the command did.
type answer struct {
	code        int
	out, errors string
}

// world is an environment without a terminal on a fixed day.
func world(vars ...string) environment {
	return environment{today: model.Date{Year: 2030, Month: 1, Day: 15}, getenv: func(name string) string {
		for _, v := range vars {
			if value, ok := strings.CutPrefix(v, name+"="); ok {
				return value
			}
		}
		return ""
	}}
}

func command(env environment, args ...string) answer {
	var out, errs strings.Builder
	code := run(context.Background(), args, &out, &errs, env)
	return answer{code, out.String(), errs.String()}
}

// machineFile is a small machine. The tests below change its text.
const machineFile = `format: 1
machine: Small
ambient: {min: 5 °C, max: 40 °C}
types:
  cables:
    w: {cores: 5, section: 0.5 mm2}
  supplies:
    s: {min: 24 V, max: 24.5 V, rated: 10 A, limit: 12 A}
  devices:
    lamp: {kind: lamp, loads: {light: {current: 500 mA, min: 20.4 V, max: 28.8 V}}}
devices:
  lamp_1: {type: lamp}
power:
  supplies: {ps: {type: s}}
  feeds:
    f1: {to: lamp_1, cable: {type: w, length: 10 m}, sensor: {from: ps}}
`

// ruleFile judges the machine: its length, with a severity that the tests choose.
const ruleFile = `format: 1
pack: Own rules
rules:
  short-feeds:
    for: feed
    require: feed.cable.length <= m(8)
    say: the cable of {feed} is {feed.cable.length} long
    severity: SEVERITY
    at: cable.length
`

// folder writes files and returns their folder.
func folder(t *testing.T, files ...string) string {
	t.Helper()
	dir := t.TempDir()
	for i := 0; i < len(files); i += 2 {
		require.NoError(t, os.WriteFile(filepath.Join(dir, files[i]), []byte(files[i+1]), 0o644))
	}
	return dir
}

func severity(s string) string { return strings.Replace(ruleFile, "SEVERITY", s, 1) }

// The exit codes are a promise to scripts: --help states them.
func TestExitCodes(t *testing.T) {
	undecided := strings.Replace(machineFile, ", cable: {type: w, length: 10 m}", "", 1)
	failing := strings.Replace(severity("advice"), "feed.cable.length <= m(8)", "1.0 / double(feed.cable.length / m(10) - 1.0) > 0.0 || 10 % (1 - feed.cable.joints.size() - 1) == 0", 1)
	accepted := machineFile + "accept:\n  - {rule: short-feeds, at: power.feeds.f1, reason: measured, who: plant, until: 2030-06-30}\n"
	expired := strings.Replace(accepted, "2030-06-30", "2029-06-30", 1)
	unused := strings.Replace(accepted, "length: 10 m", "length: 8 m", 1)
	noResistance := strings.Replace(machineFile, "section: 0.5 mm2", "section: 0.34 mm2", 1)
	for _, test := range []struct {
		reason, machine, rules string
		args                   []string
		want                   int
	}{
		{"nothing found", strings.Replace(machineFile, "length: 10 m", "length: 8 m", 1), severity("error"), nil, 0},
		{"an error is found", machineFile, severity("error"), nil, 1},
		{"a warning does not count for error", machineFile, severity("warning"), nil, 0},
		{"a warning counts for warning", machineFile, severity("warning"), []string{"--fail-on", "warning"}, 1},
		{"a warning counts for advice", machineFile, severity("warning"), []string{"--fail-on", "advice"}, 1},
		{"advice counts for advice only", machineFile, severity("advice"), []string{"--fail-on", "warning"}, 0},
		{"an undecided error is not passed", undecided, severity("error"), nil, 1},
		{"an undecided warning does not count for error", undecided, severity("warning"), nil, 0},
		{"a rule that fails counts at every level", machineFile, failing, nil, 1},
		{"an accepted error does not count", accepted, severity("error"), nil, 0},
		{"it counts again when the acceptance has expired", expired, severity("error"), nil, 1},
		{"the day can be given", accepted, severity("error"), []string{"--today", "2030-07-01"}, 1},
		{"an acceptance that is not used is no error", unused, severity("error"), nil, 0},
		{"but it counts as a warning", unused, severity("error"), []string{"--fail-on=warning"}, 1},
		{"a supply that could not be computed is not passed", noResistance, severity("advice"), nil, 1},
		{"what is printed does not change the code", machineFile, severity("error"), []string{"--show", "limits"}, 1},
		{"nor does the format", machineFile, severity("error"), []string{"--format", "json"}, 1},
		{"a machine with mistakes", strings.Replace(machineFile, "type: lamp}", "type: lmap}", 1), severity("error"), nil, 2},
		{"rules with mistakes", machineFile, severity("fatal"), nil, 2},
	} {
		t.Run(test.reason, func(t *testing.T) {
			dir := folder(t, "machine.yaml", test.machine, "own.yaml", test.rules)
			args := append([]string{"--packs", "none", "--rules", filepath.Join(dir, "own.yaml"), filepath.Join(dir, "machine.yaml")}, test.args...)
			got := command(world(), args...)
			assert.Equal(t, test.want, got.code, "%s%s", got.out, got.errors)
			assert.Equal(t, test.want == noVerdict, got.errors != "", "problems, and nothing else, go to stderr")
		})
	}
	t.Run("asking no rule is no pass", func(t *testing.T) {
		dir := folder(t, "machine.yaml", machineFile)
		got := command(world(), "--packs", "none", filepath.Join(dir, "machine.yaml"))
		assert.Equal(t, found, got.code)
		assert.Contains(t, got.out, "no rule was asked, so nothing was judged")
	})
}

// The problems of all files come in one run, one a line, sorted, each with its place.
func TestProblemsOfTheInput(t *testing.T) {
	got := command(world(), "--packs", "none", "--rules", "testdata/bad_rules.yaml", "--rules", "testdata/missing.yaml", "testdata/bad_machine.yaml")
	assert.Equal(t, noVerdict, got.code)
	assert.Empty(t, got.out)
	for line := range strings.Lines(got.errors) {
		assert.Regexp(t, `^testdata/[a-z_]+\.yaml(:\d+:\d+)?: \S`, line)
	}
	golden.Equal(t, *update, got.errors)
}

func TestPlacesOfFilesElsewhere(t *testing.T) {
	dir := folder(t, "own.yaml", severity("fatal"), "machine.yaml", "format: 1\n")
	got := command(world(), "--rules", filepath.Join(dir, "own.yaml"), filepath.Join(dir, "machine.yaml"))
	assert.Equal(t, noVerdict, got.code)
	assert.Contains(t, got.errors, filepath.Join(dir, "own.yaml")+":8:15: ")
	assert.Contains(t, got.errors, filepath.Join(dir, "machine.yaml")+":1:1: ")
}

func TestArguments(t *testing.T) {
	for _, test := range []struct {
		args []string
		want string
	}{
		{[]string{"--forma", "json"}, "there is no flag --forma; did you mean --format?"},
		{[]string{"--zzzzzz"}, "there is no flag --zzzzzz"},
		{[]string{"--format", "jsn"}, `--format: found "jsn", wanted text, json; did you mean json?`},
		{[]string{"--show", "feds"}, `--show: found "feds", which is no part of a report; did you mean "feeds"?`},
		{[]string{"--fail-on", "warnings"}, `--fail-on: found "warnings", wanted error, warning, advice; did you mean warning?`},
		{[]string{"--color", "yes"}, `--color: found "yes", wanted auto, always, never`},
		{[]string{"--schema", "machne"}, `--schema: found "machne", wanted machine, parts, rules, record, report; did you mean machine?`},
		{[]string{"--today", "15.1.2030"}, `--today: found "15.1.2030", wanted a date as year-month-day, such as 2031-12-31`},
		{[]string{"--rules"}, "--rules wants a value after it"},
		{[]string{"a.yaml", "b.yaml"}, "found two machine files, a.yaml and b.yaml; check one at a time"},
		{[]string{"--test", "a.yaml"}, "--test runs the cases inside the rule files; leave out the machine file a.yaml"},
		{[]string{"--test", "--format", "json"}, "--test prints text only; leave out --format json"},
		{[]string{"--test=maybe"}, `found "maybe", wanted --test alone, or true or false after --test=`},
	} {
		got := command(world(), test.args...)
		assert.Equal(t, noVerdict, got.code, test.args)
		assert.Empty(t, got.out, test.args)
		assert.Equal(t, "check: "+test.want+"\ncheck: --help explains the flags\n", got.errors)
	}
	got := command(world(), "--packs", "structure,pwer")
	assert.Equal(t, noVerdict, got.code)
	assert.Contains(t, got.errors, `check: --packs: found "pwer", wanted `)
	assert.Contains(t, got.errors, "; did you mean power?\n")
}

// Flags may stand on either side of the machine file.
func TestFlagsAfterTheMachine(t *testing.T) {
	file := filepath.Join(folder(t, "machine.yaml", machineFile), "machine.yaml")
	before := command(world(), "--packs", "none", "--show", "loads", file)
	after := command(world(), file, "--packs=none", "-show=loads")
	assert.Equal(t, before, after)
	assert.Contains(t, before.out, "lamp_1.light")
}

func TestHelp(t *testing.T) {
	got := command(world(), "--help")
	assert.Equal(t, clean, got.code)
	assert.Empty(t, got.errors)
	checkLines(t, got.out)
	o := options{}
	o.flags().VisitAll(func(f *flag.Flag) {
		if f.Name != "h" {
			assert.Contains(t, got.out, "\n  --"+f.Name+" ")
		}
	})
	assert.Equal(t, got, command(world(), "-h"))
	golden.Equal(t, *update, got.out)
}

// checkLines wants lines of at most 100 columns without blanks at their ends.
func checkLines(t *testing.T, text string) {
	t.Helper()
	for line := range strings.SplitSeq(text, "\n") {
		assert.LessOrEqual(t, utf8.RuneCountInString(line), 100, line)
		assert.Equal(t, strings.TrimRightFunc(line, unicode.IsSpace), line)
	}
}

func TestColour(t *testing.T) {
	screen := func(vars ...string) environment {
		env := world(vars...)
		env.terminal = true
		return env
	}
	for _, test := range []struct {
		reason string
		env    environment
		when   string
		want   bool
	}{
		{"a file gets none", world(), "auto", false},
		{"a screen gets colours", screen("TERM=xterm"), "auto", true},
		{"unless NO_COLOR is set", screen("NO_COLOR=1"), "auto", false},
		{"an empty NO_COLOR is none", screen("NO_COLOR="), "auto", true},
		{"a terminal that can't gets none", screen("TERM=dumb"), "auto", false},
		{"the flag wins", screen(), "never", false},
		{"the flag wins over NO_COLOR", world("NO_COLOR=1"), "always", true},
	} {
		got := command(test.env, "--packs", "none", "--color", test.when, "--show", "summary")
		assert.Equal(t, test.want, strings.Contains(got.out, "\x1b["), test.reason)
	}
}

func TestJSON(t *testing.T) {
	first := command(world(), "--format", "json")
	assert.Equal(t, first, command(world(), "--format", "json"), "the same machine gives the same bytes")
	require.True(t, json.Valid([]byte(first.out)))
	some := command(world(), "--format", "json", "--show", "findings")
	assert.Less(t, len(some.out), len(first.out))
	assert.True(t, json.Valid([]byte(some.out)))
}

func TestSchemas(t *testing.T) {
	for _, which := range []string{"machine", "parts", "rules", "record"} {
		got := command(world(), "--schema", which)
		assert.Equal(t, clean, got.code)
		assert.True(t, json.Valid([]byte(got.out)), which)
		assert.Contains(t, got.out, which)
	}
}

func TestVocabulary(t *testing.T) {
	got := command(world(), "--vocabulary")
	assert.Equal(t, clean, got.code)
	for _, word := range []string{"### port\n", "`limit`", "### load\n"} {
		assert.Contains(t, got.out, word)
	}
}

// The demo has honest mistakes: the first command that a reader runs shows findings.
func TestDemo(t *testing.T) {
	got := command(world())
	assert.Equal(t, found, got.code, got.errors)
	checkLines(t, got.out)
	assert.Contains(t, got.out, "\nexamples/demo/machine.yaml:", "places are those in the repository")
	assert.Contains(t, got.out, " | ", "source lines are shown")
	assert.Contains(t, got.out, "--show loads", "and how to see more")
	all := command(world(), "--show", "all")
	checkLines(t, all.out)
	assert.Greater(t, len(all.out), len(got.out))
}

// The numbers of the demo as they are printed. They are a picture of the print; what the numbers are checked against
// stands in the tests of the calculations.
func TestDemoNumbers(t *testing.T) {
	got := command(world(), "--packs", "none")
	golden.Equal(t, *update, got.out)
}

func TestCases(t *testing.T) {
	t.Run("of the built-in rules", func(t *testing.T) {
		got := command(world(), "--test", "--packs", "structure")
		assert.Equal(t, clean, got.code, got.out+got.errors)
		assert.Contains(t, got.out, " passed, 0 failed\n")
	})
	t.Run("with a machine file beside the rules", func(t *testing.T) {
		got := command(world(), "--test", "--rules", "../machinetest/rules.yaml")
		assert.Equal(t, answer{clean, "1 case passed, 0 failed\n", ""}, got)
	})
	t.Run("that fail", func(t *testing.T) {
		rules := severity("error") + "    cases:\n      - {file: machine.yaml, finds: [power.feeds.f2]}\n"
		dir := folder(t, "own.yaml", rules, "machine.yaml", machineFile)
		got := command(world(), "--test", "--rules", filepath.Join(dir, "own.yaml"))
		assert.Equal(t, found, got.code)
		assert.Contains(t, got.out, filepath.Join(dir, "own.yaml")+":11:9: rule short-feeds, case 1: missing: finding at power.feeds.f2")
		assert.Contains(t, got.out, "0 cases passed, 1 failed\n")
	})
	t.Run("that are not there", func(t *testing.T) {
		dir := folder(t, "own.yaml", severity("error"))
		got := command(world(), "--test", "--rules", filepath.Join(dir, "own.yaml"))
		assert.Equal(t, found, got.code, "a test without a case must not look like one that passed")
		assert.Contains(t, got.out, "own.yaml:4:3: rule short-feeds has no test case\n")
	})
	t.Run("in a file with mistakes", func(t *testing.T) {
		dir := folder(t, "own.yaml", severity("fatal"))
		assert.Equal(t, noVerdict, command(world(), "--test", "--rules", filepath.Join(dir, "own.yaml")).code)
	})
}

func TestTwoRulesOfOneName(t *testing.T) {
	dir := folder(t, "one.yaml", severity("error"), "two.yaml", severity("error"), "machine.yaml", machineFile)
	got := command(world(), "--packs", "none", "--rules", filepath.Join(dir, "one.yaml"), "--rules", filepath.Join(dir, "two.yaml"), filepath.Join(dir, "machine.yaml"))
	assert.Equal(t, noVerdict, got.code)
	assert.Contains(t, got.errors, "two rules have the id short-feeds")
}

func TestInterrupted(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	var errs bytes.Buffer
	assert.Equal(t, noVerdict, run(ctx, nil, io.Discard, &errs, world()))
	assert.NotEmpty(t, errs.String())
}

type fullDisk struct{}

func (fullDisk) Write([]byte) (int, error) { return 0, errors.New("no space is left") }

// A report that was not written must not look like one without findings.
func TestWriteErrors(t *testing.T) {
	for _, args := range [][]string{{"--packs", "none"}, {"--packs", "none", "--format", "json"}, {"--help"}, {"--vocabulary"}, {"--test", "--rules", "../machinetest/rules.yaml"}} {
		var errs bytes.Buffer
		assert.Equal(t, noVerdict, run(context.Background(), args, fullDisk{}, &errs, world()), args)
		assert.Contains(t, errs.String(), "no space is left")
	}
}
