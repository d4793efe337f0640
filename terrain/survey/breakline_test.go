package survey

import (
	"math"
	"math/rand/v2"
	"testing"

	"wetfeet/terrain"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
)

// ditch is level ground cut by a V-shaped ditch, 5 m deep and 20 m wide, whose
// floor falls by half a per cent to the north.
func ditch(p orb.Point) float64 {
	return 100 - 0.005*p[1] - max(0, 5-0.5*math.Abs(p[0]-50.25))
}

// ditchShots are 300 shots without order on 100 by 100 m.
func ditchShots() []Shot {
	r := rand.New(rand.NewPCG(5, 5))
	shots := make([]Shot, 300)
	for i := range shots {
		p := orb.Point{100 * r.Float64(), 100 * r.Float64()}
		shots[i] = Shot{Point: p, Z: ditch(p), Error: 0.01}
	}
	return shots
}

func ditchBottom() Breakline {
	b := Breakline{Name: "main ditch", Kind: Ditch, Error: 0.01}
	for y := 0.0; y <= 100; y += 20 {
		p := orb.Point{50.25, y}
		b.Line, b.Z = append(b.Line, p), append(b.Z, ditch(p))
	}
	return b
}

// falseDams counts the rows of cells, half a metre apart, in which the ditch
// is blocked: no cell near its axis is within 0.1 m of its floor.
func falseDams(z *terrain.Grid[float32]) (dams int, worst float64) {
	for row := range z.Rows {
		lowest := math.Inf(1)
		for col := range z.Cols {
			p := z.Centre(row, col)
			if v := z.At(row, col); v == v && math.Abs(p[0]-50.25) < 5 {
				lowest = min(lowest, float64(v))
			}
			if v := z.At(row, col); v == v {
				worst = max(worst, math.Abs(float64(v)-ditch(p)))
			}
		}
		if floor := ditch(orb.Point{50.25, z.Centre(row, 0)[1]}); lowest > floor+0.1 {
			dams++
		}
	}
	return dams, worst
}

// Without a breakline the ditch is dammed up between the shots in most rows,
// with one in none, by the surface and by the triangles.
func TestBreaklineLeavesNoFalseDamsInADitch(t *testing.T) {
	if testing.Short() {
		t.Skip("fits a large survey")
	}
	f := terrain.Frame{Rows: 200, Cols: 200, West: 0, North: 100, CellSize: 0.5}
	shots := ditchShots()
	surfaces := map[string]func(o Options) (Surface, error){
		"Matérn 3/2":  func(o Options) (Surface, error) { return Fit(shots, o) },
		"exponential": func(o Options) (Surface, error) { o.Kernel = Exponential; return Fit(shots, o) },
		"triangles":   func(o Options) (Surface, error) { return Triangulate(shots, o) },
	}
	for name, surface := range surfaces {
		t.Run(name, func(t *testing.T) {
			without, err := surface(Options{Margin: 20})
			require.NoError(t, err)
			dams, _ := falseDams(without.Heights(f))
			assert.Greater(t, dams, 100, "the test is hard enough")
			with, err := surface(Options{Margin: 20, Lines: []Breakline{ditchBottom()}})
			require.NoError(t, err)
			dams, worst := falseDams(with.Heights(f))
			assert.Zero(t, dams)
			t.Logf("off by %.2f m at most", worst)
		})
	}
}

// A wall without heights: the ground steps by 2 m across it, and keeps its
// step, while beyond the wall's ends it is one ground.
func TestLineWithoutHeightsKeepsAStep(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 3))
	step := func(p orb.Point) float64 {
		if p[0] > 50 {
			return 12
		}
		return 10
	}
	var shots []Shot
	for range 150 {
		p := orb.Point{100 * r.Float64(), 100 * r.Float64()}
		shots = append(shots, Shot{Point: p, Z: step(p), Error: 0.01})
	}
	wall := Breakline{Name: "wall", Kind: Wall, Line: orb.LineString{{50, -20}, {50, 120}}}
	without, err := Fit(shots, Options{})
	require.NoError(t, err)
	with, err := Fit(shots, Options{Lines: []Breakline{wall}})
	require.NoError(t, err)
	var worstWithout, worst float64
	for y := 5.0; y < 100; y += 5 {
		for _, x := range []float64{48, 49.5, 50.5, 52} {
			p := orb.Point{x, y}
			z, _ := without.Predict(p)
			worstWithout = max(worstWithout, math.Abs(z-step(p)))
			z, _ = with.Predict(p)
			worst = max(worst, math.Abs(z-step(p)))
		}
	}
	assert.Greater(t, worstWithout, 0.8)
	assert.Less(t, worst, 0.15)
}

// The surface passes through a line with heights, from either side, and is
// creased there.
func TestSurfacePassesThroughALineWithHeights(t *testing.T) {
	shots := scattered(80, 2)
	line := Breakline{Line: orb.LineString{{500_010, 3_000_040}, {500_045, 3_000_050}, {500_080, 3_000_030}}, Z: []float64{19, 19.2, 19.1}}
	c := Covariance{Matern32, 0.04, 25, 0}
	m, err := Fit(shots, Options{Covariance: &c, Lines: []Breakline{line}})
	require.NoError(t, err)
	for i, p := range line.Line {
		for _, side := range []float64{-1e-5, 1e-5} {
			z, _ := m.Predict(orb.Point{p[0], p[1] + side})
			assert.InDelta(t, line.Z[i], z, 2e-3, "vertex %d", i)
		}
	}
	for _, s := range shots {
		z, sd := m.Predict(s.Point)
		assert.InDelta(t, s.Z, z, 1e-5, "and still through the shots")
		assert.InDelta(t, 0, sd, 1e-4)
	}
}

// Turned, moved and raised, with its breaklines, the site has the same
// surface turned, moved and raised; and drawing a line backwards is the same.
func TestBreaklinesFollowTheSite(t *testing.T) {
	shots := scattered(80, 2)
	c := Covariance{Matern32, 0.04, 25, 0.0004}
	lines := []Breakline{
		{Line: orb.LineString{{500_010, 3_000_040}, {500_045, 3_000_050}, {500_080, 3_000_030}}, Z: []float64{19, 19.2, 19.1}},
		{Line: orb.LineString{{500_030, 3_000_005}, {500_060, 3_000_025}}},
	}
	base, err := Fit(shots, Options{Covariance: &c, Lines: lines})
	require.NoError(t, err)
	sin, cos := math.Sincos(0.6)
	for name, move := range map[string]func(orb.Point) orb.Point{
		"turned": func(p orb.Point) orb.Point {
			x, y := p[0]-5e5, p[1]-3e6
			return orb.Point{5e5 + cos*x - sin*y, 3e6 + sin*x + cos*y}
		},
		"moved":           func(p orb.Point) orb.Point { return orb.Point{p[0] - 4e5, p[1] + 2e6} },
		"drawn backwards": func(p orb.Point) orb.Point { return p },
	} {
		t.Run(name, func(t *testing.T) {
			var moved []Shot
			for _, s := range shots {
				s.Point = move(s.Point)
				s.Z += 7
				moved = append(moved, s)
			}
			var carried []Breakline
			for _, l := range lines {
				b := Breakline{}
				for i := range l.Line {
					k := i
					if name == "drawn backwards" {
						k = len(l.Line) - 1 - i
					}
					b.Line = append(b.Line, move(l.Line[k]))
					if l.Z != nil {
						b.Z = append(b.Z, l.Z[k]+7)
					}
				}
				carried = append(carried, b)
			}
			m, err := Fit(moved, Options{Covariance: &c, Lines: carried})
			require.NoError(t, err)
			for _, p := range []orb.Point{{500_044, 3_000_047}, {500_044, 3_000_053}, {500_020, 3_000_020}, {500_050, 3_000_020}} {
				z, sd := base.Predict(p)
				gotZ, gotSD := m.Predict(move(p))
				assert.InDelta(t, z+7, gotZ, 1e-5)
				assert.InDelta(t, sd, gotSD, 1e-5)
			}
		})
	}
}

// The lift against its integral done slowly, and its jump across the line
// against the strength there.
func TestLiftIsThePotentialOfADoubleLayer(t *testing.T) {
	b := newBarrier(orb.LineString{{0, 0}, {3, 1}, {4, 4}}, false, 100)
	slowly := func(x, y float64) float64 {
		sum := 0.0
		for i := 1; i < len(b.points); i++ {
			p, q := b.points[i-1], b.points[i]
			l := math.Hypot(q[0]-p[0], q[1]-p[1])
			const n = 4000
			for k := range n {
				f := (float64(k) + 0.5) / n
				dx, dy := p[0]+f*(q[0]-p[0])-x, p[1]+f*(q[1]-p[1])-y
				height := ((q[0]-p[0])*(-dy) - (q[1]-p[1])*(-dx)) / l // of the point above the part
				sum += (b.strength[i-1] + f*(b.strength[i]-b.strength[i-1])) * height / (dx*dx + dy*dy) * l / n
			}
		}
		return sum / (2 * math.Pi)
	}
	for _, p := range []orb.Point{{1, 2}, {3, -1}, {5, 3}, {-2, -1}, {2, 1.5}} {
		assert.InDelta(t, slowly(p[0], p[1]), b.lift(p[0], p[1]), 1e-6, "%v", p)
	}
	for i := 1; i+1 < len(b.points)-1; i++ {
		p, q := b.points[i], b.points[i+1]
		mid := orb.Point{(p[0] + q[0]) / 2, (p[1] + q[1]) / 2}
		nx, ny := -(q[1]-p[1])*1e-7, (q[0]-p[0])*1e-7
		jump := b.lift(mid[0]+nx, mid[1]+ny) - b.lift(mid[0]-nx, mid[1]-ny)
		assert.InDelta(t, (b.strength[i]+b.strength[i+1])/2, jump, 1e-5)
	}
	assert.InDelta(t, 0, b.lift(4000, -300), 1e-3, "far away it is forgotten")
	ring := newBarrier(orb.LineString{{0, 0}, {2, 0}, {2, 2}, {0, 2}, {0, 0}}, true, 5)
	assert.InDelta(t, 5, ring.lift(1, 1.3), 1e-12, "a closed line lifts what it encloses")
	assert.InDelta(t, 0, ring.lift(3, 1), 1e-12)
}

// However the lines lie, the covariance stays one: every matrix of it has no
// eigenvalue below zero.
func TestCovarianceAcrossBreaklinesIsPositiveDefinite(t *testing.T) {
	for seed := range uint64(5) {
		shots := scattered(60, seed)
		r := rand.New(rand.NewPCG(seed, 4))
		var lines []Breakline
		for range 12 {
			var l orb.LineString
			for range 2 + r.IntN(4) {
				l = append(l, orb.Point{500_000 + 77*r.Float64(), 3_000_000 + 77*r.Float64()})
			}
			lines = append(lines, Breakline{Line: l})
		}
		for _, k := range []Kernel{Matern32, Exponential} {
			c := Covariance{k, 0.04, 60, 0}
			m, err := Fit(shots, Options{Covariance: &c, Lines: lines})
			require.NoError(t, err)
			n := m.samples.len()
			a := mat.NewSymDense(n, nil)
			row := make([]float64, n)
			for i := range n {
				m.samples.between(i, m.samples, 0, row)
				k.correlate(row, m.size/c.Range)
				for j, v := range row {
					a.SetSym(i, j, v)
				}
			}
			var e mat.EigenSym
			require.True(t, e.Factorize(a, false))
			assert.Greater(t, e.Values(nil)[0], -1e-12)
		}
	}
}

// A shot on a line is left out with all heights on the line that come from
// it: so it does not predict itself.
func TestShotsOnLinesDoNotPredictThemselves(t *testing.T) {
	shots := scattered(80, 9)
	var line Breakline
	for i := range 6 {
		p := orb.Point{500_010 + 12*float64(i), 3_000_043}
		s := Shot{Point: p, Z: waves(p[0]-500_000, 43)}
		shots = append(shots, s)
		line.Line, line.Z = append(line.Line, p), append(line.Z, s.Z)
	}
	shots[83].Z += 0.5
	line.Z[3] += 0.5
	for name, most := range map[string]sizes{"at once": {3000, 300, 3000}, "by patches": {50, 300, 50}} {
		m, err := fit(shots, Options{Covariance: &Covariance{Matern32, 0.04, 25, 0.0004}, Lines: []Breakline{line}}, most)
		require.NoError(t, err)
		r := m.LeaveOneOut().Residuals[83]
		assert.InDelta(t, 0.5, r.Off, 0.15, name)
		v, err := m.Blocks(8)
		require.NoError(t, err)
		assert.Greater(t, v.Residuals[83].Off, 0.3, name)
	}
}

func TestOutlineAndHolesAreVoid(t *testing.T) {
	shots := scattered(60, 1)
	field := orb.Ring{{500_005, 3_000_005}, {500_070, 3_000_005}, {500_070, 3_000_070}, {500_005, 3_000_070}}
	house := orb.Ring{{500_030, 3_000_030}, {500_040, 3_000_030}, {500_040, 3_000_042}, {500_030, 3_000_042}, {500_030, 3_000_030}}
	o := Options{Outline: []orb.Ring{field}, Holes: []orb.Ring{house}}
	m, err := Fit(shots, o)
	require.NoError(t, err)
	tri, err := Triangulate(shots, o)
	require.NoError(t, err)
	f := terrain.Frame{Rows: 80, Cols: 80, West: 500_000, North: 3_000_080, CellSize: 1}
	for _, s := range []Surface{m, tri} {
		z, sd := s.Grid(f)
		for i, v := range z.Cells {
			p := f.Centre(f.Cell(i))
			assert.Equal(t, s.Covers(p), !terrain.IsVoid(v), "%v", p)
			assert.Equal(t, terrain.IsVoid(v), terrain.IsVoid(sd.Cells[i]))
		}
		assert.False(t, s.Covers(orb.Point{500_035, 3_000_035}), "in the house")
		assert.False(t, s.Covers(orb.Point{500_003, 3_000_035}), "off the field")
		assert.True(t, s.Covers(orb.Point{500_020, 3_000_035}))
	}
}

func TestLinesThatCannotBeAreToldByName(t *testing.T) {
	cross := []Breakline{
		{Name: "main ditch", Line: orb.LineString{{0, 0}, {10, 10}}, Z: []float64{1, 2}, Where: "a.geojson, feature 1"},
		{Name: "track", Line: orb.LineString{{0, 10}, {10, 0}}, Z: []float64{3, 3}},
		{Line: orb.LineString{{0, 5}, {10, 5}}},
		{Name: "loop", Line: orb.LineString{{20, 0}, {30, 0}, {30, 9}, {25, -5}}, Z: []float64{1, 2, 3, 4}},
		{Name: "bank", Line: orb.LineString{{0, 10.5}, {10, 0.5}}, Z: []float64{1.55, 1.55}},
	}
	err := CheckLines(cross)
	require.EqualError(t, err, "line \"main ditch\" (a.geojson, feature 1) crosses line \"track\" at 5.00, 5.00, at heights 1.500 and 3.000 m; one place has one height: mend one, or end it there\n"+
		"line \"loop\" crosses itself at 26.79, 0.00, at heights 1.679 and 3.643 m; one place has one height: mend one, or end it there")
	assert.ErrorIs(t, err, ErrInput)
	_, err = Fit(scattered(20, 1), Options{Lines: cross})
	assert.ErrorIs(t, err, ErrInput)
	_, err = Triangulate(scattered(20, 1), Options{Lines: cross})
	assert.ErrorIs(t, err, ErrInput)
	err = CheckLines([]Breakline{{Name: "a", Line: orb.LineString{{0, 0}}}, {Line: orb.LineString{{0, 0}, {1, math.NaN()}}}, {Line: orb.LineString{{0, 0}, {1, 1}}, Z: []float64{1}}})
	assert.EqualError(t, err, "line \"a\" has 1 vertices; at least 2 are needed\nline 2, vertex 2: x, y and z are 1, NaN, 0; numbers of metres are needed\nline 3 has 1 heights for 2 vertices; one each, or none, is needed")
	_, err = Fit(scattered(20, 1), Options{Lines: cross[2:3]})
	assert.EqualError(t, err, "line 1 lies around 5, 5 and the shots around 500020.9, 3000022: is it in the same system, in metres?")
	_, err = Fit(scattered(20, 1), Options{Kernel: Spherical, Lines: []Breakline{
		{Line: orb.LineString{{500_000, 3_000_000}, {500_020, 3_000_020}}}, {Line: orb.LineString{{500_020, 3_000_000}, {500_020, 3_000_010}}},
	}})
	assert.EqualError(t, err, "the spherical kernel holds in three dimensions, with one breakline; 2 need Matérn 3/2 or exponential")
}

// Lines that cross at one height are cut there; a line without heights takes
// those of the triangles.
func TestTrianglesHoldTheLines(t *testing.T) {
	shots := scattered(200, 5)
	lines := []Breakline{
		{Line: orb.LineString{{500_010, 3_000_010}, {500_110, 3_000_110}}, Z: []float64{19, 20}},
		{Line: orb.LineString{{500_010, 3_000_110}, {500_110, 3_000_010}}, Z: []float64{19.6, 19.4}},
		{Line: orb.LineString{{500_005, 3_000_070}, {500_120, 3_000_080}, {500_900, 3_000_080}}},
	}
	m, err := Triangulate(shots, Options{Lines: lines})
	require.NoError(t, err)
	for _, f := range []float64{0.1, 0.37, 0.5, 0.8} {
		z, sd := m.Predict(orb.Point{500_010 + 100*f, 3_000_010 + 100*f})
		assert.InDelta(t, 19+f, z, 0.02, "along the first")
		assert.Positive(t, sd)
	}
	for _, s := range shots {
		z, _ := m.Predict(s.Point)
		assert.InDelta(t, s.Z, z, 1e-9)
	}
	assert.Equal(t, []string{"1 parts of lines without heights lie outside the shots and were left out"}, m.Remarks)
	v := m.LeaveOneOut()
	assert.Len(t, v.Residuals, 200)
	assert.Less(t, v.RMSE, 0.08)
	_, err = Triangulate(shots[:2], Options{})
	assert.ErrorIs(t, err, ErrInput)
}

// scipy 1.10.1, LinearNDInterpolator on the Meuse heights; none outside the
// hull.
func TestTrianglesOfMeuseAreThoseOfScipy(t *testing.T) {
	want := []float64{math.NaN(), 8.196918414, 9.233948826, 7.437724159, math.NaN(), 8.09953876, 10.175301559, 8.527349206}
	m, err := Triangulate(meuse(t).Shots, Options{})
	require.NoError(t, err)
	for i, p := range meuseAt {
		z, _ := m.Predict(p)
		if math.IsNaN(want[i]) {
			assert.True(t, math.IsNaN(z))
			continue
		}
		assert.InDelta(t, want[i], z, 1e-8)
	}
	// A shot left out is predicted as triangles without it would.
	shots := meuse(t).Shots
	for _, i := range []int{20, 70, 111} {
		others := append(shots[:i:i], shots[i+1:]...)
		rest, err := Triangulate(others, Options{})
		require.NoError(t, err)
		z, _ := rest.Predict(shots[i].Point)
		assert.InDelta(t, z, m.LeaveOneOut().Residuals[i].Predicted, 1e-9)
	}
}
