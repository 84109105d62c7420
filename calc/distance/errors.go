package distance

import "github.com/guardwright/guardwright/model"

// NotCoveredError says that a standard gives no formula for a case, or that its text is not known for certain.
type NotCoveredError struct {
	Standard model.DistanceStandard
	// Text says what is not covered or not certain, and what to do.
	Text string
}

// Error returns the standard and the text.
func (e *NotCoveredError) Error() string { return string(e.Standard) + ": " + e.Text }

func notCovered(standard model.DistanceStandard, text string) error {
	return &NotCoveredError{standard, text}
}
