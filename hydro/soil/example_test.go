package soil_test

import (
	"fmt"

	"wetfeet/hydro/soil"
)

// What of a cloudburst runs off a grassed orchard, and how long a hand's depth
// of water stands.
func ExampleKnown() {
	orchard := soil.Known{Texture: "sandy loam", Cover: "orchard, grassed, good", Measured: 12}
	curve, assumed := orchard.Curve()
	fmt.Printf("%.0f of 150 mm run off\n", curve.Runoff(150))
	for _, a := range assumed {
		fmt.Println("assumed:", a)
	}
	rate := orchard.Rate()
	fmt.Printf("100 mm sink in %.0f h, in one case of ten not before %.0f h\n", 100/rate.Median, 100/rate.Quantile(0.1))
	// Output:
	// 74 of 150 mm run off
	// assumed: hydrologic group C, by the measured rate (NEH 630, table 7-1)
	// assumed: curve number 72, for woods-grass, good on group C
	// 100 mm sink in 8 h, in one case of ten not before 24 h
}

// Two bursts of rain on one soil: the second finds it wet, but rested.
func ExampleColumn() {
	loam, _ := soil.FindTexture("loam")
	column := soil.NewColumn(loam.GreenAmpt(0.4))
	for _, step := range []struct{ rain, hours float64 }{{40, 1}, {0, 12}, {40, 1}} {
		in := column.Rain(step.rain, step.hours)
		fmt.Printf("%2.0f mm in %2.0f h: %4.1f soak in, %4.1f run off\n", step.rain, step.hours, in, step.rain-in)
	}
	// Output:
	// 40 mm in  1 h: 14.7 soak in, 25.3 run off
	//  0 mm in 12 h:  0.0 soak in,  0.0 run off
	// 40 mm in  1 h: 10.8 soak in, 29.2 run off
}
