package main

import (
	"cmp"
	"context"
	"fmt"
	"io"
	"math"
	"path/filepath"
	"slices"
	"strings"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/fault"
	"wetfeet/cmd/internal/fieldsheet"
	"wetfeet/cmd/internal/ground"
	"wetfeet/cmd/internal/outdir"
	"wetfeet/cmd/internal/plansheet"
	"wetfeet/cmd/internal/surveypage"
	"wetfeet/terrain/quantity"
	"wetfeet/terrain/raster"
	"wetfeet/terrain/survey"
	"wetfeet/terrain/survey/fieldbook"

	"github.com/paulmach/orb"
)

type surveyCommand struct {
	Book string `arg:"" optional:"" help:"Field book, or a CSV of spot heights."`

	answerFlags `embed:"" set:"out=wetfeet-survey"`

	Template string `placeholder:"KIND" help:"Print a book to type over and stop: level, laser, water, tape or gnss."`

	Later    []string `placeholder:"FILE" sep:"none" help:"A later survey of the same ground, in place of what it covers; may be given again. Surveys go by their dates, or in the order given."`
	Lines    string   `placeholder:"FILE" help:"GeoJSON of breaklines (ditch bottoms, bank tops, bed edges), outlines and holes."`
	Surface  string   `enum:"kriging,triangles" default:"kriging" help:"How the ground between the shots is made: ${enum}."`
	Interval string   `placeholder:"LENGTH" help:"Between contours; as fine as relief and error allow unless given."`
	Paper    string   `placeholder:"SIZE" help:"Sheet of the contour plan: A4, Letter or A3. Without it Letter for a survey in feet, A4 for others."`
	Datum    string   `placeholder:"WORDS" help:"What the levels are above, for the plan, such as \"BM1 = 100.000 m, assumed\"."`
	Title    string   `placeholder:"WORDS" help:"Title of the plan; that of the book, or its file's name, unless given."`
	Feet     bool     `help:"Write the plan and the page in feet."`

	groundFlags `embed:""`
}

func (c *surveyCommand) Run(s *call) error {
	if c.Template != "" {
		text, err := fieldbook.Template(c.Template)
		if err != nil {
			return fmt.Errorf("%w: --template: %w", errUsage, err)
		}
		_, err = io.WriteString(s.stdout, text)
		return err
	}
	if c.Book == "" {
		return fmt.Errorf("%w: give a field book or a CSV of spot heights; --template level prints a book to type over", errUsage)
	}
	interval, err := lengthFlag("--interval", c.Interval)
	if err != nil {
		return err
	}
	paper := plansheet.A4
	if c.Paper != "" {
		if paper, err = plansheet.ParsePaper(c.Paper); err != nil {
			return fmt.Errorf("%w: --paper: %w", errUsage, err)
		}
	}
	source, sd, err := c.source(c.Book)
	if err != nil {
		return err
	}
	source.DEM, source.SpotHeights, source.Error = "", c.Book, sd
	source.Later, source.OwnGrid = c.Later, true
	if c.Feet {
		source.Units = quantity.Feet
	}
	source.Lines, source.Triangles = c.Lines, c.Surface == "triangles"

	out, err := c.begin(surveyFiles...)
	if err != nil {
		return err
	}
	defer out.Abort()
	s.say.stage("survey")
	g, err := ground.Load(s.ctx, source)
	if err != nil {
		return err
	}
	files := []assess.File{{Role: "survey", Path: c.Book}}
	for _, later := range c.Later {
		files = append(files, assess.File{Role: "later survey", Path: later})
	}
	if c.Lines != "" {
		files = append(files, assess.File{Role: "lines", Path: c.Lines})
	}
	inputs, err := assess.Inputs(files...)
	if err != nil {
		return err
	}
	s.say.stage("next places")
	page := c.page(g, inputs)
	if c.Paper == "" {
		paper = fieldsheet.PaperFor(page.Plan.Units)
	}
	page.Paper, page.Plan.Interval = paper, interval
	if page.Next, err = nextPlaces(g, page.Plan.Units); err != nil {
		return err
	}
	if err := s.ctx.Err(); err != nil {
		return err
	}
	s.say.stage("write")
	if err := writeSurvey(s.ctx, out, g, page); err != nil {
		return err
	}
	if err := s.finish(out, g.Remarks); err != nil {
		return err
	}
	return c.report(s.stdout, g, page)
}

// surveyFiles are the files of a survey's answer.
var surveyFiles = []string{"shots.csv", "booking.txt", "ground.tif", "error.tif", "contour-plan.png", "contour-plan.pdf", "survey.html"}

// page gathers what the plan and the page show.
func (c *surveyCommand) page(g *ground.Ground, inputs []assess.Input) surveypage.Survey {
	v := g.Survey
	title := c.Title
	if title == "" && v.Book != nil {
		title = v.Book.Title
	}
	if title == "" {
		title = strings.TrimSuffix(v.Name, filepath.Ext(v.Name))
	}
	p := plansheet.Plan{
		Title: title, Datum: c.Datum, Ground: g.Grid, Error: g.ErrorAt,
		LeaveOneOut: v.Validation.RMSE,
	}
	if p.Datum == "" && v.Book != nil {
		p.Datum = bookDatum(v.Book)
	}
	if c.Feet || v.Book != nil && v.Book.Units == quantity.Feet {
		p.Units = quantity.Feet
	}
	for i, shot := range v.Shots.Shots {
		p.Shots = append(p.Shots, plansheet.Shot{Name: shot.Name, Point: shot.Point, Z: shot.Z})
		standardised := math.NaN()
		if i < len(v.Validation.Residuals) {
			standardised = v.Validation.Residuals[i].Standardised
		}
		p.Standardised = append(p.Standardised, standardised)
	}
	for _, l := range v.Lines {
		p.Breaklines = append(p.Breaklines, plansheet.Breakline{Code: l.Name, Kind: plansheet.KindOf(string(l.Kind)), Points: l.Line, Closed: len(l.Line) > 2 && l.Line[0] == l.Line[len(l.Line)-1]})
	}
	if len(v.Outline) > 0 {
		p.Outline = append(orb.Polygon{v.Outline[0]}, v.Holes...)
	}
	page := surveypage.Survey{
		Plan: p, Book: v.Book, Model: v.Model,
		Assumptions: g.Assumed, Remarks: g.Remarks, Inputs: inputs, PlanFile: "contour-plan.pdf",
	}
	for _, d := range v.Suspects {
		where := ""
		if line := v.Shots.Shots[d.Index].Line; line > 0 {
			where = fmt.Sprintf("line %d", line)
		}
		page.Plan.Suspicious = append(page.Plan.Suspicious, d.Index)
		page.Doubts = append(page.Doubts, surveypage.Doubt{Shot: d.Index, Off: d.Off, Standardised: d.Standardised, Where: where, Reason: d.Reason(p.Units)})
	}
	for _, d := range v.Changes {
		page.Changed = append(page.Changed, surveypage.Change{Point: d.Point, Name: d.Name, Before: d.Before, After: d.After, SD: d.SD})
	}
	slices.SortStableFunc(page.Changed, func(a, b surveypage.Change) int {
		return cmp.Compare(math.Abs(b.After-b.Before), math.Abs(a.After-a.Before))
	})
	if v.Blocks != nil {
		page.BlockRMS = v.Blocks.RMSE
	}
	return page
}

// bookDatum is what the levels of a book are above, in words that follow
// "feet" or "metres": its benchmarks, as the book gives their levels.
func bookDatum(b *fieldbook.Reduction) string {
	var known []string
	for _, p := range b.Points {
		if p.Benchmark && p.Name != "" {
			known = append(known, fmt.Sprintf("%s = %s", p.Name, quantity.FormatLevel(p.Level, 0.001, b.Units)))
		}
	}
	switch {
	case b.Ellipsoidal:
		return "above the ellipsoid, not above sea level"
	case len(known) == 0:
		return ""
	case len(known) > datumShown:
		known = append(known[:datumShown], "and so on")
	}
	return "above the datum of the book: " + strings.Join(known, ", ")
}

// datumShown is how many benchmarks fit on a plan.
const datumShown = 3

// places is how many places to measure next are told.
const places = 5

// nextPlaces are where a reading would make the ground surer, everywhere
// alike: a survey alone knows of no trees.
func nextPlaces(g *ground.Ground, u quantity.Units) ([]surveypage.Place, error) {
	model := g.Survey.Fitted
	candidates := model.Candidates(g.Grid.Frame)
	targets := make([]survey.Target, len(candidates))
	for i, p := range candidates {
		targets[i] = survey.Target{Point: p}
	}
	found, err := model.Next(targets, candidates, survey.Variance, places)
	if err != nil {
		return nil, fault.Input(err)
	}
	var out []surveypage.Place
	for _, p := range found {
		why := fmt.Sprintf("%s; %s from the nearest shot or place above; lessens the uncertainty of the whole ground by %.2g %%",
			assess.BetterKnown(p.SD, p.After, u), quantity.FormatDistance(p.Near, u), 100*p.Gain/p.Before)
		out = append(out, surveypage.Place{Point: p.Point, Before: p.SD, After: p.After, Why: why})
	}
	return out, nil
}

func writeSurvey(ctx context.Context, out *outdir.Dir, g *ground.Ground, page surveypage.Survey) error {
	options := plansheet.Options{Paper: page.Paper}
	for _, f := range []struct {
		name string
		fill func(io.Writer) error
	}{
		{"shots.csv", func(w io.Writer) error { return writeShots(w, g) }},
		{"contour-plan.png", func(w io.Writer) error { return plansheet.WritePNG(w, page.Plan, options) }},
		{"contour-plan.pdf", func(w io.Writer) error { return plansheet.WritePDF(w, page.Plan, options) }},
		{"survey.html", func(w io.Writer) error { return surveypage.Write(w, page) }},
	} {
		if err := writeFile(out, f.name, f.fill); err != nil {
			return err
		}
	}
	if page.Book != nil {
		if err := writeFile(out, "booking.txt", page.Book.WriteTable); err != nil {
			return err
		}
	}
	if err := writeGrid(ctx, out, "ground.tif", g.Grid); err != nil {
		return err
	}
	return writeGrid(ctx, out, "error.tif", g.ErrorAt)
}

// writeShots writes the spot heights as a table that assess and drain read,
// in longitude and latitude so that it needs no coordinate system beside it;
// in metres where the grid is one of its own.
func writeShots(w io.Writer, g *ground.Ground) error {
	to := func(p orb.Point) (orb.Point, error) { return p, nil }
	columns, form := "x_m,y_m", "%.3f,%.3f,%.4f,%s,%q\n"
	if g.Grid.CRS != "" {
		var err error
		if to, err = raster.LonLat(g.Grid.CRS); err != nil {
			return err
		}
		columns, form = "lon,lat", "%.9f,%.9f,%.4f,%s,%q\n"
	}
	if _, err := fmt.Fprintln(w, columns+",z_m,error_m,name"); err != nil {
		return err
	}
	for _, shot := range g.Survey.Shots.Shots {
		p, err := to(shot.Point)
		if err != nil {
			return err
		}
		sd := ""
		if shot.Error > 0 {
			sd = fmt.Sprintf("%.4f", shot.Error)
		}
		if _, err := fmt.Fprintf(w, form, p[0], p[1], shot.Z, sd, shot.Name); err != nil {
			return err
		}
	}
	return nil
}

func (c *surveyCommand) report(w io.Writer, g *ground.Ground, page surveypage.Survey) error {
	v, u := g.Survey, page.Plan.Units
	fmt.Fprintf(w, "%s\n%d spot heights, %s to %s; each left out in turn, the surface misses them by %s, root mean square.\n",
		page.Plan.Title, len(v.Shots.Shots), quantity.FormatLevel(lowest(v.Shots.Shots), 0.01, u), quantity.FormatLevel(highest(v.Shots.Shots), 0.01, u),
		quantity.FormatDepth(v.Validation.RMSE, u))
	if v.Blocks != nil {
		fmt.Fprintf(w, "Left out a part of the site at a time, by %s.\n", quantity.FormatDepth(v.Blocks.RMSE, u))
	}
	if page.Book != nil {
		for _, m := range page.Book.Misclosures {
			fmt.Fprintf(w, "Closing %s: off by %s, allowed %s (%s).\n", m.Loop, quantity.FormatDepth(math.Abs(m.Value), u), quantity.FormatDepth(m.Allowable, u), m.Order)
		}
	}
	if len(page.Doubts) > 0 {
		fmt.Fprintln(w, "\nLook again at")
		for _, d := range page.Doubts[:min(5, len(page.Doubts))] {
			fmt.Fprintf(w, "  %s (%s): %s\n", shotWord(v.Shots.Shots[d.Shot], page.Plan), d.Where, d.Reason)
		}
	}
	if len(page.Next) > 0 {
		fmt.Fprintln(w, "\nHold the staff next at")
		for _, p := range page.Next {
			fmt.Fprintln(w, "  "+wrap(fmt.Sprintf("%s: %s", gridPlace(p.Point, page.Plan), p.Why), lineWidth-2, "    "))
		}
	}
	_, err := fmt.Fprintf(w, "\nplan    %s\npage    %s\nshots   %s\n",
		filepath.Join(c.Out, "contour-plan.pdf"), filepath.Join(c.Out, "survey.html"), filepath.Join(c.Out, "shots.csv"))
	return err
}

func shotWord(s survey.Shot, p plansheet.Plan) string {
	if s.Name != "" {
		return s.Name
	}
	return gridPlace(s.Point, p)
}

// gridPlace is a place as the grid of the plan has it.
func gridPlace(at orb.Point, p plansheet.Plan) string {
	unit, _ := p.GridUnit()
	return fmt.Sprintf("E %.1f, N %.1f", at[0]/unit, at[1]/unit)
}

func lowest(shots []survey.Shot) float64 {
	z := math.Inf(1)
	for _, s := range shots {
		z = min(z, s.Z)
	}
	return z
}

func highest(shots []survey.Shot) float64 {
	z := math.Inf(-1)
	for _, s := range shots {
		z = max(z, s.Z)
	}
	return z
}
