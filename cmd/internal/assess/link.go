package assess

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"wetfeet/cmd/internal/fault"
	"wetfeet/cmd/internal/site"
	"wetfeet/hydro"
	"wetfeet/hydro/storm"
	"wetfeet/hydro/watertable"
	"wetfeet/terrain"
	"wetfeet/terrain/quantity"
	"wetfeet/terrain/raster"

	"github.com/paulmach/orb"
)

// leastAbove is how far above the floor of a hollow a ditch or pipe that is laid
// lower is taken to lie, m.
const leastAbove = 0.001

// lead brings the pipes, culverts and ditches of a plan onto the hollows of
// the ground: what they let out of which hollow, and where ditches hold the
// water table.
func (r *Result) lead(p Plan) ([]storm.Link, []watertable.Ditch, error) {
	var links []storm.Link
	var ditches []watertable.Ditch
	laid, err := r.laid(p)
	bad := []error{err}
	for _, l := range laid {
		var err error
		if l.Ditch {
			var d watertable.Ditch
			var some []storm.Link
			some, d, err = r.ditch(l)
			links = append(links, some...)
			if err == nil && len(l.Line) > 1 {
				ditches = append(ditches, d)
			}
		} else {
			var one storm.Link
			if one, err = r.pipe(l); err == nil {
				links = append(links, one)
			}
		}
		if err != nil {
			bad = append(bad, fmt.Errorf("%s: %w", l.Where, err))
		}
	}
	return links, ditches, fault.Input(errors.Join(bad...))
}

// laid is the pipes and ditches of a plan as far as they can be brought onto the
// ground, their lines in its system and their levels as they lie against it.
func (r *Result) laid(p Plan) ([]site.Link, error) {
	var out []site.Link
	var bad []error
	for _, l := range p.learnedLinks() {
		l.Line = slices.Clone(l.Line)
		if err := move(p.system(), r.Drain.Ground.CRS, l.Line); err != nil {
			bad = append(bad, fmt.Errorf("%s: %w", l.Where, err))
			continue
		}
		out = append(out, l)
	}
	return out, errors.Join(bad...)
}

// drawn says of every link what it does, the first few of them where they are
// many.
func (r *Result) drawn(links []storm.Link, u quantity.Units) []string {
	const most = 12
	var out []string
	for _, l := range links[:min(len(links), most)] {
		carries := "whatever comes"
		if l.Capacity > 0 {
			carries = fmt.Sprintf("%.3g litres a second", 1000*l.Capacity)
			if u == quantity.Feet {
				carries = fmt.Sprintf("%.3g gallons a minute", l.Capacity*60/0.003785411784)
			}
		}
		to := "off the site"
		if l.To != hydro.Outside {
			to = fmt.Sprintf("to hollow %d", r.Drain.Hollows.All[l.To].ID)
		}
		_, name, _ := strings.Cut(l.Name, ": ")
		out = append(out, sentence(fmt.Sprintf("%s lets water out of hollow %d above %s and leads it %s; it carries %s", name, r.Drain.Hollows.All[l.From].ID, quantity.FormatLength(l.Level, u), to, carries)))
	}
	if more := len(links) - most; more > 0 {
		out = append(out, fmt.Sprintf("And so do %d more pipes and ditches.", more))
	}
	return out
}

// system is that of the coordinates of the plan.
func (p Plan) system() string {
	if p.CRS == "" {
		return raster.LonLatCRS
	}
	return p.CRS
}

// leafAt is the hollow without others in it that water at a point runs to,
// hydro.Outside where it runs off the site, and the cell, -1 off the known
// ground.
func (r *Result) leafAt(p orb.Point) (leaf, cell int) {
	row, col, inside := r.Drain.Ground.Locate(p)
	if !inside || terrain.IsVoid(r.Drain.Ground.At(row, col)) {
		return hydro.Outside, -1
	}
	cell = r.Drain.Ground.Index(row, col)
	return int(r.Drain.Hollows.Inner[cell]) - 1, cell
}

// pipe has a hollow at its upper end and lets out its water at the lower one.
func (r *Result) pipe(l site.Link) (storm.Link, error) {
	from, cell := r.leafAt(l.Line[0])
	if cell < 0 {
		return storm.Link{}, errors.New("its upper end lies off the known ground")
	}
	outer := r.Drain.Hollows.Covering(cell)
	if outer == nil {
		return storm.Link{}, fmt.Errorf("there is no hollow at its upper end%s", r.nearestHollow(l.Line[0]))
	}
	to := hydro.Outside
	if len(l.Line) > 1 {
		to, _ = r.leafAt(l.Line[len(l.Line)-1])
	}
	level := max(outer.Spill-l.Depth, r.Drain.Hollows.All[from].Floor+leastAbove) // no deeper than there is water
	s := storm.Link{Name: l.Where, From: from, To: to, Level: level, Outlet: math.NaN(), Capacity: l.Capacity}
	if l.Invert != nil {
		s.Level = *l.Invert
	}
	if l.Outlet != nil {
		s.Outlet = *l.Outlet
	}
	if s.Level >= outer.Spill {
		return s, fmt.Errorf("its upper end lies at %.2f m, no lower than the %.2f m at which hollow %d spills anyway, so nothing would run through it", s.Level, outer.Spill, outer.ID)
	}
	return s, nil
}

// nearestHollow says where the hollow nearest to a point is.
func (r *Result) nearestHollow(p orb.Point) string {
	near, at, id := math.Inf(1), orb.Point{}, 0
	for cell, outer := range r.Drain.Hollows.Outer {
		if outer == 0 {
			continue
		}
		row, col := r.Drain.Ground.Cell(cell)
		q := r.Drain.Ground.Centre(row, col)
		if d := math.Hypot(q[0]-p[0], q[1]-p[1]); d < near {
			near, at, id = d, q, r.Drain.Hollows.All[outer-1].ID
		}
	}
	if id == 0 {
		return "; the ground has none that is deeper than its error"
	}
	return fmt.Sprintf(" that is deeper than the error of the ground; the nearest is hollow %d, %s away at %s", id, quantity.FormatLength(near, r.Units), r.Where(at))
}

// ditch lets the water of every hollow that it crosses run on to the next,
// and to where it ends.
func (r *Result) ditch(l site.Link) ([]storm.Link, watertable.Ditch, error) {
	var length float64
	for i := 1; i < len(l.Line); i++ {
		length += math.Hypot(l.Line[i][0]-l.Line[i-1][0], l.Line[i][1]-l.Line[i-1][1])
	}
	type crossing struct {
		leaf  int
		along float64 // where it leaves the hollow, m
	}
	var crossed []crossing
	known := false
	step := r.Drain.Ground.CellSize / 2
	for p, along := range walk(l.Line, step) {
		leaf, cell := r.leafAt(p)
		known = known || cell >= 0
		if cell < 0 || r.Drain.Hollows.Covering(cell) == nil {
			continue
		}
		if n := len(crossed); n > 0 && crossed[n-1].leaf == leaf {
			crossed[n-1].along = along
		} else {
			crossed = append(crossed, crossing{leaf, along})
		}
	}
	d := watertable.Ditch{Ditch: hydro.Ditch{Name: l.Name, Line: l.Line}, Below: l.Depth}
	if !known {
		return nil, d, errors.New("no part of it lies on the known ground")
	}
	if l.Invert == nil && len(crossed) == 0 {
		return nil, d, nil
	}
	upper := 0.0
	if l.Invert != nil {
		upper = *l.Invert
	} else {
		upper = r.outermost(crossed[0].leaf).Spill - l.Depth
	}
	lower := upper
	if l.Outlet != nil {
		lower = *l.Outlet
	}
	if lower > upper {
		return nil, d, fmt.Errorf("runs uphill, from %.2f m to %.2f m", upper, lower)
	}
	at := func(along float64) float64 { return upper + (lower-upper)*along/max(length, step) }
	along := 0.0
	for i, p := range l.Line {
		if i > 0 {
			along += math.Hypot(p[0]-l.Line[i-1][0], p[1]-l.Line[i-1][1])
		}
		d.Level = append(d.Level, at(along))
	}
	d.Below = 0
	end := hydro.Outside
	if len(l.Line) > 1 {
		end, _ = r.leafAt(l.Line[len(l.Line)-1])
	}
	var links []storm.Link
	floorOf := func(leaf int) float64 {
		if leaf == hydro.Outside {
			return math.Inf(-1)
		}
		return r.Drain.Hollows.All[leaf].Floor
	}
	for i, c := range crossed {
		s := storm.Link{Name: l.Where, From: c.leaf, To: end, Level: max(at(c.along), floorOf(c.leaf)+leastAbove), Outlet: math.NaN(), Capacity: l.Capacity}
		for _, next := range crossed[i+1:] { // the first that lies lower takes the water
			if next.leaf != c.leaf && floorOf(next.leaf) < s.Level {
				s.To = next.leaf
				break
			}
		}
		if s.To == c.leaf || floorOf(s.To) >= s.Level || s.Level >= r.outermost(c.leaf).Spill {
			continue // it ends in the hollow, runs to no lower one, or lies above its brim
		}
		links = append(links, s)
	}
	return links, d, nil
}

// outermost is the largest hollow that a hollow is part of.
func (r *Result) outermost(i int) *hydro.Hollow {
	h := r.Drain.Hollows
	for h.All[i].Parent != hydro.Outside {
		i = h.All[i].Parent
	}
	return &h.All[i]
}

// walk yields points along a line, no further apart than step, with how far
// along it they lie, m. Corners and ends are among them.
func walk(line orb.LineString, step float64) func(yield func(orb.Point, float64) bool) {
	return func(yield func(orb.Point, float64) bool) {
		along := 0.0
		if !yield(line[0], 0) {
			return
		}
		for i := 1; i < len(line); i++ {
			a, b := line[i-1], line[i]
			length := math.Hypot(b[0]-a[0], b[1]-a[1])
			n := int(math.Ceil(length / step))
			for k := 1; k <= n; k++ {
				t := float64(k) / float64(n)
				if !yield(orb.Point{a[0] + t*(b[0]-a[0]), a[1] + t*(b[1]-a[1])}, along+t*length) {
					return
				}
			}
			along += length
		}
	}
}
