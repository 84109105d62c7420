package main

import (
	"fmt"
	"strings"

	"github.com/guardwright/guardwright/rules/packs"
	"github.com/guardwright/guardwright/rules/report"
)

// help is the text of --help.
func help() string {
	var parts []string
	for _, p := range report.Parts() {
		parts = append(parts, string(p))
	}
	return fmt.Sprintf(helpText, strings.Join(packs.Names(), ", "), list(parts, 20))
}

// list joins words with commas, in lines that begin at a column and end before the 100th.
func list(words []string, indent int) string {
	var b strings.Builder
	column := indent
	for i, w := range words {
		if i < len(words)-1 {
			w += ","
		}
		if column+1+len(w) > 100 {
			b.WriteString("\n" + strings.Repeat(" ", indent))
			column = indent
		} else if i > 0 {
			b.WriteByte(' ')
			column++
		}
		b.WriteString(w)
		column += len(w)
	}
	return b.String()
}

const helpText = `check computes the safety installation of a machine and judges it by rules.

usage: go run ./examples/check [flags] [machine.yaml]

It reads a machine file with its parts files, computes the 24 V supply, the safety network, reaction
times and separation distances with every margin, asks the built-in rules and your own, and prints
what it found: each finding with its place in the file, the values that led to it, the standard and
clause, and what to change. Without a machine file it shows an invented demo machine, which has some
honest mistakes.

what to judge by
  --rules FILE      a rule file of your own; may be given several times
  --packs LIST      built-in rules: all (the default), none, or some of
                    %s
  --today DATE      the day by which acceptances expire, as 2031-12-31; default: today
  --logic-faults    ask the rules about the interlock logic again with one fault at a time (stuck
                    contacts and buttons, crosses, welded contactors, lost connections), and whether
                    each is noticed; many times the work. --show logic-faults asks for it as well

what the machine did
  --record FILE     a recorded trace (CSV): the rules about the interlock logic are asked of it, and
                    what it shows of the logic's values is compared with the described logic
  --mapping FILE    how its columns are to be read; without it they have the names of the signals

what to print
  --show LIST       parts to print in full, with commas between them. Default: every part, of long
                    lists only the tightest or first entries. The parts are
                    %s;
                    numbers stands for all tables, all for everything
  --format FORMAT   text (the default) or json; json holds everything unless --show says otherwise
  --color WHEN      auto (the default: on a terminal, unless NO_COLOR is set), always, never

when to fail
  --fail-on LEVEL   error (the default), warning or advice: see exit codes

instead of checking a machine
  --test            run the test cases inside the rule files given by --rules, or inside the
                    built-in ones
  --size FEED       answer for a feed: the longest run, the smallest cross-section and the number of
                    further modules with which every limit still holds
  --vocabulary      print all words that rules may use
  --schema WHICH    print the JSON Schema of machine, parts, rules or record (mapping) files, for
                    your editor, or of the JSON report
  --help            print this

exit codes
  0  nothing of the level of --fail-on or above was found
  1  something was: a finding that is not accepted, or a rule of that level that could not be
     decided for want of data. An undecided rule is not a passed one. A rule that itself failed, and
     a supply, network, reaction time or distance that could not be computed at all, or a supply
     without an operating point, count at every level, and so does asking no rule at all, or none
     that applies to anything described. An acceptance that does not fit counts as a warning.
     With --record: a rule that was broken in it, or not known throughout, counts at its level; a
     value that is not as the described logic has it, and a broken assumption, at every level; what
     is not known of values and assumptions as a warning. A state that was not reached is no fault
     With --test: a case failed, or there was none
  2  no verdict: a machine file, rule file or record, or the arguments have mistakes, listed one a
     line, as file:line:column: what was found, what serves
  go run answers 1 for 2 as well; go build -o check ./examples/check makes a command that doesn't

examples
  go run ./examples/check
  go run ./examples/check machine.yaml
  go run ./examples/check --rules plant.yaml --fail-on warning machine.yaml
  go run ./examples/check --show feeds,loads machine.yaml
  go run ./examples/check --show logic-faults machine.yaml
  go run ./examples/check --format json machine.yaml > report.json
  go run ./examples/check --record trace.csv --mapping trace.yaml machine.yaml
  go run ./examples/check --rules plant.yaml --test

caution
  What check prints supports, and does not replace, risk assessment, validation, the local codes and
  the judgement of a competent person. Nothing found does not mean safe: it means that the rules
  that were asked found nothing. The numbers are as good as the data sheets behind the description.
`
