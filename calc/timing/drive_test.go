package timing_test

import (
	"testing"

	"github.com/guardwright/guardwright/calc/timing"
	"github.com/stretchr/testify/assert"
)

func TestDrives(t *testing.T) {
	drives := map[string]*timing.Drive{}
	for _, d := range compute(t, machine(t, "drives.yaml"), timing.Input{}).Drives {
		drives[d.Drive.Name] = d
	}
	for name, want := range map[string]struct {
		ms    float64
		basis timing.Basis
	}{
		"stated":    {180, timing.StatedBasis},                 // 150 ms and 20 %
		"measured":  {150.7459666924148, timing.MeasuredBasis}, // ISO 13855:2010 annex D, from memory
		"few":       {149.86396103067893, timing.MeasuredBasis},
		"single":    {142, timing.MeasuredBasis},
		"monitored": {200, timing.MonitorBasis},
		"tired":     {160, timing.MonitorBasis},
		"ramped":    {300, timing.RampBasis},
		"coasting":  {4500, timing.CoastBasis}, // torque off after 0.5 s of a 1.2 s ramp: the axis coasts
	} {
		d := drives[name]
		assert.True(t, d.Stopping.Known, name)
		ms(t, want.ms, d.Stopping.Time, name)
		assert.Equal(t, want.basis, d.Basis, name)
		assert.NotEmpty(t, d.From, name)
	}
	assert.False(t, drives["lost"].Stopping.Known, "the power goes during the ramp, and nobody knows what then")
	assert.Contains(t, drives["lost"].Stopping.Why, "say run_down_time")
	assert.Contains(t, drives["nothing"].Stopping.Why, "say stopping_time")

	assert.Equal(t, timing.Within, drives["measured"].Readings.Status)
	assert.Equal(t, timing.Beyond, drives["few"].Readings.Status)
	assert.Equal(t, timing.Unknown, drives["stated"].Readings.Status)
	assert.Equal(t, timing.Within, drives["monitored"].Monitor.Status)
	assert.Equal(t, timing.Beyond, drives["tired"].Monitor.Status, "180 ms with wear will trip the monitor at 160 ms")
	assert.Equal(t, timing.NotApplicable, drives["stated"].Monitor.Status)
	assert.Equal(t, timing.Within, drives["ramped"].Removal.Status)
	assert.Equal(t, timing.Beyond, drives["coasting"].Removal.Status)
	assert.Equal(t, timing.Unknown, drives["stated"].Removal.Status)
	assert.False(t, drives["stated"].RunDown.Known)
	ms(t, 4500, drives["coasting"].RunDown.Time, "never less than the stop itself")
}
