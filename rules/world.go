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
	network  networkIndex
	timing   timingIndex
	distance distanceIndex
	// functions are the safety functions that a device triggers.
	functions map[*model.Device][]*model.Function
	unread    []*objectValue // objects whose fields are still to be read

	// Objects and their values are cut from blocks: a large plant has a hundred thousand of them.
	objects []objectValue
	values  []ref.Val
}

// block is the number of objects or values that are made at once.
const block = 1024

// usedFields are the indices of the fields in use, by name of the kind.
type usedFields map[string]map[int]bool

func newWorld(l *language, m *model.Machine, r *calc.Results, used usedFields) *world {
	for _, k := range l.order {
		k.objects = map[any]*objectValue{}
		k.slots = make([]int, len(k.fields))
		for i := range k.fields {
			k.slots[i] = -1
			if used[k.name][i] {
				k.slots[i] = len(k.read)
				k.read = append(k.read, i)
			}
		}
	}
	w := &world{language: l, machine: m, results: r, power: indexPower(r.Power), network: indexNetwork(m, r.Network),
		timing: indexTiming(r.Timing), distance: indexDistance(m, r.Distance), functions: map[*model.Device][]*model.Function{}}
	for _, f := range m.Functions {
		for _, d := range f.Demand {
			w.functions[d] = append(w.functions[d], f)
		}
	}
	return w
}

// all returns the objects of a kind, in the machine's order.
func (w *world) all(k *kind) []*objectValue {
	subjects := k.all(w)
	if len(k.objects) == 0 {
		k.objects = make(map[any]*objectValue, len(subjects))
	}
	out := make([]*objectValue, len(subjects))
	for i, s := range subjects {
		out[i] = w.object(k.name, s).(*objectValue)
	}
	w.fill()
	return out
}

// object returns the one object for a subject. Its fields are read by the next [world.fill].
func (w *world) object(kind string, subject any) ref.Val {
	k := w.language.kinds[kind]
	if o, ok := k.objects[subject]; ok {
		return o
	}
	if len(w.objects) == cap(w.objects) {
		w.objects = make([]objectValue, 0, block)
	}
	w.objects = append(w.objects, objectValue{kind: k, subject: subject})
	o := &w.objects[len(w.objects)-1]
	k.objects[subject] = o
	w.unread = append(w.unread, o)
	return o
}

// fill reads the fields in use of all objects that were reached, and of those reached from them.
func (w *world) fill() {
	for len(w.unread) > 0 {
		o := w.unread[len(w.unread)-1]
		w.unread = w.unread[:len(w.unread)-1]
		o.values = w.cut(len(o.kind.read))
		for slot, i := range o.kind.read {
			o.values[slot] = o.kind.fields[i].get(w, o.subject)
		}
	}
}

// cut returns n values of a block.
func (w *world) cut(n int) []ref.Val {
	if len(w.values) < n {
		w.values = make([]ref.Val, max(n, block))
	}
	cut := w.values[:n:n]
	w.values = w.values[n:]
	return cut
}
