package logic

import "fmt"

func (s *System) intOf(id int32) Int { return Int{g: s.g, id: id} }

func (s *System) useInt(x Int, where string) int32 {
	g := s.graph()
	if x.g == nil {
		g.fail("%s: an integer that was never built (zero Int)", where)
		return s.zeroInt()
	}
	if x.g != g {
		g.fail("%s: an integer of another system; build it from this system's inputs", where)
		return s.zeroInt()
	}
	return x.id
}

func (s *System) zeroInt() int32 {
	at, _ := s.g.rangeOf(span{0, 0}, "zero")
	return s.g.hashed(node{op: opIntConst, rng: at})
}

// IntConst is the constant n.
func (s *System) IntConst(n int64) Int {
	g := s.graph()
	at, ok := g.rangeOf(span{n, n}, "IntConst")
	if !ok {
		return s.intOf(s.zeroInt())
	}
	return s.intOf(g.hashed(node{op: opIntConst, rng: at}))
}

// IntInput declares an integer input, free within lo..hi in every step.
func (s *System) IntInput(name string, lo, hi int64) Int { return s.intInput(name, span{lo, hi}, nil) }

// EnumInput declares an input with one of the labels as its value: an integer 0, 1, ... in the order given. Compare it with
// [System.Is].
func (s *System) EnumInput(name string, labels ...string) Int {
	if !s.labelsOK(name, labels) {
		return s.intOf(s.zeroInt())
	}
	return s.intInput(name, span{0, int64(len(labels)) - 1}, labels)
}

func (s *System) labelsOK(name string, labels []string) bool {
	g := s.graph()
	if len(labels) == 0 {
		g.fail("enumeration %q has no values", name)
		return false
	}
	seen := map[string]bool{}
	for _, l := range labels {
		if l == "" || seen[l] {
			g.fail("enumeration %q: value %q is empty or given twice", name, l)
			return false
		}
		seen[l] = true
	}
	return true
}

func (s *System) intInput(name string, r span, labels []string) Int {
	g := s.graph()
	rng, ok := g.rangeOf(r, fmt.Sprintf("input %q", name))
	if !ok {
		return s.intOf(s.zeroInt())
	}
	at, ok := g.declare(name, append([]string(nil), labels...))
	if !ok {
		return s.intOf(s.zeroInt())
	}
	id := g.push(node{op: opIntInput, a: at, rng: rng})
	g.signals[at].node = id
	g.inputs = append(g.inputs, at)
	return s.intOf(id)
}

// IntLatch declares an integer memory within lo..hi with the value init in step 0; see [System.SetNextInt].
func (s *System) IntLatch(name string, lo, hi, init int64) Int {
	return s.intLatch(name, span{lo, hi}, init, nil)
}

// EnumLatch declares a memory with one of the labels as its value and the label init in step 0.
func (s *System) EnumLatch(name, init string, labels ...string) Int {
	if !s.labelsOK(name, labels) {
		return s.intOf(s.zeroInt())
	}
	for v, l := range labels {
		if l == init {
			return s.intLatch(name, span{0, int64(len(labels)) - 1}, int64(v), labels)
		}
	}
	s.g.fail("latch %q: initial value %q is none of its values%s", name, init, didYouMean(init, labels))
	return s.intOf(s.zeroInt())
}

func (s *System) intLatch(name string, r span, init int64, labels []string) Int {
	g := s.graph()
	rng, ok := g.rangeOf(r, fmt.Sprintf("latch %q", name))
	if !ok {
		return s.intOf(s.zeroInt())
	}
	if init < r.lo || init > r.hi {
		g.fail("latch %q: initial value %d is outside its range %d to %d", name, init, r.lo, r.hi)
		return s.intOf(s.zeroInt())
	}
	at, ok := g.declare(name, append([]string(nil), labels...))
	if !ok {
		return s.intOf(s.zeroInt())
	}
	id := g.push(node{op: opIntLatch, a: int32(len(g.latches)), rng: rng})
	g.signals[at].node = id
	g.latches = append(g.latches, latch{node: id, signal: at, init: init, next: noNode})
	return s.intOf(id)
}

// SetNextInt gives an integer latch its next value. The range of next must lie within the latch's; use [System.Clamp] to say
// that it saturates.
func (s *System) SetNextInt(latch, next Int) {
	g := s.graph()
	id, n := s.useInt(latch, "SetNextInt"), s.useInt(next, "SetNextInt")
	if g.nodes[id].op != opIntLatch {
		g.fail("SetNextInt: the first argument is no latch; only what IntLatch or EnumLatch returned has a next value")
		return
	}
	if want, got := g.span(id), g.span(n); !want.contains(got) {
		g.fail("latch %q holds %d to %d, but its next value can be %d to %d; widen the latch or clamp the value",
			g.signals[g.latches[g.nodes[id].a].signal].name, want.lo, want.hi, got.lo, got.hi)
		return
	}
	g.setNext(g.nodes[id].a, n)
}

// IntSignal names an integer expression, as [System.Signal] does for a Boolean one. Labels, where given, name the values
// 0, 1, ... in sequences.
func (s *System) IntSignal(name string, e Int, labels ...string) Int {
	g := s.graph()
	arg := s.useInt(e, fmt.Sprintf("IntSignal %q", name))
	at, ok := g.declare(name, append([]string(nil), labels...))
	if !ok {
		return s.intOf(arg)
	}
	id := g.push(node{op: opIntSignal, a: arg, b: at, rng: g.nodes[arg].rng})
	g.signals[at].node = id
	return s.intOf(id)
}

// Add is x+y, exact: the range of the sum is the sum of the ranges.
func (s *System) Add(x, y Int) Int {
	a, b := s.useInt(x, "Add"), s.useInt(y, "Add")
	ra, rb := s.g.span(a), s.g.span(b)
	return s.intBinary(opIntAdd, a, b, span{ra.lo + rb.lo, ra.hi + rb.hi}, "Add")
}

// Sub is x-y, exact.
func (s *System) Sub(x, y Int) Int {
	a, b := s.useInt(x, "Sub"), s.useInt(y, "Sub")
	ra, rb := s.g.span(a), s.g.span(b)
	return s.intBinary(opIntSub, a, b, span{ra.lo - rb.hi, ra.hi - rb.lo}, "Sub")
}

func (s *System) intBinary(o op, a, b int32, r span, where string) Int {
	rng, ok := s.g.rangeOf(r, where)
	if !ok {
		return s.intOf(s.zeroInt())
	}
	return s.intOf(s.g.hashed(node{op: o, a: a, b: b, rng: rng}))
}

// Clamp is x, but lo where x is less and hi where x is more.
func (s *System) Clamp(x Int, lo, hi int64) Int {
	a := s.useInt(x, "Clamp")
	rng, ok := s.g.rangeOf(span{lo, hi}, "Clamp")
	if !ok {
		return s.intOf(s.zeroInt())
	}
	return s.intOf(s.g.hashed(node{op: opIntClamp, a: a, rng: rng}))
}

// AddSat is x+y, saturating at lo and hi.
func (s *System) AddSat(x, y Int, lo, hi int64) Int { return s.Clamp(s.Add(x, y), lo, hi) }

// IfInt is x where cond is true, else y.
func (s *System) IfInt(cond Bool, x, y Int) Int {
	c, a, b := s.use(cond, "IfInt"), s.useInt(x, "IfInt"), s.useInt(y, "IfInt")
	ra, rb := s.g.span(a), s.g.span(b)
	rng, ok := s.g.rangeOf(span{min(ra.lo, rb.lo), max(ra.hi, rb.hi)}, "IfInt")
	if !ok {
		return s.intOf(s.zeroInt())
	}
	return s.intOf(s.g.hashed(node{op: opIntIf, a: c, b: a, c: b, rng: rng}))
}

// Equal is true where x and y have the same value.
func (s *System) Equal(x, y Int) Bool { return s.compare(opEqual, x, y, "Equal") }

// Less is x < y.
func (s *System) Less(x, y Int) Bool { return s.compare(opLess, x, y, "Less") }

// LessEq is x <= y.
func (s *System) LessEq(x, y Int) Bool { return s.compare(opLessEq, x, y, "LessEq") }

func (s *System) compare(o op, x, y Int, where string) Bool {
	a, b := s.useInt(x, where), s.useInt(y, where)
	return s.boolOf(s.g.hashed(node{op: o, a: a, b: b}))
}

// Is is true where the enumeration x (an EnumInput, EnumLatch, or labelled IntSignal) has the value named label.
func (s *System) Is(x Int, label string) Bool {
	g := s.graph()
	id := s.useInt(x, "Is")
	labels := g.labelsOf(id)
	for v, l := range labels {
		if l == label {
			return s.Equal(s.intOf(id), s.IntConst(int64(v)))
		}
	}
	if labels == nil {
		g.fail("Is %q: the integer is no enumeration", label)
	} else {
		g.fail("Is %q: no such value%s", label, didYouMean(label, labels))
	}
	return s.boolOf(0)
}

// Range returns the bounds of x, or 0, -1 for the zero Int.
func (x Int) Range() (lo, hi int64) {
	if x.g == nil {
		return 0, -1
	}
	r := x.g.span(x.id)
	return r.lo, r.hi
}

func (g *graph) labelsOf(id int32) []string {
	if at, ok := g.signalOf(id); ok {
		return g.signals[at].labels
	}
	return nil
}

// signalOf returns the signal that the node declares, if it is an input, a latch or a named net.
func (g *graph) signalOf(id int32) (int32, bool) {
	switch n := &g.nodes[id]; n.op {
	case opInput, opIntInput:
		return n.a, true
	case opLatch, opIntLatch:
		return g.latches[n.a].signal, true
	case opSignal, opIntSignal:
		return n.b, true
	}
	return 0, false
}
