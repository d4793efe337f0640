package report

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"wetfeet/cmd/internal/assess"
	"wetfeet/hydro/storm"
	"wetfeet/species"
	"wetfeet/terrain/quantity"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Every planned tree in a hollow is under its water or above it, and under it
// for as long as the history of its cell says.
func TestHydrographsHoldEveryTreeInAHollow(t *testing.T) {
	seen := 0
	for name, r := range sites(t) {
		t.Run(name, func(t *testing.T) {
			all, dry := hydrographs(r)
			if r.Storm == nil {
				assert.Empty(t, all)
				return
			}
			in := make(map[int]int)
			hollows := make(map[int]bool)
			for k, h := range all {
				if k > 0 {
					assert.LessOrEqual(t, h.flagged, all[k-1].flagged, "the most flagged trees first")
				}
				require.NotEmpty(t, h.curves)
				assert.LessOrEqual(t, len(h.curves), mostCurves)
				for _, i := range h.above {
					in[i]++
				}
				for k, s := range h.under {
					in[s.tree]++
					tree := &r.Trees[s.tree]
					row, col, _ := r.Drain.Ground.Locate(tree.Point)
					spans := r.Storm.History.UnderWater(r.Drain.Ground.Index(row, col), 0)
					require.NotEmpty(t, spans, tree.ID)
					assert.InDelta(t, spans[0].From, s.first, 1e-6, tree.ID)
					if end := spans[len(spans)-1].To; end < r.Storm.History.Hours {
						assert.InDelta(t, end, s.last, 1e-6, tree.ID)
					} else {
						assert.True(t, math.IsInf(s.last, 1), tree.ID)
					}
					if k > 0 {
						assert.LessOrEqual(t, tree.Ground, r.Trees[h.under[k-1].tree].Ground)
					}
					seen++
				}
			}
			for i := range r.Trees {
				if tree := &r.Trees[i]; tree.OnGround && tree.Pond > 0 {
					hollows[tree.Pond] = true
					assert.LessOrEqual(t, in[i], 1, tree.ID)
				} else {
					assert.Zero(t, in[i], tree.ID)
				}
			}
			assert.Len(t, hollows, len(all)+dry)
		})
	}
	assert.Greater(t, seen, 50)
}

var path = regexp.MustCompile(`<path d="M([\d.-]+) ([\d.-]+)((?:L[\d.-]+ [\d.-]+)+)`)

// What a chart draws stays within it, and its curve is the history: read back
// off the picture, it has the level of the history at each of its points.
func TestHydrographsDrawTheHistory(t *testing.T) {
	for name, r := range sites(t) {
		t.Run(name, func(t *testing.T) {
			all, _ := hydrographs(r)
			for _, h := range all {
				p := &plot{hydrograph: h}
				p.frame()
				p.water()
				p.trees()
				for _, m := range regexp.MustCompile(`translate\(([\d.-]+) ([\d.-]+)\)`).FindAllStringSubmatch(p.b.String(), -1) {
					x, y := number(t, m[1]), number(t, m[2])
					assert.True(t, x >= chartLeft-1 && x <= chartRight+1 && y >= chartTop-1 && y <= chartTop+chartHigh+1, "a mark at %v, %v", x, y)
				}
				for k, c := range p.clusters {
					assert.LessOrEqual(t, c.y, chartTop+chartHigh+chartText)
					if k > 0 {
						assert.GreaterOrEqual(t, c.y-p.clusters[k-1].y, chartText, "labels lie apart")
					}
				}
				curves := 0
				for _, m := range path.FindAllStringSubmatch(p.b.String(), -1) {
					curves++
					points := strings.FieldsFunc(m[3], func(r rune) bool { return r == 'L' || r == ' ' })
					for n := 0; n+1 < len(points); n += 2 {
						hours := (number(t, points[n])-chartLeft)/(chartRight-chartLeft)*(p.t1-p.t0) + p.t0 + rainEnds(r)
						level := p.z1 - (number(t, points[n+1])-chartTop)/chartHigh*(p.z1-p.z0)
						near := math.Inf(1)
						for _, c := range h.curves {
							lo, hi := math.Inf(1), math.Inf(-1)
							for _, d := range []float64{-1, 0, 1} { // a unit of the picture either way: water may rise in no time
								at := min(max(hours+d*(p.t1-p.t0)/(chartRight-chartLeft), 0), r.Storm.History.Hours)
								z := r.Storm.History.Level(c.leaf, at)
								lo, hi = min(lo, z), max(hi, z)
							}
							near = min(near, max(lo-level, level-hi, 0))
						}
						if n > 0 && n < len(points)-2 { // ends stand on the floor of the picture
							assert.LessOrEqual(t, near, 0.01*(p.z1-p.z0), "after %.1f h", hours)
						}
					}
				}
				assert.GreaterOrEqual(t, curves, len(h.curves))
			}
		})
	}
}

func number(t *testing.T, s string) float64 {
	v, err := strconv.ParseFloat(s, 64)
	require.NoError(t, err)
	return v
}

func TestHydrographsLeftOutAreCounted(t *testing.T) {
	r := sites(t)["an orchard"]
	views, note := hydrographViews(r)
	require.NotEmpty(t, views)
	assert.NotContains(t, note, "left out")
	for _, v := range views {
		assert.Contains(t, v.SVG, "<title>")
		assert.Contains(t, v.SVG, "<desc>")
		assert.Regexp(t, `dry after|wet for over|dry when`, v.Words)
	}
	views, note = hydrographViews(sites(t)["a storm that leaves nothing"])
	assert.Empty(t, views)
	assert.Empty(t, note)
}

// A tree on a bump or in a dint of the raster stands otherwise on the draws, which
// have none of its noise. Where the two say different things, why is told.
func TestHydrographsSayWhyTheTableDiffers(t *testing.T) {
	r := sites(t)["an orchard"]
	r.Survey = nil
	all, _ := hydrographs(r)
	first := all[0].under[0].tree
	deep := all[0].peak - r.Trees[first].Ground
	const why = "leave out what is noise of the raster"
	_, note := hydrographViews(r)
	assert.NotContains(t, note, why, "without odds there is nothing to differ")
	r.Trees[first].Draws = &species.Odds{}
	r.Trees[first].Depths = assess.Interval{Low: deep - 0.02, Likely: deep, High: deep + 0.02}
	_, note = hydrographViews(r)
	assert.NotContains(t, note, why)
	r.Trees[first].Depths.High = deep - 0.01
	_, note = hydrographViews(r)
	assert.Contains(t, note, why)
}

func TestShortNames(t *testing.T) {
	assert.Equal(t, "E-12", short("E-12"))
	assert.Equal(t, "Bank…round-5", short("Bank to high ground-5"))
	assert.Equal(t, "ééée…ééééééé", short("éééeéééééééééééééé"))
	assert.Equal(t, "A-1, A-2", brief([]string{"A-1", "A-2"}))
	assert.Equal(t, "A-1 +2", brief([]string{"A-1", "A-2", "A-3"}))
	assert.Equal(t, "Bank…round-5 +1", brief([]string{"Bank…round-5", "Bank…round-6"}))
}

func TestStepsOfDepthAreTidy(t *testing.T) {
	for _, tt := range []struct {
		least float64
		u     quantity.Units
		want  float64
	}{{0.03, quantity.Metric, 0.05}, {0.5, quantity.Metric, 0.5}, {0.01, quantity.Feet, 0.0127}, {0.06, quantity.Feet, 3 * 0.0254}, {0.2, quantity.Feet, 0.3048}, {0.31, quantity.Feet, 2 * 0.3048}} {
		assert.InDelta(t, tt.want, depthStep(tt.least, tt.u), 1e-9, "%v in %v", tt.least, tt.u)
	}
}

func TestWhileWet(t *testing.T) {
	p := func(levels ...float64) (out []storm.Point) {
		for i, z := range levels {
			out = append(out, storm.Point{Hours: float64(i), Level: z})
		}
		return out
	}
	assert.Equal(t, p(0, 0, 2, 3, 0, 0)[1:5], whileWet(p(0, 0, 2, 3, 0, 0), 0))
	assert.Equal(t, p(1, 2), whileWet(p(1, 2), 0), "wet from the first to the last")
}

// The calendar names the figures it draws.
func TestCalendar(t *testing.T) {
	all := sites(t)
	r := all["an orchard"]
	v := calendar(r)
	require.NotNil(t, v)
	assert.Contains(t, v.Note, "12 whole years")
	assert.Contains(t, v.Worst, "2003")
	assert.Contains(t, v.Months.Words, "May is the wettest month")
	assert.Contains(t, v.Months.Words, "5 October to 20 May")
	for _, days := range []string{">0<", ">1.7<", ">3.4<", ">5.1<", ">6.8<"} {
		assert.Contains(t, v.Months.SVG, days)
	}
	require.Len(t, v.Spells, mostSpells)
	trees := spellTrees(r)
	for k, tree := range trees {
		if k > 0 {
			assert.LessOrEqual(t, r.Trees[tree.tree].LongestWetDays, r.Trees[trees[k-1].tree].LongestWetDays)
		}
		assert.GreaterOrEqual(t, tree.once, r.Trees[tree.tree].LongestWetDays)
	}
	assert.Contains(t, v.Left, fmt.Sprintf("%d more trees", len(trees)-mostSpells))
	assert.Contains(t, v.Spells[0].Words, "once in five years")
	assert.Contains(t, v.Spells[0].Words, "in the worst, 20")
	for _, view := range v.Spells {
		assert.Equal(t, 12, strings.Count(string(view.SVG), "Z"), "a bar for each whole year")
	}

	// Three years are too few for one year in five, and nothing is made up.
	for _, view := range calendar(all["a site in feet"]).Spells {
		assert.NotContains(t, view.Words, "once in five")
	}
	assert.Empty(t, calendar(all["a storm that leaves nothing"]).Spells)
	assert.Nil(t, calendar(all["deep pits"]))
	assert.Contains(t, pageOf(t, all["deep pits"]), "rain_mm")
	assert.NotContains(t, pageOf(t, r), "How often trees stand wet")
}
