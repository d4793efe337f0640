package quantity_test

import (
	"fmt"

	"wetfeet/terrain/quantity"
)

func ExampleLength() {
	for _, typed := range []string{"15 ft", `5' 7 1/4"`, "4,5 m", "7.5", "5 furlongs"} {
		metres, err := quantity.Length(typed, quantity.Feet)
		if err != nil {
			fmt.Println(err)
			continue
		}
		fmt.Println(metres, "m")
	}
	// Output:
	// 4.572 m
	// 1.70815 m
	// 4.5 m
	// 2.286 m
	// "5 furlongs" is not a length: use a number and a unit, such as 15 ft, 4.5 m, 6 in or 150 mm
}

func ExampleFormatDepth() {
	fmt.Println(quantity.FormatDepth(0.12, quantity.Metric), "or", quantity.FormatDepth(0.12, quantity.Feet))
	// Output: 12 cm or 4.7 in
}
