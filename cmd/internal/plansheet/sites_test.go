package plansheet

import (
	"math"
	"strings"
	"sync"
	"testing"

	"wetfeet/cmd/internal/heronbend"
	"wetfeet/terrain"
	"wetfeet/terrain/quantity"
	"wetfeet/terrain/survey"
	"wetfeet/terrain/survey/fieldbook"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/require"
)

// heronBend is the demo's orchard as a grower with a laser level has it.
var heronBend = sync.OnceValue(func() Plan { return heronBendWith(nil) })

// slips is Heron Bend with two staffs misread.
var slips = sync.OnceValue(func() Plan {
	p := heronBendWith(map[int]float64{17: 0.5, 61: -0.3})
	p.Suspicious = []int{17, 61}
	for _, q := range [...][2]float64{{60, 85}, {120, 90}, {120, 12}, {20, 20}, {75, 45}} {
		p.Next = append(p.Next, orb.Point{heronbend.West + q[0], heronbend.South + q[1]})
	}
	return p
})

func heronBendWith(slips map[int]float64) Plan {
	p := Plan{
		Title: "Heron Bend", Invented: true, Date: "March 2026",
		Datum: "above an assumed datum, from benchmark BM1 = 100.000 m",
	}
	var shots []survey.Shot
	for i, s := range heronbend.Shots() {
		s.Z += slips[i]
		shots = append(shots, survey.Shot{Point: s.Point, Z: s.Z})
		p.Shots = append(p.Shots, Shot{Name: s.Note, Point: s.Point, Z: s.Z})
	}
	m, err := survey.Fit(shots, survey.Options{})
	if err != nil {
		panic(err)
	}
	f, err := survey.FrameFor(shots, 0.5)
	if err != nil {
		panic(err)
	}
	f.CRS = heronbend.CRS
	p.Ground, p.Error = m.Grid(f)
	v := m.LeaveOneOut()
	p.LeaveOneOut = v.RMSE
	for _, r := range v.Residuals {
		p.Standardised = append(p.Standardised, r.Standardised)
	}
	code := func(note, name string, kind Kind) {
		l := Breakline{Code: name, Kind: kind}
		for _, s := range p.Shots {
			if s.Name == note {
				l.Points = append(l.Points, s.Point)
			}
		}
		p.Breaklines = append(p.Breaklines, l)
	}
	code("swale floor", "ditch 1", Ditch)
	code("track crown", "track", RoadCrown)
	at := func(u, v float64) orb.Point { return orb.Point{heronbend.West + u, heronbend.South + v} }
	p.Breaklines = append(p.Breaklines,
		Breakline{Code: "bank", Kind: BankTop, Points: orb.LineString{at(4, 3), at(60, 2.5), at(100, 3)}},
		Breakline{Code: "bed", Kind: BedEdge, Closed: true, Points: orb.LineString{at(12, 74.2), at(36, 74.7), at(36, 72.7), at(12, 72.2)}},
		Breakline{Code: "wall", Points: orb.LineString{at(112, 20), at(124, 26), at(140, 24)}},
	)
	p.Outline = orb.Polygon{ring(heronbend.Boundary()), {at(118, 74), at(132, 75), at(131, 84), at(118, 83), at(118, 74)}}
	return p
}

func ring(points []orb.Point) orb.Ring {
	r := append(orb.Ring{}, points...)
	return append(r, points[0])
}

// bookPlan is a plan made from a field book as the template writes it.
func bookPlan(kind string) Plan {
	text, err := fieldbook.Template(kind)
	if err != nil {
		panic(err)
	}
	book, err := fieldbook.Read(strings.NewReader(text), kind+".csv")
	if err != nil {
		panic(err)
	}
	r, err := book.Reduce(fieldbook.Options{})
	if err != nil {
		panic(err)
	}
	p := Plan{Title: r.Title, Units: r.Units, Datum: "above an assumed datum, from benchmark BM1 = 100.00 ft"}
	for _, s := range r.Shots {
		p.Shots = append(p.Shots, Shot{Name: s.Name, Point: s.Point, Z: s.Z})
	}
	for _, l := range r.Lines {
		p.Breaklines = append(p.Breaklines, Breakline{Code: l.Code, Kind: KindOf(l.Code), Points: l.Points, Closed: l.Closed})
	}
	m, err := survey.Fit(r.Shots, survey.Options{})
	if err != nil {
		panic(err)
	}
	f, err := survey.FrameFor(r.Shots, 0)
	if err != nil {
		panic(err)
	}
	p.Ground, p.Error = m.Grid(f)
	p.LeaveOneOut = m.LeaveOneOut().RMSE
	return p
}

// longRow is sixty shots along a bed that runs to the north-east, three abreast.
func longRow(u quantity.Units) Plan {
	p := Plan{Title: "Long bed", Units: u, Datum: "above the pump slab, taken as 100.000"}
	dir, across := orb.Point{math.Cos(0.6), math.Sin(0.6)}, orb.Point{-math.Sin(0.6), math.Cos(0.6)}
	var shots []survey.Shot
	for i := range 60 {
		along, off := float64(i/3)*6, float64(i%3-1)*1.5
		q := orb.Point{200 + along*dir[0] + off*across[0], 100 + along*dir[1] + off*across[1]}
		z := 100 - 0.004*along + 0.12*math.Sin(along/9) - 0.05*off*off
		shots = append(shots, survey.Shot{Point: q, Z: z, Error: 0.004})
		p.Shots = append(p.Shots, Shot{Point: q, Z: z})
	}
	m, err := survey.Fit(shots, survey.Options{})
	if err != nil {
		panic(err)
	}
	f, err := survey.FrameFor(shots, 0.2)
	if err != nil {
		panic(err)
	}
	p.Ground, p.Error = m.Grid(f)
	return p
}

// bowl is ground known by a formula: a round hollow 40 m across, a metre deep.
func bowl() Plan {
	z := terrain.NewGrid[float32](terrain.Frame{Rows: 160, Cols: 160, CellSize: 0.25, West: 500000, North: 3100040, CRS: "EPSG:32614"})
	for i := range z.Cells {
		q := z.Centre(z.Cell(i))
		z.Cells[i] = float32(49 + math.Hypot(q[0]-500020, q[1]-3100020)/20)
	}
	return Plan{Title: "Bowl", Ground: z}
}

func sites() map[string]func() Plan {
	return map[string]func() Plan{
		"heron bend": heronBend,
		"heron bend in feet": func() Plan {
			p := heronBend()
			p.Units = quantity.Feet
			return p
		},
		"level book":       func() Plan { return bookPlan("level") },
		"laser sheet":      func() Plan { return bookPlan("laser") },
		"long row":         func() Plan { return longRow(quantity.Metric) },
		"long row in feet": func() Plan { return longRow(quantity.Feet) },
		"bowl":             bowl,
		"many shots": func() Plan {
			p := bowl()
			for i := range 20000 {
				q := orb.Point{500000 + 40*math.Mod(float64(i)*0.6180339887, 1), 3100000 + 40*math.Mod(float64(i)*0.7548776662, 1)}
				p.Shots = append(p.Shots, Shot{Point: q, Z: 49 + math.Hypot(q[0]-500020, q[1]-3100020)/20})
			}
			return p
		},
		"hostile words": func() Plan {
			p := heronBend()
			p.Title = strings.Repeat("</svg><script>alert('x')</script> 😀 ", 9)
			p.Date, p.Datum = strings.Repeat("(\\) Tj ET ", 20), strings.Repeat("above everything ", 12)
			p.Ground = &terrain.Grid[float32]{Frame: p.Ground.Frame, Cells: p.Ground.Cells}
			p.Ground.CRS = `PROJCRS["` + strings.Repeat("Made up ", 20)
			p.Error = nil
			p.Notes = []string{strings.Repeat("word", 60), "\x00\x07\n\u202edrow"}
			return p
		},
	}
}

func composed(t testing.TB, p Plan, o Options) *sheet {
	s, err := compose(&p, o)
	require.NoError(t, err)
	return s
}
