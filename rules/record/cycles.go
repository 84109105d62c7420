package record

import (
	"fmt"
	"io"
	"slices"
	"time"

	"github.com/guardwright/guardwright/calc/logic"
	"github.com/guardwright/guardwright/model/source"
)

// Cycle is one safety cycle of a record, or several after each other with the same values.
type Cycle struct {
	// Time of the first of them.
	Time Time
	// Line of the row in the file from which the values are.
	Line int
	// Times is the number of cycles, 1 or more.
	Times int64
	// Lost tells that the values were not recorded; they are all unknown.
	Lost bool
	// Values are in the order of [Reader.Columns]. They stay only until the next cycle is read.
	Values []logic.Value
}

// Gap is a time from which nothing is recorded.
type Gap struct{ From, To Time }

// Count tells how much was read of a record.
type Count struct {
	Rows   int64
	Cycles int64
	// Repeated rows have the time and the values of the row before.
	Repeated int64
	// Gaps is their number, FirstGap the first, and Lost the number of cycles in them.
	Gaps     int64
	FirstGap Gap
	Lost     int64
	// Between is the number of values that are unknown because the signal changed between two rows around the cycle, Fast
	// of those because it changed more than once since the cycle before, and Unsure of those before a change.
	Between, Fast, Unsure int64
	// First and Last are the times of the first and the last row.
	First, Last Time
}

// Reader turns a record into cycles. Its memory doesn't grow with the length of the record.
type Reader struct {
	// Columns are the signals in the order of the values.
	Columns []Signal
	// Unused are the columns that are not read.
	Unused []string

	mapping *Mapping
	rows    *rows
	cycle   int64
	longest int64 // 0: no limit
	started bool
	ended   bool
	held    row           // the last row read before next
	heldAt  []logic.Value // memory of held
	next    Time          // of the next cycle
	changes []uint8       // by column, since the last cycle
	count   Count
	stages  []*stage
	queue   []Cycle // ready
	taken   int     // of the queue
	free    buffers
}

// Open reads the first line of a record and finds its columns among the signals of a machine; name stands in positions, and
// cycle is the safety cycle. The error is a [source.Problems], or what the reader returned. A nil mapping is the zero one.
func Open(in io.Reader, name string, m *Mapping, signals []Signal, cycle time.Duration) (*Reader, error) {
	if m == nil {
		m = &Mapping{}
	}
	if err := m.problems().Err(); err != nil {
		return nil, err
	}
	if cycle <= 0 {
		return nil, fmt.Errorf("record: a safety cycle of %v: wanted a time above 0", cycle)
	}
	rows, err := openRows(in, name, m, signals)
	if err != nil {
		return nil, err
	}
	r := &Reader{mapping: m, rows: rows, cycle: int64(cycle), Unused: rows.header.unused}
	computed := []bool{}
	for _, c := range rows.header.columns {
		r.Columns = append(r.Columns, c.Signal)
		computed = append(computed, c.Computed)
	}
	r.changes, r.heldAt = make([]uint8, len(r.Columns)), make([]logic.Value, len(r.Columns))
	r.longest = r.longestGap()
	if m.Lag > 0 {
		r.stages = append(r.stages, &stage{cycle: r.cycle, size: m.Lag, computed: computed})
	}
	if m.Unsure > 0 {
		r.stages = append(r.stages, &stage{cycle: r.cycle, size: m.Unsure, blurred: &r.count.Unsure})
	}
	for i, s := range r.stages {
		s.buffers, s.emit = &r.free, r.ready
		if i > 0 {
			r.stages[i-1].emit = s.push
		}
	}
	return r, nil
}

// emit hands cycles on; they may stand in memory that is used again.
func (r *Reader) emit(c Cycle) {
	c.Values = r.free.clone(c.Values)
	if len(r.stages) > 0 {
		r.stages[0].push(c)
		return
	}
	r.ready(c)
}

func (r *Reader) ready(c Cycle) { r.queue = append(r.queue, c) }

func (r *Reader) longestGap() int64 {
	switch {
	case r.mapping.LongestGap != nil:
		return max(1, int64(float64(*r.mapping.LongestGap)*1e9+0.5))
	case r.mapping.Rows == Changes:
		return 0
	case r.mapping.Rows == Cycles:
		return r.cycle + r.cycle/2
	}
	return 2 * r.cycle
}

// LongestGap is the longest time between two rows over which values hold; 0 where it has no limit.
func (r *Reader) LongestGap() time.Duration { return time.Duration(r.longest) }

// Count tells how much was read so far.
func (r *Reader) Count() Count { return r.count }

// Text prints a time of the record: in seconds, or as a time stamp in the zone of the first one.
func (r *Reader) Text(t Time) string { return r.rows.clock.text(t) }

// Next returns the next cycles; io.EOF ends the record. Any other error is a [source.Problems] with lines and columns, or what
// the reader returned, and leaves the record without a verdict.
func (r *Reader) Next() (*Cycle, error) {
	if r.taken > 0 {
		r.free.back(r.queue[r.taken-1].Values)
	}
	for r.taken == len(r.queue) {
		r.queue, r.taken = r.queue[:0], 0
		if r.ended {
			return nil, io.EOF
		}
		if err := r.readOn(); err != nil {
			return nil, err
		}
	}
	out := &r.queue[r.taken]
	r.taken++
	r.count.Cycles += out.Times
	if out.Lost {
		r.count.Lost += out.Times
	}
	return out, nil
}

// readOn reads a row and makes the cycles before it.
func (r *Reader) readOn() error {
	row, err := r.rows.next()
	switch {
	case err == io.EOF:
		r.end()
		return nil
	case err != nil:
		return err
	}
	r.count.Rows++
	if !r.started {
		r.started, r.next = true, row.time
		r.count.First, r.count.Last = row.time, row.time
		r.hold(row)
		return nil
	}
	same, err := r.inOrder(row)
	if err != nil || same {
		return err
	}
	r.count.Last = row.time
	if r.mapping.Rows == Cycles {
		err = r.rowCycles(row)
	} else {
		r.gridCycles(row)
	}
	r.hold(row)
	return err
}

func (r *Reader) hold(row *row) {
	r.held.line, r.held.time = row.line, row.time
	copy(r.heldAt, row.values)
}

// inOrder tells whether a row repeats the one before; time that goes back is a problem.
func (r *Reader) inOrder(row *row) (same bool, err error) {
	fail := func(format string, args ...any) error {
		return source.Problems{{Position: source.Position{File: r.rows.name, Line: row.line, Column: 1}, Text: fmt.Sprintf(format, args...)}}
	}
	switch {
	case row.time > r.held.time:
		return false, nil
	case row.time < r.held.time:
		return false, fail("time goes back: %s comes after %s in line %d", r.Text(row.time), r.Text(r.held.time), r.held.line)
	}
	for i, v := range row.values {
		if v != r.heldAt[i] {
			return false, fail("%s has another value than in line %d, at the same time %s", r.Columns[i].Name, r.held.line, r.Text(row.time))
		}
	}
	r.count.Repeated++
	return true, nil
}

// rowCycles makes a cycle of the row before, and lost ones of those that are missing after it.
func (r *Reader) rowCycles(row *row) error {
	d := int64(row.time - r.held.time)
	if 2*d < r.cycle {
		return source.Problems{{Position: source.Position{File: r.rows.name, Line: row.line, Column: 1}, Text: fmt.Sprintf(
			"the row comes %v after the one before, and a safety cycle lasts %v: not each row is a cycle; state rows: samples or changes", time.Duration(d), time.Duration(r.cycle))}}
	}
	c := Cycle{Time: r.held.time, Line: r.held.line, Times: 1, Values: r.heldAt}
	missing := max(1, (d+r.cycle/2)/r.cycle-1)
	switch {
	case 2*d <= 3*r.cycle:
		r.emit(c)
	case d <= r.longest: // stated: the values hold
		c.Times += missing
		r.emit(c)
	default:
		r.emit(c)
		r.lose(r.held.time+Time(r.cycle), row.time, missing)
	}
	return nil
}

func (r *Reader) lose(at, until Time, times int64) {
	if r.count.Gaps++; r.count.Gaps == 1 {
		r.count.FirstGap = Gap{r.held.time, until}
	}
	values := make([]logic.Value, len(r.Columns))
	for i := range values {
		values[i] = logic.Unknown
	}
	r.emit(Cycle{Time: at, Line: r.held.line, Times: times, Lost: true, Values: values})
}

// gridCycles makes the cycles from the row before up to this one.
func (r *Reader) gridCycles(row *row) {
	if r.next == r.held.time {
		r.onGrid()
	}
	if r.next < row.time {
		times := (int64(row.time-r.next) + r.cycle - 1) / r.cycle
		at := r.next
		r.next += Time(times * r.cycle)
		switch {
		case r.longest > 0 && int64(row.time-r.held.time) > r.longest:
			clear(r.changes)
			r.lose(at, row.time, times)
		case r.mapping.Rows == Changes:
			r.between(at, times, r.heldAt)
		default:
			values := slices.Clone(r.heldAt)
			for i, v := range row.values {
				if v != values[i] {
					if values[i] != logic.Unknown {
						r.count.Between += times
					}
					values[i] = logic.Unknown
				}
			}
			r.between(at, times, values)
		}
	}
	for i, v := range row.values {
		if v != r.heldAt[i] && r.changes[i] < 2 {
			r.changes[i]++
		}
	}
}

// onGrid makes the cycle in whose moment the row before was taken.
func (r *Reader) onGrid() {
	at := r.next
	r.next += Time(r.cycle)
	r.between(at, 1, r.heldAt)
}

// between makes cycles with the same values. What changed more than once since the cycle before is unknown in the first.
func (r *Reader) between(at Time, times int64, values []logic.Value) {
	var first []logic.Value
	for i, n := range r.changes {
		if n < 2 || values[i] == logic.Unknown {
			continue
		}
		if first == nil {
			first = slices.Clone(values)
		}
		first[i] = logic.Unknown
		r.count.Fast++
	}
	clear(r.changes)
	if first != nil {
		r.emit(Cycle{Time: at, Line: r.held.line, Times: 1, Values: first})
		at, times = at+Time(r.cycle), times-1
	}
	if times > 0 {
		r.emit(Cycle{Time: at, Line: r.held.line, Times: times, Values: values})
	}
}

// end makes the last cycle. What comes after the last row is not known.
func (r *Reader) end() {
	r.ended = true
	switch {
	case !r.started:
	case r.mapping.Rows == Cycles:
		r.emit(Cycle{Time: r.held.time, Line: r.held.line, Times: 1, Values: r.heldAt})
	case r.next == r.held.time:
		r.onGrid()
	}
}
