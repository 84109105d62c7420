package logic

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// The cross-checks compare verdicts with three general-purpose programs that share nothing with this package: SPIN, an
// explicit-state model checker, Z3, a solver for constrained Horn clauses, and ABC, a system for logic synthesis and
// verification with property-directed reachability (of the gates that this package made). They run where
// GUARDWRIGHT_CROSSCHECK is 1; a missing program is a failure then.

func needProgram(t testing.TB, names ...string) {
	t.Helper()
	if os.Getenv("GUARDWRIGHT_CROSSCHECK") != "1" {
		t.Skip("set GUARDWRIGHT_CROSSCHECK=1 to compare with ", strings.Join(names, " and "))
	}
	for _, n := range names {
		if _, err := exec.LookPath(n); err != nil {
			t.Fatalf("%s is needed for the cross-check: %v", n, err)
		}
	}
}

// z3 returns the solver's one-word answer.
func z3(t *testing.T, text []byte) string {
	t.Helper()
	cmd := exec.CommandContext(t.Context(), "z3", "-in", "-T:5")
	cmd.Stdin = bytes.NewReader(text)
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("z3: %v\n%s\n%s", err, out, text)
	}
	return strings.TrimSpace(string(out))
}

// checkZ3 compares the verdict by Horn clauses and the fewest steps by unrolling; it tells whether z3 gave an answer.
func checkZ3(t *testing.T, s *System, p Property, r Result) bool {
	t.Helper()
	var text bytes.Buffer
	if err := s.WriteHorn(&text, p); err != nil {
		t.Fatal(err)
	}
	want := "sat"
	if r.Trace != nil {
		want = "unsat"
	}
	answer := z3(t, text.Bytes())
	if answer == "unknown" || answer == "timeout" {
		return false
	}
	if answer != want {
		t.Errorf("%v: z3 says %q, want %q\n%s", r, answer, want, text.String())
	}
	for steps := max(1, r.Steps-1); r.Trace != nil && steps <= r.Steps; steps++ {
		text.Reset()
		if err := s.WriteUnrolled(&text, p, steps); err != nil {
			t.Fatal(err)
		}
		want := "unsat"
		if steps == r.Steps {
			want = "sat"
		}
		if got := z3(t, text.Bytes()); got != want {
			t.Errorf("%v: z3 says %q to %d steps, want %q", r, got, steps, want)
		}
	}
	return true
}

// checkSpin compares the verdict with that of SPIN's verifier.
func checkSpin(t *testing.T, s *System, p Property, r Result) {
	t.Helper()
	dir := t.TempDir()
	pan := buildPan(t, dir, s, p, "-O0")
	cmd := exec.CommandContext(t.Context(), pan, "-E", "-w18", "-m100000")
	cmd.Dir = dir
	out, err := cmd.CombinedOutput()
	if err != nil && !strings.Contains(string(out), "errors:") {
		t.Fatalf("pan: %v\n%s", err, out)
	}
	found := strings.Contains(string(out), "assertion violated")
	if !found && !strings.Contains(string(out), "errors: 0") || strings.Contains(string(out), "max search depth too small") {
		t.Fatalf("pan gave no verdict:\n%s", out)
	}
	if found != (r.Trace != nil) {
		t.Errorf("%v: spin finds the assertion violated: %t\n%s", r, found, out)
	}
}

// buildPan writes the model, and generates and compiles its verifier.
func buildPan(t testing.TB, dir string, s *System, p Property, optimise string) string {
	t.Helper()
	var text bytes.Buffer
	if err := s.WritePromela(&text, p); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, "model.pml"), text.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, args := range [][]string{{"spin", "-a", "model.pml"}, {"gcc", optimise, "-w", "-DSAFETY", "-DMEMLIM=1000", "-o", "pan", "pan.c"}} {
		cmd := exec.Command(args[0], args[1:]...)
		cmd.Dir = dir
		if out, err := cmd.CombinedOutput(); err != nil {
			t.Fatalf("%s: %v\n%s\n%s", args[0], err, out, text.String())
		}
	}
	return filepath.Join(dir, "pan")
}

// TestDesignsAgainstZ3 checks every property of every design: verdict and fewest steps.
func TestDesignsAgainstZ3(t *testing.T) {
	needProgram(t, "z3")
	checked, skipped := 0, 0
	for _, x := range allDesigns() {
		t.Run(x.name, func(t *testing.T) {
			d := x.draft("")
			for _, e := range d.expect {
				r := prove1(t, d.System, e.property)
				if checkZ3(t, d.System, e.property, r) {
					checked++
				} else {
					skipped++
				}
			}
		})
	}
	if skipped*5 > checked {
		t.Errorf("z3 gave no answer to %d of %d questions", skipped, checked+skipped)
	}
}

// TestDesignsAgainstSpin checks one property of every design.
func TestDesignsAgainstSpin(t *testing.T) {
	needProgram(t, "spin", "gcc")
	for i, x := range allDesigns() {
		t.Run(x.name, func(t *testing.T) {
			t.Parallel()
			d := x.draft("")
			e := d.expect[i%len(d.expect)]
			checkSpin(t, d.System, e.property, prove1(t, d.System, e.property))
		})
	}
}

func prove1(t testing.TB, s *System, p Property) Result {
	t.Helper()
	results, err := Prove(t.Context(), s, []Property{p}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	return results[0]
}

// abc runs commands on the property's question and returns what the program says.
func abc(t testing.TB, dir string, s *System, p Property, commands string) string {
	t.Helper()
	file := writeAIGER(t, dir, s, p)
	out, err := exec.CommandContext(t.Context(), "berkeley-abc", "-c", "read_aiger "+file+"; "+commands).CombinedOutput()
	if err != nil {
		t.Fatalf("berkeley-abc: %v\n%s", err, out)
	}
	return string(out)
}

func writeAIGER(t testing.TB, dir string, s *System, p Property) string {
	t.Helper()
	var text bytes.Buffer
	if err := s.WriteAIGER(&text, p); err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(dir, "model.aig")
	if err := os.WriteFile(file, text.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	return file
}

// checkABC compares the verdict by property-directed reachability and the fewest steps by bounded model checking.
func checkABC(t *testing.T, s *System, p Property, r Result) {
	t.Helper()
	dir := t.TempDir()
	out := abc(t, dir, s, p, "pdr")
	proved := strings.Contains(out, "Property proved")
	if !proved && !strings.Contains(out, "was asserted in frame") {
		t.Fatalf("no verdict:\n%s", out)
	}
	if proved != (r.Trace == nil) {
		t.Errorf("%v: abc finds it proved: %t\n%s", r, proved, out)
	}
	if r.Trace == nil {
		return
	}
	out = abc(t, dir, s, p, fmt.Sprintf("bmc3 -F %d", r.Steps+1))
	if want := fmt.Sprintf("was asserted in frame %d.", r.Steps-1); !strings.Contains(out, want) {
		t.Errorf("%v: abc says\n%s", r, out)
	}
}

// TestDesignsAgainstABC checks every property of every design: verdict and fewest steps.
func TestDesignsAgainstABC(t *testing.T) {
	needProgram(t, "berkeley-abc")
	for _, x := range allDesigns() {
		t.Run(x.name, func(t *testing.T) {
			d := x.draft("")
			for _, e := range d.expect {
				checkABC(t, d.System, e.property, prove1(t, d.System, e.property))
			}
		})
	}
}

// TestRandomSystemsAgainstABC checks random systems with assumptions, timers and integers.
func TestRandomSystemsAgainstABC(t *testing.T) {
	needProgram(t, "berkeley-abc")
	for seed := range 100 {
		d := newRandomDraft(rand.New(rand.NewPCG(uint64(seed), 16)))
		p := d.props[seed%len(d.props)]
		r := prove1(t, d.System, p)
		if strings.Contains(r.Reason, "first step") {
			continue
		}
		t.Run(fmt.Sprint(seed), func(t *testing.T) { checkABC(t, d.System, p, r) })
	}
}

// TestPlantsAgainstABC checks the properties of whole machines, start-up among them.
func TestPlantsAgainstABC(t *testing.T) {
	needProgram(t, "berkeley-abc")
	for chain := range 3 {
		for _, fault := range []string{"", "reset", "unlock"} {
			p := newPlant(6, plant{dual: true, chain: chain, fault: fault})
			for _, prop := range append(p.whole(), Reachable("zone 0 runs", p.zones[0].run)) {
				checkABC(t, p.System, prop, prove1(t, p.System, prop))
			}
		}
	}
}

// TestRandomSystemsAgainstZ3 checks random systems with assumptions, timers and integers.
func TestRandomSystemsAgainstZ3(t *testing.T) {
	needProgram(t, "z3")
	checked := 0
	for seed := range 40 {
		d := newRandomDraft(rand.New(rand.NewPCG(uint64(seed), 6)))
		p := d.props[seed%len(d.props)]
		t.Run(fmt.Sprint(seed), func(t *testing.T) {
			if checkZ3(t, d.System, p, prove1(t, d.System, p)) {
				checked++
			}
		})
	}
	if checked < 25 {
		t.Errorf("z3 answered only %d questions", checked)
	}
}

// TestRandomSystemsAgainstSpin does the same with SPIN.
func TestRandomSystemsAgainstSpin(t *testing.T) {
	needProgram(t, "spin", "gcc")
	for seed := range 8 {
		d := newRandomDraft(rand.New(rand.NewPCG(uint64(seed), 7)))
		p := d.props[seed%len(d.props)]
		t.Run(fmt.Sprint(seed), func(t *testing.T) {
			t.Parallel()
			checkSpin(t, d.System, p, prove1(t, d.System, p))
		})
	}
}
