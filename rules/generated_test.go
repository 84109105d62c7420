package rules

import (
	"fmt"
	"os"
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/guardwright/guardwright/model"
)

// GeneratedPlant is a plant of so many modules with eight devices each, in lines of six modules behind a breaker of their
// own. Every hundredth device is a lock with a lamp that is too much for its port.
func GeneratedPlant(t testing.TB, modules int) *model.Machine {
	t.Helper()
	base, err := model.Load(os.DirFS("../testdata/rules"), "small.yaml")
	require.NoError(t, err)
	d := base.Description()
	io := d.Types.Modules["io"]
	io.Ports = map[string]model.PortType{"1-8": {Contacts: 5, Inputs: 2, Limit: model.Amps(1.5)}}
	d.Types.Modules["io"] = io
	s := d.Types.Supplies["s"]
	s.Rated, s.Limit = model.Amps(40), model.Amps(48)
	d.Types.Supplies["s"] = s
	d.Devices, d.Modules = map[string]model.DeviceSpec{}, map[string]model.ModuleSpec{}
	d.Power.Supplies, d.Power.Protections, d.Power.Feeds = map[string]model.SupplySpec{}, map[string]model.ProtectionSpec{}, map[string]model.FeedSpec{}
	for i := range modules {
		name := fmt.Sprintf("m%d", i)
		module := model.ModuleSpec{Type: "io", Zone: "left", Ports: map[string]model.PortSpec{}}
		for p := range 8 {
			device := fmt.Sprintf("d%d_%d", i, p)
			kind := "switch"
			if (i*8+p)%100 == 99 {
				kind = "lock"
			}
			d.Devices[device] = model.DeviceSpec{Type: kind}
			module.Ports[fmt.Sprint(p+1)] = model.PortSpec{Device: device,
				Cable: &model.CableRunSpec{Type: "w", Length: model.Metres(float64(2 + (i+3*p)%25))}}
		}
		d.Modules[name] = module
		feed := model.FeedSpec{To: name, Cable: &model.CableRunSpec{Type: "w", Length: model.Metres(3)}}
		if i%6 == 0 {
			supply, breaker := fmt.Sprintf("ps%d", i/6), fmt.Sprintf("q%d", i/6)
			d.Power.Supplies[supply] = model.SupplySpec{Type: "s"}
			d.Power.Protections[breaker] = model.ProtectionSpec{Type: "b", From: supply}
			feed.Sensor = &model.FeedCircuitSpec{From: breaker}
		} else {
			feed.From = fmt.Sprintf("m%d", i-1)
		}
		d.Power.Feeds[fmt.Sprintf("f%d", i)] = feed
	}
	m, err := model.Build(d)
	require.NoError(t, err)
	return m
}
