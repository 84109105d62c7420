package rules_test

import (
	"context"
	"fmt"
	"os"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/guardwright/guardwright/calc"
	"github.com/guardwright/guardwright/model"
	"github.com/guardwright/guardwright/rules"
)

func small(t testing.TB) *model.Machine {
	t.Helper()
	m, err := model.Load(os.DirFS("../testdata/rules"), "small.yaml")
	require.NoError(t, err)
	return m
}

// machineText is the small machine as a text, with a part replaced and more at its end.
func machineText(t testing.TB, more string, replace ...string) *model.Machine {
	t.Helper()
	data, err := os.ReadFile("../testdata/rules/small.yaml")
	require.NoError(t, err)
	for i := 0; i < len(replace); i += 2 {
		require.Contains(t, string(data), replace[i])
	}
	m, err := loadText(strings.NewReplacer(replace...).Replace(string(data)) + more)
	require.NoError(t, err)
	return m
}

func loadText(text string) (*model.Machine, error) {
	return model.Load(fstest.MapFS{"small.yaml": {Data: []byte(text)}}, "small.yaml")
}

func parse(t testing.TB, text string) *rules.Ruleset {
	t.Helper()
	set, err := rules.Parse("r.yaml", []byte(text))
	require.NoError(t, err)
	return set
}

func plant(t testing.TB) *rules.Ruleset {
	t.Helper()
	set, err := rules.Load(os.DirFS("../testdata/rules"), "plant.yaml")
	require.NoError(t, err)
	return set
}

// print writes all of a result.
func print(r *rules.Result) string {
	var b strings.Builder
	for _, f := range r.Findings {
		fmt.Fprintln(&b, f)
		for _, v := range f.Because {
			fmt.Fprintln(&b, "    because", v)
		}
		if f.Hint != "" {
			fmt.Fprintln(&b, "    hint", f.Hint)
		}
		for _, x := range f.Related {
			fmt.Fprintf(&b, "    see %s: %s (%s)\n", x.Position, x.Name, x.Text)
		}
		if f.Accepted != nil {
			fmt.Fprintln(&b, "    accepted by", f.Accepted.Who+":", f.Accepted.Reason)
		}
	}
	for _, u := range r.Unanswered {
		fmt.Fprintf(&b, "%s: %s (at %s)\n", u.Cause, u, u.RulePosition)
	}
	for _, a := range r.Acceptances {
		fmt.Fprintf(&b, "%s: %s: %s\n", a.Position, a.Kind, a.Text)
	}
	for _, n := range r.NotComputed {
		fmt.Fprintf(&b, "%s: %s\n", n.Section, n.Text)
	}
	for _, t := range r.Tallies {
		fmt.Fprintf(&b, "%s: %d objects: %d outside, %d passed, %d broken, %d undecided, %d failed, %d stopped\n",
			t.Rule.ID, t.Objects, t.Outside, t.Passed, t.Broken, t.Undecided, t.Failed, t.Stopped)
	}
	return b.String()
}

func check(t testing.TB, m *model.Machine, o rules.Options, sets ...*rules.Ruleset) *rules.Result {
	t.Helper()
	r, err := rules.CheckWith(context.Background(), m, o, sets...)
	require.NoError(t, err)
	return r
}

// TestResult shows every outcome of a rule, in full.
func TestResult(t *testing.T) {
	r := check(t, small(t), rules.Options{}, plant(t))
	golden(t, "result.txt", print(r))
	assert.Equal(t, 1, r.Count(rules.Error))
	assert.False(t, r.Clean())
	assert.Len(t, r.Errors(), 1)
	assert.Equal(t, len(r.Unanswered), len(r.Errors())+len(r.Undecided()))
	for _, tally := range r.Tallies {
		assert.Equal(t, tally.Objects, tally.Outside+tally.Passed+tally.Broken+tally.Undecided+tally.Failed+tally.Stopped, tally.Rule.ID)
	}
}

// TestAbsence: what is not stated is never zero, and whoever uses it gets no verdict.
func TestAbsence(t *testing.T) {
	for _, c := range []struct {
		require                   string
		passed, broken, undecided int
		why                       string
	}{
		{"port.limit >= A(0)", 2, 0, 2, "an absent limit is not 0 A"},
		{"port.limit < A(0)", 0, 2, 2, "nor less"},
		{"!has(port.limit) || port.limit > A(1)", 4, 0, 0, "has() guards"},
		{"port.limit > A(1) || !has(port.limit)", 4, 0, 0, "on either side: the true part decides"},
		{"has(port.limit) && port.limit > A(1)", 2, 2, 0, "absence can itself be the fault"},
		{"port.limit > A(1) || port.limit <= A(1)", 2, 0, 2, "always true only where there is one"},
		{"port.limit == port.limit", 2, 0, 2, "equality as well"},
		{"port.device.port.module.name == \"m1\"", 3, 0, 1, "an absent object on the way"},
		{"has(port.device.cable)", 0, 0, 0, "does not compile"},
		{"has(port.device.port.cable)", 2, 2, 0, "has() asks for every part on the way"},
		{"port.module.ports.all(p, p.limit > A(1))", 0, 0, 4, "one absent element leaves all() open"},
		{"port.module.ports.all(p, p.limit < A(1))", 0, 4, 0, "unless another one decides it"},
		{"port.module.ports.exists(p, p.limit > A(1))", 4, 0, 0, "and so for exists()"},
		{"port.module.ports.map(p, p.limit).size() > 0", 0, 0, 4, "a list of what is absent is not shorter"},
	} {
		set, err := rules.Parse("r.yaml", []byte(ruleOf("port", c.require)))
		if c.why == "does not compile" {
			assert.Error(t, err)
			continue
		}
		require.NoError(t, err, c.require)
		// m1 has three ports, of which 1 and 2 have a limit; m2 is left out.
		m := machineText(t, "", "  m2: {type: io, address: 10.8.4.22}\n", "", "    f2: {from: m1, to: m2, cable: {type: w, length: 5 m}}\n", "",
			"3: {contacts: 5, inputs: 2}}", "3-4: {contacts: 5, inputs: 2}}")
		tally := check(t, m, rules.Options{}, set).Tallies[0]
		assert.Equal(t, []int{c.passed, c.broken, c.undecided, 0}, []int{tally.Passed, tally.Broken, tally.Undecided, tally.Failed}, "%s: %s", c.require, c.why)
	}
}

// TestAbsentWhen: whether a rule applies can be undecided too.
func TestAbsentWhen(t *testing.T) {
	set := parse(t, strings.Replace(ruleOf("port", "port.inputs == 2"), "    require", "    when: port.limit > A(1)\n    require", 1))
	r := check(t, small(t), rules.Options{}, set)
	assert.Equal(t, 2, r.Tallies[0].Undecided)
	assert.Equal(t, "small.yaml:33:7: modules.m1.ports.3: not decidable, because port.limit of modules.m1.ports.3 is not stated [tested]", r.Undecided()[0].String())
	assert.Equal(t, "r.yaml:8:15", r.Undecided()[0].RulePosition.String())
}

// TestNotComputedIsUndecided: without results, a rule about them has no answer.
func TestNotComputedIsUndecided(t *testing.T) {
	set := parse(t, ruleOf("load", "load.lowest.within"))
	r := check(t, small(t), rules.Options{Results: &calc.Results{PowerMissing: "the supply is not described"}}, set)
	require.NotEmpty(t, r.Undecided())
	assert.Equal(t, r.Tallies[0].Objects, r.Tallies[0].Undecided)
	assert.Equal(t, "not decidable, because load.lowest of "+r.Undecided()[0].Path+" is not computed: the supply is not described", r.Undecided()[0].Text)
}

// TestUndecidedByTheRule: a rule can say itself that data are missing.
func TestUndecidedByTheRule(t *testing.T) {
	r := check(t, small(t), rules.Options{}, parse(t, ruleOf("device", `device.functions.size() > 0 || undecided("no function names the device")`)))
	require.Len(t, r.Undecided(), 3)
	assert.Equal(t, "small.yaml:22:3: devices.g1: not decidable, because no function names the device [tested]", r.Undecided()[0].String())
}

// TestUndecidedCheckNamesItself: a result has no place, so the rule's own words name it.
func TestUndecidedCheckNamesItself(t *testing.T) {
	r := check(t, small(t), rules.Options{}, parse(t, ruleOf("port_circuit", "port_circuit.hold.within && port_circuit.port.inputs > 0")))
	require.NotEmpty(t, r.Undecided())
	assert.Contains(t, r.Undecided()[0].Text, "not decidable, because port_circuit.hold.within is no limit stated")
}

// TestNoObjectsIsNoPass: a rule for results must not pass because there are none.
func TestNoObjectsIsNoPass(t *testing.T) {
	set := parse(t, ruleOf("port_circuit", "port_circuit.current.within"))
	r := check(t, small(t), rules.Options{Results: &calc.Results{PowerMissing: "a resistance is missing"}}, set)
	require.Len(t, r.Undecided(), 1)
	assert.Equal(t, "small.yaml:3:1: machine: not decidable, because the 24 V supply is not computed: a resistance is missing [tested]", r.Undecided()[0].String())
	assert.Equal(t, []rules.NotComputed{{Section: "power", Text: "not computed: a resistance is missing"}}, r.NotComputed)
	assert.False(t, r.Clean())
}

func TestResultsOfAnotherMachine(t *testing.T) {
	results, err := calc.Compute(context.Background(), small(t))
	require.NoError(t, err)
	_, err = rules.CheckWith(context.Background(), small(t), rules.Options{Results: results}, plant(t))
	assert.EqualError(t, err, "rules: the results are those of another machine")
}

// TestStoppedRuleIsNotTriedForEver: a rule that runs into its limit at each of many objects ends soon.
func TestStoppedRuleIsNotTriedForEver(t *testing.T) {
	slow := parse(t, ruleOf("device", "device.port.module.ports.size() > 1 || machine.devices.all(a, machine.devices.all(b, a == b || device.name != a.name + b.name))"))
	r := check(t, rules.GeneratedPlant(t, 60), rules.Options{Steps: 1000}, slow)
	assert.Zero(t, r.Tallies[0].Stopped, "the left side decides")
	slow = parse(t, ruleOf("device", "machine.devices.all(a, machine.devices.all(b, a == b || device.name != a.name + b.name))"))
	r = check(t, rules.GeneratedPlant(t, 60), rules.Options{Steps: 1000}, slow)
	assert.Equal(t, 480, r.Tallies[0].Stopped, "all are told, whether tried or not")
}

// TestDeterminism: goroutines and repetitions change nothing.
func TestDeterminism(t *testing.T) {
	m, set := rules.GeneratedPlant(t, 60), plant(t)
	want := ""
	for parallel := range 9 {
		got := print(check(t, m, rules.Options{Parallel: parallel}, set))
		if want == "" {
			want = got
		}
		require.Equal(t, want, got, "%d goroutines", parallel)
	}
}

// TestOrderOfSets: the order in which sets are given does not change the findings.
func TestOrderOfSets(t *testing.T) {
	a, b := plant(t), parse(t, ruleOf("port", "port.inputs > 2"))
	m := small(t)
	assert.Equal(t, check(t, m, rules.Options{}, a, b).Findings, check(t, m, rules.Options{}, b, a).Findings)
}

const tripleLoop = "machine.devices.all(a, machine.devices.all(b, machine.devices.all(c, a.name + b.name != c.name + a.name || a == b || b == c)))"

// TestSteps: a rule that takes too long is stopped, and the others go on.
func TestSteps(t *testing.T) {
	slow := parse(t, strings.ReplaceAll(ruleOf("machine", tripleLoop), "tested", "slow"))
	m := rules.GeneratedPlant(t, 60)
	r := check(t, m, rules.Options{Steps: 100_000}, slow, plant(t))
	var stopped rules.Unanswered
	for _, u := range r.Errors() {
		if u.Cause == rules.TooCostly {
			stopped = u
		}
	}
	require.NotNil(t, stopped.Rule)
	assert.Equal(t, "slow", stopped.Rule.ID)
	assert.Equal(t, "the rule takes too many steps: it was stopped by the limit on the cost of one evaluation", stopped.Text)
	assert.Equal(t, 1, r.Tallies[0].Stopped)
	assert.NotEmpty(t, r.Findings)
}

// TestStepsCountWhatCallsWalkThrough: work outside of loops is bounded too.
func TestStepsCountWhatCallsWalkThrough(t *testing.T) {
	for _, e := range []string{
		"machine.devices.all(a, machine.devices.map(b, b.name).distinct().size() > 0)",
		"machine.devices.all(a, machine.devices.map(b, b.name).join(a.name).contains(a.name))",
		"machine.devices.all(a, machine.devices.exists(b, b.name == a.name + a.name + a.name) || a.name in machine.devices.map(x, x.name))",
	} {
		r := check(t, rules.GeneratedPlant(t, 60), rules.Options{Steps: 20_000}, parse(t, ruleOf("machine", e)))
		assert.Equal(t, 1, r.Tallies[0].Stopped, e)
	}
}

// TestCancel: a check ends soon after its context, even inside of one evaluation.
func TestCancel(t *testing.T) {
	slow, m := parse(t, ruleOf("machine", tripleLoop)), rules.GeneratedPlant(t, 200)
	ctx, cancel := context.WithTimeout(context.Background(), 30*time.Millisecond)
	defer cancel()
	done := make(chan error, 1)
	go func() {
		_, err := rules.CheckWith(ctx, m, rules.Options{Steps: 1 << 60, Results: &calc.Results{}}, slow)
		done <- err
	}()
	select {
	case err := <-done:
		assert.ErrorIs(t, err, context.DeadlineExceeded)
	case <-time.After(20 * time.Second): // without the watch it would run for hours
		t.Fatal("the check goes on after its context ended")
	}
}

// TestSameRuleTwice: two rules with one id would be told apart by nobody.
func TestSameRuleTwice(t *testing.T) {
	_, err := rules.Check(context.Background(), small(t), plant(t), plant(t))
	assert.EqualError(t, err, `rules: two rules have the id port-current: plant.yaml:6:3 in "Plant rules of the tests" and plant.yaml:6:3 in "Plant rules of the tests"; rename one of them`)
}

func TestNoMachine(t *testing.T) {
	_, err := rules.Check(context.Background(), nil)
	assert.EqualError(t, err, "rules: there is no machine to check")
}

// TestMachineBuiltInGo: without a file, findings still say where they are.
func TestMachineBuiltInGo(t *testing.T) {
	m, err := model.Build(small(t).Description())
	require.NoError(t, err)
	r := check(t, m, rules.Options{}, plant(t))
	require.NotEmpty(t, r.Findings)
	assert.Equal(t, "devices.g2: advice: g2 has a large load: lamp [lamp-is-small]", r.Findings[0].String())
}

// TestAcceptances: an accepted finding is marked and does not count; what does not fit is told.
func TestAcceptances(t *testing.T) {
	m := machineText(t, `accept:
  - {rule: cable-length, at: modules.m1.ports.2, reason: the drop was computed, who: A. Person, until: 2030-12-31}
  - {rule: port-current, at: modules.m1.ports.2, reason: only for the trial, who: A. Person, until: 2025-06-30}
  - {rule: cable-lenght, at: modules.m1.ports.2, reason: x, who: A. Person, until: 2030-12-31}
  - {rule: cable-length, at: modules.m1.port.2, reason: x, who: A. Person, until: 2030-12-31}
  - {rule: cable-length, at: modules.m1.ports.1, reason: x, who: A. Person, until: 2030-12-31}
  - {rule: port-current, at: modules.m1.ports.3, reason: x, who: A. Person, until: 2030-12-31}
`)
	set := plant(t)
	golden(t, "accept.txt", print(check(t, m, rules.Options{Today: model.Date{Year: 2026, Month: 1, Day: 1}}, set)))

	undated := check(t, m, rules.Options{}, set)
	assert.Equal(t, model.Date{}, undated.Today, "without a day, expiry is not judged, and the result says so")
	assert.Zero(t, undated.Count(rules.Error))
	lastDay := check(t, m, rules.Options{Today: model.Date{Year: 2025, Month: 6, Day: 30}}, set)
	assert.Zero(t, lastDay.Count(rules.Error), "the last day still counts")
}
