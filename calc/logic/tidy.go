package logic

// tidy makes a trace easier to read without making it longer: an input that doesn't matter rests at its lowest value for the
// whole run, and one that does changes as late as it can. Every change is tried with the interpreter, and kept only where the
// property is still answered in the last step and in none before, under all assumptions.
type tidy struct {
	m      *interp
	p      Property
	as     []assumption
	values [][]int64 // by step and signal
	work   int       // node evaluations left
}

// tidyWork bounds the node evaluations spent on one trace; a longer trace stays as it was found from there on.
const tidyWork = 1 << 20

// inputsOf returns the signals that the interpreter takes from outside, with their lowest values.
func (s *System) inputsOf(m *interp) (signals []int32, lowest []int64) {
	for _, id := range m.order {
		f, faulty := m.faults[id]
		o := s.g.nodes[id].op
		if faulty && f.Kind == Free || !faulty && (o == opInput || o == opIntInput) {
			at, _ := s.g.signalOf(id)
			signals = append(signals, at)
			lowest = append(lowest, s.g.domain(id).lo)
		}
	}
	return signals, lowest
}

func (t *tidy) run(signals []int32, lowest []int64) {
	for i, at := range signals {
		old := make([]int64, len(t.values))
		for step := range t.values {
			old[step] = t.values[step][at]
			t.values[step][at] = lowest[i]
		}
		if t.good() {
			continue
		}
		for step := range t.values {
			t.values[step][at] = old[step]
		}
		before := lowest[i]
		for step := range t.values {
			if v := t.values[step][at]; v != before {
				if t.values[step][at] = before; !t.good() {
					t.values[step][at] = v
				}
			}
			before = t.values[step][at]
		}
	}
}

// good replays the run.
func (t *tidy) good() bool {
	if t.work -= len(t.m.order) * len(t.values); t.work < 0 {
		return false
	}
	t.m.reset()
	for step := range t.values {
		t.m.run(func(signal int32) int64 { return t.values[step][signal] })
		for _, a := range t.as {
			if t.m.vals[a.expr] != 1 {
				return false
			}
		}
		if t.p.hit(t.m.vals) != (step == len(t.values)-1) {
			return false
		}
	}
	return true
}
