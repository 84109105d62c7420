package rules

import (
	"context"

	"github.com/guardwright/guardwright/calc/logic"
	"github.com/guardwright/guardwright/model"
)

// LogicSystem is the interlock logic of a machine as it is proved about, for tests that run it.
func LogicSystem(ctx context.Context, m *model.Machine) (*logic.System, error) {
	_, x, err := logicChecker(ctx, m, nil, ReplayOptions{})
	if err != nil {
		return nil, err
	}
	return x.systems()[0].sys, nil
}
