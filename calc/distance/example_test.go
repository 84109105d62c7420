package distance_test

import (
	"fmt"

	"github.com/guardwright/guardwright/calc/distance"
	"github.com/guardwright/guardwright/model"
)

// A light curtain for hands in front of a machine that has stopped after 320 ms, and the time that 500 mm would allow.
func ExampleOrthogonalField() {
	law, err := distance.OrthogonalField(model.ISO13855Edition2010, model.Millimetres(30))
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(law.Derivation(model.Milliseconds(320)))
	longest, ok := law.Longest(model.Millimetres(500))
	fmt.Println(longest.Format(4), ok)
	// Output:
	// 1600 mm/s · 320 ms + 128 mm = 640 mm (at 2000 mm/s more than 500 mm); ISO 13855:2010, 6.2
	// 232.5 ms true
}

func ExampleSeparateBeams() {
	_, err := distance.SeparateBeams(model.ISO13855Edition2024, 3)
	fmt.Println(err)
	// Output:
	// ISO 13855:2024: the distance of separate beams is not known for certain
}
