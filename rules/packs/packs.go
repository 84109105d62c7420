// Package packs holds the built-in rules: rule files that are part of the library.
//
// They are written in the same language as a plant's own rules, name their sources, and carry their own test cases.
package packs

import (
	"embed"
	"fmt"
	"io/fs"
	"path"
	"strings"

	"github.com/guardwright/guardwright/rules"
)

//go:embed *.yaml cases
var files embed.FS

// Files returns the folder of the built-in rule files, with the machines of their cases.
func Files() fs.FS { return files }

// Names lists the built-in packs, sorted: the names of the rule files without .yaml.
func Names() []string {
	entries, err := fs.ReadDir(files, ".")
	if err != nil {
		return nil // an embedded folder can be read
	}
	var names []string
	for _, e := range entries {
		if name, ok := strings.CutSuffix(e.Name(), ".yaml"); ok && !e.IsDir() {
			names = append(names, name)
		}
	}
	return names
}

// Load compiles one built-in pack.
func Load(name string) (*rules.Ruleset, error) {
	set, err := rules.Load(files, path.Clean(name)+".yaml")
	if err != nil {
		return nil, fmt.Errorf("built-in rules %s: %w", name, err)
	}
	return set, nil
}

// All compiles all built-in packs.
func All() ([]*rules.Ruleset, error) {
	var sets []*rules.Ruleset
	for _, name := range Names() {
		set, err := Load(name)
		if err != nil {
			return nil, err
		}
		sets = append(sets, set)
	}
	return sets, nil
}
