package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"text/tabwriter"
	"time"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/fault"
	"wetfeet/cmd/internal/logbook"
	"wetfeet/cmd/internal/site"
	"wetfeet/cmd/internal/wording"
	"wetfeet/terrain/quantity"
	"wetfeet/terrain/raster"

	"github.com/paulmach/orb"
)

type logCommand struct {
	Site string `arg:"" help:"Site file (TOML)."`
	Book string `placeholder:"FILE" help:"The observation book (GeoPackage); without this it lies beside the site file and is named after it."`

	Tree       string `placeholder:"ID" group:"What was seen" help:"The planned tree, such as E-10."`
	At         string `placeholder:"X,Y" group:"What was seen" help:"A place instead of a tree, in the coordinates of the site: feet where it was taped in feet from a peg."`
	Date       string `placeholder:"DAY" group:"What was seen" help:"When you were there: 2026-03-02, or \"2026-03-02 15:30\"."`
	Depth      string `placeholder:"DEPTH" group:"What was seen" help:"Depth of the standing water, such as 12 cm; 0 for none."`
	LastWet    string `placeholder:"DAY" group:"What was seen" help:"When water was last seen there."`
	DriedOut   string `placeholder:"DAY" group:"What was seen" help:"When it was first seen gone."`
	AugerDepth string `placeholder:"DEPTH" group:"What was seen" help:"Depth to the water in an auger hole, below the ground."`
	Health     string `placeholder:"WORD" group:"What was seen" help:"How the tree does: thriving, stressed, dying or dead."`
	RainEnded  string `placeholder:"DAY" group:"What was seen" help:"When the rain of the storm ended; the last storm in the book without this."`
	Rain       string `placeholder:"DEPTH" group:"What was seen" help:"How much rain it was, such as 82 mm."`
	Duration   string `placeholder:"TIME" group:"What was seen" help:"How long it rained, such as 12 h."`
	Photo      string `placeholder:"NAME" group:"What was seen" help:"Name of a photo file."`
	Note       string `placeholder:"TEXT" group:"What was seen" help:"Anything else, on one line."`

	List     bool   `group:"The whole book" help:"Show what the book holds."`
	Import   string `placeholder:"FILE" group:"The whole book" help:"Add a table of observations (CSV)."`
	Export   string `placeholder:"FILE" group:"The whole book" help:"Write the book as a table (CSV); - writes it to the terminal."`
	Template bool   `group:"The whole book" help:"Print an empty table to fill in."`
}

// bookOf is where the observations of a site are kept, unless someone says
// otherwise: beside the site file.
func bookOf(site string) string {
	return strings.TrimSuffix(site, filepath.Ext(site)) + "-observations.gpkg"
}

func (c *logCommand) Run(s *call) error {
	jobs := 0
	for _, asked := range []bool{c.List, c.Import != "", c.Export != "", c.Template, c.says()} {
		if asked {
			jobs++
		}
	}
	if jobs != 1 {
		return fmt.Errorf("%w: give what was seen (--tree E-10 --date 2026-03-02 --depth \"12 cm\"), or one of --list, --import, --export and --template", errUsage)
	}
	if c.Template {
		return logbook.WriteTemplate(s.stdout)
	}
	plan, err := sitePlan(c.Site)
	if err != nil {
		return err
	}
	if c.Book == "" {
		c.Book = bookOf(c.Site)
	}
	switch {
	case c.List:
		return c.list(s, plan)
	case c.Export != "":
		return c.export(s)
	}
	return c.add(s, plan)
}

// says reports whether the flags tell of an observation.
func (c *logCommand) says() bool {
	return c.Tree+c.At+c.Date+c.Depth+c.LastWet+c.DriedOut+c.AugerDepth+c.Health+c.RainEnded+c.Rain+c.Duration+c.Photo+c.Note != ""
}

// add puts what was seen into the book, from the flags or a table.
func (c *logCommand) add(s *call, plan assess.Plan) error {
	s.say.stage("read")
	places, err := assess.Locate(s.ctx, plan)
	if err != nil {
		return err
	}
	defer places.Close()
	where := bookSite(plan.Name, places)
	held, err := logbook.Read(s.ctx, c.Book)
	if err != nil {
		return err
	}
	var all []logbook.Observation
	var remarks []string
	if c.Import != "" {
		if all, err = readTable(c.Import, where); err != nil {
			return err
		}
	} else {
		o, err := c.observation(plan, places)
		if err != nil {
			return err
		}
		if said := o.Complete(held, plan.Units); said != "" {
			remarks = append(remarks, said)
		}
		if err := whole(o, where); err != nil {
			if c.At != "" {
				err = fmt.Errorf("at %s: %w", c.At, err)
			}
			return err
		}
		all = []logbook.Observation{*o}
	}
	now := time.Now()
	for i := range all {
		for _, remark := range all[i].Remarks(now) {
			if len(all) > 1 {
				remark = all[i].Seen.String() + ", " + all[i].Where() + ": " + remark
			}
			remarks = append(remarks, remark)
		}
	}
	s.say.stage("write")
	added, err := logbook.Add(s.ctx, c.Book, all, now)
	if err != nil {
		return err
	}
	s.say.end()
	s.note(remarks...)
	if known := len(all) - added; known > 0 {
		s.note(fmt.Sprintf("the book holds %d of these already, and does not count them twice", known))
	}
	_, err = fmt.Fprintf(s.stdout, "%s added to %s, which now holds %d\n", wording.Count(added, "observation"), c.Book, len(held)+added)
	return err
}

// bookSite is a site as the book is held against it.
func bookSite(name string, places *assess.Places) *logbook.Site {
	ids := slices.Sorted(maps.Keys(places.Trees))
	return &logbook.Site{
		Name: name, Trees: places.Trees, Inside: places.Known,
		Nearest: func(id string) string { return site.Nearest(id, ids) },
	}
}

// whole is what is wrong with an observation.
func whole(o *logbook.Observation, where *logbook.Site) error {
	bad := o.Check()
	if len(bad) == 0 {
		bad = where.Place(o)
	}
	return fault.Input(errors.Join(bad...))
}

// observation is what the flags tell.
func (c *logCommand) observation(plan assess.Plan, places *assess.Places) (*logbook.Observation, error) {
	o := &logbook.Observation{Tree: c.Tree, Photo: c.Photo, Note: c.Note}
	var bad []error
	flag := func(name, value string, read func() error) {
		if value == "" {
			return
		}
		if err := read(); err != nil {
			bad = append(bad, fmt.Errorf("--%s: %w", name, err))
		}
	}
	day := func(name, value string, to *logbook.When) {
		flag(name, value, func() (err error) {
			*to, err = logbook.ParseWhen(value)
			return err
		})
	}
	day("date", c.Date, &o.Seen)
	day("last-wet", c.LastWet, &o.LastWet)
	day("dried-out", c.DriedOut, &o.DriedOut)
	day("rain-ended", c.RainEnded, &o.Storm.Ended)
	length := func(name, value string, to **float64) {
		flag(name, value, func() error {
			v, err := quantity.Length(value, plan.Units)
			*to = &v
			return err
		})
	}
	length("depth", c.Depth, &o.Depth)
	length("auger-depth", c.AugerDepth, &o.WaterTable)
	flag("health", c.Health, func() (err error) {
		o.Health, err = logbook.ParseHealth(c.Health)
		return err
	})
	flag("rain", c.Rain, func() (err error) {
		o.Storm.Rain, err = quantity.Rain(c.Rain, plan.Units)
		return err
	})
	flag("duration", c.Duration, func() error {
		d, err := quantity.Duration(c.Duration)
		o.Storm.Hours = d.Hours()
		return err
	})
	flag("at", c.At, func() error {
		at, err := parsePair(c.At)
		if err != nil {
			return err
		}
		if plan.TapedInFeet() {
			foot := quantity.Feet.Metres()
			at = orb.Point{at[0] * foot, at[1] * foot}
		}
		points := []orb.Point{at}
		if err := assess.Move(places.System, raster.LonLatCRS, points); err != nil {
			return err
		}
		o.At = &points[0]
		return nil
	})
	if c.Tree != "" && c.At != "" {
		bad = append(bad, errors.New("give --tree or --at, not both: a tree has its place"))
	}
	if len(bad) > 0 {
		return nil, fmt.Errorf("%w: %w", errUsage, errors.Join(bad...))
	}
	if o.Seen.IsZero() { // the last day that is told of
		o.Seen = o.DriedOut
		if o.LastWet.Compare(o.Seen) > 0 {
			o.Seen = o.LastWet
		}
	}
	return o, nil
}

// parsePair reads two numbers with a comma between.
func parsePair(s string) (orb.Point, error) {
	x, y, _ := strings.Cut(s, ",")
	a, errX := strconv.ParseFloat(strings.TrimSpace(x), 64)
	b, errY := strconv.ParseFloat(strings.TrimSpace(y), 64)
	if errX != nil || errY != nil {
		return orb.Point{}, fmt.Errorf("found %q; two numbers are needed, x,y", s)
	}
	return orb.Point{a, b}, nil
}

// readTable reads a table of observations.
func readTable(path string, where *logbook.Site) ([]logbook.Observation, error) {
	file, err := site.Find(".", path)
	if err != nil {
		return nil, err
	}
	f, err := os.Open(file.Path)
	if err != nil {
		return nil, fault.Input(err)
	}
	defer f.Close()
	return logbook.ReadCSV(f, file.Name, where)
}

// observations are what a book holds; that there are none is an error.
func observations(ctx context.Context, book string) ([]logbook.Observation, error) {
	all, err := logbook.Read(ctx, book)
	if err == nil && len(all) == 0 {
		err = fault.Input(fmt.Errorf("%s holds no observations yet; wetfeet log SITE --tree E-10 --date 2026-03-02 --depth \"12 cm\" --rain-ended 2026-03-01 adds one", book))
	}
	return all, err
}

// list shows the book.
func (c *logCommand) list(s *call, plan assess.Plan) error {
	all, err := observations(s.ctx, c.Book)
	if err != nil {
		return err
	}
	t := tabwriter.NewWriter(s.stdout, 0, 0, 2, ' ', 0)
	fmt.Fprintln(t, "NO.\tDAY\tWHERE\tRAIN\tWHAT WAS SEEN")
	for i := range all {
		o := &all[i]
		fmt.Fprintf(t, "%d\t%s\t%s\t%s\t%s\n", o.ID, o.Seen, o.Where(), o.Storm.Words(plan.Units), o.What(plan.Units))
	}
	return t.Flush()
}

// export writes the book as a table.
func (c *logCommand) export(s *call) error {
	all, err := observations(s.ctx, c.Book)
	if err != nil {
		return err
	}
	if c.Export == "-" {
		return logbook.WriteCSV(s.stdout, all)
	}
	var b bytes.Buffer
	if err := logbook.WriteCSV(&b, all); err != nil {
		return err
	}
	return writeNew(c.Export, b.Bytes())
}
