package main

import (
	"context"
	"encoding/json"
	"io"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/fieldsheet"
	"wetfeet/cmd/internal/outdir"
	"wetfeet/cmd/internal/overlay"
	"wetfeet/cmd/internal/phone"
	"wetfeet/cmd/internal/plansheet"
	"wetfeet/hydro"
	"wetfeet/terrain"
	"wetfeet/terrain/raster"
)

// groundFiles are the grids of a ground, in the folder given.
func groundFiles(folder string) []string {
	var names []string
	for _, n := range []string{"ground", "filled", "brim-depth", "slope", "wetness-index", "upslope-area"} {
		names = append(names, folder+n+".tif")
	}
	return names
}

// writeGrids writes the grids of a ground into a folder of the answer.
func writeGrids(ctx context.Context, out *outdir.Dir, folder string, d *hydro.Drainage) error {
	for _, g := range []namedGrid{
		{"ground.tif", d.Ground},
		{"filled.tif", d.Filled},
		{"brim-depth.tif", d.BrimDepth},
		{"slope.tif", d.Slope},
		{"wetness-index.tif", d.Wetness},
	} {
		if err := writeGrid(ctx, out, folder+g.name, g.grid); err != nil {
			return err
		}
	}
	return writeGrid(ctx, out, folder+"upslope-area.tif", d.UpslopeArea)
}

type namedGrid struct {
	name string
	grid *terrain.Grid[float32]
}

// writeGrid writes one grid of the answer, unless it is no longer wanted.
func writeGrid[T float32 | float64](ctx context.Context, out *outdir.Dir, name string, g *terrain.Grid[T]) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	return out.Make(name, func(path string) error { return raster.Write(path, g) })
}

// writeWater writes the grids of a storm, and of the water table if it is
// known.
func writeWater(ctx context.Context, out *outdir.Dir, folder string, r *assess.Result) error {
	grids := []namedGrid{
		{"storm-depth.tif", r.Storm.Depth},
		{"wet-hours.tif", r.Storm.Hours},
		{"height-above-water.tif", r.Storm.Height},
	}
	if r.Odds != nil {
		grids = append(grids, namedGrid{"ponding-probability.tif", r.Odds.Ponding})
	}
	if r.WaterTable != nil {
		grids = append(grids, namedGrid{"water-table-depth.tif", r.WaterTable.Depth})
	}
	for _, g := range grids {
		if err := writeGrid(ctx, out, folder+g.name, g.grid); err != nil {
			return err
		}
	}
	return nil
}

// writeGround writes what the ground alone says, beside the summary.
func writeGround(ctx context.Context, out *outdir.Dir, d *hydro.Drainage) error {
	if err := writeGrids(ctx, out, "", d); err != nil {
		return err
	}
	return writeShapes(out, d, nil, nil)
}

// writeShapes writes the hollows and flow lines as GeoJSON.
// FillsAt is the rain that fills each hollow, mm, and sure how sure each is; nil
// leaves it out.
func writeShapes(out *outdir.Dir, d *hydro.Drainage, fillsAt []float64, sure []assess.Surety) error {
	to, err := raster.LonLat(d.Ground.CRS)
	if err != nil {
		return err
	}
	if err := writeFile(out, "ponds.geojson", func(w io.Writer) error { return overlay.WritePonds(w, d.Hollows, fillsAt, sure, to) }); err != nil {
		return err
	}
	return writeFile(out, "flow-lines.geojson", func(w io.Writer) error { return overlay.WriteFlowLines(w, d.FlowLines, to) })
}

// writeCarried writes what is carried to the field on paper and on a telephone,
// and the layers for desktop GIS.
func writeCarried(ctx context.Context, out *outdir.Dir, r *assess.Result, paper plansheet.Paper) error {
	if err := writeFile(out, "field.pdf", func(w io.Writer) error { return fieldsheet.Write(w, r, paper) }); err != nil {
		return err
	}
	if err := writeFile(out, "stakes.gpx", func(w io.Writer) error { return phone.WriteGPX(w, r) }); err != nil {
		return err
	}
	if err := writeFile(out, "risk.kml", func(w io.Writer) error { return phone.WriteKML(w, r) }); err != nil {
		return err
	}
	return out.Make("risk.gpkg", func(path string) error { return overlay.WriteGeoPackage(ctx, path, r) })
}

// writeFile makes one file of the answer.
func writeFile(out *outdir.Dir, name string, fill func(io.Writer) error) error {
	f, err := out.Create(name)
	if err != nil {
		return err
	}
	if err := fill(f); err != nil {
		f.Close()
		return err
	}
	return f.Close()
}

func writeJSON(out *outdir.Dir, name string, v any) error {
	return writeFile(out, name, func(w io.Writer) error {
		e := json.NewEncoder(w)
		e.SetIndent("", "  ")
		e.SetEscapeHTML(false)
		return e.Encode(v)
	})
}
