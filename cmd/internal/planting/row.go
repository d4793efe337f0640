package planting

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"sort"

	"wetfeet/cmd/internal/fault"

	"github.com/paulmach/orb"
)

// EndSlack is how far, in metres, the last spacing of a row may reach beyond
// the end of its line and still fit. Coordinates are written to a centimetre
// or to seven decimals of a degree, which is the same; without it a row of
// 592.5 ft would lose its eightieth plant to rounding. For a spacing below a
// metre it is a hundredth of the spacing. The plant then stands at the end.
const EndSlack = 0.01

// gapSlack, in metres, keeps the rounding of a distance from moving a place
// over the end of a gap.
const gapSlack = 1e-6

// A Row is a planting row.
type Row struct {
	Name    string
	Line    orb.LineString // metres in a projected system when it is laid out
	Spacing float64        // m
	Pattern []string       // species in turn; "" or "-" leaves the place empty
	Gaps    [][2]float64   // from and to, distances along the line, m; nothing is planted from one to the other
	Age     *float64       // years since it was planted; nil where nobody says
}

// RowName names rows that nobody named, counted from 0: A, B, ... Z, AA, AB and
// so on.
func RowName(i int) string {
	name := ""
	for i++; i > 0; i = (i - 1) / 26 {
		name = string(rune('A'+(i-1)%26)) + name
	}
	return name
}

// Empty reports whether a pattern entry leaves its place empty.
func Empty(entry string) bool { return entry == "" || entry == "-" }

// Length is the length of a line, in the units of its coordinates.
func Length(line orb.LineString) float64 {
	var sum float64
	for i := 1; i < len(line); i++ {
		sum += math.Hypot(line[i][0]-line[i-1][0], line[i][1]-line[i-1][1])
	}
	return sum
}

// Places is how many places the spacing makes on a line of so many metres,
// planted or left out. It is a float64 because it may be beyond any integer.
func Places(length, spacing float64) float64 {
	slack := min(EndSlack, spacing/100)
	return math.Floor((length+slack)/spacing) + 1
}

// Check says everything that is wrong with a row, one mistake a line, as the
// fault of an input. The line is taken as metres.
func (r Row) Check() error {
	var bad fault.List
	add := func(format string, args ...any) { bad.Add(0, "row %q: "+format, append([]any{r.Name}, args...)...) }
	length := Length(r.Line)
	switch {
	case math.IsNaN(length) || math.IsInf(length, 0):
		add("its line has a coordinate that is not a number")
	case !(length > 0):
		add("its line needs two points apart from each other")
	}
	switch {
	case !(r.Spacing > 0) || math.IsInf(r.Spacing, 0):
		add("its spacing is %g m; a length above zero is needed", r.Spacing)
	case length > 0 && Places(length, r.Spacing) > MaxPositions:
		add("a spacing of %g m on a line of %.0f m makes more than %d places", r.Spacing, length, MaxPositions)
	}
	if !slices.ContainsFunc(r.Pattern, func(s string) bool { return !Empty(s) }) {
		add("its pattern names no species")
	}
	for _, g := range r.Gaps {
		if !(g[0] >= 0 && g[1] > g[0] && !math.IsInf(g[1], 0)) {
			add("its gap from %g m to %g m does not run forward along the row", g[0], g[1])
		}
	}
	return bad.Err()
}

// Lay sets out the plants of a row, from its start. The ID of a plant is the
// name of the row and the number of its place, counted from 1 through gaps
// and empty entries. What [Row.Check] finds wrong is the error.
func Lay(r Row) ([]Position, error) {
	if err := r.Check(); err != nil {
		return nil, err
	}
	ruler := NewRuler(r.Line)
	places := int(Places(ruler.Length(), r.Spacing))
	plants := make([]Position, 0, places)
	gaps := slices.Clone(r.Gaps)
	slices.SortFunc(gaps, func(a, b [2]float64) int { return cmp.Compare(a[0], b[0]) })
	reach := math.Inf(-1) // the far end of the gaps begun so far
	for k := range places {
		along := float64(k) * r.Spacing
		for len(gaps) > 0 && gaps[0][0] <= along+gapSlack {
			reach = max(reach, gaps[0][1])
			gaps = gaps[1:]
		}
		species := r.Pattern[k%len(r.Pattern)]
		if along <= reach+gapSlack || Empty(species) {
			continue
		}
		plants = append(plants, Position{
			ID:      fmt.Sprintf("%s-%d", r.Name, k+1),
			Row:     r.Name,
			Along:   along,
			Point:   ruler.At(along),
			Species: species,
			Age:     r.Age,
		})
	}
	return plants, nil
}

// A Ruler measures along a line.
type Ruler struct {
	line orb.LineString
	far  []float64 // distance of each point of the line from its start
}

// NewRuler lays a ruler along a line of at least one point, and panics on an
// empty one.
func NewRuler(line orb.LineString) *Ruler {
	if len(line) == 0 {
		panic(errors.New("planting: a ruler needs a line"))
	}
	far := make([]float64, len(line))
	for i := 1; i < len(line); i++ {
		far[i] = far[i-1] + math.Hypot(line[i][0]-line[i-1][0], line[i][1]-line[i-1][1])
	}
	return &Ruler{line, far}
}

// Length is the length of the line.
func (r *Ruler) Length() float64 { return r.far[len(r.far)-1] }

// At is the point so far along the line, its start or end where along is
// beyond them.
func (r *Ruler) At(along float64) orb.Point {
	last := len(r.far) - 1
	i := sort.SearchFloat64s(r.far, along) // first point at or beyond along
	switch {
	case i == 0:
		return r.line[0]
	case i > last:
		return r.line[last]
	}
	// The points i-1 and i differ, or the search had stopped at the first.
	t := (along - r.far[i-1]) / (r.far[i] - r.far[i-1])
	a, b := r.line[i-1], r.line[i]
	return orb.Point{
		a[0] + float64(t*(b[0]-a[0])),
		a[1] + float64(t*(b[1]-a[1])),
	}
}
