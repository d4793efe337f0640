package soil

import (
	"errors"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// Rosetta class averages (U.S. Salinity Laboratory), cm/h, as reprinted, and
// what they are of Rawls' K: 1.2 to 2.3 from sand to silt loam, 8 to 20 in the
// clays. (Silt is not in Rawls.)
func TestConductivityTablesDisagree(t *testing.T) {
	for name, want := range map[string][2]float64{
		"sand": {26.779, 2.27326}, "loamy sand": {4.383, 1.465886}, "sandy loam": {1.595, 1.463303}, "loam": {0.502, 1.476471},
		"silt loam": {0.76, 1.169231}, "sandy clay loam": {0.549, 3.66}, "clay loam": {0.341, 3.41}, "silty clay loam": {0.463, 4.63},
		"sandy clay": {0.473, 7.883333}, "silty clay": {0.401, 8.02}, "clay": {0.615, 20.5},
	} {
		tex := texture(t, name)
		assert.InDelta(t, want[0], tex.Ksat/10, 1e-12, name)
		assert.InEpsilon(t, want[1], tex.Ksat/tex.K, 1e-4, name)

		r := tex.Rate()
		assert.True(t, r.Median >= min(2*tex.K, tex.Ksat) && r.Median <= max(2*tex.K, tex.Ksat), name)
		assert.GreaterOrEqual(t, r.Spread, tableSpread)
	}
	assert.Equal(t, 18.23, texture(t, "silt").Ksat)
	assert.Greater(t, texture(t, "clay").Rate().Spread, texture(t, "sand").Rate().Spread+0.1)
}

// Rawls (1998) as a state's manual (Minnesota) uses it, in/h.
func TestDesignRatesByGroup(t *testing.T) {
	for g, want := range map[Group]float64{GroupA: 0.9, GroupB: 0.205, GroupC: 0.14, GroupD: 0.06} {
		assert.InDelta(t, want, g.Rate().Median/25.4, 1e-12)
	}
}

// A normal distribution's quantiles: 1.281552 at 90 %, 1.959964 at 97.5 %.
func TestQuantilesAreLogNormal(t *testing.T) {
	r := Rate{Median: 10, Spread: 0.5}
	assert.InDelta(t, 10, r.Quantile(0.5), 1e-12)
	assert.InEpsilon(t, 10*math.Pow(10, 0.5*1.281552), r.Quantile(0.9), 1e-6)
	assert.InEpsilon(t, 10*math.Pow(10, -0.5*1.959964), r.Quantile(0.025), 1e-6)

	one, four := Measured(12), Measured(6, 24, 12, 12)
	assert.InDelta(t, 12, one.Median, 1e-12)
	assert.InDelta(t, 12, four.Median, 1e-12)
	assert.InDelta(t, one.Spread/2, four.Spread, 1e-12)
	assert.Equal(t, "measured at 4 places", four.Source)
}

// Johnson (1967) as reprinted, percent; porosity less field capacity of the
// Minnesota manual; van Beers: 5, 10 and 20 % at 25, 100 and 400 cm/d.
func TestDrainablePorosity(t *testing.T) {
	for name, want := range map[string][3]float64{"sand": {15, 26, 32}, "sandy clay": {3, 7, 12}, "silt": {3, 8, 19}, "clay": {1, 2, 15}} {
		d := texture(t, name).Drainable()
		assert.InDeltaSlice(t, []float64{want[0], want[1], want[2]}, []float64{100 * d.Low, 100 * d.Likely, 100 * d.High}, 1e-9, name)
	}
	for name, high := range map[string]float64{"loamy sand": 0.35, "sandy loam": 0.31, "loam": 0.19, "silt loam": 0.22, "clay loam": 0.14, "silty clay loam": 0.16} {
		assert.Equal(t, high, texture(t, name).Drainable().High, name)
	}
	for perDay, percent := range map[float64]float64{25: 5, 100: 10, 400: 20} {
		assert.InDelta(t, percent, 100*VanBeers(perDay*10/24), 1e-9)
	}
	for _, tex := range textures {
		d := tex.Drainable()
		assert.True(t, 0 < d.Low && d.Low < d.Likely && d.Likely < d.High && d.High < tex.Porosity, "%s: %+v", tex.Name, d)
		assert.NotEmpty(t, d.Source)
	}
}

func TestMeasuredRateWinsOverTables(t *testing.T) {
	k := Known{Texture: "clay", Group: "D", Measured: 40}
	assert.InDelta(t, 40, k.Rate().Median, 1e-9)
	g, why := k.HydrologicGroup()
	assert.Equal(t, GroupA, g)
	assert.Equal(t, []string{"hydrologic group A, by the measured rate (NEH 630, table 7-1)"}, why)
	ga, _ := k.GreenAmpt()
	assert.Equal(t, 40.0, ga.K)
	assert.Equal(t, 316.3, ga.Suction, "the pores are still clay's")

	k.Measured = 0
	g, why = k.HydrologicGroup()
	assert.Equal(t, GroupD, g)
	assert.Empty(t, why)
	assert.Less(t, k.Rate().Median, 5.0)
}

func TestWhatIsAssumedIsSaid(t *testing.T) {
	c, assumed := Known{}.Curve()
	assert.Equal(t, Curve{CN: 65}, c)
	assert.Equal(t, []string{
		"texture loam, since nothing is known of the soil",
		"hydrologic group B, as loam usually is (TR-55, appendix A)",
		"cover woods-grass, fair, since none was given",
		"curve number 65, for woods-grass, fair on group B",
	}, assumed)

	c, assumed = Known{Group: "B/D", Drained: true, Cover: "orchard, grassed, good", Before: WetBefore}.Curve()
	assert.Equal(t, Curve{CN: 58, Before: WetBefore}, c)
	assert.Equal(t, []string{"curve number 58, for woods-grass, good on group B"}, assumed)

	g, assumed := Known{Group: "C", Profile: Profile{WaterTable: 0.9, Impermeable: 2}}.GreenAmpt()
	assert.Equal(t, 900.0, g.Depth)
	assert.Equal(t, []string{
		"suction and pores of sandy clay loam, which stands for group C",
		"conductivity 1.5 mm/h, of sandy clay loam (Rawls et al. 1983)",
		"pores 57 % full before the storm",
	}, assumed)
	assert.Equal(t, "mean for hydrologic group C (Rawls 1998, as the Minnesota stormwater manual uses it)", Known{Group: "C"}.Rate().Source)
	assert.Equal(t, "texture loam, since nothing is known of the soil; tables for loam (Rawls et al. 1983 and Rosetta class averages)", Known{}.Rate().Source)
	assert.Equal(t, texture(t, "sand").Drainable(), Known{Texture: "sand"}.Drainable())
	_, assumed = Known{Measured: 500}.GreenAmpt()
	assert.Equal(t, "suction and pores of sandy loam, which has about the measured rate", assumed[0])
}

// More moisture before the storm never gives less runoff, by either model.
func TestWetterGroundShedsMore(t *testing.T) {
	rain, hours := []float64{60, 0, 40}, []float64{2, 6, 1}
	for _, tex := range textures {
		var curve, green [3]float64
		for i, before := range []Moisture{DryBefore, AverageBefore, WetBefore} {
			k := Known{Texture: tex.Name, Cover: "pasture, good", Before: before, Impervious: 0.1}
			c, _ := k.Curve()
			g, _ := k.GreenAmpt()
			assert.NoError(t, g.Check())
			for j, loss := range []Loss{k.Loss(c), k.Loss(g)} {
				sum := 0.0
				for _, q := range loss.Excess(nil, rain, hours) {
					sum += q
				}
				assert.GreaterOrEqual(t, sum, 10.0-1e-9, "a tenth of 100 mm runs off the roofs")
				[]*[3]float64{&curve, &green}[j][i] = sum
			}
		}
		assert.True(t, curve[0] <= curve[1] && curve[1] <= curve[2], "%s: %v", tex.Name, curve)
		assert.True(t, green[0] <= green[1] && green[1] <= green[2], "%s: %v", tex.Name, green)
	}
	c := Curve{CN: 70}
	assert.Equal(t, Loss(c), Known{}.Loss(c))
}

func TestKnownTellsAllItsMistakes(t *testing.T) {
	assert.Empty(t, Known{}.Check())
	assert.Empty(t, Known{Texture: "clay", Group: "C/D", Measured: 12, Cover: "woods", Impervious: 0.2}.Check())
	err := errors.Join(Known{Texture: "mud", Group: "E", Measured: -1, Cover: "mars", Impervious: 3}.Check()...)
	assert.ErrorContains(t, err, `"mud" is not a soil texture`)
	assert.ErrorContains(t, err, `"E" is not a hydrologic soil group`)
	assert.ErrorContains(t, err, "measured infiltration -1 mm/h is not from 0 to 3600; gravel has about 1000")
	assert.ErrorContains(t, err, `"mars" is not a cover known here`)
	assert.ErrorContains(t, err, "impervious share 3 is not from 0 to 1")
	assert.Panics(t, func() { Known{Texture: "mud"}.Rate() })
}
