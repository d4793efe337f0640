package odds

import (
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
	_, err = o.workers()
	assert.NoError(t, err)
	o.Draws++
	_, err = o.workers()
	assert.Error(t, err)

	o.Draws, o.MemoryLimit = 2, 1000
	_, err = Run(context.Background(), o)
	require.ErrorAs(t, err, &e)
	assert.Zero(t, e.Fit)
}

// Memory for one worker but not for two takes one.
func TestFewerWorkersWhereMemoryAsksForIt(t *testing.T) {
	o := asked(waves{frame: square(300)}, 10).filled()
	o.Workers, o.SourceBytes = 4, 100<<20
	for _, tt := range []struct {
		limit int64
		want  int
	}{{2 << 30, 4}, {500 << 20, 4}, {300 << 20, 2}, {130 << 20, 1}} {
		o.MemoryLimit = tt.limit
		n, err := o.workers()
		require.NoError(t, err, "%d", tt.limit)
		assert.Equal(t, tt.want, n, "%d", tt.limit)
	}
	o.MemoryLimit = 100 << 20
	_, err := o.workers()
	assert.Error(t, err)
}
