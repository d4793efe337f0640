package assess

import (
	"context"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"wetfeet/cmd/internal/fault"
	"wetfeet/cmd/internal/ground"
	"wetfeet/cmd/internal/planting"
	"wetfeet/hydro/weather"
	"wetfeet/species"
	"wetfeet/terrain"
	"wetfeet/terrain/quantity"
	"wetfeet/terrain/raster"

	"github.com/paulmach/orb"
)

// Run assesses a plan. Stages are told to progress, which may be nil.
//
// Files are read and names looked up before anything long is computed, so
// that a misspelt species is told at once. Every mistake of the plan that can
// be found is found before it returns.
func Run(ctx context.Context, p Plan, progress func(stage string)) (*Result, error) {
	if progress == nil {
		progress = func(string) {}
	}
	progress("read")
	inputs, err := Inputs(p.Files...)
	if err != nil {
		return nil, err
	}
	table, err := speciesTable(p.Species)
	if err != nil {
		return nil, err
	}
	if table, err = p.learnedTable(table); err != nil {
		return nil, err
	}
	given, err := p.given()
	if err != nil {
		return nil, err
	}
	p.Ground.Error = p.Error
	g, err := ground.Load(ctx, p.Ground)
	if err != nil {
		return nil, err
	}
	r := &Result{
		Name: p.Name, Invented: p.Invented, Units: p.Units, Inputs: inputs,
		Assumptions: slices.Concat(p.Assumed, g.Assumed), Remarks: g.Remarks, Survey: NoteSurvey(g.Survey),
	}
	if r.ToLonLat, err = raster.LonLat(g.Grid.CRS); err != nil {
		return nil, err
	}
	if err := r.lay(p, g.Grid.Frame); err != nil {
		return nil, err
	}
	if err := errors.Join(r.change(p, g.Grid.CRS), r.lookUp(table), r.lookUpRootstocks(p, table)); err != nil {
		return nil, err
	}
	on := &basis{ground: g, table: table}
	if err := r.drainOver(ctx, p, on, progress); err != nil {
		return nil, err
	}
	if err := r.finish(ctx, p, given, on, progress); err != nil {
		return nil, err
	}
	return r, nil
}

// finish is all that comes after the ground and the planting are known.
func (r *Result) finish(ctx context.Context, p Plan, given given, on *basis, progress func(stage string)) error {
	r.basis = on
	rain, soils := given.rain, given.soils
	progress("storm")
	r.Assumptions = append(r.Assumptions, given.assumed...)
	r.tellWorks()
	r.tellLearned(p)
	zone, errZone := p.zones(r.Drain.Ground.Frame)
	links, ditches, errLinks := r.lead(p)
	if err := errors.Join(errZone, errLinks); err != nil {
		return err
	}
	if err := r.fitTable(p, &soils[0], ditches); err != nil {
		return err
	}
	if err := r.runStorm(ctx, rain, soils, zone, links, ditches); err != nil {
		return err
	}
	if err := r.place(on.ground.ErrorAt); err != nil {
		return err
	}
	if err := r.nextReadings(on.ground.Survey); err != nil {
		return err
	}
	progress("odds")
	if err := r.runOdds(ctx, p, on.ground, given, progress); err != nil {
		return err
	}
	progress("season")
	if err := r.runSeason(ctx, p, given.record, progress); err != nil {
		return err
	}
	progress("trees")
	r.settleConditions(p, given.record)
	r.judge()
	r.tellConditions(p)
	if r.Survey != nil {
		r.Assumptions = append(r.Assumptions, r.Survey.Words(r.Units))
	}
	r.Assumptions = slices.Concat(r.Assumptions, AssumedOfGround(r.Drain, on.ground.Survey != nil, r.Units), []string{notSeen(p.Links)})
	r.Sources = on.table.Sources(r.Species...)
	on.plan, on.links, on.ditches = p, links, ditches
	return nil
}

// given is what the plan says of rain, soil and weather, read.
type given struct {
	rain    *Rain
	soils   []Soil
	assumed []string
	record  *weather.Record
}

func (p Plan) given() (given, error) {
	rain, errRain := p.rain()
	soils, assumed, errSoil := p.soils()
	record, errRecord := p.record()
	return given{rain, soils, assumed, record}, errors.Join(errRain, errSoil, errRecord, p.checkOdds())
}

// NoteSurvey is what a reader should know of a survey, nil of none.
func NoteSurvey(s *ground.Survey) *SurveyNote {
	if s == nil {
		return nil
	}
	n := &SurveyNote{Shots: len(s.Shots.Shots), Model: s.Model, LooRMSE: s.Validation.RMSE}
	if s.Correction != nil {
		n.Raster, n.Shots = true, len(s.Correction.Used)
	}
	for _, shot := range s.Shots.Shots {
		n.Points = append(n.Points, shot.Point)
	}
	return n
}

func speciesTable(own string) (*species.Table, error) {
	if own == "" {
		return species.BuiltIn(), nil
	}
	f, err := os.Open(own)
	if err != nil {
		return nil, fault.Input(err)
	}
	defer f.Close()
	t, err := species.BuiltIn().With(f, filepath.Base(own))
	return t, fault.Input(err)
}

// lay sets out rows and single positions in the system of the ground.
func (r *Result) lay(p Plan, f terrain.Frame) error {
	crs := p.system()
	var all []planting.Position
	for _, row := range p.Rows {
		line := slices.Clone(row.Line)
		if err := move(crs, f.CRS, line); err != nil {
			return fmt.Errorf("row %q: %w", row.Name, err)
		}
		row.Line = line
		places, err := planting.Lay(row)
		if err != nil {
			return err
		}
		kept := Row{Name: row.Name, Line: line, Length: planting.Length(line), Spacing: row.Spacing, Gaps: row.Gaps}
		for range places {
			kept.Trees = append(kept.Trees, len(all)+len(kept.Trees))
		}
		all = append(all, places...)
		r.Rows = append(r.Rows, kept)
	}
	if p.Positions != "" {
		single, remarks, err := r.readPositions(p.Positions, crs, f.CRS)
		if err != nil {
			return err
		}
		r.Remarks = append(r.Remarks, remarks...)
		all = append(all, single...)
	}
	if len(all) == 0 {
		return fault.Input(errors.New("no trees are planned: give a [[row]] with a line, a spacing and a pattern, or a file of positions"))
	}
	if err := planting.CheckIDs(all); err != nil {
		return err
	}
	if err := somewhere(all, f); err != nil {
		return err
	}
	lonLat := make([]orb.Point, len(all))
	for i := range all {
		lonLat[i] = all[i].Point
	}
	if err := move(f.CRS, raster.LonLatCRS, lonLat); err != nil {
		return err
	}
	r.Trees = make([]Tree, len(all))
	for i := range all {
		r.Trees[i] = Tree{Position: all[i], LonLat: lonLat[i]}
		for _, age := range []*float64{p.Conditions.Age, all[i].Age} {
			if age != nil {
				r.Trees[i].Years = *age
			}
		}
	}
	return nil
}

// somewhere makes sure that a tree at least lies on the frame of the ground.
func somewhere(all []planting.Position, f terrain.Frame) error {
	points := make(orb.MultiPoint, len(all))
	for i := range all {
		points[i] = all[i].Point
		if _, _, on := f.Locate(points[i]); on {
			return nil
		}
	}
	trees, ground := points.Bound(), f.Bound()
	say := func(b orb.Bound) string {
		return fmt.Sprintf("E %.0f to %.0f, N %.0f to %.0f", b.Min[0], b.Max[0], b.Min[1], b.Max[1])
	}
	hint := "is the coordinate system of the positions right?"
	if strings.HasPrefix(f.CRS, "+proj=") {
		hint = "are all places measured from the same peg? Columns of feet are headed so, as x_ft"
	} else if d := trees.Max; trees.Min[0] >= -180 && d[0] <= 180 && trees.Min[1] >= -90 && d[1] <= 90 {
		hint = "degrees belong in columns named lon and lat"
	}
	crs := f.CRS
	if strings.HasPrefix(crs, "+proj=") { // of an origin, that of the places of a site file
		crs = "metres from the origin"
	} else if info, err := raster.Describe(crs); err == nil {
		crs = info.Name
	}
	return fault.Input(fmt.Errorf("no planned tree lies on the ground: in %s the trees are at %s and the ground at %s; %s", crs, say(trees), say(ground), hint))
}

// move brings points from one system to another, in place. A point that has
// no place there is the fault of the input.
func move(from, to string, points []orb.Point) error {
	if from == to {
		return nil
	}
	t, err := raster.NewTransform(from, to)
	if err != nil {
		return fault.Input(err)
	}
	defer t.Close()
	return fault.Input(t.Points(points))
}

// readPositions reads single positions and brings them to the ground's system.
func (r *Result) readPositions(path, crs, to string) ([]planting.Position, []string, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, nil, fault.Input(err)
	}
	defer f.Close()
	read := planting.ReadCSV
	if ext := strings.ToLower(filepath.Ext(path)); ext == ".geojson" || ext == ".json" {
		read = planting.ReadGeoJSON
	}
	name := filepath.Base(path)
	t, err := read(f, name)
	if err != nil {
		return nil, nil, err
	}
	from := crs
	if t.LonLat {
		from = raster.LonLatCRS
	} else if crs == raster.LonLatCRS {
		from = to
		r.Assumptions = append(r.Assumptions, name+": no coordinate system was named, so x and y were taken to be in the system of the ground.")
	}
	unit := 1.0 // of the coordinates, in units of their system
	if t.Metres {
		info, err := raster.Describe(from)
		if err != nil {
			return nil, nil, fault.Input(err)
		}
		unit = info.Unit
	}
	points := make([]orb.Point, len(t.Positions))
	for i := range points {
		p := t.Positions[i].Point
		points[i] = orb.Point{p[0] / unit, p[1] / unit}
	}
	if err := move(from, to, points); err != nil {
		return nil, nil, fmt.Errorf("%s: %w", name, err)
	}
	for i := range points {
		t.Positions[i].Point = points[i]
	}
	return t.Positions, t.Remarks, nil
}

// lookUp finds the species of every position. Each name that is not known is
// told once, with the first tree that bears it.
func (r *Result) lookUp(table *species.Table) error {
	found := make(map[string]*species.Entry)
	var bad []error
	for i := range r.Trees {
		t := &r.Trees[i]
		name := t.Position.Species
		e, seen := found[name]
		if !seen {
			var err error
			if e, err = table.Find(name); err != nil {
				if _, unknown := errors.AsType[*species.UnknownError](err); unknown {
					err = fmt.Errorf("%w; the built-in table can be added to with a CSV of your own (--species FILE, or table in [species] of the site file)", err)
				}
				bad = append(bad, fmt.Errorf("tree %s: %w", t.ID, err))
			} else if !names(e, name) {
				r.Remarks = append(r.Remarks, fmt.Sprintf("%q was read as %s (%s).", name, CommonName(e), e.Scientific))
			}
			found[name] = e
		}
		t.Entry = e
	}
	if len(bad) > 0 {
		return fault.Input(errors.Join(bad...))
	}
	for _, e := range found {
		if !slices.Contains(r.Species, e) {
			r.Species = append(r.Species, e)
		}
	}
	slices.SortFunc(r.Species, func(a, b *species.Entry) int { return strings.Compare(a.Scientific, b.Scientific) })
	return nil
}

// names reports whether a species is called so, but for capitals.
func names(e *species.Entry, name string) bool {
	name = strings.Join(strings.Fields(name), " ")
	is := func(known string) bool { return strings.EqualFold(known, name) }
	return is(e.Scientific) || slices.ContainsFunc(e.Common, is) || slices.ContainsFunc(e.Synonyms, is)
}

// place reads off the ground and the storm what each tree stands in.
func (r *Result) place(errorAt *terrain.Grid[float32]) error {
	var wet []float32
	var on []int
	for i := range r.Trees {
		t := &r.Trees[i]
		if cell, known := r.spot(t, errorAt); known {
			wet = append(wet, r.Drain.Wetness.Cells[cell])
			on = append(on, i)
		}
	}
	if len(on) == 0 {
		return fault.Input(errors.New("every planned tree lies on a gap of the ground, where no elevation is known"))
	}
	for k, p := range percentiles(r.Drain.Wetness, wet) {
		r.Trees[on[k]].WetnessPercentile = p
	}
	return nil
}

// spot reads off the ground and the storm what a tree stands in: all but the
// rank of its wetness and the years. It returns its cell, and whether it lies
// on known ground.
func (r *Result) spot(t *Tree, errorAt *terrain.Grid[float32]) (cell int, known bool) {
	d := r.Drain
	t.Ponding, t.Depths, t.Hours, t.Usual, t.Rare = math.NaN(), unknown, unknown, unknown, unknown
	row, col, inside := d.Ground.Locate(t.Point)
	if !inside || terrain.IsVoid(d.Ground.At(row, col)) {
		t.Why = "This position is off the known ground, so nothing can be said of it."
		return 0, false
	}
	k := d.Ground.Index(row, col)
	t.OnGround, t.cell = true, k
	t.Ground = float64(d.Ground.Cells[k])
	t.Spot = species.Spot{
		BrimDepth:    max(0, float64(d.Filled.Cells[k])-t.Ground-t.Built),
		Error:        d.Error,
		WetnessIndex: float64(d.Wetness.Cells[k]),
	}
	if errorAt != nil {
		t.Error = float64(errorAt.Cells[k])
	}
	if outer := d.Hollows.Outer[k]; outer > 0 {
		t.Pond, t.InHollow = d.Hollows.All[outer-1].ID, true
	}
	t.StormDepth, t.WetHours = r.Storm.standing(k, t.Built)
	t.HeightAboveWater = float64(r.Storm.Height.Cells[k]) + t.Built
	t.LongestWetDays, t.WaterTable = math.NaN(), r.WaterTable.depth(k)+t.Built
	return k, true
}

// judge says what each spot means for the species planned there.
func (r *Result) judge() {
	for i := range r.Trees {
		if t := &r.Trees[i]; t.OnGround {
			r.lengthen(t)
			t.Verdict = r.Weigh(i, t.Entry)
		}
	}
}

// Weigh says what the spot of a tree means for a species, whatever is planned
// there. The tree lies on known ground.
func (r *Result) Weigh(tree int, e *species.Entry) species.Verdict {
	t := &r.Trees[tree]
	o := species.JudgeOptions{
		Planned: r.Species,
		Length:  func(m float64) string { return quantity.FormatDepth(m, r.Units) },
		WetHoursAt: func(mound float64) (depth, hours float64) {
			// A mound is as high as it is above ground that is known to
			// its error, so only what stands out of that counts.
			return r.Storm.standing(t.cell, t.Built+max(0, mound-2*t.Error))
		},
		Trial:      t.Tried,
		Conditions: r.conditions(t, e, false),
		Other:      func(other *species.Entry) species.Conditions { return r.conditions(t, other, true) },
		Degrees:    func(c float64) string { return quantity.FormatTemperature(c, r.Units) },
	}
	if r.Odds != nil {
		o.Odds, o.Target = t.Draws, r.Odds.Target
	}
	v := r.basis.table.JudgeWith(t.Spot, e, o)
	if v.Mound > 0 {
		v.Mound += t.Built // above the ground as it lies
	}
	return v
}
