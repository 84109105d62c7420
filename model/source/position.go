package source

import (
	"cmp"
	"strconv"
)

// Position is a place in a file. The zero value means that a thing came from
// no file. A Line of 0 with a File means the file as a whole.
type Position struct {
	File   string // as it was named to [Parse] or [ReadFile]
	Line   int    // from 1
	Column int    // from 1, in Unicode code points
}

// String returns file:line:column, the file alone if there is no line, and ""
// for the zero value.
func (p Position) String() string {
	if p.Line == 0 {
		return p.File
	}
	return p.File + ":" + strconv.Itoa(p.Line) + ":" + strconv.Itoa(p.Column)
}

// IsZero reports whether the thing came from no file.
func (p Position) IsZero() bool { return p == Position{} }

// Compare orders by file, line and column, for slices.SortFunc. The file as a
// whole comes after its lines: what concerns all of it is read last.
func (p Position) Compare(q Position) int {
	return cmp.Or(
		cmp.Compare(p.File, q.File),
		compareBool(p.Line == 0, q.Line == 0),
		cmp.Compare(p.Line, q.Line),
		cmp.Compare(p.Column, q.Column),
	)
}

func compareBool(a, b bool) int {
	switch {
	case a == b:
		return 0
	case b:
		return -1
	default:
		return 1
	}
}
