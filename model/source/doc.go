// Package source reads YAML files (and so JSON files) strictly into Go
// structs and keeps the position of everything that it read.
//
// One call serves most readers:
//
//	var machine Machine
//	file, problems := source.Load(os.DirFS(folder), "machine.yaml", &machine, source.Limits{})
//
// Every problem of the file is found in one run: unknown and duplicate keys,
// wrong shapes, missing entries, words that are not in an enumeration, values
// that a type refuses. Each says where it stands (file:line:column), what was
// found, what serves, and the nearest right spelling. What is good is decoded
// all the same, so that a caller can go on checking. A syntax error is the
// exception: nothing behind it can be read, so it comes alone.
//
// Strict means: no unknown keys, no tags, no empty values, one document,
// true and false as the only truth values, whole numbers in plain decimal
// digits. A scalar that goes into a text is kept as written: 010, 1:30, on
// and 2026-01-01 stay text. Anchors, aliases and merge keys serve, within
// bounds. The file is not trusted: its size, nesting, number of values and the
// growth by aliases are bounded, see [Limits].
//
// # Paths
//
// A place in a file, or in a value that was built in Go, is named by a path
// like modules.m1.ports.1.cable.length: the keys from the top, and the indices
// of list items counted from 0. A key with a dot, a quote or a blank in it is
// written in quotes; [Join] does that.
//
// # Tags of struct fields
//
// `yaml:"name"` names a field; without it the name is the field's in lower
// case. `yaml:"-"` hides it. An embedded struct without a name, or a struct
// field with `yaml:",inline"`, has its fields read as if they were its
// parent's. `jsonschema:"required"` makes an entry obligatory.
package source
