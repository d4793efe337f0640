package assess

import (
	"fmt"
	"math"
	"strings"
	"time"

	"wetfeet/hydro/season"
	"wetfeet/hydro/weather"
	"wetfeet/species"
	"wetfeet/terrain/quantity"
)

// A calendar tells what a tree was in on a day that somebody saw it.
type calendar struct {
	plan    ConditionsPlan
	record  *weather.Record // nil without
	soil    []float64       // of the record; nil without temperatures
	growing season.Growing
	known   bool // the growing season is
}

func (p Plan) calendar(record *weather.Record, u quantity.Units) calendar {
	c := calendar{plan: p.Conditions, record: record}
	if record != nil {
		c.soil = record.SoilTemperature()
	}
	c.growing, c.known = p.growing(record, u)
	return c
}

// on is what the storm of a day found a tree in: its soil as warm as the air
// before that day, or as in that month of other years where the record does not
// hold it, and at rest outside the growing season. Where the weather tells
// nothing, it is what the site file says of a storm of that month.
func (c calendar) on(tree species.Conditions, at time.Time) species.Conditions {
	same := c.plan.Month == at.Month()
	tree.Soil, tree.Dormant = nil, c.known && !c.growing.Has(at.Month(), at.Day())
	if !c.known && same && c.plan.Dormant != nil {
		tree.Dormant = *c.plan.Dormant
	}
	warmth := math.NaN()
	if c.soil != nil {
		if i := int(at.Sub(c.record.Start) / c.record.Step); !at.Before(c.record.Start) && i < len(c.soil) {
			warmth = c.soil[i]
		}
		if math.IsNaN(warmth) {
			warmth = c.record.MonthlySoilTemperature(at.Month())
		}
	}
	switch {
	case !math.IsNaN(warmth):
		tree.Soil = &warmth
	case same:
		tree.Soil = c.plan.Soil
	}
	return tree
}

// foundWords says what a storm found a tree in, where that is not warm soil and a
// tree in leaf.
func foundWords(c species.Conditions, u quantity.Units) string {
	var what []string
	if c.Dormant {
		what = append(what, "at rest")
	}
	if c.Soil != nil {
		what = append(what, "in soil of "+quantity.FormatTemperature(*c.Soil, u))
	}
	if len(what) == 0 {
		return ""
	}
	return fmt.Sprintf("it was held against what such a tree bears %s, as the time of year tells", strings.Join(what, ", "))
}
