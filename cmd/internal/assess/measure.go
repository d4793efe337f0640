package assess

import (
	"fmt"
	"math"
	"strings"

	"wetfeet/cmd/internal/fault"
	"wetfeet/cmd/internal/ground"
	"wetfeet/hydro"
	"wetfeet/terrain/quantity"
	"wetfeet/terrain/survey"

	"github.com/paulmach/orb"
)

// A Reading is a place to hold the staff next, and why.
type Reading struct {
	Point orb.Point // in the system of the ground, metres
	Why   string
}

// readings is how many places to measure next are told.
const readings = 5

// nextReadings are the places where a reading would do most to settle which
// trees stand in water: of each tree it matters whether its ground lies above
// or below the water of the hollow it drains to. Only ground made from spot
// heights knows how little is known between them.
func (r *Result) nextReadings(s *ground.Survey) error {
	if s == nil {
		return nil
	}
	model, ok := s.Surface.(*survey.Model)
	if !ok {
		return nil
	}
	var targets []survey.Target
	var levels []float64
	for i := range r.Trees {
		t := &r.Trees[i]
		if !t.OnGround {
			continue
		}
		row, col, _ := r.Drain.Ground.Locate(t.Point)
		level := r.waterLevel(r.Drain.Ground.Index(row, col))
		if math.IsNaN(level) {
			continue
		}
		targets = append(targets, survey.Target{Point: t.Point, Name: t.ID})
		levels = append(levels, level)
	}
	if len(targets) == 0 {
		return nil
	}
	places, err := model.Next(targets, model.Candidates(r.Drain.Ground.Frame), survey.Misjudged(levels), readings)
	if err != nil {
		return fault.Input(err)
	}
	for _, p := range places {
		r.Next = append(r.Next, Reading{p.Point, r.reason(p, targets)})
	}
	return nil
}

// BetterKnown says how well the ground at a place is known, m of standard
// deviation, without a reading there and with one.
func BetterKnown(now, then float64, u quantity.Units) string {
	before, after := quantity.FormatDepth(now, u), quantity.FormatDepth(then, u)
	if before == after {
		return fmt.Sprintf("known to %s now, and little better with a reading", before)
	}
	return fmt.Sprintf("known to %s now, to %s with a reading", before, after)
}

// reason says what a reading would do, in the units of the report.
func (r *Result) reason(p survey.Place, targets []survey.Target) string {
	s := fmt.Sprintf("%s; %s from the nearest shot; %.0f %% fewer trees misjudged wet or dry",
		BetterKnown(p.SD, p.After, r.Units), quantity.FormatDistance(p.Near, r.Units), 100*p.Gain/p.Before)
	var names []string
	for _, i := range p.Helps {
		names = append(names, targets[i].Name)
	}
	if len(names) > 0 {
		s += ", most at " + strings.Join(names, ", ")
	}
	return s
}

// waterLevel is the level at which water would stand in the outermost hollow
// that a cell drains to, m: as high as the storm brings it, and the brim where
// the storm leaves it dry. It is NaN where a cell drains to none.
func (r *Result) waterLevel(cell int) float64 {
	h := r.Drain.Hollows
	i := int(h.Inner[cell]) - 1
	if i < 0 {
		return math.NaN()
	}
	peak := r.Storm.History.Peak(i).Level
	dry := peak <= h.All[i].Floor
	for h.All[i].Parent != hydro.Outside {
		i = h.All[i].Parent
	}
	if dry {
		return h.All[i].Spill
	}
	return peak
}

// Where writes a point of the ground's system as people find it again: in feet,
// and saying so, where they taped in feet from an origin of their own.
func (r *Result) Where(p orb.Point) string {
	if r.TapedInFeet() {
		u := quantity.Feet.Metres()
		return fmt.Sprintf("E %.1f ft, N %.1f ft", p[0]/u, p[1]/u)
	}
	return fmt.Sprintf("E %.1f, N %.1f", p[0], p[1])
}

// TapedInFeet is whether places are told in feet from an origin of the site's
// own: a report in feet, and no coordinate system that has its own unit.
func (r *Result) TapedInFeet() bool { return tapedInFeet(r.Units, r.Drain.Ground.CRS) }

// TapedInFeet is whether places of the plan are, before there is a result.
func (p *Plan) TapedInFeet() bool { return tapedInFeet(p.Units, p.CRS) }

func tapedInFeet(u quantity.Units, crs string) bool {
	return u == quantity.Feet && strings.HasPrefix(crs, "+proj=")
}
