package assess

import (
	"fmt"
	"math"
	"path/filepath"
	"testing"
	"time"

	"wetfeet/cmd/internal/fault"
	"wetfeet/cmd/internal/ground"
	"wetfeet/cmd/internal/logbook"
	"wetfeet/cmd/internal/planting"
	"wetfeet/cmd/internal/site"
	"wetfeet/hydro/learn"
	"wetfeet/hydro/soil"
	"wetfeet/hydro/weather"
	"wetfeet/terrain"
	"wetfeet/terrain/raster"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// pans is a plane that falls 1 in 100 to the east with three square pans in it,
// 20 m wide and 0.6 m deep below their eastern rims, a tree in the middle of
// each, 1 to 3 from the west. It is known to a millimetre, and the storm more
// than fills them.
func pans(t *testing.T) Plan {
	t.Helper()
	z := terrain.NewGrid[float32](terrain.Frame{Rows: 40, Cols: 120, North: 3_000_040, West: 500_000, CellSize: 1, CRS: utm})
	for i := range z.Cells {
		row, col := z.Cell(i)
		h := 10 - 0.01*float64(col)
		if in := col % 40; in >= 10 && in < 30 && row >= 10 && row < 30 {
			h = 10 - 0.01*float64(col-in+30) - 0.6
		}
		z.Cells[i] = float32(h)
	}
	path := filepath.Join(t.TempDir(), "pans.tif")
	require.NoError(t, raster.Write(path, z))
	return Plan{
		Ground: ground.Source{DEM: path}, Error: 0.001, CRS: utm,
		Rain: weather.Storm{Rain: 1000, Duration: 24 * time.Hour}, Soil: soil.Known{Texture: "clay", Measured: 0.05},
		Rows: []planting.Row{{Name: "p", Line: orb.LineString{{500_020.5, 3_000_020.5}, {500_101.5, 3_000_020.5}}, Spacing: 40, Pattern: []string{"Salix nigra"}}},
		Odds: OddsPlan{Draws: 40},
	}
}

// read is a depth that was read at a tree as the rain ended.
func read(tree int, metres float64) logbook.Observation {
	at := func(s string) logbook.When {
		w, err := logbook.ParseWhen(s)
		if err != nil {
			panic(err)
		}
		return w
	}
	return logbook.Observation{ID: int64(tree), Tree: fmt.Sprintf("p-%d", tree), Seen: at("2026-03-01 18:00"), Depth: &metres,
		Storm: logbook.Storm{Ended: at("2026-03-01 18:00"), Rain: 1000, Hours: 24}}
}

// normal is the 10, 50 and 90 % points of a normal distribution.
func normal(mean, sd float64) Interval {
	return Interval{mean - soil.Ninth*sd, mean, mean + soil.Ninth*sd}
}

func assertInterval(t *testing.T, want, got Interval, within float64) {
	t.Helper()
	assert.InDelta(t, want.Low, got.Low, within, "%+v", got)
	assert.InDelta(t, want.Likely, got.Likely, within, "%+v", got)
	assert.InDelta(t, want.High, got.High, within, "%+v", got)
}

// Full pans whose ground is known leave nothing open but the readings, of which
// those that share an offset with a normal error each have it in closed form:
// its mean is shrunk by the variance of the mean reading over that and the
// prior (Raiffa and Schlaifer 1961, chapter 11).
func TestDepthsThatAreAllOffAlikeTellOfTheStaff(t *testing.T) {
	const off = 0.03
	plan := pans(t)
	var seen []logbook.Observation
	for i, more := range []float64{0.004, -0.006, 0.002} {
		seen = append(seen, read(i+1, 0.6+off+more))
	}
	_, l, err := Learn(t.Context(), plan, seen, LearnOptions{Draws: 400}, nil)
	require.NoError(t, err)
	variance := depthError * depthError / 3
	share := staffError * staffError / (staffError*staffError + variance)
	assertInterval(t, normal(0, staffError), l.Staff[0], 1e-3)
	assertInterval(t, normal(share*off, math.Sqrt(share*variance)), l.Staff[1], 2e-3)
	assert.True(t, math.IsNaN(l.Datum[0].Likely), "no level comes from elsewhere")
	assert.Zero(t, l.Plan.Learned.Datum)

	_, one, err := Learn(t.Context(), plan, seen[:1], LearnOptions{Draws: 100}, nil)
	require.NoError(t, err)
	assert.True(t, math.IsNaN(one.Staff[0].Likely), "one place does not tell the staff from the ground")
}

// Pipes of a stated level let the water of two pans down to it, so that how
// deep it stands tells how high the ground lies against the pipes; the third
// pan, without one, tells of the staff alone. Both follow from the normal
// equations of the readings.
func TestDepthsBehindPipesTellOfTheDatum(t *testing.T) {
	const lower = -0.06
	plan := pans(t)
	for i, rim := range []float64{9.7, 9.3} { // of the pans, whose floors lie 0.6 m lower
		level := rim - 0.3
		x := 500_020.5 + 40*float64(i)
		plan.Links = append(plan.Links, site.Link{Name: fmt.Sprint(i), Where: "a pipe: pipe", Line: orb.LineString{{x, 3_000_020.5}, {x, 2_999_990}}, Invert: &level})
	}
	seen := []logbook.Observation{read(1, 0.3-lower), read(2, 0.3-lower), read(3, 0.6)}
	_, l, err := Learn(t.Context(), plan, seen, LearnOptions{Draws: 400}, nil)
	require.NoError(t, err)
	// Readings less what was expected: −c + b, −c + b and b, the prior variances
	// of c and b on the diagonal.
	e := 1 / (depthError * depthError)
	a, b, d := 2*e+1/(datumError*datumError), -2*e, 3*e+1/(staffError*staffError)
	r1, r2 := -2*e*-lower, 2*e*-lower
	det := a*d - b*b
	assertInterval(t, normal(0, datumError), l.Datum[0], 1e-3)
	assertInterval(t, normal((d*r1-b*r2)/det, math.Sqrt(d/det)), l.Datum[1], 4e-3)
	assertInterval(t, normal((a*r2-b*r1)/det, math.Sqrt(a/det)), l.Staff[1], 3e-3)
	assert.Equal(t, l.Datum[1].Likely, l.Plan.Learned.Datum)

	// The plan that has learned it foresees about what was read.
	next := l.Plan
	next.Odds.Off = true
	r, err := Run(t.Context(), next, nil)
	require.NoError(t, err)
	assert.InDelta(t, 0.3-l.Datum[1].Likely, r.Trees[0].StormDepth, 2e-3)
	assert.InDelta(t, 0.6, r.Trees[2].StormDepth, 2e-3)

	// Its odds carry the doubt that is left, and without learning the usual one.
	assert.InDelta(t, math.Sqrt(d/det), next.Learned.DatumError, 3e-3)
	wide := func(p Plan) float64 {
		p.Odds = OddsPlan{Draws: 200, Seed: 2}
		r, err := Run(t.Context(), p, nil)
		require.NoError(t, err)
		return r.Trees[0].Depths.High - r.Trees[0].Depths.Low
	}
	next.Learned.DatumError = 0.01
	assert.InDelta(t, 2*soil.Ninth*0.01, wide(next), 0.015)
	assert.InDelta(t, 2*soil.Ninth*datumError, wide(plan), 0.025)
}

// An auger hole makes a water table where nobody stated one, and the plan that
// has learned it has it there.
func TestAnAugerHoleMakesAWaterTable(t *testing.T) {
	plan := pans(t)
	day := func(s string) logbook.When {
		w, err := logbook.ParseWhen(s)
		require.NoError(t, err)
		return w
	}
	deep, later := 0.9, 0.8
	r, err := Run(t.Context(), func() Plan { p := plan; p.Odds.Off = true; return p }(), nil)
	require.NoError(t, err)
	require.Nil(t, r.WaterTable)
	seen := []logbook.Observation{
		{ID: 1, Tree: "p-1", Seen: day("2026-02-01"), WaterTable: &deep},
		{ID: 2, Tree: "p-2", Seen: day("2026-02-01"), WaterTable: &later},
	}
	_, l, err := Learn(t.Context(), plan, seen, LearnOptions{Draws: 200}, nil)
	require.NoError(t, err)
	assert.Empty(t, l.Remarks)
	assert.True(t, math.IsNaN(l.Table[0].Likely), "nothing was stated that could be off")
	require.Len(t, l.Wells, 2)
	for i, want := range []float64{deep, later} {
		// Two readings, and next to nothing known before.
		assertInterval(t, normal(want, augerError/math.Sqrt2), l.Wells[i].Depth, 1e-2)
	}
	require.Len(t, l.Plan.Learned.Wells, 2)
	next := l.Plan
	next.Odds.Off = true
	after, err := Run(t.Context(), next, nil)
	require.NoError(t, err)
	require.NotNil(t, after.WaterTable)
	assert.InDelta(t, deep, after.Trees[0].WaterTable, 0.02)
	assert.InDelta(t, later, after.Trees[1].WaterTable, 0.02)
}

// All observations outside the site are told at once.
func TestObservationsOutsideTheSiteAreAtFault(t *testing.T) {
	seen := []logbook.Observation{read(1, 0.6), read(2, 0.6), read(3, 0.6)}
	for i := range 2 {
		seen[i].Tree, seen[i].At = "", &orb.Point{-99.5, 28.5}
	}
	_, _, err := Learn(t.Context(), pans(t), seen, LearnOptions{Draws: 20}, nil)
	require.True(t, fault.IsInput(err), "%v", err)
	assert.ErrorContains(t, err, "observation 1 of 2026-03-01 18:00, -99.50000, 28.50000: lies outside the site; mend its place or take it out of the book\nobservation 2 of ")
}

// By hand: a day without a time is off by 6 h, one standard deviation, and how
// long a place takes to dry by a fifth of itself besides an hour.
func TestWhenAPlaceDriedOut(t *testing.T) {
	when := func(s string) (w logbook.When) {
		if s != "" {
			var err error
			w, err = logbook.ParseWhen(s)
			require.NoError(t, err)
		}
		return w
	}
	between := func(ended, wet, dry string) learn.Between {
		return dried(&logbook.Observation{Storm: logbook.Storm{Ended: when(ended)}, LastWet: when(wet), DriedOut: when(dry)})
	}
	got := between("2026-03-01 12:00", "2026-03-03 12:00", "2026-03-04 12:00")
	assert.Equal(t, []float64{48, 72}, []float64{got.Low, got.High})
	assert.InDelta(t, math.Hypot(0.2*60, 1), got.Error, 1e-12)

	got = between("2026-03-01", "2026-03-03", "2026-03-04")
	assert.Equal(t, []float64{48, 72}, []float64{got.Low, got.High})
	assert.InDelta(t, math.Sqrt(3*36+0.2*60*0.2*60+1), got.Error, 1e-12)

	got = between("2026-03-01 12:00", "2026-03-03 12:00", "")
	assert.Equal(t, []float64{48, math.Inf(1)}, []float64{got.Low, got.High})
	assert.InDelta(t, math.Hypot(0.2*48, 1), got.Error, 1e-12)

	got = between("2026-03-01 12:00", "", "2026-03-04 12:00")
	assert.Equal(t, []float64{48, 72}, []float64{got.Low, got.High}, "a look a day before would have found it wet")
	assert.Equal(t, 84.0, between("2026-03-01 12:00", "", "2026-03-04").High, "at any hour of that day")

	got = between("2026-03-01 12:00", "2026-03-04", "2026-03-04 06:00")
	assert.Equal(t, got.Low+1, got.High, "a day cannot end before it began")
}
