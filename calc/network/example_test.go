package network_test

import (
	"context"
	"fmt"

	"github.com/guardwright/guardwright/calc/network"
	"github.com/guardwright/guardwright/model"
)

// A ring of a controller and three modules: what single faults cost, how full its links are, and how late data can come.
func ExampleCompute() {
	machine, err := model.LoadFile("../../testdata/network/rings.yaml")
	if err != nil {
		fmt.Println(err)
		return
	}
	r, err := network.Compute(context.Background(), machine, network.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, f := range r.Reach[0].Faults[:5] {
		fmt.Printf("%s: %d modules lost\n", f.Link.Link.Name, f.Lost.Len())
	}
	c := r.Connections[0]
	fmt.Println(c.Connection.Name, "delay", c.Delay.Status, c.Delay.Value.Format(3), "of", c.Delay.Limit.Format(3))
	fmt.Println(c.Connection.Name, "recovery", c.Recovery.Status, c.Recovery.Value.Format(3), "of", c.Recovery.Limit.Format(3))
	fmt.Println(r.Connections[2].Connection.Name, "delay", r.Connections[2].Delay.Status)
	// Output:
	// c1.p1 - m1.p1: 0 modules lost
	// m1.p2 - m2.p1: 0 modules lost
	// m2.p2 - m3.p1: 0 modules lost
	// m3.p2 - c1.p2: 0 modules lost
	// c1.p3 - m4.p1: 0 modules lost
	// con_m1 delay within 180 µs of 40 ms
	// con_m1 recovery within 3 ms of 19.6 ms
	// con_m9 delay unknown
}
