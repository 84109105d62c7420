package radial

import (
	"fmt"
	"testing"
	"time"
)

// benchNodes is the network of n nodes that all benchmarks of that size share.
func benchNodes(n int) (Source, []Node) {
	return randomNodes(newRand(7), n)
}

func BenchmarkSolve200(b *testing.B) {
	tree, err := New(benchNodes(200))
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := tree.Solve(); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkNew200(b *testing.B) {
	source, nodes := benchNodes(200)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := New(source, nodes); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkCollapse200 reports also how many plain solutions it costs.
func BenchmarkCollapse200(b *testing.B) {
	tree, err := New(benchNodes(200))
	if err != nil {
		b.Fatal(err)
	}
	solve := timeSolve(b, tree)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := tree.Collapse(); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/solve, "solves/op")
}

// timeSolve returns the nanoseconds of one plain solution.
func timeSolve(b *testing.B, tree *Tree) float64 {
	const runs = 2000
	start := time.Now()
	for range runs {
		if _, err := tree.Solve(); err != nil {
			b.Fatal(err)
		}
	}
	return float64(time.Since(start).Nanoseconds()) / runs
}

func BenchmarkSolveGrowth(b *testing.B) {
	for _, n := range []int{10, 100, 1000, 10000, 100000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			tree, err := New(benchNodes(n))
			if err != nil {
				b.Fatal(err)
			}
			iterations := 0
			for b.Loop() {
				sol, err := tree.Solve()
				if err != nil {
					b.Fatal(err)
				}
				iterations = sol.Iterations
			}
			perNode := float64(b.Elapsed().Nanoseconds()) / float64(b.N) / float64(n)
			b.ReportMetric(perNode, "ns/node")
			b.ReportMetric(float64(iterations), "iterations")
		})
	}
}
