package advise

import (
	"wetfeet/cmd/internal/assess"
	"wetfeet/hydro"
	"wetfeet/hydro/relief"
	"wetfeet/terrain"
	"wetfeet/terrain/earthwork"
)

// leastBacked is how much higher water must stand behind mounds to be told of,
// m.
const leastBacked = 0.03

// A Backed is water that the mounds dam up.
type Backed struct {
	relief.Backed
	Trees []int // that stand in it
}

// prove puts the mounds on the ground and fills its hollows again.
func (a *Advice) prove(r *assess.Result) {
	mounds, _ := a.mounds(r)
	if len(mounds) == 0 {
		return
	}
	raised, _ := earthwork.Stamp(r.Drain.Ground, mounds)
	after := terrain.NewGrid[float32](raised.Frame)
	hydro.Fill(after, raised)
	pools := hydro.FindHollows(raised).Outer
	for _, b := range relief.Backwater(r.Drain.Filled, after, leastBacked) {
		one := Backed{Backed: b}
		for i := range r.Trees {
			t := &r.Trees[i]
			if !t.OnGround {
				continue
			}
			row, col, _ := after.Locate(t.Point)
			k := after.Index(row, col)
			if rise := after.Cells[k] - r.Drain.Filled.Cells[k]; rise > leastBacked && raised.Cells[k] == r.Drain.Ground.Cells[k] && pools[k] == pools[b.Cell] {
				one.Trees = append(one.Trees, i)
			}
		}
		a.Backed = append(a.Backed, one)
	}
}
