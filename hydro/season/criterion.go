package season

import (
	"fmt"

	"wetfeet/hydro/storm"
)

// A Criterion says for how long ground must be wet, in most years, to count as
// wet ground: so many consecutive days of the growing season under water or with
// the water table within a depth.
type Criterion struct {
	Days   int
	Depth  float64 // m
	Years  float64 // share of the years that must meet it
	Source string
}

// TechnicalStandard is the wetland hydrology standard for monitored sites: 14
// consecutive days under water or with the water table within 12 inches, in the
// growing season of at least five years in ten. U.S. Army Corps of Engineers,
// ERDC TN-WRAP-05-2 (2005), its frequency from memory.
var TechnicalStandard = Criterion{Days: 14, Depth: 0.3048, Years: 0.5, Source: "ERDC TN-WRAP-05-2"}

// HydricSoil is the saturation part of the hydric soil technical standard: 14
// consecutive days with free water within 25 cm. National Technical Committee for
// Hydric Soils, Technical Note 11. Its other part, anaerobic soil, needs a probe.
var HydricSoil = Criterion{Days: 14, Depth: 0.25, Years: 0.5, Source: "NTCHS Technical Note 11"}

// ShareOfSeason is the older practice of the 1987 manual: under water or
// saturated to the surface for at least a share of the growing season, days
// rounded up. More than 12.5 % was a wetland, less than 5 % was not.
func ShareOfSeason(days int, share float64) Criterion {
	n := int(float64(days) * share)
	if float64(n) < float64(days)*share {
		n++
	}
	return Criterion{Days: n, Years: 0.5, Source: "U.S. Army Corps of Engineers (1987), Wetlands Delineation Manual"}
}

// String is the criterion in words.
func (c Criterion) String() string {
	return fmt.Sprintf("%d consecutive days with the water table within %g m, %s", c.Days, c.Depth, c.Source)
}

// LongestRun is the longest run of days on which a daily water table stood within
// a depth, m; depths are m below ground, those above it are below 0.
func LongestRun(depths []float64, within float64) int {
	longest, run := 0, 0
	for _, d := range depths {
		if d > within {
			run = 0
			continue
		}
		run++
		longest = max(longest, run)
	}
	return longest
}

// run is the longest run of days in the growing season that were wet for half
// of the day in the sense of the criterion. It looks at the ground, not at the
// crown.
func (w *watcher) run(c *chapter) int {
	depth := c.limit.Depth
	if c.height == nil {
		depth = 0
	}
	spans := storm.Union(w.within(c.ponded(w.Cell, 0), c, depth))
	longest, run, last := 0, 0, 0.0
	first, end := c.hour(c.year.SeasonFrom), c.hour(c.year.SeasonTo)
	for day := range c.days(spans) {
		if day.hours < wetDay || day.noon < first || day.noon > end {
			continue
		}
		if run == 0 || day.noon-last > 1.5*dayLength {
			run = 0
		}
		run++
		last = day.noon
		longest = max(longest, run)
	}
	return longest
}

// within adds the steps with the water table no deeper than given.
func (w *watcher) within(list []storm.Span, c *chapter, depth float64) []storm.Span {
	for k, height := range c.height {
		if below(w.base, w.shape, height) <= depth {
			list = append(list, storm.Span{From: c.hour(c.year.From + k), To: c.hour(c.year.From + k + 1)})
		}
	}
	return list
}
