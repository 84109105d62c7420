package logic

import (
	"fmt"
	"io"
	"strings"
)

// WritePromela writes the system and one property as a model for SPIN, an explicit-state model checker (G. Holzmann, The SPIN
// Model Checker, 2004; the language from memory). Its verifier finds an assertion violated exactly where [Prove] finds the
// property broken, or the goal reached. Run it with invalid end states switched off (pan -E): a step that no assumption
// allows ends there.
func (s *System) WritePromela(w io.Writer, p Property, without ...string) error {
	x, err := s.explain(p, promela{}, without)
	if err != nil {
		return err
	}
	out := &printer{w: w}
	for _, c := range x.comment {
		out.f("/* %s */\n", oneLine(c))
	}
	for _, v := range x.state {
		out.f("%s %s = %d;\n", promelaType(v.integer), v.name, v.init)
	}
	for _, v := range x.inputs {
		out.f("%s %s;\n", promelaType(v.integer), v.name)
	}
	for _, l := range x.lines {
		out.f("%s %s;\n", promelaType(l.integer), l.name)
	}
	out.f("active proctype machine() {\n\tdo\n\t:: atomic {\n")
	for _, v := range x.inputs {
		if v.integer {
			out.f("\t\tselect(%s : %d .. %d);\n", v.name, v.r.lo, v.r.hi)
		} else {
			out.f("\t\tif :: %s = 0 :: %s = 1 fi;\n", v.name, v.name)
		}
	}
	out.f("\t\tskip; /* a choice must not jump into the sequence below */\n\t\td_step {\n")
	for _, l := range x.lines {
		out.f("\t\t\t%s = %s;\n", l.name, l.expr)
	}
	out.f("\t\t\tskip\n\t\t};\n")
	for _, a := range x.assume {
		out.f("\t\t%s;\n", a)
	}
	out.f("\t\tassert(!(%s));\n\t\td_step {\n", x.hit)
	for i, v := range x.state {
		out.f("\t\t\t%s = %s;\n", v.name, x.next[i])
	}
	for _, v := range x.inputs {
		out.f("\t\t\t%s = 0;\n", v.name)
	}
	for _, l := range x.lines {
		out.f("\t\t\t%s = 0;\n", l.name)
	}
	out.f("\t\t\tskip\n\t\t}\n\t}\n\tod\n}\n")
	return out.err
}

func promelaType(integer bool) string {
	if integer {
		return "int"
	}
	return "bit"
}

type promela struct{}

func (promela) boolean(v bool) string { return fmt.Sprint(bit(v)) }

func (promela) number(n int64) string {
	if n < 0 {
		return fmt.Sprintf("(%d)", n)
	}
	return fmt.Sprint(n)
}

func (promela) apply(o op, a ...string) string {
	infix := map[op]string{opAnd: "&&", opOr: "||", opXor: "!=", opIff: "==", opEqual: "==", opLess: "<", opLessEq: "<=",
		opIntAdd: "+", opIntSub: "-"}
	switch o {
	case opNot:
		return "(!" + a[0] + ")"
	case opImplies:
		return "((!" + a[0] + ") || " + a[1] + ")"
	case opIf:
		return "(" + a[0] + " -> " + a[1] + " : " + a[2] + ")"
	}
	return "(" + strings.Join(a, " "+infix[o]+" ") + ")"
}
