package rewrite

import (
	"math/rand/v2"
	"strconv"
	"testing"
	"time"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/planting"
	"wetfeet/cmd/internal/site"
	"wetfeet/hydro/weather"
	"wetfeet/terrain/quantity"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const text = `# mine
crs = "EPSG:32614"

[storm]
rain     = "100 mm"  # as in 2021
duration = "24 h"

[[row]]
name    = "A"   # by the lane
line    = [[500100.0, 3100000.0], [500110.0, 3100000.0]]
spacing = "2.5 m"
pattern = ["fig", "pecan"]

[[row]]
line    = [[500100.0, 3100010.0], [500110.0, 3100010.0]]
spacing = "2.5 m"
pattern = ["fig"]

[[tree]]
id    = "A-1"
mound = "20 cm"
`

// plan is what text says.
func plan() assess.Plan {
	return assess.Plan{
		CRS:  "EPSG:32614",
		Rain: weather.Storm{Rain: 100, Duration: 24 * time.Hour},
		Rows: []planting.Row{
			{Name: "A", Line: orb.LineString{{500100, 3100000}, {500110, 3100000}}, Spacing: 2.5, Pattern: []string{"fig", "pecan"}},
			{Name: "B", Line: orb.LineString{{500100, 3100010}, {500110, 3100010}}, Spacing: 2.5, Pattern: []string{"fig"}},
		},
		Told: []site.Tree{{ID: "A-1", Mound: 0.2}},
	}
}

func TestWhatIsNotChangedStaysAsItWasWritten(t *testing.T) {
	got, err := Site(text, plan(), plan())
	require.NoError(t, err)
	assert.Equal(t, text, got)
}

func TestChangesGoWhereTheyBelong(t *testing.T) {
	now := plan()
	now.Rain.Rain = 150
	now.Rows[0].Spacing = 3
	now.Rows[1] = planting.Row{Name: "New \"row\"", Line: orb.LineString{{500100, 3100020.004}, {500110, 3100020}}, Spacing: 4, Pattern: []string{"fig", ""}, Gaps: [][2]float64{{2, 3.5}}}
	now.Told = []site.Tree{{ID: "A-3", Species: "pawpaw", Mound: 0.3}}
	got, err := Site(text, plan(), now)
	require.NoError(t, err)
	assert.Equal(t, `# mine
crs = "EPSG:32614"

[storm]
rain     = "150 mm"  # as in 2021
duration = "24 h"

[[row]]
name    = "A"   # by the lane
line    = [[500100.0, 3100000.0], [500110.0, 3100000.0]]
spacing = "3 m"
pattern = ["fig", "pecan"]

[[row]]
name    = "New \"row\""
line    = [[500100.00, 3100020.00], [500110.00, 3100020.00]]
spacing = "4 m"
pattern = ["fig", "-"]
gaps    = [["2 m", "3.5 m"]]

[[tree]]
id      = "A-3"
species = "pawpaw"
mound   = "0.3 m"
`, got)
}

// The second row has its name from its place, and keeps it where the first
// goes.
func TestARowKeepsTheNameOfItsPlace(t *testing.T) {
	now := plan()
	now.Rows = now.Rows[1:]
	now.Told = nil
	got, err := Site(text, plan(), now)
	require.NoError(t, err)
	assert.Contains(t, got, `name    = "B"`)
	assert.NotContains(t, got, `"A"`)
}

// A mound written in tenths of an inch is never lower than was meant, and no
// more than a tenth higher.
func TestAMoundInInchesIsNoLowerThanMeant(t *testing.T) {
	w := &rewriting{units: quantity.Feet}
	rng := rand.New(rand.NewPCG(1, 2))
	for range 1000 {
		m := rng.Float64()
		said, err := strconv.Unquote(w.mound(m))
		require.NoError(t, err)
		got, err := quantity.Length(said, quantity.Feet)
		require.NoError(t, err)
		require.GreaterOrEqual(t, got, m-1e-8, said)
		require.Less(t, got, m+0.00254+1e-8, said)
	}
}

func TestWhatReadsOtherwiseIsTold(t *testing.T) {
	assert.NoError(t, Same(plan(), plan()))
	for want, change := range map[string]func(p *assess.Plan){
		"2 rows were to be written and 1 were":      func(p *assess.Plan) { p.Rows = p.Rows[:1] },
		`row "B" would not read as it was meant`:    func(p *assess.Plan) { p.Rows[1].Line[0][0] += 0.1 },
		"1 trees were to be told of and 0 were":     func(p *assess.Plan) { p.Told = nil },
		`tree "A-1" would not read as it was meant`: func(p *assess.Plan) { p.Told[0].Mound = 0.3 },
		"the storm would not read as it was meant":  func(p *assess.Plan) { p.Rain.Rain = 101 },
	} {
		got := plan()
		change(&got)
		assert.EqualError(t, Same(plan(), got), want)
	}
}
