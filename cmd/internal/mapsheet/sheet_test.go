package mapsheet

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"image"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"testing"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/drafting"
	"wetfeet/cmd/internal/look"
	sitefile "wetfeet/cmd/internal/site"
	"wetfeet/hydro"
	"wetfeet/terrain"
	"wetfeet/terrain/quantity"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// drawn is a sheet with all on it.
func drawn(t testing.TB, r *assess.Result, o Options) *sheet {
	s, err := plan(r, o)
	require.NoError(t, err)
	s.draw()
	return s
}

// What must hold of any sheet, of any site.
func TestEverySheet(t *testing.T) {
	for name, make := range sites() {
		t.Run(name, func(t *testing.T) {
			r := make()
			s := drawn(t, r, Options{})
			nothingOverlaps(t, s)
			everyWordIsReadable(t, s)
			legendTellsWhatIsShown(t, s)
			scaleIsTrue(t, s)

			// go test -run EverySheet -artifacts leaves the maps to be looked at.
			f, err := os.Create(filepath.Join(t.ArtifactDir(), strings.ReplaceAll(name, " ", "-")+".png"))
			require.NoError(t, err)
			require.NoError(t, WritePNG(f, s.canvas.Image()))
			require.NoError(t, f.Close())

			size := s.canvas.Image().Bounds()
			assert.Equal(t, DefaultWidth, size.Dx())
			assert.GreaterOrEqual(t, size.Dy(), DefaultWidth/2)
			assert.LessOrEqual(t, float64(size.Dy()), DefaultWidth*math.Sqrt2+1)
		})
	}
}

func nothingOverlaps(t *testing.T, s *sheet) {
	for i, a := range s.written {
		for _, b := range s.written[:i] {
			// Capitals of neighbouring lines in small print may come within a
			// pixel; nothing may lie on another.
			assert.False(t, a.box.Grow(-1).Meets(b.box.Grow(-1)), "%q overlaps %q", a.text, b.text)
		}
	}
	for _, p := range s.panels {
		for _, l := range p.layers.labels {
			assert.True(t, p.holds(l.box), "%q leaves its map", l.text)
			for _, tree := range p.layers.trees {
				r := look.Symbols()[tree.class].Reach() / 10 * p.radius
				assert.False(t, l.box.Meets(drafting.Box{X: tree.x, Y: tree.y, W: r, H: r}), "%q lies on tree %s", l.text, s.r.Trees[tree.index].ID)
			}
		}
	}
	for i, p := range s.panels {
		for _, q := range s.panels[:i] {
			assert.True(t, p.rect.Intersect(q.rect).Empty())
		}
	}
}

func everyWordIsReadable(t *testing.T, s *sheet) {
	require.NotEmpty(t, s.written)
	for _, w := range s.written {
		assert.GreaterOrEqual(t, w.size, 22*s.u, "%q", w.text)
		x0, y0, x1, y1 := w.box.Bounds()
		assert.True(t, x0 >= 0 && y0 >= 0 && x1 <= float64(s.width) && y1 <= float64(s.height), "%q leaves the sheet", w.text)
	}
	text := allText(s)
	for _, must := range []string{"A plan, not a survey", "digging", "permits", "N", "datum", "Light from the north-west, heights ×"} {
		assert.Contains(t, text, must)
	}
	assert.Equal(t, s.r.Invented, strings.Contains(text, "INVENTED PLACE"))
}

func allText(s *sheet) string {
	var all []string
	for _, w := range s.written {
		all = append(all, w.text)
	}
	return strings.Join(all, " ")
}

// legendTellsWhatIsShown counts again, from the trees and from the pixels.
func legendTellsWhatIsShown(t *testing.T, s *sheet) {
	said := make(map[string]string) // text to number
	for _, b := range s.legend(s.shown) {
		require.NotEmpty(t, b.entries)
		for _, e := range b.entries {
			said[e.text] = e.number
			assert.Contains(t, allText(s), e.text)
		}
	}
	counts, planned := make(map[string]int), make(map[string]int)
	for _, tree := range s.r.Trees {
		name := "unknown"
		if tree.OnGround {
			name = tree.Risk.String()
		}
		planned[name]++
		for _, p := range s.panels {
			if p.bound.Contains(tree.Point) {
				counts[name]++
				break
			}
		}
	}
	for _, sym := range look.Symbols() {
		want := ""
		if n := counts[sym.Name]; n > 0 {
			want = strconv.Itoa(n)
			if planned[sym.Name] > n {
				want = fmt.Sprintf("%d of %d", n, planned[sym.Name])
			}
		}
		assert.Equal(t, want, said[sym.Name], sym.Name)
	}

	m := s.canvas.Image()
	for i, d := range look.Depths(s.r.Units) {
		seen := false
		for _, p := range s.panels {
			seen = seen || count(m, p.rect, d.Fill) > 0
		}
		_, listed := said[d.Label]
		assert.Equal(t, seen, listed, "depth class %d", i)
	}
	if s.r.Survey != nil {
		assert.Equal(t, strconv.Itoa(s.r.Survey.Shots), said["spot height measured"])
	}
	unknown := false
	for _, p := range s.panels {
		unknown = unknown || hasHatch(m, p.rect)
	}
	_, listed := said["no elevation known"]
	assert.Equal(t, unknown, listed)
}

func count(m *image.RGBA, r image.Rectangle, c colour) (n int) {
	for y := r.Min.Y; y < r.Max.Y; y++ {
		for x := r.Min.X; x < r.Max.X; x++ {
			if m.RGBAAt(x, y) == c {
				n++
			}
		}
	}
	return n
}

// hasHatch reports whether some row has the ground of the hatch and then its
// line: soft edges of symbols and words hit on either grey by chance.
func hasHatch(m *image.RGBA, r image.Rectangle) bool {
	for y := r.Min.Y; y < r.Max.Y; y++ {
		run := 0
		for x := r.Min.X; x < r.Max.X; x++ {
			c := m.RGBAAt(x, y)
			if c == look.UnknownLine && run >= 4 {
				return true
			}
			if run++; c != look.Unknown {
				run = 0
			}
		}
	}
	return false
}

// scaleIsTrue measures the bar on the finished sheet against two points of the
// ground.
func scaleIsTrue(t *testing.T, s *sheet) {
	p := s.panels[0]
	x0, _ := p.at(orb.Point{p.bound.Min[0], p.bound.Min[1]})
	x1, _ := p.at(orb.Point{p.bound.Min[0] + s.scaleLength, p.bound.Min[1]})
	// The bar begins at the margin with a dark part; its outline is dark too.
	m := s.canvas.Image()
	bar := 0
	for y := s.height - 1; y > p.rect.Max.Y && bar == 0; y-- {
		x := int(margin*s.u) + 2
		for x+bar < s.width && look.Contrast(m.RGBAAt(x+bar, y), look.Paper) > 10 {
			bar++
		}
		if bar < int(100*s.u) {
			bar = 0
		}
	}
	assert.InDelta(t, x1-x0, float64(bar), 6*s.u, "the bar is as long as it says")
	assert.LessOrEqual(t, x1-x0, 471*s.u)
	assert.GreaterOrEqual(t, x1-x0, 180*s.u)
	unit := 1.0
	if s.r.Units == quantity.Feet {
		unit = 0.3048
		assert.Contains(t, allText(s), " ft")
	}
	long := s.scaleLength / unit
	assert.InDelta(t, math.Round(long*100), long*100, 1e-6, "tidy in the units of the site")
}

func TestSameBytesOnAnyNumberOfThreads(t *testing.T) {
	r := sites()["one hollow in a small garden"]()
	sum := func() [32]byte {
		m, err := Draw(r, Options{Width: 1600})
		require.NoError(t, err)
		var b bytes.Buffer
		require.NoError(t, WritePNG(&b, m))
		return sha256.Sum256(b.Bytes())
	}
	want := sum()
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	assert.Equal(t, want, sum())
	runtime.GOMAXPROCS(7)
	assert.Equal(t, want, sum())
}

func TestDrawRefuses(t *testing.T) {
	r := sites()["no trees"]()
	empty := terrain.NewGrid[float32](terrain.Frame{Rows: 3, Cols: 3, CellSize: 1})
	for i := range empty.Cells {
		empty.Cells[i] = terrain.Void()
	}
	for _, tt := range []struct {
		name string
		r    *assess.Result
		o    Options
		want string
	}{
		{"too narrow", r, Options{Width: 800}, "map of 800 pixels: its width can be from 1600 to 9600"},
		{"too wide", r, Options{Width: 20000}, "map of 20000 pixels: its width can be from 1600 to 9600"},
		{"negative", r, Options{Width: -1}, "map of -1 pixels: its width can be from 1600 to 9600"},
		{"nothing", nil, Options{}, "no ground to draw a map of: not one cell has an elevation"},
		{"no drainage", &assess.Result{}, Options{}, "no ground to draw a map of: not one cell has an elevation"},
		{"all void", &assess.Result{Drain: &hydro.Drainage{Ground: empty}}, Options{}, "no ground to draw a map of: not one cell has an elevation"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			_, err := Draw(tt.r, tt.o)
			assert.EqualError(t, err, tt.want)
		})
	}
}

func TestSmallestGrounds(t *testing.T) {
	for _, f := range []terrain.Frame{
		{Rows: 1, Cols: 1, CellSize: 1},
		{Rows: 1, Cols: 40, CellSize: 0.5},
		{Rows: 300, Cols: 1, CellSize: 2},
		{Rows: 2, Cols: 2, CellSize: 1e-3, CRS: `PROJCRS["Made up / zone 1",BASEGEOGCRS["x"]]`},
		{Rows: 3, Cols: 3, CellSize: 5000, West: -1e7, North: 1e7},
	} {
		t.Run(fmt.Sprintf("%d by %d cells of %g m", f.Rows, f.Cols, f.CellSize), func(t *testing.T) {
			z := terrain.NewGrid[float32](f)
			for i := range z.Cells {
				z.Cells[i] = float32(i) / 10
			}
			z.Cells[0] = 3
			s := drawn(t, &assess.Result{Drain: &hydro.Drainage{Ground: z}}, Options{Width: LeastWidth})
			everyWordIsReadable(t, s)
			legendTellsWhatIsShown(t, s)
		})
	}
}

func TestNamesThatDoNotFitAreShortened(t *testing.T) {
	r := sites()["no hollows at all"]()
	r.Name = strings.Repeat("Upper meadow by the old crossing ", 9)
	r.Rows[0].Name = strings.Repeat("windbreak ", 9)
	s := drawn(t, r, Options{Width: LeastWidth})
	everyWordIsReadable(t, s)
	nothingOverlaps(t, s)
	assert.Contains(t, allText(s), "…")
}

// Ditches and pipes of the plan are on the sheet with their names, told apart,
// and in the legend where they are on it.
func TestDitchesAndPipesAreShown(t *testing.T) {
	r := heronBend()
	bare := drawn(t, r, Options{})
	assert.NotContains(t, allText(bare), "of the plan")
	west, south := bare.panels[0].bound.Min[0], bare.panels[0].bound.Min[1]
	line := func(x float64) orb.LineString {
		return orb.LineString{{west + x, south + 30}, {west + x + 12, south + 5}}
	}
	r.Links = []sitefile.Link{{Name: "East ditch", Ditch: true, Line: line(60)}, {Name: "Far drain", Ditch: true, Line: orb.LineString{{west - 900, south}, {west - 800, south}}}}
	s := drawn(t, r, Options{})
	nothingOverlaps(t, s)
	assert.Contains(t, allText(s), "East ditch")
	assert.Contains(t, allText(s), "ditch of the plan")
	assert.NotContains(t, allText(s), "pipe of the plan")
	assert.NotContains(t, allText(s), "Far drain")
	assert.Greater(t, count(s.canvas.Image(), s.panels[0].rect, look.Shore), count(bare.canvas.Image(), bare.panels[0].rect, look.Shore)+200)

	r.Links = []sitefile.Link{{Name: "Culvert", Line: line(90)}, {Name: "Outfall", Line: line(20)[:1]}}
	s = drawn(t, r, Options{})
	assert.Contains(t, allText(s), "Culvert")
	assert.Contains(t, allText(s), "pipe of the plan")
	assert.NotContains(t, allText(s), "ditch of the plan")
}

// A mound in the middle of a hollow stands out of the water.
func TestIslandsStandOut(t *testing.T) {
	z := ground(60, 60, 0.5, 0, 0, 1)
	for i := range z.Cells {
		p := z.Centre(z.Cell(i))
		d := math.Hypot(p[0]-500030, p[1]-3100030)
		z.Cells[i] = float32(10 - 0.5*math.Exp(-d*d/200) + 0.8*math.Exp(-d*d/20) + d/1000)
	}
	s := drawn(t, &assess.Result{Drain: drain(z)}, Options{Width: LeastWidth})
	p := s.panels[0]
	colourAt := func(east, north float64) colour {
		x, y := p.at(orb.Point{500000 + east, 3100000 + north})
		return s.canvas.Image().RGBAAt(int(x), int(y))
	}
	isWater := func(c colour) bool {
		for _, d := range look.Depths(quantity.Metric) {
			if c == d.Fill {
				return true
			}
		}
		return false
	}
	assert.False(t, isWater(colourAt(30.6, 30.4)), "the island")
	assert.False(t, isWater(colourAt(3.3, 3.3)), "the bank")
	wet := 0
	for a := range 16 {
		sin, cos := math.Sincos(float64(a) / 16 * 2 * math.Pi)
		if isWater(colourAt(30+8*cos, 30+8*sin)) {
			wet++
		}
	}
	assert.GreaterOrEqual(t, wet, 12, "the water around it, words apart")
}

// The light comes from the north-west: a bank that faces it is the lightest,
// one that faces away the darkest, and level ground lies between.
func TestShadeFacesNorthWest(t *testing.T) {
	tone := func(east, north float64) float32 {
		z := ground(10, 10, 1, 0, 0, 1)
		for i := range z.Cells {
			p := z.Centre(z.Cell(i))
			z.Cells[i] = float32(east*(p[0]-500000) + north*(p[1]-3100000))
		}
		w := window{z: z}
		w.shade(10)
		return w.tone.At(5, 5)
	}
	level, toward, away := tone(0, 0), tone(0.03, -0.03), tone(-0.03, 0.03)
	assert.InDelta(t, 0.72, level, 1e-6)
	assert.Greater(t, toward, level+0.05)
	assert.Less(t, away, level-0.05)
}

func TestExaggerationSuitsTheRelief(t *testing.T) {
	for slope, want := range map[float64]float64{0: 100, 0.0005: 100, 0.006: 100, 0.012: 50, 0.03: 20, 0.06: 10, 0.2: 5, 0.4: 2, 0.8: 1} {
		z := ground(20, 20, 1, 0, 0, 1)
		for i := range z.Cells {
			z.Cells[i] = float32(slope * z.Centre(z.Cell(i))[1] / 1)
		}
		for i := range z.Cells { // keep float32 exact near zero
			row, _ := z.Cell(i)
			z.Cells[i] = float32(slope * float64(20-row))
		}
		assert.Equal(t, want, exaggeration([]*terrain.Grid[float32]{z}), "slope %v", slope)
	}
}

// Voids around the known ground are not shown for their own sake.
func TestExtentIsThatOfKnownGround(t *testing.T) {
	s := drawn(t, sites()["a survey on a larger frame"](), Options{Width: LeastWidth})
	assert.Equal(t, orb.Bound{Min: orb.Point{500030, 3100025}, Max: orb.Point{500110, 3100090}}, s.known)
	for axis := range 2 {
		assert.GreaterOrEqual(t, s.panels[0].bound.Min[axis], s.known.Min[axis]-2)
		assert.LessOrEqual(t, s.panels[0].bound.Max[axis], s.known.Max[axis]+2)
	}
	assert.False(t, s.shown.void)
}

// A site in the corner of a large ground fills the sheet.
func TestExtentFollowsTheTrees(t *testing.T) {
	r := site(ground(300, 300, 1, 0.003, 0, 6), []plannedRow{{"A", local([2]float64{20, 20}, [2]float64{80, 50}), 4, [2]float64{}}})
	s := drawn(t, r, Options{Width: LeastWidth})
	b := s.panels[0].bound
	assert.Less(t, b.Max[0]-b.Min[0], 110.0)
	for _, tree := range r.Trees {
		assert.True(t, b.Contains(tree.Point))
	}
}

// A position far off the ground must not shrink all else; the legend owns up.
func TestPositionsFarOffAreCounted(t *testing.T) {
	s := drawn(t, sites()["voids in the ground"](), Options{})
	assert.Equal(t, 1, s.shown.beyond)
	assert.Contains(t, allText(s), "1 planned far off the ground")
	assert.Equal(t, 11, s.shown.trees[unknown])
}

// Strips show every tree of a long site, in order, at one scale.
func TestLongSitesAreLaidOutInStrips(t *testing.T) {
	for _, name := range []string{"a long thin windbreak", "a long thin windbreak running north"} {
		s := drawn(t, sites()[name](), Options{})
		require.Greater(t, len(s.panels), 1, name)
		assert.Contains(t, allText(s), fmt.Sprintf("part 1 of %d", len(s.panels)))
		for i := range s.r.Trees {
			on := 0
			for _, p := range s.panels {
				if p.bound.Contains(s.r.Trees[i].Point) {
					on++
				}
			}
			require.True(t, on == 1 || on == 2, "tree %d is on %d strips", i, on)
		}
		for _, p := range s.panels {
			assert.Equal(t, s.panels[0].scale, p.scale)
		}
	}
}

// Symbols shrink with the spacing but never below what shows their shape.
func TestSymbolsFitTheSpacing(t *testing.T) {
	s := drawn(t, sites()["two thousand trees"](), Options{})
	gap := 2 * s.panels[0].scale
	assert.Less(t, 2*s.radius, gap)
	assert.GreaterOrEqual(t, s.radius, leastRadius*s.u)
	small := drawn(t, sites()["one hollow in a small garden"](), Options{})
	assert.Equal(t, mostRadius*small.u, small.radius)
}

func BenchmarkDraw(b *testing.B) {
	for _, side := range []int{512, 2048} {
		b.Run(fmt.Sprintf("side=%d", side), func(b *testing.B) {
			size := float64(side) * 0.1
			var rows []plannedRow
			for i := range 20 {
				y := size * (float64(i) + 1) / 21
				rows = append(rows, plannedRow{fmt.Sprintf("R%d", i+1), local([2]float64{size * 0.05, y}, [2]float64{size * 0.95, y}), size * 0.9 / 100, [2]float64{}})
			}
			r := site(ground(size, size, 0.1, 0.003, 0.03, 5, bowl{size * 0.3, size * 0.4, size / 8, 0.4}, bowl{size * 0.7, size * 0.6, size / 6, 0.6}), rows)
			b.ReportAllocs()
			for b.Loop() {
				if _, err := Draw(r, Options{}); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(r.Drain.Ground.Len()), "ns/cell")
		})
	}
}

func BenchmarkWritePNG(b *testing.B) {
	m, err := Draw(heronBend(), Options{})
	require.NoError(b, err)
	var buf bytes.Buffer
	for b.Loop() {
		buf.Reset()
		if err := WritePNG(&buf, m); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(buf.Len()), "file-bytes")
}
