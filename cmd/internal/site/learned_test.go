package site

import (
	"strings"
	"testing"
	"time"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What wetfeet learn writes is read back, and what it wrote before is gone.
func TestWhatWasLearnedIsWrittenAndReadBack(t *testing.T) {
	want := Learned{
		Book: `a "book".gpkg`, Soaking: 1.512, Spread: 0.082, WaterTable: -0.125, Datum: 0.042, DatumError: 0.019,
		Wells:   []LearnedWell{{orb.Point{500100, 3100028.75}, 0.812, time.Date(2026, 2, 20, 0, 0, 0, 0, time.UTC)}, {At: orb.Point{500110.5, 3100030}, Depth: 1.1}},
		Species: []LearnedSpecies{{"Ficus carica", 6.5}, {"Prunus americana", 0.79}},
		Ground:  []LearnedGround{{orb.Point{500132.25, 3100028.75}, 96.231, 0.023}},
	}
	const old = "name = \"Heron Bend\"\ncrs = \"EPSG:32614\"\n\n[learned]\nsoaking = \"9 mm/h\"\nsoaking_spread = 0.3\n[[learned.ground]]\nat = [500000, 3100000]\nz = 90\nerror = 0.1\n[[learned.well]]\nat = [500000, 3100000]\ndepth = 1\n\n[soil]\ntexture = \"clay loam\" # kept\n"
	text := WithLearned([]byte(old), want, 1)
	s, err := parse(string(text), File{Name: "site.toml"})
	require.NoError(t, err, string(text))
	assert.Equal(t, want, s.Learned)
	assert.Equal(t, "clay loam", s.Soil.Texture)
	assert.Contains(t, string(text), "# kept")
	again := WithLearned(text, Learned{}, 1)
	s, err = parse(string(again), File{Name: "site.toml"})
	require.NoError(t, err)
	assert.False(t, s.Learned.Given())
	assert.LessOrEqual(t, strings.Count(string(WithLearned(text, want, 1)), "[learned]"), 1)
}

// Places of a site that was taped in feet are read in feet, so they are written
// so.
func TestWhatWasLearnedOfASiteInFeetIsReadBack(t *testing.T) {
	want := Learned{
		Wells:  []LearnedWell{{At: orb.Point{15.24, 12.192}, Depth: 1.1}},
		Ground: []LearnedGround{{orb.Point{15.25, 12.25}, 94.808, 0.032}},
	}
	text := WithLearned([]byte("units = \"feet\"\norigin = [-97.25, 30.5]\n"), want, 0.3048)
	s, err := parse(string(text), File{Name: "site.toml"})
	require.NoError(t, err, string(text))
	assert.Contains(t, string(text), "at    = [50, 40]")
	require.Len(t, s.Learned.Wells, 1)
	require.Len(t, s.Learned.Ground, 1)
	for axis := range 2 {
		assert.InDelta(t, want.Wells[0].At[axis], s.Learned.Wells[0].At[axis], 1e-9)
		assert.InDelta(t, want.Ground[0].At[axis], s.Learned.Ground[0].At[axis], 1e-9)
	}
}

func TestBadLearningIsToldAtOnce(t *testing.T) {
	_, err := parse("[learned]\nsoaking = \"fast\"\nwater_table = \"x\"\n[[learned.species]]\nname = \"fig\"\nfactor = 99\n[[learned.species]]\nfactor = \"2\"\n[[learned.ground]]\nz = 3\n[[learned.well]]\ndepth = \"-1 m\"\ndate = \"soon\"\n", File{Name: "site.toml"})
	require.Error(t, err)
	for _, want := range []string{
		`site.toml:2: learned, soaking: "fast" is not a rate`,
		`site.toml:1: learned: soaking and soaking_spread belong together`,
		`site.toml:3: learned, water_table: "x" is not`,
		`site.toml:6: learned species 1, factor: found 99; a factor on the days it bears is needed, from 0.05 to 20`,
		`site.toml:8: learned species 2, factor: found "2"; a number is needed`,
		`site.toml:13: learned well 1, date: found "soon"; a day is needed, such as 2024-03-01`,
		`every well needs a place and a depth`,
		`every height needs its place and its error`,
	} {
		assert.ErrorContains(t, err, want)
	}
}
