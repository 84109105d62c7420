package source_test

import (
	"fmt"
	"testing"

	"github.com/guardwright/guardwright/model/source"
)

// The file of the benchmarks has about 2 MB: 14 000 modules with two ports.
func benchmarkFile() []byte { return manyModules(14_000) }

func BenchmarkParse(b *testing.B) {
	data := benchmarkFile()
	b.SetBytes(int64(len(data)))
	b.ReportAllocs()
	for b.Loop() {
		if file, problems := source.Parse("f", data, source.Limits{}); file == nil || len(problems) > 0 {
			b.Fatal(problems)
		}
	}
}

func BenchmarkDecode(b *testing.B) {
	data := benchmarkFile()
	file, problems := source.Parse("f", data, source.Limits{})
	if len(problems) > 0 {
		b.Fatal(problems)
	}
	b.SetBytes(int64(len(data)))
	b.ReportAllocs()
	for b.Loop() {
		var into plant
		if problems := file.Decode(&into); len(problems) > 0 {
			b.Fatal(problems)
		}
	}
}

func BenchmarkPosition(b *testing.B) {
	const modules = 14_000
	file, problems := source.Parse("f", benchmarkFile(), source.Limits{})
	if len(problems) > 0 {
		b.Fatal(problems)
	}
	paths := make([]string, modules)
	for i := range paths {
		paths[i] = fmt.Sprintf("modules.m%d.ports.2.cable.length", i)
	}
	b.ReportAllocs()
	i := 0
	for b.Loop() {
		if file.Position(paths[i%modules]).Line == 0 {
			b.Fatal("no position")
		}
		i++
	}
}

func BenchmarkNearest(b *testing.B) {
	names := make([]string, 10_000)
	for i := range names {
		names[i] = fmt.Sprintf("load_gate_%d", i)
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, ok := source.Nearest("laod_gate_9999", names); !ok {
			b.Fatal("nothing near")
		}
	}
}
