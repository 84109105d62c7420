package power

import (
	"context"
	"fmt"
	"math"
	"reflect"
	"testing"
	"testing/fstest"

	"github.com/guardwright/guardwright/model"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// drawn is a random small installation: chains of modules behind protective devices on one supply.
type drawn struct {
	source  float64
	shared  bool
	lengths []float64 // of the feeds; module i hangs on parents[i], -1: on the protective devices
	parents []int
	loads   [][2]string // of the device at each module: sensor and actuator circuit
	runs    []float64   // lengths of the device cables
}

func draw(t *rapid.T) *drawn {
	d := &drawn{
		source: rapid.SampledFrom([]float64{0, 0.01, 0.05}).Draw(t, "source"),
		shared: rapid.Bool().Draw(t, "shared"),
	}
	load := rapid.Custom(func(t *rapid.T) string {
		switch rapid.IntRange(0, 2).Draw(t, "kind") {
		case 0:
			return fmt.Sprintf("current: %.3f A", rapid.Float64Range(0, 0.6).Draw(t, "A"))
		case 1:
			return fmt.Sprintf("power: %.2f W", rapid.Float64Range(0, 10).Draw(t, "W"))
		}
		return fmt.Sprintf("resistance: %.1f ohm", rapid.Float64Range(40, 500).Draw(t, "ohm"))
	})
	for i := range rapid.IntRange(1, 5).Draw(t, "modules") {
		d.lengths = append(d.lengths, rapid.Float64Range(0.5, 30).Draw(t, "length"))
		d.parents = append(d.parents, rapid.IntRange(-1, i-1).Draw(t, "parent"))
		d.loads = append(d.loads, [2]string{load.Draw(t, "sensor"), load.Draw(t, "actuator")})
		d.runs = append(d.runs, rapid.Float64Range(0.5, 15).Draw(t, "run"))
	}
	return d
}

// text writes the machine file; order lists the modules in the order of their declaration.
func (d *drawn) text(order []int) string {
	types, devices, modules, feeds := "", "", "", ""
	for _, i := range order {
		types += fmt.Sprintf("    k%d: {kind: guard-lock, loads: {e: {circuit: sensor, min: 18 V, max: 30 V, %s}, c: {circuit: actuator, pull_in: 17 V, %s, inrush: {capacitance: 22 uF}}}}\n", i, d.loads[i][0], d.loads[i][1])
		devices += fmt.Sprintf("  d%d: {type: k%d}\n", i, i)
		modules += fmt.Sprintf("  m%d: {type: m, ports: {1: {device: d%d, cable: {type: sensor, length: %v m}}}}\n", i, i, d.runs[i])
		from := "sensor: {from: q1}, actuator: {from: q2}"
		if d.parents[i] >= 0 {
			from = fmt.Sprintf("from: m%d", d.parents[i])
		}
		feeds += fmt.Sprintf("    f%d: {%s, to: m%d, cable: {type: power, length: %v m}}\n", i, from, i, d.lengths[i])
	}
	source := ""
	if d.source > 0 {
		source = fmt.Sprintf(", source_resistance: %v ohm", d.source)
	}
	return fmt.Sprintf(`
format: 1
machine: Random
ambient: {min: 5 °C, max: 40 °C}
types:
  connectors: {m12: {contacts: 5, rating: 4 A, contact_resistance: 5 mohm}, plug: {contacts: 5, rating: 16 A, contact_resistance: 3 mohm}}
  cables:
    power: {cores: 4, section: 1.5 mm2, ends: [plug, plug]}
    sensor: {cores: 5, section: 0.34 mm2, resistance: 57 ohm/km, ends: [m12, m12]}
  supplies: {ps: {min: 23 V, max: 25 V, rated: 20 A, limit: 60 A%s}}
  protections:
    q: {kind: electronic, rated: 10 A, resistance: 5 mohm, trip: [{current: 12 A, time: 200 ms}, {current: 25 A, time: 20 ms}], hold: [{current: 11 A, time: 1 h}, {current: 20 A, time: 15 ms}]}
    fuse: {kind: electronic, rated: 1.5 A, trip: [{current: 3 A, time: 10 ms}], hold: [{current: 2 A, time: 1 h}]}
  modules:
    m: {power_in: plug, power_out: plug, pass_resistance: 4 mohm, common_zero_volt: %v, sensor_limit: 8 A, ports: {1: {connector: m12, limit: 1.5 A, fuse: fuse, actuator_fuse: fuse, shared_return: %v}}}
  devices:
%sdevices:
%smodules:
%spower:
  supplies: {ps1: {type: ps}}
  protections: {q1: {type: q, from: ps1}, q2: {type: q, from: ps1}}
  feeds:
%s`, source, d.shared, d.shared, types, devices, modules, feeds)
}

func (d *drawn) compute(t *rapid.T) *Result {
	order := make([]int, len(d.parents))
	for i := range order {
		order[i] = i
	}
	return d.computeIn(t, order)
}

func (d *drawn) computeIn(t *rapid.T, order []int) *Result {
	m, err := model.Load(fstest.MapFS{"machine.yaml": {Data: []byte(d.text(order))}}, "machine.yaml")
	require.NoError(t, err)
	r, err := Compute(context.Background(), m, Options{})
	require.NoError(t, err)
	return r
}

// voltages lists the voltage at every load in a case; NaN where there is none.
func voltages(r *Result, c Case) (out []float64) {
	for _, d := range r.Devices {
		for _, l := range d.Loads {
			v := math.NaN()
			if l.Points[c].Solved {
				v = float64(l.Points[c].Voltage)
			}
			out = append(out, v)
		}
	}
	return out
}

// notAbove requires that no voltage of b is above that of a; where a has no operating point, b has none.
func notAbove(t *rapid.T, a, b []float64, what string) {
	for i := range a {
		if math.IsNaN(a[i]) {
			require.True(t, math.IsNaN(b[i]), what)
		}
		if !math.IsNaN(b[i]) {
			require.LessOrEqual(t, b[i], a[i]+1e-9, what)
		}
	}
}

func TestMoreLoadNeverRaisesAVoltage(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := draw(t)
		before := d.compute(t)
		i, c := rapid.IntRange(0, len(d.loads)-1).Draw(t, "at"), rapid.IntRange(0, 1).Draw(t, "circuit")
		for k := range d.loads { // constant currents and powers: a resistive load eases when others draw more
			for j := range 2 {
				if d.loads[k][j][0] == 'r' && d.shared {
					return
				}
			}
		}
		var x float64
		switch _, err := fmt.Sscanf(d.loads[i][c], "current: %f A", &x); {
		case err == nil:
			d.loads[i][c] = fmt.Sprintf("current: %.3f A", x+rapid.Float64Range(0.01, 0.4).Draw(t, "more"))
		default:
			if _, err := fmt.Sscanf(d.loads[i][c], "power: %f W", &x); err == nil {
				d.loads[i][c] = fmt.Sprintf("power: %.2f W", x+rapid.Float64Range(0.1, 8).Draw(t, "more"))
			} else {
				_, err := fmt.Sscanf(d.loads[i][c], "resistance: %f ohm", &x)
				require.NoError(t, err)
				d.loads[i][c] = fmt.Sprintf("resistance: %.1f ohm", x*0.7)
			}
		}
		after := d.compute(t)
		for _, k := range []Case{Lowest, HighestLoaded, Nominal} {
			notAbove(t, voltages(before, k), voltages(after, k), k.String())
		}
	})
}

func TestLongerCableNeverRaisesVoltageNorFaultCurrent(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := draw(t)
		for i := range d.loads { // a resistive load behind the longer cable draws less and so eases the others
			for c := range d.loads[i] {
				if d.loads[i][c][0] == 'r' {
					d.loads[i][c] = "power: 7 W"
				}
			}
		}
		before := d.compute(t)
		i := rapid.IntRange(0, len(d.lengths)-1).Draw(t, "feed")
		d.lengths[i] += rapid.Float64Range(0.1, 20).Draw(t, "longer")
		after := d.compute(t)
		for _, k := range []Case{Lowest, Nominal} {
			notAbove(t, voltages(before, k), voltages(after, k), k.String())
		}
		for k := range before.Feeds {
			for j := range before.Feeds[k].Circuits {
				a, b := before.Feeds[k].Circuits[j].Run.Fault, after.Feeds[k].Circuits[j].Run.Fault
				require.LessOrEqual(t, b.Current, a.Current)
				require.LessOrEqual(t, *b.Largest, *a.Largest)
			}
		}
	})
}

func TestOrderOfDeclarationDoesNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := draw(t)
		order := make([]int, len(d.parents))
		for i := range order {
			order[i] = len(order) - 1 - i
		}
		a, b := d.compute(t), d.computeIn(t, rapid.Permutation(order).Draw(t, "order"))
		require.Equal(t, figuresOf(a), figuresOf(b))
	})
}

// kirchhoff solves a drawn installation by plain repetition of Kirchhoff's laws, conductor by conductor, in the case
// Lowest: nothing of it is shared with the library but the numbers of the machine file. It returns the voltages at the
// loads, sensor and actuator circuit of each device.
func (d *drawn) kirchhoff(t *rapid.T) [][2]float64 {
	const hot = 304.5 / 254.5
	n := len(d.parents)
	core := make([]float64, n) // of a feed, with two contacts
	wire := make([]float64, n) // of a device cable, with two contacts
	for i := range n {
		core[i] = 0.0133*hot*d.lengths[i] + 0.006
		wire[i] = 0.057*hot*d.runs[i] + 0.010
		if d.parents[i] >= 0 {
			core[i] += 0.004 // through the module
		}
	}
	draws := func(text string, v float64) float64 {
		var x float64
		if _, err := fmt.Sscanf(text, "current: %f A", &x); err == nil {
			return x
		}
		if _, err := fmt.Sscanf(text, "power: %f W", &x); err == nil {
			return x / v
		}
		_, err := fmt.Sscanf(text, "resistance: %f ohm", &x)
		require.NoError(t, err)
		return v / x
	}
	v := make([][2]float64, n)
	for i := range v {
		v[i] = [2]float64{23, 23}
	}
	for range 300 {
		into := make([][2]float64, n) // currents into the modules
		var total [2]float64
		for i := n - 1; i >= 0; i-- { // parents come before children
			for c := range 2 {
				into[i][c] += draws(d.loads[i][c], v[i][c])
				if p := d.parents[i]; p >= 0 {
					into[p][c] += into[i][c]
				} else {
					total[c] += into[i][c]
				}
			}
		}
		top := 23 - d.source*(total[0]+total[1])
		plus, back := make([][2]float64, n), make([][2]float64, n)
		for i := range n {
			for c := range 2 {
				above, below := top-0.005*total[c], 0.0
				if p := d.parents[i]; p >= 0 {
					above, below = plus[p][c], back[p][c]
				}
				plus[i][c] = above - core[i]*into[i][c]
				back[i][c] = below + core[i]*into[i][c]
				if d.shared {
					back[i][c] = below + core[i]/2*(into[i][0]+into[i][1])
				}
			}
			own := [2]float64{draws(d.loads[i][0], v[i][0]), draws(d.loads[i][1], v[i][1])}
			for c := range 2 {
				returned := own[c]
				if d.shared {
					returned = own[0] + own[1]
				}
				v[i][c] = plus[i][c] - wire[i]*own[c] - back[i][c] - wire[i]*returned
			}
		}
	}
	return v
}

// The whole computation, from the machine file to the voltage at the load, agrees with Kirchhoff's laws.
func TestAgreesWithKirchhoff(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := draw(t)
		r := d.compute(t)
		for _, n := range r.Networks {
			if n.Operation[Lowest].Status != Solved || n.Operation[Lowest].Collapse != nil && n.Operation[Lowest].Collapse.Lower < 1.1 {
				return // repetition does not settle next to the collapse
			}
		}
		want := d.kirchhoff(t)
		for i, device := range r.Devices {
			require.Len(t, device.Loads, 2)
			for _, l := range device.Loads {
				c := 0
				if l.Load.Circuit == model.Actuator {
					c = 1
				}
				require.InDelta(t, want[i][c], float64(l.Points[Lowest].Voltage), 1e-9, l.Load.Path)
			}
		}
	})
}

// figuresOf lists every check of a result in full.
func figuresOf(r *Result) (out []string) {
	r.visit(func(place *model.Origin, c model.Circuit, name string, check figures) bool {
		v := reflect.ValueOf(check).Elem()
		text := fmt.Sprint(place.Path, c, name, check.status())
		for _, field := range []string{"Value", "Limit", "Margin"} {
			if f := v.FieldByName(field); f.IsValid() {
				text += fmt.Sprintf(" %v", f.Float())
			}
		}
		out = append(out, text)
		return true
	})
	return out
}

// The sign of a margin agrees with the status, limits and margins are figures, and nothing is silently absent.
func TestMarginsAndStatusesAgree(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		count := 0
		draw(t).compute(t).visit(func(place *model.Origin, c model.Circuit, name string, check figures) bool {
			count++
			v := reflect.ValueOf(check).Elem()
			if margin := v.FieldByName("Margin"); margin.IsValid() && check.status().Decided() {
				require.False(t, math.IsNaN(margin.Float()) || math.IsInf(margin.Float(), 0), "%s %s", place.Path, name)
				require.Equal(t, check.status() == Within, margin.Float() >= 0, "%s %s", place.Path, name)
				require.NotEmpty(t, v.FieldByName("Limits").String(), "%s %s", place.Path, name)
			}
			if !check.status().Decided() {
				require.NotEmpty(t, v.FieldByName("Why").String(), "%s %s: a missing figure has a reason", place.Path, name)
			}
			return true
		})
		require.Positive(t, count)
	})
}

// The same machine gives the same result, also from several goroutines.
func TestSameMachineSameResult(t *testing.T) {
	m, err := model.Build(plant(20, true))
	require.NoError(t, err)
	want := figuresOf(compute(t, m))
	done := make(chan []string)
	for range 4 {
		go func() {
			r, err := Compute(context.Background(), m, Options{})
			if err != nil {
				done <- nil
				return
			}
			done <- figuresOf(r)
		}()
	}
	for range 4 {
		require.Equal(t, want, <-done)
	}
}

func TestCancelledContext(t *testing.T) {
	m, err := model.Build(plant(20, false))
	require.NoError(t, err)
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err = Compute(ctx, m, Options{})
	require.ErrorIs(t, err, context.Canceled)
}
