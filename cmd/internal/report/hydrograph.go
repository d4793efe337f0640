package report

import (
	"cmp"
	"fmt"
	"html/template"
	"math"
	"slices"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/wording"
	"wetfeet/hydro/storm"
	"wetfeet/terrain/quantity"
)

// mostHydrographs is how many are drawn, those of the hollows with most flagged
// trees first; mostCurves how many leaves of a hollow have a curve in one.
const (
	mostHydrographs = 12
	mostCurves      = 3
)

// A hydrograph is the level of the water in a hollow through a storm, and the
// planned trees in it.
type hydrograph struct {
	result  *assess.Result
	id      int // of the outermost hollow, as on the map
	flagged int
	under   []stand // trees the water reaches, highest ground first
	above   []int   // trees of the hollow that it does not reach, in Result.Trees
	curves  []curve // of the leaves that hold most of those trees
	low     float64 // ground of the lowest of its trees, m
	peak    float64 // m
	empty   float64 // when the last curve is dry, h; +Inf if it is not
}

// A stand is a tree under water and when it is.
type stand struct {
	tree        int // in Result.Trees
	first, last float64
}

// A curve is the level over the floor of a leaf.
type curve struct {
	leaf, trees int
	floor       float64
	points      []storm.Point // while there is water
}

// hydrographs are those of the hollows that hold planned trees, the most
// flagged trees first, and of how many of them the storm leaves dry.
func hydrographs(r *assess.Result) (out []*hydrograph, dry int) {
	if r.Storm == nil {
		return nil, 0
	}
	byID := make(map[int]*hydrograph)
	for i := range r.Trees {
		t := &r.Trees[i]
		if !t.OnGround || t.Pond == 0 {
			continue
		}
		h := byID[t.Pond]
		if h == nil {
			h = &hydrograph{result: r, id: t.Pond, low: t.Ground, peak: math.Inf(-1)}
			byID[t.Pond] = h
		}
		h.add(i)
	}
	for _, h := range byID {
		h.settle()
		if len(h.curves) == 0 {
			dry++
			continue
		}
		out = append(out, h)
	}
	slices.SortFunc(out, func(a, b *hydrograph) int {
		return cmp.Or(cmp.Compare(b.flagged, a.flagged), cmp.Compare(len(b.under), len(a.under)), cmp.Compare(a.id, b.id))
	})
	return out, dry
}

// add puts a tree into a hydrograph.
func (h *hydrograph) add(i int) {
	t := &h.result.Trees[i]
	h.low = min(h.low, t.Ground)
	if t.Flagged {
		h.flagged++
	}
	row, col, ok := h.result.Drain.Ground.Locate(t.Point)
	if !ok {
		return
	}
	leaf, ok := leafAt(h.result, row, col)
	if !ok {
		h.above = append(h.above, i)
		return
	}
	k := slices.IndexFunc(h.curves, func(c curve) bool { return c.leaf == leaf })
	if k < 0 {
		k = len(h.curves)
		h.curves = append(h.curves, curve{leaf: leaf, floor: h.result.Storm.Site.Hollows().All[leaf].Floor, points: h.result.Storm.History.Levels(leaf)})
	}
	c := &h.curves[k]
	c.trees++
	if last, ever := lastAbove(c.points, t.Ground); ever {
		h.under = append(h.under, stand{i, firstAbove(c.points, t.Ground), last})
		return
	}
	h.above = append(h.above, i)
}

// settle orders the trees, and the curves to be drawn: those that are ever
// wet, with most trees first.
func (h *hydrograph) settle() {
	trees := h.result.Trees
	slices.SortStableFunc(h.under, func(a, b stand) int { return cmp.Compare(trees[b.tree].Ground, trees[a.tree].Ground) })
	h.curves = slices.DeleteFunc(h.curves, func(c curve) bool {
		return !slices.ContainsFunc(c.points, func(p storm.Point) bool { return p.Level > c.floor })
	})
	slices.SortFunc(h.curves, func(a, b curve) int { return cmp.Or(cmp.Compare(b.trees, a.trees), cmp.Compare(a.leaf, b.leaf)) })
	h.curves = h.curves[:min(mostCurves, len(h.curves))]
	for k := range h.curves {
		c := &h.curves[k]
		for _, p := range c.points {
			h.peak = max(h.peak, p.Level)
		}
		last, _ := lastAbove(c.points, c.floor)
		h.empty = max(h.empty, last)
		c.points = whileWet(c.points, c.floor)
	}
}

// whileWet are the points from the last before there is water to the first
// after it.
func whileWet(points []storm.Point, floor float64) []storm.Point {
	wet := func(p storm.Point) bool { return p.Level > floor }
	from := slices.IndexFunc(points, wet)
	to := len(points) - 1
	for to > from && !wet(points[to]) {
		to--
	}
	return points[max(from-1, 0):min(to+2, len(points))]
}

// words say what a hydrograph shows.
func (h *hydrograph) words() string {
	r := h.result
	var s string
	if len(h.under) == 0 {
		s = fmt.Sprintf("The water stays %s below the lowest planned tree.", quantity.FormatDepth(h.low-h.peak, r.Units))
	} else {
		lowest := h.under[len(h.under)-1]
		s = fmt.Sprintf("Up to %s over %s, the lowest planned tree here", quantity.FormatDepth(h.peak-h.low, r.Units), r.Trees[lowest.tree].ID)
		if r.Trees[lowest.tree].Ground > h.low {
			s = fmt.Sprintf("Up to %s over %s, the lowest planned tree that it reaches", quantity.FormatDepth(h.peak-r.Trees[lowest.tree].Ground, r.Units), r.Trees[lowest.tree].ID)
		}
		last := 0.0
		for _, t := range h.under {
			last = max(last, t.last)
		}
		s += "; the last tree is " + dryWords(r, last) + "."
	}
	s += " The hollow is " + dryWords(r, h.empty) + "."
	if len(h.curves) > 1 {
		s += " Its parts stand apart once the water is below the ground between them; each has a line."
	}
	if n := len(h.above); n > 0 && len(h.under) > 0 {
		names := make([]string, 0, n)
		for _, i := range h.above {
			names = append(names, r.Trees[i].ID)
		}
		s += " Above the water: " + wording.Some(names, 4) + "."
	}
	return s
}

// besideTheOdds reports whether a tree stands in more or less water here than
// nine in ten of the draws give it.
func (h *hydrograph) besideTheOdds() bool {
	return slices.ContainsFunc(h.under, func(s stand) bool {
		t := &h.result.Trees[s.tree]
		deep := h.peak - t.Ground
		return t.Draws != nil && (deep < t.Depths.Low || deep > t.Depths.High)
	})
}

// A chartView is a small picture with what it is of and says.
type chartView struct {
	Head, Words string
	SVG         template.HTML
}

// hydrographViews are the charts and what is to be said of those left out.
func hydrographViews(r *assess.Result) (views []chartView, note string) {
	all, dry := hydrographs(r)
	for _, h := range all[:min(mostHydrographs, len(all))] {
		head := fmt.Sprintf("Hollow %d, %d planned trees", h.id, len(h.under)+len(h.above))
		if len(h.under)+len(h.above) == 1 {
			head = fmt.Sprintf("Hollow %d, one planned tree", h.id)
		}
		if h.flagged > 0 {
			head += fmt.Sprintf(", %d flagged", h.flagged)
		}
		views = append(views, chartView{Head: head, Words: h.words(), SVG: h.draw(head)})
	}
	if len(views) == 0 {
		return nil, ""
	}
	note = fmt.Sprintf("How the water rises and falls in the hollows that hold planned trees, in days after the rain has ended. A line across is the ground of a tree while it is under water; its mark is where it comes dry, with the time. The scale is the height over the lowest planned tree, and below it the elevation. The roots stay wet for %s more, until the soil has drained.", assess.Spell(r.Storm.Roots.Lag()))
	if r.Survey == nil && slices.ContainsFunc(all[:len(views)], (*hydrograph).besideTheOdds) {
		note += " It is drawn on the ground as the raster has it, bump by bump; the depths in the table of trees leave out what is noise of the raster, so a tree may stand deeper or shallower here than there."
	}
	if left := len(all) - len(views); left > 0 {
		note += fmt.Sprintf(" %d more such hollows with fewer flagged trees are left out.", left)
	}
	switch {
	case dry == 1:
		note += " One hollow with planned trees stays dry in this storm."
	case dry > 1:
		note += fmt.Sprintf(" %d hollows with planned trees stay dry in this storm.", dry)
	}
	return views, note
}
