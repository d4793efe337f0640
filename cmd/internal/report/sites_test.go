package report

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"image/png"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/planting"
	"wetfeet/hydro"
	"wetfeet/hydro/season"
	"wetfeet/hydro/storm"
	"wetfeet/species"
	"wetfeet/terrain"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/require"
)

// A made ground: a plain that falls gently, with bowls in it.
type bowl struct{ x, y, radius, depth float64 }

func madeGround(t testing.TB, w, h, noise float64, bowls ...bowl) *hydro.Drainage {
	z := terrain.NewGrid[float32](terrain.Frame{Rows: int(2 * h), Cols: int(2 * w), North: h, CellSize: 0.5, CRS: "EPSG:32614"})
	random := rand.New(rand.NewPCG(1, 2))
	for i := range z.Cells {
		p := z.Centre(z.Cell(i))
		v := 96 + 0.004*p[0] + 0.002*p[1] + noise*random.NormFloat64()
		for _, b := range bowls {
			d := math.Hypot(p[0]-b.x, p[1]-b.y) / b.radius
			v -= b.depth * math.Exp(-d*d)
		}
		z.Cells[i] = float32(v)
	}
	d, err := hydro.Drain(context.Background(), z, hydro.Options{})
	require.NoError(t, err)
	return d
}

// madeSite plants rows from west to east at given northings. The verdicts are
// for the eye: the deeper the worse, every third tree bearing more.
func madeSite(t testing.TB, d *hydro.Drainage, from, to, spacing float64, names map[string]float64, order ...string) *assess.Result {
	entry, err := species.BuiltIn().Find("Ficus carica")
	require.NoError(t, err)
	r := &assess.Result{Name: "Made-up site", Drain: d, Species: []*species.Entry{entry}, Assumptions: []string{"None."}}
	for _, name := range order {
		y := names[name]
		row := assess.Row{Name: name, Line: orb.LineString{{from, y}, {to, y}}, Length: to - from, Spacing: spacing}
		for k := 0; float64(k)*spacing <= row.Length; k++ {
			tree := assess.Tree{Entry: entry, Position: planting.Position{
				ID: fmt.Sprintf("%s-%d", name, k+1), Row: name, Along: float64(k) * spacing,
				Point: orb.Point{from + float64(k)*spacing, y}, Species: "Ficus carica",
			}}
			judge(d, &tree, k)
			row.Trees = append(row.Trees, len(r.Trees))
			r.Trees = append(r.Trees, tree)
		}
		r.Rows = append(r.Rows, row)
	}
	return r
}

func judge(d *hydro.Drainage, t *assess.Tree, k int) {
	row, col, ok := d.Ground.Locate(t.Point)
	if !ok || terrain.IsVoid(d.Ground.At(row, col)) {
		t.Why = "Off the ground."
		return
	}
	i := d.Ground.Index(row, col)
	t.OnGround, t.Ground = true, float64(d.Ground.Cells[i])
	if h := d.Hollows.Outer[i]; h > 0 {
		t.Pond, t.InHollow = int(h), true
		t.BrimDepth = float64(d.Filled.Cells[i]) - t.Ground
	}
	switch over := t.BrimDepth - 0.06*float64(k%3); {
	case over > 0.12:
		t.Risk = species.Severe
	case over > 0.05:
		t.Risk = species.High
	case over > 0:
		t.Risk = species.Moderate
	}
	t.Flagged = t.Risk >= species.High
	t.Why, t.Advice = "Water stands here.", "move"
}

// rainOn lets so many millimetres run off in a day, and dry for ten.
func rainOn(t testing.TB, r *assess.Result, mm, soaking float64) {
	site, err := storm.Prepare(r.Drain.Hollows, storm.Options{})
	require.NoError(t, err)
	s := &assess.Storm{
		Rain: 1.5 * mm, Duration: 24 * time.Hour, Runoff: mm, Soaking: soaking, Doubt: [2]float64{soaking / 5, soaking * 5}, Site: site,
		Roots: storm.Roots{Depth: 0.3, Porosity: 0.08, Drainage: soaking},
		Shown: []assess.Moment{{Name: "when the rain ends", Hours: 24}, {Name: "1 day after", Hours: 48}, {Name: "2 days after", Hours: 72}, {Name: "4 days after", Hours: 120}, {Name: "8 days after", Hours: 216}},
	}
	s.History = site.Run(nil, storm.Loss{Infiltration: []float64{soaking}},
		storm.Step{Hours: 24, Inflow: site.Runoff(mm)}, storm.Step{Hours: 240, Inflow: site.Runoff(0), Evaporation: 4.0 / 24})
	r.Storm = s
	for i := range r.Trees {
		tree := &r.Trees[i]
		if !tree.OnGround {
			continue
		}
		row, col, _ := r.Drain.Ground.Locate(tree.Point)
		cell := r.Drain.Ground.Index(row, col)
		tree.WetHours = storm.Total(s.History.RootsWet(cell, s.Roots))
		if leaf, ok := leafAt(r, row, col); ok && tree.WetHours > 0 {
			tree.StormDepth = s.History.Peak(leaf).Level - tree.Ground
		}
	}
}

// yearsOn makes up so many years of weather: each tree that the storm wets has
// a spell a year, longer where it stands deeper.
func yearsOn(r *assess.Result, years int) {
	s := &assess.Season{Name: "made-up.csv", Result: &season.Result{}, Months: make([]float64, 12), Whole: years, Wettest: "2003"}
	s.Result.Growing = season.Growing{First: season.Date{Month: time.October, Day: 5}, Last: season.Date{Month: time.May, Day: 20}, How: "given"}
	for y := range years + 1 {
		s.Result.Years = append(s.Result.Years, season.Year{Name: fmt.Sprint(2001 + y), Whole: y < years})
	}
	for m := range s.Months {
		s.Months[m] = float64(m%5) * 1.7
	}
	for i := range r.Trees {
		tree := &r.Trees[i]
		if !tree.OnGround {
			continue
		}
		s.Trees = append(s.Trees, i)
		wet := make([]season.Wetness, years+1)
		for y := range wet {
			wet[y].Longest = tree.WetHours / 24 * float64(1+y*7%5) / 3
		}
		s.Result.Wetness = append(s.Result.Wetness, wet)
		days := s.Longest(len(s.Trees) - 1)
		tree.LongestWetDays = season.Median(days)
	}
	r.Season = s
}

func single(r *assess.Result, id string, p orb.Point) {
	t := assess.Tree{Position: planting.Position{ID: id, Point: p, Species: "Ficus carica"}, Entry: r.Species[0]}
	judge(r.Drain, &t, 0)
	r.Trees = append(r.Trees, t)
}

// sites are the cases a page must look right on.
func sites(t testing.TB) map[string]*assess.Result {
	orchard := madeSite(t, madeGround(t, 150, 60, 0.02, bowl{40, 30, 14, 0.5}, bowl{75, 34, 12, 0.4}, bowl{120, 12, 8, 0.3}), 5, 145, 2.5,
		map[string]float64{"A": 50, "B": 30, "C": 12}, "A", "B", "C")
	orchard.Rows[0].Gaps = [][2]float64{{96, 102}}
	single(orchard, "fig by the gate", orb.Point{40, 32})

	feet := madeSite(t, madeGround(t, 60, 40, 0, bowl{42, 28, 9, 0.4}), 2, 58, 3, map[string]float64{"North bank by the gate": 28}, "North bank by the gate")
	feet.Units = 1

	dense := madeSite(t, madeGround(t, 320, 80, 0.02, bowl{50, 40, 20, 0.9}, bowl{200, 40, 40, 1.2}), 2, 318, 0.8, map[string]float64{"H": 40}, "H")
	half := madeSite(t, madeGround(t, 60, 40, 0.01, bowl{10, 20, 8, 0.5}), -20, 90, 3, map[string]float64{"across": 20, "off": -30}, "across", "off")
	steep := madeSite(t, madeGround(t, 90, 40, 0, bowl{30, 20, 4, 2.5}, bowl{40, 20, 4, 2.2}, bowl{52, 20, 5, 3}), 4, 86, 1.5, map[string]float64{"S": 20}, "S")
	rainOn(t, orchard, 60, 3)
	rainOn(t, feet, 40, 2)
	yearsOn(orchard, 12)
	yearsOn(feet, 3)
	rainOn(t, dense, 90, 4)
	rainOn(t, half, 5, 10)
	rainOn(t, steep, 150, 1)
	slow := madeSite(t, madeGround(t, 80, 40, 0.01, bowl{30, 20, 12, 0.5}), 4, 76, 3, map[string]float64{"A": 20, "B": 27}, "A", "B")
	rainOn(t, slow, 70, 0.2)
	dry := madeSite(t, madeGround(t, 60, 40, 0, bowl{20, 20, 8, 0.4}), 4, 56, 4, map[string]float64{"A": 20}, "A")
	rainOn(t, dry, 0, 5)
	yearsOn(dry, 6)
	before := madeSite(t, madeGround(t, 60, 40, 0, bowl{20, 20, 8, 0.4}), 4, 56, 4, map[string]float64{"A": 20}, "A")
	none := madeSite(t, madeGround(t, 60, 40, 0), 4, 56, 4, map[string]float64{"A": 10}, "A")
	return map[string]*assess.Result{
		"an orchard": orchard, "a site in feet": feet, "a dense hedge": dense,
		"rows partly off the ground": half, "deep pits": steep, "no hollows": none,
		"clay that holds its water": slow, "a storm that leaves nothing": dry, "no storm": before,
	}
}

func mapOf(t testing.TB) []byte {
	var b bytes.Buffer
	require.NoError(t, png.Encode(&b, image.NewRGBA(image.Rect(0, 0, 24, 16))))
	return b.Bytes()
}

func pageOf(t testing.TB, r *assess.Result) string {
	var b bytes.Buffer
	require.NoError(t, Write(&b, r, nil, mapOf(t)))
	return b.String()
}
