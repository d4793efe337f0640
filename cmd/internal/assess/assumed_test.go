package assess

import (
	"strings"
	"testing"

	"wetfeet/hydro"
	"wetfeet/terrain/quantity"

	"github.com/stretchr/testify/assert"
)

func TestWhatWasTakenForTheGroundIsSaid(t *testing.T) {
	for name, tt := range map[string]struct {
		d         hydro.Drainage
		fromShots bool
		says, not string
	}{
		"an error read off the ground":      {hydro.Drainage{Error: 0.03, ErrorEstimated: true}, false, "read off its roughness: 3.0 cm", "taken as"},
		"an error that is known":            {hydro.Drainage{Error: 0.03}, false, "taken as 3.0 cm", "roughness"},
		"a surface through shots":           {hydro.Drainage{Error: 0.03}, true, "Between the spot heights the ground is known to about 3.0 cm", "taken as"},
		"a slope floor of the ground's own": {hydro.Drainage{SlopeFloor: 0.002}, false, "no slope below 0.20 %, the least that the error", "graded"},
		"a slope floor of common practice":  {hydro.Drainage{SlopeFloor: hydro.LeastSlope}, false, "no slope below 0.0010 %, less than any field is graded to", "told from level"},
		"ground that was smoothed":          {hydro.Drainage{Smooth: 2.5}, false, "smoothed over 2.50 m", "Between"},
	} {
		t.Run(name, func(t *testing.T) {
			said := strings.Join(AssumedOfGround(&tt.d, tt.fromShots, quantity.Metric), "\n")
			assert.Contains(t, said, tt.says)
			assert.NotContains(t, said, tt.not)
		})
	}
}

func TestASurfaceThroughShotsSaysHowItMissesThem(t *testing.T) {
	n := &SurveyNote{Shots: 155, LooRMSE: 0.97}
	const head = "The ground is a surface through 155 spot heights; each left out in turn, it misses them by "
	assert.Equal(t, head+"97 cm, root mean square.", n.Words(quantity.Metric))
	assert.Equal(t, head+"38 in, root mean square.", n.Words(quantity.Feet))

	n.Raster = true
	assert.Equal(t, "The ground is a raster corrected by 155 spot heights; each left out in turn, it misses them by 97 cm, root mean square.", n.Words(quantity.Metric))
}
