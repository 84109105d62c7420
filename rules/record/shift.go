package record

import "github.com/guardwright/guardwright/calc/logic"

// stage holds cycles back until it is known what comes after them: to join values that were recorded later (lag), or to see
// whether a signal is about to change (unsure).
type stage struct {
	cycle    int64
	size     int
	computed []bool // by column: recorded later; nil for unsure
	blurred  *int64
	held     []Cycle // one cycle each, oldest first
	last     []logic.Value
	emit     func(Cycle)
	buffers  *buffers
}

// push takes cycles in. So many equal ones that nothing else is held back any more go through as they are.
func (s *stage) push(c Cycle) {
	for i := range min(c.Times, int64(s.size)) {
		one := c
		one.Times, one.Time, one.Values = 1, c.Time+Time(i*s.cycle), s.buffers.clone(c.Values)
		if s.computed != nil {
			s.align(one)
		} else {
			s.blur(one)
		}
	}
	rest := c.Times - int64(s.size)
	if rest <= 0 {
		s.buffers.back(c.Values)
		return
	}
	c.Times = rest
	c.Time = s.held[0].Time
	for i := range s.held {
		s.held[i].Time += Time(rest * s.cycle)
	}
	s.emit(c)
}

// align gives the oldest cycle the values that were recorded so many cycles later.
func (s *stage) align(in Cycle) {
	if len(s.held) < s.size {
		s.held = append(s.held, in)
		return
	}
	out := s.shift(in)
	for i, later := range s.computed {
		if later {
			out.Values[i] = in.Values[i]
			if out.Lost {
				out.Values[i] = logic.Unknown
			}
		}
	}
	s.emit(out)
}

// blur makes a signal unknown in the cycles before a change of it.
func (s *stage) blur(in Cycle) {
	for i, v := range s.last {
		if v == in.Values[i] {
			continue
		}
		for j := range s.held {
			if s.held[j].Values[i] != logic.Unknown {
				s.held[j].Values[i] = logic.Unknown
				*s.blurred++
			}
		}
	}
	s.last = append(s.last[:0], in.Values...)
	if len(s.held) < s.size {
		s.held = append(s.held, in)
		return
	}
	s.emit(s.shift(in))
}

// shift takes the oldest cycle out and a new one in.
func (s *stage) shift(in Cycle) Cycle {
	out := s.held[0]
	copy(s.held, s.held[1:])
	s.held[len(s.held)-1] = in
	return out
}

// buffers are rows of values that are used again.
type buffers struct{ free [][]logic.Value }

func (b *buffers) clone(values []logic.Value) []logic.Value {
	if n := len(b.free); n > 0 {
		out := b.free[n-1]
		b.free = b.free[:n-1]
		copy(out, values)
		return out
	}
	return append(make([]logic.Value, 0, len(values)), values...)
}

func (b *buffers) back(values []logic.Value) {
	if values != nil {
		b.free = append(b.free, values)
	}
}
