package model_test

import (
	"testing"

	"github.com/guardwright/guardwright/model"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const withLogic = `format: 1
machine: M
ambient: {min: 5 °C, max: 40 °C}
zones: {cell: {}}
types:
  controllers: {c: {network_ports: [p1]}}
  devices: {lock: {kind: guard-lock}}
controllers: {c1: {type: c, safety_cycle: 10 ms}}
devices: {g1: {type: lock, zone: cell}}
logic:
  inputs:
    level: {min: -2, max: 3}
    mode: {one_of: [off, manual]}
  values:
    zz: g1.closed
    n: pre(n)
    lamp: pre(lamp)
    cell.run: zz
    g1.release: "!zz"
  counters: {n: {max: 5}}
  states: {lamp: {one_of: [dark, flash], initial: flash}}
  initial: {g1.release: true}
  assume: {calm: {holds: zz, off: true}}
`

// TestLogicIsResolved: values keep the order of the file and know their type, their owner and what was before them.
func TestLogicIsResolved(t *testing.T) {
	m, err := loadText(withLogic)
	require.NoError(t, err)
	l := m.Logic
	assert.Equal(t, m.Controllers[0], l.Controller)
	assert.Equal(t, model.LogicType{Number: true, Min: -2, Max: 3}, l.Inputs[0].LogicType)
	assert.Equal(t, model.LogicType{Words: []string{"off", "manual"}}, l.Inputs[1].LogicType)
	var names []string
	for _, v := range l.Values {
		names = append(names, v.Name)
	}
	assert.Equal(t, []string{"zz", "n", "lamp", "cell.run", "g1.release"}, names)
	assert.Equal(t, model.LogicType{Number: true, Max: 5}, l.Values[1].LogicType)
	assert.Equal(t, 1, l.Values[2].Initial, "the place of the word flash")
	assert.Equal(t, "zones.cell", l.Values[3].Owner)
	assert.Equal(t, "run", l.Values[3].Word)
	assert.Equal(t, "devices.g1", l.Values[4].Owner)
	assert.Equal(t, 1, l.Values[4].Initial)
	assert.True(t, l.Assume[0].Off)

	// Without a file the order is that of the names.
	built, err := model.Build(m.Description())
	require.NoError(t, err)
	names = nil
	for _, v := range built.Logic.Values {
		names = append(names, v.Name)
	}
	assert.Equal(t, []string{"cell.run", "g1.release", "lamp", "n", "zz"}, names)
}
