package logic

import (
	"context"
	"encoding/binary"
	"errors"
	"fmt"
)

// Explore answers one property by plain breadth-first search over single states, with the interpreter and every input
// vector in turn. It shares no code with the engines of [Prove] and exists to check them; it is right for small systems only.
// maxSteps bounds the number of evaluated steps (state times input vector); beyond it the verdict is Undecided.
func Explore(ctx context.Context, s *System, p Property, maxSteps int, without ...string) (Result, error) {
	as, err := s.active(without)
	if err := errors.Join(s.Err(), p.check(s), err); err != nil {
		return Result{}, err
	}
	r := Result{Property: p.Name, Assumptions: assumptionNames(as), Faults: faultNames(s.faults), Method: "plain search"}
	e := newExplorer(s, p, as)
	vectors, ok := e.vectors(maxSteps)
	if !ok {
		r.Reason = fmt.Sprintf("more than %d input vectors in each step", maxSteps)
		return r, nil
	}
	e.search(ctx, &r, vectors, maxSteps)
	return r, nil
}

type explorer struct {
	s      *System
	p      Property
	as     []assumption
	m      *interp
	free   []int32 // signals set from outside
	vector []int64 // their values, by signal
	pre    []int32
	seen   []bool // by precondition
	states []exploredState
	index  map[string]int
}

type exploredState struct {
	mem    []int64
	first  bool
	parent int
	vector int // that led here
}

func newExplorer(s *System, p Property, as []assumption) *explorer {
	e := &explorer{s: s, p: p, as: as, pre: p.preconditions(s.g), index: map[string]int{}}
	roots := append(p.roots(), e.pre...)
	for _, a := range as {
		roots = append(roots, a.expr)
	}
	e.m = newInterp(s, roots, nil)
	e.seen = make([]bool, len(e.pre))
	for _, id := range e.m.order {
		if s.kindOf(e.m, id) == InputSignal {
			if f, faulty := e.m.faults[id]; faulty && f.Kind != Free {
				continue
			}
			at, _ := s.g.signalOf(id)
			e.free = append(e.free, at)
		}
	}
	e.vector = make([]int64, len(s.g.signals))
	return e
}

// vectors counts the input vectors of one step.
func (e *explorer) vectors(limit int) (int, bool) {
	n := uint64(1)
	for _, at := range e.free {
		n *= e.s.g.domain(e.s.g.signals[at].node).size()
		if n > uint64(limit) {
			return 0, false
		}
	}
	return int(n), true
}

// set makes input vector v the present one.
func (e *explorer) set(v int) {
	for _, at := range e.free {
		d := e.s.g.domain(e.s.g.signals[at].node)
		e.vector[at] = d.lo + int64(uint64(v)%d.size())
		v = int(uint64(v) / d.size())
	}
}

func (e *explorer) enter(mem []int64, first bool, parent, vector int) {
	key := make([]byte, 0, 8*len(mem)+1)
	for _, v := range mem {
		key = binary.LittleEndian.AppendUint64(key, uint64(v))
	}
	if first {
		key = append(key, 1)
	}
	if _, old := e.index[string(key)]; old {
		return
	}
	e.index[string(key)] = len(e.states)
	e.states = append(e.states, exploredState{mem: append([]int64(nil), mem...), first: first, parent: parent, vector: vector})
}

func (e *explorer) search(ctx context.Context, r *Result, vectors, maxSteps int) {
	e.enter(e.m.init, true, -1, 0)
	steps, allowed := 0, false
	for at := 0; at < len(e.states); at++ {
		if ctx.Err() != nil {
			r.Reason = "cancelled"
			return
		}
		if steps += vectors; steps > maxSteps {
			r.Reason = fmt.Sprintf("more than %d evaluated steps", maxSteps)
			return
		}
		for v := range vectors {
			if !e.try(at, v) {
				continue
			}
			allowed = true
			if e.p.hit(e.m.vals) {
				e.answer(r, at, v)
				return
			}
			e.enter(e.m.mem, false, at, v)
		}
	}
	r.States = len(e.states)
	r.Verdict, r.Reason = e.s.unbroken(e.p, allowed, e.seen)
}

// try evaluates one step and tells whether the assumptions allow it.
func (e *explorer) try(at, v int) bool {
	st := &e.states[at]
	copy(e.m.mem, st.mem)
	e.m.step = 1
	if st.first {
		e.m.step = 0
	}
	e.set(v)
	e.m.run(func(sig int32) int64 { return e.vector[sig] })
	for _, a := range e.as {
		if e.m.vals[a.expr] != 1 {
			return false
		}
	}
	for i, id := range e.pre {
		e.seen[i] = e.seen[i] || e.m.vals[id] == 1
	}
	return true
}

func (e *explorer) answer(r *Result, at, v int) {
	path := []int{v}
	for ; e.states[at].parent >= 0; at = e.states[at].parent {
		path = append(path, e.states[at].vector)
	}
	r.Verdict = Refuted
	if e.p.kind == reachProperty {
		r.Verdict = Reached
	}
	r.States, r.Steps, r.Shortest = len(e.states), len(path), true
	last := -1
	r.Trace = e.s.record(e.m, nil, len(path), func(step int, sig int32) int64 {
		if step != last {
			e.set(path[len(path)-1-step])
			last = step
		}
		return e.vector[sig]
	})
}

// unbroken is the verdict when all reachable steps were looked at and none answered the question. seen tells by precondition
// whether it held in some step.
func (s *System) unbroken(p Property, allowed bool, seen []bool) (Verdict, string) {
	if p.kind == reachProperty {
		if !allowed {
			return Unreachable, "the assumptions allow not even a first step"
		}
		return Unreachable, ""
	}
	if !allowed {
		return Vacuous, "the assumptions allow not even a first step"
	}
	for i, ok := range seen {
		if !ok && len(seen) == 1 {
			return Vacuous, "its precondition never holds"
		} else if !ok {
			return Vacuous, fmt.Sprintf("the precondition of its part %d never holds", i+1)
		}
	}
	return Proved, ""
}
