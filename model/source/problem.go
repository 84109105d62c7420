package source

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// Problem is one thing in a file (or in a value built in Go) that a person has
// to put right.
type Problem struct {
	Position Position // zero if the value came from no file
	Path     string   // like modules.m1.ports.1.cable.length; "" for the whole
	Text     string   // what was found, what serves, the nearest right spelling
}

// Error returns "file:line:column: path: text", without the parts that are
// not known.
func (p Problem) Error() string {
	parts := make([]string, 0, 3)
	for _, s := range []string{p.Position.String(), p.Path, p.Text} {
		if s != "" {
			parts = append(parts, s)
		}
	}
	return strings.Join(parts, ": ")
}

// Compare orders by position, then path, then text, for slices.SortFunc.
func (p Problem) Compare(q Problem) int {
	return cmp.Or(
		p.Position.Compare(q.Position),
		cmp.Compare(p.Path, q.Path),
		cmp.Compare(p.Text, q.Text),
	)
}

// Problems are all problems of one run. Nil means that there are none. It is
// an error; hand it on as one with [Problems.Err], because a nil Problems in
// an error variable is not a nil error.
type Problems []Problem

// Sorted returns the problems by position, path and text, in a slice of its
// own, each of them once.
func (ps Problems) Sorted() Problems {
	sorted := slices.Clone(ps)
	slices.SortFunc(sorted, Problem.Compare)
	return slices.Compact(sorted)
}

// Error returns one problem per line, sorted.
func (ps Problems) Error() string {
	lines := make([]string, 0, len(ps))
	for _, p := range ps.Sorted() {
		lines = append(lines, p.Error())
	}
	return strings.Join(lines, "\n")
}

// Err returns nil if there are no problems, otherwise all of them, sorted.
func (ps Problems) Err() error {
	if len(ps) == 0 {
		return nil
	}
	return ps.Sorted()
}

// Unwrap lets errors.As find the first [Problem].
func (ps Problems) Unwrap() []error {
	errs := make([]error, len(ps))
	for i, p := range ps {
		errs[i] = p
	}
	return errs
}

// collector gathers the problems of one run and keeps a bounded number of
// them: a file with a million mistakes is not read to its end by anybody.
type collector struct {
	file string
	max  int
	list Problems
	more int
	// seen holds what was reported for a place. One mistake in an anchored
	// value is one problem, however many aliases repeat it.
	seen map[placedText]struct{}
}

type placedText struct {
	position Position
	text     string
}

func newCollector(file string, limits Limits) collector {
	return collector{file: file, max: limits.Problems, seen: map[placedText]struct{}{}}
}

// full reports whether the next problem will only be counted, so that its text
// need not be made.
func (c *collector) full() bool { return len(c.list) >= c.max }

func (c *collector) add(p Problem) {
	key := placedText{p.Position, p.Text}
	if _, twice := c.seen[key]; twice {
		return
	}
	if c.full() {
		c.more++
		return
	}
	c.seen[key] = struct{}{}
	c.list = append(c.list, p)
}

// problems returns what was kept, sorted, with a closing line for the rest.
func (c *collector) problems() Problems {
	if len(c.list) == 0 {
		return nil
	}
	sorted := c.list.Sorted()
	if c.more > 0 {
		sorted = append(sorted, Problem{
			Position: Position{File: c.file},
			Text:     fmt.Sprintf("%d more problems are not listed: put these right first", c.more),
		})
	}
	return sorted
}
