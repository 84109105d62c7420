package main

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/guardwright/guardwright/examples/demo"
	"github.com/guardwright/guardwright/model"
	"github.com/guardwright/guardwright/model/source"
	"github.com/guardwright/guardwright/rules"
	"github.com/guardwright/guardwright/rules/packs"
)

// input is what was read: the machine, the rules, and how to read a file again for its lines.
type input struct {
	machine  *model.Machine
	sets     []*rules.Ruleset
	readFile func(name string) ([]byte, error)
}

// load reads the machine and the rules. The problems are those of all files together.
func load(o options) (input, source.Problems) {
	var in input
	sets, problems := loadRules(o)
	in.sets = sets
	var err error
	if o.machine == "" {
		files := under{"examples/demo/", demo.Files()}
		in.machine, err = model.Load(files, files.folder+demo.Machine)
		in.readFile = func(name string) ([]byte, error) { return fs.ReadFile(files, name) }
	} else {
		in.machine, err = model.LoadFile(o.machine)
		in.readFile = os.ReadFile
	}
	return in, append(problems, asProblems(o.machine, err)...)
}

// loadRules compiles the built-in packs and the rule files that were asked for.
func loadRules(o options) ([]*rules.Ruleset, source.Problems) {
	var sets []*rules.Ruleset
	var problems source.Problems
	for _, name := range o.packs {
		set, err := builtIn(name)
		problems = append(problems, asProblems(name, err)...)
		sets = append(sets, set)
	}
	own, more := ownRules(o.rules)
	return append(sets, own...), append(problems, more...)
}

// ownRules compiles rule files of the operating system.
func ownRules(names []string) ([]*rules.Ruleset, source.Problems) {
	var sets []*rules.Ruleset
	var problems source.Problems
	for _, name := range names {
		folder, inside := splitRuleFile(name)
		set, err := rules.Load(os.DirFS(folder), inside)
		for _, p := range asProblems(name, err) {
			p.Position = inFolder(p.Position, folder)
			problems = append(problems, p)
		}
		sets = append(sets, set)
	}
	return sets, problems
}

// splitRuleFile returns the folder from which a rule file is read, and its name in it. A folder does not let names out,
// so a file outside of the current one is read from its own; the places in it are put right by inFolder.
func splitRuleFile(name string) (folder, inside string) {
	name = filepath.Clean(name)
	if slashed := filepath.ToSlash(name); fs.ValidPath(slashed) {
		return ".", slashed
	}
	return filepath.Dir(name), filepath.Base(name)
}

// inFolder turns a place in a file that was read from a folder into one that editors find.
func inFolder(p source.Position, folder string) source.Position {
	if p.File != "" && !filepath.IsAbs(p.File) {
		p.File = filepath.Join(folder, p.File)
	}
	return p
}

func asProblems(name string, err error) source.Problems {
	var all source.Problems
	switch {
	case err == nil:
		return nil
	case errors.As(err, &all):
		return all
	}
	return source.Problems{{Position: source.Position{File: name}, Text: err.Error()}}
}

// folder is the folder from which the rule set of a number was read: the built-in ones come first.
func (o options) folder(set int) string {
	if set < len(o.packs) {
		return "."
	}
	folder, _ := splitRuleFile(o.rules[set-len(o.packs)])
	return folder
}

// builtIn compiles a built-in pack.
func builtIn(name string) (*rules.Ruleset, error) {
	files := under{"rules/packs/", packs.Files()}
	return rules.Load(files, files.folder+name+".yaml")
}

// under gives embedded files the names that they have in the repository, so that an editor finds the places in them.
type under struct {
	folder string // with a slash at its end
	fs     fs.FS
}

// Open opens a file by its name in the repository.
func (u under) Open(name string) (fs.File, error) {
	inside, ok := strings.CutPrefix(name, u.folder)
	if !ok {
		return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrNotExist}
	}
	return u.fs.Open(inside)
}
