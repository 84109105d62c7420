package main

import (
	"context"
	"fmt"
	"os"

	"github.com/guardwright/guardwright/calc"
	"github.com/guardwright/guardwright/model/source"
	"github.com/guardwright/guardwright/rules"
	"github.com/guardwright/guardwright/rules/record"
	"github.com/guardwright/guardwright/rules/report"
)

// replay judges the recorded trace that was given.
func replay(ctx context.Context, o options, in input, results *calc.Results) (*rules.Replayed, error) {
	mapping, err := loadMapping(o.mapping)
	if err != nil {
		return nil, err
	}
	file, err := os.Open(o.record)
	if err != nil {
		return nil, fmt.Errorf("opening the record: %w", err)
	}
	defer file.Close()
	return rules.Replay(ctx, in.machine, in.sets, file, mapping, rules.ReplayOptions{Name: o.record, Results: results})
}

// loadMapping reads a mapping file of the operating system; without one, the columns have the names of the signals.
func loadMapping(name string) (*record.Mapping, error) {
	if name == "" {
		return nil, nil
	}
	folder, inside := splitRuleFile(name)
	m, err := record.LoadMapping(os.DirFS(folder), inside)
	if err == nil {
		return m, nil
	}
	var problems source.Problems
	for _, p := range asProblems(name, err) {
		p.Position = inFolder(p.Position, folder)
		problems = append(problems, p)
	}
	return nil, problems
}

// recordFails decides what of a record counts for the exit code; --help says by what.
func recordFails(r *report.Record, level rules.Severity) bool {
	counts := counted(level)
	for _, w := range r.Rules {
		switch rules.Outcome(w.Outcome) {
		case rules.Broken, rules.Partly, rules.NotKnown:
			if counts[w.Severity] {
				return true
			}
		}
	}
	for _, w := range append(r.Values[:len(r.Values):len(r.Values)], r.Assumptions...) {
		switch rules.Outcome(w.Outcome) {
		case rules.Broken:
			return true
		case rules.Partly, rules.NotKnown:
			if counts[string(rules.Warning)] {
				return true
			}
		}
	}
	for _, u := range r.Unanswered {
		if counts[u.Severity] {
			return true
		}
	}
	return false
}
