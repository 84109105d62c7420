package main

import (
	"context"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/guardwright/guardwright/model/source"
	"github.com/guardwright/guardwright/rules"
	"github.com/guardwright/guardwright/rules/report"
	"github.com/guardwright/guardwright/schema"
)

// The exit codes.
const (
	clean     = 0
	found     = 1
	noVerdict = 2
)

// run is the command. It returns the exit code.
func run(ctx context.Context, args []string, stdout, stderr io.Writer, env environment) int {
	o, err := parseArgs(args, env.today)
	if err != nil {
		fmt.Fprintf(stderr, "check: %v\ncheck: --help explains the flags\n", err)
		return noVerdict
	}
	switch {
	case o.help:
		return write(stdout, stderr, help())
	case o.vocabulary:
		return write(stdout, stderr, rules.Vocabulary().Markdown())
	case o.schema != "":
		return write(stdout, stderr, schemaText(o.schema))
	case o.size != "":
		return size(ctx, o, stdout, stderr)
	case o.test:
		return runCases(ctx, o, stdout, stderr)
	}
	return check(ctx, o, stdout, stderr, env)
}

// check checks one machine.
func check(ctx context.Context, o options, stdout, stderr io.Writer, env environment) int {
	in, problems := load(o)
	if len(problems) > 0 {
		return refuse(stderr, problems)
	}
	result, err := rules.CheckWith(ctx, in.machine, rules.Options{Today: o.today, Faults: o.faults}, in.sets...)
	if err != nil {
		fmt.Fprintf(stderr, "check: %v\n", err)
		return noVerdict
	}
	if o.record != "" {
		if result.Record, err = replay(ctx, o, in, result.Results); err != nil {
			return refuse(stderr, asProblems("", err))
		}
	}
	r := report.New(result)
	if o.format == "json" {
		err = r.JSON(stdout, o.show...)
	} else {
		err = r.Text(stdout, report.TextOptions{Parts: o.show, ReadFile: in.readFile, Colour: colour(o.color, env),
			Ask: func(p report.Part) string { return "--show " + string(p) }})
	}
	if err != nil {
		fmt.Fprintf(stderr, "check: %v\n", err)
		return noVerdict
	}
	if !judged(result) {
		fmt.Fprintln(stderr, "check: no rule applied to anything that the machine file describes, so nothing was judged")
		return found
	}
	if fails(r, o.failOn) || r.Record != nil && recordFails(r.Record, o.failOn) {
		return found
	}
	return clean
}

// judged tells whether any rule had something to say about any object of the machine, or broke at the machine itself.
// Where none had, nothing was found because nothing was there to look at.
func judged(r *rules.Result) bool {
	return slices.ContainsFunc(r.Tallies, func(t rules.Tally) bool {
		return t.Rule.For != "machine" && t.Objects > t.Outside || t.Broken+t.Undecided+t.Failed+t.Stopped > 0
	})
}

// fails decides on the exit code; --help says by what.
func fails(r *report.Report, level rules.Severity) bool {
	counts := counted(level)
	for _, f := range r.Findings {
		if f.Accepted == nil && counts[f.Severity] {
			return true
		}
	}
	for _, u := range r.Unanswered {
		if counts[u.Severity] {
			return true
		}
	}
	s := r.Summary
	return s.Rules == 0 || s.RuleErrors > 0 || s.PowerMissing+s.NetworkMissing+s.TimingMissing+s.DistanceMissing != "" || s.Unsolved > 0 || s.LogicProblems > 0 || s.AcceptanceProblems > 0 && counts[string(rules.Warning)]
}

// counted are the severities that count at a level.
func counted(level rules.Severity) map[string]bool {
	counts := map[string]bool{}
	for _, s := range level.Values() {
		counts[s] = true
		if s == string(level) {
			break
		}
	}
	return counts
}

// colour decides whether to print colours.
func colour(when string, env environment) bool {
	switch when {
	case "always":
		return true
	case "never":
		return false
	}
	return env.terminal && env.getenv("NO_COLOR") == "" && env.getenv("TERM") != "dumb"
}

// runCases runs the test cases inside the rule files that were given, or inside the built-in ones.
func runCases(ctx context.Context, o options, stdout, stderr io.Writer) int {
	if len(o.rules) > 0 {
		o.packs = nil
	}
	sets, problems := loadRules(o)
	if len(problems) > 0 {
		return refuse(stderr, problems)
	}
	var out strings.Builder
	passed, failed := 0, 0
	for i, set := range sets {
		results, err := rules.TestCases(ctx, set)
		if err != nil {
			fmt.Fprintf(stderr, "check: %v\n", err)
			return noVerdict
		}
		folder := o.folder(i)
		for _, r := range results {
			r.Position = inFolder(r.Position, folder)
			if r.Passed() {
				passed++
				continue
			}
			failed++
			fmt.Fprintln(&out, r)
		}
		for _, r := range set.Rules() {
			if r.Cases == 0 {
				fmt.Fprintf(&out, "%s: rule %s has no test case\n", inFolder(r.Position, folder), r.ID)
			}
		}
	}
	fmt.Fprintf(&out, "%s passed, %d failed\n", plural(passed, "case", "cases"), failed)
	code := write(stdout, stderr, out.String())
	if code == clean && (failed > 0 || passed == 0) {
		return found // a test without a case must not look like one that passed
	}
	return code
}

func plural(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// refuse lists the problems of the input, one a line, sorted.
func refuse(stderr io.Writer, problems source.Problems) int {
	for _, p := range problems.Sorted() {
		fmt.Fprintln(stderr, p)
	}
	return noVerdict
}

func schemaText(which string) string {
	switch which {
	case "parts":
		return string(schema.Parts())
	case "rules":
		return string(schema.Rules())
	case "record":
		return string(schema.Record())
	case "report":
		return string(schema.Report())
	}
	return string(schema.Machine())
}

// write prints a text that was asked for.
func write(stdout, stderr io.Writer, text string) int {
	if _, err := io.WriteString(stdout, text); err != nil {
		fmt.Fprintf(stderr, "check: %v\n", err)
		return noVerdict
	}
	return clean
}
