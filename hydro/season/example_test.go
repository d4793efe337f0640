package season_test

import (
	"context"
	"fmt"
	"time"

	"wetfeet/hydro"
	"wetfeet/hydro/season"
	"wetfeet/hydro/soil"
	"wetfeet/hydro/storm"
	"wetfeet/hydro/weather"
	"wetfeet/terrain"
)

// Ten invented years over a shallow hollow in a clay yard, and three trees: one
// on its floor, one on a mound of 8 cm beside it, and one above the brim.
func ExampleRun() {
	z := terrain.NewGrid[float32](terrain.Frame{Rows: 5, Cols: 9, CellSize: 2})
	copy(z.Cells, []float32{
		10.4, 10.4, 10.4, 10.4, 10.4, 10.4, 10.4, 10.4, 10.4,
		10.4, 10.3, 10.25, 10.2, 10.2, 10.25, 10.3, 10.3, 10.4,
		10.4, 10.3, 10.2, 10.0, 10.0, 10.1, 10.2, 10.22, 10.2,
		10.4, 10.3, 10.25, 10.2, 10.2, 10.25, 10.3, 10.3, 10.4,
		10.4, 10.4, 10.4, 10.4, 10.4, 10.4, 10.4, 10.4, 10.4,
	})
	site, err := storm.Prepare(hydro.FindHollows(z), storm.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	clay, _ := season.ZoneOf(soil.Known{Texture: "clay", Cover: "row crops"}, 0.5)
	tree := func(row, col int, crown float64) season.Position {
		return season.Position{Cell: z.Index(row, col), Roots: storm.Roots{Crown: crown, Depth: 0.4, Porosity: 0.02, Drainage: 0.5}}
	}
	res, err := season.Run(context.Background(), site, weather.WarmTemperate.Invent(1, 2001, 10), season.Options{
		Zones:        []season.Zone{clay},
		Latitude:     weather.WarmTemperate.Latitude,
		Infiltration: []float64{0.5},
		Growing:      season.Growing{First: season.Date{Month: time.April, Day: 1}, Last: season.Date{Month: time.October, Day: 31}},
		Positions:    []season.Position{tree(2, 3, 0), tree(2, 3, 0.08), tree(1, 1, 0)},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	for p, name := range []string{"on the floor", "on a mound", "above the brim"} {
		years, err := res.Summary(p)
		if err != nil {
			fmt.Println(err)
			return
		}
		returns, err := season.ReturnsOf(res.LongestSpells(p))
		if err != nil {
			fmt.Println(err)
			return
		}
		ten, err := returns.Once(10)
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Printf("%s: longest wet spell %.1f days in the middle year, %.1f once in ten\n", name, years.Longest, ten)
	}
	// Output:
	// on the floor: longest wet spell 52.0 days in the middle year, 109.1 once in ten
	// on a mound: longest wet spell 26.9 days in the middle year, 71.1 once in ten
	// above the brim: longest wet spell 0.0 days in the middle year, 0.0 once in ten
}
