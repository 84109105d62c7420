package logic

import (
	"fmt"
	"math/bits"
)

// Bits is one Boolean column of a recorded run, 64 steps to a word, the first in the lowest bit. Unknown marks the steps in
// which the value was not recorded; nil means that all were.
type Bits struct {
	True, Unknown []uint64
}

// value returns the column's value in step i of the block.
func (b Bits) value(i int) Value {
	switch {
	case b.Unknown != nil && b.Unknown[i>>6]>>(i&63)&1 == 1:
		return Unknown
	case b.True[i>>6]>>(i&63)&1 == 1:
		return True
	}
	return False
}

// Block takes the next steps at once, column by column, and means the same as so many calls of [Monitor.Step]; formulas of
// past-time operators over recorded Boolean signals are evaluated 64 steps at a time. A column that is too short, or of an
// integer signal, is an error, and none of the steps counts.
func (m *Monitor) Block(steps int, columns []Bits) error {
	if err := m.checkBlock(steps, columns); err != nil {
		return err
	}
	if steps == 0 {
		return nil
	}
	if !m.wordsTried {
		m.words, m.wordsTried = newWords(m), true
	}
	if m.words == nil {
		row := make([]Value, len(columns))
		for i := range steps {
			for c := range columns {
				row[c] = columns[c].value(i)
			}
			if err := m.Step(row); err != nil {
				return err
			}
		}
		return nil
	}
	m.block(steps, columns)
	return nil
}

func (m *Monitor) checkBlock(steps int, columns []Bits) error {
	if len(columns) != len(m.columns) {
		return fmt.Errorf("step %d: %d columns of bits for %d columns", m.steps, len(columns), len(m.columns))
	}
	if steps < 0 {
		return fmt.Errorf("step %d: %d steps", m.steps, steps)
	}
	need := (steps + 63) / 64
	for i, c := range columns {
		sig := &m.s.g.signals[m.columns[i]]
		switch {
		case m.s.g.nodes[sig.node].op.integer():
			return fmt.Errorf("column %q is an integer; give its values step by step", sig.name)
		case len(c.True) < need || c.Unknown != nil && len(c.Unknown) < need:
			return fmt.Errorf("step %d: column %q has fewer than %d words for %d steps", m.steps, sig.name, need, steps)
		}
	}
	return nil
}

// block evaluates the steps word by word.
func (m *Monitor) block(steps int, columns []Bits) {
	m.last, m.still = nil, false
	exact := m.words.load() && m.recorded
	for _, c := range columns {
		exact = exact && c.Unknown == nil
	}
	total := (steps + 63) / 64
	start := m.steps
	for first := 0; first < total; first += blockWords {
		c := chunk{first: first, n: min(blockWords, total-first), tail: 64, start: m.m.step == 0}
		count := 64 * c.n
		if first+c.n == total && steps%64 != 0 {
			c.tail = uint(steps % 64)
			count -= 64 - steps%64
		}
		m.words.run(c, columns, exact)
		for i := range m.checks {
			m.judgeWords(&m.checks[i], c, exact, start, columns)
		}
		m.steps += int64(count)
		m.m.step = int(m.steps)
	}
	m.words.store(exact)
	m.keepBlock(start, columns)
}

// judgeWords counts the steps of a chunk in which the check answers.
func (m *Monitor) judgeWords(k *check, c chunk, exact bool, start int64, columns []Bits) {
	f := &k.found
	f.Steps += int64(64*(c.n-1)) + int64(c.tail)
	sure := m.answerWords(&k.property, must, exact, c)
	if !exact {
		m.count(m.answerWords(&k.property, may, exact, c), &sure, &f.Unknown, &f.FirstUnknown)
	}
	if m.count(sure, nil, &f.Count, &f.First) {
		f.Window, f.WindowStart = m.cutBlock(f.First, start, columns)
	}
}

// answerRail is a rail of a property's answer, broken or met: pre and x, the latter complemented by the mask.
type answerRail struct {
	pre, x []uint64
	mask   uint64
	last   uint64 // steps of the last word
}

func (a *answerRail) word(i int) uint64 {
	w := a.pre[i] & (a.x[i] ^ a.mask)
	if i == len(a.x)-1 {
		w &= a.last
	}
	return w
}

// number is the number of steps in which the answer is given.
func (a *answerRail) number() int {
	last, mask := len(a.x)-1, a.mask
	n := bits.OnesCount64(a.word(last))
	x, pre := a.x[:last], a.pre[:last]
	for i := range x {
		n += bits.OnesCount64(pre[i] & (x[i] ^ mask))
	}
	return n
}

// count adds up the steps in which the answer is given, but not by the other rail, and tells whether the first of all is among
// them. What the other rail answers, this one does too.
func (m *Monitor) count(a answerRail, but *answerRail, count, first *int64) bool {
	n := a.number()
	if but != nil {
		n -= but.number()
	}
	*count += int64(n)
	if n == 0 || *first >= 0 {
		return false
	}
	for i := range a.x {
		w := a.word(i)
		if but != nil {
			w &^= but.word(i)
		}
		if w != 0 {
			*first = m.steps + int64(64*i+bits.TrailingZeros64(w))
			break
		}
	}
	m.news++
	return true
}

func (m *Monitor) answerWords(p *Property, rail int, exact bool, c chunk) answerRail {
	other := 1 - rail
	if exact {
		other = must
	}
	a := answerRail{pre: m.words.ones[:c.n], x: m.words.rail[other][p.expr.id][:c.n], mask: ^uint64(0), last: ^uint64(0) >> (64 - c.tail)}
	switch p.kind {
	case reachProperty:
		a.x, a.mask = m.words.rail[rail][p.expr.id][:c.n], 0
	case whenProperty:
		a.pre = m.words.rail[rail][p.when.id][:c.n]
	}
	return a
}

// cutBlock copies the rows up to a step, from the ring and from the block that began with step start.
func (m *Monitor) cutBlock(step, start int64, columns []Bits) (*Trace, int64) {
	if m.size == 0 {
		return nil, 0
	}
	t := m.emptyWindow()
	from := max(0, step+1-int64(m.size))
	for at := from; at <= step; at++ {
		row := make([]Value, len(columns))
		if at < start {
			copy(row, m.window[int(at%int64(m.size))])
		} else {
			for c := range columns {
				row[c] = columns[c].value(int(at - start))
			}
		}
		t.Values = append(t.Values, row)
	}
	return t, from
}

// keepBlock enters the last rows of the block into the ring.
func (m *Monitor) keepBlock(start int64, columns []Bits) {
	if m.size == 0 {
		return
	}
	for at := max(start, m.steps-int64(m.size)); at < m.steps; at++ {
		place := int(at % int64(m.size))
		for len(m.window) <= place {
			m.window = append(m.window, make([]Value, len(columns)))
		}
		for c := range columns {
			m.window[place][c] = columns[c].value(int(at - start))
		}
	}
}
