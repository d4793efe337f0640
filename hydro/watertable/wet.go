package watertable

import "math"

// TooNear reports whether the water table is nearer to the ground than a tree
// wants it, both depths below the ground in m. A depth nobody knows is not.
func TooNear(depth, wanted float64) bool { return depth < wanted }

// SEW is the sum of excess water of a daily record of depths to the water
// table, m: the sum over the days of how much nearer to the ground than a
// limit, m, the table stood. Nothing stands above the ground for it, and days
// of unknown depth (NaN) do not count. It is in centimetre days.
//
//	Sieben, W.H. (1964). Het verband tussen ontwatering en opbrengst bij de
//	jonge zavelgronden in de Noordoostpolder. Van Zee tot Land 40; with 30 cm
//	as SEW30, after Wesseling, J. (1974), Crop growth and wet soils, in
//	Drainage for agriculture, ASA Monograph 17. From memory.
func SEW(depths []float64, limit float64) float64 {
	sum := 0.0
	for _, d := range depths {
		if d < limit {
			sum += limit - max(0, d)
		}
	}
	return 100 * sum
}

// SEW30 is [SEW] with the limit of 30 cm that is common for crops.
func SEW30(depths []float64) float64 { return SEW(depths, 0.30) }

// A Spell is a run of days on which the table stood within a depth.
type Spell struct{ First, Days int }

// LongestSpell is the longest run of days of a daily record of depths, m, on
// which the table stood no deeper than a depth, the first of equals, and how
// many such days there are in all. A day of unknown depth (NaN) breaks a run.
// Days count in a row, not in sum: U.S. Army Corps of Engineers (7 October
// 1991), Questions and answers on the 1987 manual.
func LongestSpell(depths []float64, within float64) (longest Spell, total int) {
	first := 0
	for i, d := range depths {
		if !(d <= within) {
			first = i + 1
			continue
		}
		total++
		if n := i + 1 - first; n > longest.Days {
			longest = Spell{First: first, Days: n}
		}
	}
	return longest, total
}

// A Criterion says when land counts as wet: a table so near to the ground for
// so many days in a row of the growing season.
type Criterion struct {
	Name  string
	Depth float64 // m
	Days  int
}

// Criteria are two in use in the United States. They are not the same, and
// which one binds is for those to say who know the local rules.
//
//   - Monitored wetlands: 12 inches for 14 days, in half of the years: U.S. Army
//     Corps of Engineers (2005), Technical standard for water-table monitoring
//     of potential wetland sites, ERDC TN-WRAP-05-2.
//   - Hydric soils: 25 cm for 14 days: National Technical Committee for Hydric
//     Soils, Hydric soil technical note 11.
func Criteria() []Criterion {
	return []Criterion{
		{Name: "wetland monitoring standard", Depth: 0.3048, Days: 14},
		{Name: "hydric soil technical standard", Depth: 0.25, Days: 14},
	}
}

// Met reports whether a daily record of depths, m, meets the criterion.
func (c Criterion) Met(depths []float64) bool {
	longest, _ := LongestSpell(depths, c.Depth)
	return longest.Days >= c.Days
}

// ShareOfSeason is the least number of whole days in a row that make up a
// share of a growing season: above 12.5 % of it land is wetland by its
// hydrology, from 5 % on it may be (U.S. Army Corps of Engineers (1987),
// Wetlands delineation manual).
func ShareOfSeason(share float64, season int) int {
	return int(math.Ceil(share * float64(season)))
}
