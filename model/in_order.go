package model

// SignalState is a signal with the value that it has in some state.
type SignalState struct {
	Signal string
	Value  bool
}

// InOrder lists the signals of a device that together say that it demands nothing, with the values that they then have: an
// emergency stop is not pressed, a guard is closed, a light curtain is clear. It is empty for a kind that states no signal
// that changes on a demand.
func (d *Device) InOrder() []SignalState {
	if d.Type == nil || d.Type.Kind == nil {
		return nil
	}
	var out []SignalState
	for _, name := range d.Type.Kind.TrueOnDemand {
		out = append(out, SignalState{name, false})
	}
	for _, name := range d.Type.Kind.FalseOnDemand {
		out = append(out, SignalState{name, true})
	}
	return out
}
