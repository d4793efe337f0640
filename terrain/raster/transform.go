package raster

import (
	"errors"
	"fmt"
	"math"
	"runtime"
	"sync"

	"github.com/airbusgeo/godal"
	"github.com/paulmach/orb"
)

// A Transform moves points from one coordinate system to another. It may
// wander between goroutines but serves one at a time.
type Transform struct {
	from, to string
	ct       *godal.Transform // nil once closed
	cleanup  runtime.Cleanup
}

// NewTransform readies the way between two systems, each named as [Describe]
// takes it. Geographic coordinates are longitude, latitude.
func NewTransform(from, to string) (*Transform, error) {
	src, err := parseCRS(from)
	if err != nil {
		return nil, err
	}
	defer src.Close()
	dst, err := parseCRS(to)
	if err != nil {
		return nil, err
	}
	defer dst.Close()
	return newTransform(src, dst)
}

func newTransform(src, dst *godal.SpatialRef) (*Transform, error) {
	from, to := name(src), name(dst)
	var l listener
	ct, err := godal.NewTransform(src, dst, godal.ErrLogger(l.hear))
	if err != nil {
		return nil, bad("there is no known way from %s to %s", from, to)
	}
	t := &Transform{from: from, to: to, ct: ct}
	t.cleanup = runtime.AddCleanup(t, (*godal.Transform).Close, ct)
	return t, nil
}

// Close frees the transform. A second Close does nothing, and one that is
// forgotten is made up for by the garbage collector.
func (t *Transform) Close() {
	if t.ct != nil {
		t.cleanup.Stop()
		t.ct.Close()
		t.ct = nil
	}
}

// Points moves every point in place. If one cannot be moved, because it lies
// where the other system does not reach, the error names it and every such
// point is left NaN.
func (t *Transform) Points(points []orb.Point) error {
	if t.ct == nil {
		return errors.New("raster: use of a closed Transform")
	}
	if len(points) == 0 {
		return nil
	}
	xy := make([]float64, 2*len(points))
	x, y := xy[:len(points)], xy[len(points):]
	for i, p := range points {
		x[i], y[i] = p[0], p[1]
	}
	moved := make([]bool, len(points))
	_ = t.ct.TransformEx(x, y, nil, moved) // the slice says more than the error
	runtime.KeepAlive(t)
	first, failed := orb.Point{}, 0
	for i, was := range points {
		points[i] = orb.Point{x[i], y[i]}
		if !moved[i] || !finite(x[i]) || !finite(y[i]) || !finite(was[0]) || !finite(was[1]) {
			if failed == 0 {
				first = was
			}
			failed++
			points[i] = orb.Point{math.NaN(), math.NaN()}
		}
	}
	switch {
	case failed == 1:
		return bad("the point %s of %s has no place in %s", show(first), t.from, t.to)
	case failed > 1:
		return bad("%d points of %s, the first at %s, have no place in %s", failed, t.from, show(first), t.to)
	}
	return nil
}

// Point moves one point.
func (t *Transform) Point(p orb.Point) (orb.Point, error) {
	one := []orb.Point{p}
	err := t.Points(one)
	return one[0], err
}

// LonLat is the way from a system to longitude and latitude on WGS 84,
// degrees. The function it returns is safe for several goroutines at once.
func LonLat(crs string) (func(orb.Point) (orb.Point, error), error) {
	return way(crs, LonLatCRS)
}

// FromLonLat is the way from longitude and latitude on WGS 84, degrees, to a
// system. The function it returns is safe for several goroutines at once.
func FromLonLat(crs string) (func(orb.Point) (orb.Point, error), error) {
	return way(LonLatCRS, crs)
}

func way(from, to string) (func(orb.Point) (orb.Point, error), error) {
	t, err := NewTransform(from, to)
	if err != nil {
		return nil, err
	}
	var mu sync.Mutex
	return func(p orb.Point) (orb.Point, error) {
		mu.Lock()
		defer mu.Unlock()
		return t.Point(p)
	}, nil
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// show writes a point to the millimetre, or to 1e-7 of a degree.
func show(p orb.Point) string {
	if math.Abs(p[0]) <= 360 && math.Abs(p[1]) <= 360 {
		return fmt.Sprintf("(%.10g, %.10g)", p[0], p[1])
	}
	return fmt.Sprintf("(%.3f, %.3f)", p[0], p[1])
}
