package distance_test

import (
	"testing"

	"github.com/guardwright/guardwright/calc/distance"
)

func BenchmarkCompute(b *testing.B) {
	m, in := machine(b), input()
	b.ReportAllocs()
	for b.Loop() {
		if _, err := distance.Compute(b.Context(), m, in); err != nil {
			b.Fatal(err)
		}
	}
}
