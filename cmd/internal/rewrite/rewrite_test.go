package rewrite

import (
	"testing"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/site"
	"wetfeet/terrain/quantity"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A mound in feet is written in inches and never lower than it was meant: two
// decimals of a foot made 30 cm a mound of 29.9 cm, which does not clear what
// asked for 30 cm.
func TestMoundsInFeetAreWrittenNoLowerThanMeant(t *testing.T) {
	for meant, want := range map[float64]string{
		0.3048: `mound = "12 in"`,
		0.30:   `mound = "11.9 in"`,
		0.4064: `mound = "16 in"`,
		1.2192: `mound = "48 in"`,
	} {
		was := assess.Plan{Units: quantity.Feet}
		now := was
		now.Told = []site.Tree{{ID: "A-1", Mound: meant}}
		text, err := Site("units = \"feet\"\n", was, now)
		require.NoError(t, err)
		assert.Contains(t, text, want)
	}
}
