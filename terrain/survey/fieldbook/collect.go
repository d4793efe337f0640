package fieldbook

import (
	"math"
	"slices"
	"strings"

	"github.com/paulmach/orb"

	"wetfeet/terrain/survey"
)

// leastError is what the error of a shot is written as at least, m: survey
// takes 0 as not known.
const leastError = 0.001

// collect puts heights, positions and codes together.
//
// A benchmark is the top of a nail or a slab, not the ground, so it is no
// shot unless a code says what ground it stands on.
func (r *reducing) collect() {
	points := r.out.Points
	first := map[int]int{} // line to point, for the points without a name
	for i, p := range points {
		first[p.Line] = i
	}
	of := func(e *entry) (int, bool) {
		if e.key != "" {
			i, ok := r.byName[e.key]
			return i, ok
		}
		i, ok := first[e.line]
		return i, ok
	}
	var bare []string // positions without a height
	told := map[string]bool{}
	for _, s := range r.book.sheets {
		for _, e := range s.entries {
			at, placed := r.where[e]
			i, ok := of(e)
			if !ok {
				if placed && s.kind == tapeSheet && !told[e.key] && e.text(codeRole) == "" {
					bare = append(bare, e.name)
					told[e.key] = true
				}
				continue
			}
			p := &points[i]
			if !placed && !p.Placed && e.key != "" {
				at, placed = r.spots[e.key]
			}
			if placed && !p.Placed {
				p.Placed, p.At = true, at.at
				if s.kind == gnssSheet {
					p.Sway = e.num(horizontalRole)
				}
			}
			if p.Code == "" {
				p.Code = e.text(codeRole)
			}
			if p.Remarks == "" {
				p.Remarks = e.text(remarkRole)
			}
		}
	}
	var lost, marks []string
	for _, p := range points {
		name := p.Name
		if name == "" {
			name = place{p.Line, p.Page}.String()
		}
		ground := !p.Benchmark || p.Code != "" && !slices.Contains([]string{"bm", "benchmark", "tbm"}, strings.ToLower(p.Code))
		switch {
		case !p.Placed && !p.Benchmark:
			lost = append(lost, name)
		case p.Placed && !ground:
			marks = append(marks, name)
		case p.Placed:
			sd := p.Error
			if sd > 0 || p.Benchmark {
				sd = max(sd, leastError)
			}
			r.out.Shots = append(r.out.Shots, survey.Shot{Point: p.At, Z: p.Level, Error: sd, Sway: p.Sway, Name: p.Name, Line: p.Line, Extra: []string{p.Code, p.Remarks}})
		}
	}
	if len(lost) > 0 {
		r.remark("%s: a height but no position, so no shot", listed(lost))
	}
	if len(bare) > 0 {
		r.remark("%s: taped, but no height", listed(bare))
	}
	if len(marks) > 0 {
		r.remark("%s: benchmarks stand on nails and slabs, so they are no ground shots; a code such as ground makes one of them a shot", listed(marks))
	}
	r.clashes()
	r.lines(of)
}

// clashes finds shots at one place with two heights, which no surface passes.
func (r *reducing) clashes() {
	at := map[orb.Point]int{}
	for i, s := range r.out.Shots {
		j, ok := at[s.Point]
		if !ok {
			at[s.Point] = i
			continue
		}
		other := r.out.Shots[j]
		if allowed := 3 * math.Hypot(errorOr(s), errorOr(other)); math.Abs(s.Z-other.Z) > allowed {
			r.bad.add(place{line: s.Line}, "", "%s at %.3f m stands in the very place of %s (line %d) at %.3f m; correct a distance or an offset",
				quote(s.Name), s.Z, quote(other.Name), other.Line, other.Z)
		}
	}
}

func errorOr(s survey.Shot) float64 {
	if s.Error > 0 {
		return s.Error
	}
	return survey.AssumedError
}

// lines joins the points of one code in the order of the book. The number
// behind a code tells one ditch from another; close brings a line back to its
// first point.
func (r *reducing) lines(of func(*entry) (int, bool)) {
	at := map[string]int{}
	drawn := map[string]bool{}
	for _, s := range r.book.sheets {
		for _, e := range s.entries {
			words := strings.Fields(strings.ToLower(e.text(codeRole)))
			if len(words) == 0 || !slices.Contains(s.lineCode, words[0]) {
				continue
			}
			where, placed := r.where[e]
			if !placed && e.key != "" {
				where, placed = r.spots[e.key]
			}
			if !placed {
				continue
			}
			closed := words[len(words)-1] == "close"
			if closed {
				words = words[:len(words)-1]
			}
			code := strings.Join(words, " ")
			if drawn[code+"\x00"+e.key] && e.key != "" {
				continue // read again, or on two sheets
			}
			drawn[code+"\x00"+e.key] = true
			i, ok := at[code]
			if !ok {
				i = len(r.out.Lines)
				at[code] = i
				r.out.Lines = append(r.out.Lines, Line{Code: code})
			}
			l := &r.out.Lines[i]
			z := math.NaN()
			if p, known := of(e); known {
				z = r.out.Points[p].Level
			}
			l.Points, l.Z, l.Names = append(l.Points, where.at), append(l.Z, z), append(l.Names, e.name)
			l.Closed = l.Closed || closed
		}
	}
	r.out.Lines = slices.DeleteFunc(r.out.Lines, func(l Line) bool {
		if len(l.Points) < 2 {
			r.remark("the code %s stands at one point alone, %s: no line", quote(l.Code), quote(l.Names[0]))
		}
		return len(l.Points) < 2
	})
}
