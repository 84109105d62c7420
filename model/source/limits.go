package source

// Limits bound what a file may cost. A field of 0 (or below) means its
// default, so the zero value serves; they are raised for a file that is known
// and trusted.
type Limits struct {
	// Size of a file in bytes. Default 32 MB.
	Size int64
	// Depth of nesting, aliases followed. Default 100.
	Depth int
	// Entries in one mapping or list; also the lines at one level of
	// indentation, which are counted before the file is parsed. Default 100 000.
	Entries int
	// Values in the file, estimated from its punctuation before it is parsed.
	// A value costs about 200 bytes of memory while parsing. Default 5 000 000,
	// which a 20 MB file keeps to with values of 5 characters.
	Values int
	// Expanded counts the values that aliases and merge keys repeat. Default
	// 1 000 000.
	Expanded int
	// Problems that are kept; the rest is counted. Default 200.
	Problems int
}

func (l Limits) withDefaults() Limits {
	orDefault(&l.Size, 32<<20)
	orDefault(&l.Depth, 100)
	orDefault(&l.Entries, 100_000)
	orDefault(&l.Values, 5_000_000)
	orDefault(&l.Expanded, 1_000_000)
	orDefault(&l.Problems, 200)
	return l
}

func orDefault[T int | int64](v *T, usual T) {
	if *v <= 0 {
		*v = usual
	}
}
