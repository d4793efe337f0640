package fieldsheet

import (
	"fmt"
	"maps"
	"math"
	"slices"

	"wetfeet/cmd/internal/drafting"
	"wetfeet/cmd/internal/mapsheet"
	"wetfeet/cmd/internal/paint"
	"wetfeet/cmd/internal/plansheet"
	"wetfeet/terrain/quantity"

	"github.com/paulmach/orb"
)

// Measures of a map, mm.
const (
	axisHigh  = 7.0  // letters above a map and figures below it
	axisLeft  = 8.0  // numbers left of a map
	axisRight = 6.0  // figures right of it
	footHigh  = 27.0 // scale, arrow, legend
	square    = 22.0 // the least side of a square
	lap       = 5.0  // what a sheet shows beyond its own squares

	told     = 2.4 // how far apart trees have to be to be told apart
	asked    = 3.4 // and are drawn where the map goes on in sheets
	mostMaps = 40
)

// A view is a window on the ground: the frame of a map on its page.
type view struct {
	page           *page
	x0, y0, x1, y1 float64 // of the frame, mm
	west, north    float64 // of the ground at its upper left corner, m
	mm             float64 // to a metre
	scale          int     // the number after "1:"
	radius         float64 // of a mark, mm
	places         drafting.Placement
	trees          []int // that are on it
}

func (v *view) at(p orb.Point) (x, y float64) {
	return v.x0 + (p[0]-v.west)*v.mm, v.y0 + (v.north-p[1])*v.mm
}

// bound is the ground within the frame.
func (v *view) bound() orb.Bound {
	return orb.Bound{
		Min: orb.Point{v.west, v.north - (v.y1-v.y0)/v.mm},
		Max: orb.Point{v.west + (v.x1-v.x0)/v.mm, v.north},
	}
}

func (v *view) holds(b drafting.Box) bool {
	x0, y0, x1, y1 := b.Bounds()
	return x0 >= v.x0 && y0 >= v.y0 && x1 <= v.x1 && y1 <= v.y1
}

// within has draw draw inside the frame.
func (v *view) within(draw func(paint.Drawing)) {
	v.page.draw = append(v.page.draw, func(d paint.Drawing) { d.Within(v.x0, v.y0, v.x1, v.y1, draw) })
}

// A sheetSize is a page and the room for a map on it, mm.
type sheetSize struct{ wide, high, room, roomHigh float64 }

func sizes(paper plansheet.Paper) [2]sheetSize {
	wide, high := paper.Size()
	size := func(w, h float64) sheetSize {
		return sheetSize{w, h, w - 2*margin - axisLeft - axisRight, h - 2*margin - topHigh - 2*axisHigh - footHigh}
	}
	return [2]sheetSize{size(wide, high), size(high, wide)}
}

// extent is the planting: what is near the known ground, with room around it.
func (s *sheets) extent() (orb.Bound, []int) {
	ground := s.r.Drain.Ground.Bound()
	near := ground.Pad(max(ground.Max[0]-ground.Min[0], ground.Max[1]-ground.Min[1]) / 4)
	b := orb.Bound{Min: orb.Point{math.Inf(1), math.Inf(1)}, Max: orb.Point{math.Inf(-1), math.Inf(-1)}}
	var on []int
	for i := range s.r.Trees {
		if p := s.r.Trees[i].Point; near.Contains(p) {
			b = b.Extend(p)
			if s.shows(&s.r.Trees[i]) {
				on = append(on, i)
			}
		}
	}
	for _, row := range s.r.Rows {
		for _, p := range row.Line {
			if near.Contains(p) {
				b = b.Extend(p)
			}
		}
	}
	if b.IsEmpty() {
		return ground, nil
	}
	return b.Pad(max(0.03*max(b.Max[0]-b.Min[0], b.Max[1]-b.Min[1]), 3)), on
}

// apart is how far nine trees in ten stand at least from their neighbour, m.
func (s *sheets) apart(on []int) float64 {
	gaps := make([]float64, 0, len(on))
	all := mapsheet.Nearest(s.r.Trees)
	for _, i := range on {
		gaps = append(gaps, all[i])
	}
	if len(gaps) == 0 {
		return math.Inf(1)
	}
	slices.Sort(gaps)
	return gaps[len(gaps)/10]
}

// scales are those of a contour plan and some between them: a map to walk by is
// read by its squares and its bar, and should fill its sheet.
func scales(u quantity.Units) []int {
	all := slices.Clone(plansheet.Scales(u))
	unit := 1
	if u == quantity.Feet {
		unit = 12 // feet to the inch
	}
	for ten := 10; ten <= 10_000; ten *= 10 {
		for _, lead := range [...]int{15, 30, 40, 60, 75, 80, 90} {
			all = append(all, lead*ten/10*unit)
		}
	}
	slices.Sort(all)
	all = slices.Compact(all)
	return slices.DeleteFunc(all, func(n int) bool { return n < 50 })
}

// addMaps adds the map, and where trees are too close on it, sheets of it at a
// larger scale.
func (s *sheets) addMaps() {
	b, on := s.extent()
	wide, high := b.Max[0]-b.Min[0], b.Max[1]-b.Min[1]
	apart := s.apart(on)

	all := scales(s.r.Units)
	fit := func(z sheetSize) int {
		for _, n := range all {
			if wide*1000/float64(n) <= z.room && high*1000/float64(n) <= z.roomHigh {
				return n
			}
		}
		return all[len(all)-1]
	}
	both := sizes(s.paper)
	size, n := both[0], fit(both[0])
	if lying := fit(both[1]); lying < n {
		size, n = both[1], lying
	}
	v := s.newView(size, size.room, size.roomHigh, n)
	v.west, v.north = b.Min[0]-(size.room/v.mm-wide)/2, b.Max[1]+(size.roomHigh/v.mm-high)/2
	v.trees = on

	if detail := s.details(b, on, apart, n); len(detail) > 0 {
		s.squares = squaresOver(v.bound(), s.side(detail[0].mm), s.r.Rows)
		s.maps = append([]*view{v}, detail...)
	} else {
		s.squares = squaresOver(v.bound(), s.side(v.mm), s.r.Rows)
		s.maps = []*view{v}
	}
	for k, m := range s.maps {
		title := "Map"
		if len(s.maps) > 1 {
			title = fmt.Sprintf("Map, sheet %d of %d", k, len(s.maps)-1)
			if k == 0 {
				title = "Map, all of it"
			}
		}
		m.page.title = title
		m.radius = min(max(apart*m.mm*0.42, 0.7), 2.3)
		s.pages = append(s.pages, m.page)
		s.drawMap(m, k)
	}
}

// side is that of the squares of a map, m.
func (s *sheets) side(mm float64) float64 { return quantity.TidyStep(square/mm, s.r.Units) }

func (s *sheets) newView(size sheetSize, wide, high float64, scale int) *view {
	x, y := margin+axisLeft, margin+topHigh+axisHigh
	return &view{
		page: &page{wide: size.wide, high: size.high},
		x0:   x, y0: y, x1: x + wide, y1: y + high,
		scale: scale, mm: 1000 / float64(scale), places: drafting.Placement{Cell: 12},
	}
}

// details are the sheets of a larger scale that show every tree; none where the
// overview tells them apart. Each holds whole squares and a little more.
func (s *sheets) details(b orb.Bound, on []int, apart float64, overview int) []*view {
	if apart*1000/float64(overview) >= told || math.IsInf(apart, 0) {
		return nil
	}
	all := scales(s.r.Units)
	from := 0 // the smallest scale that serves
	for i, n := range all {
		if n < overview && (apart*1000/float64(n) >= asked || i == 0) {
			from = i
		}
	}
	// As few sheets as serve, and of those the largest scale.
	var of tiling
	for i := from; i < len(all) && all[i] < overview && len(of.on) == 0; i++ {
		of = s.fewest(b, on, all[i])
	}
	if len(of.on) == 0 {
		return nil
	}
	for i := slices.Index(all, of.scale) - 1; i >= 0; i-- {
		larger := s.fewest(b, on, all[i])
		if len(larger.on) == 0 || len(larger.on) > len(of.on) {
			break
		}
		of = larger
	}
	return s.lay(of)
}

// fewest is the way of laying sheets at a scale, upright or lying, that takes
// fewer; it has none where they would be too many.
func (s *sheets) fewest(b orb.Bound, on []int, scale int) tiling {
	var best tiling
	for _, size := range sizes(s.paper) {
		t := s.tile(b, on, size, scale)
		if len(t.on) > 0 && len(t.on) <= mostMaps && (len(best.on) == 0 || len(t.on) < len(best.on)) {
			best = t
		}
	}
	return best
}

// A tiling is sheets of whole squares over the planting.
type tiling struct {
	size         sheetSize
	scale        int
	q            squares
	across, down int      // squares on a sheet
	on           [][2]int // the sheets that hold a tree: their row and column
}

// tile lays sheets over the planting; none where not one square fits on a sheet.
func (s *sheets) tile(b orb.Bound, on []int, size sheetSize, scale int) tiling {
	mm := 1000 / float64(scale)
	t := tiling{size: size, scale: scale, q: squaresOver(b, s.side(mm), s.r.Rows)}
	t.across, t.down = int((size.room-2*lap)/(t.q.side*mm)), int((size.roomHigh-2*lap)/(t.q.side*mm))
	if t.across < 1 || t.down < 1 {
		return tiling{}
	}
	t.across, t.down = evenly(t.q.cols, t.across), evenly(t.q.rows, t.down)
	in := make(map[[2]int]bool)
	for _, i := range on {
		col, row := t.q.cell(s.r.Trees[i].Point)
		in[[2]int{row / t.down, col / t.across}] = true
	}
	t.on = slices.SortedFunc(maps.Keys(in), func(a, b [2]int) int { return slices.Compare(a[:], b[:]) })
	return t
}

// lay makes the sheets of a tiling.
func (s *sheets) lay(t tiling) []*view {
	mm := 1000 / float64(t.scale)
	out := make([]*view, len(t.on))
	for k, at := range t.on {
		col, row := at[1]*t.across, at[0]*t.down
		cols, rows := min(t.across, t.q.cols-col), min(t.down, t.q.rows-row)
		v := s.newView(t.size, float64(cols)*t.q.side*mm+2*lap, float64(rows)*t.q.side*mm+2*lap, t.scale)
		v.west = t.q.west + float64(col)*t.q.side - lap/mm
		v.north = t.q.north - float64(row)*t.q.side + lap/mm
		for i := range s.r.Trees {
			if v.bound().Contains(s.r.Trees[i].Point) && s.shows(&s.r.Trees[i]) {
				v.trees = append(v.trees, i)
			}
		}
		out[k] = v
	}
	return out
}

// evenly is how many of n a sheet takes, of most, for all sheets to take about
// as many.
func evenly(n, most int) int {
	sheets := (n + most - 1) / most
	return (n + sheets - 1) / sheets
}
