package assess

import (
	"context"

	"wetfeet/cmd/internal/ground"
	"wetfeet/terrain"
	"wetfeet/terrain/raster"

	"github.com/paulmach/orb"
)

// Places are where the trees of a plan stand, without anything being said of
// them, and the ground they stand on.
type Places struct {
	Trees  map[string]orb.Point // longitude and latitude, by id
	System string               // of the coordinates in the plan

	ground   *terrain.Grid[float32]
	toGround *raster.Transform
}

// Locate reads the ground of a plan and lays out its trees. Close the answer.
func Locate(ctx context.Context, p Plan) (*Places, error) {
	p.Ground.Error = p.Error
	g, err := ground.Load(ctx, p.Ground)
	if err != nil {
		return nil, err
	}
	r := &Result{}
	if err := r.lay(p, g.Grid.Frame); err != nil {
		return nil, err
	}
	out := &Places{Trees: map[string]orb.Point{}, System: p.system(), ground: g.Grid}
	for i := range r.Trees {
		out.Trees[r.Trees[i].ID] = r.Trees[i].LonLat
	}
	if out.toGround, err = raster.NewTransform(raster.LonLatCRS, g.Grid.CRS); err != nil {
		return nil, err
	}
	return out, nil
}

// Close lets go of what Locate opened.
func (p *Places) Close() { p.toGround.Close() }

// Known reports whether the ground is known at a place.
func (p *Places) Known(lonLat orb.Point) bool {
	at := []orb.Point{lonLat}
	if p.toGround.Points(at) != nil {
		return false
	}
	row, col, inside := p.ground.Locate(at[0])
	return inside && !terrain.IsVoid(p.ground.At(row, col))
}
