package mapsheet

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"time"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/heronbend"
	"wetfeet/cmd/internal/planting"
	"wetfeet/hydro"
	"wetfeet/hydro/storm"
	"wetfeet/species"
	"wetfeet/terrain"

	"github.com/paulmach/orb"
)

// A made site: a row as planned and what comes of it.
type plannedRow struct {
	name    string
	line    orb.LineString
	spacing float64
	gap     [2]float64
}

// site assesses a made-up ground roughly as the program does: enough that a
// map has all there is to draw. The verdicts are for the eye: deeper is worse,
// and every third tree bears more.
func site(z *terrain.Grid[float32], rows []plannedRow) *assess.Result {
	d := drain(z)
	r := &assess.Result{Name: "Made-up site", Invented: true, Drain: d}
	for _, row := range rows {
		a := assess.Row{Name: row.name, Line: row.line, Spacing: row.spacing, Length: lineLength(row.line)}
		if row.gap[1] > row.gap[0] {
			a.Gaps = append(a.Gaps, row.gap)
		}
		for along, k := 0.0, 1; along <= a.Length+1e-9; along, k = along+row.spacing, k+1 {
			if along > row.gap[0] && along < row.gap[1] {
				continue
			}
			t := assess.Tree{Position: planting.Position{
				ID: fmt.Sprintf("%s-%d", row.name, k), Row: row.name, Along: along, Point: lineAt(row.line, along),
			}}
			judge(d, &t, k)
			a.Trees = append(a.Trees, len(r.Trees))
			r.Trees = append(r.Trees, t)
		}
		r.Rows = append(r.Rows, a)
	}
	return r
}

func single(r *assess.Result, id string, p orb.Point) {
	t := assess.Tree{Position: planting.Position{ID: id, Point: p}}
	judge(r.Drain, &t, 1)
	r.Trees = append(r.Trees, t)
}

func judge(d *hydro.Drainage, t *assess.Tree, k int) {
	ground, ok := terrain.AtPoint(d.Ground, t.Point)
	t.OnGround = ok
	if !ok {
		return
	}
	t.Ground = float64(ground)
	row, col, _ := d.Ground.Locate(t.Point)
	if h := d.Hollows.Outer[d.Ground.Index(row, col)]; h != 0 {
		t.Pond = int(h)
		t.InHollow = true
		t.BrimDepth = float64(d.BrimDepth.At(row, col))
	}
	bears := 0.05 * float64(k%4)
	switch depth := t.BrimDepth; {
	case depth > bears+0.18:
		t.Risk = species.Severe
	case depth > bears+0.08:
		t.Risk = species.High
	case depth > bears:
		t.Risk = species.Moderate
	}
	t.Flagged = t.Risk >= species.High
}

// drain takes no context and no errors: made-up ground has none.
func drain(z *terrain.Grid[float32]) *hydro.Drainage {
	d, err := hydro.Drain(context.Background(), z, hydro.Options{})
	if err != nil {
		panic(err)
	}
	return d
}

// rainOn lets so many millimetres run off in a day.
func rainOn(r *assess.Result, mm float64) *assess.Result {
	site, err := storm.Prepare(r.Drain.Hollows, storm.Options{})
	if err != nil {
		panic(err)
	}
	r.Storm = &assess.Storm{Rain: 10 + 2*mm, Duration: 24 * time.Hour, Site: site}
	r.Storm.History = site.Run(nil, storm.Loss{Infiltration: []float64{2}}, storm.Step{Hours: 24, Inflow: site.Runoff(mm)}, storm.Step{Hours: 100, Inflow: site.Runoff(0)})
	return r
}

// heronBend is the demo's ground and rows.
func heronBend() *assess.Result {
	var rows []plannedRow
	for _, row := range heronbend.Rows() {
		rows = append(rows, plannedRow{row.Name, row.Line, row.Spacing, row.Gap})
	}
	r := site(heronbend.Raster(), rows)
	r.Name = "Heron Bend"
	for _, t := range heronbend.Singles() {
		single(r, t.ID, t.Point)
	}
	return r
}

// smooth lowland with bowls, for the other sites.
type bowl struct{ x, y, radius, depth float64 }

func ground(w, h, cell, slope, noise float64, seed uint64, bowls ...bowl) *terrain.Grid[float32] {
	z := terrain.NewGrid[float32](terrain.Frame{
		Rows: int(h / cell), Cols: int(w / cell), West: 500000, North: 3100000 + h, CellSize: cell, CRS: "EPSG:32614",
	})
	random := rand.New(rand.NewPCG(seed, 1))
	for i := range z.Cells {
		p := z.Centre(z.Cell(i))
		x, y := p[0]-500000, p[1]-3100000
		v := 31 + slope*(x+0.4*y) + 0.12*math.Sin(x/23)*math.Cos(y/31) + noise*random.NormFloat64()
		for _, b := range bowls {
			q := math.Hypot(x-b.x, y-b.y) / b.radius
			v -= b.depth * math.Exp(-q*q)
		}
		z.Cells[i] = float32(v)
	}
	return z
}

func local(points ...[2]float64) orb.LineString {
	var l orb.LineString
	for _, p := range points {
		l = append(l, orb.Point{500000 + p[0], 3100000 + p[1]})
	}
	return l
}

func lineLength(l orb.LineString) float64 {
	sum := 0.0
	for i := 1; i < len(l); i++ {
		sum += math.Hypot(l[i][0]-l[i-1][0], l[i][1]-l[i-1][1])
	}
	return sum
}

func lineAt(l orb.LineString, s float64) orb.Point {
	for i := 1; i < len(l); i++ {
		d := math.Hypot(l[i][0]-l[i-1][0], l[i][1]-l[i-1][1])
		if s <= d || i == len(l)-1 {
			t := s / d
			return orb.Point{l[i-1][0] + t*(l[i][0]-l[i-1][0]), l[i-1][1] + t*(l[i][1]-l[i-1][1])}
		}
		s -= d
	}
	return l[0]
}

// sites are the cases a sheet must look right on.
func sites() map[string]func() *assess.Result {
	return map[string]func() *assess.Result{
		"heron bend": heronBend,
		"heron bend in feet": func() *assess.Result {
			r := heronBend()
			r.Units = 1
			return rainOn(r, 90)
		},
		"hollows half full": func() *assess.Result {
			return rainOn(site(ground(90, 60, 0.5, 0.003, 0.01, 8, bowl{25, 30, 12, 0.5}, bowl{38, 30, 9, 0.4}, bowl{70, 25, 9, 0.5}), []plannedRow{
				{"A", local([2]float64{4, 30}, [2]float64{86, 30}), 3, [2]float64{}},
				{"B", local([2]float64{4, 12}, [2]float64{86, 12}), 3, [2]float64{}},
			}), 25)
		},
		"a storm that leaves nothing": func() *assess.Result {
			return rainOn(site(ground(60, 40, 0.5, 0.003, 0.01, 8, bowl{25, 20, 10, 0.5}), []plannedRow{
				{"A", local([2]float64{4, 20}, [2]float64{56, 20}), 3, [2]float64{}},
			}), 0)
		},
		"one hollow in a small garden": func() *assess.Result {
			r := site(ground(42, 30, 0.25, 0.004, 0.01, 2, bowl{26, 14, 6, 0.35}), []plannedRow{
				{"North hedge", local([2]float64{4, 24}, [2]float64{38, 25}), 1.5, [2]float64{}},
				{"B", local([2]float64{4, 14}, [2]float64{38, 14}), 3, [2]float64{}},
			})
			r.Name = "Corner garden"
			return r
		},
		"a long thin windbreak": func() *assess.Result {
			r := site(ground(800, 20, 0.5, 0.002, 0.02, 3, bowl{120, 10, 14, 0.3}, bowl{430, 8, 25, 0.5}, bowl{700, 12, 10, 0.25}), []plannedRow{
				{"W", local([2]float64{2, 10}, [2]float64{798, 10}), 2, [2]float64{300, 310}},
			})
			r.Name = "Levee windbreak"
			return r
		},
		"a long thin windbreak running north": func() *assess.Result {
			return site(ground(24, 400, 0.5, 0.002, 0.02, 3, bowl{12, 120, 14, 0.3}, bowl{10, 230, 20, 0.5}), []plannedRow{
				{"W", local([2]float64{12, 398}, [2]float64{12, 2}), 2, [2]float64{}},
			})
		},
		"no hollows at all": func() *assess.Result {
			return site(ground(120, 90, 0.5, 0.02, 0, 4), []plannedRow{
				{"A", local([2]float64{10, 20}, [2]float64{110, 20}), 5, [2]float64{}},
				{"B", local([2]float64{10, 60}, [2]float64{110, 60}), 5, [2]float64{}},
			})
		},
		"two thousand trees": func() *assess.Result {
			var rows []plannedRow
			for i := range 25 {
				y := 8 + 6*float64(i)
				rows = append(rows, plannedRow{fmt.Sprintf("R%d", i+1), local([2]float64{10, y}, [2]float64{168, y}), 2, [2]float64{}})
			}
			return site(ground(180, 164, 0.5, 0.003, 0.03, 5, bowl{60, 60, 20, 0.4}, bowl{130, 110, 25, 0.6}, bowl{40, 130, 12, 0.3}), rows)
		},
		"voids in the ground": func() *assess.Result {
			z := ground(120, 100, 0.5, 0.003, 0.02, 6, bowl{70, 50, 18, 0.5})
			for i := range z.Cells {
				p := z.Centre(z.Cell(i))
				x, y := p[0]-500000, p[1]-3100000
				if x+y < 60 || math.Hypot(x-90, y-70) < 9 {
					z.Cells[i] = terrain.Void()
				}
			}
			r := site(z, []plannedRow{
				{"A", local([2]float64{10, 30}, [2]float64{110, 35}), 4, [2]float64{}},
				{"B", local([2]float64{10, 66}, [2]float64{110, 70}), 4, [2]float64{}},
			})
			single(r, "far-away", orb.Point{0, 0})
			single(r, "just-off", orb.Point{500126, 3100050})
			return r
		},
		"a survey on a larger frame": func() *assess.Result {
			z := ground(160, 140, 0.5, 0.003, 0, 6, bowl{70, 50, 18, 0.5})
			for i := range z.Cells {
				p := z.Centre(z.Cell(i))
				x, y := p[0]-500000, p[1]-3100000
				if x < 30 || x > 110 || y < 25 || y > 90 {
					z.Cells[i] = terrain.Void()
				}
			}
			r := site(z, []plannedRow{
				{"A", local([2]float64{36, 34}, [2]float64{104, 34}), 4, [2]float64{}},
				{"B", local([2]float64{36, 80}, [2]float64{104, 80}), 4, [2]float64{}},
			})
			r.Survey = &assess.SurveyNote{LooRMSE: 0.07}
			for x := 32.0; x < 110; x += 13 {
				for y := 28.0; y < 90; y += 12 {
					r.Survey.Points = append(r.Survey.Points, orb.Point{500000 + x, 3100000 + y})
				}
			}
			r.Survey.Shots = len(r.Survey.Points)
			return r
		},
		"no trees": func() *assess.Result {
			return site(ground(120, 100, 0.5, 0.003, 0.02, 6, bowl{70, 50, 18, 0.5}), nil)
		},
	}
}
