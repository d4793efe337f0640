package overlay

import (
	"context"
	"reflect"
	"strings"
	"time"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/geopackage"
	"wetfeet/cmd/internal/look"

	"github.com/paulmach/orb"
)

// WriteGeoPackage makes risk.gpkg: trees, hollows, flow lines and rows as
// layers in the system of the ground, with the columns of the GeoJSON files and
// of stakes.csv. The mark of each tree's risk stands beside it in words and as a
// colour, since the standard has no place for styles. The same result gives
// the same bytes.
func WriteGeoPackage(ctx context.Context, path string, r *assess.Result) error {
	system, err := systemOf(r.Drain.Ground.CRS)
	if err != nil {
		return err
	}
	f, err := geopackage.Create(ctx, path)
	if err != nil {
		return err
	}
	defer f.Close()
	err = f.Update(ctx, time.Time{}, func(tx *geopackage.Tx) error {
		if err := tx.AddSystems(system); err != nil {
			return err
		}
		for _, l := range []struct {
			layer geopackage.Layer
			rows  []geopackage.Row
		}{
			{layerOf("trees", "Planned trees", "POINT", system.ID, treeRow{}), treeRows(r)},
			{layerOf("hollows", "Hollows, full to the brim", "MULTIPOLYGON", system.ID, pondRow{}), hollowRows(r)},
			{layerOf("flow_lines", "Where water runs", "LINESTRING", system.ID, flowRow{}), flowRows(r)},
			{layerOf("rows", "Planting rows", "LINESTRING", system.ID, plantingRow{}), plantingRows(r)},
		} {
			if err := tx.AddLayer(l.layer); err != nil {
				return err
			}
			if err := tx.Insert(l.layer, l.rows...); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return err
	}
	return f.Close()
}

// layerOf is a layer whose columns are the members of a row.
func layerOf(name, title, shape string, system int32, row any) geopackage.Layer {
	l := geopackage.Layer{Name: name, Title: title, Shape: shape, System: system}
	for name, v := range members(reflect.ValueOf(row)) {
		t := v.Type()
		if t.Kind() == reflect.Pointer {
			t = t.Elem()
		}
		kind := "TEXT"
		switch t.Kind() {
		case reflect.Float64:
			kind = "REAL"
		case reflect.Int:
			kind = "INTEGER"
		case reflect.Bool:
			kind = "BOOLEAN"
		}
		l.Columns = append(l.Columns, geopackage.Column{Name: name, Type: kind, Description: described[name]})
	}
	return l
}

// described are the columns whose name does not say it all.
var described = map[string]string{
	"along_m":            "distance from the start of the row, m",
	"wetness_index":      "ln(a / tan b), a in m²/m",
	"wetness_percentile": "of the site by wetness index, 100 the wettest",
	"brim_depth_m":       "depth of water when the hollow is full, m",
	"pond":               "number of the hollow",
	"storm_depth_m":      "depth of water when the rain ends, m",
	"wet_hours":          "under water in and after the storm, h",
	"longest_wet_days":   "longest wet spell of the median year, days",
	"mound_m":            "least height that would unflag it, m",
	"fills_at_mm":        "rain of the storm's kind that fills it, mm",
	"spills_to":          "number of the hollow it spills to; none where water leaves the site",
	"part_of":            "number of the larger hollow it joins once full",
	"order":              "Strahler's order",
	"mark":               "what the risk looks like on maps and sheets",
	"mark_fill":          "its colour, as sRGB",
}

// members goes through the members of a row by the names of their columns.
func members(row reflect.Value) func(yield func(string, reflect.Value) bool) {
	return func(yield func(string, reflect.Value) bool) {
		for i := range row.NumField() {
			f := row.Type().Field(i)
			if f.Anonymous {
				for name, v := range members(row.Field(i)) {
					if !yield(name, v) {
						return
					}
				}
				continue
			}
			name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
			if !yield(name, row.Field(i)) {
				return
			}
		}
	}
}

func rowFor(shape orb.Geometry, row any) geopackage.Row {
	r := geopackage.Row{Shape: shape}
	for _, v := range members(reflect.ValueOf(row)) {
		r.Values = append(r.Values, v.Interface())
	}
	return r
}

// A treeRow is a riskRow and what its risk looks like.
type treeRow struct {
	riskRow
	FirstWet   *float64 `json:"first_wet_mm"`
	WaterTable *float64 `json:"water_table_m"`
	Mark       string   `json:"mark"`
	MarkFill   string   `json:"mark_fill"`
}

func treeRows(r *assess.Result) []geopackage.Row {
	rows := make([]geopackage.Row, len(r.Trees))
	for i := range r.Trees {
		t := &r.Trees[i]
		mark := look.Spot(t.OnGround, t.Risk)
		rows[i] = rowFor(t.Point, treeRow{rowOf(t), rounded(r.FirstWet(t), 1), tableOf(t), mark.Shape, look.Hex(mark.Fill)})
	}
	return rows
}

func hollowRows(r *assess.Result) []geopackage.Row {
	h := r.Drain.Hollows
	fills, sure := r.FillsAt(), r.Sureties()
	rows := make([]geopackage.Row, len(h.All))
	for i := range h.All {
		rows[i] = rowFor(h.Outline(i), pondOf(h, i, fills, sure))
	}
	return rows
}

func flowRows(r *assess.Result) []geopackage.Row {
	rows := make([]geopackage.Row, len(r.Drain.FlowLines))
	for i, l := range r.Drain.FlowLines {
		rows[i] = rowFor(l.Line, flowOf(l))
	}
	return rows
}

type plantingRow struct {
	Name    string   `json:"name"`
	Length  *float64 `json:"length_m"`
	Spacing *float64 `json:"spacing_m"`
	Trees   int      `json:"trees"`
}

func plantingRows(r *assess.Result) []geopackage.Row {
	rows := make([]geopackage.Row, len(r.Rows))
	for i, row := range r.Rows {
		rows[i] = rowFor(row.Line, plantingRow{row.Name, rounded(row.Length, 3), rounded(row.Spacing, 3), len(row.Trees)})
	}
	return rows
}
