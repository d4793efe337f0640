package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/fault"
	"wetfeet/cmd/internal/ground"
	"wetfeet/cmd/internal/site"
	"wetfeet/hydro/weather"
	"wetfeet/terrain/quantity"
	"wetfeet/terrain/raster"

	"github.com/paulmach/orb"
)

// plan is what the arguments ask for: a site file, or files named by flags.
func (c *assessCommand) plan() (assess.Plan, error) {
	switch {
	case c.Site != "" && (c.Ground != "" || c.Trees != "" || c.Species != ""):
		return assess.Plan{}, fmt.Errorf("%w: give either a site file or --ground and --trees, not both", errUsage)
	case c.Site != "" && (c.Cell != "" || c.Error != "" || c.CRS != "" || c.Origin != "" || c.Feet || c.Rain != "" || c.Soil != "" || c.Duration != "" || c.Cover != ""):
		return assess.Plan{}, fmt.Errorf("%w: with a site file, --cell, --error, --crs, --origin, --feet, --rain, --duration, --soil and --cover are keys of the file: ground.cell, ground.vertical_error, crs, origin, units, storm.rain, storm.duration, soil.texture, soil.cover", errUsage)
	case c.Site != "" && !strings.EqualFold(filepath.Ext(c.Site), ".toml"):
		return assess.Plan{}, fmt.Errorf("%w: %s is not a site file (.toml); give elevations with --ground FILE and positions with --trees FILE", errUsage, c.Site)
	case c.Site == "" && (c.Ground == "" || c.Trees == ""):
		return assess.Plan{}, fmt.Errorf("%w: give a site file, or both --ground FILE and --trees FILE", errUsage)
	}
	read := c.flagPlan
	if c.Site != "" {
		read = func() (assess.Plan, error) { return sitePlan(c.Site) }
	}
	p, err := read()
	if err != nil {
		return p, err
	}
	return p, c.oddsFlags.change(&p.Odds)
}

// flagPlan is a plan without a site file. Every default it takes is said.
func (c *assessCommand) flagPlan() (assess.Plan, error) {
	source, sd, err := c.source(c.Ground)
	if err != nil {
		return assess.Plan{}, err
	}
	var missing []error
	for _, name := range []string{c.Ground, c.Trees, c.Species} {
		if name == "" || name == c.Ground && source.DEM != "" { // the raster door says more of its own
			continue
		}
		if _, err := site.Find(".", name); err != nil {
			missing = append(missing, err)
		}
	}
	if len(missing) > 0 {
		return assess.Plan{}, errors.Join(missing...)
	}
	base := filepath.Base(c.Ground)
	p := assess.Plan{
		Name:   strings.TrimSuffix(base, filepath.Ext(base)),
		Ground: source, Error: sd, CRS: source.CRS,
		Positions: c.Trees, Species: c.Species,
		Files: []assess.File{{Role: "ground", Path: c.Ground}, {Role: "positions", Path: c.Trees}},
	}
	if c.Species != "" {
		p.Files = append(p.Files, assess.File{Role: "species", Path: c.Species})
	}
	if c.Feet {
		p.Units, p.Ground.Units = quantity.Feet, quantity.Feet
	}
	if err := c.storm(&p); err != nil {
		return assess.Plan{}, err
	}
	p.Assumed = append(p.Assumed, "There is no site file: the site bears the name of its ground, and the whole ground given is the site.")
	if c.Species == "" {
		p.Assumed = append(p.Assumed, "Tolerances are those of the built-in table of species.")
	}
	return p, nil
}

// storm reads the flags of storm and soil into a plan.
func (c *assessCommand) storm(p *assess.Plan) (err error) {
	if c.Rain != "" {
		if p.Rain.Rain, err = quantity.Rain(c.Rain, p.Units); err != nil {
			return fmt.Errorf("%w: --rain: %w", errUsage, err)
		}
	}
	if c.Duration != "" {
		if p.Rain.Duration, err = quantity.Duration(c.Duration); err != nil {
			return fmt.Errorf("%w: --duration: %w", errUsage, err)
		}
	}
	p.Soil.Cover = c.Cover
	switch rate, notRate := quantity.Rate(c.Soil, p.Units); {
	case c.Soil == "":
	case notRate == nil && !(rate > 0):
		return fmt.Errorf("%w: --soil: found %q; a rate above zero is needed, such as 12 mm/h, or a texture, such as clay loam", errUsage, c.Soil)
	case notRate == nil:
		p.Soil.Measured = rate
	case len(c.Soil) == 1, len(c.Soil) == len("B/D") && c.Soil[1] == '/':
		p.Soil.Group = strings.ToUpper(c.Soil)
	default:
		p.Soil.Texture = c.Soil
	}
	return nil
}

// sitePlan is the plan of a site file.
func sitePlan(path string) (assess.Plan, error) {
	s, err := site.Read(path)
	if err != nil {
		return assess.Plan{}, err
	}
	if err := s.Check(); err != nil {
		return assess.Plan{}, err
	}
	p := assess.Plan{
		Name: s.Name, Invented: s.Invented, Units: s.Units, CRS: s.CRS, Rows: s.Rows,
		Error: s.Ground.VerticalError, Reach: s.Ground.ErrorRange,
		Odds: assess.OddsPlan{Draws: s.Odds.Draws, Seed: s.Odds.Seed, Target: s.Odds.Target, Season: s.Odds.Season, Off: s.Odds.Off},
		Told: s.Told, Learned: s.Learned,
		Ground: ground.Source{
			DEM: s.Ground.DEM.Path, SpotHeights: s.Ground.SpotHeights.Path,
			Lines: s.Ground.Lines.Path, Triangles: s.Ground.Triangles,
			CRS: s.CRS, Cell: s.Ground.Cell, Units: s.Units,
		},
		Positions: s.Trees.Positions.Path,
		Species:   s.Species.Table.Path,
		Season: assess.SeasonPlan{
			File: s.Season.Rain.Path, Growing: s.Season.Growing, RefuseGaps: s.Season.RefuseGaps, ReturnPeriod: s.Season.ReturnPeriod,
		},
		Rain:  weather.Storm{Rain: s.Storm.Rain, Duration: s.Storm.Duration, Shape: s.Storm.Shape},
		Gauge: s.Storm.Gauge.Path, Frequency: s.Storm.Frequency.Path, ReturnPeriod: s.Storm.ReturnPeriod,
		GreenAmpt: s.Soil.GreenAmpt, Tests: s.Soil.Tests, Curve: s.Soil.CurveNumber,
		Links: s.Links, Wells: wells(s), Works: s.Works,
		Conditions: assess.ConditionsPlan{
			Age: s.Trees.Age, Rootstocks: s.Species.Rootstocks,
			Month: s.Storm.Month, Soil: s.Storm.SoilTemperature, Dormant: s.Storm.Dormant, Moving: s.Storm.Moving,
			Rot: s.Soil.RootRot != nil && *s.Soil.RootRot,
		},
	}
	p.Soil = s.Soil.Whole(s.Soil.Known)
	var unread []error
	for _, z := range s.Soil.Zones {
		area, err := readBoundary(z.Area)
		unread = append(unread, err)
		p.Zones = append(p.Zones, assess.Zone{Name: z.Name, Area: area, Soil: s.Soil.Whole(z.Known), Tests: z.Tests, Curve: z.CurveNumber, Rot: s.Soil.Rotten(z.Known)})
	}
	if err := errors.Join(unread...); err != nil {
		return assess.Plan{}, err
	}
	if s.Origin != nil {
		p.CRS = raster.LocalCRS((*s.Origin)[0], (*s.Origin)[1])
		p.Ground.CRS = p.CRS
		p.Assumed = append(p.Assumed, fmt.Sprintf("Coordinates are measured from the origin, x to the east and y to the north; the files for other programs lie where the origin was said to be, %.5f, %.5f.", (*s.Origin)[0], (*s.Origin)[1]))
	}
	if p.Name == "" {
		p.Name = strings.TrimSuffix(s.File.Name, filepath.Ext(s.File.Name))
		p.Assumed = append(p.Assumed, "The site file gives no name: the name of the file was taken.")
	}
	if s.Ground.Boundary.Given() {
		if p.Ground.Boundary, err = readBoundary(s.Ground.Boundary); err != nil {
			return assess.Plan{}, err
		}
	}
	if s.CRS == "" && s.Origin == nil && len(s.Rows) > 0 {
		p.Assumed = append(p.Assumed, "The site file names no coordinate system: rows were taken as longitude and latitude.")
	}
	if !s.Species.Table.Given() {
		p.Assumed = append(p.Assumed, "Tolerances are those of the built-in table of species.")
	}
	for _, later := range s.Ground.Later {
		p.Ground.Later = append(p.Ground.Later, later.Path)
		p.Files = append(p.Files, assess.File{Role: "later survey", Path: later.Path})
	}
	for _, f := range []struct {
		role string
		file site.File
	}{
		{"site file", s.File},
		{"ground", s.Ground.DEM},
		{"spot heights", s.Ground.SpotHeights},
		{"lines", s.Ground.Lines},
		{"boundary", s.Ground.Boundary},
		{"positions", s.Trees.Positions},
		{"species", s.Species.Table},
		{"rain record", s.Season.Rain},
		{"storm", s.Storm.Gauge},
		{"rain frequencies", s.Storm.Frequency},
	} {
		if f.file.Given() {
			p.Files = append(p.Files, assess.File{Role: f.role, Path: f.file.Path})
		}
	}
	for _, z := range s.Soil.Zones {
		p.Files = append(p.Files, assess.File{Role: "soil zone " + z.Name, Path: z.Area.Path})
	}
	return p, nil
}

// wells are all the places where the water table was seen.
func wells(s *site.Site) []assess.Well {
	var all []assess.Well
	if depth := s.Soil.WaterTable; depth != nil {
		all = append(all, assess.Well{Name: "water_table", At: s.Soil.WaterTableAt, Depth: *depth})
	}
	for _, w := range s.Wells {
		all = append(all, assess.Well{Name: w.Name, At: &w.At, Depth: w.Depth, When: w.When})
	}
	return all
}

func readBoundary(f site.File) (orb.MultiPolygon, error) {
	r, err := os.Open(f.Path)
	if err != nil {
		return nil, fault.Input(err)
	}
	defer r.Close()
	return site.ReadBoundary(r, f.Name)
}
