package fieldbook

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// reduced reads and reduces a book that is expected to be right.
func reduced(t testing.TB, text string) *Reduction {
	t.Helper()
	b, err := Read(strings.NewReader(text), "book.csv")
	require.NoError(t, err, "%s", text)
	r, err := b.Reduce(Options{})
	require.NoError(t, err, "%s", text)
	return r
}

// levels are the levels of a reduction by name.
func levels(r *Reduction) map[string]float64 {
	out := map[string]float64{}
	for _, p := range r.Points {
		out[p.Name] = p.Level
	}
	return out
}

// An exercise of Punmia, Surveying (15 readings down a slope, the level moved
// after the 5th and the 10th), whose answer is printed: sum of back sights
// 1.895, of fore sights 11.125, last reduced level 371.270, 1 in 39.0. Read
// at assignmentexpert.com, question 297114. Three decimals are printed.
const punmia = `units: m
closing: open
point,bs,is,fs,level
P1,0.855,,,380.5
P2,,1.545,,
P3,,2.335,,
P4,,3.115,,
P5,0.455,,3.825,
P6,,1.380,,
P7,,2.055,,
P8,,2.855,,
P9,0.585,,3.455,
P10,,1.015,,
P11,,1.850,,
P12,,2.755,,
P13,,,3.845,
`

func TestPunmiaExerciseByBothMethods(t *testing.T) {
	const printed = 0.0005 // m
	r := reduced(t, punmia)
	b := r.Bookings[0]
	want := []float64{380.5, 379.81, 379.02, 378.24, 377.53, 376.605, 375.93, 375.13, 374.53, 374.1, 373.265, 372.36, 371.27}
	require.Len(t, b.Rows, len(want))
	level := want[0]
	var instruments []float64
	for i, row := range b.Rows {
		assert.InDelta(t, want[i], row.Level, printed, row.Point)
		if !math.IsNaN(row.Rise) {
			level += row.Rise
		} else if !math.IsNaN(row.Fall) {
			level -= row.Fall
		}
		assert.InDelta(t, want[i], level, printed, "%s by rise and fall", row.Point)
		if !math.IsNaN(row.Instrument) {
			instruments = append(instruments, row.Instrument)
		}
	}
	// Heights of collimation: reduced level plus back sight.
	assert.InDeltaSlice(t, []float64{381.355, 377.985, 375.115}, instruments, printed)
	assert.InDelta(t, 1.895, b.SumBack, printed)
	assert.InDelta(t, 11.125, b.SumFore, printed)
	assert.InDelta(t, 0, b.SumRise, printed)
	assert.InDelta(t, 9.230, b.SumFall, printed)
	assert.InDelta(t, 39.0, 360/(b.First-b.Last), 0.05, "gradient 1 in 39.0 over 12 intervals of 30 m")
	assert.Contains(t, strings.Join(r.Remarks, "\n"), "closes on nothing")
}

// An exercise in feet with its answers, read at askfilo.com (question
// 3430383238313239): heights of instrument and elevations to a hundredth,
// misclosure 0.04 ft on BM B at 94.91.
const askfilo = `units: ft
order: 10 mm sqrt(n)
point,bs,fs,level
BM A,3.10,,100.00
TP1,6.44,9.82,
TP2,8.76,6.96,
TP3,7.12,3.27,
BM B,,10.42,94.91
`

func TestDifferentialLevellingInFeet(t *testing.T) {
	const printed = 0.0005 * 0.3048 // m
	r := reduced(t, askfilo)
	b := r.Bookings[0]
	for i, want := range []float64{100, 93.28, 92.76, 98.25, 94.95} {
		assert.InDelta(t, want*0.3048, b.Rows[i].Level, printed, b.Rows[i].Point)
	}
	for i, want := range []float64{103.1, 99.72, 101.52, 105.37} {
		assert.InDelta(t, want*0.3048, b.Rows[i].Instrument, printed)
	}
	assert.InDelta(t, 25.42*0.3048, b.SumBack, printed)
	assert.InDelta(t, 30.47*0.3048, b.SumFore, printed)
	require.Len(t, r.Misclosures, 1)
	assert.InDelta(t, 0.04*0.3048, r.Misclosures[0].Value, printed)
	assert.InDelta(t, 94.91*0.3048, levels(r)["BM B"], 1e-12, "the benchmark stays")
	// Equal share per set-up: a quarter of it for each, adding up along the line.
	for i, row := range b.Rows {
		assert.InDelta(t, -0.01*float64(i)*0.3048, row.Correction, 1e-9, row.Point)
	}
}

// A loop of 30.5 km with six carried elevations, misclosing by -0.244 m,
// corrected by distance (exercise read at askfilo.com, 3338343738343531; the
// corrections are -misclosure times d over the whole). Staff readings are
// made up to carry those elevations, which no one staff could.
func TestMisclosureSharedByDistance(t *testing.T) {
	distance := []float64{5.245, 11.271, 17.718, 21.964, 25.247, 30.5} // km
	observed := []float64{783.213, 891.764, 843.195, 739.708, 702.956, 728.486}
	const start = 728.73
	s := &sheet{settings: newSettings(), kind: levelSheet}
	s.share, s.order = ByDistance, Order{Metres: 0.1, By: Kilometres}
	before := start
	row := func(name string, d, back, fore float64, start, end bool) {
		e := &entry{name: name, key: nameKey(name), place: place{line: len(s.entries) + 1}}
		e.set(distanceRole, value{v: d * 1000})
		if !end {
			e.set(backRole, value{v: back})
		}
		if !start {
			e.set(foreRole, value{v: fore})
		}
		s.entries = append(s.entries, e)
	}
	row("BM1", 0, 200, 0, true, false)
	for i, z := range observed {
		name := fmt.Sprintf("BM%d", i+2)
		if i == len(observed)-1 {
			name = "BM1"
		}
		row(name, distance[i], 200, 200-(z-before), false, i == len(observed)-1)
		before = z
	}
	var bad mistakes
	n := newNetwork(&Book{sheets: []*sheet{s}}, map[string]knownLevel{"bm1": {level: start, given: true}}, &bad)
	require.NoError(t, bad.err())
	n.carry()
	n.allow(nil, nil)
	n.adjust(nil)
	require.Len(t, n.loops, 1)
	assert.InDelta(t, -0.244, n.loops[0].misfit, 1e-9)
	for i, want := range []float64{783.255, 891.8542, 843.3367, 739.8837, 703.158} {
		p := n.pegs[n.byKey[fmt.Sprintf("bm%d", i+2)]]
		assert.InDelta(t, want, p.fitted, 0.0005, p.name)
	}
}

// Equal share per change point: 9 mm over three set-ups is -3, -6 and -9 mm.
func TestMisclosureSharedBySetUps(t *testing.T) {
	r := reduced(t, "order: 10 mm sqrt(n)\npoint,bs,fs,level\nBM,1.500,,10\nA,1.400,1.200,\nB,1.300,1.600,\nBM,,1.391,10\n")
	require.InDelta(t, 0.009, r.Misclosures[0].Value, 1e-12)
	for i, want := range []float64{0, -0.003, -0.006, -0.009} {
		assert.InDelta(t, want, r.Bookings[0].Rows[i].Correction, 1e-12)
	}
	assert.InDelta(t, -0.003, r.Misclosures[0].PerSetUp, 1e-12)
}

// The constants in feet per root of a mile are printed in a course hand-out
// (studylib.net, document 8628885): 0.012, 0.017, 0.025, 0.033, 0.05 and 0.1.
// Those in millimetres per root of a kilometre are of FGCC (1984), from
// memory; the two agree as printed.
func TestAllowableMisclosureAsPrinted(t *testing.T) {
	for name, want := range map[string]struct {
		mm, feet float64
		decimals float64
	}{
		"first I": {3, 0.012, 0.0005}, "first II": {4, 0.017, 0.0005}, "second I": {6, 0.025, 0.0005},
		"second II": {8, 0.033, 0.0005}, "third": {12, 0.05, 0.005}, "fourth": {24, 0.1, 0.05},
	} {
		o, err := ParseOrder(name)
		require.NoError(t, err)
		assert.InDelta(t, want.mm/1000, o.Allowable(1, 1000), 1e-12, name)
		assert.InDelta(t, want.feet, o.Allowable(1, metresInMile)/0.3048, want.decimals, name)
	}
	third, err := ParseOrder("third order")
	require.NoError(t, err)
	for km, mm := range map[float64]float64{0.25: 6, 1: 12, 2.5: 18.97367, 15: 46.4758} {
		assert.InDelta(t, mm, third.Allowable(7, km*1000)*1000, 5e-5, "12 mm √%g km", km)
	}
	own, err := ParseOrder("5 mm sqrt(n)")
	require.NoError(t, err)
	assert.InDelta(t, 0.015, own.Allowable(9, 0), 1e-15)
	miles, err := ParseOrder("0.05 ft sqrt(M)")
	require.NoError(t, err)
	assert.InDelta(t, 0.1*0.3048, miles.Allowable(1, 4*metresInMile), 1e-12)
	for _, wrong := range []string{"", "fifth", "5 sqrt(n)", "5 mm", "mm sqrt(n)", "5 mm sqrt(q)", "2 m sqrt(n)", "0 mm sqrt(n)"} {
		_, err := ParseOrder(wrong)
		assert.Error(t, err, wrong)
	}
}

// Two-peg test, common practice: from midway A reads 1.573 and B 1.217, so B
// is 0.356 m higher; from beside A the readings 1.664 and 1.324 say 0.340.
func TestTwoPegTestShowsTheCollimationError(t *testing.T) {
	r := reduced(t, "closing: open\npoint,bs,fs,level\nA,1.573,,10\nB,,1.217,\n")
	assert.InDelta(t, 10.356, levels(r)["B"], 1e-12)
	b, err := Read(strings.NewReader("point,bs,fs,level\nA,1.573,,10\nB,,1.217,\nloop:\nA,1.664,,10\nB,,1.324,\n"), "two-peg.csv")
	require.NoError(t, err)
	_, err = b.Reduce(Options{})
	var miss *MisclosureError
	require.ErrorAs(t, err, &miss)
	assert.InDelta(t, -0.016, miss.Misclosures[0].Value, 1e-12)
}

// Chainage and offset to coordinates: E = E₀ + c sin b + o cos b,
// N = N₀ + c cos b - o sin b, offset right positive (formula at
// hqcalculator.com, stakeout calculator; side as in the manual of a total
// station, easymanua.ls, Linertec LTS-200, page 75).
func TestChainageAndOffset(t *testing.T) {
	r := reduced(t, `sheet: points
point,x,y
S,500,1000
sheet: laser
base: from S, bearing 60
instrument height: 101.25
point,reading,along,offset
a,0.85,0,5 R
b,1.12,25,8 L
c,2.04,40,0
`)
	want := []orb.Point{{502.5, 995.6699}, {517.6506, 1019.428}, {534.641, 1020}}
	// A laser plane at 101.25 m and readings of 0.85, 1.12 and 2.04 m: height of
	// collimation less reading.
	ground := []float64{100.4, 100.13, 99.21}
	for i, s := range r.Shots {
		assert.InDelta(t, want[i][0], s.Point[0], 0.0005)
		assert.InDelta(t, want[i][1], s.Point[1], 0.0005)
		assert.InDelta(t, ground[i], s.Z, 1e-9)
	}
}

// NIST and NGS, Federal Register 85 FR 62698 (2020): 1 international foot is
// 0.3048 m, 1 US survey foot 1200/3937 m, printed as 0.304800609601. NIST SP
// 811, appendix B.8: 1 inch is 0.0254 m.
func TestFeetAsNISTPrintsThem(t *testing.T) {
	for text, want := range map[string]float64{
		"units: ft\npoint,reading\nG,1\nH,10\n":         0.3048,
		"units: usft\npoint,reading\nG,1\nH,10\n":       0.304800609601,
		"units: in\npoint,reading\nG,12\nH,10\n":        0.3048,
		"point,reading_usft\nG,1\nH,10\n":               0.304800609601,
		"point,reading_cm\nG,30.48\nH,10\n":             0.3048,
		"units: cm\npoint,reading\nG,1'\nH,10\n":        0.3048,
		"units: ft\npoint,reading\nG,0' 11\"\nH,1\n":    0.2794,
		"units: ft\npoint,reading\nG,5' 7 1/4\"\nH,1\n": 67.25 * 0.0254,
		"units: m\npoint;reading\nG;0,3048\nH;1\n":      0.3048,
	} {
		r := reduced(t, "sheet: laser\ninstrument height: 0 m\nreads: up\n"+text)
		assert.InDelta(t, want, r.Points[0].Level, 5e-13, text)
	}
	// A state-plane easting of two million feet moves by 1.219202 m.
	r := reduced(t, "units: ft\nstaff: 5 m\nsheet: laser\ninstrument height: 9\npoint,reading,x_ft,y\nG,1,2000000,0\nH,1,2000000 usft,0\n")
	assert.InDelta(t, 1.219202, r.Shots[1].Point[0]-r.Shots[0].Point[0], 1e-6)
}

// H = h - N: 45.3 m above the ellipsoid where the geoid is 32.1 m under it is
// 77.4 m above the geoid.
func TestGeoidSeparation(t *testing.T) {
	for _, text := range []string{
		"heights: ellipsoidal\ngeoid: -32.1\npoint,lon,lat,height,vertical error\nG,-96.4,29.1,45.3,0.02\nH,-96.41,29.1,45.3,0.02\n",
		"point,lon,lat,ellipsoidal height,geoid,vertical error\nG,-96.4,29.1,45.3,-32.1,0.02\nH,-96.41,29.1,45.3,-32.1,0.02\n",
	} {
		r := reduced(t, text)
		assert.InDelta(t, 77.4, r.Shots[0].Z, 1e-9)
		assert.False(t, r.Ellipsoidal)
		assert.InDelta(t, 0.02, r.Shots[0].Error, 1e-15)
	}
	r := reduced(t, "point,lon,lat,ellipsoidal height,vertical error\nG,-96.4,29.1,45.3,0.02\nH,-96.41,29.1,45.3,0.02\n")
	assert.True(t, r.Ellipsoidal)
	assert.Contains(t, strings.Join(r.Remarks, "\n"), "ellipsoidal heights without a geoid separation")
}

// The length of a degree on WGS 84 (a = 6378137 m, 1/f = 298.257223563), by
// the radii of curvature.
func TestDegreesOnTheEllipsoid(t *testing.T) {
	for i, lat := range []float64{0, 30, 45, 60} {
		m, v := radii(lat)
		assert.InDelta(t, []float64{110574.3, 110852.4, 111131.8, 111412.3}[i], m*radPerDeg, 0.05)
		assert.InDelta(t, []float64{111319.5, 96486.28, 78846.84, 55800}[i], v*math.Cos(lat*radPerDeg)*radPerDeg, 0.05)
	}
	a := orb.Point{-96.4, 29.1}
	e, n := apart(a, away(a, 412.5, -731.25, true), true)
	assert.InDelta(t, 412.5, e, 1e-6)
	assert.InDelta(t, -731.25, n, 1e-6)
}

func TestBearings(t *testing.T) {
	for text, want := range map[string]float64{
		"60": 60, "60.5": 60.5, "60°30'": 60.5, `60°30'15"`: 60.5 + 15.0/3600, "60 30 15": 60.5 + 15.0/3600, "360": 0, "0": 0,
		"N 60 E": 60, "N60°30'E": 60.5, "S 45 E": 135, "s 45 w": 225, "N 10 W": 350, "north": 0, "E": 90, "S": 180, "west": 270, "N 90 E": 90,
	} {
		got, err := ParseBearing(text)
		require.NoError(t, err, text)
		assert.InDelta(t, want, got, 1e-12, text)
	}
	for _, text := range []string{"", "361", "-5", "N 91 E", "N 60", "N E", "60 75", "60.5 30", "ENE", "12 30 15 2", "N -5 E", "1e2", "NaN", "NE"} {
		_, err := ParseBearing(text)
		assert.Error(t, err, text)
	}
}
