package main

import (
	"fmt"
	"io"
	"path/filepath"
	"text/tabwriter"
	"time"

	"wetfeet/cmd/internal/advise"
	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/fieldsheet"
	"wetfeet/cmd/internal/mapsheet"
	"wetfeet/cmd/internal/outdir"
	"wetfeet/cmd/internal/overlay"
	"wetfeet/cmd/internal/plansheet"
	"wetfeet/cmd/internal/report"
	"wetfeet/cmd/internal/summary"
	"wetfeet/hydro"
	"wetfeet/species"
	"wetfeet/terrain/quantity"
)

type assessCommand struct {
	Site string `arg:"" optional:"" help:"Site file (TOML). Without one, give --ground and --trees."`

	answerFlags `embed:"" set:"out=wetfeet-out"`

	Ground   string `placeholder:"FILE" help:"Elevation raster, or a CSV of spot heights."`
	Trees    string `placeholder:"FILE" help:"Planned positions: CSV (id,x,y,species or id,lon,lat,species; age and rootstock where known) or GeoJSON points."`
	Species  string `placeholder:"FILE" help:"CSV of your own species; adds to or overrides the built-in table."`
	Rain     string `placeholder:"DEPTH" help:"Rain of the storm, such as 150 mm or 6 in."`
	Duration string `placeholder:"TIME" help:"How long it lasts, such as 24 h."`
	Soil     string `placeholder:"WORDS" help:"Texture (sandy loam), hydrologic group (B) or a measured rate (12 mm/h)."`
	Cover    string `placeholder:"WORDS" help:"What grows on the ground, such as \"orchard, grassed, good\"."`
	Feet     bool   `help:"Write the report in feet and inches."`
	Paper    string `placeholder:"SIZE" help:"Paper of the field sheets: A4, Letter or A3. Without it Letter for a site in feet, A4 for others."`

	groundFlags `embed:""`
	oddsFlags   `embed:""`
}

func (c *assessCommand) Run(s *call) error {
	plan, err := c.plan()
	if err != nil {
		return err
	}
	paper := fieldsheet.PaperFor(plan.Units)
	if c.Paper != "" {
		if paper, err = plansheet.ParsePaper(c.Paper); err != nil {
			return fmt.Errorf("%w: --paper: %w", errUsage, err)
		}
	}
	out, err := c.begin(append(groundFiles("grids/"), "grids/storm-depth.tif", "grids/wet-hours.tif", "grids/height-above-water.tif", "grids/water-table-depth.tif", "grids/ponding-probability.tif", "field.pdf", "risk.geojson", "risk.gpkg", "risk.kml", "stakes.csv", "stakes.gpx", "ponds.geojson", "flow-lines.geojson", "map.png", "report.html", "summary.json")...)
	if err != nil {
		return err
	}
	defer out.Abort()

	began := time.Now()
	plan.Odds.Until = s.interrupts.draws
	r, err := assess.Run(s.ctx, plan, s.say.stage)
	if err != nil {
		return err
	}
	var advice *advise.Advice
	if r.Odds != nil {
		s.say.stage("advice")
		if advice, err = advise.Make(s.ctx, r, advise.Options{}); err != nil {
			return err
		}
		advice.Settle(r)
	}
	computed := time.Since(began)
	s.say.stage("write")
	began = time.Now()
	if err := c.write(s, out, r, advice, paper); err != nil {
		return err
	}
	sum := summary.Assessment(r, advice)
	stages := 0.0
	for _, t := range r.Drain.Seconds {
		stages += t.Seconds
	}
	sum.Seconds = summary.Seconds(r.Drain.Seconds,
		hydro.StageTime{Stage: "read_and_trees", Seconds: computed.Seconds() - stages}, hydro.StageTime{Stage: "write", Seconds: time.Since(began).Seconds()})
	if err := writeJSON(out, "summary.json", sum); err != nil {
		return err
	}
	if err := s.finish(out, r.Remarks); err != nil {
		return err
	}
	return c.report(s.stdout, r)
}

// write makes every file of the answer but the summary.
func (c *assessCommand) write(s *call, out *outdir.Dir, r *assess.Result, advice *advise.Advice, paper plansheet.Paper) error {
	if err := writeGrids(s.ctx, out, "grids/", r.Drain); err != nil {
		return err
	}
	if err := writeWater(s.ctx, out, "grids/", r); err != nil {
		return err
	}
	if err := writeShapes(out, r.Drain, r.FillsAt(), r.Sureties()); err != nil {
		return err
	}
	if err := writeFile(out, "risk.geojson", func(w io.Writer) error { return overlay.WriteRisk(w, r) }); err != nil {
		return err
	}
	if err := writeFile(out, "stakes.csv", func(w io.Writer) error { return overlay.WriteStakes(w, r) }); err != nil {
		return err
	}
	if err := writeCarried(s.ctx, out, r, paper); err != nil {
		return err
	}
	png, err := mapsheet.PNG(r)
	if err != nil {
		return err
	}
	if err := s.ctx.Err(); err != nil {
		return err
	}
	if err := writeFile(out, "map.png", func(w io.Writer) error { _, err := w.Write(png); return err }); err != nil {
		return err
	}
	return writeFile(out, "report.html", func(w io.Writer) error { return report.Write(w, r, advice, png) })
}

// report prints the short answer: the flagged trees, the worst first, and the
// things to do first.
func (c *assessCommand) report(w io.Writer, r *assess.Result) error {
	fmt.Fprintf(w, "%s\n%s\n", r.Title(), wrap(r.Lead(), lineWidth, ""))
	fmt.Fprintln(w, wrap(r.Storm.Words(r.Units), lineWidth, ""))
	if r.Survey != nil {
		fmt.Fprintln(w, wrap(r.Survey.Words(r.Units), lineWidth, ""))
	}
	if err := flagged(w, r); err != nil {
		return err
	}
	fmt.Fprintln(w, "\nDo first")
	for i, what := range r.First() {
		fmt.Fprintln(w, wrap(fmt.Sprintf("%d. %s", i+1, what), lineWidth, "   "))
	}
	_, err := fmt.Fprintf(w, "\nmap     %s\npage    %s\nstakes  %s\nfield   %s\n",
		filepath.Join(c.Out, "map.png"), filepath.Join(c.Out, "report.html"), filepath.Join(c.Out, "stakes.csv"), filepath.Join(c.Out, "field.pdf"))
	return err
}

// mostRows is how many flagged trees the terminal lists; the files have all.
const mostRows = 15

// flagged prints the flagged trees, those at the severest risk first.
func flagged(w io.Writer, r *assess.Result) error {
	if r.Flagged() == 0 {
		return nil
	}
	fmt.Fprintln(w)
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	lost := ""
	if r.Odds != nil {
		lost = "LOST\t"
	}
	fmt.Fprintf(t, "RISK\t%sSTAKE\tALONG ROW\tPLANT\tDEEPEST\tROOTS WET\tDO\n", lost)
	shown := 0
	for _, risk := range []species.Risk{species.Severe, species.High} {
		for i := range r.Trees {
			if tree := &r.Trees[i]; tree.Flagged && tree.Risk == risk && shown < mostRows {
				shown++
				flaggedRow(t, r, tree)
			}
		}
	}
	if err := t.Flush(); err != nil {
		return err
	}
	if more := r.Flagged() - shown; more > 0 {
		fmt.Fprintf(w, "and %d more in stakes.csv\n", more)
	}
	return nil
}

func flaggedRow(t io.Writer, r *assess.Result, tree *assess.Tree) {
	along := ""
	if tree.Row != "" {
		along = quantity.FormatLength(tree.Along, r.Units)
	}
	water := "none"
	if tree.StormDepth > 0 {
		water = quantity.FormatDepth(tree.StormDepth, r.Units)
	}
	lost, wet := "", rootsWet(tree)
	if r.Odds != nil {
		lost = "\t"
	}
	if tree.Draws != nil {
		water, wet = assess.DepthSpan(tree.Depths, r.Units), assess.HoursSpan(tree.Hours)
		lost = species.Tenths(tree.Odds) + "\t"
	}
	fmt.Fprintf(t, "%s\t%s%s\t%s\t%s\t%s\t%s\t%s\n", tree.Risk, lost, tree.ID, along, tree.Entry.Name(), water, wet, r.Do(tree))
}

// rootsWet is how long the roots of a tree are wet: after the storm, or longer
// than that in the median year.
func rootsWet(t *assess.Tree) string {
	if hours := 24 * t.LongestWetDays; hours > t.WetHours {
		return assess.Spell(hours) + ", usual year"
	}
	return assess.Spell(t.WetHours)
}
