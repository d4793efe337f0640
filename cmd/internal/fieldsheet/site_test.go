package fieldsheet

import (
	"context"
	"fmt"
	"math"
	"testing"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/planting"
	"wetfeet/hydro"
	"wetfeet/species"
	"wetfeet/terrain"
	"wetfeet/terrain/quantity"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/require"
)

var (
	pecan  = &species.Entry{Scientific: "Carya illinoinensis", Common: []string{"pecan"}}
	fig    = &species.Entry{Scientific: "Ficus carica", Common: []string{"fig"}}
	wattle = &species.Entry{Scientific: "Acacia inventa", Invasive: "spreads where it is let"} // made up, and has no common name
	tupelo = &species.Entry{Scientific: "Nyssa ogeche", Common: []string{"Ogeechee tupelo"}}
)

// orchard is rows of so many plants on ground with a bowl in it, each risk among
// them, and single positions: one beside a row, one before its start, one far
// beyond the ground.
func orchard(t testing.TB, rows, plants int, spacing, between float64, u quantity.Units) *assess.Result {
	t.Helper()
	wide, high := float64(plants)*spacing+30, float64(rows)*between+30
	cell := max(1, math.Round(max(wide, high)/200))
	z := terrain.NewGrid[float32](terrain.Frame{Rows: int(high/cell) + 1, Cols: int(wide/cell) + 1, West: 500000, North: 3100000, CellSize: cell, CRS: "EPSG:32614"})
	for i := range z.Cells {
		p := z.Centre(z.Cell(i))
		far := math.Hypot(p[0]-(500000+wide/2), p[1]-(3100000-high/2))
		z.Cells[i] = float32(100 - 0.002*(p[0]-500000) - 1.5*math.Exp(-far*far/200))
	}
	d, err := hydro.Drain(context.Background(), z, hydro.Options{Error: 0.01})
	require.NoError(t, err)
	r := &assess.Result{Name: "Test & Try", Invented: true, Units: u, Drain: d, Species: []*species.Entry{wattle, pecan, fig}}
	entries := []*species.Entry{pecan, fig, wattle}
	for k := range rows {
		y := 3100000 - 15 - float64(k)*between
		line := orb.LineString{{500015, y}, {500015 + wide/3, y + 0.5}, {500000 + wide - 15, y}} // a little bent
		row := assess.Row{Name: string(rune('A' + k%26)), Line: line, Length: planting.Length(line), Spacing: spacing, Gaps: [][2]float64{{4.5 * spacing, 5.5 * spacing}}}
		if rows > 26 {
			row.Name = fmt.Sprint(k + 1)
		}
		ruler := planting.NewRuler(line)
		for i := range plants {
			if i == 5 {
				continue // the gap
			}
			along := float64(i) * spacing
			r.Trees = append(r.Trees, assess.Tree{
				Position: planting.Position{ID: fmt.Sprintf("%s-%d", row.Name, i+1), Row: row.Name, Along: along, Point: ruler.At(along)},
				Entry:    entries[(i+k)%3],
			})
			row.Trees = append(row.Trees, len(r.Trees)-1)
		}
		r.Rows = append(r.Rows, row)
	}
	for name, p := range map[string]orb.Point{"gate oak": {500030, 3100000 - 17}, "first fig": {500012, 3100000 - 14}, "lost": {600000, 3100000}} {
		r.Trees = append(r.Trees, assess.Tree{Position: planting.Position{ID: name, Point: p}, Entry: fig})
	}
	last := r.Trees[len(r.Trees)-3:]
	for i := range last { // maps have no order
		for j := range i {
			if last[i].ID < last[j].ID {
				last[i], last[j] = last[j], last[i]
			}
		}
	}
	for i := range r.Trees {
		tree := &r.Trees[i]
		row, col, on := z.Locate(tree.Point)
		if tree.OnGround = on && i%17 != 16; !tree.OnGround {
			tree.Why = "unknown"
			continue
		}
		tree.Ground = float64(z.At(row, col))
		depth := float64(d.BrimDepth.At(row, col))
		tree.Advice = "keep"
		switch {
		case depth > 0.5:
			tree.Risk, tree.Flagged, tree.Advice, tree.Mound = species.Severe, true, "swap", math.Inf(1)
			tree.Swaps = []*species.Entry{tupelo}
		case depth > 0.05:
			tree.Risk, tree.Flagged, tree.Advice, tree.Mound = species.High, true, "raise", math.Ceil(depth*20)/20
			tree.Swaps = []*species.Entry{tupelo}
		case depth > 0:
			tree.Risk = species.Moderate
		}
	}
	return r
}
