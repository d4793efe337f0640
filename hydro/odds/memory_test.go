package odds

import (
	"bytes"
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Where a limit does not allow the draws asked for, as many as the error says
// do fit, and one more does not.
func TestMemoryErrorSaysHowManyDrawsFit(t *testing.T) {
	s := waves{frame: square(30)}
	o := asked(s, 1_000_000)
	o.Watch = o.Watch[:20]
	o.MemoryLimit = 8 << 20
	_, err := Run(context.Background(), o)
	var e *MemoryError
	require.ErrorAs(t, err, &e)
	assert.Equal(t, 1_000_000, e.Draws)
	assert.Equal(t, int64(8<<20), e.Limit)
	// Each draw keeps 20 depths and 3 × 20 hours in 4 bytes each.
	assert.InDelta(t, 8<<20, float64(e.Fit*80*4), 2<<20)
	assert.EqualError(t, err, (&MemoryError{1_000_000, e.Needs, 8 << 20, e.Fit}).Error())
	assert.Regexp(t, `^1000000 draws need 30\d MiB and 8 MiB are allowed: \d+ draws fit$`, err.Error())

	o = o.filled()
	o.Draws = e.Fit
	assert.NoError(t, o.fit())
	o.Draws++
	assert.Error(t, o.fit())

	// As much again is kept by what is further done.
	o.FurtherBytes = 20 * 80
	require.ErrorAs(t, o.fit(), &e)
	fit := e.Fit
	assert.InDelta(t, o.Draws/6, fit, 20)
	o.FurtherRoom = 1 << 20
	require.ErrorAs(t, o.fit(), &e)
	assert.Less(t, e.Fit, fit)
	o.FurtherBytes, o.FurtherRoom = 0, 0

	o.Draws, o.MemoryLimit = 2, 1000
	_, err = Run(context.Background(), o)
	require.ErrorAs(t, err, &e)
	assert.Zero(t, e.Fit)
}

// Memory for one worker but not for two takes one. What there is memory for
// depends on how rough the ground is, and the result does not.
func TestFewerWorkersWhereMemoryAsksForIt(t *testing.T) {
	s := waves{frame: square(300), noise: 0.01}
	o := asked(s, 9).filled()
	o.Workers, o.SourceBytes = 4, 100<<20
	for _, tt := range []struct {
		limit         int64
		smooth, rough int
	}{{2 << 30, 4, 4}, {500 << 20, 4, 4}, {450 << 20, 4, 3}, {300 << 20, 2, 2}, {130 << 20, 1, 1}, {115 << 20, 1, 1}} {
		o.MemoryLimit = tt.limit
		assert.NoError(t, o.fit())
		assert.Equal(t, tt.smooth, o.workers(0), "%d", tt.limit)
		assert.Equal(t, tt.rough, o.workers(mostFound), "%d", tt.limit)
	}
	o.MemoryLimit = 100 << 20
	assert.Error(t, o.fit())

	o.MemoryLimit = 0
	free, err := Run(context.Background(), o)
	require.NoError(t, err)
	for _, limit := range []int64{450 << 20, 300 << 20, 115 << 20} {
		o.MemoryLimit = limit
		r, err := Run(context.Background(), o)
		require.NoError(t, err)
		assert.True(t, bytes.Equal(everything(t, free), everything(t, r)), "%d", limit)
	}
}
