package site

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"testing/iotest"

	"wetfeet/cmd/internal/fault"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const (
	square   = `[[0,0],[4,0],[4,4],[0,4],[0,0]]`
	hole     = `[[1,1],[3,1],[3,3],[1,3],[1,1]]` // counter-clockwise, as it should not be
	bowTie   = `[[0,0],[4,4],[4,0],[0,4],[0,0]]`
	elevated = `[[5,5,60],[5,6,60],[6,6,61],[5,5,60]]` // clockwise, with heights
)

func polygon(rings ...string) string {
	return `{"type":"Polygon","coordinates":[` + strings.Join(rings, ",") + `]}`
}

func framed(geometry string) string {
	return `{"type":"Feature","properties":{},"geometry":` + geometry + `}`
}

func collection(features ...string) string {
	return `{"type":"FeatureCollection","features":[` + strings.Join(features, ",") + `]}`
}

func TestReadBoundaryTakesPolygonsOfAllKinds(t *testing.T) {
	ring := orb.Ring{{0, 0}, {4, 0}, {4, 4}, {0, 4}, {0, 0}}
	inner := orb.Ring{{1, 1}, {1, 3}, {3, 3}, {3, 1}, {1, 1}}
	second := orb.Ring{{5, 5}, {6, 6}, {5, 6}, {5, 5}}
	for name, tt := range map[string]struct {
		text string
		want orb.MultiPolygon
	}{
		"a geometry":       {polygon(square), orb.MultiPolygon{{ring}}},
		"a feature":        {framed(polygon(square, hole)), orb.MultiPolygon{{ring, inner}}},
		"a collection":     {collection(framed(polygon(square)), framed(polygon(elevated))), orb.MultiPolygon{{ring}, {second}}},
		"several polygons": {`{"type":"MultiPolygon","coordinates":[[` + square + `,` + hole + `],[` + elevated + `]]}`, orb.MultiPolygon{{ring, inner}, {second}}},
	} {
		t.Run(name, func(t *testing.T) {
			got, err := ReadBoundary(strings.NewReader(tt.text), "b.geojson")
			require.NoError(t, err)
			assert.Equal(t, tt.want, got)
		})
	}
}

func TestReadBoundaryTellsEveryMistake(t *testing.T) {
	for name, tt := range map[string]struct{ text, want string }{
		"rings that are none": {polygon(`[]`, `[[0,0],[1,0],[0,0]]`, `[[0,0],[4,0],[4,4],[0,4]]`, `[[0,0],[4,0],[4,0],[0,0]]`, bowTie),
			"b.geojson, polygon 1, ring 1: has 0 positions; a ring needs at least 4, the last as the first\n" +
				"b.geojson, polygon 1, ring 2: has 3 positions; a ring needs at least 4, the last as the first\n" +
				"b.geojson, polygon 1, ring 3: is not closed; the last position must be as the first\n" +
				"b.geojson, polygon 1, ring 4: has fewer than three corners\n" +
				"b.geojson, polygon 1, ring 5: its side from [0, 0] to [4, 4] meets the one from [4, 0] to [0, 4]; no ring may cross or touch itself"},
		"a short position": {polygon(`[[0,0],[4],[4,4],[0,0]]`), "b.geojson: ring 1, position 2: a position lacks numbers; [longitude, latitude] is needed"},
		"projected":        {framed(polygon(`[[500000,0],[4,0],[4,4],[500000,0]]`)), "b.geojson, feature 1: ring 1, position 1: 500000 is not a longitude, -180 to 180 degrees"},
		"no rings":         {framed(polygon()), "b.geojson, feature 1: a polygon has no rings"},
		"no polygons":      {`{"type":"MultiPolygon","coordinates":[]}`, "b.geojson: coordinates are not those of a MultiPolygon"},
		"text":             {`{"type":"Polygon","coordinates":"x"}`, "b.geojson: coordinates are not those of a Polygon"},
		"no features":      {collection(), "b.geojson: holds no features; a Polygon is needed"},
		"a line": {collection(framed(`{"type":"LineString","coordinates":`+square+`}`), framed(polygon(bowTie))),
			"b.geojson, feature 1: found a LineString; a boundary is a Polygon or a MultiPolygon\n" +
				"b.geojson, feature 2, polygon 1, ring 1: its side from [0, 0] to [4, 4] meets the one from [4, 0] to [0, 4]; no ring may cross or touch itself"},
		"too much": {polygon(`[` + strings.Repeat(`[0,0],`, maxBoundary) + `[0,0]]`), "b.geojson: has more than 20000 positions; thin the boundary out"},
	} {
		t.Run(name, func(t *testing.T) {
			got, err := ReadBoundary(strings.NewReader(tt.text), "b.geojson")
			assert.EqualError(t, err, tt.want)
			assert.True(t, fault.IsInput(err))
			assert.Nil(t, got)
		})
	}
	_, err := ReadBoundary(iotest.ErrReader(errors.New("the disk went away")), "b.geojson")
	assert.EqualError(t, err, "b.geojson: the disk went away")
	assert.False(t, fault.IsInput(err))
}

func TestRingsThatTouchThemselves(t *testing.T) {
	for name, tt := range map[string]struct {
		ring orb.Ring
		want bool
	}{
		"a square":                    {orb.Ring{{0, 0}, {4, 0}, {4, 4}, {0, 4}, {0, 0}}, false},
		"a corner along a straight":   {orb.Ring{{0, 0}, {2, 0}, {4, 0}, {4, 4}, {0, 0}}, false},
		"a notch":                     {orb.Ring{{0, 0}, {4, 0}, {4, 4}, {2, 1}, {0, 4}, {0, 0}}, false},
		"a notch down to the base":    {orb.Ring{{0, 0}, {4, 0}, {4, 4}, {2, 0}, {0, 4}, {0, 0}}, true},
		"a notch through the base":    {orb.Ring{{0, 0}, {4, 0}, {4, 4}, {2, -1}, {0, 4}, {0, 0}}, true},
		"a spike":                     {orb.Ring{{0, 0}, {4, 0}, {6, 0}, {4, 0}, {4, 4}, {0, 0}}, true},
		"a spike at the first corner": {orb.Ring{{0, 0}, {4, 0}, {4, 4}, {0, 4}, {0, 0}, {-1, 0}, {0, 0}}, true},
		"a corner met twice":          {orb.Ring{{0, 0}, {2, 2}, {4, 0}, {4, 4}, {2, 2}, {0, 4}, {0, 0}}, true},
		"a side walked twice":         {orb.Ring{{0, 0}, {4, 0}, {4, 4}, {4, 2}, {4, 6}, {0, 6}, {0, 0}}, true},
		"upright sides":               {orb.Ring{{0, 0}, {1, 0}, {1, 3}, {2, 3}, {2, 0}, {3, 0}, {3, 4}, {0, 4}, {0, 0}}, false},
	} {
		_, _, got := selfCrossing(tt.ring)
		assert.Equal(t, tt.want, got, name)
	}
}

func TestSweepAgreesWithEveryPairOfSides(t *testing.T) {
	crossed := 0
	for seed := range uint64(400) {
		random := rand.New(rand.NewPCG(seed, 2))
		n := 3 + random.IntN(12)
		bearings := make([]float64, n)
		for i := range bearings {
			bearings[i] = 2 * math.Pi * random.Float64()
		}
		slices.Sort(bearings)
		ring := orb.Ring{}
		for _, b := range bearings {
			far := 1 + random.Float64()
			ring = append(ring, orb.Point{far * math.Cos(b), far * math.Sin(b)})
		}
		if seed%2 == 1 {
			i, j := random.IntN(n), random.IntN(n)
			ring[i], ring[j] = ring[j], ring[i]
		}
		ring = append(ring, ring[0])
		want := false
		for i := range n {
			for j := i + 1; j < n; j++ {
				want = want || meet(ring, i, j, n)
			}
		}
		_, _, got := selfCrossing(ring)
		require.Equal(t, want, got, "seed %d", seed)
		if got {
			crossed++
		}
	}
	assert.InDelta(t, 150, crossed, 100, "both kinds were tried")
}

func FuzzReadBoundary(f *testing.F) {
	for _, s := range []string{polygon(square, hole), framed(polygon(bowTie)), collection(framed(polygon(elevated))), `{"type":"MultiPolygon","coordinates":[[` + square + `]]}`, `{"type":"Polygon","coordinates":[[[]]]}`} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		outline, err := ReadBoundary(strings.NewReader(string(data)), "b.geojson")
		if err != nil {
			assert.Nil(t, outline)
			assert.True(t, fault.IsInput(err))
			return
		}
		assert.NotEmpty(t, outline)
		for _, p := range outline {
			for i, ring := range p {
				assert.True(t, ring.Closed() && len(ring) >= 4)
				if way := ring.Orientation(); way != 0 { // 0: too thin for float64 to tell
					assert.Equal(t, i == 0, way == orb.CCW)
				}
			}
		}
	})
}

func BenchmarkReadBoundary(b *testing.B) {
	for _, n := range []int{1000, maxBoundary - 1} {
		var ring strings.Builder
		for i := range n {
			at := 2 * math.Pi * float64(i) / float64(n)
			fmt.Fprintf(&ring, "[%.9f,%.9f],", math.Cos(at), math.Sin(at))
		}
		text := polygon("[" + ring.String() + "[1.000000000,0.000000000]]")
		b.Run(fmt.Sprintf("positions=%d", n), func(b *testing.B) {
			for b.Loop() {
				if _, err := ReadBoundary(strings.NewReader(text), "b.geojson"); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
