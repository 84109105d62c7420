package logic

import (
	"errors"
	"fmt"
	"io"
	"strings"
)

// explicit is a system and a property as plain state variables and assignments, for other provers. It is derived from the
// expressions, not from the gates: every past-time operator gets memory of its own, integers stay integers.
type explicit struct {
	state   []stateVar
	inputs  []stateVar
	lines   []assignment // in order of evaluation
	next    []string     // by state variable: the name that holds its next value
	assume  []string
	hit     string
	comment []string
}

type stateVar struct {
	name    string
	integer bool
	r       span
	init    int64
}

type assignment struct {
	name    string
	integer bool
	expr    string
}

// dialect writes expressions of one language.
type dialect interface {
	boolean(v bool) string
	number(n int64) string
	apply(o op, args ...string) string // Boolean and integer operations; opIf for both kinds
}

// explain turns the property's question about the system into explicit form.
func (s *System) explain(p Property, d dialect, without []string) (*explicit, error) {
	as, err := s.active(without)
	if err := errors.Join(s.Err(), p.check(s), err); err != nil {
		return nil, err
	}
	roots := p.roots()
	for _, a := range as {
		roots = append(roots, a.expr)
	}
	w := &explainer{m: newInterp(s, roots, nil), s: s, d: d, x: &explicit{}}
	for _, id := range w.m.order {
		w.node(id)
	}
	for _, l := range w.m.latchs {
		w.setNext("m"+num(s.g.latches[l].node), "t"+num(s.g.latches[l].next))
	}
	if w.started != "" {
		w.setNext(w.started, w.d.boolean(true))
	}
	for _, a := range as {
		w.x.assume = append(w.x.assume, "t"+num(a.expr))
		w.x.comment = append(w.x.comment, fmt.Sprintf("assumption %s: t%d", a.name, a.expr))
	}
	w.x.hit = w.hit(p)
	w.x.comment = append(w.x.comment, "property "+p.Name)
	return w.x, nil
}

func num(n int32) string { return fmt.Sprint(n) }

type explainer struct {
	m       *interp
	s       *System
	d       dialect
	x       *explicit
	started string
}

func (w *explainer) hit(p Property) string {
	e := "t" + num(p.expr.id)
	switch p.kind {
	case reachProperty:
		return e
	case whenProperty:
		return w.d.apply(opAnd, "t"+num(p.when.id), w.d.apply(opNot, e))
	}
	return w.d.apply(opNot, e)
}

func (w *explainer) setNext(state, value string) {
	for i := range w.x.state {
		if w.x.state[i].name == state {
			w.x.next[i] = value
		}
	}
}

func (w *explainer) memory(name string, integer bool, r span, init int64) string {
	w.x.state = append(w.x.state, stateVar{name: name, integer: integer, r: r, init: init})
	w.x.next = append(w.x.next, "")
	return name
}

func (w *explainer) input(id int32) string {
	at, _ := w.s.g.signalOf(id)
	name := "i" + num(id)
	w.x.inputs = append(w.x.inputs, stateVar{name: name, integer: w.s.g.nodes[id].op.integer(), r: w.s.g.domain(id)})
	w.x.comment = append(w.x.comment, name+" is "+w.s.g.signals[at].name)
	return name
}

func (w *explainer) node(id int32) {
	g := w.s.g
	n := &g.nodes[id]
	expr := ""
	f, faulty := w.m.faults[id]
	switch {
	case faulty && f.Kind == Free, n.op == opInput, n.op == opIntInput:
		if faulty && f.Kind != Free {
			expr = w.d.boolean(f.Kind == StuckTrue)
		} else {
			expr = w.input(id)
		}
	case faulty:
		expr = w.d.boolean(f.Kind == StuckTrue)
	case n.op == opLatch, n.op == opIntLatch:
		expr = w.memory("m"+num(id), n.op == opIntLatch, g.domain(id), g.latches[n.a].init)
	case n.op.past():
		expr = w.past(id, n)
	default:
		expr = w.plain(id, n)
	}
	w.x.lines = append(w.x.lines, assignment{name: "t" + num(id), integer: n.op.integer(), expr: expr})
	if at, ok := g.signalOf(id); ok {
		w.x.comment = append(w.x.comment, fmt.Sprintf("t%d is %s", id, g.signals[at].name))
	}
}

func (w *explainer) plain(id int32, n *node) string {
	a, b, c := "t"+num(n.a), "t"+num(n.b), "t"+num(n.c)
	switch n.op {
	case opConst:
		return w.d.boolean(n.a == 1)
	case opIntConst:
		return w.d.number(w.s.g.ranges[n.rng].lo)
	case opSignal, opIntSignal:
		return a
	case opNot:
		return w.d.apply(opNot, a)
	case opIf, opIntIf:
		return w.d.apply(opIf, a, b, c)
	case opIntClamp:
		r := w.s.g.span(id)
		lo, hi := w.d.number(r.lo), w.d.number(r.hi)
		return w.d.apply(opIf, w.d.apply(opLess, a, lo), lo, w.d.apply(opIf, w.d.apply(opLess, hi, a), hi, a))
	}
	return w.d.apply(n.op, a, b)
}

// past gives a past-time operator its memory: "m" and the node, with the next value in a line "n" and the node.
func (w *explainer) past(id int32, n *node) string {
	d := w.d
	x := "t" + num(n.a)
	k := int64(n.b)
	if n.op >= opWithin {
		return w.counted(id, n, x, k)
	}
	m := w.memory("m"+num(id), false, span{0, 1}, bit(n.op == opHist))
	keep := x
	expr := m
	switch n.op {
	case opRose:
		expr = d.apply(opAnd, d.apply(opAnd, x, d.apply(opNot, m)), w.notFirst())
	case opFell:
		expr = d.apply(opAnd, d.apply(opNot, x), m)
	case opBegan:
		expr = d.apply(opAnd, x, d.apply(opNot, m))
	case opOnce:
		expr = d.apply(opOr, x, m)
		keep = expr
	case opHist:
		expr = d.apply(opAnd, x, m)
		keep = expr
	case opSince:
		expr = d.apply(opOr, "t"+num(n.b), d.apply(opAnd, x, m))
		keep = expr
	}
	w.line("n"+num(id), false, keep)
	w.setNext(m, "n"+num(id))
	return expr
}

func (w *explainer) line(name string, integer bool, expr string) string {
	w.x.lines = append(w.x.lines, assignment{name: name, integer: integer, expr: expr})
	return name
}

// counted gives Within the steps since its argument was last true, Held the steps that it has held, and Pulse the steps left.
func (w *explainer) counted(id int32, n *node, x string, k int64) string {
	d := w.d
	zero, one, top := d.number(0), d.number(1), d.number(k)
	init := int64(0)
	if n.op == opWithin {
		init = k
	}
	m := w.memory("m"+num(id), true, span{0, k}, init)
	up := d.apply(opIf, d.apply(opLess, m, top), d.apply(opIntAdd, m, one), top)
	var next, expr string
	switch n.op {
	case opWithin:
		next = w.line("n"+num(id), true, d.apply(opIf, x, zero, up))
		expr = d.apply(opLess, next, top)
	case opHeld:
		next = w.line("n"+num(id), true, d.apply(opIf, x, up, zero))
		expr = d.apply(opLessEq, top, next)
	default:
		was := w.memory("w"+num(id), false, span{0, 1}, 0)
		w.setNext(was, x)
		rise := w.line("r"+num(id), false, d.apply(opAnd, d.apply(opAnd, x, d.apply(opNot, was)), w.notFirst()))
		runs := d.apply(opLess, zero, m)
		next = w.line("n"+num(id), true, d.apply(opIf, runs, d.apply(opIntSub, m, one), d.apply(opIf, rise, d.number(k-1), zero)))
		expr = d.apply(opOr, runs, rise)
	}
	w.setNext(m, next)
	return expr
}

func (w *explainer) notFirst() string {
	if w.started == "" {
		w.started = w.memory("started", false, span{0, 1}, 0)
	}
	return w.started
}

// printer collects what is written and the first error of the writer.
type printer struct {
	w   io.Writer
	err error
}

func (p *printer) f(format string, args ...any) {
	if p.err == nil {
		_, p.err = fmt.Fprintf(p.w, format, args...)
	}
}

// oneLine keeps names from breaking out of a comment.
func oneLine(s string) string {
	return strings.NewReplacer("\n", " ", "\r", " ", "*/", "* /").Replace(s)
}
