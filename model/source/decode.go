package source

import (
	"fmt"
	"reflect"
	"strings"
)

// Decode decodes the file into a non-nil pointer and returns all problems,
// sorted. What is good is decoded, whatever else is wrong; what is not good is
// left as it was, or zero if its own type refused it. A bad item of a list and a
// bad entry of a mapping keep their place, with the zero value, so that what
// refers to them still finds them.
//
// These types serve: string, bool, the integers, named strings with a method
// Values() []string that returns their words, encoding.TextUnmarshaler (it is
// given the text as it is written, and its error becomes the problem),
// [Expression], structs, and pointers to, slices of, and maps from strings to
// all of these. An entry that is not in the file leaves its field as it is: a
// pointer stays nil and a default stays. Floating-point numbers and
// time.Duration do not serve, because a number without a unit is no quantity. A
// type that does not serve gives one problem that names it.
func (f *File) Decode(into any) Problems {
	if f == nil {
		return nil
	}
	d := decoder{file: f, out: newCollector(f.name, f.limits), places: map[int32]*places{}}
	target := reflect.ValueOf(into)
	if target.Kind() != reflect.Pointer || target.IsNil() {
		return Problems{fileProblem(f.name, fmt.Sprintf("the program gave %T to decode into: wanted a pointer", into))}
	}
	plan, err := planner{}.of(target.Type().Elem())
	if err != nil {
		return Problems{fileProblem(f.name, err.Error())}
	}
	d.value(0, f.position(0), plan, target.Elem())
	return d.out.problems()
}

type decoder struct {
	file   *File
	out    collector
	path   trail
	places map[int32]*places // of the expressions that aliases may repeat
}

func (d *decoder) report(at Position, format string, args ...any) {
	if d.out.full() {
		d.out.add(Problem{Position: at, Text: format}) // counted only
		return
	}
	d.out.add(Problem{Position: at, Path: d.path.String(), Text: fmt.Sprintf(format, args...)})
}

// value decodes a node. At is the position of its key or item: an empty value
// has none of its own. It reports whether something was decoded.
func (d *decoder) value(id int32, at Position, p *plan, v reflect.Value) bool {
	id = d.file.resolve(id)
	n := &d.file.nodes[id]
	switch {
	case n.kind == broken:
		return false
	case n.null:
		d.empty(at, p)
		return false
	}
	switch p.shape {
	case pointer:
		return d.pointer(id, at, p, v)
	case structure, table:
		if n.kind != mapping {
			return d.wrongShape(id, p)
		}
		if p.shape == table {
			d.table(id, p, v)
		} else {
			d.structure(id, at, p, v)
		}
		return true
	case slice:
		if n.kind != list {
			return d.wrongShape(id, p)
		}
		d.list(n, p, v)
		return true
	}
	if n.kind != scalar {
		return d.wrongShape(id, p)
	}
	return d.scalar(id, p, v)
}

// empty reports a key with nothing behind it.
func (d *decoder) empty(at Position, p *plan) {
	for p.shape == pointer {
		p = p.elem
	}
	hint := ""
	switch p.shape {
	case structure, table:
		hint = " ({} for none)"
	case slice:
		hint = " ([] for none)"
	case anyText, word, expression, parsed:
		hint = ` (the word null in quotes)`
	}
	d.report(at, "nothing is given here: wanted %s%s, or leave the entry out", p.wanted(), hint)
}

func (d *decoder) wrongShape(id int32, p *plan) bool {
	d.report(d.file.position(id), "wanted %s, found %s", p.wanted(), describe(&d.file.nodes[id]))
	return false
}

func (d *decoder) pointer(id int32, at Position, p *plan, v reflect.Value) bool {
	if !v.IsNil() {
		return d.value(id, at, p.elem, v.Elem())
	}
	fresh := reflect.New(p.elem.typ)
	if !d.value(id, at, p.elem, fresh.Elem()) {
		return false
	}
	v.Set(fresh)
	return true
}

func (d *decoder) list(n *node, p *plan, v reflect.Value) {
	items := reflect.MakeSlice(p.typ, int(n.count), int(n.count))
	for i := range int(n.count) {
		item := d.file.children[n.first+int32(i)]
		d.path = append(d.path, step{index: i})
		d.value(item, d.file.position(item), p.elem, items.Index(i))
		d.path = d.path[:len(d.path)-1]
	}
	v.Set(items)
}

func (d *decoder) table(id int32, p *plan, v reflect.Value) {
	if v.IsNil() {
		v.Set(reflect.MakeMapWithSize(p.typ, int(d.file.nodes[id].count/2)))
	}
	keyType, elem := p.typ.Key(), reflect.New(p.elem.typ).Elem()
	d.file.entries(id, func(key, value int32) {
		text := d.file.nodes[key].text
		d.path = append(d.path, step{key: text, named: true})
		at := d.file.position(key)
		if p.values != nil {
			d.checkWord(at, text, p.values)
		}
		elem.SetZero()
		d.value(value, at, p.elem, elem)
		v.SetMapIndex(reflect.ValueOf(text).Convert(keyType), elem)
		d.path = d.path[:len(d.path)-1]
	})
}

func (d *decoder) structure(id int32, at Position, p *plan, v reflect.Value) {
	var few [32]bool
	given := few[:]
	if len(p.fields) > len(few) {
		given = make([]bool, len(p.fields))
	}
	d.file.entries(id, func(key, value int32) {
		name := d.file.nodes[key].text
		place := d.file.position(key)
		d.path = append(d.path, step{key: name, named: true})
		if i, known := p.byName[name]; known {
			given[i] = true
			d.field(value, place, &p.fields[i], v)
		} else {
			d.unknownKey(place, name, p)
		}
		d.path = d.path[:len(d.path)-1]
	})
	for i := range p.fields {
		if f := &p.fields[i]; f.required && !given[i] {
			d.path = append(d.path, step{key: f.name, named: true})
			d.report(at, "%s", missingText(f))
			d.path = d.path[:len(d.path)-1]
		}
	}
}

func (d *decoder) field(value int32, place Position, f *field, v reflect.Value) {
	target := v.FieldByIndex(f.index)
	if !d.value(value, place, f.plan, target) {
		return
	}
	at := d.file.position(d.file.resolve(value))
	switch {
	case f.required && isEmptyText(f.plan, target):
		d.report(at, "wanted %s, found an empty text", f.plan.wanted())
	case f.zeroIsAbsent && isEmptyText(f.plan, target):
		d.report(at, "found an empty text: leave the key out, or write %s", f.plan.wanted())
	case f.zeroIsAbsent && target.IsZero() && f.required:
		d.report(at, "found zero, which cannot be: state the true value")
	case f.zeroIsAbsent && target.IsZero():
		d.report(at, "found zero, which would mean that nothing is stated: leave the key out, or state the true value")
	}
}

func isEmptyText(p *plan, v reflect.Value) bool {
	return (p.shape == anyText || p.shape == expression) && v.IsZero() ||
		p.shape == expression && v.Interface().(Expression).Text == ""
}

func (d *decoder) unknownKey(at Position, name string, p *plan) {
	if d.out.full() {
		d.report(at, "%s", name) // counted only
		return
	}
	known := "no key serves here"
	if len(p.names) > 0 {
		known = "known here: " + listed(p.names)
	}
	d.report(at, "unknown key %s%s", quote(name), suggested(name, p.names, known))
}

// checkWord reports a word that is not in an enumeration.
func (d *decoder) checkWord(at Position, text string, values []string) bool {
	for _, value := range values {
		if text == value {
			return true
		}
	}
	if d.out.full() {
		d.report(at, "%s", text) // counted only
		return false
	}
	d.report(at, "unknown word %s%s", quote(text), suggested(text, values, "wanted one of "+listed(values)))
	return false
}

// suggested continues a problem with the nearest right spelling, if any, and
// with all that serve.
func suggested(found string, candidates []string, all string) string {
	var b strings.Builder
	if near, ok := Nearest(found, candidates); ok {
		b.WriteString(": did you mean " + quote(near) + "? (" + all + ")")
	} else {
		b.WriteString(": " + all)
	}
	return b.String()
}
