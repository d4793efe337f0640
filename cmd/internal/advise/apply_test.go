package advise

import (
	"testing"

	"wetfeet/cmd/internal/assess"
	"wetfeet/terrain/quantity"

	"github.com/stretchr/testify/assert"
)

// The plan gets the mound that is told and built: whole inches of a site in feet.
func TestMoundsOfThePlanAreThoseThatAreTold(t *testing.T) {
	r := &assess.Result{Trees: make([]assess.Tree, 1)}
	a := &Advice{Changes: []Change{{Tree: 0, Raised: true, Mound: 0.30}}}
	assert.Equal(t, "30 cm", quantity.FormatMound(0.30, r.Units))
	assert.InDelta(t, 0.30, a.Told(r)[0].Mound, 1e-12)
	r.Units = quantity.Feet
	assert.Equal(t, "12 in", quantity.FormatMound(0.30, r.Units))
	assert.InDelta(t, 12*0.0254, a.Told(r)[0].Mound, 1e-12)
}
