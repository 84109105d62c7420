package source

import (
	"strconv"

	"gopkg.in/yaml.v3"
)

type kind uint8

const (
	broken  kind = iota // reported while parsing: nothing to decode
	scalar              // text
	list                // its children are the items
	mapping             // its children are keys and values in turn
	alias               // first is the node that it stands for
)

type style uint8

const (
	plain style = iota
	singleQuoted
	doubleQuoted
	literal
	folded
)

// node is a value of the file. There are millions of them in a large file, so
// the tree that the YAML library makes is copied into a quarter of its memory.
type node struct {
	text         string
	line, column int32
	offset       int32 // of a scalar's first byte in the file
	first, count int32 // children are File.children[first : first+count]
	kind         kind
	style        style
	null         bool // a plain scalar that means nothing: null, ~, or no text
	merge        bool // the key <<
}

// indexedFrom is the number of entries from which a mapping has an index;
// below it, comparing one by one is as fast and takes no memory.
const indexedFrom = 9

// File is a parsed file. It does not change after [Parse] and serves any
// number of goroutines at once. A nil File decodes nothing and knows no
// positions.
type File struct {
	name     string
	text     *text
	limits   Limits
	nodes    []node // nodes[0] is the top
	children []int32
	// index finds the key in a mapping with many entries: by mapping, then by
	// the key's text, its place among the children of that mapping.
	index map[int32]map[string]int32
}

// Name returns the name that the file was parsed under.
func (f *File) Name() string {
	if f == nil {
		return ""
	}
	return f.name
}

// Position returns where the value of a path stands: the key of an entry, the
// item of a list. A path that the file does not have gives the place of the
// nearest thing above it that the file has. An entry that came by a merge key
// or an alias stands where it is written.
func (f *File) Position(path string) Position {
	if f == nil {
		return Position{}
	}
	id := int32(0)
	position := f.position(id)
	for path != "" {
		var key string
		key, path = nextKey(path)
		at, value, ok := f.child(f.resolve(id), key)
		if !ok {
			break
		}
		position, id = f.position(at), value
	}
	return position
}

// child finds the entry of a mapping or the item of a list: the node whose
// position it has, and its value.
func (f *File) child(id int32, key string) (at, value int32, ok bool) {
	n := &f.nodes[id]
	switch n.kind {
	case mapping:
		return f.entry(id, key)
	case list:
		i, err := strconv.Atoi(key)
		if err != nil || i < 0 || i >= int(n.count) {
			return 0, 0, false
		}
		item := f.children[n.first+int32(i)]
		return item, item, true
	}
	return 0, 0, false
}

// entry finds an entry of a mapping, its own before a merged one.
func (f *File) entry(id int32, key string) (at, value int32, ok bool) {
	if i, ok := f.ownKey(id, key); ok {
		return f.children[i], f.children[i+1], true
	}
	for _, source := range f.mergeSources(id) {
		if at, value, ok := f.entry(source, key); ok {
			return at, value, true
		}
	}
	return 0, 0, false
}

// ownKey finds a key that is written in the mapping, as its place in children.
func (f *File) ownKey(id int32, key string) (int32, bool) {
	n := &f.nodes[id]
	if index, ok := f.index[id]; ok {
		i, ok := index[key]
		return n.first + i, ok
	}
	for i := n.first; i < n.first+n.count; i += 2 {
		if k := &f.nodes[f.children[i]]; k.text == key && !k.merge {
			return i, true
		}
	}
	return 0, false
}

// mergeSources returns the mappings that a merge key adds, the first having
// precedence.
func (f *File) mergeSources(id int32) []int32 {
	n := &f.nodes[id]
	for i := n.first; i < n.first+n.count; i += 2 {
		if f.nodes[f.children[i]].merge {
			return f.mergeValues(f.children[i+1])
		}
	}
	return nil
}

// mergeValues returns the mappings in the value of a merge key. What is none
// was reported while parsing.
func (f *File) mergeValues(value int32) []int32 {
	value = f.resolve(value)
	n := &f.nodes[value]
	items := []int32{value}
	if n.kind == list {
		items = f.children[n.first : n.first+n.count]
	}
	var sources []int32
	for _, item := range items {
		if item = f.resolve(item); f.nodes[item].kind == mapping {
			sources = append(sources, item)
		}
	}
	return sources
}

// entries calls yield for the entries of a mapping in the order in which they
// are written, its own first, then those that merge keys add.
func (f *File) entries(id int32, yield func(key, value int32)) {
	n := &f.nodes[id]
	merges := false
	for i := n.first; i < n.first+n.count; i += 2 {
		if key := f.children[i]; f.nodes[key].merge {
			merges = true
		} else {
			yield(key, f.children[i+1])
		}
	}
	if !merges {
		return
	}
	given := map[string]bool{}
	for _, source := range f.mergeSources(id) {
		f.entries(source, func(key, value int32) {
			text := f.nodes[key].text
			if _, own := f.ownKey(id, text); own || given[text] {
				return
			}
			given[text] = true
			yield(key, value)
		})
	}
}

// resolve follows aliases. They can't form a circle: the parser breaks it.
func (f *File) resolve(id int32) int32 {
	for f.nodes[id].kind == alias {
		id = f.nodes[id].first
	}
	return id
}

func (f *File) position(id int32) Position {
	n := &f.nodes[id]
	return Position{f.name, int(n.line), int(n.column)}
}

// styles translates the library's names of the ways to write a scalar.
func scalarStyle(s yaml.Style) style {
	switch {
	case s&yaml.DoubleQuotedStyle != 0:
		return doubleQuoted
	case s&yaml.SingleQuotedStyle != 0:
		return singleQuoted
	case s&yaml.LiteralStyle != 0:
		return literal
	case s&yaml.FoldedStyle != 0:
		return folded
	}
	return plain
}
