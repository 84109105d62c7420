package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/guardwright/guardwright/model"
	"github.com/guardwright/guardwright/model/source"
	"github.com/guardwright/guardwright/rules"
	"github.com/guardwright/guardwright/rules/packs"
	"github.com/guardwright/guardwright/rules/report"
)

// options are what the arguments ask for.
type options struct {
	machine    string   // empty: the demo
	rules      []string // rule files
	packs      []string // built-in packs
	format     string
	show       []report.Part
	failOn     rules.Severity
	today      model.Date
	color      string
	schema     string // empty: none was asked for
	record     string // recorded trace; empty: none
	mapping    string // of the record; empty: none
	size       string // feed whose sizes are asked for; empty: none
	faults     bool
	test       bool
	vocabulary bool
	help       bool
}

// parseArgs reads the arguments. Flags may stand before and after the machine file.
func parseArgs(args []string, today model.Date) (options, error) {
	o := options{packs: packs.Names(), format: "text", failOn: rules.Error, today: today, color: "auto"}
	set := o.flags()
	for rest := args; ; {
		if err := set.Parse(rest); err != nil {
			return o, flagError(set, err)
		}
		rest = set.Args()
		if len(rest) == 0 {
			return o, o.fit()
		}
		if o.machine != "" {
			return o, fmt.Errorf("found two machine files, %s and %s; check one at a time", o.machine, rest[0])
		}
		o.machine, rest = rest[0], rest[1:]
	}
}

func (o *options) flags() *flag.FlagSet {
	set := flag.NewFlagSet("check", flag.ContinueOnError)
	set.SetOutput(io.Discard)
	set.Func("rules", "", func(v string) error { o.rules = append(o.rules, v); return nil })
	set.Func("packs", "", func(v string) (err error) { o.packs, err = packNames(v); return err })
	set.Func("format", "", func(v string) error { return oneOf(&o.format, v, "text", "json") })
	set.Func("show", "", func(v string) error {
		parts, err := report.ParseParts(v)
		o.show = append(o.show, parts...)
		return err
	})
	set.Func("fail-on", "", func(v string) error { return oneOf(&o.failOn, v, o.failOn.Values()...) })
	set.Func("today", "", func(v string) error { return o.today.UnmarshalText([]byte(v)) })
	set.Func("color", "", func(v string) error { return oneOf(&o.color, v, "auto", "always", "never") })
	set.Func("schema", "", func(v string) error { return oneOf(&o.schema, v, "machine", "parts", "rules", "record", "report") })
	set.StringVar(&o.record, "record", "", "")
	set.StringVar(&o.mapping, "mapping", "", "")
	set.StringVar(&o.size, "size", "", "")
	set.BoolVar(&o.faults, "logic-faults", false, "")
	set.BoolVar(&o.test, "test", false, "")
	set.BoolVar(&o.vocabulary, "vocabulary", false, "")
	set.BoolVar(&o.help, "help", false, "")
	set.BoolVar(&o.help, "h", false, "")
	return set
}

// fit finds flags that do not go together.
func (o *options) fit() error {
	if o.test && o.machine != "" {
		return fmt.Errorf("--test runs the cases inside the rule files; leave out the machine file %s", o.machine)
	}
	if o.test && o.format != "text" {
		return fmt.Errorf("--test prints text only; leave out --format %s", o.format)
	}
	if o.mapping != "" && o.record == "" {
		return fmt.Errorf("--mapping says how a record is to be read; add --record FILE, or leave out --mapping %s", o.mapping)
	}
	if slices.Contains(o.show, report.LogicFaultsPart) && len(o.show) < len(report.Parts()) {
		o.faults = true
	}
	return nil
}

// oneOf takes one of some words, or says which are there.
func oneOf[S ~string](into *S, found string, words ...string) error {
	if slices.Contains(words, found) {
		*into = S(found)
		return nil
	}
	return unknownWord(found, words)
}

func unknownWord(found string, words []string) error {
	text := fmt.Sprintf("found %q, wanted %s", found, strings.Join(words, ", "))
	if near, ok := source.Nearest(found, words); ok {
		text += fmt.Sprintf("; did you mean %s?", near)
	}
	return errors.New(text)
}

// packNames reads a list of built-in packs.
func packNames(text string) ([]string, error) {
	known := packs.Names()
	switch text {
	case "all":
		return known, nil
	case "none":
		return nil, nil
	}
	var out []string
	for name := range strings.SplitSeq(text, ",") {
		name = strings.TrimSpace(name)
		if !slices.Contains(known, name) {
			return nil, unknownWord(name, append(known, "all", "none"))
		}
		if !slices.Contains(out, name) {
			out = append(out, name)
		}
	}
	return out, nil
}

// flagError says what is wrong with a flag, with the nearest one that exists.
func flagError(set *flag.FlagSet, err error) error {
	if name, ok := strings.CutPrefix(err.Error(), "flag provided but not defined: -"); ok {
		var names []string
		set.VisitAll(func(f *flag.Flag) { names = append(names, f.Name) })
		if near, ok := source.Nearest(name, names); ok {
			return fmt.Errorf("there is no flag --%s; did you mean --%s?", name, near)
		}
		return fmt.Errorf("there is no flag --%s", name)
	}
	if rest, ok := strings.CutPrefix(err.Error(), "invalid value "); ok {
		// "x" for flag -y: reason. Only the reason and the flag are for a person.
		if _, rest, ok = strings.Cut(rest, " for flag -"); ok {
			return fmt.Errorf("--%s", rest)
		}
	}
	if rest, ok := strings.CutPrefix(err.Error(), "invalid boolean value "); ok {
		value, rest, _ := strings.Cut(rest, " for -")
		name, _, _ := strings.Cut(rest, ":")
		return fmt.Errorf("found %s, wanted --%s alone, or true or false after --%s=", value, name, name)
	}
	if name, ok := strings.CutPrefix(err.Error(), "flag needs an argument: -"); ok {
		return fmt.Errorf("--%s wants a value after it", name)
	}
	return err
}
