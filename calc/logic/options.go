package logic

// Limits bound the work of a proof. They are counts, not times, so that a verdict is the same on every machine; for a time,
// give [Prove] a context with a deadline, which ends a single long satisfiability query too. The zero value of each field means
// its default.
type Limits struct {
	// States is the number of reachable states of one obligation; default 2^20.
	States int
	// Letters is the number of different input letters of one obligation; default 2^16.
	Letters int
	// Work is the number of gate evaluations of one obligation, each over 64 letters; default 2^28.
	Work int64
	// Depth is the number of steps that the satisfiability engine unrolls; default 150.
	Depth int
	// Queries is the number of satisfiability queries of one obligation; default 5000.
	Queries int
}

func (l Limits) orDefault() Limits {
	if l.States <= 0 {
		l.States = 1 << 20
	}
	if l.Letters <= 0 {
		l.Letters = 1 << 16
	}
	if l.Work <= 0 {
		l.Work = 1 << 28
	}
	if l.Depth <= 0 {
		l.Depth = 150
	}
	if l.Queries <= 0 {
		l.Queries = 5000
	}
	return l
}

// Options are the settings of [Prove]. The zero value is right for most uses.
type Options struct {
	Limits Limits
	// Without names assumptions that are switched off. An unknown name is an error.
	Without []string
	// Workers is the number of obligations looked at side by side; 0 and 1 mean one. The results are the same for every number.
	Workers int
	// Progress, if set, is called now and then with the number of obligations answered and their total, never by two
	// goroutines at once.
	Progress func(done, total int)
	// SkipVacuity leaves out the question whether the preconditions of proved properties can hold.
	SkipVacuity bool

	noMemo      bool // for measurements: solve equal parts of a machine again and again
	noCut       bool // for tests: no abstraction by groups
	noSplit     bool // for measurements: one obligation for each property
	exactTimers bool // for measurements: no windows that end early
	earlyFrom   int  // for tests: the number of steps from which windows may end early, 0 for the default
	satOnly     bool // for tests: no search over states
}
