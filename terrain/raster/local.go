package raster

import "fmt"

// LocalCRS is a system of metres around a place, for coordinates that were
// taped from a peg: x to the east and y to the north of it. It is a transverse
// Mercator projection of WGS 84 with its origin there, true to scale to a
// millionth within 9 km of it, whichever its zone (Snyder 1987, p. 61).
func LocalCRS(lon, lat float64) string {
	return fmt.Sprintf("+proj=tmerc +lat_0=%.9f +lon_0=%.9f +k=1 +x_0=0 +y_0=0 +datum=WGS84 +units=m +no_defs", lat, lon)
}
