package model_test

import (
	"errors"
	"fmt"

	"github.com/guardwright/guardwright/model"
)

func ExampleParseCurrent() {
	current, err := model.ParseCurrent("350 mA")
	fmt.Println(current, float64(current), err)
	// Output: 350 mA 0.35 <nil>
}

func ExampleQuantityError() {
	_, err := model.ParseCurrent("350 ma")
	fmt.Println(err)

	var quantity *model.QuantityError
	if errors.As(err, &quantity) {
		fmt.Println("fix:", quantity.Nearest)
	}
	// Output:
	// current "350 ma" has the unknown unit "ma"; units are µA, mA, A, kA; did you mean "350 mA"?
	// fix: 350 mA
}

func ExampleParseCrossSection() {
	for _, text := range []string{"0.34 mm2", "AWG 18", "4/0 AWG"} {
		section, err := model.ParseCrossSection(text)
		fmt.Println(section, "=", section.Format(4), err)
	}
	// Output:
	// 0.34 mm² = 0.34 mm² <nil>
	// AWG 18 = 0.823 mm² <nil>
	// AWG 4/0 = 107.2 mm² <nil>
}

func ExampleParseRatio() {
	for _, text := range []string{"5 %", "0.91", "5"} {
		fmt.Println(model.ParseRatio(text))
	}
	// Output:
	// 5 % <nil>
	// 91 % <nil>
	// 0 % ratio "5" has no unit; write 5 % or, as a factor, 5.0; the unit is %
}

func ExampleVoltage_Format() {
	drop := model.Volts(24) - model.Volts(22.404123)
	fmt.Println(drop.Format(3))
	// Output: 1.6 V
}

func ExamplePerHour() {
	fmt.Println(model.PerHour(5e-8), model.Years(20), model.Percent(99), model.OhmsPerKilometre(13.3))
	// Output: 5e-8 1/h 20 a 99 % 13.3 Ω/km
}
