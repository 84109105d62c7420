package machinetest_test

import (
	"fmt"
	"io/fs"
	"os"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/guardwright/guardwright/calc/power"
	"github.com/guardwright/guardwright/examples/machinetest"
	"github.com/guardwright/guardwright/model"
)

// recorder notes what a test would have failed with.
type recorder struct {
	testing.TB
	said []string
}

func (r *recorder) Error(args ...any) { r.said = append(r.said, fmt.Sprint(args...)) }

func (r *recorder) Errorf(format string, args ...any) {
	r.said = append(r.said, fmt.Sprintf(format, args...))
}

// stopped is what Fatal panics with, so that the code under test ends there as it would in a test.
type stopped struct{}

func (r *recorder) Fatal(args ...any) {
	r.Error(args...)
	panic(stopped{})
}

func (r *recorder) Fatalf(format string, args ...any) {
	r.Errorf(format, args...)
	panic(stopped{})
}

// changed is the folder of the example with one text in one file replaced.
func changed(t *testing.T, file, from, to string) fs.FS {
	t.Helper()
	out := fstest.MapFS{}
	for _, name := range []string{"machine.yaml", "rules.yaml"} {
		data, err := os.ReadFile(name)
		require.NoError(t, err)
		if name == file {
			require.Contains(t, string(data), from)
			data = []byte(strings.Replace(string(data), from, to, 1))
		}
		out[name] = &fstest.MapFile{Data: data}
	}
	return out
}

// Each change of the machine that matters fails its test, with a line that says where and what.
func TestChangesAreNoticed(t *testing.T) {
	for _, test := range []struct{ name, file, from, to, want string }{
		{"new finding", "machine.yaml", "length: 10 m}}\npower", "length: 11 m}}\npower", `not expected: machine.yaml:29:54: warning: the cable of m1.3 is 11 m long [short-sensor-cables]`},
		{"finding gone", "machine.yaml", "length: 14 m", "length: 9 m", `missing: machine.yaml:28:1: "14 m long" [short-sensor-cables]`},
		{"other message", "machine.yaml", "length: 14 m", "length: 15 m", `missing: machine.yaml:28:1: "14 m long" [short-sensor-cables]`},
		{"other voltage", "machine.yaml", "section: 1.5 mm2", "section: 1 mm2", "m1.3, sensor circuit, case lowest: the voltage is 22.972 V, wanted 23.079 V within 1 mV"},
		{"no voltage there", "machine.yaml", "3: {device: field", "4: {device: field", "the device at port m1.3 draws nothing from the sensor circuit"},
		{"less margin", "machine.yaml", "current: 500 mA, min: 19.2 V", "current: 500 mA, min: 22 V", "field.electronics: 1.08 V is left above the 22 V that it needs, wanted 2 V"},
		{"undecided", "rules.yaml", "port.cable.length <= m(10)", "port.cable.length <= m(10) && port.set.channels == 2", "no answer: machine.yaml:26:"},
		{"bad machine", "machine.yaml", "to: m1", "to: m2", "the machine file has problems:\nmachine.yaml:23:3: modules.m1: no feed brings the supply to module m1"},
		{"bad rule", "rules.yaml", "port.cable.length <=", "port.cable.lenght <=", "the rule file has problems:\nrules.yaml:7:"},
		{"bad comment", "machine.yaml", `# want short-sensor-cables "14 m long"`, `# want "14 m long"`, "machine.yaml:28:1: found the text \"14 m long\", wanted the id of a rule before it"},
		{"not computed", "machine.yaml", "resistance: 57 ohm/km, ", "", "the supply could not be computed: "},
	} {
		t.Run(test.name, func(t *testing.T) {
			r := &recorder{TB: t}
			func() {
				defer func() {
					if x := recover(); x != nil && x != (stopped{}) {
						panic(x)
					}
				}()
				m := machinetest.Load(r, changed(t, test.file, test.from, test.to), "machine.yaml", "rules.yaml")
				m.Findings(r)
				m.VoltageAt(r, "m1.3", model.Sensor, power.Lowest, model.Volts(23.079), model.MilliVolts(1))
				m.Margin(r, model.Volts(2))
			}()
			assert.Contains(t, strings.Join(r.said, "\n"), test.want)
		})
	}
}
