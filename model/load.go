package model

import (
	"errors"
	"io/fs"
	"os"
	"path"
	"path/filepath"

	"github.com/guardwright/guardwright/model/source"
)

// Load reads the machine file name and the parts files that it uses from fsys, and resolves it. Names under use:
// are relative to the file that states them. The error is a [source.Problems] with every problem of every file.
func Load(fsys fs.FS, name string) (*Machine, error) {
	return load(reader{join: path.Join, read: func(name string) ([]byte, error) {
		return source.ReadFile(fsys, name, source.Limits{})
	}}, name)
}

// LoadFile reads a machine file of the operating system, see [Load]. Parts files may lie anywhere.
func LoadFile(name string) (*Machine, error) {
	return load(hostReader(), name)
}

// Build resolves a machine that was described in Go, with the parts that it builds on. The description is copied:
// changing it afterwards does not change the machine. The error is a [source.Problems].
func Build(d Description, parts ...Parts) (*Machine, error) {
	if len(d.Use) > 0 {
		return nil, source.Problems{{Path: "use", Text: "a description built in Go cannot name parts files; pass the parts to Build instead"}}
	}
	b := newBundle()
	b.machine = clone(d)
	problems := source.Missing(b.machine)
	for _, p := range parts {
		p = clone(p)
		problems = append(problems, source.Missing(p)...)
		b.add(nil, p)
	}
	return b.resolve(problems)
}

// reader reads the bytes of a file and joins the name of a parts file to the folder of the file that uses it.
type reader struct {
	read func(name string) ([]byte, error)
	join func(elem ...string) string
}

// hostReader reads files of the operating system. Each is read from its own folder, because an fs.FS refuses names
// that leave its root, and a parts file often lies beside the folder of the machine.
func hostReader() reader {
	return reader{join: filepath.Join, read: func(name string) ([]byte, error) {
		data, err := source.ReadFile(os.DirFS(filepath.Dir(name)), filepath.Base(name), source.Limits{})
		if problem, ok := errors.AsType[source.Problem](err); ok {
			problem.Position.File = name
			return nil, problem
		}
		return data, err
	}}
}

// load reads a machine file with all parts files it leads to.
func load(files reader, name string) (*Machine, error) {
	b := newBundle()
	main, problems := open(files, name, &b.machine)
	if main == nil {
		return nil, problems
	}
	b.main = main

	type request struct {
		name     string
		position source.Position
	}
	var queue []request
	want := func(from *source.File, base string, names []string) {
		for i, n := range names {
			queue = append(queue, request{files.join(dir(base), n), from.Position(index("use", i))})
		}
	}
	want(main, name, b.machine.Use)
	seen := map[string]bool{name: true}
	for len(queue) > 0 {
		next := queue[0]
		queue = queue[1:]
		if seen[next.name] {
			continue
		}
		seen[next.name] = true
		data, err := files.read(next.name)
		if err != nil {
			// The person has to mend the line that names the file, so the problem is placed there.
			problems = append(problems, source.Problem{Position: next.position, Path: "use", Text: err.Error()})
			continue
		}
		var p Parts
		f, found := parse(next.name, data, &p)
		problems = append(problems, found...)
		if f == nil {
			continue
		}
		b.add(f, p)
		want(f, next.name, p.Use)
	}
	b.machine.Use = nil // what it named is merged
	return b.resolve(problems)
}

// dir is the folder of a file name of either form.
func dir(name string) string { return filepath.ToSlash(filepath.Dir(filepath.FromSlash(name))) }

func open(files reader, name string, into any) (*source.File, source.Problems) {
	data, err := files.read(name)
	if err != nil {
		return nil, asProblems(name, err)
	}
	return parse(name, data, into)
}

func parse(name string, data []byte, into any) (*source.File, source.Problems) {
	f, problems := source.Parse(name, data, source.Limits{})
	if f == nil {
		return nil, problems
	}
	return f, append(problems, f.Decode(into)...)
}

// asProblems keeps problems as they are and wraps any other error.
func asProblems(name string, err error) source.Problems {
	if all, ok := errors.AsType[source.Problems](err); ok {
		return all
	}
	if one, ok := errors.AsType[source.Problem](err); ok {
		return source.Problems{one}
	}
	return source.Problems{{Position: source.Position{File: name}, Text: err.Error()}}
}
