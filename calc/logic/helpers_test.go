package logic

import (
	"context"
	"testing"
)

// errorer is what both *testing.T and *rapid.T offer.
type errorer interface {
	Helper()
	Fatalf(format string, args ...any)
	Context() context.Context
}

// named puts the seed of a random system before every message.
type named struct {
	*testing.T
	seed int
}

func (n named) Fatalf(format string, args ...any) {
	n.Helper()
	n.T.Fatalf("seed %d: "+format, append([]any{n.seed}, args...)...)
}
