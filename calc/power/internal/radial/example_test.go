package radial_test

import (
	"fmt"

	"github.com/guardwright/guardwright/calc/power/internal/radial"
)

// A module behind 0.8 ohm of cable, and a second one behind it.
func Example() {
	tree, err := radial.New(radial.Source{Voltage: 24}, []radial.Node{
		{Parent: radial.Root, RPlus: 0.4, RMinus: 0.4, Current: 0.5},
		{Parent: 0, RPlus: 0.2, RMinus: 0.2, Power: 30},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	sol, err := tree.Solve()
	if err != nil {
		fmt.Println(err)
		return
	}
	collapse, err := tree.Collapse()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.4f V and %.4f V, %.4f A\n", sol.Voltage[0], sol.Voltage[1], sol.SourceCurrent)
	fmt.Printf("constant powers may grow %.4f times\n", collapse.Lower)
	// Seen from the second module: 23.6 V behind 1.2 ohm, so
	// V = (23.6 + sqrt(23.6² - 4*1.2*30))/2 and the limit is 23.6²/(4*1.2*30).

	// Output:
	// 22.5071 V and 21.9607 V, 1.8661 A
	// constant powers may grow 3.8678 times
}
