package model

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"github.com/guardwright/guardwright/model/source"
)

// bundle is a machine file together with its parts files, merged, with the file of each merged entry.
type bundle struct {
	machine  Description
	main     *source.File
	owner    map[string]*source.File // by path of a merged entry, such as types.cables.m12x5
	problems source.Problems
}

func newBundle() *bundle { return &bundle{owner: map[string]*source.File{}} }

// add merges a parts file into the machine. A name that is given twice is a problem: which of the two would hold?
func (b *bundle) add(f *source.File, p Parts) {
	if problem, bad := checkFormat(p.Format); bad {
		b.report(f, "format", problem)
	}
	t := &b.machine.Types
	merge(b, f, "kinds", &b.machine.Kinds, p.Kinds)
	merge(b, f, "types.devices", &t.Devices, p.Types.Devices)
	merge(b, f, "types.modules", &t.Modules, p.Types.Modules)
	merge(b, f, "types.cables", &t.Cables, p.Types.Cables)
	merge(b, f, "types.connectors", &t.Connectors, p.Types.Connectors)
	merge(b, f, "types.supplies", &t.Supplies, p.Types.Supplies)
	merge(b, f, "types.protections", &t.Protections, p.Types.Protections)
	merge(b, f, "types.controllers", &t.Controllers, p.Types.Controllers)
	merge(b, f, "types.switches", &t.Switches, p.Types.Switches)
}

func merge[T any](b *bundle, f *source.File, path string, into *map[string]T, from map[string]T) {
	for _, name := range sortedNames(from) {
		at := source.Join(path, name)
		if _, taken := (*into)[name]; taken {
			where := "in the machine file"
			if p := b.position(at); p != (source.Position{}) {
				where = "at " + p.String()
			}
			b.report(f, at, fmt.Sprintf("%s is given here and %s; give it once, or rename one of them", name, where))
			continue
		}
		if *into == nil {
			*into = map[string]T{}
		}
		(*into)[name] = from[name]
		if f != nil {
			b.owner[at] = f
		}
	}
}

func (b *bundle) report(f *source.File, path, text string) {
	p := source.Problem{Path: path, Text: text}
	if f != nil {
		p.Position = f.Position(path)
	}
	b.problems = append(b.problems, p)
}

// position finds a path in the file that states it.
func (b *bundle) position(path string) source.Position {
	f := b.main
	// An entry's path has at most three parts (types.cables.m12x5): longer paths belong to the entry above.
	for n, end := 0, 0; n < 3 && end < len(path); n++ {
		if next := strings.IndexByte(path[end:], '.'); next >= 0 {
			end += next
		} else {
			end = len(path)
		}
		if owner, ok := b.owner[path[:end]]; ok {
			f = owner
			break
		}
		end++
	}
	if f == nil {
		return source.Position{}
	}
	return f.Position(path)
}

// index is the path of an item in a list.
func index(path string, i int) string { return source.Join(path, strconv.Itoa(i)) }

// checkFormat judges the version of a file.
func checkFormat(format int) (problem string, bad bool) {
	switch {
	case format > Format:
		return fmt.Sprintf("found format %d, but this version of the library reads up to format %d: update the library, or write the file in format %d", format, Format, Format), true
	case format < 0:
		return fmt.Sprintf("found format %d, wanted %d", format, Format), true
	}
	return "", false // 0 is reported as missing
}

// sortedNames lists the keys of a map, numbers within names by value.
func sortedNames[T any](m map[string]T) []string {
	return slices.SortedFunc(maps.Keys(m), compareNames)
}

// compareNames orders names as people number things: m2 before m10.
func compareNames(a, b string) int {
	i, j := 0, 0
	for i < len(a) && j < len(b) {
		if !isDigit(a[i]) || !isDigit(b[j]) {
			if a[i] != b[j] {
				return int(a[i]) - int(b[j])
			}
			i, j = i+1, j+1
			continue
		}
		na, nextA := digits(a, i)
		nb, nextB := digits(b, j)
		if len(na) != len(nb) {
			return len(na) - len(nb)
		}
		if c := strings.Compare(na, nb); c != 0 {
			return c
		}
		i, j = nextA, nextB
	}
	if c := (len(a) - i) - (len(b) - j); c != 0 {
		return c
	}
	return strings.Compare(a, b) // m1 and m01 are equal as numbers, not as names
}

func isDigit(c byte) bool { return '0' <= c && c <= '9' }

// digits returns the run of digits at i without leading zeros, and where it ends.
func digits(s string, i int) (run string, end int) {
	end = i
	for end < len(s) && isDigit(s[end]) {
		end++
	}
	return strings.TrimLeft(s[i:end], "0"), end
}
