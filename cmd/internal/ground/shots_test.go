package ground

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"wetfeet/terrain"
	"wetfeet/terrain/survey/fieldbook"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func file(t *testing.T, name, text string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
	return path
}

// A book joins the codes it calls lines and no others, and close brings a line
// back to its first point.
func TestLinesOfABookAreThoseItSays(t *testing.T) {
	book := file(t, "book.csv", `units: m
sheet: laser
instrument height: 100
point, reading, x, y, code
a, 1.0, 0, 0, edge 1
b, 1.1, 10, 0, edge 1
c, 1.2, 10, 10, edge 1 close
d, 1.3, 3, 5, tree
e, 1.4, 6, 5, tree
f, 1.4, 6, 7, ditch
`)
	shots, err := ReadShots(Source{SpotHeights: book, OwnGrid: true}, "")
	require.NoError(t, err)
	assert.Empty(t, shots.CRS, "a grid of its own")
	require.Len(t, shots.Lines, 1)
	l := shots.Lines[0]
	assert.Equal(t, "edge 1", l.Name)
	assert.Equal(t, orb.LineString{{0, 0}, {10, 0}, {10, 10}, {0, 0}}, l.Line)
	assert.InDeltaSlice(t, []float64{99, 98.9, 98.8, 99}, l.Z, 1e-9)
}

func TestLineOfABookWithoutAHeightAtEveryPointHasNone(t *testing.T) {
	text, err := fieldbook.Template("tape")
	require.NoError(t, err)
	shots, err := ReadShots(Source{SpotHeights: file(t, "book.csv", text), OwnGrid: true}, "")
	require.NoError(t, err)
	require.Len(t, shots.Lines, 1)
	assert.Equal(t, shots.Lines[0].Line[0], shots.Lines[0].Line[len(shots.Lines[0].Line)-1], "closed, as the template says")

	shots, err = ReadShots(Source{SpotHeights: file(t, "more.csv", `sheet: points
point, x, y
P, 0, 0
Q, 10, 0
sheet: tape
base: P-Q, from P, to Q
point, along, offset, code
g, 1, 0, ditch
h, 5, 0, ditch
i, 9, 2 L, ditch
sheet: laser
instrument height: 10
point, reading
g, 1
i, 2
`), OwnGrid: true}, "")
	require.NoError(t, err)
	require.Len(t, shots.Lines, 1)
	assert.Len(t, shots.Lines[0].Line, 3, "the taped bend counts, though it has no height")
	assert.Nil(t, shots.Lines[0].Z)
}

// Lines in the zone next door come to lie among the shots.
func TestLinesAreBroughtFromTheSystemTheyName(t *testing.T) {
	shots := file(t, "shots.csv", "lon,lat,z\n-96.0001,29,10\n-96,29.0001,10\n-95.9999,29,10\n")
	lines := file(t, "lines.geojson", `{"type":"FeatureCollection",
"crs":{"type":"name","properties":{"name":"urn:ogc:def:crs:EPSG::32614"}},"features":[
{"type":"Feature","properties":{"kind":"ditch"},"geometry":{"type":"LineString","coordinates":[[792230,3211500],[792250,3211500]]}}]}`)
	got, err := ReadShots(Source{SpotHeights: shots, Lines: lines}, "EPSG:32615")
	require.NoError(t, err)
	require.Len(t, got.Lines, 1)
	east, north := got.Shots[0].Point[0], got.Shots[0].Point[1]
	assert.InDelta(t, east, got.Lines[0].Line[0][0], 1000)
	assert.InDelta(t, north, got.Lines[0].Line[0][1], 1000)
}

// A shot off the raster must not shift the name of the one to look at again.
func TestDoubtfulShotOnARasterIsNamedRight(t *testing.T) {
	var b strings.Builder
	b.WriteString("name,x,y,z\noff,400000,3000000,96\n")
	tile, err := Load(t.Context(), Source{DEM: heronBend + "ground.tif"})
	require.NoError(t, err)
	for i := range 36 {
		p := orb.Point{500110 + 20*float64(i%6), 3100010 + 15*float64(i/6)}
		z, ok := terrain.AtPoint(tile.Grid, p)
		require.True(t, ok)
		if i == 14 {
			z++ // a metre misread
		}
		fmt.Fprintf(&b, "s%d,%.1f,%.1f,%.3f\n", i, p[0], p[1], z+0.004*float32(i%3))
	}
	g, err := Load(t.Context(), Source{DEM: heronBend + "ground.tif", SpotHeights: file(t, "shots.csv", b.String()), CRS: "EPSG:32614", Error: 0.01})
	require.NoError(t, err)
	require.NotEmpty(t, g.Survey.Suspects)
	assert.Equal(t, "s14", g.Survey.Shots.Shots[g.Survey.Suspects[0].Index].Name)
	assert.Contains(t, strings.Join(g.Remarks, "\n"), "look again at shot s14")
}

const heronBend = "../../../testdata/heron-bend/"
