package assess

import (
	"cmp"
	"fmt"
	"math"

	"wetfeet/cmd/internal/fault"
	"wetfeet/cmd/internal/ground"
	"wetfeet/terrain"
	"wetfeet/terrain/field"
	"wetfeet/terrain/quantity"
	"wetfeet/terrain/survey"
)

const (
	// usualError is the error of a raster whose neighbours share it, where
	// nobody said it, one standard deviation, m: bare-ground lidar meets
	// 0.10 m and mostly does half of that on open flat land (ASPRS 2014,
	// vertical accuracy class of 10 cm; the half is common practice).
	usualError = 0.05

	// usualReach is how far one such error reaches, where nobody said it, m:
	// over the width of a few swaths of points. Common practice, no source.
	usualReach = 15

	// leastShared is the least part of the error of a raster that neighbours are
	// taken to share, whatever its roughness shows: how rough a raster is tells
	// nothing of what all of it has in common. Common practice, no source.
	leastShared = 0.5

	// leastError is what a corrected raster is never better than between the
	// shots, m: the width of a clod. Common practice, no source.
	leastError = 0.01
)

// likelyGrounds are grounds that are as likely as each other given what was
// measured, and a sentence of what was taken for the error.
func (r *Result) likelyGrounds(p Plan, g *ground.Ground) (*field.Draws, string, error) {
	learned, err := p.learnedShots(g.Grid.Frame)
	if err != nil {
		return nil, "", err
	}
	if s := g.Survey; s != nil && s.Correction == nil && p.Reach > 0 {
		r.Remarks = append(r.Remarks, "The range of the error (ground.error_range) is left out: it is that of a raster, and shots are wrong each for itself.")
	}
	switch s := g.Survey; {
	case s == nil:
		d, said, err := r.likelyOfRaster(p, g)
		if err == nil && len(learned) > 0 {
			err = d.Agree(learned)
		}
		return d, said, err
	case s.Correction != nil:
		return r.likelyOfBoth(p, g, learned)
	case s.Fitted != nil && s.Surface == s.Fitted && len(s.Fitted.Shots())+len(learned) <= field.MostShots:
		return r.likelyOfShots(p, g, learned)
	}
	if len(learned) > 0 {
		r.Remarks = append(r.Remarks, "The heights that were learned are left out: this surface has no room for them.")
	}
	d, err := field.OfSpread(g.Grid, g.ErrorAt, reachOf(g.Survey), p.Odds.Seed)
	return d, fmt.Sprintf("The true ground was taken to lie about the surface through the shots as far as the surface says it may, and to do so alike within %s.", quantity.FormatLength(reachOf(g.Survey), r.Units)), err
}

// reachOf is how far the ground of a survey is alike, m.
func reachOf(s *ground.Survey) float64 { return s.Fitted.Covariance.Reach() }

// likelyOfRaster takes neighbouring cells to be wrong together.
func (r *Result) likelyOfRaster(p Plan, g *ground.Ground) (*field.Draws, string, error) {
	noise := g.CellNoise()
	if noise == 0 {
		noise = r.Drain.CellNoise
	}
	e := field.Error{SD: p.Error, Range: p.Reach, CellNoise: noise}
	said := "of what was given, the part that the roughness of the raster leaves"
	if e.SD == 0 {
		e.SD = max(usualError, r.Drain.Error)
		said = "as usual for such rasters, since none was given"
	}
	if p.Error > 0 { // both parts together
		e.CellNoise = min(e.CellNoise, p.Error)
		e.SD = max(math.Sqrt(p.Error*p.Error-e.CellNoise*e.CellNoise), p.Error*leastShared)
	}
	f := g.Grid.Frame
	if e.Range == 0 {
		e.Range = min(usualReach, math.Min(float64(f.Rows), float64(f.Cols))*f.CellSize/3)
	}
	if relief := reliefOf(g.Grid); p.Error > relief {
		return nil, "", fault.Input(fmt.Errorf("an error of %s is more than all of the ground differs in height, %s, so nothing could be told of it; is its unit right? (ground.vertical_error, --error)", quantity.FormatLength(p.Error, r.Units), quantity.FormatLength(relief, r.Units)))
	}
	if err := e.Check(f); err != nil {
		return nil, "", fault.Input(fmt.Errorf("the error of the ground (ground.vertical_error, ground.error_range): %w", err))
	}
	d, err := field.OfRaster(g.Grid, e, p.Odds.Seed)
	return d, fmt.Sprintf("The true ground was taken to lie about the raster with an error of %s (one standard deviation, %s) that neighbours share within %s, beside what differs from cell to cell.",
		quantity.FormatDepth(e.SD, r.Units), said, quantity.FormatLength(e.Range, r.Units)), err
}

// likelyOfShots draws the ground between the shots.
func (r *Result) likelyOfShots(p Plan, g *ground.Ground, learned []field.Shot) (*field.Draws, string, error) {
	s := g.Survey
	m := s.Fitted
	given := field.Survey{
		Mean:       g.Grid,
		Covariance: m.Covariance.Apart(m.Anisotropy),
		Reach:      reachOf(s),
		Shots:      append(fieldShots(m), learned...),
		Planar:     m.Trend == survey.Planar,
	}
	for _, c := range m.Likely(field.MostLikely(len(given.Shots))) {
		given.Likely = append(given.Likely, field.Likeness{Covariance: c.Apart(m.Anisotropy), Reach: c.Reach()})
	}
	d, err := field.OfSurvey(given, p.Odds.Seed)
	return d, fmt.Sprintf("Between the shots the true ground was taken to wander as it does from shot to shot (%s).", s.Model), err
}

// fieldShots are the shots of a surface with the error of each.
func fieldShots(m *survey.Model) []field.Shot {
	var out []field.Shot
	for _, s := range m.Shots() {
		sd := s.Error
		if sd == 0 {
			sd = math.Sqrt(m.Covariance.Nugget)
		}
		out = append(out, field.Shot{Point: s.Point, Z: s.Z, SD: sd})
	}
	return out
}

// likelyOfBoth has the corrected raster be wrong as the shots found the raster
// to be, and pass by the shots within their error.
func (r *Result) likelyOfBoth(p Plan, g *ground.Ground, learned []field.Shot) (*field.Draws, string, error) {
	c := g.Survey.Correction
	noise := g.CellNoise()
	if noise == 0 {
		noise = r.Drain.CellNoise
	}
	e := field.Error{SD: math.Sqrt(c.Model.Covariance.Sill), Range: reachOf(g.Survey), CellNoise: noise}
	f := g.Grid.Frame
	e.Range = min(e.Range, math.Min(float64(f.Rows), float64(f.Cols))*f.CellSize/3)
	e.SD = max(e.SD, leastError)
	d, err := field.OfRaster(g.Grid, e, p.Odds.Seed)
	if err != nil {
		return nil, "", err
	}
	shots := shotsOnRaster(g.Survey, p.Error)
	if room := max(field.MostShots-len(learned), 0); len(shots) > room {
		r.Remarks = append(r.Remarks, fmt.Sprintf("Odds: of %d shots on the raster %d, spread evenly over the list, are what the true ground is held to pass by; all of them corrected the raster.", len(shots), room))
		shots = thinned(shots, room)
	}
	if err := d.Agree(append(shots, learned...)); err != nil {
		return nil, "", err
	}
	return d, fmt.Sprintf("The true ground was taken to pass by the shots, and between them to lie about the corrected raster with an error of %s (one standard deviation) that neighbours share within %s, as the shots found the raster to be.",
		quantity.FormatDepth(e.SD, r.Units), quantity.FormatLength(e.Range, r.Units)), nil
}

// leastShotError keeps two shots at one place from contradicting each other, m.
const leastShotError = 0.001

// shotsOnRaster are the shots that corrected a raster, as they were taken: the
// model of the correction holds what they read above the raster. One that
// states no error has the one given, or that of the fit.
func shotsOnRaster(s *ground.Survey, given float64) []field.Shot {
	out := make([]field.Shot, len(s.Correction.Used))
	for i, k := range s.Correction.Used {
		shot := s.Shots.Shots[k]
		sd := cmp.Or(shot.Error, given, math.Sqrt(s.Correction.Model.Covariance.Nugget))
		out[i] = field.Shot{Point: shot.Point, Z: shot.Z, SD: max(sd, leastShotError)}
	}
	return out
}

// thinned is n of some shots, spread evenly over their order.
func thinned(shots []field.Shot, n int) []field.Shot {
	out := make([]field.Shot, n)
	for i := range out {
		out[i] = shots[i*len(shots)/n]
	}
	return out
}

// reliefOf is how much the known ground differs in height, m.
func reliefOf(g *terrain.Grid[float32]) float64 {
	low, high := math.Inf(1), math.Inf(-1)
	for _, z := range g.Cells {
		if z == z {
			low, high = min(low, float64(z)), max(high, float64(z))
		}
	}
	return high - low
}
