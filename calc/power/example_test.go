package power_test

import (
	"context"
	"fmt"
	"log"

	"github.com/guardwright/guardwright/calc/power"
	"github.com/guardwright/guardwright/model"
)

// A supply, a protective device, one cable and one controller.
func ExampleCompute() {
	factor := model.Ratio(1.5)
	load := model.Power(30)
	cold, warm := model.Celsius(20), model.Celsius(40)
	m, err := model.Build(model.Description{
		Format: 1, Machine: "Press",
		Ambient: model.TemperatureRange{Min: &cold, Max: &warm},
		Types: model.Types{
			Cables:   map[string]model.CableType{"wire": {Cores: 2, Section: model.SquareMillimetres(1.5)}},
			Supplies: map[string]model.SupplyType{"ps": {Min: 23.5, Max: 24.5, Rated: 5, Limit: 60}},
			Protections: map[string]model.ProtectionType{
				"c4": {Kind: model.Breaker, Rated: 4, Characteristic: model.BandC, DCFactor: &factor},
			},
			Controllers: map[string]model.ControllerType{
				"plc": {Loads: map[string]model.LoadType{"electronics": {Power: &load, Min: model.Volts(20.4)}}},
			},
		},
		Controllers: map[string]model.ControllerSpec{"c1": {Type: "plc"}},
		Power: model.PowerSpec{
			Supplies:    map[string]model.SupplySpec{"ps1": {Type: "ps"}},
			Protections: map[string]model.ProtectionSpec{"q1": {Type: "c4", From: "ps1"}},
			Feeds: map[string]model.FeedSpec{"f1": {
				To: "c1", Cable: &model.CableRunSpec{Type: "wire", Length: model.Metres(30)},
				Sensor: &model.FeedCircuitSpec{From: "q1"},
			}},
		},
	})
	if err != nil {
		log.Fatal(err)
	}
	result, err := power.Compute(context.Background(), m, power.Options{})
	if err != nil {
		log.Fatal(err)
	}
	lowest := result.Controllers[0].Loads[0].Lowest
	fmt.Println("lowest voltage", lowest.Value.Format(4), "margin", lowest.Margin.Format(3))
	trip := result.Feeds[0].Circuits[0].Run.Fault.Trip
	fmt.Println("short circuit", trip.Value.Format(3), "needed", trip.Limit.Format(3), trip.Status)
	// Output:
	// lowest voltage 22.21 V margin 1.81 V
	// short circuit 23.3 A needed 60 A beyond
}
