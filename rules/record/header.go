package record

import (
	"fmt"
	"slices"
	"strings"

	"github.com/guardwright/guardwright/model/source"
)

// Signal is a signal that a record can hold.
type Signal struct {
	// Name as rules and logic say it, such as es1.pressed.
	Name string
	// Words are the words of which it is one; nil when it is no word.
	Words []string
	// Number is true for a whole number from Min to Max. A signal that is neither word nor number is true or false.
	Number   bool
	Min, Max int64
	// Computed is true for a value of the logic, false for a signal from outside.
	Computed bool
}

// column is a column that is read.
type column struct {
	Signal
	at       int // in the row
	inverted bool
}

// header finds out what the columns are. It reports all that does not fit.
type header struct {
	name     string // of the file
	mapping  *Mapping
	names    []string
	places   []source.Position
	known    map[string]Signal
	problems source.Problems

	time    int
	unit    TimeUnit // empty: the cells have to tell
	columns []column
	unused  []string
}

func (h *header) problem(column int, format string, args ...any) {
	if len(h.problems) >= mostProblems {
		return
	}
	h.problems = append(h.problems, source.Problem{Position: h.places[column], Text: fmt.Sprintf(format, args...)})
}

func (h *header) read(signals []Signal) {
	h.known = map[string]Signal{}
	for _, s := range signals {
		h.known[s.Name] = s
	}
	seen := map[string]int{}
	for i, n := range h.names {
		if first, twice := seen[n]; twice {
			h.problem(i, "the column %s is there twice, first as number %d", quoted(n), first+1)
		}
		seen[n] = i
	}
	if h.findTime(); h.time < 0 {
		return
	}
	if h.mapping.Signals != nil {
		h.mapped(seen)
	} else {
		h.named(seen)
	}
	h.invert()
	slices.SortFunc(h.columns, func(a, b column) int { return a.at - b.at })
	if len(h.problems) == 0 && len(h.columns) == 0 {
		h.problem(h.time, "there is no column of a signal beside the time")
	}
}

// timeNames are names of columns with times, where the mapping does not state one.
func timeNames() []string { return []string{"time", "timestamp", "t"} }

func (h *header) findTime() {
	h.time, h.unit = -1, h.mapping.Time.Unit
	wanted := h.mapping.Time.Column
	for i, n := range h.names {
		bare, unit := splitUnit(n)
		if n != wanted && bare != wanted && (wanted != "" || !slices.Contains(timeNames(), fold(bare))) {
			continue
		}
		if h.time >= 0 {
			if h.names[h.time] == wanted {
				continue
			}
			if n != wanted {
				h.problem(i, "both %s and %s could be the time: state time: {column: ...} in the mapping", quoted(h.names[h.time]), quoted(n))
				return
			}
		}
		h.time = i
		if h.unit = h.mapping.Time.Unit; h.unit == "" {
			h.unit = unit
		}
	}
	switch {
	case h.time >= 0:
	case wanted != "":
		h.problems = append(h.problems, h.mapping.problem("time.column", "the record has no column %s%s", quoted(wanted), nearestOf(wanted, h.names)))
	default:
		h.problem(0, "no column is called time: name it so, or state time: {column: ...} in the mapping; there are %s", listed(h.names))
	}
}

// splitUnit takes a unit of time off the name of a column: time [ms], time (ms), time/ms, time_ms or time ms.
func splitUnit(name string) (string, TimeUnit) {
	text := strings.TrimRight(name, ")] ")
	at := strings.LastIndexAny(text, "([/_ ")
	if at < 0 {
		return name, ""
	}
	unit := text[at+1:]
	switch unit {
	case "µs", "μs":
		unit = string(Microseconds)
	case "sec":
		unit = string(Seconds)
	}
	if !slices.Contains(TimeUnit("").Values(), unit) || unit == string(Timestamp) {
		return name, ""
	}
	return strings.TrimRight(text[:at], "([/_ "), TimeUnit(unit)
}

// mapped takes the columns that the mapping names.
func (h *header) mapped(seen map[string]int) {
	by := map[string]string{}
	for _, name := range sortedKeys(h.mapping.Signals) {
		path, signal := source.Join("signals", name), h.mapping.Signals[name]
		at, there := seen[name]
		s, known := h.known[signal]
		switch other, twice := by[signal]; {
		case !there:
			h.problems = append(h.problems, h.mapping.problem(path, "the record has no column %s%s", quoted(name), nearestOf(name, h.names)))
		case at == h.time:
			h.problems = append(h.problems, h.mapping.problem(path, "the column %s holds the time", quoted(name)))
		case !known:
			h.problems = append(h.problems, h.mapping.problem(path, "the machine has no signal or value %s%s", quoted(signal), nearestOf(signal, sortedKeys(h.known))))
		case twice:
			h.problems = append(h.problems, h.mapping.problem(path, "%s is the column %s already", signal, quoted(other)))
		default:
			by[signal] = name
			h.columns = append(h.columns, column{Signal: s, at: at})
		}
	}
	for i, n := range h.names {
		if _, used := h.mapping.Signals[n]; !used && i != h.time {
			h.unused = append(h.unused, n)
		}
	}
}

// named takes the columns by their names.
func (h *header) named(seen map[string]int) {
	for i, n := range h.mapping.Ignore {
		if _, there := seen[n]; !there {
			h.problems = append(h.problems, h.mapping.problem(source.Join("ignore", fmt.Sprint(i)), "the record has no column %s%s", quoted(n), nearestOf(n, h.names)))
		}
	}
	for i, n := range h.names {
		s, known := h.known[n]
		switch {
		case i == h.time:
		case slices.Contains(h.mapping.Ignore, n):
			h.unused = append(h.unused, n)
		case seen[n] != i: // reported
		case !known:
			h.problem(i, "the machine has no signal or value %s%s; a mapping can say which signal a column is, or leave it out", quoted(n), nearestOf(n, sortedKeys(h.known)))
		default:
			h.columns = append(h.columns, column{Signal: s, at: i})
		}
	}
}

func (h *header) invert() {
	for i, name := range h.mapping.Inverted {
		path := source.Join("inverted", fmt.Sprint(i))
		at := slices.IndexFunc(h.columns, func(c column) bool { return c.Name == name })
		switch {
		case at < 0:
			var names []string
			for _, c := range h.columns {
				names = append(names, c.Name)
			}
			h.problems = append(h.problems, h.mapping.problem(path, "no column holds the signal %s%s", quoted(name), nearestOf(name, names)))
		case h.columns[at].Number || h.columns[at].Words != nil:
			h.problems = append(h.problems, h.mapping.problem(path, "%s is not true or false, so it can't be inverted", name))
		default:
			h.columns[at].inverted = true
		}
	}
}
