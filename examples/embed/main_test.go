package main

import (
	"context"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/guardwright/guardwright/examples/internal/golden"
)

var update = golden.Flag()

func TestRun(t *testing.T) {
	var b strings.Builder
	require.NoError(t, run(context.Background(), &b))
	golden.Equal(t, *update, b.String())
}
