package rules

import (
	"context"
	"io/fs"
	"os"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/require"

	"github.com/guardwright/guardwright/calc"
	"github.com/guardwright/guardwright/calc/power"
	"github.com/guardwright/guardwright/examples/demo"
	"github.com/guardwright/guardwright/model"
)

func benchPlant(b *testing.B) (*model.Machine, *calc.Results, *Ruleset) {
	b.Helper()
	m := GeneratedPlant(b, 1000)
	results, err := calc.Compute(context.Background(), m)
	require.NoError(b, err)
	set, err := Load(os.DirFS("../testdata/rules"), "bench.yaml")
	require.NoError(b, err)
	return m, results, set
}

// BenchmarkPlant checks a plant of 1000 modules and 8000 devices with ten rules, on one processor: the whole check,
// its share before the evaluation, the bare loop over the same programs with prepared objects, and the same rules in
// plain Go.
func BenchmarkPlant(b *testing.B) {
	m, results, set := benchPlant(b)
	b.Run("check", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			r, err := CheckWith(context.Background(), m, Options{Results: results, Parallel: 1}, set)
			if err != nil || len(r.Unanswered) > 0 {
				b.Fatal(err, r.Unanswered[0])
			}
		}
	})
	b.Run("objects", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			c := &checker{options: Options{Steps: defaultSteps}, world: newWorld(newLanguage(), m, results, set.used)}
			c.prepare([]*Ruleset{set})
		}
	})
	c := &checker{ctx: context.Background(), options: Options{Steps: defaultSteps}, world: newWorld(newLanguage(), m, results, set.used)}
	c.prepare([]*Ruleset{set})
	b.Run("evaluation", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			for _, t := range c.tasks {
				c.work(&t)
			}
		}
	})
	b.Run("bare loop", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			bareLoop(c)
		}
	})
	b.Run("go", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			plainGo(c.world)
		}
	})
}

// BenchmarkBuiltinPacks is the same with the built-in rules about supply and structure, on a plant of 1000 modules and
// 8000 devices that keeps to them.
func BenchmarkBuiltinPacks(b *testing.B) {
	parts, err := fs.ReadFile(demo.Files(), "parts.yaml")
	require.NoError(b, err)
	m, err := model.Load(fstest.MapFS{"plant.yaml": {Data: demo.Plant(1000)}, "parts.yaml": {Data: parts}}, "plant.yaml")
	require.NoError(b, err)
	results, err := calc.Compute(context.Background(), m)
	require.NoError(b, err)
	var sets []*Ruleset
	for _, name := range []string{"power", "structure"} {
		set, err := Load(os.DirFS("packs"), name+".yaml")
		require.NoError(b, err)
		sets = append(sets, set)
	}
	used, err := join(sets)
	require.NoError(b, err)
	b.Run("check", func(b *testing.B) {
		for b.Loop() {
			_, err := CheckWith(context.Background(), m, Options{Results: results, Parallel: 1}, sets...)
			require.NoError(b, err)
		}
	})
	c := &checker{ctx: context.Background(), options: Options{Steps: defaultSteps}, world: newWorld(newLanguage(), m, results, used)}
	c.prepare(sets)
	b.Run("evaluation", func(b *testing.B) {
		for b.Loop() {
			for _, t := range c.tasks {
				c.work(&t)
			}
		}
	})
	b.Run("bare loop", func(b *testing.B) {
		for b.Loop() {
			bareLoop(c)
		}
	})
}

// bareLoop evaluates the programs and does nothing else.
func bareLoop(c *checker) int {
	broken := 0
	meter := &meter{left: 1 << 60, watch: 1 << 60}
	for _, t := range c.tasks {
		a := &activation{name: t.rule.For, machine: c.machine, meter: meter}
		for _, o := range t.objects {
			a.object = o
			if t.rule.when != nil {
				v, _, err := t.rule.when.program.Eval(a)
				if err != nil || v.Value() != true {
					continue
				}
			}
			v, _, err := t.rule.require.program.Eval(a)
			if err != nil || v.Value() != true {
				broken++
			}
		}
	}
	return broken
}

// plainGo is what the rules of the benchmark say, by hand.
func plainGo(w *world) int {
	broken := 0
	must := func(ok bool) {
		if !ok {
			broken++
		}
	}
	m := w.machine
	for _, module := range m.Modules {
		free := false
		for _, p := range module.Ports {
			must(p.Type.Limit != 0)
			free = free || p.Device == nil
			if p.Device != nil && p.Type.Limit != 0 {
				must(w.power.ports[p].Circuits[0].Current.Value <= p.Type.Limit)
			}
		}
		must(free || w.power.modules[module].Free == 0)
		must(w.power.modules[module].Circuits[0].Through.Value <= 16)
	}
	for _, d := range m.Devices {
		if k := d.Type.DeviceType.Kind; k == "guard-switch" || k == "guard-lock" || k == "emergency-stop" {
			must(d.Type.Channels == 2)
		}
		for _, l := range d.Loads {
			must(l.Current == nil || *l.Current <= 2)
		}
		if d.Type.Response != 0 {
			must(d.Type.Response <= 0.1 && d.Zone.Ambient.Max <= 55)
		}
	}
	for _, l := range allLoads(m) {
		if l.Min != 0 && w.power.loads[l].Lowest.Status != power.Unknown {
			must(w.power.loads[l].Lowest.Value >= l.Min+0.5)
		}
	}
	for _, c := range allCables(m) {
		must(c.Length <= 30 && c.Cable.Section >= 0.34)
		must(c.Cable.Cores >= 3 && float64(c.Length)*0.0133 <= 1)
	}
	return broken
}

// BenchmarkParse compiles the benchmark's ten rules.
func BenchmarkParse(b *testing.B) {
	data, err := os.ReadFile("../testdata/rules/bench.yaml")
	require.NoError(b, err)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Parse("bench.yaml", data); err != nil {
			b.Fatal(err)
		}
	}
}
