package plansheet

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"runtime"
	"strconv"
	"strings"
	"testing"

	"wetfeet/cmd/internal/look"
	"wetfeet/cmd/internal/paint/painttest"
	"wetfeet/terrain"
	"wetfeet/terrain/quantity"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What must hold of any plan of any site, on any paper.
func TestEverySheet(t *testing.T) {
	for name, site := range sites() {
		for _, paper := range Papers {
			t.Run(name+" on "+paper.String(), func(t *testing.T) {
				p, o := site(), Options{Paper: paper}
				s := composed(t, p, o)
				nothingOverlaps(t, s)
				everyWordIsReadable(t, s)
				scaleIsTrue(t, s)
				levelsAreAsMeasured(t, s)

				// go test -run EverySheet -artifacts leaves the plans to be looked at.
				for end, write := range map[string]func(*os.File) error{
					".png": func(f *os.File) error { return WritePNG(f, p, o) },
					".pdf": func(f *os.File) error { return WritePDF(f, p, o) },
				} {
					f, err := os.Create(filepath.Join(t.ArtifactDir(), strings.ReplaceAll(name+" "+paper.String(), " ", "-")+end))
					require.NoError(t, err)
					require.NoError(t, write(f))
					require.NoError(t, f.Close())
				}
			})
		}
	}
}

// The pictures of a survey, as sheets and bare.
func TestEveryTheme(t *testing.T) {
	for name, site := range map[string]func() Plan{
		"slips": slips, "long row": sites()["long row"], "hostile words": sites()["hostile words"], "many shots": sites()["many shots"],
	} {
		for _, show := range []Theme{Contours, Errors, Residuals} {
			for _, bare := range []bool{false, true} {
				title := fmt.Sprintf("%s, %v, bare %v", name, show, bare)
				t.Run(title, func(t *testing.T) {
					p, o := site(), Options{Show: show, Bare: bare}
					if show == Errors && p.Error == nil {
						_, err := Draw(p, o)
						require.EqualError(t, err, "no error of the ground to draw")
						return
					}
					s := composed(t, p, o)
					nothingOverlaps(t, s)
					for _, a := range texts(s) {
						x0, y0, x1, y1 := a.box.Bounds()
						require.True(t, x0 > 0 && y0 > 0 && x1 < s.way.wide && y1 < s.way.high, "%q leaves the sheet", a.text)
					}
					if bare {
						assert.NotContains(t, allText(s), "Surveyed on")
						assert.LessOrEqual(t, s.way.high, bareMost+1e-9)
					}
					if show == Residuals {
						for k, i := range p.Suspicious {
							assert.Contains(t, allText(s), strconv.Itoa(k+1)+" "+p.Shots[i].Name)
						}
					}
					f, err := os.Create(filepath.Join(t.ArtifactDir(), strings.ReplaceAll(title, " ", "-")+".png"))
					require.NoError(t, err)
					require.NoError(t, WritePNG(f, p, o))
					require.NoError(t, f.Close())
				})
			}
		}
	}
}

func texts(s *sheet) (out []item) {
	for _, t := range s.items {
		if t.text != "" {
			out = append(out, t)
		}
	}
	return out
}

func allText(s *sheet) string {
	var all []string
	for _, t := range texts(s) {
		all = append(all, t.text)
	}
	return strings.Join(all, " ")
}

func nothingOverlaps(t *testing.T, s *sheet) {
	all := texts(s)
	for i, a := range all {
		for _, b := range all[:i] {
			require.False(t, a.box.Grow(-0.12).Meets(b.box.Grow(-0.12)), "%q overlaps %q", a.text, b.text)
		}
		if a.on != nil {
			assert.True(t, a.on.holds(a.box), "%q leaves its frame", a.text)
		}
	}
}

func everyWordIsReadable(t *testing.T, s *sheet) {
	for _, a := range texts(s) {
		least := 7 * point
		if a.on != nil {
			least = 8 * point
		}
		require.GreaterOrEqual(t, a.size, least-1e-9, "%q", a.text)
		x0, y0, x1, y1 := a.box.Bounds()
		require.True(t, x0 > 4 && y0 > 4 && x1 < s.way.wide-4 && y1 < s.way.high-4, "%q comes too near the edge of the paper", a.text)
	}
	text := allText(s)
	if s.p.Title != sites()["hostile words"]().Title {
		assert.NotContains(t, text, "…", "words that do not fit")
	}
	for _, must := range []string{"Contour plan", s.scaleWords(), "when printed at 100 %", "N", "Surveyed on", "Levels checked on site by", "contour, every " + s.spacing.String(), "Grid"} {
		assert.Contains(t, text, must)
	}
	for _, caution := range Cautions {
		assert.Contains(t, strings.ReplaceAll(text, " ", ""), strings.ReplaceAll(caution, " ", ""))
	}
	assert.Equal(t, s.p.Invented, strings.Contains(text, "INVENTED PLACE"))
}

// scaleIsTrue holds a hundred metres of ground, in any direction, to what the
// scale says, and the bars to theirs.
func scaleIsTrue(t *testing.T, s *sheet) {
	assert.Contains(t, allText(s), "1:"+strconv.Itoa(s.way.scale))
	for _, p := range s.panels {
		for degree := range 36 {
			sin, cos := math.Sincos(float64(degree) * math.Pi / 18)
			x0, y0 := p.at(p.centre)
			x1, y1 := p.at(orb.Point{p.centre[0] + 100*cos, p.centre[1] + 100*sin})
			require.InDelta(t, 100_000/float64(s.way.scale), math.Hypot(x1-x0, y1-y0), 1e-6)
		}
		q := p.ground(p.x0+3, p.y0+5)
		x, y := p.at(q)
		assert.InDelta(t, p.x0+3, x, 1e-6)
		assert.InDelta(t, p.y0+5, y, 1e-6)
	}
}

// levelsAreAsMeasured finds the level beside each cross again.
func levelsAreAsMeasured(t *testing.T, s *sheet) {
	known := make(map[string]bool)
	for _, shot := range s.p.Shots {
		known[s.level(shot.Z)] = true
	}
	unit, _ := s.p.unit()
	spots := 0
	for _, a := range texts(s) {
		if a.on == nil {
			continue
		}
		if a.ink == look.Print {
			assert.True(t, known[strings.TrimSuffix(a.text, "?")], "nobody measured %q", a.text)
			spots++
			continue
		}
		z, err := strconv.ParseFloat(a.text, 64)
		require.NoError(t, err)
		steps := z / s.spacing.Step
		assert.InDelta(t, math.Round(steps), steps, 1e-6, "%q is no multiple of %v", a.text, s.spacing)
		assert.GreaterOrEqual(t, z*unit, s.lo-1e-6)
		assert.LessOrEqual(t, z*unit, s.hi+1e-6)
	}
	assert.Equal(t, s.shown.labelled, spots)
	assert.LessOrEqual(t, s.shown.labelled, s.shown.shots)
}

// Where each contour of a cone lies is known without a program: a level of 49.4
// is eight metres from the middle, 32 mm at 1:250.
func TestContoursLieWhereTheirLevelIs(t *testing.T) {
	s := composed(t, bowl(), Options{})
	assert.Equal(t, 250, s.way.scale)
	p := s.panels[0]
	x0, y0 := p.at(orb.Point{500020, 3100020})
	seen := 0
	for _, c := range s.findContours(p) {
		for _, q := range c.points {
			require.InDelta(t, (c.level.Z-49)*20*4, math.Hypot(q.X-x0, q.Y-y0), 0.1, "contour %s, mm", c.level.Label)
		}
		seen++
	}
	assert.GreaterOrEqual(t, seen, 5)
}

var segment = regexp.MustCompile(`([-\d.]+) ([-\d.]+) [ml]\n([-\d.]+) ([-\d.]+) l\n`)

// The bars as they are in the document: a point is 25.4/72 mm.
func TestBarsOfTheDocumentAreAsLongAsTheySay(t *testing.T) {
	for name, want := range map[string]float64{"heron bend": 100, "long row in feet": 101.6} {
		t.Run(name, func(t *testing.T) {
			var b bytes.Buffer
			p := sites()[name]()
			require.NoError(t, WritePDF(&b, p, Options{}))
			content := painttest.Content(t, b.Bytes())
			s := composed(t, p, Options{})
			last := s.panels[len(s.panels)-1]
			bar, found := 0.0, 0
			for at := 0; ; {
				m := segment.FindStringSubmatchIndex(content[at:])
				if m == nil {
					break
				}
				var v [4]float64
				for i := range v {
					v[i], _ = strconv.ParseFloat(content[at+m[2+2*i]:at+m[3+2*i]], 64)
					v[i] *= point
				}
				if y := s.way.high - v[1]; v[1] == v[3] && y > last.y1 && y < last.y1+8 && math.Abs(v[2]-v[0]) > 30 {
					if math.Abs(math.Abs(v[2]-v[0])-want) < 0.1 {
						found++
					}
					bar = max(bar, math.Abs(v[2]-v[0]))
				}
				at += m[3] // segments share points
			}
			assert.Equal(t, 1, found, "the check bar")
			assert.InDelta(t, s.barLength*last.scale, 1000*s.barLength/float64(s.way.scale), 1e-9)
			assert.GreaterOrEqual(t, bar, want-0.1)
		})
	}
}

// The document says in words, to a machine, what the sheet says.
func TestDocumentKeepsItsWords(t *testing.T) {
	for name, site := range sites() {
		var b bytes.Buffer
		p := site()
		require.NoError(t, WritePDF(&b, p, Options{}))
		var want []string
		for _, a := range texts(composed(t, p, Options{})) {
			if name != "hostile words" || a.text[0] > ' ' && !strings.ContainsAny(a.text, "\x00\x07\n😀") {
				want = append(want, a.text)
			}
		}
		assert.Subset(t, painttest.Texts(painttest.Content(t, b.Bytes())), want, name)
	}
}

func TestSameBytesOnAnyNumberOfThreads(t *testing.T) {
	p := heronBend()
	write := func() (a, b []byte) {
		var picture, document bytes.Buffer
		require.NoError(t, WritePNG(&picture, p, Options{DPI: 96}))
		require.NoError(t, WritePDF(&document, p, Options{}))
		return picture.Bytes(), document.Bytes()
	}
	a, b := write()
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	for _, n := range []int{1, 7} {
		runtime.GOMAXPROCS(n)
		c, d := write()
		assert.True(t, bytes.Equal(a, c), "picture, %d threads", n)
		assert.True(t, bytes.Equal(b, d), "document, %d threads", n)
	}
}

// ISO/IEC 15948, 11.3.5.3: pHYs holds the pixels to the metre on each axis.
func TestPictureKnowsItsSize(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, WritePNG(&b, bowl(), Options{Turn: Lying, DPI: 254}))
	m, err := png.Decode(bytes.NewReader(b.Bytes()))
	require.NoError(t, err)
	assert.Equal(t, 2970, m.Bounds().Dx())
	assert.Equal(t, 2100, m.Bounds().Dy())
	at := bytes.Index(b.Bytes(), []byte("pHYs"))
	require.Positive(t, at)
	data := b.Bytes()[at+4:]
	assert.Equal(t, uint32(10000), binary.BigEndian.Uint32(data))
	assert.Equal(t, uint32(10000), binary.BigEndian.Uint32(data[4:]))
	assert.Equal(t, byte(1), data[8])
}

func TestRefuses(t *testing.T) {
	empty := terrain.NewGrid[float32](terrain.Frame{Rows: 3, Cols: 3, CellSize: 1})
	for i := range empty.Cells {
		empty.Cells[i] = terrain.Void()
	}
	other := terrain.NewGrid[float32](terrain.Frame{Rows: 3, Cols: 3, CellSize: 2})
	for _, tt := range []struct {
		name string
		p    Plan
		o    Options
		want string
	}{
		{"nothing", Plan{}, Options{}, "no ground to draw a plan of: not one cell has an elevation"},
		{"all void", Plan{Ground: empty}, Options{}, "no ground to draw a plan of: not one cell has an elevation"},
		{"an error of other ground", Plan{Ground: bowl().Ground, Error: other}, Options{}, "the error of the ground lies on another frame than the ground"},
		{"a scale too large", bowl(), Options{Scale: 50}, "the ground does not fit on A4 at 1:50: take a larger number, or a larger sheet"},
		{"several mistakes", Plan{Ground: empty, Interval: -1}, Options{DPI: 10, Paper: 9, Scale: -2}, "a picture of 10 pixels to an inch: it can have from 96 to 600\npaper 9: A4, Letter and A3 are known\nscale 1:-2: the number has to be 1 or more\ncontour interval of -1 m: it has to be above 0\nno ground to draw a plan of: not one cell has an elevation"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			_, err := Draw(tt.p, tt.o)
			assert.EqualError(t, err, tt.want)
			assert.EqualError(t, WritePDF(&bytes.Buffer{}, tt.p, tt.o), tt.want)
		})
	}
}

func TestSmallestGrounds(t *testing.T) {
	for _, f := range []terrain.Frame{
		{Rows: 1, Cols: 1, CellSize: 1},
		{Rows: 1, Cols: 40, CellSize: 0.5},
		{Rows: 300, Cols: 1, CellSize: 2},
		{Rows: 2, Cols: 2, CellSize: 1e-3},
		{Rows: 3, Cols: 3, CellSize: 5000, West: -1e7, North: 1e7},
	} {
		z := terrain.NewGrid[float32](f)
		for i := range z.Cells {
			z.Cells[i] = float32(i) / 10
		}
		s := composed(t, Plan{Ground: z}, Options{})
		nothingOverlaps(t, s)
	}
}

func TestAskedScaleAndInterval(t *testing.T) {
	p := heronBend()
	p.Interval = 0.05
	s := composed(t, p, Options{Scale: 2000, Turn: Upright})
	assert.Equal(t, 2000, s.way.scale)
	assert.Less(t, s.way.wide, s.way.high)
	assert.Contains(t, allText(s), "contour, every 0.05 m")
	p.Units, p.Interval = quantity.Feet, 0.5*0.3048
	assert.Contains(t, allText(composed(t, p, Options{})), "contour, every 0.5 ft")
}
