package rules

import (
	"github.com/google/cel-go/common/types/ref"

	"github.com/guardwright/guardwright/calc"
	"github.com/guardwright/guardwright/model"
)

// world is a machine with its results as objects of the rule language. It is made for the fields that the rules at
// hand use, and not changed after that, so that goroutines may share it.
type world struct {
	language *language
	machine  *model.Machine
	results  *calc.Results
	power    powerIndex

	used    usedFields
	objects map[objectKey]*objectValue
	unread  []*objectValue // objects whose fields are still to be filled
}

// objectKey is the identity of an object: a pointer into the machine or its results, or a small comparable value.
type objectKey struct {
	kind    string
	subject any
}

// usedFields are the indices of the fields in use, by name of the kind.
type usedFields map[string]map[int]bool

func newWorld(l *language, m *model.Machine, r *calc.Results, used usedFields) *world {
	w := &world{language: l, machine: m, results: r, used: used, objects: map[objectKey]*objectValue{}}
	w.power = indexPower(r.Power)
	return w
}

// all returns the objects of a kind, in the machine's order.
func (w *world) all(k *kind) []*objectValue {
	subjects := k.all(w)
	out := make([]*objectValue, len(subjects))
	for i, s := range subjects {
		out[i] = w.object(k.name, s).(*objectValue)
	}
	w.fill()
	return out
}

// object returns the one object for a subject. Its fields are filled by the next [world.fill].
func (w *world) object(kind string, subject any) ref.Val {
	key := objectKey{kind, subject}
	if o, ok := w.objects[key]; ok {
		return o
	}
	k := w.language.kinds[kind]
	o := &objectValue{kind: k, subject: subject}
	w.objects[key] = o
	w.unread = append(w.unread, o)
	return o
}

// fill reads the fields in use of all objects that were reached, and of those reached from them.
func (w *world) fill() {
	for len(w.unread) > 0 {
		o := w.unread[len(w.unread)-1]
		w.unread = w.unread[:len(w.unread)-1]
		o.fields = make([]ref.Val, len(o.kind.fields))
		for i := range w.used[o.kind.name] {
			o.fields[i] = o.kind.fields[i].get(w, o.subject)
		}
	}
}
