package logic

import "math/bits"

// words evaluates past-time formulas over recorded signals for 64 steps at a time: time runs along the bits of a word. Each
// value has two rails, where it must be true and where it may be; on each rail every operator is the two-valued one, with the
// rails exchanged under a negation. As long as all values are known the rails are equal and only one is computed. The state
// between blocks is that of the interpreter, so that both can take turns.
//
// That p since q is the carry of one addition, and a window a logarithmic number of shifts, is an idea of our own making on
// well-known arithmetic.
type words struct {
	m    *interp
	ops  []wordOp
	rail [2][][]uint64 // by rail and node; a column without gaps is used where it stands
	own  [2][][]uint64 // by rail and node: memory for what is computed
	bit  [2][]uint64   // by rail and slot: the remembered value, of operators that remember one
	age  [2][]int64    // by rail and slot: the remembered number of steps, of windows
	ones []uint64
}

type wordOp struct {
	op      op
	id      int32
	a, b, c int32
	k       int64
	slot    int32
	column  int32  // + 1, 0 none
	na, nb  uint64 // all ones where an argument is taken complemented
}

// blockWords is the number of words that one operator works on before the next: enough to spread the cost of choosing it, few
// enough to stay in the cache.
const blockWords = 64

const (
	must = 0
	may  = 1
)

// newWords returns nil where the formulas need more than past-time operators over recorded signals.
func newWords(m *Monitor) *words {
	w := &words{m: m.m, ones: make([]uint64, blockWords)}
	for i := range w.ones {
		w.ones[i] = ^uint64(0)
	}
	for _, id := range m.m.order {
		n := m.s.g.nodes[id]
		o := wordOp{op: n.op, id: id, a: n.a, b: n.b, c: n.c, k: int64(n.b), slot: m.m.slot[id]}
		_, faulty := m.m.faults[id]
		at, named := m.s.g.signalOf(id)
		switch {
		case faulty, n.op.integer(), n.op == opPulse, n.op == opEqual, n.op == opLess, n.op == opLessEq:
			return nil
		case m.m.cut[id]:
			o.op, o.column = opInput, m.place[at]
		case n.op == opLatch:
			return nil
		case named && n.op == opInput:
			o.column = 0
		}
		if n.op != opInput && n.op != opConst && !m.m.cut[id] {
			o.a, o.na = w.bare(m.s.g, o.a)
			if o.op == opAnd || o.op == opOr || o.op == opImplies || o.op == opSince {
				o.b, o.nb = w.bare(m.s.g, o.b)
			}
		}
		w.ops = append(w.ops, o)
	}
	w.leaveOut(m)
	for r := range w.rail {
		w.rail[r], w.own[r] = make([][]uint64, len(m.s.g.nodes)), make([][]uint64, len(m.s.g.nodes))
		for _, o := range w.ops {
			w.own[r][o.id] = make([]uint64, blockWords)
			w.rail[r][o.id] = w.own[r][o.id]
		}
		w.bit[r] = make([]uint64, len(m.m.mem))
		w.age[r] = make([]int64, len(m.m.mem))
	}
	return w
}

// bare looks through negations and names; the result is complemented where the mask is all ones.
func (w *words) bare(g *graph, id int32) (int32, uint64) {
	neg := uint64(0)
	for {
		n := &g.nodes[id]
		_, faulty := w.m.faults[id]
		switch {
		case faulty || w.m.cut[id]:
			return id, neg
		case n.op == opNot:
			neg = ^neg
		case n.op != opSignal:
			return id, neg
		}
		id = n.a
	}
}

// leaveOut drops the operators that nothing needs any more.
func (w *words) leaveOut(m *Monitor) {
	needed := make([]bool, len(m.s.g.nodes))
	for i := range m.checks {
		for _, id := range m.checks[i].property.roots() {
			needed[id] = true
		}
	}
	kept := len(w.ops)
	for i := len(w.ops) - 1; i >= 0; i-- {
		o := w.ops[i]
		if !needed[o.id] {
			continue
		}
		kept--
		w.ops[kept] = o
		if o.op == opInput || o.op == opConst {
			continue
		}
		needed[o.a] = true
		switch o.op {
		case opIf:
			needed[o.b], needed[o.c] = true, true
		case opAnd, opOr, opXor, opImplies, opIff, opSince:
			needed[o.b] = true
		}
	}
	w.ops = w.ops[kept:]
}

// load takes the state over from the interpreter and tells whether all of it is known.
func (w *words) load() bool {
	known := true
	for _, o := range w.ops {
		if o.slot == noNode || !o.op.past() {
			continue
		}
		mem := w.m.mem[o.slot:]
		if o.op == opWithin || o.op == opHeld {
			w.age[must][o.slot], w.age[may][o.slot] = mem[0], mem[1]
			known = known && mem[0] == mem[1]
			continue
		}
		w.bit[must][o.slot], w.bit[may][o.slot] = uint64(bit(mem[0] == 1)), uint64(bit(mem[0] != 0))
		known = known && mem[0] != unknown
	}
	return known
}

// store hands the state back.
func (w *words) store(exact bool) {
	for _, o := range w.ops {
		if o.slot == noNode || !o.op.past() {
			continue
		}
		other := may
		if exact {
			other = must
		}
		mem := w.m.mem[o.slot:]
		if o.op == opWithin || o.op == opHeld {
			mem[0], mem[1] = w.age[must][o.slot], w.age[other][o.slot]
			continue
		}
		switch {
		case w.bit[must][o.slot] == 1:
			mem[0] = 1
		case w.bit[other][o.slot] == 0:
			mem[0] = 0
		default:
			mem[0] = unknown
		}
	}
}

// chunk is a run of at most blockWords words; all are full but the last, which has tail bits.
type chunk struct {
	first int // word of the columns
	n     int
	tail  uint
	start bool // holds step 0 of the run
}

// run evaluates a chunk. With exact, all values are known and only the must rail is filled.
func (w *words) run(c chunk, columns []Bits, exact bool) {
	for i := range w.ops {
		o := &w.ops[i]
		if exact {
			w.eval(o, must, must, c, columns)
			continue
		}
		if o.op.past() { // both rails need the state before
			old := [2]uint64{w.bit[must][o.slot], w.bit[may][o.slot]}
			w.eval(o, must, may, c, columns)
			now := w.bit[must][o.slot]
			w.bit[must][o.slot] = old[must]
			w.eval(o, may, must, c, columns)
			w.bit[must][o.slot] = now
			continue
		}
		w.eval(o, must, may, c, columns)
		w.eval(o, may, must, c, columns)
	}
}

// eval computes one rail of one operator; other is the rail that its negations read.
func (w *words) eval(o *wordOp, rail, other int, c chunk, columns []Bits) {
	out := w.own[rail][o.id][:c.n]
	if o.op == opInput {
		w.rail[rail][o.id] = input(o, rail, c, columns, out)
		return
	}
	if o.op == opConst {
		for i := range out {
			out[i] = -uint64(o.a)
		}
		return
	}
	a, na := w.argument(o.a, o.na, rail, other, c.n)
	switch o.op {
	case opSignal:
		for i := range out {
			out[i] = a[i] ^ o.na
		}
	case opNot:
		for i := range out {
			out[i] = ^na[i] ^ o.na
		}
	case opIf:
		x, y := w.rail[rail][o.b][:c.n], w.rail[rail][o.c][:c.n]
		for i := range out {
			out[i] = (a[i]^o.na)&x[i] | ^(na[i]^o.na)&y[i] | x[i]&y[i]
		}
	case opAnd, opOr, opXor, opImplies, opIff:
		b, nb := w.argument(o.b, o.nb, rail, other, c.n)
		o.binary(out, a, na, b, nb)
	default:
		w.past(o, rail, other, c, out, a, na)
	}
}

// input returns a rail of a column, in out where it has to be computed. Bits beyond the tail may be anything.
func input(o *wordOp, rail int, c chunk, columns []Bits, out []uint64) []uint64 {
	if o.column == 0 { // not recorded
		for i := range out {
			out[i] = -uint64(rail)
		}
		return out
	}
	col := columns[o.column-1]
	if col.Unknown == nil {
		return col.True[c.first : c.first+c.n]
	}
	copy(out, col.True[c.first:c.first+c.n])
	gaps := col.Unknown[c.first : c.first+c.n]
	for i := range out {
		if rail == must {
			out[i] &^= gaps[i]
		} else {
			out[i] |= gaps[i]
		}
	}
	return out
}

// argument returns both rails of an argument, to be complemented by the mask: the complement reads the other rail.
func (w *words) argument(id int32, mask uint64, rail, other, n int) (x, nx []uint64) {
	x, nx = w.rail[rail][id][:n], w.rail[other][id][:n]
	if mask != 0 {
		return nx, x
	}
	return x, nx
}

func (o *wordOp) binary(out, a, na, b, nb []uint64) {
	ma, mb := o.na, o.nb
	switch o.op {
	case opAnd:
		for i := range out {
			out[i] = (a[i] ^ ma) & (b[i] ^ mb)
		}
	case opOr:
		for i := range out {
			out[i] = (a[i] ^ ma) | (b[i] ^ mb)
		}
	case opXor:
		for i := range out {
			out[i] = (a[i]^ma)&^nb[i] | b[i]&^(na[i]^ma)
		}
	case opIff:
		for i := range out {
			out[i] = (a[i]^ma)&b[i] | ^((na[i] ^ ma) | nb[i])
		}
	default: // opImplies
		for i := range out {
			out[i] = ^(na[i] ^ ma) | (b[i] ^ mb)
		}
	}
}

func (w *words) past(o *wordOp, rail, other int, c chunk, out, a, na []uint64) {
	mask := o.na
	switch o.op {
	case opPre:
		carry := w.bit[rail][o.slot]
		for i, x := range a {
			x ^= mask
			out[i] = x<<1 | carry
			carry = x >> 63
		}
	case opRose, opBegan:
		carry := w.bit[other][o.slot]
		for i, x := range a {
			nx := na[i] ^ mask
			out[i] = (x ^ mask) &^ (nx<<1 | carry)
			carry = nx >> 63
		}
		if o.op == opRose && c.start {
			out[0] &^= 1
		}
	case opFell:
		carry := w.bit[rail][o.slot]
		for i, x := range a {
			x ^= mask
			out[i] = (x<<1 | carry) &^ (na[i] ^ mask)
			carry = x >> 63
		}
	case opOnce:
		since(out, w.ones[:c.n], a, 0, mask, w.bit[rail][o.slot])
		a, mask = out, 0
	case opSince:
		b, _ := w.argument(o.b, o.nb, rail, other, c.n)
		since(out, a, b, mask, o.nb, w.bit[rail][o.slot])
		a, mask = out, 0
	case opHist:
		since(out, w.ones[:c.n], a, 0, ^mask, 1^w.bit[rail][o.slot])
		for i, x := range out {
			out[i] = ^x
		}
		a, mask = out, 0
	case opWithin:
		w.age[rail][o.slot] = window(out, a, mask, o.k, w.age[rail][o.slot], c.tail)
		return
	case opHeld:
		w.age[rail][o.slot] = window(out, a, ^mask, o.k, w.age[rail][o.slot], c.tail)
		for i, x := range out {
			out[i] = ^x
		}
		return
	}
	w.bit[rail][o.slot] = (a[c.n-1] ^ mask) >> (c.tail - 1) & 1
}

// since is p since q, each complemented by its mask: the carry of adding p|q and q, which q makes and p hands on.
func since(out, p, q []uint64, mp, mq, carry uint64) {
	for i := range out {
		y := q[i] ^ mq
		x := p[i] ^ mp | y
		s, _ := bits.Add64(x, y, carry)
		out[i] = y | x&(s^x^y)
		carry = out[i] >> 63
	}
}

// window tells for each bit whether x, complemented by the mask, is true there or in one of the k-1 bits before; age is the
// number of bits since it was last true before the first word, at most k. It returns the age after the last of the tail bits of
// the last word.
func window(out, x []uint64, mask uint64, k, age int64, tail uint) int64 {
	for i, v := range x {
		v ^= mask
		if i == len(x)-1 && tail < 64 {
			v &= 1<<tail - 1
		}
		out[i] = windowWord(v, k, age)
		n := int64(64)
		if i == len(x)-1 {
			n = int64(tail)
		}
		if v != 0 {
			age = n - int64(bits.Len64(v))
		} else {
			age += n
		}
		age = min(age, k)
	}
	return age
}

func windowWord(v uint64, k, age int64) uint64 {
	if k > 64 {
		out := uint64(0)
		if v != 0 {
			out = ^uint64(0) << bits.TrailingZeros64(v)
		}
		return out | ^(^uint64(0) << max(0, k-1-age))
	}
	if v == 0 && age >= k-1 {
		return 0
	}
	before := uint64(0)
	if age < 64 {
		before = 1 << (63 - age)
	}
	for width := int64(1); width < k && v != ^uint64(0); {
		s := min(width, k-width)
		v |= v<<(s&63) | before>>((64-s)&63)
		before |= before << (s & 63)
		width += s
	}
	return v
}
