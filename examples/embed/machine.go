package main

import (
	"strconv"

	"github.com/guardwright/guardwright/model"
)

// machine describes a conveyor with a row of guard locks. A program would take the number of gates and the lengths from
// its own database.
func machine() model.Description {
	d := model.Description{
		Format:  1,
		Machine: "Conveyor with four gates",
		Ambient: model.TemperatureRange{Min: ptr(model.Celsius(5)), Max: ptr(model.Celsius(40))},
		Devices: map[string]model.DeviceSpec{},
		Modules: map[string]model.ModuleSpec{},
		Power: model.PowerSpec{
			Supplies:    map[string]model.SupplySpec{"ps": {Type: "supply_10"}},
			Protections: map[string]model.ProtectionSpec{"q1": {Type: "electronic_4", From: "ps"}},
			Feeds:       map[string]model.FeedSpec{},
		},
	}
	before := ""
	for i := range 4 {
		n := strconv.Itoa(i + 1)
		gate, module := "gate_"+n, "m"+n
		d.Devices[gate] = model.DeviceSpec{Type: "lock"}
		d.Modules[module] = model.ModuleSpec{Type: "locks_2", Ports: map[string]model.PortSpec{
			"1": {Device: gate, Cable: &model.CableRunSpec{Type: "sensor_cable", Length: model.Metres(8)}},
		}}
		feed := model.FeedSpec{From: before, To: module, Cable: &model.CableRunSpec{Type: "power_cable", Length: model.Metres(20)}}
		if before == "" {
			feed.Sensor, feed.Actuator = &model.FeedCircuitSpec{From: "q1"}, &model.FeedCircuitSpec{From: "q1"}
		}
		d.Power.Feeds["f"+n] = feed
		before = module
	}
	return d
}

// parts are the component data, as the data sheets of the (invented) parts give them.
func parts() model.Parts {
	return model.Parts{
		Format: 1,
		Parts:  "Parts of the house",
		Types: model.Types{
			Connectors: map[string]model.ConnectorType{
				"m12_power":  {Contacts: 4, Coding: "T", Rating: model.Amps(12), ContactResistance: model.MilliOhms(5)},
				"m12_sensor": {Contacts: 8, Coding: "A", Rating: model.Amps(2), ContactResistance: model.MilliOhms(8)},
			},
			Cables: map[string]model.CableType{
				"power_cable":  {Cores: 4, Section: model.SquareMillimetres(1.5), Ends: []string{"m12_power", "m12_power"}},
				"sensor_cable": {Cores: 8, Section: model.SquareMillimetres(0.25), Resistance: model.OhmsPerKilometre(79), Ampacity: model.Amps(2), Ends: []string{"m12_sensor", "m12_sensor"}},
			},
			Supplies: map[string]model.SupplyType{
				"supply_10": {Min: model.Volts(23.5), Max: model.Volts(24.5), Rated: model.Amps(10), Limit: model.Amps(12)},
			},
			Protections: map[string]model.ProtectionType{
				"electronic_4": {Kind: model.Electronic, Rated: model.Amps(4), Trip: []model.TripPoint{
					{Current: model.Amps(5.2), Time: model.Seconds(3)}, {Current: model.Amps(8), Time: model.Milliseconds(100)}}},
			},
			Modules: map[string]model.ModuleType{
				"locks_2": {
					Ports:    map[string]model.PortType{"1-2": {Contacts: 8, Connector: "m12_sensor", Inputs: 2, Outputs: 1, Limit: model.Amps(1)}},
					Loads:    map[string]model.LoadType{"electronics": {Power: ptr(model.Watts(3)), Min: model.Volts(18), Max: model.Volts(30)}},
					PowerIn:  "m12_power",
					PowerOut: "m12_power",
				},
			},
			Devices: map[string]model.DeviceType{
				"lock": {Kind: "guard-lock", Outputs: model.OSSD, Channels: 2, Cores: 8, Loads: map[string]model.LoadType{
					"electronics": {Current: ptr(model.MilliAmps(60)), Min: model.Volts(20.4), Max: model.Volts(26.4)},
					"magnet":      {Circuit: model.Actuator, Resistance: ptr(model.Ohms(62)), Min: model.Volts(20.4), Max: model.Volts(26.4)},
				}},
			},
		},
	}
}

func ptr[T any](x T) *T { return &x }
