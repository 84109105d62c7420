package model

// SignalState is a signal with the value that it has in some state.
type SignalState struct {
	Signal string
	Value  bool
}

// InOrder lists the signals of a device that together say that it asks for no stop: an emergency stop is not pressed, a guard
// is closed, a light curtain is free. It is nil for a device that asks for no stop by its kind, and for kinds of a file's own,
// whose signals only their makers can read.
func (d *Device) InOrder() []SignalState {
	if d.Type == nil || d.Type.Kind == nil {
		return nil
	}
	switch d.Type.Kind.Name {
	case "emergency-stop":
		return []SignalState{{"pressed", false}}
	case "rope-pull":
		return []SignalState{{"pulled", false}}
	case "panel":
		return []SignalState{{"stop", false}}
	case "guard-switch", "guard-lock":
		return []SignalState{{"closed", true}}
	case "light-curtain", "laser-scanner", "pressure-mat":
		return []SignalState{{"clear", true}}
	case "two-hand-control":
		return []SignalState{{"left", true}, {"right", true}}
	case "enabling-device":
		return []SignalState{{"enabled", true}, {"squeezed", false}}
	case "hold-to-run":
		return []SignalState{{"held", true}}
	case "standstill-monitor":
		return []SignalState{{"standstill", true}}
	case "speed-monitor":
		return []SignalState{{"below_limit", true}}
	case "trapped-key":
		return []SignalState{{"present", true}}
	}
	return nil
}
