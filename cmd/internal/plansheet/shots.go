package plansheet

import (
	"cmp"
	"math"
	"slices"
	"strconv"

	"wetfeet/cmd/internal/drafting"
	"wetfeet/cmd/internal/look"
	"wetfeet/cmd/internal/paint"
)

// A cross is a spot height on a panel.
type cross struct {
	shot int // in Plan.Shots
	x, y float64
}

const (
	crossArm   = 0.8 // mm
	crossApart = 1.9 // of two crosses at least, mm: nearer ones run together
	crossRoom  = 100 // mm² a cross and its level take
)

// findShots is the spot heights of a panel that are drawn, spread evenly: the
// first of each coarse square of the sheet, then of each finer one. The highest
// and the lowest come before all.
func (s *sheet) findShots(p *panel) []cross {
	var all []cross
	for i := range s.p.Shots {
		x, y := p.at(s.p.Shots[i].Point)
		if x > p.x0+crossArm && x < p.x1-crossArm && y > p.y0+crossArm && y < p.y1-crossArm {
			all = append(all, cross{i, x, y})
		}
	}
	if len(all) == 0 {
		return nil
	}
	level := func(c cross) float64 { return s.p.Shots[c.shot].Z }
	byLevel := func(a, b cross) int { return cmp.Or(cmp.Compare(level(a), level(b)), cmp.Compare(a.shot, b.shot)) }
	rank := make([]int, len(s.p.Shots))
	for i := range rank {
		rank[i] = math.MaxInt
	}
	rank[slices.MaxFunc(all, byLevel).shot] = 0
	rank[slices.MinFunc(all, byLevel).shot] = 0
	round := 1
	for side := 64.0; side >= 1; side, round = side/2, round+1 {
		seen := make(map[[2]int]bool)
		key := func(c cross) [2]int { return [2]int{int(c.x / side), int(c.y / side)} }
		for _, c := range all {
			if rank[c.shot] < round {
				seen[key(c)] = true
			}
		}
		for _, c := range all {
			if k := key(c); rank[c.shot] == math.MaxInt && !seen[k] {
				seen[k] = true
				rank[c.shot] = round
			}
		}
	}
	slices.SortFunc(all, func(a, b cross) int {
		return cmp.Or(cmp.Compare(rank[a.shot], rank[b.shot]), cmp.Compare(a.shot, b.shot))
	})
	// Where there are very many, only as many as leave room for their levels.
	room := int((p.x1 - p.x0) * (p.y1 - p.y0) / crossRoom)
	out := apart(all, crossApart)
	for far := 3.0; len(out) > room && far <= 12; far++ {
		out = apart(all, far)
	}
	for _, c := range out {
		s.places.Take(drafting.Box{X: c.x, Y: c.y, W: crossArm, H: crossArm})
	}
	return out
}

// apart is the first of all crosses that are so far from each other.
func apart(all []cross, far float64) []cross {
	taken := drafting.Placement{Cell: 2 * far}
	var out []cross
	for _, c := range all {
		if b := (drafting.Box{X: c.x, Y: c.y, W: far / 2, H: far / 2}); taken.Free(b) {
			taken.Take(b)
			out = append(out, c)
		}
	}
	return out
}

// level is a height as it is written beside a cross: to the centimetre or the
// hundredth of a foot.
func (s *sheet) level(z float64) string {
	unit, _ := s.p.unit()
	return strconv.FormatFloat(z/unit, 'f', 2, 64)
}

// labelShots finds places beside crosses for their levels, first clear of all
// lines, then clear of all but contours.
func (s *sheet) labelShots(p *panel, crosses []cross) []item {
	var out []item
	left := make([]cross, 0, len(crosses))
	try := func(c cross, onLines bool) bool {
		text := s.level(s.p.Shots[c.shot].Z)
		doubtful := slices.Contains(s.p.Suspicious, c.shot)
		if doubtful {
			text += "?"
		}
		half := drafting.Box{W: s.regular.Width(text, labelSize)/2 + 0.2, H: labelSize * 0.48}
		for _, side := range [...][2]float64{{1, -0.55}, {1, 0.55}, {-1, -0.55}, {-1, 0.55}, {0, -1}, {0, 1}, {1, 0}, {-1, 0}} {
			b := half
			b.X = c.x + side[0]*(half.W+crossArm+0.1)
			b.Y = c.y + side[1]*(half.H+crossArm+0.15)
			if !p.holds(b.Grow(0.5)) || !s.places.Free(b) || !onLines && !s.lines.Free(b) {
				continue
			}
			s.places.Take(b)
			s.shown.doubtful = s.shown.doubtful || doubtful
			out = append(out, s.label(p, text, false, labelSize, b, look.Print, 0.3))
			return true
		}
		return false
	}
	for _, c := range crosses {
		if !try(c, false) {
			left = append(left, c)
		}
	}
	for _, c := range left {
		try(c, true)
	}
	s.shown.labelled += len(out)
	return out
}

func (s *sheet) addShots(p *panel, crosses []cross) {
	var all paint.Path
	for _, c := range crosses {
		all.Append(diagonal(c.x, c.y, crossArm))
	}
	s.shown.shots += len(crosses)
	if s.o.Show == Errors { // some tints are nearly as dark
		s.stroke(p, all, paint.Pen{Width: 0.9}, look.Paper)
	}
	s.stroke(p, all, paint.Pen{Width: 0.3}, look.Print)
}

// diagonal is a cross that stands on its legs: a spot height.
func diagonal(x, y, arm float64) paint.Path {
	return drafting.Cross(0, 0, arm).At(paint.Placing{Turn: math.Pi / 4, X: x, Y: y})
}
