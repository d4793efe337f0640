package ground

import (
	"fmt"
	"math"
	"slices"

	"wetfeet/cmd/internal/fault"
	"wetfeet/terrain/raster"
	"wetfeet/terrain/survey"

	"github.com/paulmach/orb"
)

// inUse is an error where shots lie far from where their system is used: a
// wrong system, or x and y the wrong way round. Farms on the edge of a zone
// are surveyed in its neighbour's, so half the breadth of the area beyond it
// still goes.
func inUse(name string, shots []survey.Shot, crs string) error {
	if crs == "" || len(shots) == 0 {
		return nil
	}
	area, where, ok := raster.AreaOfUse(crs)
	if !ok {
		return nil
	}
	toLonLat, err := raster.LonLat(crs)
	if err != nil {
		return err
	}
	x, y := make([]float64, len(shots)), make([]float64, len(shots))
	for i, s := range shots {
		x[i], y[i] = s.Point[0], s.Point[1]
	}
	slices.Sort(x)
	slices.Sort(y)
	middle := orb.Point{x[len(x)/2], y[len(y)/2]}
	fits := func(p orb.Point) bool {
		q, err := toLonLat(p)
		if err != nil {
			return false
		}
		wide, high := (area.Max[0]-area.Min[0])/2, (area.Max[1]-area.Min[1])/2
		lon := q[0]
		for lon < area.Min[0]-wide && lon+360 <= area.Max[0]+wide {
			lon += 360
		}
		return lon >= area.Min[0]-wide && lon <= area.Max[0]+wide && q[1] >= area.Min[1]-min(high, 2) && q[1] <= area.Max[1]+min(high, 2)
	}
	if fits(middle) {
		return nil
	}
	info, err := raster.Describe(crs)
	if err != nil {
		return err
	}
	hint := "is the coordinate system the right one?"
	if fits(orb.Point{middle[1], middle[0]}) {
		hint = "they would fit with x and y swapped: x is the easting and y the northing"
	}
	return fault.Input(fmt.Errorf("%s: the shots lie around x %.0f, y %.0f, far from where %s is used (%s; longitude %s, latitude %s); %s",
		name, middle[0], middle[1], info.Name, where, span(area.Min[0], area.Max[0]), span(area.Min[1], area.Max[1]), hint))
}

func span(low, high float64) string {
	return fmt.Sprintf("%g to %g", math.Round(low*100)/100, math.Round(high*100)/100)
}
