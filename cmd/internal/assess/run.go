package assess

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"slices"

	"wetfeet/cmd/internal/fault"
	"wetfeet/cmd/internal/ground"
	"wetfeet/hydro/weather"
	"wetfeet/species"
	"wetfeet/terrain/raster"
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
	r.Links, _ = r.laid(p) // what it misses, lead has told
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
