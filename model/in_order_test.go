package model_test

import (
	"slices"
	"testing"

	"github.com/guardwright/guardwright/model"
)

// TestInOrder: the signals are those that the kind gives, and no kind that asks for a stop by what it is lacks them. Common
// practice, no source.
func TestInOrder(t *testing.T) {
	silent := []string{"mode-selector", "button", "muting-sensor", "lamp", "sounder", "contactor", "valve", "drive-input", "brake"}
	for name, kind := range model.BuiltinKinds() {
		d := model.Device{Type: &model.ResolvedDeviceType{Kind: &model.Kind{Origin: model.Origin{Name: name}, KindSpec: kind}}}
		states := d.InOrder()
		if (len(states) == 0) != slices.Contains(silent, name) {
			t.Errorf("%s: found %v", name, states)
		}
		for _, s := range states {
			if !slices.Contains(kind.Gives, s.Signal) {
				t.Errorf("%s gives no signal %s", name, s.Signal)
			}
			if stops := slices.Contains([]string{"pressed", "pulled", "stop"}, s.Signal); s.Value == stops {
				t.Errorf("%s: %s is %v without a demand", name, s.Signal, s.Value)
			}
		}
	}
	if states := (&model.Device{}).InOrder(); states != nil {
		t.Errorf("a device without a type: found %v", states)
	}
}
