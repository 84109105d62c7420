package machinetest_test

import (
	"os"
	"testing"

	"github.com/guardwright/guardwright/calc/power"
	"github.com/guardwright/guardwright/examples/machinetest"
	"github.com/guardwright/guardwright/model"
)

// TestMachine is all that a project writes.
//
// The expected voltage is worked out by hand, with copper at 70 °C, the limit of the insulation, by the coefficient of
// 0.00393 per kelvin (IEC 60228:2004 Annex B, from memory): factor 1.1965. Feed: 10 m of 1.5 mm², 13.3 ohm/km (IEC
// 60228:2004 Table 3, class 5, from memory), both ways: 0.3183 ohm. It carries 120 + 50 + 50 + 500 mA = 0.72 A: 0.2292 V
// are lost. Cable of the scanner: 10 m, 57 ohm/km, both ways: 1.3640 ohm, and two contacts of 5 mohm in each of two
// conductors: 0.02 ohm. It carries 0.5 A: 0.6920 V are lost. 24 V - 0.2292 V - 0.6920 V = 23.079 V. The tolerance is
// that of the rounding.
func TestMachine(t *testing.T) {
	m := machinetest.Load(t, os.DirFS("."), "machine.yaml", "rules.yaml")
	m.Findings(t)
	m.VoltageAt(t, "m1.3", model.Sensor, power.Lowest, model.Volts(23.079), model.MilliVolts(1))
	m.Margin(t, model.Volts(2))
}
