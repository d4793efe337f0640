package ground

import (
	"fmt"
	"math"
	"strings"

	"wetfeet/hydro"
	"wetfeet/terrain"
	"wetfeet/terrain/quantity"
	"wetfeet/terrain/survey"

	"github.com/paulmach/orb"
)

// A Survey says how spot heights were used and how good the ground between
// them is.
type Survey struct {
	*Shots
	Surface    survey.Surface
	Fitted     *survey.Model // by kriging, whatever the surface is
	Model      string        // the surface fitted, in one line
	Error      float64       // of the ground between the shots, one standard deviation, the median of the cells, m
	Validation survey.Validation
	Blocks     *survey.Validation // by parts of the site; nil where there are too few shots
	Suspects   []survey.Suspect   // worst first
	Pits       []survey.Pit       // depressions no shot lies in, deeper than the error
	Correction *survey.Correction // nil without a raster
}

// mostSuspects is how many suspicious shots are remarked; the survey page
// lists them all.
const mostSuspects = 5

// fewestForBlocks is the fewest shots worth parting into blocks.
const fewestForBlocks = 30

// fromShots makes the ground of spot heights alone.
func fromShots(s Source) (*Ground, error) {
	shots, err := ReadShots(s, "")
	if err != nil {
		return nil, err
	}
	frame, err := survey.FrameFor(shots.Shots, s.Cell)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", shots.Name, err)
	}
	frame.CRS = shots.CRS
	v := &Survey{Shots: shots}
	g := &Ground{Survey: v, Remarks: shots.Remarks}
	options := survey.Options{Error: s.Error, Lines: shots.Lines, Outline: shots.Outline, Holes: shots.Holes}
	model, err := survey.FitDirection(shots.Shots, options)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", shots.Name, err)
	}
	v.Surface, v.Fitted, v.Model = model, model, model.In(s.Units)
	g.Remarks = append(g.Remarks, model.Remarks...)
	g.Assumed = append(g.Assumed, shotError(s.Error, model, s.Units))
	if s.Triangles {
		t, err := survey.Triangulate(shots.Shots, options)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", shots.Name, err)
		}
		v.Surface, v.Model = t, "flat triangles between the shots"
		g.Assumed = append(g.Assumed, "The surface is flat triangles between the shots, as was asked for; how well left-out shots are foretold is theirs.")
	}
	g.Grid, g.ErrorAt = v.Surface.Grid(frame)
	v.describe(model, g.ErrorAt)
	v.Pits = survey.Pits(g.Grid, g.ErrorAt, shots.Shots, hydro.Fill)
	g.remarkSurvey(s.Units)
	g.Assumed = append(g.Assumed, v.otherSurfaces(frame, options, s.Units)...)
	if s.Cell == 0 {
		g.Assumed = append(g.Assumed, fmt.Sprintf("The surface through the spot heights was worked out on cells of %s, chosen from how far apart the shots are.", quantity.FormatLength(frame.CellSize, s.Units)))
	}
	if len(s.Boundary) > 0 {
		if err := g.cut(s.Boundary); err != nil {
			return nil, err
		}
	}
	return g, nil
}

// describe works out how good the surface is.
func (v *Survey) describe(model *survey.Model, sd *terrain.Grid[float32]) {
	v.Error = median(sd.Cells)
	v.Validation = v.Surface.LeaveOneOut()
	if len(v.Shots.Shots) >= fewestForBlocks {
		if b, err := v.Surface.Blocks(0); err == nil {
			v.Blocks = &b
		}
	}
	if suspects, err := model.Suspicious(); err == nil {
		v.Suspects = suspects
	}
}

// otherSurfaces says how far other surfaces through the same shots lie from
// the one used: where they agree, it is the shots that say so and not the way
// they were joined.
func (v *Survey) otherSurfaces(frame terrain.Frame, o survey.Options, u quantity.Units) []string {
	at := v.Fitted.Candidates(frame)
	apart := func(z func(p orb.Point) float64) (rms float64, n int) {
		for _, p := range at {
			if !v.Surface.Covers(p) {
				continue
			}
			own, _ := v.Surface.Predict(p)
			if d := z(p) - own; d == d {
				rms += d * d
				n++
			}
		}
		return math.Sqrt(rms / float64(n)), n
	}
	var others []string
	tell := func(name string, z func(p orb.Point) float64, left float64) {
		if rms, n := apart(z); n > 0 {
			others = append(others, fmt.Sprintf("%s by %s (each shot left out in turn, it misses them by %s)", name, quantity.FormatDepth(rms, u), quantity.FormatDepth(left, u)))
		}
	}
	if len(v.Shots.Shots) > mostCompared {
		return nil
	}
	if v.Surface == survey.Surface(v.Fitted) {
		if t, err := survey.Triangulate(v.Shots.Shots, o); err == nil {
			tell("flat triangles", func(p orb.Point) float64 { z, _ := t.Predict(p); return z }, t.LeaveOneOut().RMSE)
		}
	} else {
		tell("kriging", func(p orb.Point) float64 { z, _ := v.Fitted.Predict(p); return z }, v.Fitted.LeaveOneOut().RMSE)
	}
	if t, err := survey.BendPlate(v.Shots.Shots, 0); err == nil {
		tell("a thin plate bent through them", t.At, t.LeaveOneOut())
	}
	if len(others) == 0 {
		return nil
	}
	return []string{"As a check, other surfaces through the same shots lie apart from this one, root mean square over the site: " + strings.Join(others, "; ") + "."}
}

// mostCompared is how many shots other surfaces are made of, too, for a check.
const mostCompared = 600

// remarkSurvey says which shots to look at again, and what the surface makes
// of its own.
func (g *Ground) remarkSurvey(u quantity.Units) {
	v := g.Survey
	for _, s := range v.Suspects[:min(mostSuspects, len(v.Suspects))] {
		g.Remarks = append(g.Remarks, fmt.Sprintf("%s: look again at %s: %s", v.Name, shotName(v.Shots.Shots[s.Index]), s.Reason(u)))
	}
	if more := len(v.Suspects) - mostSuspects; more > 0 {
		g.Remarks = append(g.Remarks, fmt.Sprintf("%s: %d more shots do not go with the ground around them.", v.Name, more))
	}
	if n := len(v.Pits); n == 1 {
		g.Remarks = append(g.Remarks, "One depression of the surface holds no shot: it may be made by the surface and not by the ground.")
	} else if n > 1 {
		g.Remarks = append(g.Remarks, fmt.Sprintf("%d depressions of the surface hold no shot: they may be made by the surface and not by the ground.", n))
	}
}

// shotName is what a shot is called in words.
func shotName(s survey.Shot) string {
	switch {
	case s.Name != "":
		return "shot " + s.Name
	case s.Line > 0:
		return fmt.Sprintf("the shot of line %d", s.Line)
	}
	return fmt.Sprintf("the shot at %.1f, %.1f", s.Point[0], s.Point[1])
}

// correct brings a raster to the shots.
func (g *Ground) correct(s Source) error {
	shots, err := ReadShots(s, g.Grid.CRS)
	if err != nil {
		return err
	}
	g.Remarks = append(g.Remarks, shots.Remarks...)
	if s.Triangles {
		g.Remarks = append(g.Remarks, shots.Name+": the raster is corrected by kriging; triangles are for spot heights alone.")
	}
	noise := g.stored
	if noise == 0 {
		noise = terrain.Noise(g.Grid)
	}
	c, err := survey.Correct(g.Grid, shots.Shots, survey.CorrectOptions{Error: s.Error, RasterError: noise, Lines: shots.Lines, Outline: shots.Outline, Holes: shots.Holes})
	if err != nil {
		return fmt.Errorf("%s, correcting the raster: %w", shots.Name, err)
	}
	v := &Survey{Shots: shots, Surface: c.Model, Fitted: c.Model, Model: c.Model.In(s.Units), Correction: c}
	v.describe(c.Model, c.Error)
	for i := range v.Suspects { // of the shots on the raster, among all
		v.Suspects[i].Index = c.Used[v.Suspects[i].Index]
	}
	g.Survey = v
	g.Grid, g.ErrorAt = c.Ground, c.Error
	g.Remarks = append(g.Remarks, c.Remarks...)
	g.Remarks = append(g.Remarks, fmt.Sprintf("%s: %d shots corrected the raster, which lay %s as a whole (± %s).", shots.Name, len(c.Used), lowOrHigh(c.Shift, s.Units), quantity.FormatDepth(c.ShiftError, s.Units)))
	g.remarkSurvey(s.Units)
	return nil
}

func lowOrHigh(shift float64, u quantity.Units) string {
	if shift < 0 {
		return quantity.FormatDepth(-shift, u) + " too high"
	}
	return quantity.FormatDepth(shift, u) + " too low"
}
