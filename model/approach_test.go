package model_test

import (
	"testing"

	"github.com/guardwright/guardwright/model"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const approaches = `format: 1
machine: Approaches
ambient: {min: 5 °C, max: 40 °C}
kinds: {gate-of-light: {gives: [clear]}}
types:
  devices:
    curtain: {kind: light-curtain, resolution: 14 mm}
    gate: {kind: guard-lock}
    stop: {kind: emergency-stop}
    own: {kind: gate-of-light}
devices: {b1: {type: curtain}, b2: {type: curtain}, b3: {type: gate}, b4: {type: own}, b5: {type: own}, s1: {type: stop}}
drives: {belt: {stop_category: 1, ramp: 300 ms, removal_delay: 400 ms}, fan: {}}
functions:
  access:
    demand: [b1, b2, b3, b4, b5, s1]
    stops: [belt, fan]
    unlock_delay: 10 s
    approach: {direction: orthogonal, distance: 900 mm}
    approaches:
      b2: {beams: [400 mm, 900 mm], hazards: [fan]}
      b5: {arrangement: field, direction: angled, angle: 45°, standard: "ISO 13855:2024", height: 0 mm}
`

// TestApproaches: each demand device that keeps somebody away has its own approach or that of the function.
func TestApproaches(t *testing.T) {
	m, err := loadText(approaches)
	require.NoError(t, err)
	f := m.Functions[0]
	var found []string
	for _, a := range f.Approaches {
		found = append(found, a.Device.Name+" "+string(a.Arrangement)+" "+a.Path)
		assert.Same(t, a, f.ApproachOf(a.Device))
	}
	assert.Equal(t, []string{
		"b1 field functions.access.approach",
		"b2 beams functions.access.approaches.b2",
		"b3 guard functions.access.approach",
		"b4  functions.access.approach", // its own kind does not say
		"b5 field functions.access.approaches.b5",
	}, found)
	assert.Nil(t, f.ApproachOf(f.Demand[5]), "an emergency stop keeps nobody away")
	assert.Len(t, f.Approaches[0].Hazards, 2)
	require.Len(t, f.Approaches[1].Hazards, 1)
	assert.Equal(t, "fan", f.Approaches[1].Hazards[0].Name)
	assert.Zero(t, f.Approaches[1].Distance, "an approach of its own takes nothing over")
	b5 := f.Approaches[4]
	assert.Equal(t, model.Degrees(45), *b5.Angle)
	assert.Equal(t, model.ISO13855Edition2024, b5.Standard)
	require.NotNil(t, b5.Height, "zero is a height")
	assert.Equal(t, 20, f.Approaches[1].Position.Line)
}
