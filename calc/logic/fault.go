package logic

import (
	"fmt"
	"strings"
)

// FaultKind is what a faulty signal does.
type FaultKind uint8

const (
	// NoFault is the zero value and is refused by WithFault.
	NoFault FaultKind = iota
	// StuckFalse holds the signal at false.
	StuckFalse
	// StuckTrue holds the signal at true.
	StuckTrue
	// Free lets the signal take any value in any step: an arbitrary failure, intermittent ones included.
	Free
)

// String returns the kind in words.
func (k FaultKind) String() string {
	switch k {
	case StuckFalse:
		return "stuck at false"
	case StuckTrue:
		return "stuck at true"
	case Free:
		return "free"
	}
	return "no fault"
}

// Fault overrides one named signal.
type Fault struct {
	Signal string
	Kind   FaultKind
}

// String returns the fault in words, as "es_1 stuck at true".
func (f Fault) String() string { return f.Signal + " " + f.Kind.String() }

// WithFault returns the system with the faults put in; the system itself is unchanged and nothing is built again. Every use
// of the named input, latch or net sees the fault, in the logic and in the properties alike. Where a property speaks of the
// true state (the button is pressed) and the fault lies in its reading (the contact is welded), make the reading a net of its
// own with [System.Signal], let the logic use the net and the property the input, and put the fault on the net.
//
// A stuck integer and a fault on an unknown signal are errors, as are two faults on one signal.
func (s *System) WithFault(faults ...Fault) (*System, error) {
	g := s.graph()
	out := &System{g: g, faults: append(append([]Fault(nil), s.faults...), faults...)}
	seen := map[string]bool{}
	for _, f := range out.faults {
		at, err := g.lookup(f.Signal)
		if err != nil {
			return nil, fmt.Errorf("fault %q: %w", f.Kind, err)
		}
		id := g.signals[at].node
		switch {
		case seen[f.Signal]:
			return nil, fmt.Errorf("two faults on signal %q; give one", f.Signal)
		case f.Kind != StuckFalse && f.Kind != StuckTrue && f.Kind != Free:
			return nil, fmt.Errorf("fault on signal %q has no kind; want StuckFalse, StuckTrue or Free", f.Signal)
		case g.nodes[id].op.integer() && f.Kind != Free:
			return nil, fmt.Errorf("signal %q is an integer; only Free is a fault of an integer", f.Signal)
		}
		seen[f.Signal] = true
	}
	return out, nil
}

// Faults returns the faults put in by WithFault.
func (s *System) Faults() []Fault { return append([]Fault(nil), s.faults...) }

func (s *System) faultMap() map[int32]Fault {
	if len(s.faults) == 0 {
		return nil
	}
	m := make(map[int32]Fault, len(s.faults))
	for _, f := range s.faults {
		m[s.g.signals[s.g.byName[f.Signal]].node] = f
	}
	return m
}

func faultNames(faults []Fault) []string {
	var names []string
	for _, f := range faults {
		names = append(names, strings.TrimSpace(f.String()))
	}
	return names
}
