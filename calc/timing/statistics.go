package timing

import (
	"fmt"
	"math"

	"github.com/guardwright/guardwright/model"
)

// leastReadings is the number of measurements that ISO 13855:2010 annex D asks for.
const leastReadings = 10

// Statistics are those of measured stopping times.
type Statistics struct {
	Count int
	// Highest reading.
	Highest model.Duration
	// Mean of the readings.
	Mean model.Duration
	// Deviation is the standard deviation of the sample, with n - 1.
	Deviation model.Duration
	// Value is the stopping time to use: the larger of the highest reading and the mean plus three standard deviations.
	Value model.Duration
}

// FromReadings computes the stopping time to use from measured ones (ISO 13855:2010 annex D). It needs two readings or
// more; that ten are asked for is checked elsewhere. A reading that is not above zero is an error.
func FromReadings(readings []model.Duration) (Statistics, error) {
	n := len(readings)
	if n < 2 {
		return Statistics{}, fmt.Errorf("found %d measured stopping times, wanted at least 2 for a standard deviation (the standard asks for %d)", n, leastReadings)
	}
	s := Statistics{Count: n}
	var sum float64
	for i, r := range readings {
		if !(r > 0) || math.IsInf(float64(r), 0) {
			return Statistics{}, fmt.Errorf("reading %d is %s, wanted a time above 0 s", i+1, r)
		}
		sum += float64(r)
		s.Highest = max(s.Highest, r)
	}
	mean := sum / float64(n)
	var squares float64
	for _, r := range readings {
		squares += (float64(r) - mean) * (float64(r) - mean)
	}
	deviation := math.Sqrt(squares / float64(n-1))
	s.Mean, s.Deviation = model.Duration(mean), model.Duration(deviation)
	s.Value = max(s.Highest, model.Duration(mean+3*deviation))
	return s, nil
}
