package planting

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"wetfeet/cmd/internal/fault"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const foot = 0.3048

func lay(t *testing.T, r Row) []Position {
	t.Helper()
	plants, err := Lay(r)
	require.NoError(t, err)
	return plants
}

func ids(plants []Position) []string {
	var names []string
	for _, p := range plants {
		names = append(names, p.ID)
	}
	return names
}

func TestRowsAreNamedByLettersWhereTheyHaveNoName(t *testing.T) {
	for i, want := range map[int]string{0: "A", 1: "B", 25: "Z", 26: "AA", 51: "AZ", 52: "BA", 701: "ZZ", 702: "AAA"} {
		assert.Equal(t, want, RowName(i))
	}
}

// Common practice, no source: a mixed row of 592.5 ft planted every 7.5 ft
// with emergents A and B and shrubs between them.
func TestRowOfEightyPlants(t *testing.T) {
	for _, heading := range []float64{0, 17, 45, 90, 123.4, 180, 270, 359} {
		t.Run(fmt.Sprintf("at a bearing of %g degrees", heading), func(t *testing.T) {
			sin, cos := math.Sincos(heading * math.Pi / 180)
			start := orb.Point{500100, 3100020}
			end := orb.Point{start[0] + sin*592.5*foot, start[1] + cos*592.5*foot}
			plants := lay(t, Row{Name: "A", Line: orb.LineString{start, end}, Spacing: 7.5 * foot, Pattern: []string{"A", "s", "B", "s"}})

			require.Len(t, plants, 80)
			counts := map[string]int{}
			for _, p := range plants {
				counts[p.Species]++
			}
			assert.Equal(t, map[string]int{"A": 20, "B": 20, "s": 40}, counts)
			assert.Equal(t, "A-1", plants[0].ID)
			assert.Equal(t, start, plants[0].Point)
			assert.Equal(t, "A-80", plants[79].ID)
			assert.InDelta(t, 592.5*foot, plants[79].Along, 1e-9)
			assert.InDelta(t, 0, math.Hypot(plants[79].Point[0]-end[0], plants[79].Point[1]-end[1]), 1e-6)
			assert.InDelta(t, 2.286, plants[1].Along, 1e-12, "7.5 ft")
			for i := 2; i < len(plants); i += 2 {
				apart := math.Hypot(plants[i].Point[0]-plants[i-2].Point[0], plants[i].Point[1]-plants[i-2].Point[1])
				assert.InDelta(t, 15*foot, apart, 1e-6, "A to the next B")
			}
		})
	}
}

func TestLastPlantStandsWhereTheSpacingStillFits(t *testing.T) {
	for _, tt := range []struct {
		length, spacing float64
		want            int
	}{
		{10, 2.5, 5},
		{9.995, 2.5, 5}, // within EndSlack
		{9.985, 2.5, 4},
		{12.4, 2.5, 5},
		{2, 2.5, 1},
		{1, 0.1, 11},
		{0.9985, 0.1, 10},
	} {
		line := orb.LineString{{0, 0}, {tt.length, 0}}
		plants := lay(t, Row{Name: "A", Line: line, Spacing: tt.spacing, Pattern: []string{"x"}})
		assert.Len(t, plants, tt.want, "%g m every %g m", tt.length, tt.spacing)
		assert.LessOrEqual(t, plants[len(plants)-1].Point[0], tt.length)
	}
}

func TestGapsLeaveOutPlacesAndKeepNumbersAndTurns(t *testing.T) {
	row := Row{Name: "A", Line: orb.LineString{{0, 0}, {50, 0}}, Spacing: 2.5, Pattern: []string{"a", "b", "c", "d"}}
	whole := lay(t, row)

	row.Gaps = [][2]float64{{30, 32.5}, {20, 24}}
	gapped := lay(t, row)
	assert.Equal(t, []string{"A-1", "A-2", "A-3", "A-4", "A-5", "A-6", "A-7", "A-8" /* 20 and 22.5 m */, "A-11", "A-12" /* 30 and 32.5 m */, "A-15", "A-16", "A-17", "A-18", "A-19", "A-20", "A-21"}, ids(gapped))
	byID := map[string]Position{}
	for _, p := range whole {
		byID[p.ID] = p
	}
	for _, p := range gapped {
		assert.Equal(t, byID[p.ID], p, "a gap changes no plant outside it")
	}

	row.Gaps = [][2]float64{{0, 40}, {10, 20}}
	assert.Equal(t, []string{"A-18", "A-19", "A-20", "A-21"}, ids(lay(t, row)), "a short gap inside a long one")
	row.Gaps = [][2]float64{{0, 100}}
	assert.Empty(t, lay(t, row))
}

func TestEmptyPatternEntriesLeaveThePlaceEmpty(t *testing.T) {
	row := Row{Name: "North", Line: orb.LineString{{0, 0}, {0, 10}}, Spacing: 2, Pattern: []string{"a", "-", ""}}
	assert.Equal(t, []string{"North-1", "North-4"}, ids(lay(t, row)))
}

func TestBentRowsAreMeasuredAlongTheirLine(t *testing.T) {
	// 3 m east, a point given twice, 4 m north, 5 m back to the start.
	line := orb.LineString{{0, 0}, {3, 0}, {3, 0}, {3, 4}, {0, 0}}
	plants := lay(t, Row{Name: "B", Line: line, Spacing: 2, Pattern: []string{"x"}})
	want := []orb.Point{{0, 0}, {2, 0}, {3, 1}, {3, 3}, {3 - 0.6, 4 - 0.8}, {3 - 1.8, 4 - 2.4}, {0, 0}}
	require.Len(t, plants, len(want))
	for i, p := range plants {
		assert.InDelta(t, want[i][0], p.Point[0], 1e-12, p.ID)
		assert.InDelta(t, want[i][1], p.Point[1], 1e-12, p.ID)
		assert.Equal(t, float64(2*i), p.Along)
	}
	ruler := NewRuler(line)
	assert.Equal(t, 12.0, ruler.Length())
	assert.Equal(t, Length(line), ruler.Length())
	assert.Equal(t, orb.Point{0, 0}, ruler.At(-1))
	assert.Equal(t, orb.Point{0, 0}, ruler.At(99))
	assert.Equal(t, orb.Point{3, 0}, ruler.At(3))
}

// walk is the definition, done slowly: go along the line in steps of a
// millimetre and plant whenever another spacing is behind.
func walk(r Row) []orb.Point {
	var plants []orb.Point
	var done, next float64
	for i := 1; i < len(r.Line); i++ {
		a, b := r.Line[i-1], r.Line[i]
		long := math.Hypot(b[0]-a[0], b[1]-a[1])
		steps := int(math.Ceil(long / 0.001))
		for s := range steps {
			at := float64(s) / float64(steps)
			if done+at*long >= next {
				plants = append(plants, orb.Point{a[0] + at*(b[0]-a[0]), a[1] + at*(b[1]-a[1])})
				next += r.Spacing
			}
		}
		done += long
	}
	return plants
}

func TestLayAgreesWithAWalkAlongTheLine(t *testing.T) {
	for seed := range uint64(20) {
		random := rand.New(rand.NewPCG(seed, 1))
		row := Row{Name: "A", Spacing: 0.5 + 4*random.Float64(), Pattern: []string{"x"}}
		for range 2 + random.IntN(5) {
			row.Line = append(row.Line, orb.Point{60 * random.Float64(), 60 * random.Float64()})
		}
		got, want := lay(t, row), walk(row)
		// The walk stops short of the last end, where a plant may still fit.
		require.InDelta(t, len(want), len(got), 1, "seed %d", seed)
		for i := range min(len(want), len(got)) {
			apart := math.Hypot(got[i].Point[0]-want[i][0], got[i].Point[1]-want[i][1])
			require.Less(t, apart, 0.0021, "seed %d, plant %d", seed, i)
		}
	}
}

func TestRowsThatCannotBeLaidSayWhy(t *testing.T) {
	good := Row{Name: "A", Line: orb.LineString{{0, 0}, {10, 0}}, Spacing: 2, Pattern: []string{"x"}}
	for want, change := range map[string]func(*Row){
		`row "A": its line needs two points apart from each other`:                                                func(r *Row) { r.Line = r.Line[:1] },
		`row "A": its line has a coordinate that is not a number`:                                                 func(r *Row) { r.Line = orb.LineString{{0, 0}, {math.NaN(), 1}} },
		`row "A": its spacing is 0 m; a length above zero is needed`:                                              func(r *Row) { r.Spacing = 0 },
		`row "A": its pattern names no species`:                                                                   func(r *Row) { r.Pattern = []string{"-"} },
		`row "A": its gap from 5 m to 5 m does not run forward along the row`:                                     func(r *Row) { r.Gaps = [][2]float64{{5, 5}} },
		`row "A": a spacing of 0.001 m on a line of 100000 m makes more than 1000000 places`:                      func(r *Row) { r.Spacing, r.Line = 0.001, orb.LineString{{0, 0}, {1e5, 0}} },
		`row "A": a spacing of 1e-300 m on a line of 10 m makes more than 1000000 places`:                         func(r *Row) { r.Spacing = 1e-300 },
		"row \"A\": its spacing is NaN m; a length above zero is needed\nrow \"A\": its pattern names no species": func(r *Row) { r.Spacing, r.Pattern = math.NaN(), nil },
		"row \"A\": its line needs two points apart from each other\nrow \"A\": its pattern names no species":     func(r *Row) { r.Line, r.Pattern = orb.LineString{{1, 1}, {1, 1}}, nil },
	} {
		row := good
		change(&row)
		plants, err := Lay(row)
		assert.EqualError(t, err, want)
		assert.True(t, fault.IsInput(err))
		assert.Nil(t, plants)
	}
}

func TestIDsAreUniqueAcrossTheSite(t *testing.T) {
	plants := []Position{
		{ID: "A-1", Row: "A", Species: "x"},
		{ID: "A-2", Row: "A", Along: 2.5, Species: "x"},
		{ID: "A-2", Species: "Ficus carica"},
	}
	assert.NoError(t, CheckIDs(plants[:2]))
	err := CheckIDs(plants)
	assert.EqualError(t, err, `"A-2" names two positions: the one 2.50 m along row "A" and a single one, "Ficus carica"; every position needs an id of its own`)
	assert.True(t, fault.IsInput(err))
}

func BenchmarkLay(b *testing.B) {
	row := Row{Name: "A", Line: orb.LineString{{0, 0}, {1000, 0}, {1000, 1000}}, Spacing: 2, Pattern: []string{"a", "b"}, Gaps: [][2]float64{{20, 24}}}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Lay(row); err != nil {
			b.Fatal(err)
		}
	}
}
