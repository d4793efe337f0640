package trial

import (
	"math"
	"slices"
	"testing"

	"wetfeet/hydro"
	"wetfeet/terrain"
	"wetfeet/terrain/survey"

	"github.com/stretchr/testify/require"
)

// A surface is what the program makes of spot heights: a ground by kriging
// and what drains over it.
type surface struct {
	*survey.Model
	*hydro.Drainage
}

// surfaceThrough makes a ground of the spots in cells of so many metres, the
// error of a height being given (0 fits it), and drains it.
func surfaceThrough(t *testing.T, spots []Spot, o survey.Options, frame terrain.Frame, hollows hydro.HollowRule) surface {
	t.Helper()
	model, err := survey.Fit(shotsAt(spots), o)
	require.NoError(t, err)
	ground, _ := model.Grid(frame)
	drainage, err := hydro.Drain(t.Context(), ground, hydro.Options{Error: o.Error, Hollows: hollows})
	require.NoError(t, err)
	return surface{model, drainage}
}

// frameOf is the ground the program would draw around spots.
func frameOf(t *testing.T, spots []Spot, cell float64) terrain.Frame {
	t.Helper()
	frame, err := survey.FrameFor(shotsAt(spots), cell)
	require.NoError(t, err)
	return frame
}

// read is the value of a grid at each spot.
func read(t *testing.T, g *terrain.Grid[float32], spots []Spot) []float64 {
	t.Helper()
	values := make([]float64, len(spots))
	for i, s := range spots {
		v, ok := terrain.AtPoint(g, s.Point)
		require.True(t, ok, "spot %d is off the ground", i)
		values[i] = float64(v)
	}
	return values
}

// belowTrend is how far the surface lies below the plane it was fitted with.
func (s surface) belowTrend(spots []Spot) []float64 {
	east, north := s.Tilt()
	origin := spots[0].Point
	score := make([]float64, len(spots))
	for i, p := range spots {
		z, _ := s.Predict(p.Point)
		score[i] = east*(p.Point[0]-origin[0]) + north*(p.Point[1]-origin[1]) - z
	}
	return score
}

// aboveFlowLine is the height of each spot above the first flow line that its
// water runs into, or above where that water leaves, turned so that the
// lowest scores highest.
func (s surface) aboveFlowLine(spots []Spot) []float64 {
	flow := hydro.Route(s.Filled, hydro.Single, 0)
	area := terrain.NewGrid[float64](s.Ground.Frame)
	flow.Accumulate(area, nil)
	score := make([]float64, len(spots))
	for i, p := range spots {
		row, col, _ := s.Ground.Locate(p.Point)
		end := 0
		for end = range flow.Downstream(s.Ground.Index(row, col)) {
			if area.Cells[end] >= s.FlowLineCatchment {
				break
			}
		}
		score[i] = float64(s.Ground.Cells[end] - s.Ground.At(row, col))
	}
	return score
}

// predicted scores every spot by its elevation as the surface through all the
// others has it.
func predicted(t *testing.T, spots []Spot, o survey.Options) []float64 {
	t.Helper()
	model, err := survey.Fit(shotsAt(spots), o)
	require.NoError(t, err)
	score := make([]float64, len(spots))
	for i, r := range model.LeaveOneOut().Residuals {
		score[i] = -r.Predicted
	}
	return score
}

// unmeasured is the wetness index at every spot on a surface that was made
// without it and every tenth spot after and before it.
func unmeasured(t *testing.T, spots []Spot, o survey.Options, frame terrain.Frame) []float64 {
	t.Helper()
	whole, err := survey.Fit(shotsAt(spots), o)
	require.NoError(t, err)
	o.Covariance = &whole.Covariance
	const parts = 10
	score := make([]float64, len(spots))
	for k := range parts {
		var kept, left []Spot
		var at []int
		for i, s := range spots {
			if i%parts == k {
				left, at = append(left, s), append(at, i)
			} else {
				kept = append(kept, s)
			}
		}
		o.Margin = 1000 // draw the ground of the spots left out, too
		for j, v := range read(t, surfaceThrough(t, kept, o, frame, hydro.Auto).Wetness, left) {
			score[at[j]] = v
		}
	}
	return score
}

// meanRank ranks two scores and adds the ranks, ties sharing theirs.
func meanRank(a, b []float64) []float64 {
	sum := make([]float64, len(a))
	for _, score := range [][]float64{a, b} {
		sorted := slices.Sorted(slices.Values(score))
		for i, s := range score {
			sum[i] += shareBelow(sorted, s)
		}
	}
	return sum
}

// among keeps what a printed interval may say: a chance is 0 to 1.
func among(a Area) (lo, hi float64) {
	lo, hi = a.Interval()
	return math.Max(lo, 0), math.Min(hi, 1)
}
