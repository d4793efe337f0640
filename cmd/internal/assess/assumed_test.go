package assess

import (
	"testing"

	"wetfeet/terrain/quantity"

	"github.com/stretchr/testify/assert"
)

func TestASurfaceThroughShotsSaysHowItMissesThem(t *testing.T) {
	n := &SurveyNote{Shots: 155, LooRMSE: 0.97}
	const head = "The ground is a surface through 155 spot heights; each left out in turn, it misses them by "
	assert.Equal(t, head+"97 cm, root mean square.", n.Words(quantity.Metric))
	assert.Equal(t, head+"38 in, root mean square.", n.Words(quantity.Feet))
}
