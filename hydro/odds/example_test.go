package odds_test

import (
	"context"
	"fmt"
	"math"
	"slices"

	"wetfeet/hydro/odds"
	"wetfeet/hydro/storm"
	"wetfeet/terrain"
)

// levels is a garden with a hollow whose floor nobody knows to better than 10
// cm either way: a source of draws in which it takes one depth after another.
type levels struct{ terrain.Frame }

func (l levels) Pair(k int, a, b []float32) {
	l.draw(2*k, a)
	l.draw(2*k+1, b)
}

func (l levels) draw(n int, z []float32) {
	deep := 0.10 + 0.02*float64(n%11-5) // 0 to 20 cm
	for i := range z {
		row, col := l.Cell(i)
		d := math.Hypot(float64(row-10), float64(col-10)) / 5
		z[i] = float32(10 - deep*max(0, 1-d*d))
	}
}

// Will a tree in the middle of the hollow stand in water, and what if it is
// planted 5 cm up?
func ExampleRun() {
	garden := levels{terrain.Frame{Rows: 21, Cols: 21, CellSize: 1}}
	r, err := odds.Run(context.Background(), odds.Options{
		Frame:   garden.Frame,
		Source:  func() odds.Source { return garden },
		Draws:   110,
		Watch:   []int{garden.Index(10, 10)},
		Heights: []float64{0, 0.05},
		Weather: func(draw int) odds.Weather {
			return odds.Weather{
				Steps: []odds.Step{{Hours: 2, Runoff: []float64{100}}, {Hours: 200, Evaporation: 0.2}},
				Loss:  func(*storm.Site) storm.Loss { return storm.Loss{Infiltration: []float64{1.8}} },
			}
		},
	})
	if err != nil {
		panic(err)
	}
	depth, level, mound := slices.Sorted(slices.Values(r.Depth(0))), slices.Sorted(slices.Values(r.Hours(0, 0))), slices.Sorted(slices.Values(r.Hours(1, 0)))
	fmt.Printf("ponded on %.0f %% of the draws\n", 100*odds.Share(depth, r.MinDepth))
	fmt.Printf("%.0f cm deep, 80 %% of the draws between %.0f and %.0f\n", 100*odds.Quantile(depth, 0.5), 100*odds.Quantile(depth, 0.1), 100*odds.Quantile(depth, 0.9))
	fmt.Printf("wet for %.0f h on the level and %.0f h planted 5 cm up\n", odds.Quantile(level, 0.5), odds.Quantile(mound, 0.5))
	// Output:
	// ponded on 91 % of the draws
	// 10 cm deep, 80 % of the draws between 2 and 18
	// wet for 52 h on the level and 27 h planted 5 cm up
}
