package report

import (
	"fmt"
	"math"
	"slices"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/brim"
	"wetfeet/cmd/internal/drafting"
	"wetfeet/cmd/internal/planting"
	"wetfeet/terrain/quantity"
)

// A style is how large a section is drawn, in units of its own; a browser
// scales it to the page.
type style struct {
	width  float64
	margin float64 // at the right
	share  float64 // of the width that the ground takes
	high   float64 // of the relief
	mark   float64 // most half width of a tree's mark
	text   float64 // size of words
	trees  int     // most places in a picture: a longer row is drawn in pieces
}

// Sections are drawn twice: for pages about as wide as a sheet of paper and for
// telephones, where the wide one could not be read.
var (
	wide   = style{width: 1200, margin: 14, share: 1, high: 170, mark: 8, text: 16, trees: 90}
	narrow = style{width: 380, margin: 8, share: 1, high: 130, mark: 6.5, text: 13, trees: 24}
)

const stem = 18.0 // from the ground to a tree's mark

// A rowSection is the ground and water along a row.
type rowSection struct {
	brim.Profile
	row    *assess.Row
	detail bool        // the ground in full detail differs from the softened
	brim   []float64   // level of the water with every hollow full, m; NaN where dry
	water  [][]float64 // likewise at each moment of the storm that is shown
	pools  []pool
}

// mostSamples bounds the samples of a row: a picture shows no more.
const mostSamples = 1500

// sectionOf samples a row about a cell apart. It is false when no part of the
// row lies on the ground.
func sectionOf(r *assess.Result, row *assess.Row, full brim.Water, waters []brim.Water) (rowSection, bool) {
	s := rowSection{row: row}
	if !(row.Length > 0) || len(row.Line) < 2 {
		return s, false
	}
	n := min(max(2, int(math.Ceil(row.Length/r.Drain.Ground.CellSize))+1), mostSamples)
	ruler := planting.NewRuler(row.Line)
	s.Profile = brim.Along(r.Drain, ruler.At, 0, row.Length, n, slices.Concat([]brim.Water{full}, waters)...)
	s.brim, s.water = s.Levels[0], s.Levels[1:]
	s.dropSlivers(s.brim, row.Spacing, thinnest(r.Drain))
	for k := range s.water {
		if k == 0 {
			s.dropSlivers(s.water[0], row.Spacing, thinnest(r.Drain))
			continue
		}
		s.keepRests(k, row.Spacing, thinnest(r.Drain))
	}
	known := false
	for i, z := range s.Ground {
		known = known || !math.IsNaN(z)
		s.detail = s.detail || brim.Soften(r.Drain) > 0 && math.Abs(z-s.Soft[i]) > 0.001
	}
	s.hideBrim()
	if known && len(s.water) > 0 {
		s.findPools(r, ruler)
	}
	return s, known
}

// runs yields the stretches between two samples over which keep holds.
func (s *rowSection) runs(from, to int, keep func(i int) bool, use func(lo, hi int)) {
	for i := from; i <= to; {
		if !keep(i) {
			i++
			continue
		}
		j := i
		for j < to && keep(j+1) {
			j++
		}
		use(i, j)
		i = j + 1
	}
}

// extent is the lowest ground and the highest ground or water between two
// samples, m, and whether any of it is known.
func (s *rowSection) extent(from, to int) (lo, hi float64, ok bool) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for i := from; i <= to; i++ {
		if z := s.Ground[i]; !math.IsNaN(z) {
			lo, hi = min(lo, z, s.Soft[i]), max(hi, z, s.Soft[i])
		}
		for _, level := range s.Levels {
			if w := level[i]; !math.IsNaN(w) {
				hi = max(hi, w)
			}
		}
	}
	return lo, hi, lo <= hi
}

// leastRelief keeps a level bed from looking like hills, m.
const leastRelief = 0.25

// relief is the height every section of a report shows, m: that of the row
// with most of it, and a little air. One scale lets rows be compared.
func relief(sections []rowSection) float64 {
	most := leastRelief
	for i := range sections {
		if lo, hi, ok := sections[i].extent(0, len(sections[i].Along)-1); ok {
			most = max(most, (hi-lo)*1.08)
		}
	}
	return most
}

// A piece is a stretch of a row to be drawn as one picture.
type piece struct {
	*rowSection
	style
	result   *assess.Result
	lo, hi   int     // samples
	from, to float64 // distances along the row, m
	base     float64 // elevation at the bottom of the plot, m
	relief   float64 // m
	radius   float64 // of a tree's mark

	plotLeft, plotRight float64

	marks    []mark
	labels   []label
	times    []timeLabel
	top      float64 // of all that is drawn
	sole     float64 // soil below the plot, for what is said of the pools
	unplaced int     // flagged trees without a label
	solid    drafting.Placement
	lines    drafting.Placement
}

// pieces cuts a row into pictures of one scale.
func (s *rowSection) pieces(r *assess.Result, st style, relief float64) []*piece {
	places := planting.Places(s.row.Length, s.row.Spacing) + 1
	n := max(1, int(math.Ceil(places/float64(st.trees))))
	n = min(n, max(1, len(s.Along)/4))
	out := make([]*piece, n)
	for k := range n {
		out[k] = s.piece(r, st, relief, k*(len(s.Along)-1)/n, (k+1)*(len(s.Along)-1)/n)
	}
	return out
}

// windows are pictures of one scale of the parts of a row where there is
// something to be looked at: water, or a flagged tree.
func (s *rowSection) windows(r *assess.Result, st style, relief float64) []*piece {
	last := len(s.Along) - 1
	looked := make([]bool, len(s.Along))
	for i := range s.Along {
		looked[i] = !math.IsNaN(s.surface()[i])
	}
	for _, i := range s.row.Trees {
		if t := &r.Trees[i]; t.Flagged && t.OnGround {
			looked[s.index(t.Along)] = true
		}
	}
	places := planting.Places(s.row.Length, s.row.Spacing) + 1
	long := last // samples in a picture
	if places > float64(st.trees) {
		long = min(last, max(4, int(float64(last)*float64(st.trees)/places)))
	}
	most := long * 4 / 5 // leaves a margin to see how the ground goes on
	var parts [][2]int
	s.runs(0, last, func(i int) bool { return looked[i] }, func(lo, hi int) {
		if n := len(parts); n > 0 && hi-parts[n-1][0] <= most {
			parts[n-1][1] = hi
			return
		}
		for ; hi-lo > most; lo += most {
			parts = append(parts, [2]int{lo, lo + most})
		}
		parts = append(parts, [2]int{lo, hi})
	})
	var out []*piece
	from := 0
	for _, part := range parts {
		if len(out) > 0 && part[1] < from {
			continue // the picture before shows it
		}
		from = max(from, min((part[0]+part[1]-long)/2, last-long))
		to := min(from+long, last)
		if to-from < 2 {
			continue
		}
		shorter := st // at the same scale
		shorter.share = float64(to-from) / float64(long)
		out = append(out, s.piece(r, shorter, relief, from, to))
		from = to
	}
	return out
}

func (s *rowSection) piece(r *assess.Result, st style, relief float64, lo, hi int) *piece {
	low, high, _ := s.extent(0, len(s.Along)-1)
	p := &piece{
		rowSection: s, style: st, result: r, lo: lo, hi: hi, from: s.Along[lo], to: s.Along[hi],
		base: (low+high)/2 - relief/2, relief: relief,
	}
	apart := (st.width - st.margin) * st.share * s.row.Spacing / (p.to - p.from)
	p.radius = min(st.mark, max(0.44*apart, 0.35*st.mark))
	for _, l := range p.levels() {
		p.plotLeft = max(p.plotLeft, wordWide(l.text, 0.9*st.text)+p.radius+4)
	}
	p.plotRight = p.plotLeft + (st.width-p.plotLeft-st.margin)*st.share
	p.lay(hi == len(s.Along)-1)
	return p
}

// A level is a grid line of a section and the elevation written beside it.
type level struct {
	z    float64
	text string
}

func (p *piece) levels() []level {
	units := p.result.Units
	step := quantity.TidyStep(p.relief/5, units)
	var out []level
	for k := math.Ceil(p.base / step); k*step <= p.base+p.relief; k++ {
		out = append(out, level{k * step, quantity.FormatLevel(k*step, step, units)})
	}
	return out
}

// index is the sample nearest to a distance along the row.
func (s *rowSection) index(along float64) int {
	i := int(math.Round(along / s.row.Length * float64(len(s.Along)-1)))
	return min(max(i, 0), len(s.Along)-1)
}

// exaggeration is how many times heights are drawn larger than lengths.
func (p *piece) exaggeration() float64 {
	return (p.high / p.relief) / ((p.plotRight - p.plotLeft) / (p.to - p.from))
}

func (p *piece) x(along float64) float64 {
	return p.plotLeft + (p.plotRight-p.plotLeft)*(along-p.from)/(p.to-p.from)
}

func (p *piece) y(z float64) float64 { return p.high - p.high*(z-p.base)/p.relief }

// heading says which part of a row a picture shows.
func (p *piece) heading() string {
	return fmt.Sprintf("%s to %s", quantity.FormatDistance(p.from, p.result.Units), quantity.FormatDistance(p.to, p.result.Units))
}
