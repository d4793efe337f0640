package planting

import (
	"fmt"
	"strconv"

	"wetfeet/cmd/internal/fault"

	"github.com/paulmach/orb"
)

// table is one pass through a file, CSV or GeoJSON.
type table struct {
	name string
	bad  fault.List
	out  Table

	columns map[string]int     // where each column read is found
	factor  map[string]float64 // metres in one of its unit
	heads   []string
	comma   bool // a decimal comma may stand for the point

	where []string // of each position: "line 3", "feature 3"
	byID  map[string]int
	spots map[orb.Point]int
	same  int // positions that stand where another stands
	pair  [2]int
}

// add puts a mistake of one line, and where it has one of one column, on the
// list.
func (t *table) add(line int, column, format string, args ...any) {
	where := t.name
	if line > 0 {
		where += ", line " + strconv.Itoa(line)
	}
	if column != "" {
		where += ", " + column
	}
	t.bad.Add(line, "%s: %s", where, fmt.Sprintf(format, args...))
}

func (t *table) remark(format string, args ...any) {
	t.out.Remarks = append(t.out.Remarks, t.name+": "+fmt.Sprintf(format, args...))
}

// furthest is the greatest coordinate or distance that is believed, m.
const furthest = 1e8

// keep takes a position that reads well, if its ID is not taken and its
// distance is possible.
func (t *table) keep(p Position, order int, where string) {
	if !(p.Along >= 0 && p.Along <= furthest) {
		t.bad.Add(order, "%s, %s: its distance along the row is %g m; 0 to %.0f m is possible", t.name, where, p.Along, float64(furthest))
		return
	}
	if t.byID == nil {
		t.byID, t.spots = map[string]int{}, map[orb.Point]int{}
	}
	if i, taken := t.byID[p.ID]; taken {
		t.bad.Add(order, "%s, %s: the id %s is that of %s too; every position needs its own", t.name, where, quote(p.ID), t.where[i])
		return
	}
	i := len(t.out.Positions)
	t.byID[p.ID] = i
	if j, taken := t.spots[p.Point]; taken {
		if t.same == 0 {
			t.pair = [2]int{i, j}
		}
		t.same++
	} else {
		t.spots[p.Point] = i
	}
	t.out.Positions = append(t.out.Positions, p)
	t.where = append(t.where, where)
}

func (t *table) finish() *Table {
	if t.same > 0 {
		i, j := t.pair[0], t.pair[1]
		t.remark("%s on the spot of another, first %s (%s) on that of %s (%s)", stands(t.same),
			quote(t.out.Positions[i].ID), t.where[i], quote(t.out.Positions[j].ID), t.where[j])
	}
	return &t.out
}

func stands(n int) string {
	if n == 1 {
		return "1 position stands"
	}
	return fmt.Sprintf("%d positions stand", n)
}
