package rules

import (
	"github.com/google/cel-go/common/types"
	"github.com/google/cel-go/common/types/ref"

	"github.com/guardwright/guardwright/calc/logic"
)

// symbol is the value of a part of a temporal expression: known before the proof, or an expression over the steps.
type symbol interface{}

type (
	// known is a value that does not change from step to step.
	known struct{ ref.Val }
	// truth is true or false in each step.
	truthSymbol struct{ logic.Bool }
	// number is a bounded whole number in each step.
	numberSymbol struct{ logic.Int }
	// choice is one of several words in each step: in each step exactly one of the guards is true.
	choiceSymbol []wordCase
	// listSymbol is a list whose elements are there or not in each step.
	listSymbol []*listItem
)

type wordCase struct {
	word  string
	guard logic.Bool
}

type listItem struct {
	// guard tells in which steps the element is there; nil: always.
	guard *logic.Bool
	value symbol
}

// truthOf returns a truth value.
func (t *translator) truthOf(x symbol) (logic.Bool, bool) {
	switch x := x.(type) {
	case truthSymbol:
		return x.Bool, true
	case known:
		if b, ok := x.Val.(types.Bool); ok {
			if b {
				return t.sys.True(), true
			}
			return t.sys.False(), true
		}
	}
	return logic.Bool{}, false
}

// greatestNumber bounds the whole numbers of a proof, as those of counters are bounded in a machine file: sums of them then
// stay within what package logic can count.
const greatestNumber = 1_000_000

// numberOf returns a whole number.
func (t *translator) numberOf(x symbol) (logic.Int, bool) {
	switch x := x.(type) {
	case numberSymbol:
		return x.Int, true
	case known:
		if n, ok := x.Val.(types.Int); ok && n >= -greatestNumber && n <= greatestNumber {
			return t.sys.IntConst(int64(n)), true
		}
	}
	return logic.Int{}, false
}

// choiceOf returns a word.
func (t *translator) choiceOf(x symbol) (choiceSymbol, bool) {
	switch x := x.(type) {
	case choiceSymbol:
		return x, true
	case known:
		if s, ok := x.Val.(types.String); ok {
			return choiceSymbol{{string(s), t.sys.True()}}, true
		}
	}
	return nil, false
}

// listOf returns a list.
func listOf(x symbol) (listSymbol, bool) {
	switch x := x.(type) {
	case listSymbol:
		return x, true
	case known:
		if x.Val.Type() != types.ListType {
			return nil, false
		}
		var out listSymbol
		for v := range elements(x.Val) {
			out = append(out, &listItem{value: known{v}})
		}
		return out, true
	}
	return nil, false
}

// guardOf is the condition under which an element is there.
func (t *translator) guardOf(i *listItem) logic.Bool {
	if i.guard == nil {
		return t.sys.True()
	}
	return *i.guard
}

// merge is x where the condition holds, else y.
func (t *translator) merge(cond logic.Bool, x, y symbol) (symbol, bool) {
	if a, ok := t.truthOf(x); ok {
		b, ok := t.truthOf(y)
		return truthSymbol{t.sys.If(cond, a, b)}, ok
	}
	if a, ok := t.numberOf(x); ok {
		b, ok := t.numberOf(y)
		return numberSymbol{t.sys.IfInt(cond, a, b)}, ok
	}
	if a, ok := t.choiceOf(x); ok {
		b, ok := t.choiceOf(y)
		return t.mergeWords(cond, a, b), ok
	}
	if a, ok := listOf(x); ok {
		b, ok := listOf(y)
		return t.mergeLists(cond, a, b), ok
	}
	return nil, false
}

func (t *translator) mergeWords(cond logic.Bool, x, y choiceSymbol) choiceSymbol {
	var out choiceSymbol
	add := func(cases choiceSymbol, when logic.Bool) {
		for _, c := range cases {
			guard, i := t.sys.And(when, c.guard), out.index(c.word)
			if i < 0 {
				out = append(out, wordCase{c.word, guard})
			} else {
				out[i].guard = t.sys.Or(out[i].guard, guard)
			}
		}
	}
	add(x, cond)
	add(y, t.sys.Not(cond))
	return out
}

func (c choiceSymbol) index(word string) int {
	for i := range c {
		if c[i].word == word {
			return i
		}
	}
	return -1
}

// mergeLists joins two lists: each element is there in the steps in which its list is.
func (t *translator) mergeLists(cond logic.Bool, x, y listSymbol) listSymbol {
	shared := 0
	for shared < len(x) && shared < len(y) && x[shared] == y[shared] {
		shared++
	}
	out := append(listSymbol(nil), x[:shared]...)
	add := func(items listSymbol, when logic.Bool) {
		for _, i := range items {
			guard := t.sys.And(when, t.guardOf(i))
			out = append(out, &listItem{&guard, i.value})
		}
	}
	add(x[shared:], cond)
	add(y[shared:], t.sys.Not(cond))
	return out
}

// equal tells where two values are the same; ok is false where they can't be compared.
func (t *translator) equal(x, y symbol) (logic.Bool, bool) {
	if a, ok := t.truthOf(x); ok {
		b, ok := t.truthOf(y)
		if !ok {
			return logic.Bool{}, false
		}
		return t.sys.Iff(a, b), true
	}
	if a, ok := t.numberOf(x); ok {
		b, ok := t.numberOf(y)
		if !ok {
			return logic.Bool{}, false
		}
		return t.sys.Equal(a, b), true
	}
	a, ok := t.choiceOf(x)
	b, both := t.choiceOf(y)
	if !ok || !both {
		return logic.Bool{}, false
	}
	same := t.sys.False()
	for _, c := range a {
		if i := b.index(c.word); i >= 0 {
			same = t.sys.Or(same, t.sys.And(c.guard, b[i].guard))
		}
	}
	return same, true
}

// isFalse tells whether a value is known to be false.
func isFalse(x symbol) bool {
	k, ok := x.(known)
	return ok && k.Val == types.False
}
