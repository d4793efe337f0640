package survey

import (
	"testing"

	"wetfeet/terrain/quantity"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestTrendIsDescribedByWhereItFalls(t *testing.T) {
	for _, tt := range []struct {
		east, north float64 // rise
		want        string
	}{
		{-0.004, 0, "planar trend falling 0.4 % to the east"},
		{0.01, 0, "planar trend falling 1 % to the west"},
		{0, 0.02, "planar trend falling 2 % to the south"},
		{0, -0.0126, "planar trend falling 1.3 % to the north"},
		{-0.003, 0.003, "planar trend falling 0.42 % to the south-east"},
		{0.003, -0.003, "planar trend falling 0.42 % to the north-west"},
		{0, 0, "planar trend, level"},
	} {
		shots := scattered(30, 1)
		for i, s := range shots {
			shots[i].Z = tt.east*(s.Point[0]-500_000) + tt.north*(s.Point[1]-3_000_000)
		}
		m, err := Fit(shots, Options{})
		require.NoError(t, err)
		assert.Equal(t, tt.want, m.describeTrend())
	}
}

func TestModelIsDescribedInOneLine(t *testing.T) {
	for _, tt := range []struct {
		o    Options
		want string
	}{
		{Options{Trend: Constant, Covariance: &Covariance{Matern32, 0.0144, 12.5, 0.000144}}, "level trend; Matérn 3/2, sd 0.12 m, range 34 m; shot error 1.2 cm"},
		{Options{Trend: Constant, Covariance: &Covariance{Spherical, 1, 800, 0}}, "level trend; spherical, sd 1 m, range 800 m; shot error none"},
		{Options{Trend: Constant, Error: 0.005, Covariance: &Covariance{Exponential, 0.0025, 10, 0}}, "level trend; exponential, sd 5 cm, range 30 m; shot error 5 mm as stated"},
		{
			Options{Trend: Constant, Covariance: &Covariance{Exponential, 0.0025, 10, 0}, Anisotropy: Anisotropy{Ratio: 0.5, Bearing: 45}, Lines: []Breakline{{Line: orb.LineString{{0, 5}, {5, 5}}}}},
			"level trend; exponential, sd 5 cm, range 30 m toward 045°, 15 m across; 1 breakline; shot error none",
		},
	} {
		m, err := Fit(fiveShots(), tt.o)
		require.NoError(t, err)
		assert.Equal(t, tt.want, m.String())
	}
}

func TestLengthsAreWrittenAsPeopleSayThem(t *testing.T) {
	for m, want := range map[float64]string{
		1787.3: "1787 m", 99.6: "100 m", 34.24: "34 m", 0.1234: "0.12 m", 0.0996: "0.1 m", 0.0123: "1.2 cm", 0.00996: "1 cm", 0.0042: "4.2 mm", 0: "0 mm",
	} {
		assert.Equal(t, want, length(m))
	}
	for m, want := range map[float64]string{30.48: "100 ft", 3.048: "10 ft", 1.2192: "4.0 ft", 0.127: "5 in", 0.0042: "0.17 in", 0: "0 in"} {
		assert.Equal(t, want, lengthIn(m, quantity.Feet))
	}
}
