package main

import (
	"context"

	"wetfeet/cmd/internal/outdir"
	"wetfeet/cmd/internal/summary"
	"wetfeet/hydro"
	"wetfeet/hydro/storm"
	"wetfeet/terrain"
)

// writeExcess lets so many millimetres of water, the same everywhere, run
// into all hollows of the ground, noise included, and writes how deep it
// stands. It returns where the water went.
func writeExcess(ctx context.Context, out *outdir.Dir, d *hydro.Drainage, mm float64) (summary.Balance, error) {
	site, err := storm.Prepare(d.Found, storm.Options{})
	if err != nil {
		return summary.Balance{}, err
	}
	state := site.Storm(mm)
	depth := terrain.NewGrid[float32](d.Ground.Frame)
	state.Depth(depth)
	if err := writeGrid(ctx, out, "storm-depth.tif", depth); err != nil {
		return summary.Balance{}, err
	}
	return summary.Balance{Depth: mm, In: state.In, Ponded: state.Ponded, Left: state.Left, Error: state.In - state.Ponded - state.Left}, nil
}
