// Package schema holds the JSON Schemas (draft 2020-12) of the files that this library reads (machine files, parts
// files, rule files and mapping files of records) and of the JSON that it writes (reports). An editor that knows a schema completes keys and
// words, shows what a key means, and underlines what does not fit while it is being written.
//
// # In an editor
//
// Editors that use yaml-language-server take the schema from a comment on the first line of a file; the path counts
// from that file:
//
//	# yaml-language-server: $schema=schema/machine.schema.json
//	format: 1
//	machine: Tray washer, line 3
//
// or from a setting that names the schema for all files of a pattern, in Visual Studio Code
//
//	"yaml.schemas": {"schema/parts.schema.json": "*.parts.yaml"}
//
// The files *.schema.json lie in the folder of this package. A program has them from [Machine], [Parts] and [Rules],
// and can write them to where an editor finds them.
//
// # What a schema finds, and what it doesn't
//
// The loader (model.Load for machines, rules.Load for rules) has the last word: a file that satisfies the schema can still be
// wrong. Only the loader sees names that refer to nothing, loops, two devices at one port, tables that do not rise, values out of order
// (a minimum above its maximum) and numbers out of range behind a unit; duplicate keys; and spellings that YAML hides
// from a schema: 0x10 or 010 for a whole number, True for true, 1 for a ratio of 1.0.
//
// In the other direction, whatever the loader accepts, the schema accepts: a file that an editor underlines is wrong. One
// exception: an empty text in a list of names.
//
// The schemas keep to keywords with the same meaning in draft-07, which editors know best; the one difference is that
// definitions stand under $defs.
//
// # Caution
//
// A file without a complaint from its schema is well formed, no more. It says nothing about whether the machine is safe;
// nor do the results computed from it replace risk assessment, validation, the local codes and the judgement of a
// competent person.
package schema

//go:generate go -C internal/generate run .
