package raster

/*
#include <ogr_srs_api.h>
*/
import "C"

import "github.com/paulmach/orb"

// AreaOfUse is where on Earth a coordinate system is meant to be used, as the
// register has it: west, south, east and north, degrees, and its name. It is
// not ok for a system of which nobody says. An area across the date line has
// its east lie beyond 180.
func AreaOfUse(crs string) (area orb.Bound, name string, ok bool) {
	sr, err := parseCRS(crs)
	if err != nil {
		return orb.Bound{}, "", false
	}
	defer sr.Close()
	var west, south, east, north C.double
	var c *C.char // belongs to the system
	if C.OSRGetAreaOfUse(srs(sr), &west, &south, &east, &north, &c) == 0 || float64(west) < -360 || float64(south) < -90 {
		return orb.Bound{}, "", false
	}
	area = orb.Bound{Min: orb.Point{float64(west), float64(south)}, Max: orb.Point{float64(east), float64(north)}}
	if area.Max[0] < area.Min[0] {
		area.Max[0] += 360
	}
	return area, C.GoString(c), true
}
