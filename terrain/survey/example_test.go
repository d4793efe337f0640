package survey_test

import (
	"fmt"
	"strings"

	"wetfeet/terrain/survey"

	"github.com/paulmach/orb"
)

// A bed shot with a laser level at the corners of 10 m squares: it falls to
// the east, and the middle lies low.
func ExampleFit() {
	table, err := survey.ReadShots(strings.NewReader(`name,x,y,z,error_cm
A1,0,0,12.10,1
A2,10,0,12.05,1
A3,20,0,12.00,1
B1,0,10,12.11,1
B2,10,10,11.90,1
B3,20,10,12.01,1
C1,0,20,12.10,1
C2,10,20,12.04,1
C3,20,20,12.00,1
`), "bed.csv")
	if err != nil {
		fmt.Println(err)
		return
	}
	ground, err := survey.Fit(table.Shots, survey.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, x := range []float64{0, 5, 10, 15, 20} {
		z, sd := ground.Predict(orb.Point{x, 10})
		fmt.Printf("x %2.0f m: %.2f m, give or take %.0f cm\n", x, z, 100*sd)
	}
	// Output:
	// x  0 m: 12.11 m, give or take 1 cm
	// x  5 m: 11.99 m, give or take 4 cm
	// x 10 m: 11.90 m, give or take 1 cm
	// x 15 m: 11.94 m, give or take 4 cm
	// x 20 m: 12.01 m, give or take 1 cm
}

func ExampleReadShots() {
	_, err := survey.ReadShots(strings.NewReader("Easting;Northing;Elev (ft)\n500100,5;3100020;41,2\n500110;3100020;about 40\n"), "bed.csv")
	fmt.Println(err)
	// Output:
	// bed.csv, line 3, Elev (ft): "about 40" is not a plain number such as 12.34
}
