// Package machinetest keeps a machine file honest by go test: the file says itself which findings are known, and a test
// states the few values that the engineers watch. A change of a cable, a device or a rule that moves one of them fails
// the test, beside the controller's own project.
//
// The expectations stand where a reader of the machine file sees them, in comments:
//
//	3: {device: g3, cable: {type: sensor_cable, length: 14 m}}  # want short-sensor-cables "14 m long"
//
// Every finding needs such a comment on the line that it points to, and every comment its finding. Several expectations
// stand in one comment. The text in quotes must occur in the message; it may be left out.
//
// The file machine_test.go shows the use. Machine, parts and rules in the example are invented.
//
// # Caution
//
// A machine file that passes its test is unchanged in what was tested, no more. It supports, and does not replace, risk
// assessment, validation, the local codes and the judgement of a competent person.
package machinetest

import (
	"fmt"
	"io/fs"
	"math"
	"testing"

	"github.com/guardwright/guardwright/calc/power"
	"github.com/guardwright/guardwright/model"
	"github.com/guardwright/guardwright/rules"
)

// Machine is a machine under test.
type Machine struct {
	// Result is what the rules found, and with it everything that was computed.
	Result *rules.Result
	fsys   fs.FS
	file   string
}

// Load reads a machine file and the rule files of a folder and checks the machine. A problem in one of the files, or a
// supply that could not be computed, ends the test.
func Load(t testing.TB, fsys fs.FS, machine string, ruleFiles ...string) *Machine {
	t.Helper()
	m, err := model.Load(fsys, machine)
	if err != nil {
		t.Fatalf("the machine file has problems:\n%v", err)
	}
	var sets []*rules.Ruleset
	for _, name := range ruleFiles {
		set, err := rules.Load(fsys, name)
		if err != nil {
			t.Fatalf("the rule file has problems:\n%v", err)
		}
		sets = append(sets, set)
	}
	result, err := rules.Check(t.Context(), m, sets...)
	if err != nil {
		t.Fatal(err)
	}
	if result.Results.Power == nil {
		t.Fatalf("the supply could not be computed: %s", result.Results.PowerMissing)
	}
	return &Machine{Result: result, fsys: fsys, file: machine}
}

// Findings compares the findings with the comments in the machine file, and in the parts files in which findings
// stand. A rule that gave no answer fails the test as well: it did not pass. Accepted findings need no comment.
func (m *Machine) Findings(t testing.TB) {
	t.Helper()
	wants, err := m.wants()
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range m.Result.Findings {
		if f.Accepted != nil {
			continue
		}
		if !wants.take(f) {
			t.Errorf("not expected: %v", f)
		}
	}
	for _, w := range wants.left() {
		t.Errorf("missing: %v", w)
	}
	for _, u := range m.Result.Unanswered {
		t.Errorf("no answer: %v", u)
	}
}

// VoltageAt compares the voltage at the device of a port, such as m2.3, in one operating case.
func (m *Machine) VoltageAt(t testing.TB, port string, c model.Circuit, at power.Case, want, tolerance model.Voltage) {
	t.Helper()
	pc, err := m.port(port, c)
	if err != nil {
		t.Error(err)
		return
	}
	if !pc.Points[at].Solved {
		t.Errorf("%s, %s circuit: there is no voltage in the case %v", port, c, at)
		return
	}
	if got := pc.Points[at].Voltage; !(math.Abs(float64(got-want)) <= float64(tolerance)) {
		t.Errorf("%s, %s circuit, case %v: the voltage is %s, wanted %v within %v", port, c, at, got.Format(5), want, tolerance)
	}
}

// Margin fails unless every load keeps at least so much above the voltage that it needs. A load that could not be
// judged fails too; one that states no least voltage is left out.
func (m *Machine) Margin(t testing.TB, least model.Voltage) {
	t.Helper()
	for _, l := range m.loads() {
		c := l.Lowest
		switch {
		case c.Status == power.NoLimit || c.Status == power.NotApplicable:
		case !c.Status.Decided():
			t.Errorf("%s.%s: %v: %s", l.Owner.Origin().Name, l.Load.Name, c.Status, c.Why)
		case c.Margin < least:
			t.Errorf("%s.%s: %s is left above the %v that it needs, wanted %v", l.Owner.Origin().Name, l.Load.Name, c.Margin.Format(3), c.Limit, least)
		}
	}
}

func (m *Machine) loads() []*power.Load {
	var out []*power.Load
	r := m.Result.Results.Power
	for _, x := range r.Modules {
		out = append(out, x.Loads...)
	}
	for _, x := range r.Devices {
		out = append(out, x.Loads...)
	}
	for _, x := range r.Controllers {
		out = append(out, x.Loads...)
	}
	for _, x := range r.Switches {
		out = append(out, x.Loads...)
	}
	return out
}

// port finds a circuit at a port by module and port name with a dot between.
func (m *Machine) port(name string, c model.Circuit) (*power.PortCircuit, error) {
	for _, module := range m.Result.Results.Power.Modules {
		for _, p := range module.Ports {
			if module.Module.Name+"."+p.Port.Name != name {
				continue
			}
			for _, pc := range p.Circuits {
				if pc.Circuit == c {
					return pc, nil
				}
			}
			return nil, fmt.Errorf("the device at port %s draws nothing from the %s circuit", name, c)
		}
	}
	return nil, fmt.Errorf("the machine has no port %s", name)
}
