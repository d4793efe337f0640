package mapsheet

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/look"
	"wetfeet/cmd/internal/paint"
	"wetfeet/hydro"
	"wetfeet/terrain"
	"wetfeet/terrain/quantity"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Of every site: the number of a hollow that words speak of is found on the
// map, in its own pool or beside it, and never across the water's edge.
func TestEveryHollowCanBeFound(t *testing.T) {
	for name, make := range sites() {
		t.Run(name, func(t *testing.T) {
			s := drawn(t, make(), Options{})
			hs := s.r.Drain.Hollows
			for _, i := range s.outermost() {
				if s.planted[i] {
					assert.True(t, s.numbered[i], "hollow %d holds a planned tree", hs.All[i].ID)
					assert.True(t, slices.ContainsFunc(s.panels, func(p *panel) bool {
						return p.bound.Contains(hs.Centre(hs.Cell(hs.All[i].SpillCell)))
					}), "where hollow %d spills is on the map", hs.All[i].ID)
				}
			}
			labels := 0
			for _, p := range s.panels {
				for _, l := range p.layers.labels {
					if l.ink != look.Shore {
						continue
					}
					labels++
					var id int
					_, err := fmt.Sscanf(l.text, "%d", &id)
					require.NoError(t, err, "%q begins with the number of a hollow", l.text)
					require.True(t, id >= 1 && id <= len(hs.All))
					in := func(q paint.Point) bool { return !p.ashore(q) }
					assert.True(t, every(l.box, in) || every(l.box, p.ashore), "%q lies across the brim", l.text)
					assert.True(t, p.even(l.box), "%q lies across the edge of the water", l.text)
				}
			}
			if len(s.outermost()) > 0 {
				assert.Positive(t, labels)
				assert.Equal(t, s.shown.spills, strings.Contains(allText(s), "spills over here when full"))
			}
			want := fmt.Sprintf("%d hollows", len(hs.All))
			switch len(hs.All) {
			case 0:
				want = "no hollow"
			case 1:
				want = "one hollow"
			}
			assert.Contains(t, s.headline(), want)
		})
	}
}

// A survey a little larger than its planting is shown whole, with every spot
// height and the hollow that reaches away from the rows.
func TestExtentShowsTheKnownGround(t *testing.T) {
	z := ground(60, 40, 0.5, 0.002, 0, 3, bowl{40, 27, 10, 0.4})
	r := site(z, []plannedRow{{"A", local([2]float64{1, 25}, [2]float64{59, 25}), 3, [2]float64{}}})
	r.Survey = &assess.SurveyNote{}
	for x := 0.5; x < 60; x += 59. / 7 {
		for y := 0.5; y < 40; y += 39. / 4 {
			r.Survey.Points = append(r.Survey.Points, orb.Point{500000 + x, 3100000 + y})
		}
	}
	r.Survey.Shots = len(r.Survey.Points)
	require.Equal(t, 40, r.Survey.Shots)
	s := drawn(t, r, Options{})
	b := s.panels[0].bound
	assert.True(t, b.Contains(s.known.Min) && b.Contains(s.known.Max))
	assert.Equal(t, 40, s.shown.shots)
	assert.NotContains(t, allText(s), " of 40")
}

// On ground far larger than the planting, the whole of the hollow it stands in
// is shown all the same; the legend says how many spot heights are not.
func TestExtentHoldsTheWholeHollow(t *testing.T) {
	z := ground(900, 900, 2, 0.003, 0, 3, bowl{300, 300, 60, 2})
	r := site(z, []plannedRow{{"A", local([2]float64{300, 300}, [2]float64{330, 300}), 3, [2]float64{}}})
	r.Survey = &assess.SurveyNote{Shots: 2, Points: []orb.Point{{500310, 3100290}, {500890, 3100890}}}
	s := drawn(t, r, Options{})
	require.NotEmpty(t, s.outermost())
	pool := s.pools[s.outermost()[0]]
	assert.Greater(t, pool.Max[0]-pool.Min[0], 60.0, "larger than the planting")
	b := s.panels[0].bound
	assert.True(t, b.Contains(pool.Min) && b.Contains(pool.Max))
	assert.False(t, b.Contains(s.known.Max), "not all the ground")
	assert.Contains(t, allText(s), "1 of 2")
}

func TestCoordinatesAreTidy(t *testing.T) {
	for _, tt := range []struct {
		v, step float64
		want    string
	}{
		{0, 10, "0"}, {math.Copysign(0, -1), 10, "0"}, {-1e-12, 0.5, "0"}, {0.30000000000000004, 0.1, "0.3"}, {-20, 20, "-20"}, {500120, 20, "500120"}, {2.5, 0.5, "2.5"},
	} {
		assert.Equal(t, tt.want, coordinate(tt.v, tt.step))
	}
	z := ground(40, 30, 0.5, 0.01, 0, 3)
	z.West, z.North = -20, 15
	s := drawn(t, &assess.Result{Drain: drain(z), Units: 1}, Options{})
	for _, w := range s.written {
		assert.NotEqual(t, "-0", w.text)
	}
	assert.Contains(t, allText(s), "metres, EPSG:32614", "a sheet in feet says what its coordinates are")

	// 20 m either side of an origin are 66 ft.
	z.CRS = "+proj=tmerc +lat_0=30.5 +lon_0=-97.25 +k=1 +x_0=0 +y_0=0 +datum=WGS84 +units=m"
	s = drawn(t, &assess.Result{Drain: drain(z), Units: 1}, Options{})
	assert.Contains(t, allText(s), "feet, measured from the origin of the site")
	assert.Contains(t, allText(s), " 60 ", "a place 18.3 m to the east")
	s = drawn(t, &assess.Result{Drain: drain(z)}, Options{})
	assert.Contains(t, allText(s), "metres, measured from the origin of the site")
}

func TestLongRowNamesAreWrapped(t *testing.T) {
	r := sites()["no hollows at all"]()
	r.Rows[0].Name, r.Rows[1].Name = "Bank to high ground", "North bank by the old willow stump and gate"
	text := allText(drawn(t, r, Options{}))
	assert.Contains(t, text, "Bank to high ground")
	for _, word := range strings.Fields(r.Rows[1].Name) {
		assert.Contains(t, text, word)
	}
	assert.NotContains(t, text, "…")
}

// A ground without hollows says so.
func TestHeadlineWithoutHollows(t *testing.T) {
	z := terrain.NewGrid[float32](terrain.Frame{Rows: 4, Cols: 4, CellSize: 1})
	s := drawn(t, &assess.Result{Drain: &hydro.Drainage{Ground: z}}, Options{})
	assert.Contains(t, s.headline(), "no hollow")
}

// The map of a storm says so, tints no deeper than the water and keeps the
// brims of what is not full.
func TestMapShowsTheWaterOfTheStorm(t *testing.T) {
	s := drawn(t, sites()["hollows half full"](), Options{})
	text := allText(s)
	assert.Contains(t, s.headline(), "drawn as deep as they stand when the rain of 60 mm ends")
	assert.Contains(t, text, "Water when the rain ends")
	assert.Contains(t, text, "its brim")
	wet, full := 0, 0
	for _, p := range s.panels {
		for i, d := range p.wet.Cells {
			assert.LessOrEqual(t, d, max(p.filled.Cells[i], 0)+1e-6, "no water above the brim")
			if d > 0 {
				wet++
			}
			if p.filled.Cells[i] > 0 {
				full++
			}
		}
		for _, l := range p.layers.labels {
			var id int
			if l.ink != look.Shore {
				continue
			}
			_, err := fmt.Sscanf(l.text, "%d", &id)
			require.NoError(t, err)
			h := s.r.Drain.Hollows.All[id-1]
			leaf := int(s.r.Drain.Hollows.Inner[h.FloorCell]) - 1
			depth := s.r.Storm.History.Level(leaf, 24) - h.Floor
			assert.Less(t, depth, h.Depth())
			if strings.Contains(l.text, ":") {
				assert.Contains(t, l.text, quantity.FormatDepth(depth, s.r.Units))
			}
		}
	}
	assert.Positive(t, wet)
	assert.Less(t, wet, full*9/10)

	dry := drawn(t, sites()["a storm that leaves nothing"](), Options{})
	assert.Contains(t, dry.headline(), "dry when the rain of 10 mm ends")
	assert.True(t, dry.shown.brims)
	assert.NotContains(t, allText(dry), "up to 5 cm")
	assert.Contains(t, allText(dry), ": dry")

	none := drawn(t, sites()["one hollow in a small garden"](), Options{})
	assert.Contains(t, none.headline(), "full to the brim")
	assert.False(t, none.shown.brims)
}

// Dashes and gaps have their lengths, whatever the corners.
func TestDashes(t *testing.T) {
	got := dashed([]paint.Point{{X: 0}, {X: 5}, {X: 5, Y: 20}}, 4, 3).SVG()
	var want paint.Path
	want.MoveTo(0, 0)
	want.LineTo(4, 0)
	want.MoveTo(5, 2)
	want.LineTo(5, 6)
	want.MoveTo(5, 9)
	want.LineTo(5, 13)
	want.MoveTo(5, 16)
	want.LineTo(5, 20)
	assert.Equal(t, want.SVG(), got)
	empty := dashed(nil, 4, 3)
	assert.True(t, empty.Empty())
}
