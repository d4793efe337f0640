package serve

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/fault"
	"wetfeet/cmd/internal/site"

	"github.com/paulmach/orb"
)

// A docWork is what is to be built or dug: a mound, bed or wall, which raises
// the ground, or a ditch or pipe, which lets water out of hollows.
type docWork struct {
	Name string       `json:"name"`
	Kind string       `json:"kind"` // "mound", "bed", "wall", "ditch" or "pipe"
	Line [][2]float64 `json:"line"` // downstream; one point for a mound

	Height float64 `json:"height,omitempty"` // of a mound, bed or wall, m
	Width  float64 `json:"width,omitempty"`  // of its platform, m

	Depth    float64  `json:"depth,omitempty"`    // of a ditch or pipe below the brim of the hollow where it begins, m
	Invert   *float64 `json:"invert,omitempty"`   // level of its bottom there instead, m
	Outlet   *float64 `json:"outlet,omitempty"`   // level of its lower end, m
	Capacity float64  `json:"capacity,omitempty"` // m³/s; 0 is whatever comes
}

// What a page may ask for.
const (
	mostWorks    = 12_000
	mostDepth    = 5 // m
	mostCapacity = 100
)

// worksOf are what a plan builds and digs, as a page begins with it.
func worksOf(r *assess.Result) []docWork {
	p := r.Plan()
	out := make([]docWork, 0, len(p.Works)+len(p.Links))
	shown := func(line orb.LineString) (points [][2]float64) {
		line = slices.Clone(line)
		if assess.Move(r.SiteCRS(), r.Drain.Ground.CRS, line) != nil {
			return nil
		}
		for _, q := range line {
			points = append(points, [2]float64{round(q[0], 4), round(q[1], 4)})
		}
		return points
	}
	for _, w := range p.Works {
		out = append(out, docWork{Name: w.Name, Kind: w.Kind, Line: shown(w.Line), Height: round(w.Height, 4), Width: round(w.Width, 4)})
	}
	for _, l := range p.Links {
		w := workOf(l)
		w.Line = shown(l.Line)
		out = append(out, w)
	}
	return out
}

// workOf is a pipe or ditch whose line is in the system of the ground.
func workOf(l site.Link) docWork {
	w := docWork{Name: l.Name, Kind: "pipe", Depth: round(l.Depth, 4), Invert: l.Invert, Outlet: l.Outlet, Capacity: l.Capacity}
	if l.Ditch {
		w.Kind = "ditch"
	}
	for _, q := range l.Line {
		w.Line = append(w.Line, [2]float64{round(q[0], 4), round(q[1], 4)})
	}
	return w
}

// build puts what a document builds and digs into a plan. What is as the site
// has it stays so to the last digit.
func (d document) build(r *assess.Result, p *assess.Plan) error {
	if len(d.Works) > mostWorks {
		return fault.Input(fmt.Errorf("%d things to build or dig; up to %d are taken", len(d.Works), mostWorks))
	}
	before := map[[2]string]int{}
	was := worksOf(r)
	for i, w := range was {
		before[[2]string{w.table(), w.Name}] = i
	}
	own := r.Plan()
	p.Works, p.Links = nil, nil
	seen := map[[2]string]bool{}
	var bad fault.List
	for _, w := range d.Works {
		key := [2]string{w.table(), w.Name}
		where := "the page: " + w.Kind + " " + strconv.Quote(w.Name)
		if wrong := w.check(); wrong != "" || seen[key] {
			if seen[key] {
				wrong = "another has its name"
			}
			bad.Add(0, "%s: %s", where, wrong)
			continue
		}
		seen[key] = true
		i, known := before[key]
		line := make(orb.LineString, len(w.Line))
		for k, q := range w.Line {
			line[k] = orb.Point(q)
		}
		stays := false // where it is
		if known {
			there := make(orb.LineString, len(was[i].Line))
			for k, q := range was[i].Line {
				there[k] = orb.Point(q)
			}
			stays = near(line, there)
		}
		if stays && was[i].same(w) {
			if k := i - len(own.Works); k >= 0 {
				p.Links = append(p.Links, own.Links[k])
			} else {
				p.Works = append(p.Works, own.Works[i])
			}
			continue
		}
		if err := assess.Move(r.Drain.Ground.CRS, r.SiteCRS(), line); err != nil {
			return fmt.Errorf("%s: %w", where, err)
		}
		if w.table() == "work" {
			if stays {
				line = own.Works[i].Line
			}
			p.Works = append(p.Works, site.Work{Name: w.Name, Where: where, Kind: w.Kind, Line: line, Height: w.Height, Width: w.Width})
			continue
		}
		if stays {
			line = own.Links[i-len(own.Works)].Line
		}
		p.Links = append(p.Links, site.Link{Name: w.Name, Where: where, Ditch: w.Kind == "ditch", Line: line, Invert: w.Invert, Depth: w.Depth, Outlet: w.Outlet, Capacity: w.Capacity})
	}
	return bad.Err()
}

// table is the kind of table a work has in the site file.
func (w docWork) table() string {
	if w.Kind == "ditch" || w.Kind == "pipe" {
		return "link"
	}
	return "work"
}

func (w docWork) same(o docWork) bool {
	level := func(a, b *float64) bool { return (a == nil) == (b == nil) && (a == nil || math.Abs(*a-*b) < 1e-4) }
	close := func(a, b float64) bool { return math.Abs(a-b) < 1e-4 }
	return w.Kind == o.Kind && close(w.Height, o.Height) && close(w.Width, o.Width) && close(w.Depth, o.Depth) &&
		level(w.Invert, o.Invert) && level(w.Outlet, o.Outlet) && math.Abs(w.Capacity-o.Capacity) < 1e-6
}

// check says what is wrong with a work, or nothing.
func (w docWork) check() string {
	points := len(w.Line)
	for _, q := range w.Line {
		if !finite(q[0]) || !finite(q[1]) {
			return "a point of its line is no place"
		}
	}
	apart := points > 1 && slices.ContainsFunc(w.Line, func(q [2]float64) bool { return q != w.Line[0] })
	switch {
	case w.Name == "" || len(w.Name) > 200:
		return "needs a name of up to 200 letters"
	case points > mostPoints:
		return fmt.Sprintf("has %d points; up to %d are taken", points, mostPoints)
	}
	switch w.Kind {
	case site.Mound, site.Bed, site.Wall:
		if (w.Kind == site.Mound) != (points == 1) || points > 1 && !apart {
			return "a mound has one point, a bed or a wall two or more that lie apart"
		}
		if !(w.Height > 0 && w.Height <= site.MostHeight) {
			return fmt.Sprintf("is %g m high; from above 0 to %d m are taken", w.Height, site.MostHeight)
		}
		if !(w.Width > 0 && w.Width <= site.MostWidth) {
			return fmt.Sprintf("is %g m wide; from above 0 to %d m are taken", w.Width, site.MostWidth)
		}
	case "ditch", "pipe":
		switch {
		case points == 0 || points > 1 && !apart || points == 1 && w.Kind == "ditch":
			return "needs two points or more that lie apart"
		case w.Invert == nil && !(w.Depth > 0 && w.Depth <= mostDepth):
			return fmt.Sprintf("is %g m deep; from above 0 to %d m are taken", w.Depth, mostDepth)
		case w.Invert != nil && (!finite(*w.Invert) || w.Depth != 0), w.Outlet != nil && !finite(*w.Outlet):
			return "has a level that is none"
		case w.Invert != nil && w.Outlet != nil && *w.Outlet > *w.Invert:
			return "runs uphill"
		case !(w.Capacity >= 0 && w.Capacity <= mostCapacity):
			return fmt.Sprintf("carries %g m³/s; up to %d are taken", w.Capacity, mostCapacity)
		}
	default:
		return `is no "mound", "bed", "wall", "ditch" or "pipe"`
	}
	return ""
}
