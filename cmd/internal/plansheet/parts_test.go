package plansheet

import (
	"math"
	"math/rand/v2"
	"testing"

	"wetfeet/cmd/internal/look"
	"wetfeet/cmd/internal/paint"
	"wetfeet/terrain/quantity"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestPartsOfALine(t *testing.T) {
	a := [][2]float64{{1, 3}, {5, 6}}
	assert.Equal(t, [][2]float64{{0, 1}, {3, 5}, {6, 10}}, others(a, 10))
	assert.Equal(t, [][2]float64{{0, 10}}, others(nil, 10))
	assert.Nil(t, others([][2]float64{{0, 10}}, 10))
	assert.Equal(t, [][2]float64{{0, 3}, {5, 7}}, joined(a, [][2]float64{{0, 2}, {6, 7}}))
}

// A line and what is left of it make the whole.
func TestOthersAreTheRest(t *testing.T) {
	random := rand.New(rand.NewPCG(2, 2))
	for range 200 {
		var parts [][2]float64
		for at := random.Float64(); at < 9; at += random.Float64() * 2 {
			to := at + 0.1 + random.Float64()
			parts = append(parts, [2]float64{at, to})
			at = to
		}
		sum := 0.0
		for _, r := range joined(parts, nil) {
			sum += min(r[1], 10) - min(r[0], 10)
		}
		for _, r := range others(joined(parts, nil), 10) {
			sum += r[1] - r[0]
		}
		require.InDelta(t, 10, sum, 1e-9)
	}
}

// In a black-and-white print kinds of line are told apart by dashes and marks.
func TestKindsDifferWithoutColour(t *testing.T) {
	type plain struct {
		dashes       int
		first        float64
		teeth, arrow bool
	}
	seen := make(map[plain]Kind)
	for k := range Kind(kinds) {
		st := styleOf(k)
		p := plain{dashes: len(st.pen.Dash), teeth: st.teeth > 0, arrow: st.arrow > 0}
		if p.dashes > 0 {
			p.first = st.pen.Dash[0]
		}
		other, taken := seen[p]
		assert.False(t, taken, "%v looks like %v", k, other)
		seen[p] = k
		assert.GreaterOrEqual(t, st.pen.Width, 0.3, "%v", k)
		assert.GreaterOrEqual(t, look.Contrast(st.ink, look.Paper), 7.0, "%v", k)
	}
}

// On ground that falls to the south-east, the teeth of a bank that runs east
// point down the sheet and the arrows of a ditch to the right, whichever way
// either was walked.
func TestMarksFollowTheGround(t *testing.T) {
	falling := func(x, y float64) float64 { return -x - 2*y }
	there := []paint.Point{{X: 10, Y: 50}, {X: 90, Y: 50}}
	back := []paint.Point{{X: 90, Y: 50}, {X: 10, Y: 50}}
	for _, points := range [][]paint.Point{there, back} {
		var s sheet
		s.drawStyle(nil, points, styleOf(BankTop), falling)
		require.Len(t, s.items, 2)
		c := paint.New(100, 100, look.Paper)
		c.Stroke(s.items[1].path, s.items[1].pen, look.Print)
		above, below := 0, 0
		for y := range 100 {
			for x := range 100 {
				if c.Image().RGBAAt(x, y) != look.Paper {
					if y < 50 {
						above++
					} else {
						below++
					}
				}
			}
		}
		assert.Zero(t, above)
		assert.Positive(t, below)

		var d sheet
		d.drawStyle(nil, points, styleOf(Ditch), falling)
		require.Greater(t, len(d.items), 1)
		for _, it := range d.items[1:] {
			c := paint.New(100, 100, look.Paper)
			c.Fill(it.path.At(paint.Placing{}), look.Print)
			assert.Greater(t, reachOf(c), 0.0, "the tip is to the right of the tail")
		}
	}
}

// reachOf is how much thinner the ink is at its right end than at its left: an
// arrow head is pointed in front.
func reachOf(c *paint.Canvas) float64 {
	var columns []int
	for x := range 100 {
		n := 0
		for y := range 100 {
			n += int(255 - c.Image().RGBAAt(x, y).R)
		}
		if n > 0 {
			columns = append(columns, n)
		}
	}
	half := len(columns) / 2
	left, right := 0, 0
	for i, n := range columns {
		if i < half {
			left += n
		} else if i >= len(columns)-half {
			right += n
		}
	}
	return float64(left - right)
}

func TestKindOfCode(t *testing.T) {
	for code, want := range map[string]Kind{
		"ditch 1": Ditch, "DITCH": Ditch, "Bank top": BankTop, "levee": BankTop, "bed edge 3": BedEdge,
		"road crown": RoadCrown, "farm track": RoadCrown, "wall": OtherLine, "": OtherLine,
	} {
		assert.Equal(t, want, KindOf(code), code)
	}
}

func TestParsePaper(t *testing.T) {
	for _, p := range Papers {
		got, err := ParsePaper(" " + p.String() + " ")
		require.NoError(t, err)
		assert.Equal(t, p, got)
	}
	_, err := ParsePaper("napkin")
	assert.EqualError(t, err, `"napkin" is not a size of paper: A4, Letter or A3`)
}

func TestScalesRise(t *testing.T) {
	for _, u := range []quantity.Units{quantity.Metric, quantity.Feet} {
		all := Scales(u)
		for i := 1; i < len(all); i++ {
			assert.Less(t, all[i-1], all[i])
		}
		if u == quantity.Feet {
			for _, s := range all {
				assert.Zero(t, s%60, "whole fives of feet to the inch")
			}
		}
	}
	assert.Subset(t, Scales(quantity.Metric), []int{50, 100, 200, 250, 500, 1000, 1250, 2000, 2500})
}

// Whichever way a strip of ground lies, it comes to lie along the sheet.
func TestLengthwiseFindsTheStrip(t *testing.T) {
	for degree := -89; degree <= 90; degree += 7 {
		sin, cos := math.Sincos(float64(degree) * math.Pi / 180)
		var points []orb.Point
		for _, q := range [...][2]float64{{0, 0}, {100, 0}, {100, 9}, {0, 9}} {
			points = append(points, orb.Point{q[0]*cos - q[1]*sin, q[0]*sin + q[1]*cos})
		}
		turn, ok := lengthwise(points)
		assert.Equal(t, degree != 0, ok)
		if ok {
			assert.InDelta(t, float64(degree)*math.Pi/180, turn, 1e-9)
		}
	}
	_, ok := lengthwise([]orb.Point{{0, 0}, {100, 0}, {100, 80}, {0, 80}})
	assert.False(t, ok, "as good as square")
}

// The part of a line within a rectangle, looked for in small steps.
func TestClipKeepsWhatIsInside(t *testing.T) {
	random := rand.New(rand.NewPCG(8, 8))
	met := 0
	for range 500 {
		spot := func() paint.Point { return paint.Point{X: 30*random.Float64() - 10, Y: 30*random.Float64() - 10} }
		a, b := spot(), spot()
		from, to, ok := clip(a, b, 0, 0, 10, 10)
		const n = 3000
		inside := 0
		for i := range n + 1 {
			t := float64(i) / n
			x, y := a.X+t*(b.X-a.X), a.Y+t*(b.Y-a.Y)
			if x >= 0 && x <= 10 && y >= 0 && y <= 10 {
				inside++
			}
		}
		long := math.Hypot(b.X-a.X, b.Y-a.Y)
		got := 0.0
		if ok {
			met++
			got = math.Hypot(to.X-from.X, to.Y-from.Y)
		}
		require.InDelta(t, float64(inside)/n*long, got, 3*long/n, "%v to %v", a, b)
	}
	assert.Greater(t, met, 100)
	_, _, ok := clip(paint.Point{X: math.NaN()}, paint.Point{X: 5, Y: 5}, 0, 0, 10, 10)
	assert.False(t, ok)
}

// A slip in one coordinate must neither hang the drawing nor shrink it.
func TestPointsFarOffDoNoHarm(t *testing.T) {
	p := heronBend()
	want := composed(t, p, Options{}).way.scale
	far := orb.Point{1e12, -1e12}
	p.Shots = append(p.Shots[:len(p.Shots):len(p.Shots)], Shot{Point: far, Z: 1e9}, Shot{Point: orb.Point{math.NaN(), 0}, Z: math.NaN()})
	p.Standardised = nil
	p.Breaklines = append(p.Breaklines[:len(p.Breaklines):len(p.Breaklines)],
		Breakline{Kind: BankTop, Points: orb.LineString{p.Shots[0].Point, far}},
		Breakline{Kind: Ditch, Points: orb.LineString{p.Shots[0].Point, {math.NaN(), math.Inf(1)}, p.Shots[1].Point}})
	s := composed(t, p, Options{})
	assert.Equal(t, want, s.way.scale)
	assert.Contains(t, allText(s), "122 spot heights measured")
	for _, it := range s.items {
		assert.NotContains(t, it.path.SVG(), "NaN")
		assert.NotContains(t, it.path.SVG(), "Inf")
	}
}
