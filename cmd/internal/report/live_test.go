package report

import (
	"bytes"
	"crypto/sha256"
	"encoding/base64"
	"encoding/binary"
	"html"
	"image/png"
	"math"
	"regexp"
	"strings"
	"testing"

	"wetfeet/cmd/internal/site"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The level read under the pointer is that of the ground, to half a step.
func TestLiveMapCarriesTheGround(t *testing.T) {
	r := sites(t)["an orchard"]
	v, err := liveMapOf(r)
	require.NoError(t, err)
	g := r.Drain.Ground
	require.Equal(t, [2]int{g.Rows, g.Cols}, [2]int{v.Levels.Rows, v.Levels.Cols})
	b, err := base64.StdEncoding.DecodeString(v.Levels.Cells)
	require.NoError(t, err)
	for i, z := range g.Cells {
		n := binary.LittleEndian.Uint16(b[2*i:])
		if z != z {
			assert.EqualValues(t, 65535, n)
			continue
		}
		assert.InDelta(t, float64(z), v.Levels.Lowest+float64(n)*v.Levels.Step, v.Levels.Step/2+1e-6)
	}
}

// Every tree is where it stands, to half a unit, and has its row in the table.
func TestLiveMapHasEveryTree(t *testing.T) {
	r := sites(t)["an orchard"]
	v, err := liveMapOf(r)
	require.NoError(t, err)
	require.Len(t, v.Trees, len(r.Trees))
	page := pageOf(t, r)
	for i, tree := range v.Trees {
		p := r.Trees[i].Point
		assert.InDelta(t, p[0], v.West+float64(tree.X)*v.Unit, v.Unit)
		assert.InDelta(t, p[1], v.North-float64(tree.Y)*v.Unit, v.Unit)
		assert.Equal(t, r.Trees[i].ID, tree.ID)
	}
	assert.Equal(t, len(r.Trees), strings.Count(page, ` data-tree="`))
	for _, address := range []string{v.Shade, v.Storm} {
		picture, err := base64.StdEncoding.DecodeString(strings.TrimPrefix(address, "data:image/png;base64,"))
		require.NoError(t, err)
		_, err = png.Decode(bytes.NewReader(picture))
		assert.NoError(t, err)
	}
}

// Content Security Policy Level 3 (W3C): a script runs when the SHA-256 of its
// text, in base64, is named.
func TestPageRunsOnlyItsOwnScript(t *testing.T) {
	page := pageOf(t, sites(t)["no hollows"])
	policy := html.UnescapeString(regexp.MustCompile(`Content-Security-Policy" content="([^"]*)"`).FindStringSubmatch(page)[1])
	scripts := regexp.MustCompile(`(?s)<script>(.*?)</script>`).FindAllStringSubmatch(page, -1)
	require.Len(t, scripts, 1)
	sum := sha256.Sum256([]byte(scripts[0][1]))
	assert.Contains(t, policy, "script-src 'sha256-"+base64.StdEncoding.EncodeToString(sum[:])+"';")
	assert.NotContains(t, policy, "script-src 'unsafe-inline'")
	assert.NotRegexp(t, ` on[a-z]+="`, page)
}

// Ditches and pipes of the plan are on the map, downstream, to the nearest unit.
func TestMapHasDitchesAndPipes(t *testing.T) {
	r := sites(t)["clay that holds its water"]
	g := r.Drain.Ground
	v, err := liveMapOf(r)
	require.NoError(t, err)
	assert.Empty(t, v.Links)
	r.Links = []site.Link{{Name: "Ditch <1>", Ditch: true, Line: orb.LineString{{g.West + 1, g.North - 2}, {g.West + 4, g.North - 1}}}, {Name: "Culvert", Line: orb.LineString{{g.West, g.North}}}}
	v, err = liveMapOf(r)
	require.NoError(t, err)
	unit := func(m float64) int { return int(math.Round(m / v.Unit)) }
	assert.Equal(t, []liveLink{{"Ditch <1>", true, []int{unit(1), unit(2), unit(4) - unit(1), unit(1) - unit(2)}}, {"Culvert", false, []int{0, 0}}}, v.Links)
	assert.NotContains(t, pageOf(t, r), "Ditch <1>")
}
