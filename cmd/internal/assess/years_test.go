package assess

import (
	"context"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"wetfeet/cmd/internal/fault"
	"wetfeet/cmd/internal/ground"
	"wetfeet/hydro"
	"wetfeet/hydro/season"
	"wetfeet/hydro/storm"
	"wetfeet/hydro/weather"
	"wetfeet/species"
	"wetfeet/terrain"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// pitsWithYears is the plan of two pits as a raster, with trees in and beside
// them, and a record of eight invented years.
func pitsWithYears(t *testing.T) Plan {
	t.Helper()
	dir := t.TempDir()
	write := func(name, text string) string {
		path := filepath.Join(dir, name)
		require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
		return path
	}
	var asc, trees, days strings.Builder
	asc.WriteString("ncols 61\nnrows 41\nxllcorner 500000\nyllcorner 3100000\ncellsize 1\n")
	for row := range 41 {
		for col := range 61 {
			z := 10 - 0.01*float64(col) + 0.004*float64((row*7+col*3)%5)
			for _, middle := range []int{15, 45} {
				if max(abs(col-middle), abs(row-20)) <= 3 {
					z -= 0.3
				}
			}
			fmt.Fprintf(&asc, "%.3f ", z)
		}
		asc.WriteByte('\n')
	}
	trees.WriteString("id,x,y,species\n")
	for i, x := range []float64{5.5, 12.5, 13.5, 15.5, 17.5, 19.5, 30.5, 43.5, 45.5, 48.5, 50.5} {
		fmt.Fprintf(&trees, "T%d,%g,%g,Ficus carica\n", i, 500000+x, 3100020.5)
	}
	record := weather.WarmTemperate.Invent(3, 1991, 8)
	et, _, err := record.ReferenceET(28, 0)
	require.NoError(t, err)
	days.WriteString("date,rain_mm,et_mm\n")
	for i, mm := range record.Rain {
		fmt.Fprintf(&days, "%s,%.1f,%.1f\n", record.Time(i).Format(time.DateOnly), mm, et[i])
	}
	p := heavy
	p.Name, p.CRS, p.Error = "Two pits", utm, 0.03
	p.Ground = ground.Source{DEM: write("ground.asc", asc.String()), CRS: utm}
	p.Positions = write("trees.csv", trees.String())
	p.Season = SeasonPlan{File: write("rain.csv", days.String()), ReturnPeriod: 5}
	p.Odds = OddsPlan{Draws: 24, Seed: 5, Season: true}
	return p
}

// likeliest is the assessment of a plan by the likeliest answer alone, and what
// the plan gives to go on from there.
func likeliest(t *testing.T, p Plan) (*Result, given) {
	t.Helper()
	p.Odds.Off = true
	r, err := Run(context.Background(), p, nil)
	require.NoError(t, err)
	g, err := p.given()
	require.NoError(t, err)
	return r, g
}

// withTable is the plan with a water table that comes up to the roots in some
// winters.
func withTable(p Plan) Plan {
	p.Wells = []Well{{Name: "W", Depth: 0.7}}
	return p
}

// On the likeliest ground and in the likeliest soil a draw tells what the
// season tells, to the last bit.
func TestTheMiddleDrawIsThePlainSeason(t *testing.T) {
	for name, p := range map[string]Plan{"ponds": pitsWithYears(t), "a water table": withTable(pitsWithYears(t))} {
		t.Run(name, func(t *testing.T) {
			r, g := likeliest(t, p)
			common, _, err := r.seasonOptions(p, g.record)
			require.NoError(t, err)
			common.WaterTable = remembered(common.WaterTable, r.Drain.Ground.Frame)
			var watch []int
			for i := range r.Trees {
				watch = append(watch, r.Trees[i].cell)
			}
			s, err := season.RunSpells(context.Background(), r.Storm.Site, g.record, r.seasonOfDraw(common, chance{}, r.Storm.Site, watch), []float64{0, 0.1})
			require.NoError(t, err)
			wet := 0
			for i := range r.Trees {
				days := s.Longest(nil, 0, i)
				assert.Equal(t, r.Trees[i].LongestWetDays, season.Median(days), r.Trees[i].ID)
				rare, ok := r.Season.Once(i, 5)
				require.True(t, ok)
				assert.Equal(t, rare, once(days, 5), r.Trees[i].ID)
				if season.Median(days) > 0 {
					wet++
				}
			}
			assert.Greater(t, wet, 3)
		})
	}
}

// A draw is the season of its own ground and soil, carried through as if it
// were the only one. The higher the crown the shorter the spell, and what comes
// once in five years is no shorter than what half the years exceed.
func TestTheYearsOfADrawAreThoseOfItsGround(t *testing.T) {
	p := withTable(pitsWithYears(t))
	r, g := likeliest(t, p)
	require.NoError(t, r.runOdds(context.Background(), p, r.basis.ground, g, func(string) {}))
	o := r.Odds
	require.Equal(t, 24, o.Draws)
	common, _, err := r.seasonOptions(p, g.record)
	require.NoError(t, err)
	room, f := o.Ground.NewRoom(), o.Ground.Frame
	pair := [2]*terrain.Grid[float32]{terrain.NewGrid[float32](f), terrain.NewGrid[float32](f)}
	wet, differ := 0, 0
	for draw := range 6 {
		room.Pair(draw/2, pair[0].Cells, pair[1].Cells)
		site, err := storm.Prepare(hydro.FindHollowsDeep(pair[draw%2], o.MinDepth), storm.Options{})
		require.NoError(t, err)
		mine := common
		soil := &r.Storm.soils[0]
		rate := soil.rate(o.chance(draw))
		mine.Infiltration = []float64{rate}
		mine.Zones = []season.Zone{common.Zones[0]}
		mine.Zones[0].Drainage = rate
		for _, h := range []int{0, 1, 4} {
			mine.Positions = nil
			for _, cell := range o.Result.Watch {
				roots := storm.Roots{Crown: o.Heights[h], Depth: rootZone, Porosity: soil.Drainable.Likely, Drainage: rate}
				mine.Positions = append(mine.Positions, season.Position{Cell: cell, Roots: roots})
			}
			plain, err := season.Run(context.Background(), site, g.record, mine)
			require.NoError(t, err)
			for i := range mine.Positions {
				days := season.Median(plain.LongestSpells(i))
				require.Equal(t, float32(24*days), o.Years.of(o.Years.usual, h, i, o.Draws)[draw], "draw %d, %g m, tree %d", draw, o.Heights[h], i)
				if days > 0 {
					wet++
				}
			}
		}
	}
	for i := range o.Result.Watch {
		for h := range o.Heights {
			usual, rare := o.Years.of(o.Years.usual, h, i, o.Draws), o.Years.of(o.Years.rare, h, i, o.Draws)
			for d := range usual {
				require.GreaterOrEqual(t, rare[d], usual[d])
				if rare[d] > usual[d] {
					differ++
				}
				if h > 0 {
					require.LessOrEqual(t, usual[d], o.Years.of(o.Years.usual, h-1, i, o.Draws)[d])
				}
			}
		}
	}
	assert.Greater(t, wet, 50)
	assert.Greater(t, differ, 50)
	for i := range r.Trees {
		tree := &r.Trees[i]
		assert.LessOrEqual(t, tree.Usual.Low, tree.Usual.Likely)
		assert.LessOrEqual(t, tree.Usual.Likely, tree.Usual.High)
		assert.LessOrEqual(t, tree.Usual.High, tree.Rare.High)
		storm := *tree.Draws
		storm.Spell = nil
		tol := tree.Entry.Tolerance(species.Conditions{})
		assert.GreaterOrEqual(t, tree.Draws.Loss(tol, 0), storm.Loss(tol, 0), tree.ID)
		r.lengthen(tree)
		assert.Zero(t, tree.Draws.Times, "no factor where every draw has its own years")
	}
}

// The years have the same bits at any number of threads, and those of a run
// that was stopped are the beginning of one that was not.
func TestTheYearsOfDrawsDoNotDependOnThreads(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	p := pitsWithYears(t)
	r, g := likeliest(t, p)
	var first *Odds
	for _, n := range []int{1, 2, 3} {
		runtime.GOMAXPROCS(n)
		require.NoError(t, r.runOdds(context.Background(), p, r.basis.ground, g, func(string) {}))
		if first == nil {
			first = r.Odds
			continue
		}
		assert.Equal(t, first.Years.usual, r.Odds.Years.usual, "%d threads", n)
		assert.Equal(t, first.Years.rare, r.Odds.Years.rare, "%d threads", n)
	}
	runtime.GOMAXPROCS(2)
	p.Odds.Draws = 40
	var stop context.CancelFunc
	p.Odds.Until = func(ctx context.Context) (context.Context, context.CancelFunc) {
		ctx, stop = context.WithCancel(ctx)
		return ctx, stop
	}
	require.NoError(t, r.runOdds(context.Background(), p, r.basis.ground, g, func(stage string) {
		assert.Contains(t, stage, " s left")
		if strings.HasPrefix(stage, "odds 20 of 40 draws") {
			stop()
		}
	}))
	done := r.Odds.Draws
	require.GreaterOrEqual(t, done, 20)
	require.LessOrEqual(t, done, 24, "those under way are finished")
	for i := range r.Odds.Result.Watch {
		assert.Equal(t, first.Years.of(first.Years.usual, 0, i, done), r.Odds.Years.of(r.Odds.Years.usual, 0, i, done))
	}
	assert.Len(t, r.Trees[3].Draws.Spell[0], done)

	ctx, giveUp := context.WithCancel(context.Background())
	assert.ErrorIs(t, r.runOdds(ctx, p, r.basis.ground, g, func(string) { giveUp() }), context.Canceled)
}

// Without being asked for nothing of it is there; without a record it cannot be
// asked for, unless there are no draws.
func TestYearsOnDrawsWantARecord(t *testing.T) {
	p := pitsWithYears(t)
	p.Odds.Season = false
	r, err := Run(context.Background(), p, nil)
	require.NoError(t, err)
	assert.Nil(t, r.Odds.Years)
	for i := range r.Trees {
		assert.Nil(t, r.Trees[i].Draws.Spell)
		assert.True(t, math.IsNaN(r.Trees[i].Usual.Likely))
	}

	p.Season, p.Odds.Season = SeasonPlan{}, true
	_, err = Run(context.Background(), p, nil)
	assert.EqualError(t, err, "odds, season: the years of weather were asked for on every draw, and there is no record of them; give one in the site file, as rain in [season], or leave the odds to the storm")
	assert.True(t, fault.IsInput(err))
	p.Odds.Off = true
	_, err = Run(context.Background(), p, nil)
	assert.NoError(t, err)
}

// More draws than there is memory for are told with the years counted, before
// any memory is asked for.
func TestTheYearsOfDrawsCountInMemory(t *testing.T) {
	p := pitsWithYears(t)
	r, g := likeliest(t, p)
	p.Odds.Draws = 100_000_000
	fit := func() string {
		err := r.runOdds(context.Background(), p, r.basis.ground, g, func(string) {})
		require.ErrorContains(t, err, "odds.draws: ")
		return err.Error()
	}
	with := fit()
	p.Odds.Season = false
	assert.NotEqual(t, with, fit())
}
