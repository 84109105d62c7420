package source

import (
	"fmt"
	"unicode/utf8"

	"gopkg.in/yaml.v3"
)

// builder copies the library's tree into a File and checks on the way all that
// does not depend on what the file is decoded into.
type builder struct {
	file     *File
	out      *collector
	anchors  map[*yaml.Node]*anchor
	path     trail
	expanded int     // values that aliases repeat, so far
	scratch  []int32 // children of the collections that are being built
	cursor   cursor
	stopped  bool // the file costs too much: it is not decoded
}

// anchor is what is known of a value with a name, for its aliases.
type anchor struct {
	id           int32
	open         bool // still being built: an alias of it would be a circle
	size, height int
}

// extent is what a value costs with its aliases followed.
type extent struct{ size, height int }

// build reports whether the file can be decoded.
func (b *builder) build(top *yaml.Node) bool {
	count := countNodes(top)
	b.file.nodes, b.file.children = make([]node, 0, count), make([]int32, 0, count)
	b.value(top, 1)
	return !b.stopped
}

// countNodes counts without following aliases. It may go as deep as the library
// does, which is bounded.
func countNodes(n *yaml.Node) int {
	count := 1
	for _, child := range n.Content {
		count += countNodes(child)
	}
	return count
}

// stop reports a problem behind which nothing is read. It has no path, which
// may be as long as the nesting is deep.
func (b *builder) stop(n *yaml.Node, text string) {
	if !b.stopped {
		b.out.add(Problem{Position: b.place(n), Text: text})
	}
	b.stopped = true
}

func (b *builder) report(at Position, text string) {
	b.out.add(Problem{Position: at, Path: b.path.String(), Text: text})
}

// place returns the position of a node; see documentReader for the line.
func (b *builder) place(n *yaml.Node) Position {
	return Position{b.file.name, n.Line - 1, n.Column}
}

// value copies a value at a depth counted from 1.
func (b *builder) value(n *yaml.Node, depth int) (int32, extent) {
	if limit := b.file.limits.Depth; depth > limit {
		b.stop(n, fmt.Sprintf("nested in more than %d levels", limit))
	}
	if b.stopped {
		return 0, extent{}
	}
	if n.Style&yaml.TaggedStyle != 0 {
		b.report(b.place(n), fmt.Sprintf("the tag %s is not used in these files: remove it", quote(n.Tag)))
	}
	id := b.node(n)
	var named *anchor
	if n.Anchor != "" {
		named = &anchor{id: id, open: true}
		b.anchors[n] = named
	}
	size := extent{1, 1}
	switch n.Kind {
	case yaml.ScalarNode:
		b.scalar(id, n)
	case yaml.SequenceNode:
		size = b.list(id, n, depth)
	case yaml.MappingNode:
		size = b.mapping(id, n, depth)
	case yaml.AliasNode:
		size = b.alias(id, n, depth)
	}
	if named != nil {
		named.open, named.size, named.height = false, size.size, size.height
	}
	n.Content = nil // copied: the memory is free again
	return id, size
}

func (b *builder) node(n *yaml.Node) int32 {
	b.file.nodes = append(b.file.nodes, node{line: int32(n.Line - 1), column: int32(n.Column)})
	return int32(len(b.file.nodes) - 1)
}

func (b *builder) scalar(id int32, from *yaml.Node) {
	n := &b.file.nodes[id]
	n.kind, n.text, n.style, n.null = scalar, from.Value, scalarStyle(from.Style), isNull(from)
	if !n.null {
		n.offset = int32(b.cursor.offset(b.file.text, int(n.line), int(n.column)))
	}
}

func (b *builder) list(id int32, n *yaml.Node, depth int) extent {
	b.checkEntries(n, len(n.Content))
	sum, start := extent{1, 1}, len(b.scratch)
	for i, item := range n.Content {
		if b.stopped {
			break
		}
		b.path = append(b.path, step{index: i})
		child, size := b.value(item, depth+1)
		b.path = b.path[:len(b.path)-1]
		b.scratch = append(b.scratch, child)
		sum = sum.with(size)
	}
	b.adopt(id, list, start)
	return sum
}

func (b *builder) checkEntries(n *yaml.Node, count int) {
	if limit := b.file.limits.Entries; count > limit {
		b.stop(n, fmt.Sprintf("%d entries, and %d are allowed in one place: split them, or raise the limit", count, limit))
	}
}

// adopt takes what was put on the scratch stack since start as the children of
// a collection.
func (b *builder) adopt(id int32, k kind, start int) {
	n := &b.file.nodes[id]
	n.kind, n.first, n.count = k, int32(len(b.file.children)), int32(len(b.scratch)-start)
	b.file.children = append(b.file.children, b.scratch[start:]...)
	b.scratch = b.scratch[:start]
}

// mapping copies a mapping without the entries that can't be used: those with
// a bad key, and the second of a duplicate.
func (b *builder) mapping(id int32, n *yaml.Node, depth int) extent {
	b.checkEntries(n, len(n.Content)/2)
	sum, start := extent{1, 1}, len(b.scratch)
	known := b.newKeys(id, len(n.Content)/2)
	for i := 0; i+1 < len(n.Content) && !b.stopped; i += 2 {
		key, keySize := b.value(n.Content[i], depth+1)
		text, usable := b.keyText(n.Content[i], key)
		b.path = append(b.path, step{key: text, named: true})
		if usable {
			usable = b.checkTwice(known, start, key)
		}
		value, size := b.value(n.Content[i+1], depth+1)
		if usable {
			known.add(&b.file.nodes[key], len(b.scratch)-start)
			b.scratch = append(b.scratch, key, value)
			b.checkMerge(key, value)
		}
		b.path = b.path[:len(b.path)-1]
		sum = sum.with(keySize).with(size)
	}
	b.adopt(id, mapping, start)
	return sum
}

// checkTwice reports a key that the mapping has already.
func (b *builder) checkTwice(known keys, start int, key int32) bool {
	first, twice := known.find(b, start, key)
	if twice {
		b.report(b.file.position(key), fmt.Sprintf("%s is given twice, first at %s: remove one", quote(b.file.nodes[key].text), b.file.position(first)))
	}
	return !twice
}

// keyText checks a key and returns its text. A whole number counts as text,
// because ports are numbered.
func (b *builder) keyText(from *yaml.Node, id int32) (string, bool) {
	key := &b.file.nodes[id]
	if key.kind == alias {
		// The key node takes the text of what it stands for, at its own place.
		target := &b.file.nodes[b.file.resolve(id)]
		key.kind, key.text, key.style, key.null = target.kind, target.text, target.style, target.null
		from = from.Alias
	}
	at := b.file.position(id)
	switch {
	case b.stopped, key.kind == broken:
		return "", false
	case key.kind != scalar:
		found := describe(key)
		key.kind = broken
		b.report(at, "a key must be a name or a whole number, found "+found)
		return "", false
	case key.null:
		b.report(at, "a key is missing: write a name before the colon (null as a name in quotes)")
		return "", false
	case key.style != plain:
		return key.text, true
	}
	switch from.Tag {
	case "!!merge":
		key.merge = true
	case "!!bool", "!!float", "!!timestamp":
		b.report(at, fmt.Sprintf("the key %s is not read as a name: write it in quotes", key.text))
		return key.text, false
	}
	return key.text, true
}

// checkMerge reports the value of a merge key if it is no mapping or list of
// mappings.
func (b *builder) checkMerge(key, value int32) {
	f := b.file
	if !f.nodes[key].merge || b.stopped {
		return
	}
	top := f.resolve(value)
	items := []int32{top}
	if n := &f.nodes[top]; n.kind == list {
		items = f.children[n.first : n.first+n.count]
	}
	for _, item := range items {
		if n := &f.nodes[f.resolve(item)]; n.kind != mapping && n.kind != broken {
			b.report(f.position(item), "<< takes in the entries of a mapping (or of several: a list of them), found "+describe(n))
		}
	}
}

// alias makes a node that stands for another.
func (b *builder) alias(id int32, from *yaml.Node, depth int) extent {
	target := b.anchors[from.Alias]
	if target == nil || target.open {
		b.report(b.place(from), fmt.Sprintf("*%s stands inside the value that it names: a value can't contain itself", from.Value))
		return extent{1, 1}
	}
	limits := b.file.limits
	b.expanded += target.size
	switch {
	case depth+target.height > limits.Depth:
		b.stop(from, fmt.Sprintf("with what *%s stands for, nested in more than %d levels", from.Value, limits.Depth))
	case b.expanded > limits.Expanded:
		b.stop(from, fmt.Sprintf("with what *%s stands for, aliases repeat more than %d values: write the file out, or raise the limit", from.Value, limits.Expanded))
	}
	n := &b.file.nodes[id]
	n.kind, n.first = alias, target.id
	return extent{1 + target.size, 1 + target.height}
}

// with adds a child. Sizes can't overflow: the limit on expanded values stops
// the building long before.
func (e extent) with(child extent) extent {
	return extent{e.size + child.size, max(e.height, 1+child.height)}
}

// keys finds duplicates in one mapping, and becomes its index if it is large.
type keys struct {
	index map[string]int32 // nil for a small mapping
}

func (b *builder) newKeys(id int32, count int) keys {
	if count < indexedFrom || b.stopped {
		return keys{}
	}
	index := make(map[string]int32, count)
	b.file.index[id] = index
	return keys{index}
}

// find returns the first key like this one among those on the scratch stack.
func (k keys) find(b *builder, start int, key int32) (int32, bool) {
	n := &b.file.nodes[key]
	if k.index != nil {
		i, ok := k.index[indexText(n)]
		if !ok {
			return 0, false
		}
		return b.scratch[start+int(i)], true
	}
	for i := start; i < len(b.scratch); i += 2 {
		if other := &b.file.nodes[b.scratch[i]]; other.text == n.text && other.merge == n.merge {
			return b.scratch[i], true
		}
	}
	return 0, false
}

// add enters a key by its place in the mapping.
func (k keys) add(n *node, place int) {
	if k.index != nil {
		k.index[indexText(n)] = int32(place)
	}
}

// indexText tells the merge key from "<<" in quotes: no key of a file has a NUL
// that could be mistaken for it.
func indexText(n *node) string {
	if n.merge {
		return "\x00" + n.text
	}
	return n.text
}

// cursor finds the byte of a line and a column. The nodes come in the order of
// the file, so it goes on from where it was last: a file of one long line would
// take the square of its length otherwise.
type cursor struct{ line, column, at int }

func (c *cursor) offset(t *text, line, column int) int {
	if line < 1 || line > len(t.lines) {
		return len(t.data)
	}
	start := int(t.lines[line-1])
	if t.ascii {
		return min(start+column-1, len(t.data))
	}
	if line != c.line || column < c.column {
		*c = cursor{line, 1, start}
	}
	for c.column < column && c.at < len(t.data) {
		_, size := utf8.DecodeRune(t.data[c.at:])
		c.at += size
		c.column++
	}
	return c.at
}
