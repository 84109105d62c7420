package timing_test

import (
	"context"
	"fmt"
	"os"

	"github.com/guardwright/guardwright/calc/timing"
	"github.com/guardwright/guardwright/model"
)

// The table of a chain: what each part takes without any fault and with one communication fault.
func ExampleCompute() {
	m, err := model.Load(os.DirFS("../../testdata/timing"), "profisafe.yaml")
	if err != nil {
		fmt.Println(err)
		return
	}
	delay := timing.Delays{ToController: model.Milliseconds(1), FromController: model.Milliseconds(1)}
	r, err := timing.Compute(context.Background(), m, timing.Input{Delays: map[string]timing.Delays{"con_in": delay, "con_out": delay}})
	if err != nil {
		fmt.Println(err)
		return
	}
	c := r.Functions[0].Demands[0].Slowest
	for _, s := range c.Steps {
		fmt.Printf("%-27s  %5s  %5s\n", s.Stage, s.Undisturbed.Time.Format(4), s.OneFault.Time.Format(4))
	}
	fmt.Println(c.Undisturbed.Time.Format(4), c.OneFault.Time.Format(4))
	// Output:
	// detection                     5 ms   5 ms
	// input module                 10 ms  10 ms
	// network to the controller     4 ms  60 ms
	// logic                        20 ms  20 ms
	// network from the controller   4 ms   4 ms
	// output module                 8 ms   8 ms
	// switching element            10 ms  10 ms
	// stopping                     25 ms  25 ms
	// 86 ms 142 ms
}

func ExampleFromReadings() {
	s, err := timing.FromReadings([]model.Duration{0.142, 0.145, 0.139, 0.141, 0.147, 0.144, 0.143, 0.140, 0.146, 0.143})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(s.Highest, s.Mean.Format(4), s.Deviation.Format(4), s.Value.Format(5))
	// Output:
	// 147 ms 143 ms 2.582 ms 150.75 ms
}

func ExampleNetworkTimeExpectation() {
	n, err := timing.NetworkTimeExpectation{
		Interval: model.Milliseconds(10), TimeoutMultiplier: 2, PingMultiplier: 100,
		Message: model.Milliseconds(4), Coordination: model.Milliseconds(4),
	}.Smallest()
	fmt.Println(n, err)
	// Output:
	// 230 <nil>
}
