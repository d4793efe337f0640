package site

import (
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestWorks(t *testing.T) {
	s, err := parse(`units = "feet"
crs = "EPSG:32614"
[[work]]
name = "Bed north"
kind = "bed"
line = [[500000, 3100000], [500020, 3100000]]
height = "1 ft"
width = "5 ft"
[[work]]
kind = "mound"
at = [500000, 3100010]
height = 2
[[work]]
kind = "Wall"
line = [[500000, 3100020], [500020, 3100020]]
height = "50 cm"
`, File{Name: "site.toml"})
	require.NoError(t, err)
	assert.Equal(t, []Work{
		{"Bed north", `site.toml:3: work "Bed north"`, Bed, orb.LineString{{500000, 3100000}, {500020, 3100000}}, 0.3048, 1.524},
		{"2", `site.toml:9: work "2"`, Mound, orb.LineString{{500000, 3100010}}, 0.6096, 1},
		{"3", `site.toml:13: work "3"`, Wall, orb.LineString{{500000, 3100020}, {500020, 3100020}}, 0.5, 0.3},
	}, s.Works)

	_, err = parse(`crs = "EPSG:32614"
[[work]]
kind = "hill"
height = "1 m"
[[work]]
kind = "bed"
at = [1, 2]
height = "4 m"
[[work]]
kind = "mound"
line = [[1, 2], [3, 4]]
height = 0
[[work]]
at = [1, 2]
wide = 3
`, File{Name: "site.toml"})
	assert.EqualError(t, err, `site.toml:3: work "1", kind: found "hill"; one of "bed", "mound" and "wall" is needed
site.toml:5: work "2": a bed lies along a line: give line = [[x, y], [x, y]], and no at
site.toml:8: work "2", height: 4.00 m is more than the 3.00 m that are taken; a length such as "40 cm" is needed
site.toml:9: work "3": a mound lies around a place: give at = [x, y], and no line
site.toml:12: work "3", height: is zero; it must be more, such as "40 cm"
site.toml:13: work "4": has no kind; every work is a mound, a bed or a wall, and so high
site.toml:13: work "4": has no height; every work is a mound, a bed or a wall, and so high
site.toml:15: work "4": "wide" is not a known key; the nearest is "line"`)
}
