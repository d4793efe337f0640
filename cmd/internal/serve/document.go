package serve

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"time"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/fault"
	"wetfeet/cmd/internal/planting"
	"wetfeet/cmd/internal/site"
	"wetfeet/terrain/quantity"

	"github.com/paulmach/orb"
)

// A document is what the grower plans, as the page holds it: the storm asked
// about and the rows. Lines are metres in the system of the ground.
type document struct {
	Storm docStorm  `json:"storm"`
	Rows  []docRow  `json:"rows"`
	Trees []docTree `json:"trees"` // what is said of single trees
	Works []docWork `json:"works"` // what is built and dug
}

// A docTree is what is said of one tree beside its row or file.
type docTree struct {
	ID      string      `json:"id"`
	Species string      `json:"species,omitempty"`
	Mound   float64     `json:"mound,omitempty"` // m
	Trial   bool        `json:"trial,omitempty"`
	Fixed   bool        `json:"fixed,omitempty"`
	At      *[2]float64 `json:"at,omitempty"`
}

type docStorm struct {
	Rain  float64 `json:"rain"` // mm
	Hours float64 `json:"hours"`
}

type docRow struct {
	Name    string       `json:"name"`
	Line    [][2]float64 `json:"line"`
	Spacing float64      `json:"spacing"` // m
	Pattern []string     `json:"pattern"`
	Gaps    [][2]float64 `json:"gaps"` // m along the row
}

// What a page may ask for.
const (
	mostRows   = 2000
	mostTold   = 100_000
	mostMound  = 3 // m, as in a site file
	mostPoints = 10000
	mostRain   = 2000    // mm
	mostHours  = 24 * 30 // of rain
)

// documentOf is the plan that was read, as a page begins with it.
func documentOf(r *assess.Result) document {
	p := r.Plan()
	d := document{
		Storm: docStorm{Rain: round(r.Storm.Rain, 2), Hours: round(r.Storm.Duration.Hours(), 4)},
		Rows:  make([]docRow, 0, len(p.Rows)),
		Trees: make([]docTree, 0, len(p.Told)),
		Works: worksOf(r),
	}
	at := make(map[string]orb.Point, len(p.Told))
	for i := range r.Trees {
		at[r.Trees[i].ID] = r.Trees[i].Point
	}
	for _, t := range p.Told {
		out := docTree{ID: t.ID, Species: t.Species, Mound: round(t.Mound, 4), Trial: t.Trial, Fixed: t.Fixed}
		if t.At != nil {
			q := at[t.ID]
			out.At = &[2]float64{round(q[0], 4), round(q[1], 4)}
		}
		d.Trees = append(d.Trees, out)
	}
	for i, row := range p.Rows {
		out := docRow{Name: row.Name, Spacing: row.Spacing, Pattern: row.Pattern, Gaps: row.Gaps}
		for _, q := range r.Rows[i].Line {
			out.Line = append(out.Line, [2]float64{round(q[0], 4), round(q[1], 4)})
		}
		if out.Gaps == nil {
			out.Gaps = [][2]float64{}
		}
		d.Rows = append(d.Rows, out)
	}
	return d
}

func round(v float64, digits int) float64 {
	p := math.Pow10(digits)
	return math.Round(v*p) / p
}

// planIn is a document as a plan whose answer is told in the units of that name.
func (d document) planIn(units string, r *assess.Result) (p assess.Plan, err error) {
	if p, err = d.plan(r); err != nil {
		return p, err
	}
	p.Units, err = quantity.ParseUnits(units)
	return p, fault.Input(err)
}

// plan is a document as a plan, which is that of the site but for what the
// document says.
func (d document) plan(r *assess.Result) (assess.Plan, error) {
	p := r.Plan()
	var bad fault.List
	wrong := func(format string, args ...any) { bad.Add(0, format, args...) }
	if !(d.Storm.Rain > 0 && d.Storm.Rain <= mostRain) {
		wrong("the storm: %g mm of rain; from above 0 to %d mm are taken", d.Storm.Rain, mostRain)
	}
	if !(d.Storm.Hours >= 0.25 && d.Storm.Hours <= mostHours) {
		wrong("the storm: %g hours; from a quarter of an hour to %d hours are taken", d.Storm.Hours, mostHours)
	}
	was := docStorm{round(r.Storm.Rain, 2), round(r.Storm.Duration.Hours(), 4)}
	if own := r.Plan(); d.Storm != was {
		// Another storm than the site's is an even rain, or one of its shape.
		p.Gauge, p.Frequency, p.ReturnPeriod = "", "", 0
		p.Rain = own.Rain
		p.Rain.Rain, p.Rain.Duration = d.Storm.Rain, time.Duration(d.Storm.Hours*float64(time.Hour))
	}
	if len(d.Rows) > mostRows {
		wrong("%d rows; up to %d are taken", len(d.Rows), mostRows)
	}
	if err := bad.Err(); err != nil {
		return p, err
	}
	var err error
	before := make(map[string]int, len(r.Rows))
	for i := range r.Rows {
		before[r.Rows[i].Name] = i
	}
	rows := make([]planting.Row, 0, len(d.Rows))
	for _, row := range d.Rows {
		if len(row.Line) > mostPoints {
			return p, fault.Input(fmt.Errorf("row %q has %d points; up to %d are taken", row.Name, len(row.Line), mostPoints))
		}
		out := planting.Row{Name: row.Name, Spacing: row.Spacing, Pattern: row.Pattern, Gaps: row.Gaps}
		for _, q := range row.Line {
			if !finite(q[0]) || !finite(q[1]) {
				return p, fault.Input(fmt.Errorf("row %q: a point of its line is no place", row.Name))
			}
			out.Line = append(out.Line, orb.Point(q))
		}
		i, ok := before[row.Name]
		if ok {
			out.Age = r.Plan().Rows[i].Age
		}
		if ok && near(out.Line, r.Rows[i].Line) {
			out.Line = slices.Clone(r.Plan().Rows[i].Line) // to the last digit
		} else if err := assess.Move(r.Drain.Ground.CRS, r.SiteCRS(), out.Line); err != nil {
			return p, fmt.Errorf("row %q: %w", row.Name, err)
		}
		rows = append(rows, out)
	}
	p.Rows = rows
	if err := d.build(r, &p); err != nil {
		return p, err
	}
	p.Told, err = d.told(r)
	return p, err
}

// told is what the document says of trees that are planned. What it says of
// others waits for their row to have them again.
func (d document) told(r *assess.Result) ([]site.Tree, error) {
	if len(d.Trees) > mostTold {
		return nil, fault.Input(fmt.Errorf("%d trees are said something of; up to %d are taken", len(d.Trees), mostTold))
	}
	if len(d.Trees) == 0 && len(r.Plan().Told) == 0 {
		return nil, nil
	}
	planned := map[string]bool{}
	for i := range r.Trees {
		if r.Trees[i].Row == "" || !slices.ContainsFunc(r.Rows, func(row assess.Row) bool { return row.Name == r.Trees[i].Row }) {
			planned[r.Trees[i].ID] = true
		}
	}
	for _, row := range d.Rows {
		l := planting.Row{Name: row.Name, Spacing: row.Spacing, Pattern: row.Pattern, Gaps: row.Gaps}
		for _, q := range row.Line {
			l.Line = append(l.Line, orb.Point(q))
		}
		places, err := planting.Lay(l)
		if err != nil {
			return nil, err
		}
		for i := range places {
			planned[places[i].ID] = true
		}
	}
	before := map[string]site.Tree{}
	for _, t := range r.Plan().Told {
		before[t.ID] = t
	}
	was := map[string]orb.Point{}
	for i := range r.Trees {
		was[r.Trees[i].ID] = r.Trees[i].Point
	}
	seen := map[string]bool{}
	var told []site.Tree
	var bad fault.List
	for _, t := range d.Trees {
		if !planned[t.ID] || seen[t.ID] {
			continue
		}
		seen[t.ID] = true
		if !(t.Mound >= 0 && t.Mound <= mostMound) {
			bad.Add(0, "tree %q: a mound of %g m; up to %d m are taken", t.ID, t.Mound, mostMound)
			continue
		}
		out := site.Tree{ID: t.ID, Where: "tree " + strconv.Quote(t.ID), Species: t.Species, Mound: t.Mound, Trial: t.Trial, Fixed: t.Fixed}
		if own := before[t.ID]; math.Abs(own.Mound-t.Mound) < 1e-4 {
			out.Mound = own.Mound
		}
		if t.At != nil {
			own := before[t.ID].At
			at := []orb.Point{orb.Point(*t.At)}
			if !finite(at[0][0]) || !finite(at[0][1]) {
				bad.Add(0, "tree %q: that is no place", t.ID)
				continue
			}
			if own != nil && near(at, orb.LineString{was[t.ID]}) {
				at[0] = *own // to the last digit
			} else if err := assess.Move(r.Drain.Ground.CRS, r.SiteCRS(), at); err != nil {
				return nil, fmt.Errorf("tree %q: %w", t.ID, err)
			}
			out.At = &at[0]
		}
		d.keepAge(&out, before[t.ID], r)
		if says(out) {
			told = append(told, out)
		}
	}
	for _, own := range r.Plan().Told { // what the page does not show
		if out := (site.Tree{ID: own.ID, Where: own.Where}); planned[own.ID] && !seen[own.ID] {
			d.keepAge(&out, own, r)
			if says(out) {
				told = append(told, out)
			}
		}
	}
	return told, bad.Err()
}

// says reports whether anything is said of a tree.
func says(t site.Tree) bool {
	return t.Species != "" || t.Mound != 0 || t.Trial || t.Fixed || t.At != nil || t.Age != nil || t.Rootstock != ""
}

// keepAge leaves a tree the age and the rootstock that the site file gives it,
// which no page shows; where another species or another mound is planned instead,
// the tree is a new one, and as old as that.
func (d document) keepAge(t *site.Tree, own site.Tree, r *assess.Result) {
	t.Age, t.Rootstock = own.Age, own.Rootstock
	if t.Species == own.Species && t.Mound == own.Mound {
		return
	}
	for i := range r.Trees {
		if r.Trees[i].ID == t.ID && r.Trees[i].Years > 0 {
			now := 0.0
			t.Age = &now
		}
	}
	if t.Species != own.Species {
		t.Rootstock = ""
	}
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) && math.Abs(v) < 1e9 }

// near reports whether two lines are the same to half a millimetre.
func near(a, b orb.LineString) bool {
	return slices.EqualFunc(a, b, func(p, q orb.Point) bool {
		return math.Abs(p[0]-q[0]) < 5e-4 && math.Abs(p[1]-q[1]) < 5e-4
	})
}
