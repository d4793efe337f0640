package season

import (
	"fmt"
	"math"
	"time"

	"wetfeet/hydro/weather"
)

// A Year is a year of the record as seasons are counted.
type Year struct {
	Name       string // "2003", or "2003/04" where the season crosses new year
	Start, End time.Time

	From, To             int // the steps of the record in it, from up to but not including to
	SeasonFrom, SeasonTo int // likewise of its growing season

	// Whole is whether all of the year is in the record with its rain, and no
	// rain is missing in the thirty days before it.
	Whole   bool
	Missing int // steps whose rain is not known
}

// carries is how long before a year missing rain still spoils it. The choice is
// this program's own: it is about as long as ponds and soils remember.
const carries = 30 * 24 * time.Hour

// years parts a record.
func years(r *weather.Record, g Growing) []Year {
	at := func(t time.Time) int {
		steps := int((t.Unix() - r.Start.Unix()) / int64(r.Step/time.Second))
		if t.Before(r.Start) {
			steps = 0
		}
		return min(steps, r.Len())
	}
	var list []Year
	for y := r.Start.Year() - 1; y <= r.End().Year(); y++ {
		start, end := g.begins(y), g.begins(y+1)
		v := Year{Name: fmt.Sprint(y), Start: start, End: end, From: at(start), To: at(end)}
		if v.From == v.To {
			continue
		}
		if g.crosses() {
			v.Name = fmt.Sprintf("%d/%02d", y, (y+1)%100)
		}
		from, to := g.span(y)
		v.SeasonFrom, v.SeasonTo = at(from), at(to)
		v.Whole = !r.Start.After(start) && !r.End().Before(end)
		for _, rain := range r.Rain[v.From:v.To] {
			if math.IsNaN(rain) {
				v.Missing++
			}
		}
		for _, rain := range r.Rain[at(start.Add(-carries)):v.To] {
			v.Whole = v.Whole && !math.IsNaN(rain)
		}
		list = append(list, v)
	}
	return list
}
