package logic

import (
	"fmt"
	"os"
	"os/exec"
	"strings"
	"testing"
)

// proveOK proves the properties and fails where one is not proved.
func proveOK(b *testing.B, s *System, props []Property, o Options) []Result {
	b.Helper()
	results, err := Prove(b.Context(), s, props, o)
	if err != nil {
		b.Fatal(err)
	}
	for _, r := range results {
		if r.Verdict != Proved {
			b.Fatalf("%v (%s)", r, r.Method)
		}
	}
	return results
}

func needCrossCheck(b *testing.B) {
	if os.Getenv("GUARDWRIGHT_CROSSCHECK") != "1" {
		b.Skip("set GUARDWRIGHT_CROSSCHECK=1 to compare with other programs")
	}
}

// BenchmarkCheckProofs checks the certificates of all local properties.
func BenchmarkCheckProofs(b *testing.B) {
	p := newPlant(12, plant{dual: true})
	props := p.locals()
	results := proveOK(b, p.System, props, Options{})
	for b.Loop() {
		if err := CheckProofs(b.Context(), p.System, props, results, Options{}); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkLocal proves the five local properties of every zone of a dual-channel plant.
func BenchmarkLocal(b *testing.B) {
	for _, n := range []int{4, 12, 100, 1000} {
		for _, c := range []struct {
			name    string
			build   bool
			options Options
		}{
			{"built,memo-off", false, Options{noMemo: true}},
			{"build,memo-off", true, Options{noMemo: true}},
			{"build,memo-off,2-workers", true, Options{noMemo: true, Workers: 2}},
			{"build,memo", true, Options{}},
		} {
			b.Run(fmt.Sprintf("zones=%d/%s", n, c.name), func(b *testing.B) {
				p := newPlant(n, plant{dual: true})
				props := p.locals()
				b.ReportAllocs()
				for b.Loop() {
					if c.build {
						p = newPlant(n, plant{dual: true})
						props = p.locals()
					}
					proveOK(b, p.System, props, c.options)
				}
			})
		}
	}
}

// BenchmarkUnsplit proves one conjunction of all local properties as a single obligation, and beside it runs SPIN's verifier
// on the same system, where the cross-check is switched on.
func BenchmarkUnsplit(b *testing.B) {
	for _, n := range []int{1, 2} {
		p := newPlant(n, plant{})
		w2 := p.whole()[1]
		for _, split := range []bool{false, true} {
			b.Run(fmt.Sprintf("zones=%d/split=%t", n, split), func(b *testing.B) {
				for b.Loop() {
					r := proveOK(b, p.System, []Property{w2}, Options{noSplit: !split, noCut: !split, noMemo: true})
					b.ReportMetric(float64(r[0].States), "states")
				}
			})
		}
		b.Run(fmt.Sprintf("zones=%d/spin", n), func(b *testing.B) {
			needCrossCheck(b)
			pan := buildPan(b, b.TempDir(), p.System, w2, "-O2")
			for b.Loop() {
				if out, err := exec.Command(pan, "-E", "-w16").CombinedOutput(); err != nil {
					b.Fatalf("%v\n%s", err, out)
				}
			}
		})
	}
}

// BenchmarkWhole proves the properties of the whole machine, and beside it runs ABC's property-directed reachability on the same
// question, where the cross-check is switched on.
func BenchmarkWhole(b *testing.B) {
	for _, n := range []int{12, 100, 1000} {
		for chain := range 3 {
			p := newPlant(n, plant{dual: true, chain: chain})
			for _, w := range p.whole() {
				if n == 1000 && w.Name != "W2" {
					continue
				}
				b.Run(fmt.Sprintf("zones=%d/chain=%d/%s", n, chain, w.Name), func(b *testing.B) {
					for b.Loop() {
						proveOK(b, p.System, []Property{w}, Options{})
					}
				})
				if n < 1000 {
					b.Run(fmt.Sprintf("zones=%d/chain=%d/%s/abc", n, chain, w.Name), func(b *testing.B) {
						needCrossCheck(b)
						file := writeAIGER(b, b.TempDir(), p.System, w)
						for b.Loop() {
							out, err := exec.Command("berkeley-abc", "-c", "read_aiger "+file+"; pdr").CombinedOutput()
							if err != nil || !strings.Contains(string(out), "Property proved") {
								b.Fatalf("%v\n%s", err, out)
							}
						}
					})
				}
			}
		}
	}
}

// BenchmarkTimer proves a lock release delay of 150 steps with separate counters of design and property, and refutes it where
// the design is one step short.
func BenchmarkTimer(b *testing.B) {
	for _, short := range []int{0, 1} {
		b.Run(fmt.Sprintf("steps=150/short=%d", short), func(b *testing.B) {
			p := newPlant(1, plant{dual: true, timer: 150 - short})
			prop := p.standstillTime(0, 150)
			for b.Loop() {
				r := prove1(b, p.System, prop)
				if want := []Verdict{Proved, Refuted}[short]; r.Verdict != want {
					b.Fatal(r)
				}
				b.ReportMetric(float64(r.States), "states")
				b.ReportMetric(float64(r.Steps), "steps")
			}
		})
	}
}

// BenchmarkStartUp finds the shortest run that starts zone 0, which needs all others running one after the other.
func BenchmarkStartUp(b *testing.B) {
	for _, n := range []int{4, 12, 100} {
		b.Run(fmt.Sprintf("zones=%d", n), func(b *testing.B) {
			p := newPlant(n, plant{dual: true, chain: 2})
			goal := Reachable("zone 0 runs", p.zones[0].run)
			for b.Loop() {
				if r := prove1(b, p.System, goal); r.Steps != n+1 || !r.Shortest {
					b.Fatal(r)
				}
			}
		})
	}
}

// BenchmarkFault finds a seeded fault among the local properties of all zones, trace confirmed.
func BenchmarkFault(b *testing.B) {
	for _, fault := range []string{"reset", "unlock"} {
		for _, n := range []int{12, 100} {
			b.Run(fmt.Sprintf("fault=%s/zones=%d", fault, n), func(b *testing.B) {
				p := newPlant(n, plant{dual: true, fault: fault})
				props := p.locals()
				for b.Loop() {
					results, err := Prove(b.Context(), p.System, props, Options{})
					if err != nil {
						b.Fatal(err)
					}
					refuted := 0
					for _, r := range results {
						if r.Verdict == Refuted {
							refuted++
						}
					}
					if refuted != 1 {
						b.Fatalf("%d refuted", refuted)
					}
				}
			})
		}
	}
}
