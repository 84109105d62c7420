package search

// visited is the set of states seen: a bitmap for few latches, a hash set for more.
type visited struct {
	bitmap []uint64
	slots  []uint64 // state + 1, 0 empty
	used   int
	top    bool // the state of all ones, whose successor is 0, has been seen
}

func (s *Searcher) visited(latches int) visited {
	if latches <= bitmapLatches && !s.noBitmap {
		if n := 1<<latches/64 + 1; len(s.bitmap) < n {
			s.bitmap = make([]uint64, n)
		}
		return visited{bitmap: s.bitmap}
	}
	if s.slots == nil {
		s.slots = make([]uint64, 1<<12)
	}
	return visited{slots: s.slots}
}

// release hands the memory back, emptied.
func (v *visited) release(r *run) {
	if v.bitmap != nil {
		for _, st := range r.states {
			v.bitmap[st>>6] = 0
		}
		return
	}
	if len(v.slots) > 1<<17 {
		v.slots = make([]uint64, 1<<12)
	}
	clear(v.slots)
	r.s.slots = v.slots
}

// insert adds a state and tells whether it is new.
func (v *visited) insert(state uint64) bool {
	if v.bitmap != nil {
		w, b := state>>6, uint64(1)<<(state&63)
		if v.bitmap[w]&b != 0 {
			return false
		}
		v.bitmap[w] |= b
		return true
	}
	if state+1 == 0 {
		was := v.top
		v.top = true
		return !was
	}
	mask := uint64(len(v.slots) - 1)
	i := mix(state) & mask
	for v.slots[i] != 0 {
		if v.slots[i] == state+1 {
			return false
		}
		i = (i + 1) & mask
	}
	v.slots[i] = state + 1
	if v.used++; 2*v.used > len(v.slots) {
		v.grow()
	}
	return true
}

func mix(x uint64) uint64 {
	x ^= x >> 31
	x *= 0x9e3779b97f4a7c15
	x ^= x >> 29
	return x
}

func (v *visited) grow() {
	old := v.slots
	v.slots = make([]uint64, 2*len(old))
	mask := uint64(len(v.slots) - 1)
	for _, s := range old {
		if s != 0 {
			i := mix(s-1) & mask
			for v.slots[i] != 0 {
				i = (i + 1) & mask
			}
			v.slots[i] = s
		}
	}
}
