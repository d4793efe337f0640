package odds

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"math"
	"slices"
	"sync"
	"testing"

	"wetfeet/hydro"
	"wetfeet/hydro/storm"
	"wetfeet/terrain"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// onRim is a source of draws with voids in a corner.
func onRim(side int) waves {
	return waves{frame: square(side), noise: 0.005, void: func(row, col int) bool { return row+col < 8 }}
}

// plainly runs the storm of one draw as an assessment of that ground alone
// does, cell by cell, and all hollows kept.
func plainly(t *testing.T, z *terrain.Grid[float32], w Weather, links []storm.Link) (*storm.Site, *storm.History) {
	t.Helper()
	site, err := storm.Prepare(hydro.FindHollows(z), storm.Options{Links: links})
	require.NoError(t, err)
	m := site.Simulate(nil, w.Loss(site))
	for _, s := range w.Steps {
		runoff := 0.0
		if s.Runoff != nil {
			runoff = s.Runoff[0]
		}
		m.Step(storm.Step{Hours: s.Hours, Inflow: site.Runoff(runoff), Evaporation: s.Evaporation})
	}
	return site, m.History()
}

// A draw is the plain storm on its ground, with all hollows: the depth as an
// assessment takes it from the highest level over the floor of the hollow that
// a cell drains to, the hours from the spans in which the roots are wet, and a
// cell is ponded if it was under that much water for any time.
func TestEveryDrawIsThePlainStormOnItsGround(t *testing.T) {
	const hair = 1e-9 // leaves out no hollow that float32 can tell
	s := onRim(90)
	o := asked(s, 5)
	o.MinDepth = hair
	r, err := Run(context.Background(), o)
	require.NoError(t, err)
	require.Equal(t, 5, r.Draws)
	z := terrain.NewGrid[float32](s.frame)
	ponded := make([]int, z.Len())
	wet := 0
	for draw := range r.Draws {
		s.ground(uint64(draw), z.Cells)
		w := showers(draw)
		site, h := plainly(t, z, w, nil)
		for c, v := range z.Cells {
			if !terrain.IsVoid(v) && len(h.UnderWater(c, hair)) > 0 {
				ponded[c]++
			}
		}
		for i, c := range r.Watch {
			if terrain.IsVoid(z.Cells[c]) {
				assert.True(t, terrain.IsVoid(r.Depth(i)[draw]))
				assert.True(t, terrain.IsVoid(r.Hours(0, i)[draw]))
				continue
			}
			depth := 0.0
			for k, height := range r.Heights {
				roots := w.Roots(0)
				roots.Crown = height
				hours := storm.Total(h.RootsWet(c, roots))
				require.Equal(t, float32(hours), r.Hours(k, i)[draw], "draw %d, cell %d, %g m", draw, c, height)
				if leaf := int(site.Hollows().Inner[c]) - 1; k == 0 && hours > 0 && leaf >= 0 {
					depth = max(0, h.Peak(leaf).Level-float64(z.Cells[c]))
				}
			}
			require.Equal(t, float32(depth), r.Depth(i)[draw], "draw %d, cell %d", draw, c)
			if depth > 0 {
				wet++
			}
		}
	}
	assert.Greater(t, wet, 50)
	for c, n := range ponded {
		if terrain.IsVoid(z.Cells[c]) {
			assert.True(t, terrain.IsVoid(r.Ponding.Cells[c]))
			continue
		}
		require.Equal(t, float32(float64(n)/5), r.Ponding.Cells[c], "cell %d", c)
	}
}

// Without the hollows that are too shallow to matter, what stands in the rest
// is not the same to the last drop: the water of those left out has run on.
// But no cell that was ponded in a centimetre is then dry, nor is it less deep.
func TestHollowsTooShallowToPondPassTheirWaterOn(t *testing.T) {
	s := onRim(90)
	o := asked(s, 2)
	o.Watch = nil
	for c := range s.frame.Len() {
		o.Watch = append(o.Watch, c)
	}
	r, err := Run(context.Background(), o)
	require.NoError(t, err)
	assert.Equal(t, 0.01, r.MinDepth)
	z := terrain.NewGrid[float32](s.frame)
	var both, more int
	for draw := range r.Draws {
		s.ground(uint64(draw), z.Cells)
		_, all := plainly(t, z, showers(draw), nil)
		for i, c := range r.Watch {
			if terrain.IsVoid(z.Cells[c]) || len(all.UnderWater(c, 0.01)) == 0 {
				continue
			}
			both++
			if r.Depth(i)[draw] > 0.01 {
				more++
			}
		}
	}
	assert.Greater(t, both, 50)
	assert.Equal(t, both, more)
}

// everything is all that a result holds, as bytes.
func everything(t *testing.T, r *Result) []byte {
	t.Helper()
	var b bytes.Buffer
	put := func(v any) { require.NoError(t, binary.Write(&b, binary.LittleEndian, v)) }
	put(int64(r.Draws))
	put(r.Ponding.Cells)
	for i := range r.Watch {
		put(r.Depth(i))
		for h := range r.Heights {
			put(r.Hours(h, i))
		}
	}
	for _, h := range r.Hollows {
		put(h.Real)
		put(h.Volume)
		put(h.Depth)
	}
	for _, l := range r.LeftOut {
		put(int64(l.Draws))
		b.WriteString(l.Name + l.Why)
	}
	return b.Bytes()
}

// known are the hollows of a draw.
func known(s waves, draw uint64) []Known {
	z := terrain.NewGrid[float32](s.frame)
	s.ground(draw, z.Cells)
	h := hydro.FindHollowsDeep(z, 0.02)
	var list []Known
	for i := range h.All {
		list = append(list, KnownOf(h, i))
	}
	return list
}

func TestSameBytesForAnyNumberOfWorkers(t *testing.T) {
	s := onRim(80)
	var want []byte
	for _, workers := range []int{1, 2, 3, 0} {
		o := asked(s, 9)
		o.Workers, o.Hollows, o.Links = workers, known(s, 100), drains(t)
		r, err := Run(context.Background(), o)
		require.NoError(t, err)
		got := everything(t, r)
		if want == nil {
			want = got
			require.NotEmpty(t, r.Hollows)
			require.NotEmpty(t, r.LeftOut)
		}
		assert.True(t, bytes.Equal(want, got), "%d workers", workers)
	}
}

// A run that was stopped is the beginning of one that was not.
func TestStoppedRunKeepsWhatIsDone(t *testing.T) {
	s := onRim(60)
	stopped := errors.New("enough")
	for _, workers := range []int{1, 2, 3} {
		ctx, stop := context.WithCancelCause(context.Background())
		o := asked(s, 41)
		o.Workers, o.Hollows = workers, known(s, 100)
		var told []int
		o.Progress = func(done, all int) {
			assert.Equal(t, 41, all)
			told = append(told, done)
			if done == 7 {
				stop(stopped)
			}
		}
		part, err := Run(ctx, o)
		require.ErrorIs(t, err, stopped)
		require.NotNil(t, part)
		assert.GreaterOrEqual(t, part.Draws, 7)
		assert.Less(t, part.Draws, 7+2*workers)
		assert.Len(t, told, part.Draws)
		assert.True(t, slices.IsSorted(told))

		o.Draws, o.Progress = part.Draws, nil
		whole, err := Run(context.Background(), o)
		require.NoError(t, err)
		assert.True(t, bytes.Equal(everything(t, whole), everything(t, part)), "%d workers", workers)
	}
	ctx, stop := context.WithCancelCause(context.Background())
	stop(stopped)
	none, err := Run(ctx, asked(s, 4))
	assert.ErrorIs(t, err, stopped)
	assert.Nil(t, none)
}

// The observer is shown the site and the history of every draw.
func TestObserverSeesEveryDrawOnce(t *testing.T) {
	s := onRim(40)
	o := asked(s, 7)
	var lock sync.Mutex
	seen := map[int]float64{}
	o.Observe = func(draw int, site *storm.Site, h *storm.History) {
		lock.Lock()
		defer lock.Unlock()
		seen[draw] = h.In
		for i := range site.Hollows().All { // all of them are watched
			assert.NotEmpty(t, h.Levels(i))
		}
	}
	_, err := Run(context.Background(), o)
	require.NoError(t, err)
	require.Len(t, seen, 7)
	z := terrain.NewGrid[float32](s.frame)
	for draw, in := range seen {
		s.ground(uint64(draw), z.Cells)
		_, h := plainly(t, z, showers(draw), nil)
		assert.InEpsilon(t, h.In, in, 1e-12, "draw %d", draw)
	}
}

// What is further done on the site of a draw is done once for each, on what an
// assessment of that ground alone has, and changes nothing of the result. Where
// it fails, the first draw that did is told.
func TestFurtherWorkSeesTheSiteOfEveryDraw(t *testing.T) {
	s := onRim(40)
	o := asked(s, 7)
	bare, err := Run(context.Background(), o)
	require.NoError(t, err)
	var lock sync.Mutex
	seen := map[int]float64{}
	o.Further = func(draw int, site *storm.Site) error {
		lock.Lock()
		defer lock.Unlock()
		seen[draw] += held(site.Hollows())
		return nil
	}
	r, err := Run(context.Background(), o)
	require.NoError(t, err)
	assert.True(t, bytes.Equal(everything(t, bare), everything(t, r)))
	require.Len(t, seen, 7)
	z := terrain.NewGrid[float32](s.frame)
	for draw, volume := range seen {
		s.ground(uint64(draw), z.Cells)
		assert.Equal(t, held(hydro.FindHollowsDeep(z, r.MinDepth)), volume, "draw %d", draw)
	}

	no := errors.New("no weather")
	o.Workers = 2
	o.Further = func(draw int, _ *storm.Site) error {
		if draw >= 2 {
			return no
		}
		return nil
	}
	_, err = Run(context.Background(), o)
	assert.ErrorIs(t, err, no)
	assert.ErrorContains(t, err, "draw 3")
}

// held is what all hollows hold together, those in others twice, m³.
func held(h *hydro.Hollows) float64 {
	sum := 0.0
	for i := range h.All {
		sum += h.All[i].Volume
	}
	return sum
}

// drains leads a pipe out of the largest hollow of every draw, and on every
// third draw another one uphill.
func drains(t *testing.T) func(int, *hydro.Hollows, *terrain.Grid[float32]) ([]storm.Link, error) {
	return func(draw int, h *hydro.Hollows, z *terrain.Grid[float32]) ([]storm.Link, error) {
		if len(h.All) == 0 {
			return nil, nil
		}
		a := &h.All[0]
		assert.Equal(t, float32(a.Floor), z.Cells[a.FloorCell])
		links := []storm.Link{{Name: "pipe", From: 0, To: hydro.Outside, Level: a.Floor + 0.01, Outlet: math.NaN()}}
		if draw%3 == 1 {
			links = append(links, storm.Link{Name: "uphill", From: 0, To: hydro.Outside, Level: a.Floor - 1, Outlet: math.NaN()})
		}
		return links, nil
	}
}

// Links are led on the hollows of every draw; one that runs uphill is left out
// where it does, and counted.
func TestLinksAreLedOnEveryDraw(t *testing.T) {
	s := onRim(80)
	o := asked(s, 7)
	o.MinDepth = 1e-9
	bare, err := Run(context.Background(), o)
	require.NoError(t, err)
	o.Links = drains(t)
	drained, err := Run(context.Background(), o)
	require.NoError(t, err)
	require.Len(t, drained.LeftOut, 1)
	assert.Equal(t, "uphill", drained.LeftOut[0].Name)
	assert.Equal(t, 2, drained.LeftOut[0].Draws) // 1 and 4
	assert.Contains(t, drained.LeftOut[0].Why, "no higher than the floor")
	z := terrain.NewGrid[float32](s.frame)
	lower := 0
	for draw := range drained.Draws {
		s.ground(uint64(draw), z.Cells)
		links, err := drains(t)(draw, hydro.FindHollows(z), z)
		require.NoError(t, err)
		w := showers(draw)
		_, plain := plainly(t, z, w, links[:1])
		for i, c := range drained.Watch {
			if terrain.IsVoid(z.Cells[c]) {
				continue
			}
			require.Equal(t, float32(storm.Total(plain.RootsWet(c, w.Roots(0)))), drained.Hours(0, i)[draw], "draw %d, cell %d", draw, c)
			if drained.Depth(i)[draw] < bare.Depth(i)[draw] {
				lower++
			}
		}
	}
	assert.Greater(t, lower, 20)

	no := errors.New("no such ditch")
	o.Workers = 2
	o.Links = func(draw int, _ *hydro.Hollows, _ *terrain.Grid[float32]) ([]storm.Link, error) {
		if draw >= 3 {
			return nil, no
		}
		return nil, nil
	}
	_, err = Run(context.Background(), o)
	assert.ErrorIs(t, err, no)
	assert.ErrorContains(t, err, "draw 4")
}

func TestWhatIsAskedIsChecked(t *testing.T) {
	_, err := Run(context.Background(), Options{Draws: -1, Heights: []float64{0.1, 0}, Watch: []int{3}, MinDepth: math.NaN(), Workers: -2})
	for _, words := range []string{"0 rows", "no source", "-1 draws", "watched cell 3", "heights of", "NaN m deep", "-2 workers"} {
		assert.ErrorContains(t, err, words)
	}
}
