package contour

import "github.com/paulmach/orb"

// Round is a line with its corners cut by Chaikin's rule, each pass putting
// two points, at a quarter and three quarters, in the place of each segment.
// The ends of an open line stay; a ring, whose last point repeats its first,
// stays one. It is for drawing: the points no longer lie at the level.
func Round(line orb.LineString, passes int) orb.LineString {
	for range passes {
		n := len(line)
		if n < 3 {
			return line
		}
		ring := line[0] == line[n-1]
		out := make(orb.LineString, 0, 2*n)
		if !ring {
			out = append(out, line[0])
		}
		for i := 1; i < n; i++ {
			a, b := line[i-1], line[i]
			if ring || i > 1 {
				out = append(out, between(a, b, 0.25))
			}
			if ring || i < n-1 {
				out = append(out, between(a, b, 0.75))
			}
		}
		if ring {
			out = append(out, out[0])
		} else {
			out = append(out, line[n-1])
		}
		line = out
	}
	return line
}

func between(a, b orb.Point, t float64) orb.Point {
	return orb.Point{a[0] + float64(t*(b[0]-a[0])), a[1] + float64(t*(b[1]-a[1]))}
}
