package report

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// longStory is a run with a long wait in it.
func longStory() *Story {
	s := &Story{Steps: 1500, Shortest: true, Signals: []StorySignal{
		{Name: "p1.start", Input: true, Values: make([]string, 1500)},
		{Name: "run", Values: make([]string, 1500)},
	}}
	for i := range s.Steps {
		s.Signals[0].Values[i], s.Signals[1].Values[i] = ".", "."
	}
	s.Signals[0].Values[1499], s.Signals[1].Values[1499] = "1", "1"
	return s
}

// TestLongWaitsAreCutShort: a run of 1,500 cycles in which something happens in one of them takes a few lines.
func TestLongWaitsAreCutShort(t *testing.T) {
	r := &textReport{Report: &Report{Logic: []LogicValue{{Name: "run", Expression: "rose(p1.start)"}}}, page: &page{width: 100}}
	r.story(longStory())
	r.tell(longStory())
	assert.Equal(t, `    run:     1500 cycles from power-up, the shortest such run (1 is true, . is false, ? does not
             matter)
      cycle       0    1   .. 1498 1499
      p1.start    .    .         .    1
      run         .    .         .    1
    1500 cycles from power-up, the shortest such run
    cycle 0: from outside: everything is off
    cycles 1 to 1498: nothing changes
    cycle 1499: from outside: p1.start goes on
      run goes on, by rose(p1.start)
`, strings.TrimLeft(r.page.b.String(), "\n"))
}

func TestShortWaitsAreWrittenOut(t *testing.T) {
	s := &Story{Steps: 6, Signals: []StorySignal{{Name: "a", Values: strings.Split("..1111", "")}}}
	assert.Equal(t, []int{0, 1, 2, 3, 4, 5}, s.shownSteps())
}
