package assess

import (
	"context"
	"errors"
	"reflect"
	"slices"

	"wetfeet/cmd/internal/ground"
	"wetfeet/cmd/internal/site"
	"wetfeet/hydro/storm"
	"wetfeet/hydro/watertable"
	"wetfeet/species"
	"wetfeet/terrain"

	"github.com/paulmach/orb"
)

// A basis is what an assessment was made from and another can be made from
// without reading the site again.
type basis struct {
	plan    Plan
	ground  *ground.Ground
	table   *species.Table
	raise   *terrain.Grid[float32] // what the works of the plan raise each cell by, m; nil without
	links   []storm.Link
	ditches []watertable.Ditch
}

// Table is what the trees were judged by: the built-in one with the
// grower's own.
func (r *Result) Table() *species.Table { return r.basis.table }

// Plan is what was assessed.
func (r *Result) Plan() Plan { return r.basis.plan }

// Again assesses another planting, storm, soil, drainage or earthworks on the
// ground that was read for r, which is not changed. The ground and the grower's species
// are those of r whatever p says of them. The answer is that of Run.
func (r *Result) Again(ctx context.Context, p Plan, progress func(stage string)) (*Result, error) {
	if progress == nil {
		progress = func(string) {}
	}
	given, err := p.given()
	if err != nil {
		return nil, err
	}
	next, err := r.planted(p)
	if err != nil {
		return nil, err
	}
	on := *r.basis
	if r.SameEarth(p) {
		for i := range next.Works {
			next.Works[i].Name = p.Works[i].Name
		}
	} else if err := next.drainOver(ctx, p, &on, progress); err != nil {
		return nil, err
	}
	if err := next.finish(ctx, p, given, &on, progress); err != nil {
		return nil, err
	}
	return next, nil
}

// As is r as the answer to a plan that reads as its own but for how finely a
// file writes it.
func (r *Result) As(p Plan) *Result {
	on := *r.basis
	on.plan = p
	as := *r
	as.basis = &on
	return &as
}

// planted is the ground of r with the trees of a plan on it.
func (r *Result) planted(p Plan) (*Result, error) {
	g := r.basis.ground
	next := &Result{
		Name: p.Name, Invented: p.Invented, Units: p.Units, Inputs: r.Inputs,
		Assumptions: append(append([]string(nil), p.Assumed...), g.Assumed...), Remarks: append([]string(nil), g.Remarks...),
		Survey: r.Survey, ToLonLat: r.ToLonLat, Drain: r.Drain, Works: slices.Clone(r.Works), basis: r.basis,
	}
	if err := next.lay(p, r.Drain.Ground.Frame); err != nil {
		return nil, err
	}
	if err := errors.Join(next.change(p, r.Drain.Ground.CRS), next.lookUp(r.basis.table), next.lookUpRootstocks(p, r.basis.table)); err != nil {
		return nil, err
	}
	return next, nil
}

// Soon is Again without what takes long, for a page that follows a hand: the
// rain on the site as it is ready in r, and what it does to the trees. Soil,
// zones, pipes and ditches are those of r.
//
// The years of weather and the rank of the wetness are those of r where a
// tree stands in a cell that r judged; elsewhere they are not known, and Soon
// counts such trees as waiting. So are the odds, which are those of the storm of
// r: another storm is told by the likeliest answer alone. How high the ground lies above the water is
// that of r's storm. Grids of the storm, readings to take next and what is
// told of assumptions are left out.
func (r *Result) Soon(ctx context.Context, p Plan) (soon *Result, waiting int, err error) {
	rain, err := p.rain()
	if err != nil {
		return nil, 0, err
	}
	if soon, err = r.planted(p); err != nil {
		return nil, 0, err
	}
	soon.WaterTable, soon.Season = r.WaterTable, nil
	stocks := soon.Conditions.stocks
	soon.Conditions = r.Conditions
	soon.Conditions.stocks = stocks
	soon.Storm, soon.Odds = r.Storm, r.Odds
	if !reflect.DeepEqual(rain.Hyetograph, r.Storm.Course) {
		s := &Storm{Site: r.Storm.Site, soils: r.Storm.soils, zone: r.Storm.zone, Height: r.Storm.Height}
		soon.Storm, soon.Odds = s, nil
		whole, err := s.pour(ctx, soon, rain)
		if err != nil {
			return nil, 0, err
		}
		s.rise = newRise(s.Site, rain, s.soils, whole)
	}
	known := make(map[int]*Tree, len(r.Trees))
	for i := range r.Trees {
		if t := &r.Trees[i]; t.OnGround {
			known[t.cell] = t
		}
	}
	for i := range soon.Trees {
		t := &soon.Trees[i]
		cell, on := soon.spot(t, r.basis.ground.ErrorAt)
		if !on {
			continue
		}
		if before := known[cell]; before != nil {
			t.LongestWetDays, t.Doses, t.WetnessPercentile = before.LongestWetDays, before.Doses, before.WetnessPercentile
			t.level, t.levelHours = before.level, before.levelHours
			if soon.surely(t); r.Odds != nil && t.Draws == nil {
				waiting++
			}
			continue
		}
		waiting++
	}
	if ctx.Err() != nil {
		return nil, 0, context.Cause(ctx)
	}
	soon.judge()
	return soon, waiting, nil
}

// SameSite reports whether a plan has the soil and drainage of that of r, so
// that Soon can answer it.
func (r *Result) SameSite(p Plan) bool {
	q := r.basis.plan
	return reflect.DeepEqual([]any{p.Soil, p.Tests, p.Curve, p.GreenAmpt, p.Zones, p.Links, p.Wells, p.Works, p.Learned, p.Conditions},
		[]any{q.Soil, q.Tests, q.Curve, q.GreenAmpt, q.Zones, q.Links, q.Wells, q.Works, q.Learned, q.Conditions})
}

// SameEarth reports whether the works of a plan raise the ground as those of
// that of r do, whatever they are called.
func (r *Result) SameEarth(p Plan) bool {
	return slices.EqualFunc(p.Works, r.basis.plan.Works, func(a, b site.Work) bool {
		return a.Kind == b.Kind && a.Height == b.Height && a.Width == b.Width && slices.Equal(a.Line, b.Line)
	})
}

// SiteCRS is the system the coordinates of the plan of r are written in.
func (r *Result) SiteCRS() string { return r.basis.plan.system() }

// Move brings points from one system to another, in place.
func Move(from, to string, points []orb.Point) error { return move(from, to, points) }
