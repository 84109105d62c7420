package logic

import (
	"fmt"
	"io"
	"strings"
)

// WriteHorn writes the system and one property as constrained Horn clauses in the language of SMT-LIB 2 (from memory), for
// solvers such as Z3: sat means that the property is never broken, or the goal never reached; unsat means that it is.
func (s *System) WriteHorn(w io.Writer, p Property, without ...string) error {
	x, err := s.explain(p, smt{}, without)
	if err != nil {
		return err
	}
	out := &printer{w: w}
	x.comments(out)
	var sorts, names, inits []string
	for _, v := range x.state {
		sorts = append(sorts, smtSort(v.integer))
		names = append(names, v.name)
		inits = append(inits, v.smtValue(v.init))
	}
	out.f("(set-logic HORN)\n(declare-fun Inv (%s) Bool)\n", strings.Join(sorts, " "))
	out.f("(assert %s)\n", call("Inv", inits))
	quantified := binders(append(append([]stateVar(nil), x.state...), x.inputs...))
	before := append([]string{call("Inv", names)}, x.inputRanges()...)
	clause := func(premise []string, conclusion string) {
		body := fmt.Sprintf("(=> %s %s)", call("and", premise), conclusion)
		for i := len(x.lines) - 1; i >= 0; i-- {
			body = fmt.Sprintf("(let ((%s %s)) %s)", x.lines[i].name, x.lines[i].expr, body)
		}
		if quantified != "" {
			body = fmt.Sprintf("(forall (%s) %s)", quantified, body)
		}
		out.f("(assert %s)\n", body)
	}
	premise := append(before, x.assume...)
	clause(premise, call("Inv", x.next))
	clause(append(premise, x.hit), "false")
	out.f("(check-sat)\n")
	return out.err
}

// WriteUnrolled writes the question whether the property is broken, or the goal reached, in the last of so many steps and in
// none before, in the language of SMT-LIB 2: sat means yes.
func (s *System) WriteUnrolled(w io.Writer, p Property, steps int, without ...string) error {
	x, err := s.explain(p, smt{}, without)
	if err != nil {
		return err
	}
	if steps < 1 || steps > maxUnrolled {
		return fmt.Errorf("%d steps to unroll; want 1 to %d", steps, maxUnrolled)
	}
	out := &printer{w: w}
	x.comments(out)
	out.f("(set-logic ALL)\n")
	at := func(step int) func(string) string { return func(expr string) string { return x.index(expr, step) } }
	for step := range steps {
		in := at(step)
		for i, v := range x.state {
			value := v.smtValue(v.init)
			if step > 0 {
				value = at(step - 1)(x.next[i])
			}
			out.f("(define-fun %s () %s %s)\n", in(v.name), smtSort(v.integer), value)
		}
		for _, v := range x.inputs {
			out.f("(declare-const %s %s)\n", in(v.name), smtSort(v.integer))
		}
		for _, r := range x.inputRanges() {
			out.f("(assert %s)\n", in(r))
		}
		for _, l := range x.lines {
			out.f("(define-fun %s () %s %s)\n", in(l.name), smtSort(l.integer), in(l.expr))
		}
		for _, a := range x.assume {
			out.f("(assert %s)\n", in(a))
		}
		if step == steps-1 {
			out.f("(assert %s)\n", in(x.hit))
		} else {
			out.f("(assert (not %s))\n", in(x.hit))
		}
	}
	out.f("(check-sat)\n")
	return out.err
}

const maxUnrolled = 10_000

func (x *explicit) comments(out *printer) {
	for _, c := range x.comment {
		out.f("; %s\n", oneLine(c))
	}
}

// inputRanges bounds the integer inputs.
func (x *explicit) inputRanges() []string {
	var out []string
	for _, v := range x.inputs {
		if v.integer {
			out = append(out, fmt.Sprintf("(<= %s %s %s)", smt{}.number(v.r.lo), v.name, smt{}.number(v.r.hi)))
		}
	}
	return out
}

// index puts the step behind every variable of an expression. Variables are a letter and a number, or "started".
func (x *explicit) index(expr string, step int) string {
	var b strings.Builder
	for i := 0; i < len(expr); {
		j := i
		for j < len(expr) && expr[j] != ' ' && expr[j] != '(' && expr[j] != ')' {
			j++
		}
		word := expr[i:j]
		b.WriteString(word)
		if isVariable(word) {
			fmt.Fprintf(&b, "_%d", step)
		}
		if j < len(expr) {
			b.WriteByte(expr[j])
			j++
		}
		i = j
	}
	return b.String()
}

func isVariable(word string) bool {
	if word == "started" {
		return true
	}
	return len(word) > 1 && strings.ContainsRune("imnrtw", rune(word[0])) && word[1] >= '0' && word[1] <= '9'
}

func smtSort(integer bool) string {
	if integer {
		return "Int"
	}
	return "Bool"
}

func (v stateVar) smtValue(n int64) string {
	if v.integer {
		return smt{}.number(n)
	}
	return smt{}.boolean(n == 1)
}

func call(f string, args []string) string {
	switch {
	case len(args) == 0:
		return f
	case f == "and" && len(args) == 1:
		return args[0]
	}
	return "(" + f + " " + strings.Join(args, " ") + ")"
}

func binders(vars []stateVar) string {
	var b []string
	for _, v := range vars {
		b = append(b, fmt.Sprintf("(%s %s)", v.name, smtSort(v.integer)))
	}
	return strings.Join(b, " ")
}

type smt struct{}

func (smt) boolean(v bool) string { return fmt.Sprint(v) }

func (smt) number(n int64) string {
	if n < 0 {
		return fmt.Sprintf("(- %d)", -n)
	}
	return fmt.Sprint(n)
}

func (smt) apply(o op, a ...string) string {
	name := map[op]string{opNot: "not", opAnd: "and", opOr: "or", opXor: "xor", opImplies: "=>", opIff: "=", opIf: "ite",
		opEqual: "=", opLess: "<", opLessEq: "<=", opIntAdd: "+", opIntSub: "-"}
	return call(name[o], a)
}
