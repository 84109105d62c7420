package rules

import (
	"maps"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/guardwright/guardwright/model"
)

// described says in which kind the entries of a description are found, and under which other names.
type described struct {
	kind string
	spec reflect.Type
	// other are entries that have another name, or none, in the kind; the value says where they are.
	other map[string]string
}

func descriptions() []described {
	ambient := map[string]string{"ambient": "ambient_min"}
	permitted := map[string]string{"temperature": "temperature_min", "loads": ""}
	return []described{
		{"machine", reflect.TypeFor[model.Description](), map[string]string{
			"format": "", "machine": "name", "use": "", "ambient": "ambient_min", "kinds": "", "types": "", "power": "supplies",
			"logic": "has_logic", "accept": ""}},
		{"machine", reflect.TypeFor[model.PowerSpec](), map[string]string{"ampacity": "ampacity_standard", "laying": ""}},
		{"zone", reflect.TypeFor[model.ZoneSpec](), ambient},
		{"device", reflect.TypeFor[model.DeviceSpec](), nil},
		{"muting", reflect.TypeFor[model.MutingSpec](), nil},
		{"standstill", reflect.TypeFor[model.StandstillSpec](), nil},
		{"device", reflect.TypeFor[model.KindSpec](), nil},
		{"device_type", reflect.TypeFor[model.DeviceType](), permitted},
		{"load", reflect.TypeFor[model.LoadType](), map[string]string{"inrush": "inrush_stated"}},
		{"load", reflect.TypeFor[model.Inrush](), map[string]string{
			"capacitance": "inrush_capacitance", "current": "inrush_current", "duration": "inrush_duration", "none": "inrush_none"}},
		{"cable", reflect.TypeFor[model.LayingSpec](), map[string]string{"method": "laying_method"}},
		{"supply_type", reflect.TypeFor[model.Boost](), map[string]string{"current": "boost_current", "duration": "boost_duration"}},
		{"module", reflect.TypeFor[model.ModuleSpec](), nil},
		{"module_type", reflect.TypeFor[model.ModuleType](), map[string]string{"temperature": "temperature_min", "loads": "", "ports": "", "sets": ""}},
		{"port", reflect.TypeFor[model.PortSpec](), nil},
		{"port", reflect.TypeFor[model.PortType](), nil},
		{"parameter_set", reflect.TypeFor[model.ParameterSet](), nil},
		{"cable", reflect.TypeFor[model.CableRunSpec](), map[string]string{"ambient": "ambient_min", "laying": "laying_method"}},
		{"cable_type", reflect.TypeFor[model.CableType](), map[string]string{"temperature": "temperature_min"}},
		{"connector", reflect.TypeFor[model.ConnectorType](), nil},
		{"supply", reflect.TypeFor[model.SupplySpec](), ambient},
		{"supply_type", reflect.TypeFor[model.SupplyType](), map[string]string{"boost": "boost_current"}},
		{"protection", reflect.TypeFor[model.ProtectionSpec](), map[string]string{"ambient": "ambient_min", "from": "upstream"}},
		{"protection_type", reflect.TypeFor[model.ProtectionType](), nil},
		{"feed", reflect.TypeFor[model.FeedSpec](), nil},
		{"feed_circuit", reflect.TypeFor[model.FeedCircuitSpec](), map[string]string{"from": "protection"}},
		{"controller", reflect.TypeFor[model.ControllerSpec](), nil},
		{"controller_type", reflect.TypeFor[model.ControllerType](), permitted},
		{"switch", reflect.TypeFor[model.SwitchSpec](), nil},
		{"switch_type", reflect.TypeFor[model.SwitchType](), permitted},
		{"network", reflect.TypeFor[model.NetworkSpec](), nil},
		{"network", reflect.TypeFor[model.PlantSpec](), map[string]string{"through": "plant", "at": "plant_at"}},
		{"link", reflect.TypeFor[model.LinkSpec](), nil},
		{"ring", reflect.TypeFor[model.RingSpec](), nil},
		{"connection", reflect.TypeFor[model.ConnectionSpec](), nil},
		{"flow", reflect.TypeFor[model.FlowSpec](), nil},
		{"forwarding", reflect.TypeFor[model.ForwardingType](), nil},
		{"drive", reflect.TypeFor[model.DriveSpec](), nil},
		{"safety_function", reflect.TypeFor[model.FunctionSpec](), map[string]string{"approach": "approaches"}},
		{"approach", reflect.TypeFor[model.ApproachSpec](), nil},
		{"ratio_at", reflect.TypeFor[model.RatioAt](), nil},
		{"current_at", reflect.TypeFor[model.CurrentAt](), nil},
		{"trip_point", reflect.TypeFor[model.TripPoint](), nil},
	}
}

// TestVocabularyCoversTheDescription: what a machine file can say, a rule can ask for.
func TestVocabularyCoversTheDescription(t *testing.T) {
	l := newLanguage()
	for _, d := range descriptions() {
		names, _ := entries(d.spec)
		require.NotEmpty(t, names, d.kind)
		fields := l.kinds[d.kind].fieldNames()
		for _, name := range names {
			other, renamed := d.other[name]
			if renamed && other == "" {
				continue
			}
			if renamed {
				name = other
			}
			assert.Contains(t, fields, name, "%s has no field for the entry of %s", d.kind, d.spec)
		}
		for name := range maps.Keys(d.other) {
			assert.Contains(t, names, name, "%s has no such entry any more", d.spec)
		}
	}
}

// TestVocabularyCoversTheQuantities: every quantity of a machine file is one of the rule language, in the same words.
func TestVocabularyCoversTheQuantities(t *testing.T) {
	q := newQuantityTypes()
	for _, info := range model.QuantityInfos() {
		found := slices.ContainsFunc(q.all(), func(qt *quantityType) bool {
			return qt.goType != nil && qt.goType.Name() == info.Name && qt.noun == info.Quantity
		})
		assert.True(t, found, "no type of the rule language for %s", info.Name)
	}
	for _, qt := range q.all() {
		made := slices.ContainsFunc(literals(q), func(f function) bool { return f.operations[0].result == qt.cel })
		assert.True(t, made, "no function makes a %s", qt.name)
		assert.False(t, strings.Contains(qt.name, " "), qt.name)
	}
}
