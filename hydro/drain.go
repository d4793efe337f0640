package hydro

import (
	"context"
	"errors"
	"fmt"
	"math"
	"time"

	"wetfeet/terrain"
)

// Drain computes what can be known from the ground alone: its hollows filled,
// its slope, where water runs and how much, where it is likely to be wet.
//
// Depths, slope and upslope area are those of the full detail of the ground.
// Flow lines and the wetness index are those of the ground smoothed for its
// noise: the lines over filled ground, so that they run on through hollows to
// the rim, the index with hollows as ends of flow unless Hollows is FillAll.
// Over filled ground an index says least just where it is wettest.
//
// The stages are fill, slope, flow, ponds and wetness. Drain looks between
// them, and so within a few seconds on any ground, whether ctx is done, and
// then returns its cause. It returns an error, too, for ground without a
// known cell and for options out of range. The same ground and options give
// the same bits at any number of threads, the times apart.
//
// The ground is kept in the result and must not change while that is in use.
func Drain(ctx context.Context, ground *terrain.Grid[float32], o Options) (*Drainage, error) {
	if err := o.check(ground); err != nil {
		return nil, err
	}
	if terrain.Known(ground) == 0 {
		return nil, fmt.Errorf("the ground has no known elevation in its %d rows and %d columns", ground.Rows, ground.Cols)
	}
	d := &drain{ctx: ctx, o: o, Drainage: Drainage{
		Ground:    ground,
		FlowWidth: ground.CellSize,
		Error:     o.Error,
	}}
	for _, stage := range []struct {
		name string
		run  func()
	}{
		{"fill", d.fill},
		{"slope", d.slope},
		{"flow", d.flow},
		{"ponds", d.ponds},
		{"wetness", d.wetness},
	} {
		if o.Progress != nil {
			o.Progress(stage.name)
		}
		began := time.Now()
		if stage.run(); d.stopped() {
			return nil, context.Cause(ctx)
		}
		d.Seconds = append(d.Seconds, StageTime{stage.name, time.Since(began).Seconds()})
	}
	return &d.Drainage, nil
}

// check says what is wrong with the options, all of it.
func (o Options) check(ground *terrain.Grid[float32]) error {
	var bad []error
	if o.Routing < Multiple || o.Routing > Facet {
		bad = append(bad, fmt.Errorf("routing %d is none of multiple, single and facet", int(o.Routing)))
	}
	if !(o.Exponent >= 0 && o.Exponent <= MaxExponent) {
		bad = append(bad, fmt.Errorf("exponent %g is not between 0 and %d", o.Exponent, MaxExponent))
	}
	if o.Hollows < Auto || o.Hollows > FillAll {
		bad = append(bad, fmt.Errorf("hollow rule %d is none of auto, keep and fill", int(o.Hollows)))
	}
	if math.IsNaN(o.Smooth) || math.IsInf(o.Smooth, 0) {
		bad = append(bad, fmt.Errorf("smoothing length %g is not a length in metres", o.Smooth))
	}
	if !(o.Error >= 0 && o.Error <= math.MaxFloat32) {
		bad = append(bad, fmt.Errorf("error of the ground %g is not 0 m or more", o.Error))
	}
	if !(o.CellNoise >= 0 && o.CellNoise <= math.MaxFloat32) {
		bad = append(bad, fmt.Errorf("noise of the cells %g is not 0 m or more", o.CellNoise))
	}
	if o.ErrorAt != nil && o.ErrorAt.Len() != ground.Len() {
		bad = append(bad, fmt.Errorf("errors of %d cells for a ground of %d", o.ErrorAt.Len(), ground.Len()))
	}
	if !(o.FlowLineCatchment >= 0) {
		bad = append(bad, fmt.Errorf("catchment of flow lines %g is not 0 m² or more", o.FlowLineCatchment))
	}
	return errors.Join(bad...)
}

// A drain is one run of Drain.
type drain struct {
	Drainage
	ctx context.Context
	o   Options
}

// stopped reports whether the caller has lost interest. A stage that finds so
// leaves its results as they are.
func (d *drain) stopped() bool { return d.ctx.Err() != nil }

func (d *drain) fill() {
	d.Filled = terrain.NewGrid[float32](d.Ground.Frame)
	Fill(d.Filled, d.Ground)
	d.BrimDepth = terrain.NewGrid[float32](d.Ground.Frame)
	for i, z := range d.Filled.Cells {
		d.BrimDepth.Cells[i] = z - d.Ground.Cells[i]
	}
}

func (d *drain) slope() {
	d.Slope = terrain.NewGrid[float32](d.Ground.Frame)
	terrain.Slope(d.Slope, d.Ground)
}

// flow routes water over the full detail of the ground for the upslope area,
// and over the smoothed ground, filled, for the flow lines: a line through the
// noise of the ground would stagger from cell to cell and begin anywhere.
func (d *drain) flow() {
	frame := d.Ground.Frame
	d.UpslopeArea = terrain.NewGrid[float64](frame)
	d.EdgeFed = terrain.NewGrid[bool](frame)
	routed := d.Filled
	if d.o.Hollows == Keep {
		routed = d.Ground
	}
	const millimetre = 0.001
	flow := Route(routed, d.o.Routing, d.o.Exponent)
	d.Balance = flow.Accumulate(d.UpslopeArea, nil).times(millimetre)
	flow.EdgeFed(d.EdgeFed)
	if d.stopped() {
		return
	}

	d.smooth()
	filled := terrain.NewGrid[float32](frame)
	Fill(filled, d.Smoothed)
	if d.o.Hollows == FillAll {
		d.Smoothed = filled
	}
	d.FlowLineCatchment = d.o.FlowLineCatchment
	if d.FlowLineCatchment == 0 {
		d.FlowLineCatchment = FlowLineCatchment(d.Ground)
	}
	if d.stopped() {
		return
	}
	lines, area := Route(filled, Single, 0), terrain.NewGrid[float64](frame)
	lines.Accumulate(area, nil)
	d.FlowLines = FlowLines(lines, area, d.FlowLineCatchment)
}

// smooth finds how much of the error of the ground is noise and smooths the
// ground for it.
//
// An error that neighbours share, as in ground interpolated from a survey,
// moves a whole patch up or down and does not turn its water, so it calls for
// no smoothing. Of an error that was given only the part that shows in the
// roughness counts.
func (d *drain) smooth() {
	if d.CellNoise = d.o.CellNoise; d.CellNoise == 0 {
		d.CellNoise = terrain.Noise(d.Ground)
	}
	if d.Error == 0 {
		d.Error, d.ErrorEstimated = d.CellNoise, true
	}
	d.CellNoise = min(d.CellNoise, d.Error)
	switch {
	case d.o.Smooth > 0:
		d.Smooth = d.o.Smooth
	case d.o.Smooth == 0:
		d.Smooth = SmoothingLength(d.Ground, d.CellNoise)
	}
	d.SlopeFloor = max(LeastSlope, SlopeNoise(d.CellNoise, d.Smooth, d.Ground.CellSize))
	d.Smoothed = terrain.NewGrid[float32](d.Ground.Frame)
	terrain.Smooth(d.Smoothed, d.Ground, d.Smooth)
}

func (d *drain) wetness() {
	frame := d.Ground.Frame
	area := terrain.NewGrid[float64](frame)
	Route(d.Smoothed, d.o.Routing, d.o.Exponent).Accumulate(area, nil)
	slope := terrain.NewGrid[float32](frame)
	WetnessSlope(slope, d.Smoothed)
	d.Wetness = terrain.NewGrid[float32](frame)
	Wetness(d.Wetness, area, slope, d.SlopeFloor)
	if d.o.Hollows != FillAll {
		spreadPools(d.Wetness, d.Smoothed, d.Hollows)
	}
}

func (d *drain) ponds() {
	found := FindHollows(d.Ground)
	d.Found = found
	if d.stopped() {
		return
	}
	if d.o.ErrorAt != nil {
		d.Hollows = found.SignificantShared(d.o.ErrorAt)
	} else {
		d.Hollows = found.Significant(d.Error)
	}
}
