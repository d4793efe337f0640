package paint

import (
	"image"
	"image/color"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var (
	white = color.RGBA{255, 255, 255, 255}
	black = color.RGBA{0, 0, 0, 255}
)

// inked is the area that is black, px²: every pixel counts by how dark it is.
func inked(c *Canvas) float64 {
	sum := 0.0
	for i := 0; i < len(c.image.Pix); i += 4 {
		sum += 1 - float64(c.image.Pix[i])/255
	}
	return sum
}

// Areas known by geometry. The whole-number arithmetic of the raster may move
// an edge by up to a tenth of a pixel: the triangle comes out 99 px² too large
// for an outline of 1220 px, and exact in floating point.
func TestFillCoversTheArea(t *testing.T) {
	for _, tt := range []struct {
		name string
		path Path
		want float64
		edge float64 // length of the outline on the canvas, px
	}{
		{"rectangle off the raster", Rectangle(10.25, 20.5, 90.75, 60.25), 80.5 * 39.75, 240},
		{"triangle", Polygon(Point{20, 20}, Point{420, 60}, Point{100, 380}), 70400, 1220},
		{"circle", Circle(250, 250, 180.3), math.Pi * 180.3 * 180.3, 1133},
		{"over many tiles", Rectangle(3, 3, 797, 797), 794 * 794, 0},
		{"partly off the canvas", Rectangle(-500, -500, 100, 100), 100 * 100, 0},
		{"far larger than the canvas", Rectangle(-1e6, -1e6, 1e6, 1e6), 800 * 800, 0},
		{"off the canvas", Rectangle(-50, -50, -10, -10), 0, 0},
	} {
		t.Run(tt.name, func(t *testing.T) {
			c := New(800, 800, white)
			c.Fill(tt.path, black)
			assert.InDelta(t, tt.want, inked(c), 0.1*tt.edge+1e-6)
		})
	}
}

func TestFillLeavesHoles(t *testing.T) {
	c := New(300, 300, white)
	p := Rectangle(50, 50, 250, 250)
	p.Append(Polygon(Point{100, 100}, Point{100, 200}, Point{200, 200}, Point{200, 100})) // the other way round
	c.Fill(p, black)
	assert.InDelta(t, 200*200-100*100, inked(c), 1)
	assert.Equal(t, white, c.image.RGBAAt(150, 150))
}

func TestPathsTogetherCountAsOne(t *testing.T) {
	c := New(100, 100, white)
	p := Rectangle(10, 10, 60, 60)
	p.Append(Rectangle(40, 40, 90, 90))
	half := color.RGBA{0, 0, 0, 128}
	c.Fill(p, half)
	assert.Equal(t, c.image.RGBAAt(20, 20), c.image.RGBAAt(50, 50), "the overlap is no darker")
	assert.Equal(t, uint8(127), c.image.RGBAAt(20, 20).R)
}

func TestStrokeHasItsWidth(t *testing.T) {
	const width = 6
	for _, tt := range []struct {
		name string
		path Path
		pen  Pen
		want float64
	}{
		{"straight", Polyline(Point{50, 50}, Point{450, 350}), Pen{Width: width}, 500 * width},
		{"straight in many pieces", Polyline(pieces(Point{50, 50}, Point{450, 350}, 400)...), Pen{Width: width}, 500 * width},
		{"round ends", Polyline(Point{50, 50}, Point{450, 50}), Pen{Width: width, Round: true}, 400*width + math.Pi*9},
		{"circle", Circle(250, 250, 150), Pen{Width: width}, 2 * math.Pi * 150 * width},
		{"square ring with pointed corners", Rectangle(100, 100, 300, 300), Pen{Width: width}, 206*206 - 194*194},
		{"half dashed", Polyline(Point{50, 50}, Point{450, 50}), Pen{Width: width, Dash: []float64{20, 20}}, 200 * width},
		{"a point with a round pen is a dot", Polyline(Point{50, 50}, Point{50, 50}), Pen{Width: width, Round: true}, math.Pi * 9},
		{"a point with a square pen is nothing", Polyline(Point{50, 50}, Point{50, 50}), Pen{Width: width}, 0},
	} {
		t.Run(tt.name, func(t *testing.T) {
			c := New(500, 500, white)
			c.Stroke(tt.path, tt.pen, black)
			tolerance := tt.want*0.004 + 1
			if tt.name == "square ring with pointed corners" {
				tolerance = 16 // right angles are rounded: four corners lose (1−π/4)·9 each
			}
			assert.InDelta(t, tt.want, inked(c), tolerance)
		})
	}
}

func pieces(a, b Point, n int) []Point {
	out := make([]Point, n+1)
	for i := range out {
		out[i] = a.toward(b, float64(i)/float64(n))
	}
	return out
}

// The pieces a long line is widened in must not show: along its middle every
// pixel is fully inked.
func TestStrokeHasNoSeams(t *testing.T) {
	var wave []Point
	for x := 20.0; x <= 480; x++ {
		wave = append(wave, Point{x, 250 + 60*math.Sin(x/40)})
	}
	c := New(500, 500, white)
	c.Stroke(Polyline(wave...), Pen{Width: 7}, black)
	for _, q := range wave[3 : len(wave)-3] {
		require.LessOrEqual(t, c.image.RGBAAt(int(q.X), int(q.Y)).R, uint8(1), "at %v", q)
	}
}

// The slow definition of a widened line: the pixels within half a width.
func TestStrokeOfZigzagsCoversWhatIsNear(t *testing.T) {
	random := rand.New(rand.NewPCG(7, 7))
	for range 12 {
		points := make([]Point, 9)
		for i := range points {
			points[i] = Point{40 + 220*random.Float64(), 40 + 220*random.Float64()}
		}
		const half = 5.0
		c := New(300, 300, white)
		c.Stroke(Polyline(points...), Pen{Width: 2 * half, Round: true}, black)
		for y := range 300 {
			for x := range 300 {
				d := math.Inf(1)
				q := Point{float64(x) + 0.5, float64(y) + 0.5}
				for i := 1; i < len(points); i++ {
					d = min(d, distance(q, points[i-1], points[i]))
				}
				dark := 255 - int(c.image.RGBAAt(x, y).R)
				if d < half-1 {
					require.GreaterOrEqual(t, dark, 250, "hole at %v of %v", q, points)
				}
				// Shallow corners are pointed: up to 1/cos 30° of the half width.
				if d > half*1.16+1 {
					require.Zero(t, dark, "ink at %v of %v", q, points)
				}
			}
		}
	}
}

func distance(q, a, b Point) float64 {
	d := b.minus(a)
	t := ((q.X-a.X)*d.X + (q.Y-a.Y)*d.Y) / (d.X*d.X + d.Y*d.Y)
	return q.minus(a.toward(b, min(max(t, 0), 1))).length()
}

func TestWindowConfinesDrawing(t *testing.T) {
	c := New(100, 100, white)
	c.Window(image.Rect(20, 30, 40, 60)).Fill(Rectangle(0, 0, 100, 100), black)
	assert.Equal(t, 20.0*30, inked(c))
}

func TestSVG(t *testing.T) {
	p := Polygon(Point{0, -9}, Point{9.256, 0}, Point{-0.001, 9})
	assert.Equal(t, "M0 -9L9.26 0L0 9Z", p.SVG())
	assert.Equal(t, "M1 0C1 0.55 0.55 1 0 1C-0.55 1 -1 0.55 -1 0C-1 -0.55 -0.55 -1 0 -1C0.55 -1 1 -0.55 1 0Z", Circle(0, 0, 1).SVG())
	assert.Empty(t, Path{}.SVG())
}

func TestPlacingTurnsClockwise(t *testing.T) {
	p := Polyline(Point{1, 0}).At(Placing{Scale: 2, Turn: math.Pi / 2, X: 10, Y: 20})
	at := p.steps[0].p[0]
	assert.InDelta(t, 10, at.X, 1e-12)
	assert.InDelta(t, 22, at.Y, 1e-12)
}

// The heights the package promises, on the letters that show them.
func TestLetterHeights(t *testing.T) {
	f := Regular()
	extent := func(text string) (top, bottom float64) {
		top, bottom = math.Inf(1), math.Inf(-1)
		for _, r := range f.Path(text, 100).runs() {
			for _, q := range r.points {
				top, bottom = min(top, q.Y), max(bottom, q.Y)
			}
		}
		return top, bottom
	}
	top, _ := extent("HEN")
	assert.InDelta(t, -100*CapHeight, top, 1)
	_, bottom := extent("gpqy")
	assert.InDelta(t, 100*Descent, bottom, 1)
}

func TestWidthAddsUp(t *testing.T) {
	f := Regular()
	assert.Zero(t, f.Width("", 20))
	// Go regular is 2048 units to the em; its figures are 1139 wide, as the
	// advance widths of the font say.
	assert.InDelta(t, 4*1139.0/2048*20, f.Width("2026", 20), 0.01)
}

func TestFitAndWrap(t *testing.T) {
	f := Regular()
	assert.Equal(t, "North hedge", f.Fit("North hedge", 20, 500))
	short := f.Fit("North hedge", 20, 60)
	assert.LessOrEqual(t, f.Width(short, 20), 60.0)
	assert.Contains(t, short, "…")
	for _, line := range f.Wrap("a plan is not a survey and anextraordinarilylongwordmustbeshortened here", 20, 150) {
		assert.LessOrEqual(t, f.Width(line, 20), 150.0, line)
	}
	assert.Equal(t, []string{"one two"}, f.Wrap("one  two ", 20, 500))
	assert.Empty(t, f.Wrap("", 20, 500))
}

func TestUpright(t *testing.T) {
	for degrees, want := range map[float64]float64{0: 0, 45: 45, 79: 79, 90: -90, 135: -45, 180: 0, -45: -45, -90: -90, -135: 45, 270: -90, 720: 0} {
		assert.InDelta(t, want, Upright(degrees*math.Pi/180)*180/math.Pi, 1e-9, "%v°", degrees)
	}
}

func BenchmarkStroke(b *testing.B) {
	var wave []Point
	for x := 0.0; x <= 2400; x += 2 {
		wave = append(wave, Point{x, 800 + 300*math.Sin(x/140)})
	}
	c := New(2400, 1600, white)
	p := Polyline(wave...)
	for b.Loop() {
		c.Stroke(p, Pen{Width: 2}, black)
	}
}

func BenchmarkSymbol(b *testing.B) {
	c := New(2400, 1600, white)
	p := Circle(800.3, 700.7, 12)
	for b.Loop() {
		c.Fill(p, black)
	}
}
