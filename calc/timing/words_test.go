package timing_test

import (
	"fmt"
	"testing"

	"github.com/guardwright/guardwright/calc/timing"
	"github.com/stretchr/testify/assert"
)

// TestWords: every value of an enumeration has words of its own.
func TestWords(t *testing.T) {
	seen := map[string]bool{}
	check := func(v fmt.Stringer) {
		assert.NotEmpty(t, v.String())
		assert.False(t, seen[fmt.Sprintf("%T %s", v, v)], "%T %d: %s again", v, v, v)
		seen[fmt.Sprintf("%T %s", v, v)] = true
	}
	for s := timing.Unknown; s <= timing.Beyond; s++ {
		check(s)
	}
	for s := timing.Detection; s <= timing.Stopping+1; s++ {
		check(s)
	}
	for c := timing.ChangeOther; c <= timing.ChangeDistance+1; c++ {
		check(c)
	}
	for b := timing.NoBasis; b <= timing.MonitorBasis+1; b++ {
		check(b)
	}
	assert.False(t, timing.Unknown.HasValue())
	assert.False(t, timing.NotApplicable.HasValue())
	assert.True(t, timing.NotCovered.HasValue())
	assert.False(t, timing.NoLimit.Decided())
	assert.True(t, timing.Beyond.Decided())
}
