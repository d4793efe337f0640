package weather

import (
	"cmp"
	"math"
	"slices"
	"sort"
	"time"
)

// A Frequency table says how much rain falls in so long, once in so many years
// on average: depth, duration and frequency, as an atlas prints them.
type Frequency struct {
	Durations []float64   // hours, rising
	Years     []float64   // return periods, years above 1, rising
	Depth     [][]float64 // mm; Depth[i][j] in Durations[i] once in Years[j]
}

// beyond is how far past its return periods a table is carried on.
const beyond = 1.5

// Check says everything that is wrong with a table that a person typed: rain
// must grow with the duration and with the return period.
func (f *Frequency) Check() []error {
	var bad []error
	if len(f.Durations) == 0 || len(f.Years) == 0 {
		return append(bad, mistaken("the table of depth, duration and frequency is empty; one duration and one return period are needed"))
	}
	if len(f.Depth) != len(f.Durations) {
		return append(bad, mistaken("the table has %d durations but %d rows of depths", len(f.Durations), len(f.Depth)))
	}
	for j, y := range f.Years {
		if !(y > 1 && y <= 1e6) {
			bad = append(bad, mistaken("return period %g is not above 1 year and up to 1,000,000", y))
		} else if j > 0 && y <= f.Years[j-1] {
			bad = append(bad, mistaken("return period %g years stands after %g; they must rise", y, f.Years[j-1]))
		}
	}
	for i, h := range f.Durations {
		if !(h > 0 && h <= 8784) {
			bad = append(bad, mistaken("duration %g h is not above 0 and up to 366 d", h))
			continue
		}
		if i > 0 && h <= f.Durations[i-1] {
			bad = append(bad, mistaken("duration %s stands after %s; they must rise", span(h), span(f.Durations[i-1])))
			continue
		}
		if len(f.Depth[i]) != len(f.Years) {
			bad = append(bad, mistaken("the row of %s has %d depths where there are %d return periods", span(h), len(f.Depth[i]), len(f.Years)))
			continue
		}
		for j, mm := range f.Depth[i] {
			switch {
			case !(mm > 0):
				bad = append(bad, mistaken("%g mm in %s once in %g years is not above 0", mm, span(h), f.Years[j]))
			case checkDepth(mm, h) != nil:
				bad = append(bad, checkDepth(mm, h))
			case j > 0 && mm <= f.Depth[i][j-1]:
				bad = append(bad, mistaken("%g mm in %s once in %g years is not more than %g once in %g", mm, span(h), f.Years[j], f.Depth[i][j-1], f.Years[j-1]))
			case i > 0 && len(f.Depth[i-1]) == len(f.Years) && mm < f.Depth[i-1][j]:
				bad = append(bad, mistaken("%g mm in %s once in %g years is less than %g in %s", mm, span(h), f.Years[j], f.Depth[i-1][j], span(f.Durations[i-1])))
			}
		}
	}
	return bad
}

// at is the depths, mm, of every return period for one duration: between the
// rows straight in the logarithms of duration and depth.
func (f *Frequency) at(hours float64) ([]float64, error) {
	first, last := f.Durations[0], f.Durations[len(f.Durations)-1]
	const near = 1e-9 // a duration may come from a Duration in nanoseconds
	if !(hours >= first*(1-near) && hours <= last*(1+near)) {
		return nil, mistaken("a duration of %s is outside the table, which holds %s to %s", span(hours), span(first), span(last))
	}
	i := sort.SearchFloat64s(f.Durations, hours)
	switch {
	case i == len(f.Durations) || i == 0:
		return f.Depth[min(i, len(f.Durations)-1)], nil
	case f.Durations[i] == hours:
		return f.Depth[i], nil
	}
	share := math.Log(hours/f.Durations[i-1]) / math.Log(f.Durations[i]/f.Durations[i-1])
	out := make([]float64, len(f.Years))
	for j := range out {
		out[j] = f.Depth[i-1][j] * math.Pow(f.Depth[i][j]/f.Depth[i-1][j], share)
	}
	return out, nil
}

// Rain is the depth, mm, that falls in so long once in so many years: straight
// between the columns over the logarithm of the return period, and beyond them
// by 1.5 times at most, after the two outermost.
func (f *Frequency) Rain(d time.Duration, years float64) (float64, error) {
	row, err := f.at(d.Hours())
	if err != nil {
		return 0, err
	}
	if err := f.within(years); err != nil {
		return 0, err
	}
	if i := slices.Index(f.Years, years); i >= 0 {
		return row[i], nil
	}
	i := f.segment(sort.SearchFloat64s(f.Years, years))
	share := math.Log(years/f.Years[i]) / math.Log(f.Years[i+1]/f.Years[i])
	return max(0, row[i]+share*(row[i+1]-row[i])), nil
}

// within refuses a return period that the table cannot tell.
func (f *Frequency) within(years float64) error {
	first, last := f.Years[0], f.Years[len(f.Years)-1]
	low, high := max(1, first/beyond), last*beyond
	if len(f.Years) == 1 {
		low, high = first, last
	}
	if years >= low && years <= high {
		return nil
	}
	return mistaken("a return period of %.4g years is too far outside the table, which holds %g to %g and is carried on to %.3g and %.4g",
		years, first, last, low, high)
}

// segment is the left column of the two that a place among them is told by.
func (f *Frequency) segment(i int) int { return min(max(i-1, 0), len(f.Years)-2) }

// ReturnPeriod is how many years pass on average between rains of so many mm
// in so long: the inverse of Rain. A rain that is too small or too large for
// the table is an error that says so.
func (f *Frequency) ReturnPeriod(d time.Duration, mm float64) (float64, error) {
	row, err := f.at(d.Hours())
	if err != nil {
		return 0, err
	}
	if i := slices.Index(row, mm); i >= 0 {
		return f.Years[i], nil
	}
	refuse := func() error {
		return mistaken("%.4g mm in %s is outside the table, which holds %.4g mm once in %g years to %.4g mm once in %g",
			mm, span(d.Hours()), row[0], f.Years[0], row[len(row)-1], f.Years[len(row)-1])
	}
	if len(row) == 1 {
		return 0, refuse()
	}
	i := f.segment(sort.SearchFloat64s(row, mm))
	share := (mm - row[i]) / (row[i+1] - row[i])
	years := f.Years[i] * math.Pow(f.Years[i+1]/f.Years[i], share)
	if f.within(years) != nil {
		return 0, refuse()
	}
	return years, nil
}

// Gumbel is the distribution that lies nearest to the depths of one duration.
func (f *Frequency) Gumbel(d time.Duration) (Gumbel, error) {
	row, err := f.at(d.Hours())
	if err != nil {
		return Gumbel{}, err
	}
	if len(row) < 2 {
		return Gumbel{}, mistaken("a Gumbel distribution needs 2 return periods; the table holds %d", len(row))
	}
	n, sx, sy, sxx, sxy := 0.0, 0.0, 0.0, 0.0, 0.0
	for j, mm := range row {
		x := reduced(f.Years[j])
		n, sx, sy, sxx, sxy = n+1, sx+x, sy+mm, sxx+x*x, sxy+x*mm
	}
	scale := (n*sxy - sx*sy) / (n*sxx - sx*sx)
	return Gumbel{Location: (sy - scale*sx) / n, Scale: scale, Longest: f.Years[len(row)-1] * beyond}, nil
}

// AlternatingBlocks is a storm of so many steps that holds, about its peak, the
// table's rain of every duration for one return period, years: the largest block in
// the middle, the next to its right, then left and right in turn. Applied
// Hydrology, section 14.4.
func (f *Frequency) AlternatingBlocks(step time.Duration, steps int, years float64) (Hyetograph, error) {
	if step <= 0 || steps < 1 || steps > maxSteps {
		return Hyetograph{}, mistaken("%d steps of %v: there must be 1 to %d that take time", steps, step, maxSteps)
	}
	sums := make([]float64, steps)
	for i := range sums {
		var err error
		if sums[i], err = f.Rain(step*time.Duration(i+1), years); err != nil {
			return Hyetograph{}, err
		}
	}
	return alternate(step.Hours(), sums), nil
}

// alternate arranges the growth of the greatest rain of 1, 2, 3 ... steps.
func alternate(hours float64, sums []float64) Hyetograph {
	blocks, before := make([]float64, len(sums)), 0.0
	for i, sum := range sums {
		blocks[i], before = max(0, sum-before), max(before, sum)
	}
	slices.SortFunc(blocks, func(a, b float64) int { return cmp.Compare(b, a) })
	h := Hyetograph{make([]float64, len(sums)), make([]float64, len(sums))}
	at := (len(blocks) - 1) / 2
	for i, b := range blocks {
		// 0, +1, -1, +2, -2 ... from the middle
		if i%2 == 1 {
			at += i
		} else {
			at -= i
		}
		h.Hours[i], h.Rain[at] = hours, b
	}
	return h
}
