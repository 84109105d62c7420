package logic

import (
	"bytes"
	"errors"
	"fmt"
	"io"

	"github.com/guardwright/guardwright/calc/logic/internal/aig"
)

// WriteAIGER writes the gates of one property's question in the binary AIGER format of 2007 (A. Biere, The AIGER And-Inverter
// Graph (AIG) Format, from memory), for the many hardware model checkers that read it: the one output can become true exactly
// where the property can be broken, or the goal reached. Latches start at 0 in that format, so that one that starts true is
// stored complemented; assumptions become a latch that is set once one of them has not been kept. Unlike [System.WriteHorn] and
// [System.WritePromela], which are derived from the expressions, this is what the prover itself works on.
func (s *System) WriteAIGER(w io.Writer, p Property, without ...string) error {
	as, err := s.active(without)
	if err := errors.Join(s.Err(), p.check(s), err); err != nil {
		return err
	}
	q := &prover{s: s, props: []Property{p}, as: as}
	q.compile()
	g := q.c.a
	out := q.target(p)
	if len(as) > 0 {
		kept, broken := aig.True, g.Latch(false)
		for _, l := range q.constraints() {
			kept = g.And(kept, l)
		}
		g.SetNext(broken, g.Or(broken, kept.Not()))
		out = g.And(out, g.And(kept, broken.Not()))
	}
	a := aigerFile{c: aig.NewSlicer(g).Cone([]aig.Lit{out}, nil)}
	a.write(q)
	_, err = w.Write(a.buf.Bytes())
	return err
}

// aigerFile writes a cone, whose nodes are numbered as the format wants them: inputs, latches, then gates behind their arguments.
type aigerFile struct {
	c   *aig.Cone
	buf bytes.Buffer
}

func (a *aigerFile) write(q *prover) {
	c := a.c
	fmt.Fprintf(&a.buf, "aig %d %d %d 1 %d\n", c.NumNodes()-1, len(c.Inputs), len(c.Latches), len(c.Ands))
	for i, next := range c.Next {
		fmt.Fprintf(&a.buf, "%d\n", a.lit(next).XorSign(c.Init[i]))
	}
	fmt.Fprintf(&a.buf, "%d\n", a.lit(c.Roots[0]))
	for i, and := range c.Ands {
		lhs, x, y := c.And(i), a.lit(and[0]), a.lit(and[1])
		if x < y {
			x, y = y, x
		}
		a.delta(uint32(lhs - x))
		a.delta(uint32(x - y))
	}
	for i, n := range c.Inputs {
		b := q.c.sourceOf(n)
		fmt.Fprintf(&a.buf, "i%d %s", i, oneLine(q.s.g.signals[b.signal].name))
		if q.s.g.nodes[q.s.g.signals[b.signal].node].op.integer() {
			fmt.Fprintf(&a.buf, " bit %d", b.bit)
		}
		a.buf.WriteByte('\n')
	}
	fmt.Fprintf(&a.buf, "o0 %s\n", oneLine(q.props[0].Name))
}

// lit is a literal in which latches that start true are complemented.
func (a *aigerFile) lit(l aig.Lit) aig.Lit {
	first := uint32(1 + len(a.c.Inputs))
	if at := l.Node() - first; l.Node() >= first && int(at) < len(a.c.Init) && a.c.Init[at] {
		return l.Not()
	}
	return l
}

// delta writes a number seven bits at a time, the lowest first.
func (a *aigerFile) delta(n uint32) {
	for ; n >= 1<<7; n >>= 7 {
		a.buf.WriteByte(byte(n) | 1<<7)
	}
	a.buf.WriteByte(byte(n))
}
