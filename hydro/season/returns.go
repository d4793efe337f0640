package season

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"wetfeet/hydro/weather"
)

// Annual is a figure of every whole year for a position, in order.
func (r *Result) Annual(position int, of func(Wetness) float64) []float64 {
	var list []float64
	for n, y := range r.Years {
		if y.Whole {
			list = append(list, of(r.Wetness[position][n]))
		}
	}
	return list
}

// LongestSpells is the longest wet spell of every whole year, days.
func (r *Result) LongestSpells(position int) []float64 {
	return r.Annual(position, func(w Wetness) float64 { return w.Longest })
}

// A Summary is the years of a position in a few figures. Only whole years count.
type Summary struct {
	Years int

	Longest         float64     // median of the longest spell of a year, days
	LongestInSeason float64     // likewise in the growing season
	WetDaysInSeason float64     // median
	SEW30           float64     // median, cm·day
	Hours           [12]float64 // mean hours wet in each month

	Worst     float64 // longest spell of the worst year, days
	WorstYear int     // index in Years of the first such; -1 if the place was never wet

	// Met is the share of the years that met Options.Criterion. The standard
	// for monitored wetlands asks for half of them.
	Met float64
}

// Summary sums up a position. A record without a whole year is an error.
func (r *Result) Summary(position int) (Summary, error) {
	s := Summary{WorstYear: -1}
	median := func(of func(Wetness) float64) float64 { return Median(r.Annual(position, of)) }
	for n, y := range r.Years {
		if !y.Whole {
			continue
		}
		s.Years++
		w := &r.Wetness[position][n]
		if w.Longest > s.Worst {
			s.Worst, s.WorstYear = w.Longest, n
		}
		for m, hours := range w.Hours {
			s.Hours[m] += hours
		}
		if r.criterion > 0 && w.Run >= r.criterion {
			s.Met++
		}
	}
	if s.Years == 0 {
		return s, fmt.Errorf("the record of %d years has no whole year", len(r.Years))
	}
	for m := range s.Hours {
		s.Hours[m] /= float64(s.Years)
	}
	s.Met /= float64(s.Years)
	s.Longest = median(func(w Wetness) float64 { return w.Longest })
	s.LongestInSeason = median(func(w Wetness) float64 { return w.LongestInSeason })
	s.WetDaysInSeason = median(func(w Wetness) float64 { return float64(w.WetDaysInSeason) })
	s.SEW30 = median(func(w Wetness) float64 { return w.SEW30 })
	return s, nil
}

// Median is the middle of some values, or halfway between the two in the middle;
// NaN of none.
func Median(values []float64) float64 {
	x := slices.Sorted(slices.Values(values))
	n := len(x)
	if n == 0 {
		return math.NaN()
	}
	return (x[(n-1)/2] + x[n/2]) / 2
}

// Returns say how often a yearly figure, such as the longest wet spell, is
// reached: by its rank in the record, and beyond that by a Gumbel distribution.
type Returns struct {
	Values  []float64 // largest first
	Periods []float64 // years: (n+1)/rank, Weibull's plotting position

	Gumbel weather.Gumbel
}

// ReturnsOf are those of the figures of whole years. Five are the least.
func ReturnsOf(annual []float64) (Returns, error) {
	g, err := weather.FitGumbel(annual)
	if err != nil {
		return Returns{}, err
	}
	r := Returns{Values: slices.Clone(annual), Gumbel: g}
	slices.SortFunc(r.Values, func(a, b float64) int { return cmp.Compare(b, a) })
	for k := range r.Values {
		r.Periods = append(r.Periods, float64(len(annual)+1)/float64(k+1))
	}
	return r, nil
}

// Once is what is reached once in so many years. Within the record it lies
// between the plotting positions, straight over Gumbel's reduced variate; beyond
// n+1 years it is the Gumbel distribution's, and never less than what happened. A
// return period that the record is too short for is an error.
func (r Returns) Once(years float64) (float64, error) {
	if !(years > 1) {
		return 0, fmt.Errorf("a return period of %g years is not above 1", years)
	}
	n := len(r.Values)
	if years > r.Periods[0] {
		v, err := r.Gumbel.Value(years)
		if err != nil {
			return 0, fmt.Errorf("%d whole years are too short a record for what comes once in %g; %g are the most it can be asked",
				n, years, math.Floor(r.Gumbel.Longest))
		}
		return max(v, r.Values[0]), nil
	}
	k := n - 1
	for k > 0 && r.Periods[k-1] <= years {
		k--
	}
	if k == n-1 && years <= r.Periods[k] || years == r.Periods[k] {
		return r.Values[k], nil
	}
	at := func(years float64) float64 { return -math.Log(-math.Log1p(-1 / years)) }
	lo, hi := at(r.Periods[k]), at(r.Periods[k-1])
	share := (at(years) - lo) / (hi - lo)
	return r.Values[k] + share*(r.Values[k-1]-r.Values[k]), nil
}

// Chance is the chance, in any one year, of more than a value: by its rank among
// the years, k/(n+1).
func (r Returns) Chance(value float64) float64 {
	k := 0
	for k < len(r.Values) && r.Values[k] > value {
		k++
	}
	return float64(k) / float64(len(r.Values)+1)
}
