package main

import (
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"text/tabwriter"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/logbook"
	"wetfeet/cmd/internal/site"
	"wetfeet/cmd/internal/wording"
	"wetfeet/terrain/quantity"

	"github.com/paulmach/orb"
)

type learnCommand struct {
	Site  string `arg:"" help:"Site file (TOML)."`
	Book  string `placeholder:"FILE" help:"The observation book (GeoPackage); without this it lies beside the site file and is named after it."`
	Apply string `placeholder:"FILE" help:"Write a new site file with what was learned, beside the old one."`
	Draws int    `placeholder:"N" help:"Equally likely sites that are made at a time; 200 without this."`
	Seed  uint64 `placeholder:"S" help:"Seed of the draws."`
}

func (c *learnCommand) Run(s *call) error {
	if c.Draws != 0 && (c.Draws < leastDraws || c.Draws > mostDraws || c.Draws%2 != 0) {
		return fmt.Errorf("%w: --draws: found %d; an even number from %d to %d is needed", errUsage, c.Draws, leastDraws, mostDraws)
	}
	plan, err := sitePlan(c.Site)
	if err != nil {
		return err
	}
	if c.Apply, err = besideSite(c.Site, c.Apply); err != nil {
		return err
	}
	if c.Book == "" {
		c.Book = bookOf(c.Site)
		if b := plan.Learned.Book; b != "" {
			c.Book = filepath.Join(filepath.Dir(c.Site), b)
		}
	}
	s.say.stage("read")
	seen, err := observations(s.ctx, c.Book)
	if err != nil {
		return err
	}
	r, l, err := assess.Learn(s.ctx, plan, seen, assess.LearnOptions{Draws: c.Draws, Seed: c.Seed}, s.say.stage)
	if err != nil {
		return err
	}
	if c.Apply != "" {
		s.say.stage("write")
		text, err := c.applied(r, l)
		if err != nil {
			return err
		}
		if err := writeSite(c.Apply, text, nil); err != nil {
			return err
		}
	}
	s.say.end()
	if plan.Learned.Given() {
		s.note("what the site file had learned before was left out: the whole book was read again, and counts once")
	}
	s.note(l.Remarks...)
	return c.report(s.stdout, r, l, seen)
}

// report shows what was thought before and is thought after.
func (c *learnCommand) report(w io.Writer, r *assess.Result, l *assess.Learned, seen []logbook.Observation) error {
	u := r.Units
	fmt.Fprintf(w, "%s: %s, %d of them used\n\n", r.Name, wording.Count(len(seen), "observation"), len(l.Used))
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(t, "\tBEFORE\t\tAFTER\t")
	fmt.Fprintln(t, "\tlikeliest\t8 times in 10\tlikeliest\t8 times in 10")
	line := func(what string, before, after assess.Interval, say func(float64) string) {
		span := func(i assess.Interval) string { return say(i.Low) + " to " + say(i.High) }
		fmt.Fprintf(t, "%s\t%s\t%s\t%s\t%s\n", what, say(before.Likely), span(before), say(after.Likely), span(after))
	}
	line("standing water soaks in at", l.Soaking[0], l.Soaking[1], func(v float64) string { return quantity.FormatRate(v, u) })
	for _, tree := range l.Trees {
		line("hours wet at "+tree.ID, tree.Before, tree.After, assess.Spell)
	}
	if !math.IsNaN(l.Table[0].Likely) {
		line("water table deeper by", l.Table[0], l.Table[1], func(v float64) string { return signed(v, u) })
	}
	for _, well := range l.Wells {
		say := func(v float64) string { return quantity.FormatDepth(max(v, 0), u) }
		fmt.Fprintf(t, "water table below the ground at %s\tnot known\t\t%s\t%s to %s\n", well.Where, say(well.Depth.Likely), say(well.Depth.Low), say(well.Depth.High))
	}
	if !math.IsNaN(l.Datum[0].Likely) {
		line("all ground higher, against the levels of pipes, by", l.Datum[0], l.Datum[1], func(v float64) string { return signed(v, u) })
	}
	if !math.IsNaN(l.Staff[0].Likely) {
		line("all depths of water read too large by", l.Staff[0], l.Staff[1], func(v float64) string { return signed(v, u) })
	}
	for _, g := range l.Ground {
		if g.Shot.SD > 0 {
			middle := g.Before.Likely
			relative := func(i assess.Interval) assess.Interval {
				return assess.Interval{Low: i.Low - middle, Likely: i.Likely - middle, High: i.High - middle}
			}
			line("ground at "+g.Where+" higher by", relative(g.Before), relative(g.After), func(v float64) string { return signed(v, u) })
		}
	}
	for _, s := range l.Species {
		line(s.Entry.Name()+" bears, times the table", s.Before, s.After, func(v float64) string { return fmt.Sprintf("%.2g", v) })
	}
	if err := t.Flush(); err != nil {
		return err
	}
	fmt.Fprintf(w, "\nHours wet are those in and after the storm of the site file, %s in %.4g hours.\n", quantity.FormatRain(r.Storm.Rain, u), r.Storm.Duration.Hours())
	if len(l.Next) > 0 && l.Next[0].Left < 0.97 {
		fmt.Fprintln(w, "\nLook at next, after such a storm")
		for i, n := range l.Next[:min(3, len(l.Next))] {
			fmt.Fprintf(w, "%d. %s: about %.0f %% of the doubt in hours wet would be left\n", i+1, n.What, 100*n.Left)
		}
	}
	if c.Apply != "" {
		_, err := fmt.Fprintf(w, "\nsite  %s\n", c.Apply)
		return err
	}
	return nil
}

// signed writes a length with its sign.
func signed(v float64, u quantity.Units) string {
	s := quantity.FormatDepth(math.Abs(v), u)
	if v < 0 {
		return "−" + s
	}
	return s
}

// applied is the text of the site file with what was learned in it.
func (c *learnCommand) applied(r *assess.Result, l *assess.Learned) ([]byte, error) {
	text, err := os.ReadFile(c.Site)
	if err != nil {
		return nil, err
	}
	learned := l.Plan.Learned
	learned.Book = filepath.Base(c.Book)
	var points []orb.Point
	for _, g := range l.Ground {
		if g.Shot.SD > 0 {
			points = append(points, g.Shot.Point)
			learned.Ground = append(learned.Ground, site.LearnedGround{Z: g.Shot.Z, Error: g.Shot.SD})
		}
	}
	if err := assess.Move(r.Drain.Ground.CRS, r.SiteCRS(), points); err != nil {
		return nil, err
	}
	for i := range points {
		learned.Ground[i].At = points[i]
	}
	unit := 1.0
	if l.Plan.TapedInFeet() {
		unit = quantity.Feet.Metres()
	}
	return site.WithLearned(text, learned, unit), nil
}
