package begin

import (
	"testing"

	"wetfeet/terrain/quantity"

	"github.com/stretchr/testify/assert"
)

func TestUnitsAreThoseOfTheTables(t *testing.T) {
	for head, want := range map[string]quantity.Units{
		"x_ft,y_ft,z_ft\n0,0,10\n1,0,10\n":             quantity.Feet,
		"x (ft); y (ft); z (ft)\n0;0;10\n1;0;10\n":     quantity.Feet,
		"x,y,z_usft\n0,0,10\n1,0,10\n":                 quantity.Feet,
		"x,y,z\n0,0,10\n1,0,10\n":                      quantity.Metric,
		"x_m,y_m,z_m,note\n0,0,10,left\n1,0,10,a_ft\n": quantity.Metric,
		"id,x_ft,y_ft,species\nA-1,0,0,Ficus carica\n": quantity.Feet,
		"Ficus carica\nCarya illinoinensis\n":          quantity.Metric,
		"II*\x00 z_ft,\n":                              quantity.Metric,
	} {
		assert.Equal(t, want, UnitsOf([]byte(head)), head)
	}
	assert.Equal(t, quantity.Feet, UnitsIn("no such file", "../../../testdata/heron-bend/level-book.csv"))
	assert.Equal(t, quantity.Metric, UnitsIn("../../../testdata/heron-bend/survey.csv", "../../../testdata/heron-bend/ground.tif"))
}
