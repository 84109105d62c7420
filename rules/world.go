package rules

import (
	"runtime"
	"slices"
	"sync"

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
	// usedPorts are the network ports into which something is plugged.
	usedPorts map[model.LinkEnd]string
}

// block is the number of objects or values that are made at once: a large plant has a hundred thousand of them.
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
	if m.Network != nil {
		w.usedPorts = m.Network.UsedPorts()
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

// object returns the one object for a subject. Its fields are read by the next [world.fill]; goroutines of one fill may
// ask at the same time.
func (w *world) object(kind string, subject any) ref.Val {
	k := w.language.kinds[kind]
	k.lock.Lock()
	defer k.lock.Unlock()
	if !k.part {
		if o, ok := k.objects[subject]; ok {
			return o
		}
	}
	if len(k.made) == cap(k.made) {
		k.made = make([]objectValue, 0, block)
	}
	k.made = append(k.made, objectValue{kind: k, subject: subject})
	o := &k.made[len(k.made)-1]
	if !k.part {
		k.objects[subject] = o
	}
	k.unread = append(k.unread, o)
	return o
}

// fill reads the fields in use of all objects that were reached, and of those reached from them. Reading an object can
// reach others, so it goes in waves; the objects of a wave are shared out.
func (w *world) fill() {
	for {
		var wave []*objectValue
		for _, k := range w.language.order {
			wave = append(wave, k.unread...)
			k.unread = k.unread[:0]
		}
		if len(wave) == 0 {
			return
		}
		share := max(block, (len(wave)+runtime.GOMAXPROCS(0)-1)/runtime.GOMAXPROCS(0))
		var readers sync.WaitGroup
		for part := range slices.Chunk(wave, share) {
			readers.Go(func() { w.read(part) })
		}
		readers.Wait()
	}
}

// read reads the fields in use of some objects.
func (w *world) read(objects []*objectValue) {
	var values []ref.Val // cut from blocks
	for _, o := range objects {
		n := len(o.kind.read)
		if len(values) < n {
			values = make([]ref.Val, max(n, block))
		}
		o.values, values = values[:n:n], values[n:]
		for slot, i := range o.kind.read {
			o.values[slot] = o.kind.fields[i].get(w, o.subject)
		}
	}
}
