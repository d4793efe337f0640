package weather

import (
	"bytes"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestInventedWeatherIsWhatItsFormulaSays(t *testing.T) {
	c := WarmTemperate
	r := c.Invent(1, 2001, 400) // long, so that chance has little to say
	require.Equal(t, 400*365+97, r.Len(), "four centuries of the calendar")
	var days, afterDry, wetAfterDry, afterWet, wetAfterWet, wet, rain [12]float64
	for i := 1; i < r.Len(); i++ {
		m := r.Time(i).Month() - 1
		isWet, wasWet := r.Rain[i] > 0, r.Rain[i-1] > 0
		days[m]++
		if wasWet {
			afterWet[m]++
		} else {
			afterDry[m]++
		}
		if isWet {
			wet[m], rain[m] = wet[m]+1, rain[m]+r.Rain[i]
			if wasWet {
				wetAfterWet[m]++
			} else {
				wetAfterDry[m]++
			}
		}
	}
	for m := range 12 {
		// Five standard errors of a share and of a mean.
		share := func(p, n float64) float64 { return 5 * math.Sqrt(p*(1-p)/n) }
		assert.InDelta(t, c.WetAfterDry[m], wetAfterDry[m]/afterDry[m], share(c.WetAfterDry[m], afterDry[m]))
		assert.InDelta(t, c.WetAfterWet[m], wetAfterWet[m]/afterWet[m], share(c.WetAfterWet[m], afterWet[m]))
		assert.InDelta(t, c.WetDay[m], rain[m]/wet[m], 5*c.WetDay[m]/math.Sqrt(c.Shape*wet[m])+0.05)
	}
	sum, cold := 0.0, math.Inf(1)
	for i, v := range r.Rain {
		sum += v
		cold = min(cold, r.TMin[i])
		require.LessOrEqual(t, r.TMin[i], r.TMax[i])
	}
	assert.InDelta(t, 1130, sum/400, 30)
	assert.Less(t, cold, 0.0)
}

// The gamma distribution has mean and variance equal to its shape.
func TestGammaHasItsMoments(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 5))
	for _, shape := range []float64{0.3, 0.75, 1, 4} {
		const n = 200000
		sum, squares := 0.0, 0.0
		for range n {
			v := gamma(rng, shape)
			sum, squares = sum+v, squares+v*v
		}
		mean := sum / n
		assert.InDelta(t, shape, mean, 5*math.Sqrt(shape/n))
		assert.InEpsilon(t, shape, squares/n-mean*mean, 0.05)
	}
}

func TestInventedWeatherIsTheSameEveryTime(t *testing.T) {
	var one, two, other bytes.Buffer
	require.NoError(t, WarmTemperate.Invent(7, 2001, 20).Write(&one))
	require.NoError(t, WarmTemperate.Invent(7, 2001, 20).Write(&two))
	require.NoError(t, WarmTemperate.Invent(8, 2001, 20).Write(&other))
	assert.Equal(t, one.Bytes(), two.Bytes())
	assert.NotEqual(t, one.Bytes(), other.Bytes())
	assert.True(t, strings.HasPrefix(one.String(), "# the weather is invented (seed 7): no such years were measured anywhere\ndate,rain_mm,tmin_c,tmax_c\n2001-01-01,"))

	read, err := ReadRecord(&one, "invented.csv", RecordOptions{})
	require.NoError(t, err)
	want := WarmTemperate.Invent(7, 2001, 20)
	assert.Equal(t, want.Rain, read.Rain)
	assert.Equal(t, want.TMin, read.TMin)
	assert.Equal(t, want.TMax, read.TMax)
	assert.Len(t, read.Calendar(), 20)
	assert.Len(t, read.AnnualMaxima(1), 20)
}

func TestSeasonsTurnRoundInTheSouth(t *testing.T) {
	south := WarmTemperate
	south.Latitude = -33
	mean := func(c Climate, month int) (sum float64) {
		r := c.Invent(3, 2001, 20)
		n := 0.0
		for i := range r.TMin {
			if int(r.Time(i).Month()) == month {
				sum, n = sum+(r.TMin[i]+r.TMax[i])/2, n+1
			}
		}
		return sum / n
	}
	assert.Greater(t, mean(WarmTemperate, 7), mean(WarmTemperate, 1)+10)
	assert.Greater(t, mean(south, 1), mean(south, 7)+10)
}

func TestRecordsAreWrittenAsTheyAreRead(t *testing.T) {
	const text = "time,rain_mm,et_mm,rhmin_pct,rhmax_pct,wind_m_s,sun_h\n2004-02-28T23:00,12.5,0.25,40,90,2.5,0.0\n2004-02-29T00:00,,0.10,40,90,2.0,0.5\n"
	r, err := ReadRecord(strings.NewReader(text), "rain.csv", RecordOptions{AllowGaps: true})
	require.NoError(t, err)
	var b strings.Builder
	require.NoError(t, r.Write(&b))
	assert.Equal(t, text, b.String())
}
