package plansheet

import (
	"fmt"
	"math"

	"wetfeet/cmd/internal/drafting"
	"wetfeet/terrain"
	"wetfeet/terrain/quantity"

	"github.com/paulmach/orb"
)

// Measures of the sheet, mm.
const (
	margin   = 10.0 // most printers reach to within 5
	axis     = 5.0  // room for coordinates above and left of a plan
	foot     = 13.0 // room for the bars below it
	gutter   = 5.0
	between  = 11.0 // strips, coordinates included
	clear    = 4.0  // around the ground within its frame
	leastCol = 62.0
	mostCol  = 110.0
)

// A panel is one window on the ground: a frame on the sheet.
type panel struct {
	x0, y0, x1, y1 float64   // mm
	centre         orb.Point // of the ground, in the middle of the frame
	turn           float64   // of the frame's x axis, radians anticlockwise from east
	scale          float64   // mm to a metre
	part           int       // from 0, of the strips
}

// at is where a point of the ground is on the sheet.
func (p *panel) at(q orb.Point) (x, y float64) {
	sin, cos := math.Sincos(p.turn)
	dx, dy := q[0]-p.centre[0], q[1]-p.centre[1]
	u, v := float64(dx*cos)+float64(dy*sin), float64(dy*cos)-float64(dx*sin)
	return (p.x0+p.x1)/2 + u*p.scale, (p.y0+p.y1)/2 - v*p.scale
}

// ground is the point of the ground at a place on the sheet.
func (p *panel) ground(x, y float64) orb.Point {
	sin, cos := math.Sincos(p.turn)
	u, v := (x-(p.x0+p.x1)/2)/p.scale, ((p.y0+p.y1)/2-y)/p.scale
	return orb.Point{p.centre[0] + float64(u*cos) - float64(v*sin), p.centre[1] + float64(u*sin) + float64(v*cos)}
}

// holds reports whether a box lies wholly within the frame.
func (p *panel) holds(b drafting.Box) bool {
	x0, y0, x1, y1 := b.Bounds()
	return x0 >= p.x0 && y0 >= p.y0 && x1 <= p.x1 && y1 <= p.y1
}

// Scales are the numbers after "1:" that rulers have, largest scale first.
func Scales(u quantity.Units) []int {
	var out []int
	if u == quantity.Feet { // feet to the inch, times 12
		for _, feet := range [...]int{5, 10, 20, 30, 40, 50, 60, 100, 200, 300, 400, 500, 600, 1000, 2000, 3000, 4000, 5000, 10000, 20000, 50000, 100000} {
			out = append(out, 12*feet)
		}
		return out
	}
	for ten := 10; ten <= 1_000_000; ten *= 10 {
		for _, lead := range [...]float64{1, 2, 2.5, 5} {
			if s := lead * float64(ten); s >= 50 {
				out = append(out, int(s))
			}
			if ten == 1000 && lead == 1 {
				out = append(out, 1250)
			}
		}
	}
	return out
}

// A way is one way to lay out a sheet.
type way struct {
	wide, high float64 // of the sheet, mm
	below      bool    // the words lie below the plan, not beside it
	column     float64 // width of a column of words
	wordsHigh  float64
	turn       float64
	turned     bool
	strips     int
	scale      int // the number after "1:"; 0 for a bare sheet
	fits       bool

	bare bool
	mm   float64 // to a metre of ground
}

// cost is what the least of is taken: the number of the scale, made worse for
// a plan that is turned or cut up.
func (w way) cost() float64 {
	c := float64(w.scale) * w.weight()
	if w.below {
		c *= 1.02 // beside is better than below where all else is equal
	}
	return c
}

// weight is how much larger the scale of a way has to be to be worth its turn
// and its strips.
func (w way) weight() float64 {
	c := 1 + 0.25*float64(w.strips-1)
	if w.turned {
		c *= 1.25
	}
	return c
}

// edge is what is left free around a sheet, mm.
func (w way) edge() float64 {
	if w.bare {
		return bareMargin
	}
	return margin
}

// mostStrips fill a sheet.
const mostStrips = 6

// arrange tries every way and takes the best.
func (s *sheet) arrange(o Options) error {
	points := s.extentPoints()
	angles := []float64{0}
	if t, ok := lengthwise(points); ok {
		angles = append(angles, t)
	}
	if o.Bare {
		s.way = bareWay(points, angles)
		s.lay(points)
		return nil
	}
	var best way
	for _, lying := range [...]bool{true, false} {
		if o.Turn == Upright && lying || o.Turn == Lying && !lying {
			continue
		}
		w := way{below: !lying}
		w.wide, w.high = o.Paper.Size()
		if lying {
			w.wide, w.high = w.high, w.wide
		}
		w.column, w.wordsHigh = s.wordsSize(w)
		for i, t := range angles {
			w.turn, w.turned = t, i > 0
			most := 1
			if w.turned {
				most = mostStrips
			}
			for n := 1; n <= most; n++ {
				w.strips = n
				w.scale, w.fits = s.scaleFor(w, points, o.Scale)
				if w.fits && (!best.fits || w.cost() < best.cost()) {
					best = w
				}
			}
		}
	}
	if !best.fits {
		if o.Scale > 0 {
			return fmt.Errorf("the ground does not fit on %s at 1:%d: take a larger number, or a larger sheet", o.Paper, o.Scale)
		}
		return fmt.Errorf("the ground does not fit on %s at any scale", o.Paper)
	}
	s.way = best
	s.way.mm = 1000 / float64(best.scale)
	s.lay(points)
	return nil
}

// Measures of a bare sheet, mm: as wide as its letters of seven and eight
// points still read when a telephone shows it, and never much higher.
const (
	bareWide   = 130
	bareMost   = 150
	bareMargin = 1.5
)

// bareWay is the way of a sheet without words: the largest scale, at which a
// strip more has to make it a good deal larger.
func bareWay(points []orb.Point, angles []float64) way {
	var best way
	for i, t := range angles {
		most := 1
		if i > 0 {
			most = mostStrips
		}
		b := turnedBound(points, t)
		long, short := max(b.Max[0]-b.Min[0], 1e-3), max(b.Max[1]-b.Min[1], 1e-3)
		for n := 1; n <= most; n++ {
			w := way{wide: bareWide, bare: true, turn: t, turned: i > 0, strips: n, fits: true}
			wide, _ := w.room()
			wide -= 2 * clear
			if n > 1 {
				wide -= 2 * clear
			}
			high := bareMost - 2*bareMargin - axis - foot - between*float64(n-1) - 2*clear*float64(n)
			w.mm = min(wide*float64(n)/long, high/float64(n)/short)
			w.high = bareMost - high + w.mm*short*float64(n)
			if best.mm == 0 || w.mm/best.mm > w.weight()/best.weight() {
				best = w
			}
		}
	}
	return best
}

// room is what a way leaves for the plan and its frame, mm.
func (w way) room() (wide, high float64) {
	wide, high = w.wide-2*w.edge()-axis, w.high-2*w.edge()-axis-foot
	if w.bare {
		return wide, high
	}
	if w.below {
		return wide, high - w.wordsHigh - gutter
	}
	return wide - w.column - gutter, high
}

// scaleFor is the largest scale at which the ground fits.
func (s *sheet) scaleFor(w way, points []orb.Point, asked int) (int, bool) {
	b := turnedBound(points, w.turn)
	wide, high := w.room()
	n := float64(w.strips)
	high = (high-between*(n-1))/n - 2*clear
	wide -= 2 * clear
	all := Scales(s.p.Units)
	if asked > 0 {
		all = []int{asked}
	}
	for _, scale := range all {
		mm := 1000 / float64(scale)
		long := (b.Max[0] - b.Min[0]) * mm
		if w.strips > 1 {
			long = long/n + 2*clear // each strip shows a little of the next
		}
		if long <= wide && (b.Max[1]-b.Min[1])*mm <= high {
			return scale, true
		}
	}
	return 0, false
}

// lay makes the panels.
func (s *sheet) lay(points []orb.Point) {
	w := s.way
	b := turnedBound(points, w.turn)
	wide, high := w.room()
	n := w.strips
	each := (high - between*float64(n-1)) / float64(n)
	sin, cos := math.Sincos(w.turn)
	for i := range n {
		y := w.edge() + axis + float64(i)*(each+between)
		p := &panel{x0: w.edge() + axis, y0: y, x1: w.edge() + axis + wide, y1: y + each, turn: w.turn, scale: w.mm, part: i}
		u := b.Min[0] + (b.Max[0]-b.Min[0])*(float64(i)+0.5)/float64(n)
		v := (b.Min[1] + b.Max[1]) / 2
		p.centre = orb.Point{float64(u*cos) - float64(v*sin), float64(u*sin) + float64(v*cos)}
		s.panels = append(s.panels, p)
	}
}

// turnedBound is the extent of points along an axis at an angle and square to
// it.
func turnedBound(points []orb.Point, turn float64) orb.Bound {
	sin, cos := math.Sincos(turn)
	b := orb.Bound{Min: orb.Point{math.Inf(1), math.Inf(1)}, Max: orb.Point{math.Inf(-1), math.Inf(-1)}}
	for _, q := range points {
		b = b.Extend(orb.Point{float64(q[0]*cos) + float64(q[1]*sin), float64(q[1]*cos) - float64(q[0]*sin)})
	}
	return b
}

// lengthwise is the direction along which points lie in the narrowest strip,
// to a degree, and whether that is narrow enough to be worth a turn.
func lengthwise(points []orb.Point) (float64, bool) {
	const narrow = 2
	best, least := 0.0, math.Inf(1)
	long := 0.0
	for degree := -89; degree <= 90; degree++ {
		t := float64(degree) * math.Pi / 180
		b := turnedBound(points, t)
		if high := b.Max[1] - b.Min[1]; high < least {
			best, least, long = t, high, b.Max[0]-b.Min[0]
		}
	}
	return best, best != 0 && long > narrow*least
}

// extentPoints are points whose extent is that of all there is to show: known
// ground, lines and shots. A shot far off is a slip in its coordinates and
// would make all else too small to see.
func (s *sheet) extentPoints() []orb.Point {
	var out []orb.Point
	z := s.p.Ground
	known := orb.Bound{Min: orb.Point{math.Inf(1), math.Inf(1)}, Max: orb.Point{math.Inf(-1), math.Inf(-1)}}
	for r := range z.Rows {
		first, last, ok := terrain.KnownSpan(z.Row(r))
		if !ok {
			continue
		}
		for _, c := range [...]int{first, last} {
			q := z.Centre(r, c)
			known = known.Extend(q)
			out = append(out, q)
		}
	}
	near := known.Pad(max(known.Max[0]-known.Min[0], known.Max[1]-known.Min[1], 4*z.CellSize) / 4)
	add := func(q orb.Point) {
		if near.Contains(q) {
			out = append(out, q)
		}
	}
	for i := range s.p.Shots {
		add(s.p.Shots[i].Point)
	}
	for _, l := range s.p.Breaklines {
		for _, q := range l.Points {
			add(q)
		}
	}
	for _, ring := range s.p.Outline {
		for _, q := range ring {
			add(q)
		}
	}
	return terrain.ConvexHull(out)
}
