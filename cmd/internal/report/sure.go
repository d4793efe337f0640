package report

import (
	"fmt"

	"wetfeet/cmd/internal/assess"
	"wetfeet/terrain/quantity"
)

// sure says how well the soaking is known, which every time on the page hangs
// on.
func sure(r *assess.Result) string {
	s := r.Storm
	if s == nil || !(s.Doubt[1] > s.Doubt[0]) {
		return ""
	}
	return fmt.Sprintf("How sure: least known is how fast the soil takes up standing water. One time in ten it is slower than %s and one in ten faster than %s, and all times to dry on this page grow or shrink with it. A pool whose dry day you have seen says more than any table of soils.",
		quantity.FormatRate(s.Doubt[0], r.Units), quantity.FormatRate(s.Doubt[1], r.Units))
}

// A nextView is a place to hold the staff and why there.
type nextView struct{ Where, Why string }

// next lists where a reading would do most. Only ground made from spot heights
// knows.
func next(r *assess.Result) (out []nextView) {
	if r.Survey == nil {
		return nil
	}
	for _, n := range r.Next {
		out = append(out, nextView{r.Where(n.Point), n.Why})
	}
	return out
}
